"""Intervals counted from a spray: plain functions."""

from __future__ import annotations

import calendar
import datetime as dt

from workbook_builder.core.draft import EPOCH


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
