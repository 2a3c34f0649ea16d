"""Residual control week by week: plain functions."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import EPOCH


def monday_before(day: int) -> int:
    """Return the Monday on or before a day [day number]."""
    return day - (EPOCH + dt.timedelta(days=day)).weekday()


def week_status(week: int, known: int, too_many: int, start: Any, emerges_from: Any, emerges_to: Any,
                gaps_from: Sequence[Any], gaps_to: Sequence[Any]) -> str:
    """Judge one week of a weed: Review where a day of it is in an uncovered span, OK where none is,
    blank outside its emergence.

    Parameters
    ----------
    week : int
        Counted from 1.
    known, too_many : int
        1 where the weed's cover can be worked out, and where it has more spans than there is room for.
    start : int
        Monday of the first week [day number].
    emerges_from, emerges_to : int
        Emergence of the weed [day number].
    gaps_from, gaps_to : sequence of int or ""
        Spans of its emergence without residual control [day number].
    """
    if not known:
        return ""
    begins = start + 7 * (week - 1)
    ends = begins + 7
    if ends <= emerges_from or begins >= emerges_to:
        return ""
    if too_many:
        return NOT_ENTERED
    return (LOOK if any(first < ends and last > begins for first, last in zip(gaps_from, gaps_to, strict=True)
                        if first != "") else OK)
