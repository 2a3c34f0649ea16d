"""Rows of cleaning out: rinses of every tank, and what follows each mix in the same tank."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number, worst
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text
from workbook_builder.features.clean_out.columns import MARK
from workbook_builder.features.clean_out.definitions import SMALL_RINSES, residue_share, rinse_water, rinses_needed
from workbook_builder.features.farm.pass_crops import NEXT_CROP
from workbook_builder.features.labels.name_lists import crop_cells
from workbook_builder.features.labels.rows import Labels
from workbook_builder.features.tank_order.definitions import TANKS

FALLOW = "fallow"
#: Where a next crop is not known, after every row that is.
PAST_EVERY_ROW = 9999
_NONE_TYPED = "No clean-out label is entered for any product: see the sheet Clean-out labels"


def clean_items(draft: Draft) -> list[Cells]:
    """One number for each product of each mix, and the marks of the mix so far."""
    slots = draft.slots("products")
    rows: list[Cells] = []
    for number_, item in enumerate(draft["mix_items"]):
        out = Cells(marks=rows[-1]["marks"] if number_ % slots else "")
        if item["product_row"] != "":
            out["key"] = (number_ // slots + 1) * 10000 + item["product_row"]
            out["marks"] += draft["clean_products"][item["product_row"] - 1]["mark"]
        rows.append(out)
    return rows


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
    """Passes tank by tank and by the clock; what each tank holds is filled in by :func:`clean_lines`."""
    order, slots = draft["tank_order"], draft.slots("products")
    rows = []
    for place, ordered in enumerate(order):
        out = Cells()
        following = order[place + 1] if place + 1 < len(order) else Cells(follows=0)
        if ordered["row"] != "":
            out["own"] = draft["clean_items"][ordered["mix_no"] * slots - 1]["marks"]
            if following["follows"]:
                out["next_row"], out["next_mix_no"] = following["row"], following["mix_no"]
                out["next_crop"] = crop_on(draft, following["row"])
                out["new_mix"] = int(following["mix_no"] != ordered["mix_no"])
        rows.append(out)
    for out in rows:
        out.update(crop_cells(draft, out["next_crop"]))
    return rows


def crop_on(draft: Draft, row: int) -> Any:
    """Return the crop that a pass goes on; ground sprayed after harvest counts as fallow until the next crop is planted."""
    crop = draft["pass_crops"][row - 1]
    return FALLOW if crop["turn"] == NEXT_CROP and not crop["standing"] else draft["pass_volumes"][row - 1]["crop"]


def clean_lines(draft: Draft) -> list[Cells]:
    """Each product in each tank, of the mix or left from before, against the crop that the next pass goes on."""
    labels = Labels(draft["clean_label_facts"])
    held = {item["key"] for item in draft["clean_items"] if item["key"] != ""}
    rows: list[Cells] = []
    kept = ""
    for step, ordered in zip(draft["clean_steps"], draft["tank_order"], strict=True):
        cleaned = ordered["row"] != "" and folded(draft["passes"][ordered["row"] - 1]["clean_before"]) == "yes"
        step["carried"] = kept if ordered["follows"] and not cleaned else ""
        step["held"] = step["own"] + step["carried"]
        own = _lines(draft, step, labels, held)
        kept = step["kept"] = own[-1]["kept_so_far"] if draft.form("clean_farm")["rows"] else ""
        _sum_up(draft, step, own)
        rows += own
    return rows


def _lines(draft: Draft, step: Cells, labels: Labels, held: set[Any]) -> list[Cells]:
    """The products that one tank holds, one a slot."""
    marks = [step["held"][at : at + MARK] for at in range(0, len(step["held"]), MARK)]
    rows: list[Cells] = []
    seen: set[str] = set()
    for slot in range(1, draft.slots("carried") + 1):
        out = Cells(slot=slot, once=0, before=0, counts=0)
        if slot <= len(marks):
            mark = out["mark"] = marks[slot - 1]
            out["product_row"] = int(mark.strip("|"))
            out["product"] = draft["products"][out["product_row"] - 1]["product"]
            out["once"] = int(mark not in seen)
            out["before"] = int(mark not in seen and MARK * slot > len(step["own"]))
            seen.add(mark)
            in_next = step["next_row"] != "" and step["next_mix_no"] * 10000 + out["product_row"] in held
            out["counts"] = int(out["once"] == 1 and step["next_row"] != "" and not in_next)
        if out["counts"]:
            out["next_crop"] = step["next_crop"]
            fact = draft["product_facts"][out["product_row"] - 1]
            out["number"] = fact["product_no"]
            out.update(labels.match(out["number"], step))
            _judge_line(draft, out, folded(step["crop_name"]) == FALLOW, fact["pesticide"])
        above = rows[-1] if rows else Cells()
        mind, hurts = out["status"] in (LOOK, NOT_ENTERED), out["status"] == LOOK
        left = " (left from before)" if out["before"] else ""
        out["names_so_far"] = above["names_so_far"] + (f", {out['product']}{left}" if mind else "")
        out["words_so_far"] = above["words_so_far"] + (f" / {out['product']}: {out['wording']}" if hurts else "")
        stays = out["once"] and not hurts and draft["clean_products"][out["product_row"] - 1]["minded"]
        out["kept_so_far"] = above["kept_so_far"] + (out["mark"] if stays else "")
        rows.append(out)
    return rows


def _sum_up(draft: Draft, step: Cells, own: list[Cells]) -> None:
    """What all products of a tank say together, before the next pass."""
    step["too_many"] = int(len(step["held"]) > MARK * draft.slots("carried"))
    outcome = step["outcome"] = worst(line["status"] for line in own)
    step["products"], step["wording"] = own[-1]["names_so_far"][2:], own[-1]["words_so_far"][3:]
    if outcome in (LOOK, NOT_ENTERED):
        first = step["first"] = next(n for n, line in enumerate(own, 1) if line["status"] == outcome)
        step["lacking"] = f"{own[first - 1]['product']} {own[first - 1]['lacking']}"
    if step["next_row"] != "":
        wanted = [line["dilution"] for line in own if line["dilution"] != ""]
        routine = draft.form("agronomy_settings")["routine_dilution"] if step["new_mix"] else ""
        step["wanted"] = max(wanted, default=routine)


def _judge_line(draft: Draft, out: Cells, fallow: bool, needed: Any) -> None:
    # A row that nearly names the crop does not count.
    row = out["row"] = out["named_row"] if out["named_row"] != "" or out["near_row"] != "" or fallow else out["found_row"]
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
        tank, out = draft["tank_steps"][number_], Cells(field=volume["field"])
        out["pass"] = volume["pass"]
        if out["pass"] != "":
            typed = draft["passes"][number_]
            out["mix"], out["sprayer"], out["crop_on"] = typed["mix"], typed["sprayer"], crop_on(draft, number_ + 1)
        out["tank"], out["ratio"] = (at(draft["tank_rinses"], tank["tank_no"], key) for key in ("tank", "ratio"))
        step = draft["clean_steps"][tank["place"] - 1] if tank["place"] != "" else Cells()
        _what_follows(draft, out, step, tank["place"] != "")
        _rinses(draft, out, step, tank["tank_no"])
        rows.append(out)
    _statuses(draft, rows)
    return rows


def _what_follows(draft: Draft, out: Cells, step: Cells, timed: bool) -> None:
    row = out["next_row"] = step["next_row"]
    out["new_mix"], out["next_crop"] = step["new_mix"], step["next_crop"]
    if timed:
        out["change"] = "last in this tank" if row == "" else "new mix" if step["new_mix"] else "same mix"
    out["next_pass"], out["next_field"] = (at(draft["pass_volumes"], row, key) for key in ("pass", "field"))
    out["next_day"], out["next_mix"] = at(draft["pass_times"], row, "day"), at(draft["passes"], row, "mix")


def _rinses(draft: Draft, out: Cells, step: Cells, tank_no: Any) -> None:
    for key in ("outcome", "products", "wording", "wanted", "too_many", "lacking"):
        out[key] = step[key]
    outcome = out["outcome"]
    out["sensitive"] = {LOOK: "yes", OK: "no", NOT_ENTERED: NOT_ENTERED}.get(outcome, "")
    if out["wanted"] != "" and out["ratio"] != "":
        out["rinses"] = rinses_needed(out["ratio"], out["wanted"])
        out["water"] = out["rinses"] * at(draft["tank_rinses"], tank_no, "water")
    out["state"] = NOT_ENTERED if outcome == LOOK and out["rinses"] == "" else outcome
    if out["too_many"] == 1 and out["state"] in ("", OK):
        out["state"] = LOOK


def _statuses(draft: Draft, rows: list[Cells]) -> None:
    typed, lacking = draft.form("clean_farm")["rows"], 0
    crops = first_rows(rows, "next_crop")
    for number_, out in enumerate(rows):
        lacking += out["state"] == NOT_ENTERED
        out["open_no"], out["what"] = lacking, _what(out)
        out["status"] = "" if out["state"] == NOT_ENTERED and not typed and lacking > 1 else out["state"]
        out["crop_row"] = crops[folded(out["next_crop"])] if out["next_crop"] != "" else PAST_EVERY_ROW
        if out["status"] in (LOOK, NOT_ENTERED):
            before = f"Before {out['next_pass']} on {out['next_field']} ({out['next_crop']}): "
            out["finding"] = before + out["what"] if typed else _NONE_TYPED
            out["warn_key"] = out["crop_row"] * 10000 + number_ + 1


def _what(out: Cells) -> str:
    """Say what to do, or what is missing, before the next pass."""
    if out["state"] in ("", OK):
        return ""
    if out["outcome"] == NOT_ENTERED:
        return str(out["lacking"])
    if out["outcome"] != LOOK:
        return "more products left in the tank than the workbook lists, clean it out in full"
    if out["rinses"] == "":
        return "liquid left in the sprayer not entered"
    return f"clean out {out['products']}, {number_text(out['rinses'])} {'rinse' if out['rinses'] == 1 else 'rinses'}"


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
