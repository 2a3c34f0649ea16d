"""Rows of the sprayer check: nozzles, droplets wanted, each nozzle in each pass, and sizes that do it."""

from __future__ import annotations

from collections import Counter
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import rounded
from workbook_builder.features.nozzles.definitions import duty_cycle, flow_at, nozzle_flow, pressure_for, sizes_between


def nozzle_facts(draft: Draft) -> list[Cells]:
    """Rated flow and pressure of each nozzle row."""
    sprayers, sizes = first_rows(draft["sprayers"], "sprayer"), first_rows(draft["nozzle_sizes"], "size")
    symbols = first_rows(draft["droplets"], "symbol")
    seen: Counter[object] = Counter()
    rows = []
    for typed in draft["nozzles"]:
        out = Cells(sprayer_row=find(sprayers, typed["sprayer"]), size_row=find(sizes, typed["size"]), rank=find(symbols, typed["droplet"]))
        if out["sprayer_row"] != "":
            seen[out["sprayer_row"]] += 1
            out["nth"] = seen[out["sprayer_row"]]
            out["key"] = out["sprayer_row"] * 100 + out["nth"]
        own = typed["rated_flow"] != ""
        for key, rated in (("flow", "rated_flow"), ("pressure", "rated_pressure")):
            out[key] = typed[rated] if own else at(draft["nozzle_sizes"], out["size_row"], key)
        rows.append(out)
    return rows


def droplets_in_words(finest: str, coarsest: str, contradict: bool) -> str:
    """Say which droplet categories are wanted; blank when no label says."""
    if contradict:
        return f"labels contradict: {finest} or coarser and {coarsest} or finer"
    if finest and coarsest:
        return f"{finest} to {coarsest}"
    return f"{finest} or coarser" if finest else f"{coarsest} or finer" if coarsest else ""


def tip_checks(draft: Draft) -> list[Cells]:
    """Each nozzle of the sprayer in each pass."""
    keys = first_rows(draft["nozzle_facts"], "key")
    rows = []
    for pass_no, volume in enumerate(draft["pass_volumes"]):
        for slot in range(1, draft.slots("nozzles") + 1):
            out = Cells(slot=slot, known=0, fits=0, good=0, unknown=0)
            if volume["pass"] != "" and volume["sprayer_row"] != "":
                out["tip_row"] = find(keys, volume["sprayer_row"] * 100 + slot)
            if out["tip_row"] != "":
                out["pass"], out["field"] = volume["pass"], volume["field"]
                _tip(draft, out, pass_no)
                _pulsed(out, number(draft["pass_times"][pass_no]["speed"]))
                _judge_tip(draft, out, draft["pass_droplets"][pass_no])
            rows.append(out)
    return rows


def _tip(draft: Draft, out: Cells, pass_no: int) -> None:
    typed, fact = draft["nozzles"][out["tip_row"] - 1], draft["nozzle_facts"][out["tip_row"] - 1]
    for key in ("nozzle", "spacing", "low_pressure", "high_pressure", "droplet"):
        out[key] = typed[key]
    out["slowest"], out["fastest"] = typed["slowest_speed"], typed["fastest_speed"]
    out["rated_flow"], out["rated_pressure"], out["rank"] = fact["flow"], fact["pressure"], fact["rank"]
    carrier, speed = draft["passes"][pass_no]["carrier"], number(draft["pass_times"][pass_no]["speed"])
    if carrier != "" and out["spacing"] != "" and speed:
        out["flow"] = nozzle_flow(carrier, speed, out["spacing"], draft.form("agronomy_factors")["flow_divisor"])
    out["pulsed"] = int(folded(typed["pulsed"]) == "yes")
    if out["pulsed"]:
        out["pressure"] = out["set_pressure"] = typed["set_pressure"]
    elif "" not in (out["flow"], out["rated_flow"], out["rated_pressure"]):
        out["pressure"] = pressure_for(out["flow"], out["rated_flow"], out["rated_pressure"])


def _pulsed(out: Cells, speed: float) -> None:
    """Open time of a pulsed nozzle at the slowest and fastest speed."""
    if "" in (out["set_pressure"], out["rated_flow"], out["rated_pressure"]):
        return
    out["open_flow"] = flow_at(out["set_pressure"], out["rated_flow"], out["rated_pressure"])
    if out["flow"] == "":
        return
    out["per_speed"] = duty_cycle(out["flow"], out["open_flow"]) / speed
    for key, typed in (("duty_slow", "slowest"), ("duty_fast", "fastest")):
        if out[typed] != "":
            out[key] = out["per_speed"] * out[typed]


def _judge_tip(draft: Draft, out: Cells, wanted: Cells) -> None:
    needed = ["pressure", "low_pressure", "high_pressure", "flow"] + (["duty_slow", "duty_fast"] if out["pulsed"] else [])
    out["known"] = int(all(out[key] != "" for key in needed))
    out["pressure_status"] = NOT_ENTERED
    if out["known"]:
        inside = rounded(out["pressure"] - out["low_pressure"], 3) >= 0 and rounded(out["high_pressure"] - out["pressure"], 3) >= 0
        least = draft.form("agronomy_settings")["least_duty"]
        open_enough = not out["pulsed"] or (rounded(out["duty_slow"] - number(least), 4) >= 0 and rounded(out["duty_fast"] - 1, 4) <= 0)
        out["pressure_status"] = OK if inside and open_enough else LOOK
    if wanted["wish"]:
        out["droplet_status"] = droplet_status(out["rank"], wanted["finest"], wanted["coarsest"])
    out["fits"] = int(out["pressure_status"] == OK)
    out["good"] = int(out["fits"] == 1 and out["droplet_status"] in ("", OK))
    out["unknown"] = int(out["fits"] == 1 and out["droplet_status"] == NOT_ENTERED)


def droplet_status(rank: Any, finest: Any, coarsest: Any) -> str:
    """Judge a droplet category by rank, 1 finest, against the labels' range; blank ends are open."""
    if rank == "":
        return NOT_ENTERED
    return NOT_ALLOWED if (finest != "" and rank < finest) or (coarsest != "" and rank > coarsest) else OK


def sprayer_checks(draft: Draft) -> list[Cells]:
    """Whether each pass has a nozzle that does it."""
    entered = draft.form("nozzle_totals")["nozzles"] > 0
    rows = []
    for pass_no, volume in enumerate(draft["pass_volumes"]):
        out = Cells(field=volume["field"])
        out["pass"] = volume["pass"]
        tips = draft.under("tip_checks", pass_no, draft.slots("nozzles"))
        _summed(out, tips, draft["pass_droplets"][pass_no])
        if out["pass"] != "" and entered:
            _judge_pass(out, tips, draft["pass_droplets"][pass_no]["wish"])
        if out["flow"] != "":
            flows = [row["flow"] for row in draft["nozzle_sizes"]]
            totals = draft.form("nozzle_totals")
            reference = draft["nozzle_sizes"][0]["pressure"]
            out["below"], out["upto"] = sizes_between(out["flow"], flows, reference, totals["low"], totals["high"])
        rows.append(out)
    return rows


def _summed(out: Cells, tips: list[Cells], wanted: Cells) -> None:
    if any(tip["flow"] != "" for tip in tips):
        out["flow"] = tips[0]["flow"]
    out["tips"] = added(tip["tip_row"] != "" for tip in tips)
    out["fitting"], out["good"] = added(tip["fits"] for tip in tips), added(tip["good"] for tip in tips)
    key = "good" if out["good"] else "fits"
    out["use"] = next((n for n, tip in enumerate(tips, 1) if tip[key]), "")
    out["wanted"] = wanted["wanted"]
    if out["use"] != "":
        for name in ("nozzle", "pressure", "droplet"):
            out[name] = tips[out["use"] - 1][name]


def _judge_pass(out: Cells, tips: list[Cells], wish: int) -> None:
    if out["tips"] == 0:
        out["pressure_status"], out["pressure_finding"] = NOT_ENTERED, "No nozzles entered for the sprayer of this pass"
    elif out["fitting"]:
        out["pressure_status"] = OK
    elif any(tip["pressure_status"] == NOT_ENTERED for tip in tips):
        out["pressure_status"], out["pressure_finding"] = NOT_ENTERED, "Size, spacing, pressure range or speed of a nozzle not entered"
    else:
        out["pressure_status"] = LOOK
        out["pressure_finding"] = "None of the sprayer's nozzles gives the flow within its pressures or duty cycles"
    if not wish or not out["fitting"]:
        return
    if out["good"]:
        out["droplet_status"] = OK
    elif any(tip["unknown"] for tip in tips):
        out["droplet_status"] = NOT_ENTERED
        out["droplet_finding"] = f"Droplet category of a nozzle not entered; labels want {out['wanted']}"
    else:
        out["droplet_status"] = NOT_ALLOWED
        out["droplet_finding"] = f"Labels want {out['wanted']}, the nozzles that fit give {out['droplet']}"


def nozzle_choices(draft: Draft) -> list[Cells]:
    """Colour-coded sizes that give the flow of each pass."""
    rows = []
    for sprayer in draft["sprayer_checks"]:
        for slot in range(1, draft.slots("sizes") + 1):
            out = Cells(slot=slot)
            if sprayer["below"] != "" and sprayer["below"] + slot <= sprayer["upto"]:
                row = out["row"] = sprayer["below"] + slot
                size = draft["nozzle_sizes"][row - 1]
                out["pass"], out["field"], out["flow"] = sprayer["pass"], sprayer["field"], sprayer["flow"]
                out["size"], out["colour"], out["rated_flow"] = size["size"], size["colour"], size["flow"]
                out["pressure"] = pressure_for(out["flow"], size["flow"], size["pressure"])
            rows.append(out)
    return rows
