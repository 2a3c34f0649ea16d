"""Rows of cleaning out: rinses of every tank, and what follows each mix in the same tank."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from typing import Any

from workbook_builder.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.planning.adding import added
from workbook_builder.planning.clean_out import SMALL_RINSES, residue_share, rinse_water, rinses_needed
from workbook_builder.planning.draft import Cells, Draft, at, find, first_rows, number, worst
from workbook_builder.planning.pass_crop_rows import NEXT_CROP
from workbook_builder.planning.product_rows import by_crop, crop_key
from workbook_builder.planning.rounding import number_text, rounded
from workbook_builder.room import folded

TANKS = ("main", "spot")
FALLOW = "fallow"
#: Where a next crop is not known, after every row that is.
PAST_EVERY_ROW = 9999
_NONE_TYPED = "No clean-out label is entered for any product: see the sheet Clean-out labels"


def rinse_facts(draft: Draft) -> list[Cells]:
    """Lookup keys of the rinse terms."""
    return [Cells(key="" if row["sprayer"] == "" else f"{row['sprayer']}|{row['tank']}") for row in draft["rinse_terms"]]


def clean_label_facts(draft: Draft) -> list[Cells]:
    """Lookup keys of the clean-out labels."""
    return [Cells(key=crop_key(row["product"], row["next_crop"])) for row in draft["clean_out_labels"]]


def clean_farm(draft: Draft) -> list[Cells]:
    """How many rows of clean-out labels are typed."""
    return [Cells(rows=added(row["product"] != "" for row in draft["clean_out_labels"]))]


def clean_items(draft: Draft) -> list[Cells]:
    """One number for each product of each mix."""
    slots = draft.slots("products")
    return [
        Cells(key="" if item["product_row"] == "" else (n // slots + 1) * 10000 + item["product_row"])
        for n, item in enumerate(draft["mix_items"])
    ]


def tank_rinses(draft: Draft) -> list[Cells]:
    """Rinses of every tank of every sprayer."""
    terms = first_rows(draft["rinse_facts"], "key")
    rows = []
    for sprayer in draft["sprayers"]:
        for slot, tank in enumerate(TANKS, 1):
            out = Cells(slot=slot, left_typed=0, water_typed=0, carried=0)
            volume = number(sprayer[f"{tank}_tank"])
            if sprayer["sprayer"] != "" and volume:
                out.update(sprayer=sprayer["sprayer"], tank=tank, volume=volume)
                out["terms_row"] = find(terms, f"{sprayer['sprayer']}|{tank}")
                _fill_tank(draft, out, number(sprayer["unusable_volume"]))
            rows.append(out)
    return rows


def _fill_tank(draft: Draft, out: Cells, unusable: float) -> None:
    settings = draft.form("agronomy_settings")
    typed = {key: number(at(draft["rinse_terms"], out["terms_row"], key)) for key in ("left_volume", "rinse_water", "clean_water")}
    out["left_typed"], out["water_typed"], out["carried"] = typed["left_volume"], typed["rinse_water"], typed["clean_water"]
    out["left"] = typed["left_volume"] or unusable or ""
    out["water"] = typed["rinse_water"] or rinse_water(out["volume"], settings["rinse_share"])
    if out["left"] != "":
        _dilutions(out, settings)
    _tank_status(out)


def _dilutions(out: Cells, settings: Cells) -> None:
    left, water = out["left"], out["water"]
    ratio = out["ratio"] = water / left
    for rinses in range(1, SMALL_RINSES + 1):
        out[f"after_{rinses}"] = 1 / residue_share(left, water, rinses)
    out["one_big"] = 1 / residue_share(left, SMALL_RINSES * water, 1)
    out["times_cleaner"] = out[f"after_{SMALL_RINSES}"] / out["one_big"]
    for kind, wanted in (("routine", settings["routine_dilution"]), ("sensitive", settings["clean_dilution"])):
        out[f"{kind}_rinses"] = rinses_needed(ratio, wanted)
        out[f"{kind}_water"] = out[f"{kind}_rinses"] * water
    out["reached"] = (1 + ratio) ** out["sensitive_rinses"]


def _tank_status(out: Cells) -> None:
    if out["left"] == "":
        out["status"], out["finding"] = NOT_ENTERED, "Liquid left in the sprayer not entered"
    elif out["left"] + out["water"] > out["volume"]:
        out["status"], out["finding"] = LOOK, "One rinse is more than the tank holds"
    elif 0 < out["carried"] < out["sensitive_water"]:
        out["status"], out["finding"] = LOOK, "Clean water carried is not enough for the rinses before a sensitive crop"
    else:
        out["status"] = OK


def clean_steps(draft: Draft) -> list[Cells]:
    """Each pass's tank and time, and the pass that follows in that tank."""
    rows = []
    for number_, (volume, times) in enumerate(zip(draft["pass_volumes"], draft["pass_times"], strict=True), 1):
        out = Cells()
        if volume["pass"] != "":
            crop = draft["pass_crops"][number_ - 1]
            out["crop_on"] = FALLOW if crop["turn"] == NEXT_CROP and not crop["standing"] else volume["crop"]
        if volume["tank"] != "" and volume["sprayer_row"] != "":
            out["tank_no"] = (volume["sprayer_row"] - 1) * len(TANKS) + (2 if volume["spot_tank"] > 0 else 1)
            if volume["mix_no"] != "" and volume["pass"] != "" and times["start"] != "":
                out["order"] = int(rounded(times["start"] * 86400)) * 10000 + number_
                out["next_order"] = 0
        rows.append(out)
    _link(draft, rows)
    return rows


def _link(draft: Draft, rows: list[Cells]) -> None:
    tanks: dict[int, list[int]] = defaultdict(list)
    for index, out in enumerate(rows):
        if out["order"] != "":
            tanks[out["tank_no"]].append(index)
    for held in tanks.values():
        held.sort(key=lambda index: rows[index]["order"])
        for this, following in pairwise(held):
            out, later = rows[this], rows[following]
            out["next_order"], out["next_row"], out["next_crop"] = later["order"], following + 1, later["crop_on"]
            out["next_mix_no"] = draft["pass_volumes"][following]["mix_no"]
            out["new_mix"] = int(out["next_mix_no"] != draft["pass_volumes"][this]["mix_no"])


def clean_lines(draft: Draft) -> list[Cells]:
    """Each product of each pass against the crop that the next mix in the tank goes on."""
    slots = draft.slots("products")
    keys = first_rows(draft["clean_label_facts"], "key")
    held = {row["key"] for row in draft["clean_items"] if row["key"] != ""}
    rows: list[Cells] = []
    for number_, line in enumerate(draft["mix_lines"]):
        out, step = Cells(counts=0), draft["clean_steps"][number_ // slots]
        if line["product"] != "" and number(step["new_mix"]) == 1:
            both = line["product_row"] != "" and step["next_mix_no"] * 10000 + line["product_row"] in held
            out["held"], out["counts"] = int(both), int(not both)
        if out["counts"]:
            out["next_crop"] = step["next_crop"]
            _judge_line(draft, out, line["product"], keys, draft["product_limits"][number_]["needed"])
        above = rows[-1] if number_ % slots else Cells()
        out["names_before"], out["words_before"] = above["names_so_far"], above["words_so_far"]
        mind, hurts = out["status"] in (LOOK, NOT_ENTERED), out["status"] == LOOK
        out["names_so_far"] = ", ".join(filter(None, (out["names_before"], line["product"] if mind else "")))
        out["words_so_far"] = " / ".join(filter(None, (out["words_before"], f"{line['product']}: {out['wording']}" if hurts else "")))
        rows.append(out)
    return rows


def _judge_line(draft: Draft, out: Cells, product: str, keys: dict[object, int], needed: Any) -> None:
    fallow = folded(out["next_crop"]) == FALLOW
    row = out["row"] = find(keys, f"{product}|{FALLOW}") if fallow else by_crop(keys, product, out["next_crop"])
    if row == "":
        out["status"] = OK if fallow else NOT_ENTERED if needed == 1 else ""
    else:
        label = draft["clean_out_labels"][int(row) - 1]
        out["sensitive"], out["wording"], out["typed"] = label["sensitive"], label["wording"], label["wanted_dilution"]
        hurts = folded(out["sensitive"])
        out["status"] = OK if hurts == "no" else LOOK if hurts == "yes" and out["wording"] != "" else NOT_ENTERED
    if out["status"] in (LOOK, NOT_ENTERED):
        out["dilution"] = out["typed"] if out["typed"] != "" else draft.form("agronomy_settings")["clean_dilution"]
    if out["status"] == NOT_ENTERED:
        said = "clean-out wording not entered" if folded(out["sensitive"]) == "yes" else "sensitive or not is not entered"
        out["lacking"] = "not on Clean-out labels" if row == "" else said


def clean_sequence(draft: Draft) -> list[Cells]:
    """What each tank holds next, and the rinses in between."""
    rows: list[Cells] = []
    for number_, volume in enumerate(draft["pass_volumes"]):
        step, out = draft["clean_steps"][number_], Cells(field=volume["field"])
        out["pass"] = volume["pass"]
        if out["pass"] != "":
            typed = draft["passes"][number_]
            out["mix"], out["sprayer"] = typed["mix"], typed["sprayer"]
        out["tank"], out["ratio"] = (at(draft["tank_rinses"], step["tank_no"], key) for key in ("tank", "ratio"))
        _what_follows(draft, out, step)
        _rinses(draft, out, step, number_)
        rows.append(out)
    _statuses(draft, rows)
    return rows


def _what_follows(draft: Draft, out: Cells, step: Cells) -> None:
    row = out["next_row"] = step["next_row"]
    if step["order"] != "":
        out["change"] = "last in this tank" if row == "" else "new mix" if step["new_mix"] else "same mix"
    out["next_pass"], out["next_field"] = (at(draft["pass_volumes"], row, key) for key in ("pass", "field"))
    out["next_day"], out["next_mix"] = at(draft["pass_times"], row, "day"), at(draft["passes"], row, "mix")
    out["next_crop"] = step["next_crop"]


def _rinses(draft: Draft, out: Cells, step: Cells, number_: int) -> None:
    slots = draft.slots("products")
    lines = draft.under("clean_lines", number_, slots)
    outcome = out["outcome"] = worst(line["status"] for line in lines)
    out["sensitive"] = {LOOK: "yes", OK: "no", NOT_ENTERED: NOT_ENTERED}.get(outcome, "")
    if outcome in (LOOK, NOT_ENTERED):
        out["first"] = next(n for n, line in enumerate(lines, 1) if line["status"] == outcome)
    out["products"], out["wording"] = lines[-1]["names_so_far"], lines[-1]["words_so_far"]
    if number(step["new_mix"]) == 1:
        wanted = [line["dilution"] for line in lines if line["dilution"] != ""]
        out["wanted"] = max(wanted, default=draft.form("agronomy_settings")["routine_dilution"])
        if out["ratio"] != "":
            out["rinses"] = rinses_needed(out["ratio"], out["wanted"])
            out["water"] = out["rinses"] * at(draft["tank_rinses"], step["tank_no"], "water")
    out["state"] = NOT_ENTERED if outcome == LOOK and out["rinses"] == "" else outcome


def _statuses(draft: Draft, rows: list[Cells]) -> None:
    typed, slots, lacking = draft.form("clean_farm")["rows"], draft.slots("products"), 0
    crops = first_rows(rows, "next_crop")
    for number_, out in enumerate(rows):
        lacking += out["state"] == NOT_ENTERED
        out["open_no"] = lacking
        out["status"] = "" if out["state"] == NOT_ENTERED and not typed and lacking > 1 else out["state"]
        out["crop_row"] = crops[folded(out["next_crop"])] if out["next_crop"] != "" else PAST_EVERY_ROW
        if out["status"] in (LOOK, NOT_ENTERED):
            out["finding"] = _finding(draft, out, number_ * slots) if typed else _NONE_TYPED
            out["warn_key"] = out["crop_row"] * 10000 + number_ + 1


def _finding(draft: Draft, out: Cells, above: int) -> str:
    before = f"Before {out['next_pass']} on {out['next_field']} ({out['next_crop']}): "
    if out["outcome"] != LOOK:
        slot = above + out["first"] - 1
        return f"{before}{draft['mix_lines'][slot]['product']} {draft['clean_lines'][slot]['lacking']}"
    if out["rinses"] == "":
        return f"{before}liquid left in the sprayer not entered"
    return f"{before}clean out {out['products']}, {number_text(out['rinses'])} {'rinse' if out['rinses'] == 1 else 'rinses'}"


def clean_warnings(draft: Draft) -> list[Cells]:
    """Before which crop which tank must be cleaned out, crop by crop."""
    sequence = draft["clean_sequence"]
    keys = sorted(row["warn_key"] for row in sequence if row["warn_key"] != "")
    shown = ("next_crop", "status", "sprayer", "tank", "mix", "next_day", "next_pass", "next_field", "products", "wanted", "rinses", "water", "wording")
    rows = []
    for row_no in range(1, len(sequence) + 1):
        out = Cells(row_no=row_no)
        if row_no <= len(keys):
            out["key"], out["row"], out["done"] = keys[row_no - 1], keys[row_no - 1] % 10000, "[  ]"
            out.update((key, sequence[out["row"] - 1][key]) for key in shown)
        rows.append(out)
    return rows
