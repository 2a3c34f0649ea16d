"""The order in which passes fill each tank, by the clock, and the runs of fills that follow from it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from workbook_builder.core.adding import added
from workbook_builder.core.draft import Cells, Draft, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import rounded, whole_above, whole_below
from workbook_builder.features.loads.definitions import even_loads, loads_needed, split_into_loads, too_small_to_agitate

TANKS = ("main", "spot")


def tank_steps(draft: Draft) -> list[Cells]:
    """Which tank each pass fills, when, and its place in the order of all passes."""
    rows = []
    for row_no, (volume, times) in enumerate(zip(draft["pass_volumes"], draft["pass_times"], strict=True), 1):
        out = Cells()
        if volume["tank"] != "" and volume["sprayer_row"] != "":
            out["tank_no"] = (volume["sprayer_row"] - 1) * len(TANKS) + (2 if volume["spot_tank"] > 0 else 1)
            if volume["mix_no"] != "" and volume["pass"] != "" and times["start"] != "":
                out["seconds"] = int(rounded(times["start"] * 86400))
                out["queue"], out["tie"] = out["tank_no"], volume["mix_no"] * 10000 + row_no
        rows.append(out)
    timed = sorted((out for out in rows if out["seconds"] != ""), key=lambda out: (out["queue"], out["seconds"], out["tie"]))
    for place, out in enumerate(timed, 1):
        out["place"] = place
    return rows


def tank_order(draft: Draft) -> list[Cells]:
    """All passes tank by tank and by the clock; also completes the volumes of each pass, which follow from it."""
    steps = draft["tank_steps"]
    by_place = {step["place"]: row for row, step in enumerate(steps, 1) if step["place"] != ""}
    rows: list[Cells] = []
    for row_no in range(1, len(steps) + 1):
        out = Cells(row_no=row_no, row=by_place.get(row_no, ""), follows=0, continues=0, ready=0, joins=0, volume=0)
        if out["row"] != "":
            _fill(draft, out, rows[-1] if rows else Cells())
        rows.append(out)
    for volume, step in zip(draft["pass_volumes"], steps, strict=True):
        if volume["loads"] != "":
            _complete(draft, volume, step["place"] == "" or not rows[step["place"] - 1]["continues"])
    return rows


def _fill(draft: Draft, out: Cells, before: Cells) -> None:
    """One pass after the one before it: whether it goes on with what is in the tank, and shares loads."""
    typed, volume = draft["passes"][out["row"] - 1], draft["pass_volumes"][out["row"] - 1]
    out["tank_no"], out["mix_no"] = draft["tank_steps"][out["row"] - 1]["queue"], volume["mix_no"]
    out["strength"] = rounded(number(typed["carrier"]) * 1000000)
    out["ready"] = int(volume["loads"] != "")
    out["follows"] = int(before["tank_no"] == out["tank_no"])
    same = out["follows"] and (before["mix_no"], before["strength"]) == (out["mix_no"], out["strength"])
    out["continues"] = int(same and folded(typed["clean_before"]) != "yes")
    if out["continues"] and out["ready"] and before["ready"]:
        day, earlier = (draft["pass_times"][row - 1]["day"] for row in (out["row"], before["row"]))
        method, former = (folded(draft["passes"][row - 1]["method"]) for row in (out["row"], before["row"]))
        out["joins"] = int(day == earlier and method == former)
    if out["ready"]:
        out["run"], out["volume"] = before["run"] if out["joins"] else out["row"], volume["volume"]
        out["run_after"] = before["run_after"] + out["volume"] if out["joins"] else out["volume"]


def _complete(draft: Draft, volume: Cells, opens: bool) -> None:
    loads = split_into_loads(volume["volume"], volume["tank"], volume["unusable"], opens)
    volume.update(
        opens=int(opens), first_load_volume=loads.first, later_load_volume=loads.later, last_load_volume=loads.last,
        even_load_volume=loads.even, mixed_volume=loads.mixed,
    )


def in_order(draft: Draft) -> Iterator[tuple[Cells, Cells]]:
    """Yield each pass's step and what stands of it in the tank order, blank where its time is not known."""
    for step in draft["tank_steps"]:
        yield step, draft["tank_order"][step["place"] - 1] if step["place"] != "" else Cells()


def pass_runs(draft: Draft) -> list[Cells]:
    """Which load each field of a run starts and ends in."""
    rows, runs = [], defaultdict(list)
    for volume, (_, ordered) in zip(draft["pass_volumes"], in_order(draft), strict=True):
        out = Cells(field=volume["field"], run=ordered["run"], run_after=ordered["run_after"])
        out["pass"] = volume["pass"]
        if out["run"] != "":
            runs[out["run"]].append(volume)
        rows.append(out)
    for out, volume in zip(rows, draft["pass_volumes"], strict=True):
        if out["run"] != "":
            _run(draft, out, volume, runs[out["run"]])
    return rows


def _run(draft: Draft, out: Cells, volume: Cells, own: list[Cells]) -> None:
    usable, total = volume["usable"], added(each["volume"] for each in own)
    out.update(fields_in_run=len(own), run_before=out["run_after"] - volume["volume"], run_volume=total)
    loads = out["run_loads"] = loads_needed(total, usable)
    out["starts_in_load"] = whole_below(out["run_before"] / usable) + 1
    out["ends_in_load"] = max(out["starts_in_load"], whole_above(out["run_after"] / usable))
    ends = rounded(total - out["run_after"], 6) <= 0
    out["left_in_load"] = 0 if ends else out["ends_in_load"] * usable - out["run_after"]
    left = draft["pass_volumes"][out["run"] - 1]["opens"] * volume["unusable"] if loads == 1 else 0
    out["run_last_load"] = 0 if loads == 0 else total - (loads - 1) * usable + left
    out["loads_saved"] = added(each["loads"] for each in own) - loads
    least = draft.form("assumptions")["least_load"]
    if loads > 1 and too_small_to_agitate(total - (loads - 1) * usable, volume["unusable"], volume["tank"], least):
        out["advice"] = even_loads(out["run_last_load"], loads, total / loads, draft.form("factors")["liquid_name_1"])
