"""Rows of the water sheets: each water, and each pass in its water."""

from __future__ import annotations

from typing import Any

from workbook_builder.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.planning.adding import added
from workbook_builder.planning.draft import Cells, Draft, find, first_rows, number
from workbook_builder.planning.rounding import number_text, shown
from workbook_builder.planning.water_quality import advised_ammonium_sulfate, ammonium_sulfate, grains, hardness, hardness_class
from workbook_builder.room import folded

IONS = ("k", "na", "ca", "mg", "fe")


def ph_note(ph: Any, low: Any, high: Any) -> str:
    """Say whether a pH is one that labels may speak of.

    Parameters
    ----------
    ph, low, high : float or ""
        Of the water, and the usual range.
    """
    if ph == "":
        return "pH not entered"
    text = f"pH {number_text(shown(ph, 1))}"
    if ph > number(high):
        return f"Alkaline, {text}: look for a pH range on the labels"
    return f"Acid, {text}: look for a pH range on the labels" if ph < number(low) else f"{text} is usual"


def _test(draft: Draft, typed: Cells, prefix: str) -> Cells:
    """Everything that follows from one water test."""
    ions = {ion: typed[f"{prefix}{ion}_ppm"] for ion in IONS}
    factors, settings, out = draft.form("agronomy_factors"), draft.form("agronomy_settings"), Cells()
    if ions["ca"] != "" and ions["mg"] != "":
        out["hardness"] = hardness(ions["ca"], ions["mg"])
        out["grains"] = grains(out["hardness"])
        out["hardness_class"] = hardness_class(out["hardness"])
        if ions["na"] != "" and ions["k"] != "":
            out["ams_equation"] = ammonium_sulfate({ion: number(ppm) for ion, ppm in ions.items()}) * factors["ams_unit"]
    out["ph_note"] = ph_note(typed[f"{prefix}ph"], settings["ph_low"], settings["ph_high"])
    return out


def farm_water(draft: Draft) -> list[Cells]:
    """The farm's own water, and the floor that holds for every water."""
    out = _test(draft, draft.form("farm"), "water_")
    floor = draft.form("agronomy_settings")["ams_floor"]
    out["ams_floor_used"] = draft.form("agronomy_factors")["usual_ams_floor"] if floor == "" else floor
    return [out]


def water_facts(draft: Draft) -> list[Cells]:
    """Each tested water."""
    rows = []
    for typed in draft["water_tests"]:
        out = _test(draft, typed, "")
        out["source"] = typed["source"]
        if typed["source"] == "" and typed["ph"] == "":
            out["ph_note"] = ""
        rows.append(out)
    return rows


def water_lines(draft: Draft) -> list[Cells]:
    """What each product of each pass has to do with the water."""
    slots, factors = draft.slots("products"), draft.form("factors")
    rows = []
    for number_, line in enumerate(draft["mix_lines"]):
        out = Cells(cares=0, conditioner=int(folded(line["kind"]) == "water conditioner"))
        product = draft["products"][line["product_row"] - 1] if line["product_row"] != "" else Cells()
        if folded(product["water_sensitive"]) == "yes":
            out.update(cares=1, label_low=product["ams_low"], label_high=product["ams_high"])
        if out["conditioner"]:
            out["content"] = _content(line, product, factors)
        if out["content"] != "" and line["rate_base"] != "":
            out["ams"] = 100 * out["content"] * line["rate_base"] / draft["passes"][number_ // slots]["carrier"]
        out["unknown"] = int(out["conditioner"] == 1 and out["ams"] == "")
        rows.append(out)
    return rows


def _content(line: Cells, product: Cells, factors: Cells) -> Any:
    """Ammonium sulfate in a base unit of a conditioner, dry ones pure."""
    if line["phase"] == "dry":
        return 1 / factors["dry_step_1"]
    return "" if product["ams_content"] == "" else product["ams_content"] / factors["base_per_volume"]


def water_checks(draft: Draft) -> list[Cells]:
    """Each pass in its water."""
    names = first_rows(draft["water_tests"], "source")
    slots = draft.slots("products")
    rows = []
    for number_, (typed, volume) in enumerate(zip(draft["passes"], draft["pass_volumes"], strict=True)):
        out = Cells(field=volume["field"], source_row=find(names, typed["water_source"]))
        out["pass"] = volume["pass"]
        if out["pass"] != "":
            water = draft.form("farm_water")
            out["water"] = "Farm water"
            if typed["water_source"] != "":
                out["water"] = typed["water_source"]
                water = draft["water_facts"][out["source_row"] - 1] if out["source_row"] != "" else Cells()
            for key in ("hardness", "grains", "ams_equation", "ph_note"):
                out[key] = water[key]
        _amounts(draft, out, draft.under("water_lines", number_, slots), volume)
        _suffers(out, draft.under("mix_lines", number_, slots), draft.under("water_lines", number_, slots))
        _judge(out, draft.form("agronomy_settings")["hard_water"])
        rows.append(out)
    return rows


def _amounts(draft: Draft, out: Cells, lines: list[Cells], volume: Cells) -> None:
    highs = [line["label_high"] for line in lines if line["label_high"] != ""]
    out["label_low"] = max((line["label_low"] for line in lines if line["label_low"] != ""), default=0)
    out["label_high"] = min(highs) if highs else ""
    out["unknown"] = added(line["unknown"] for line in lines)
    if out["ams_equation"] != "":
        floor = draft.form("farm_water")["ams_floor_used"]
        out["ams_per_100"] = advised_ammonium_sulfate(out["ams_equation"], floor, out["label_low"], min(highs) if highs else None)
    if volume["mix_no"] != "":
        out["ams_in_mix"] = added(number(line["ams"]) for line in lines)
    known = out["ams_in_mix"] != ""
    out["short"] = int(known and out["ams_per_100"] != "" and shown(out["ams_per_100"] - out["ams_in_mix"], 2) > 0)
    out["over"] = int(known and bool(highs) and shown(number(out["ams_in_mix"]) - min(highs, default=0), 2) > 0)


def _suffers(out: Cells, lines: list[Cells], facts: list[Cells]) -> None:
    named = [line["product"] for line, fact in zip(lines, facts, strict=True) if fact["cares"]]
    out["cares"] = len(named)
    if named:
        out["suffers"] = named[0] + (f" and {len(named) - 1} more" if len(named) > 1 else "")


def _judge(out: Cells, hard_water: Any) -> None:
    if not out["cares"]:
        return
    have, want = out["ams_in_mix"], out["ams_per_100"]
    if want == "":
        out["status"], out["finding"] = NOT_ENTERED, "Water test not complete: calcium, magnesium, sodium and potassium are needed"
    elif out["unknown"]:
        out["status"], out["finding"] = NOT_ENTERED, "Ammonium sulfate content of a water conditioner not entered"
    elif out["over"]:
        out["status"] = LOOK
        out["finding"] = f"Ammonium sulfate {number_text(shown(have, 2))}, the label gives up to {number_text(shown(out['label_high'], 2))}"
    elif out["short"]:
        hard = ", hard water" if number(out["hardness"]) >= number(hard_water) else ""
        out["status"] = LOOK
        out["finding"] = f"{out['suffers']}: ammonium sulfate {number_text(shown(have, 2))} of {number_text(shown(want, 2))} advised{hard}"
    else:
        out["status"] = OK
