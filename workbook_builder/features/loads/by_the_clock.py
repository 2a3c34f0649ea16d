"""When each pass ends, and which passes of one sprayer are in different fields at the same time."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from typing import Any

from workbook_builder.core.draft import Cells, Draft
from workbook_builder.features.clock.definitions import farm_clock, minute_of


def ends_by_the_clock(draft: Draft) -> list[Cells]:
    """Return the end of every pass, its hours counted across changes of the clock,
    and the other fields its sprayer is in meanwhile.
    """
    clock, rows = farm_clock(draft), []
    for times in draft["pass_times"]:
        out = Cells(elsewhere=0)
        if times["start"] != "":
            out["end_utc"] = clock.universal(times["counted_from"]) + times["counted"] / 24
            out["end"] = clock.shown(out["end_utc"]) if times["counted"] else times["counted_from"]
            out["last_day"] = int(out["end"] // 1) if times["end_known"] else times["end_day"]
            if times["pass"] != "" and times["clock"] != "":
                start = out["from_minute"] = minute_of(clock.universal(times["start"]))
                out["to_minute"] = (max(start + 1, minute_of(out["end_utc"])) if times["end_known"]
                                    else start + 1)
        rows.append(out)
    _elsewhere(rows, [(volume["sprayer_row"], volume["field_row"]) for volume in draft["pass_volumes"]])
    return rows


def _elsewhere(rows: list[Cells], places: list[tuple[Any, Any]]) -> None:
    """One sprayer is in one field at a time; two passes on the same field are one trip with two tanks."""
    hours: dict[Any, list[tuple[int, int, int]]] = defaultdict(list)
    for row, (out, (sprayer, field)) in enumerate(zip(rows, places, strict=True), 1):
        if out["from_minute"] != "" and sprayer != "":
            for key in (sprayer, (sprayer, field)):
                hours[key].append((out["from_minute"], out["to_minute"], row))
    counts = {key: (sorted(start for start, _, _ in spans), sorted(end for _, end, _ in spans))
              for key, spans in hours.items()}
    for out, (sprayer, field) in zip(rows, places, strict=True):
        if out["from_minute"] != "" and "" not in (sprayer, field):
            # All that start before its end, but for those over before its start.
            every, here = (bisect_left(starts, out["to_minute"]) - bisect_right(ends, out["from_minute"])
                           for starts, ends in (counts[sprayer], counts[sprayer, field]))
            out["elsewhere"] = every - here
            if out["elsewhere"] == 1:
                meanwhile = (row for start, end, row in hours[sprayer] if start < out["to_minute"]
                             and end > out["from_minute"])
                out["elsewhere_row"] = next(row for row in meanwhile if places[row - 1][1] != field)
