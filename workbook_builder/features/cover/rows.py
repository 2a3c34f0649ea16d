"""Residual cover week by week: in which weeks new weeds can come up because no residual holds them."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from workbook_builder.core.columns import LOOK, OK
from workbook_builder.core.draft import EPOCH, Cells, Draft
from workbook_builder.features.cover.columns import WEEKS


def monday_before(day: int) -> int:
    """Return the Monday on or before a day [day number]."""
    return day - (EPOCH + dt.timedelta(days=day)).weekday()


def week_status(week: float, window: tuple[float, float], spans: Sequence[tuple[float, float]]) -> str:
    """Judge one week of a weed: Review where a day of it is in an uncovered span, OK where none is, blank outside its emergence.

    Parameters
    ----------
    week : float
        Its first day [day number].
    window : (from, to)
        Emergence of the weed [day number].
    spans : sequence of (from, to)
        Spans of the window without residual cover [day number].
    """
    ends = week + 7
    if ends <= window[0] or week >= window[1]:
        return ""
    return LOOK if any(first < ends and last > week for first, last in spans) else OK


def cover_season(draft: Draft) -> list[Cells]:
    """Where the weeks start."""
    starts = [fact["emerges_from"] for fact in draft["weed_facts"] if fact["emerges_from"] != ""]
    ends = [fact["emerges_to"] for fact in draft["weed_facts"] if fact["emerges_to"] != ""]
    out = Cells(first=min(starts, default=""), last=max(ends, default=""), past_end=0)
    if starts:
        out["start"] = monday_before(out["first"])
        if ends:
            out["past_end"] = max(0, out["last"] - out["start"] - 7 * WEEKS)
    return [out]


def cover_dates(draft: Draft) -> list[Cells]:
    """Month and day of each week's Monday."""
    start, out = draft.form("cover_season")["start"], Cells(field="Starts on Monday", weed="month-day")
    if start != "":
        for week in range(WEEKS):
            out[f"w{week + 1}"] = f"{EPOCH + dt.timedelta(days=start + 7 * week):%m-%d}"
    return [out]


def weed_gaps(draft: Draft) -> list[Cells]:
    """Each driver weed's spans without cover, in the order of the sheet."""
    slots = draft.slots("gaps")
    after: dict[Any, list[tuple[int, Cells]]] = defaultdict(list)
    for number, row in enumerate(draft["effective_modes"], 1):
        if row["gap_key"] != "":
            after[row["weed_row"]].append((number, row))
    rows = []
    for cover in draft["weed_cover"]:
        opening = Cells(slot=1)
        if cover["before"] != "" and cover["before"] > 0:
            opening["gap_from"], opening["gap_to"] = cover["emerges_from"], cover["emerges_from"] + cover["before"]
        rows.append(opening)
        found = after[cover["row_no"]]
        for place in range(slots - 1):
            out = Cells(slot=place + 2)
            if place < len(found):
                out["row"], gap = found[place]
                out["gap_from"], out["gap_to"] = gap["gap_from"], gap["gap_to"]
            rows.append(out)
    return rows


COVER_PLANNERS = (
    ("cover_season", cover_season),
    ("cover_dates", cover_dates),
    ("weed_gaps", weed_gaps),
)
