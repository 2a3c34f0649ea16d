"""Dates that spray records and postings must keep."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.rounding import rounded
from workbook_builder.features.intervals.definitions import add_months


def last_day(date: float, end_date: Any, overnight: int) -> float:
    """Return the day an application ended on [day number]: as typed,
    or else the next day's where it ended before it started.
    """
    return date + overnight if end_date == "" else end_date


def ends_before_start(last_day: Any, date: float, start: float, end_time: Any) -> int:
    """Return 1 when an application ends before it starts: such an end would let people in too early.

    Parameters
    ----------
    last_day, date : float or ""
        Days it ended and started on [day number].
    start : float
        Moment it started [day number].
    end_time : float or ""
        Clock time it ended [d].
    """
    return int(last_day != "" and (last_day < date or (end_time != "" and last_day + end_time < start)))


def record_due(sprayed_on: int, days: int = 14) -> int:
    """Return the day a record must be written by [day number].

    Parameters
    ----------
    sprayed_on : int
        Day of the application [day number].
    days : int
        Days allowed [d].

    References
    ----------
    7 CFR 110.3(c): no later than 14 days after the application.
    """
    return int(sprayed_on + (days or 0))


def keep_until(day: float, years: Any = 2) -> int:
    """Return the day until which a record must be kept; 29 February becomes 28 [day number].

    References
    ----------
    7 CFR 110.3(c): two years from the application.
    """
    return add_months(int(day // 1), 12 * int(years or 0))


def display_until(ends: float, days: int = 30) -> int:
    """Return the last day of the central posting [day number].

    Parameters
    ----------
    ends : float
        When the re-entry interval ends, or the application where there is none [day number].
    days : int
        Days it stays posted after that [d].

    References
    ----------
    40 CFR 170.311(b): for 30 days after the re-entry interval.
    """
    return int(ends // 1 + (days or 0))


def spot_record_will_do(area_of_day: float, acres_per_area: float, below: Any = 0.1) -> bool:
    """Return whether the shorter record is enough: restricted-use area of one day below a tenth of an acre.

    Parameters
    ----------
    area_of_day : float
        Restricted-use area treated that day [area].
    acres_per_area : float
        Acres in the farm's unit of area [ac/area].
    below : float
        Limit [ac]; an area of exactly this size needs the full record.

    References
    ----------
    7 CFR 110.3(b), from memory.
    """
    return rounded(area_of_day * acres_per_area, 6) < (below or 0)


def days_after(done: float, due: float) -> float:
    """Return how many days after it was due something was done [d], none when in time."""
    return max(0, done - due)
