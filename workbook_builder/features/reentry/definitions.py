"""Re-entry: how long an interval runs, what it closes, and what falls inside; plain functions."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from workbook_builder.core.draft import EPOCH
from workbook_builder.features.clock.definitions import MINUTES


def longest(values: Iterable[Any]) -> Any:
    """Return the longest interval that is entered; blank when none is.

    References
    ----------
    40 CFR 170.407(c): the re-entry interval of a mixture is the longest of its products.
    """
    return max((value for value in values if value != ""), default="")


def interval_end(end: float, hours: float) -> float:
    """Return when an interval ends that runs some elapsed hours [h] from the end of an application [d].

    40 CFR 170.407.
    """
    return end + hours / 24


def reach(until: Any, lacking: str, end: float, unknown: float) -> float:
    """Return until when a pass may keep its field closed [d], at the most.

    Parameters
    ----------
    until : float or ""
        End of the longest interval that is entered [d].
    lacking : str
        Products without an interval.
    end, unknown : float
        End of the application and how long an interval nobody entered counts as running [d].
    """
    return max(until or 0, end + unknown if lacking else 0)


def moment_text(minute: float) -> str:
    """Return a minute counted from day 0 in words, ``2026-05-14 07:30``."""
    return f"{dt.datetime.combine(EPOCH, dt.time()) + dt.timedelta(minutes=minute):%Y-%m-%d %H:%M}"


def inside(day: Any, start: Any, until: Any) -> int:
    """Return how a day lies in a closed time: 0 outside, 1 for part of it, 2 the whole day.

    Parameters
    ----------
    day : float or ""
        [day number]
    start : float
        Start of the application [d].
    until : float or ""
        End of the interval [min from day 0].
    """
    if not day or until == "" or until <= day * MINUTES or start >= day + 1:
        return 0
    return 2 if start < day and until >= (day + 1) * MINUTES else 1


def look_inside(*looks: Any) -> str:
    """Return the first look back that is planned for a day on which the field is closed, in words.

    Parameters
    ----------
    *looks : int or ""
        Day of a look [day number] and until when the field is closed on it [min from day 0],
        for one look after another.
    """
    for day, closed in zip(looks[::2], looks[1::2], strict=True):
        if closed != "":
            return f"{(EPOCH + dt.timedelta(days=int(day))).isoformat()}, closed until {moment_text(closed)}"
    return ""
