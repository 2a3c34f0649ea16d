"""Closed times of fields: which re-entry intervals run into one another,
and whether a field is closed on a day.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ALLOWED
from workbook_builder.core.draft import Cells, Draft, at, number
from workbook_builder.core.rounding import rounded
from workbook_builder.features.clock.definitions import Clock, farm_clock, minute_of
from workbook_builder.features.reentry.definitions import moment_text


@dataclass(frozen=True)
class Closures:
    """Everything that closes the fields of a farm.

    Parameters
    ----------
    of_field : mapping
        Field row -> start [min from day 0] and end of the interval [d] of each pass, in universal time;
        no interval ends at 0.
    clock : Clock
    """

    of_field: Mapping[Any, list[tuple[int, float]]]
    clock: Clock

    @classmethod
    def of(cls, draft: Draft) -> Closures:
        """Return the closures of a plan."""
        found: dict[Any, list[tuple[int, float]]] = defaultdict(list)
        for span, volume in zip(draft["reentry_spans"], draft["pass_volumes"], strict=True):
            if span["start_minute"] != "":
                found[volume["field_row"]].append((span["start_minute"], number(span["until"])))
        return cls(found, farm_clock(draft))

    def ends(self, field_row: Any, before: float) -> list[float]:
        """Return the ends [d] of the intervals of passes on a field that start before a moment of the farm's
        clock [d].
        """
        minute = minute_of(self.clock.universal(before))
        return [until for start, until in self.of_field.get(field_row, ()) if start < minute]

    def fill(self, out: Cells, prefix: str, field_row: Any, day: Any) -> None:
        """Fill in how many passes have started and until when they keep a field closed to whoever goes in on
        a day.

        References
        ----------
        40 CFR 170.407: nobody enters before the interval has passed, so the latest end of all of them rules.
        """
        ends = [] if "" in (field_row, day) else self.ends(field_row, day + 1)
        latest = max(ends, default=0)
        closed = latest > 0 and rounded(latest - self.clock.universal(day), 6) > 0
        out[f"{prefix}_started"], out[f"{prefix}_closed"] = (len(ends), minute_of(self.clock.shown(latest))
                                                             if closed else "")


def closed_times(draft: Draft) -> list[Cells]:
    """Carry the latest end along the passes of each field.

    Those that start in a closed time join it, and all of them open at its end.

    References
    ----------
    40 CFR 170.407: nobody enters before the interval has passed, whichever application set it.
    """
    rows: list[Cells] = []
    for step in draft["field_sequence"]:
        out = Cells(reach_before=0, before=0, reach=0, latest=0, joins=0)
        if step["row"] != "":
            last = out if step["first"] else rows[-1]
            out.update(reach_before=last["reach"], before=last["latest"], before_row=last["latest_row"])
            out["reach"] = max(last["reach"], draft["reentry_spans"][step["row"] - 1]["reach"])
            later = step["until"] > out["before"]
            out["latest"], out["latest_row"] = ((step["until"], step["row"]) if later
                                                else (out["before"], out["before_row"]))
            out["joins"] = int(rounded(out["reach_before"] - step["start"], 6) > 0)
            carried = last["doubt_row"] if out["joins"] else ""
            out["doubt_row"] = step["lacks"] if carried == "" else carried
        rows.append(out)
    end, joined = Cells(), 0
    for out, step in zip(reversed(rows), reversed(draft["field_sequence"]), strict=True):
        if step["row"] != "":
            end = end if joined else out
            joined = out["joins"]
            out.update(open_at=end["latest"], open_row=end["latest_row"], open_doubt=end["doubt_row"],
                       open_reach=end["reach"])
    return rows


def plantings(draft: Draft) -> list[Cells]:
    """Judge the plantings on each field: none in a closed one,
    and a look where it is closed for part of the day.
    """
    closures, rows = Closures.of(draft), []
    for row_no, (field, interval) in enumerate(zip(draft["fields"], draft["field_intervals"], strict=True),
                                               1):
        out = Cells()
        for prefix in ("planting", "next_planting"):
            day: Any = field[f"{prefix}_date"] if interval["passes"] else ""
            before = [] if day == "" else closures.ends(row_no, day)
            out[f"{prefix}_before"] = len(before)
            closures.fill(out, prefix, row_no, day)
            if out[f"{prefix}_closed"] != "":
                all_day = rounded(max(before, default=0) - closures.clock.universal(day + 1), 6) >= 0
                out[f"{prefix}_status"] = NOT_ALLOWED if all_day else LOOK
                out[f"{prefix}_note"] = f"Field is closed until {moment_text(out[f'{prefix}_closed'])}"
        rows.append(out)
    return rows


def scouting_entry(draft: Draft) -> list[Cells]:
    """Return whether the field was closed on the day of each frame."""
    closures, rows = Closures.of(draft), []
    for fact, frame in zip(draft["scouting_facts"], draft["scouting"], strict=True):
        rows.append(Cells())
        closures.fill(rows[-1], "frame", at(draft["pass_volumes"], fact["pass_row"], "field_row"),
                      frame["date"])
    return rows
