"""Dates that spray records and postings must keep."""

from __future__ import annotations

from workbook_builder.core.rounding import rounded
from workbook_builder.features.intervals.definitions import add_months


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
    return sprayed_on + days


def keep_until(day: int, years: int = 2) -> int:
    """Return the day until which a record must be kept; 29 February becomes 28 [day number].

    References
    ----------
    7 CFR 110.3(c): two years from the application.
    """
    return add_months(day, 12 * years)


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
    return int(ends // 1) + days


def spot_record_will_do(area_of_day: float, acres_per_area: float, below: float = 0.1) -> bool:
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
    return rounded(area_of_day * acres_per_area, 6) < below
