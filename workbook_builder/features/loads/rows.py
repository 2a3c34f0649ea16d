"""Volumes, product amounts, water and timing of every pass."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text, rounded, shown
from workbook_builder.features.clock.definitions import Clock, farm_clock, minute_of
from workbook_builder.features.loads.definitions import amount_in, even_loads, split_into_loads, split_text, spray_volume, too_small_to_agitate, work_rate
from workbook_builder.features.work_rate.definitions import hours_with_refills

NO_SHARE = "Share of field sprayed not entered: counted as 100 %"
NO_CROP = "Crop of this pass not entered: type the next crop of the field, or the crop of the pass"
INCOMPLETE = "Field, mix, method, carrier or sprayer is missing, or the tank is too small"


def pass_volumes(draft: Draft) -> list[Cells]:
    """Spray volume and loads of every pass row."""
    mixes = first_rows(draft["mix_list"], "mix")
    fields = first_rows(draft["fields"], "field")
    sprayers = first_rows(draft["sprayers"], "sprayer")
    rows = []
    for row, estimate, crop in zip(draft["passes"], draft["share_estimates"], draft["pass_crops"], strict=True):
        out = Cells(crop=crop["crop"])
        out["pass"], out["field"] = row["pass"], row["field"]
        out["key"] = "" if row["pass"] == "" else f"{row['pass']}|{row['field']}"
        out["mix_no"], out["field_row"] = find(mixes, row["mix"]), find(fields, row["field"])
        out["sprayer_row"] = find(sprayers, row["sprayer"])
        out["area"] = at(draft["fields"], out["field_row"], "area")
        _volume(row, out, estimate)
        _tank(draft, row, out)
        if out["volume"] != "" and out["usable"] != "":
            _loads(out, draft.form("assumptions")["least_load"])
        rows.append(out)
    return rows


def _volume(row: Cells, out: Cells, estimate: Cells) -> None:
    spot = folded(row["method"]) == "spot"
    if row["method"] != "":
        out["share"] = 1
    if spot and row["sprayed_share"] != "":
        out["share"] = row["sprayed_share"]
    elif spot and estimate["evidence"] == 1:
        out["share"] = estimate["field_share"]
    if out["area"] != "" and out["share"] != "":
        out["sprayed_area"] = out["area"] * out["share"]
        if row["carrier"] != "":
            out["volume"] = spray_volume(out["area"], out["share"], row["carrier"])


def _tank(draft: Draft, row: Cells, out: Cells) -> None:
    sprayer = out["sprayer_row"]
    out["spot_tank"] = 0
    if sprayer == "":
        return
    if folded(row["method"]) == "spot":
        out["spot_tank"] = number(at(draft["sprayers"], sprayer, "spot_tank"))
    out["tank"] = out["spot_tank"] or number(at(draft["sprayers"], sprayer, "main_tank"))
    out["unusable"] = number(at(draft["sprayers"], sprayer, "unusable_volume"))
    out["usable"] = out["tank"] - out["unusable"]


def _loads(out: Cells, least: float) -> None:
    """Full loads, what is left and their number; what goes into each of them waits for the order of the tanks."""
    if out["usable"] <= 0:
        return
    loads = split_into_loads(out["volume"], out["tank"], out["unusable"])
    out.update(full_loads=loads.full, remainder=loads.remainder, loads=loads.count)
    small = loads.count > 1 and too_small_to_agitate(loads.remainder, out["unusable"], out["tank"], least)
    out["too_small"] = int(small)


def _volume_status(draft: Draft, out: Cells, place: int, liquid_part: Any) -> None:
    row = draft["passes"][place]
    mix_status = out["mix_status"] = at(draft["mix_list"], out["mix_no"], "status")
    if out["pass"] == "":
        return
    spot = folded(row["method"]) == "spot"
    if out["loads"] == "" or out["mix_no"] == "":
        out["status"], out["finding"] = NOT_ENTERED, INCOMPLETE
    elif out["crop"] == "":
        out["status"], out["finding"] = NOT_ENTERED, NO_CROP
    elif liquid_part != "" and rounded(liquid_part - 1, 6) > 0:
        out["status"] = NOT_ALLOWED
        out["finding"] = f"The liquid products alone take {number_text(shown(liquid_part * 100, 0))} % of the spray volume"
    elif mix_status != OK:
        out["status"], out["finding"] = mix_status, at(draft["mix_list"], out["mix_no"], "finding")
    elif out["too_small"]:
        unit = draft.form("factors")["liquid_name_1"]
        out["status"], out["finding"] = LOOK, even_loads(out["last_load_volume"], out["loads"], out["even_load_volume"], unit)
    elif spot and row["sprayed_share"] == "" and draft["share_estimates"][place]["evidence"] != 1:
        out["status"], out["finding"] = LOOK, NO_SHARE
    else:
        out["status"] = OK


def pass_times(draft: Draft) -> list[Cells]:
    """Start, end and work rate of every pass row."""
    logged, clock = first_rows(draft["log_facts"], "key"), farm_clock(draft)
    rows = []
    for row, volume in zip(draft["passes"], draft["pass_volumes"], strict=True):
        out = Cells(field=volume["field"])
        out["pass"] = volume["pass"]
        _work(draft, volume, out)
        _logged(draft, logged, row, volume, out)
        if out["day"] != "":
            _times(out, clock)
            _minutes(out, clock)
        rows.append(out)
    _at_once(draft, rows)
    return rows


def _work(draft: Draft, volume: Cells, out: Cells) -> None:
    """The one set of hours: load by load where filling and hauling are typed, else by the field efficiency."""
    divisor = draft.form("factors")["work_rate_divisor"]
    names = {"width": "boom_width", "speed": "speed", "efficiency": "field_efficiency", "travel_efficiency": "travel_efficiency"}
    for key, source in names.items():
        out[key] = number(at(draft["sprayers"], volume["sprayer_row"], source))
    out["refill_minutes"] = added(number(at(draft["sprayers"], volume["sprayer_row"], key)) for key in ("fill_minutes", "haul_minutes"))
    if out["width"] * out["speed"] * out["efficiency"] != 0:
        out["work_rate"] = out["plain_rate"] = work_rate(out["speed"], out["width"], out["efficiency"], divisor)
    theoretical = work_rate(out["speed"], out["width"], 1, divisor)
    out["by_load"] = int("" not in (volume["area"], volume["loads"]) and theoretical * out["travel_efficiency"] * out["refill_minutes"] > 0)
    if out["by_load"]:
        out["hours"] = hours_with_refills(volume["area"], theoretical, out["travel_efficiency"], volume["loads"], out["refill_minutes"])
        out["work_rate"] = volume["area"] / out["hours"] if out["hours"] else ""
    elif out["plain_rate"] != "" and volume["area"] != "":
        out["hours"] = volume["area"] / out["plain_rate"]


def _logged(draft: Draft, logged: dict[object, int], row: Cells, volume: Cells, out: Cells) -> None:
    """Let the spray log take the place of the planned day and start."""
    log_row = out["log_row"] = find(logged, volume["key"])
    out["log_day"] = at(draft["spray_log"], log_row, "date")
    if out["log_day"] == "":
        out["day"] = out["end_day"] = row["date"]
        out["clock"] = row["start_time"]
        return
    out["day"], out["clock"] = out["log_day"], at(draft["spray_log"], log_row, "start_time")
    out["log_end"], out["end_day"] = at(draft["log_facts"], log_row, "end"), at(draft["log_facts"], log_row, "end_day")


def _times(out: Cells, clock: Clock) -> None:
    """Start and end: the logged end, or hours after a known start, or after the latest start there can be."""
    out["start"] = out["day"] + number(out["clock"])
    guessed = out["clock"] != "" and out["hours"] != "" and out["end_day"] <= out["day"]
    out["end_known"] = int(out["log_end"] != "" or guessed)
    out["counted"] = 0
    if out["log_end"] != "":
        out["counted_from"] = out["log_end"]
    else:
        out["counted_from"] = out["start"] if guessed else out["end_day"] + 1
        if guessed or (out["log_day"] == "" and out["clock"] == ""):
            out["counted"] = number(out["hours"])
    out["end_utc"] = clock.universal(out["counted_from"]) + out["counted"] / 24
    out["end"] = clock.shown(out["end_utc"]) if out["counted"] else out["counted_from"]
    out["last_day"] = int(out["end"] // 1) if out["end_known"] else out["end_day"]
    if out["log_day"] == "":
        out["basis"] = "planned"
    else:
        out["basis"] = "started" if out["log_end"] == "" else "logged"


def _minutes(out: Cells, clock: Clock) -> None:
    """The minutes at which the sprayer is surely in the field."""
    if out["pass"] != "" and out["clock"] != "":
        start = out["from_minute"] = minute_of(clock.universal(out["start"]))
        out["to_minute"] = max(start + 1, minute_of(out["end_utc"])) if out["end_known"] else start + 1


def _at_once(draft: Draft, rows: list[Cells]) -> None:
    """One sprayer is in one field at a time; two passes on the same field are one trip with two tanks."""
    places: dict[Any, list[tuple[int, int, int]]] = defaultdict(list)
    for row, (out, volume) in enumerate(zip(rows, draft["pass_volumes"], strict=True), 1):
        out["elsewhere"] = 0
        if out["from_minute"] != "" and volume["sprayer_row"] != "":
            out["machine_status"] = OK
            for key in (volume["sprayer_row"], (volume["sprayer_row"], volume["field_row"])) if volume["field_row"] != "" else (volume["sprayer_row"],):
                places[key].append((out["from_minute"], out["to_minute"], row))
    counts = {key: (sorted(start for start, _, _ in hours), sorted(end for _, end, _ in hours)) for key, hours in places.items()}
    for out, volume in zip(rows, draft["pass_volumes"], strict=True):
        if out["machine_status"] != "" and volume["field_row"] != "":
            sprayer, field = volume["sprayer_row"], volume["field_row"]
            out["elsewhere"] = _overlapping(counts[sprayer], out) - _overlapping(counts[sprayer, field], out)
            if out["elsewhere"]:
                _other_field(draft, out, field, places[sprayer])


def _overlapping(hours: tuple[list[int], list[int]], out: Cells) -> int:
    """Return how many spans overlap the pass's own: all that start before its end, but for those over before its start."""
    starts, ends = hours
    return bisect_left(starts, out["to_minute"]) - bisect_right(ends, out["from_minute"])


def _other_field(draft: Draft, out: Cells, field: Any, hours: list[tuple[int, int, int]]) -> None:
    out["machine_status"], named = LOOK, f"{number_text(out['elsewhere'])} passes"
    if out["elsewhere"] == 1:
        at_once = (row for start, end, row in hours if start < out["to_minute"] and end > out["from_minute"])
        out["elsewhere_row"] = next(row for row in at_once if draft["pass_volumes"][row - 1]["field_row"] != field)
        place = draft["pass_volumes"][out["elsewhere_row"] - 1]
        named = f"{place['pass']} on {place['field']}"
    out["machine_finding"] = f"The sprayer is in another field at the same time: {named}"


def pour_text(amount: Any, phase: object, factors: Cells) -> str:
    """Return an amount in base units as people pour or weigh it; blank for blank."""
    if amount == "":
        return ""
    if phase == "liquid":
        steps = (factors["liquid_step_1"], factors["liquid_step_2"])
        names = (factors["liquid_name_1"], factors["liquid_name_2"], factors["liquid_name_3"])
        return split_text(amount, steps, names)
    return split_text(amount, (factors["dry_step_1"],), (factors["dry_name_1"], factors["dry_name_2"]))


def mix_lines(draft: Draft) -> list[Cells]:
    """Product amounts of every pass, slot by slot."""
    slots = draft.slots("products")
    rows = []
    for row, volume in zip(draft["passes"], draft["pass_volumes"], strict=True):
        for slot in range(1, slots + 1):
            line = Cells(slot=slot, liquid_part=0, unpriced=0)
            if volume["mix_no"] != "":
                line["item_row"] = (volume["mix_no"] - 1) * slots + slot
                item = draft["mix_items"][line["item_row"] - 1]
                if item["product"] != "":
                    _line(draft, line, item, row, volume)
            rows.append(line)
    return rows


def _line(draft: Draft, line: Cells, item: Cells, row: Cells, volume: Cells) -> None:
    line["pass"], line["field"] = volume["pass"], volume["field"]
    for key in ("product", "product_row", "kind", "form", "to_base", "amount_unit", "own_scale", "unit_price"):
        line[key] = item[key]
    line["phase"] = item["pour_phase"]
    if item["to_base"] != "":
        line["pour_base"] = item["to_base"] * item["pour_scale"]
    line["liquid_part"] = 0 if line["form"] == "dry" else ""
    carrier = number(row["carrier"])
    if carrier and item["area_rate"] != "":
        line["rate_base"] = item["area_rate"] + item["volume_rate"] * carrier
        line["amount_per_area"] = line["rate_base"] / line["to_base"]
        line["poured"] = line["rate_base"] * item["pour_scale"]
        _amounts(draft, line, volume, carrier)
    line["unpriced"] = int(line["cost"] == "")


def _amounts(draft: Draft, line: Cells, volume: Cells, carrier: float) -> None:
    factors = draft.form("factors")
    for key, load in (
        ("amount_first_load", "first_load_volume"), ("amount_full_load", "later_load_volume"), ("amount_last_load", "last_load_volume"),
        ("amount_even_load", "even_load_volume"), ("amount_total", "mixed_volume"),
    ):
        if volume[load] != "":
            line[key] = amount_in(line["rate_base"], volume[load], carrier) / line["to_base"]
    for load in ("first", "full", "last"):
        base, amount, text = f"{load}_base", f"amount_{load}_load", f"pour_{load}"
        if line[amount] != "":
            line[base] = shown(line[amount] * line["pour_base"], 1)
            line[text] = pour_text(line[base], line["phase"], factors)
    if line["form"] == line["phase"] == "liquid":
        line["liquid_part"] = line["poured"] / carrier / factors["base_per_volume"]
    if line["amount_total"] != "":
        total = line["amount_total"] * line["to_base"]
        line["total_own"] = "" if line["own_scale"] == "" else total * line["own_scale"]
        line["cost"] = "" if line["unit_price"] == "" else total * line["unit_price"]


def pass_water(draft: Draft) -> list[Cells]:
    """Water in each load of every pass row; also judges mix and tank, which wait for it."""
    rows = []
    for at_row, volume in enumerate(draft["pass_volumes"]):
        lines = draft.under("mix_lines", at_row, draft.slots("products"))
        parts = [line["liquid_part"] for line in lines]
        out = Cells(field=volume["field"], liquid_part="" if "" in parts else added(parts))
        out["pass"] = volume["pass"]
        for key, load in (
            ("water_first_load", "first_load_volume"), ("water_full_load", "later_load_volume"), ("water_last_load", "last_load_volume"),
            ("water_even_load", "even_load_volume"), ("water_total", "mixed_volume"),
        ):
            if volume[load] != "" and out["liquid_part"] != "":
                out[key] = volume[load] * (1 - out["liquid_part"])
        if out["water_first_load"] != "":
            out["first_fill"] = out["water_first_load"] * draft.form("assumptions")["first_fill"]
        rows.append(out)
    for place, water in enumerate(rows):
        _volume_status(draft, draft["pass_volumes"][place], place, water["liquid_part"])
    return rows
