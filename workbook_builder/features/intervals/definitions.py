"""Intervals counted from a spray: when the crop may be cut or planted,
and how people are warned; plain functions.
"""

from __future__ import annotations

import calendar
import datetime as dt
from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import EPOCH
from workbook_builder.core.rounding import rounded, whole_below
from workbook_builder.features.clock.definitions import MINUTES


def add_months(day: int, months: int) -> int:
    """Return a day number some calendar months later, clipped to the end of a shorter month.

    Parameters
    ----------
    day : int
        Day number (1900 date system).
    months : int
    """
    start = EPOCH + dt.timedelta(days=day)
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return (dt.date(year, month + 1, min(start.day, last)) - EPOCH).days


def posting_wanted(signs: int, spoken: int, missing: object, hours: object) -> str:
    """Return how workers must be warned: by the strictest label of the mix and by its longest interval.

    Parameters
    ----------
    signs, spoken : int
        Whether a label, or the length of the interval, wants signs; whether a label wants word of mouth.
    missing, hours : str or float
        Products without a re-entry interval, blank for none; the longest interval [h], blank for none.

    References
    ----------
    40 CFR 170.409(a), from memory: a label that wants both gets both; above 48 h outdoors signs; else either.
    """
    if signs:
        return "Signs and word of mouth" if spoken else "Signs"
    if missing:
        return NOT_ENTERED
    if spoken:
        return "Word of mouth"
    return "" if hours == "" else "Signs or word of mouth"


def opening(doubt: object, hours: Any, opens: float, end: float) -> Any:
    """Return when the field opens as of a pass [d], blank where that is not known or nothing holds it closed.

    Parameters
    ----------
    doubt : int or ""
        Pass of the closed time that lacks an interval.
    hours : float or ""
        Longest interval of the pass itself [h].
    opens, end : float
        End of the closed time it stands in, and of the pass [d].
    """
    runs = hours != "" or rounded(opens - end, 6) > 0
    return opens if doubt == "" and runs else ""


def harvest_floor(last_day: float, days: Any, reentry: Any) -> Any:
    """Return the first day of harvest by the intervals that are entered:
    nobody goes in to harvest while re-entry is closed.

    Parameters
    ----------
    last_day : float
        Last day of the application, its day 0 [day number].
    days : float or ""
        Longest preharvest interval [d].
    reentry : float or ""
        When the field opens [d].
    """
    floors = ([] if days == "" else [last_day + days]) + ([] if reentry == "" else [whole_below(reentry)])
    return max(floors, default="")


def opens_that_day(harvest: float, margin: Any, opens: Any) -> int:
    """Return 1 where the field opens only in the course of the day of harvest.

    Parameters
    ----------
    harvest : float
        [day number]
    margin : float or ""
        Days to spare; blank where the harvest is not judged.
    opens : int or ""
        [min from day 0]
    """
    if "" in (margin, opens):
        return 0
    day, minute = divmod(opens, MINUTES)
    return int(harvest == day and minute > 0)


def harvest_status(days: Any, missing: str, margin: Any, after_harvest: int, by_hour: int, crop: str) -> str:
    """Judge the planned harvest.

    Parameters
    ----------
    days, margin : float or ""
        Longest preharvest interval and days to spare [d].
    missing : str
        Products without an interval.
    after_harvest, by_hour : int
        1 where the pass comes after the harvest, and where the field opens only in the course of its day.
    crop : str
        Crop of the pass; fallow is not harvested.
    """
    wanted = days != "" or missing != ""
    if margin != "" and margin < 0:
        return NOT_ALLOWED
    if after_harvest and wanted:
        return OK
    if missing:
        return NOT_ENTERED
    if by_hour:
        return LOOK
    if not wanted:
        return ""
    return OK if margin != "" or crop.casefold() == "fallow" else LOOK
