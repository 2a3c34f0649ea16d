"""Rows of the water sheets: each water, and each pass in its water."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text, shown
from workbook_builder.features.water.definitions import advised_ammonium_sulfate, ammonium_sulfate, grains, hardness, hardness_class

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
        out = Cells(cares=0, unknown=0, doubtful=0, conditioner=int(folded(line["kind"]) == "water conditioner"))
        if line["product_row"] != "":
            product, fact = draft["products"][line["product_row"] - 1], draft["product_facts"][line["product_row"] - 1]
            out.update(label_low=fact["ams_low"], label_high=fact["ams_high"], typed=product["ams_content"])
            out["cares"] = int(folded(product["water_sensitive"]) == "yes")
            out["content"] = ammonium_sulfate_content(line["form"] == "dry", out["conditioner"] == 1, out["typed"], factors)
            out["ams"] = _brought(out["content"], line, draft["passes"][number_ // slots]["carrier"])
            out["unknown"] = int(out["ams"] == "")
            out["doubtful"] = int(folded(line["kind"]) == "fertilizer" and out["typed"] == "")
        rows.append(out)
    return rows


def ammonium_sulfate_content(dry: bool, conditioner: bool, typed: Any, factors: Cells) -> Any:
    """Return the ammonium sulfate in a base unit of a product [mass/base unit], blank where nobody knows.

    Parameters
    ----------
    dry : bool
        Whether the product is dry: then it is all ammonium sulfate, or none of it is.
    conditioner : bool
        Whether it is a water conditioner: a dry one is pure unless 0 is typed, of a liquid one nothing is known.
    typed : float or ""
        Content as typed [mass/volume].
    factors : Cells
        Base units in a mass and in a volume.
    """
    if dry:
        return 1 / factors["dry_step_1"] if number(typed) > 0 or (conditioner and typed == "") else 0
    if typed == "":
        return "" if conditioner else 0
    return typed / factors["base_per_volume"]


def _brought(content: Any, line: Cells, carrier: Any) -> Any:
    """Ammonium sulfate per 100 volumes of spray; blank where content, rate or density is missing."""
    if content in ("", 0):
        return content
    if line["poured"] == "" or line["phase"] != line["form"]:
        return ""
    return 100 * content * line["poured"] / carrier


def _amounts(draft: Draft, out: Cells, lines: list[Cells], volume: Cells) -> None:
    highs = [line["label_high"] for line in lines if line["label_high"] != ""]
    out["label_low"] = max((line["label_low"] for line in lines if line["label_low"] != ""), default=0)
    out["label_high"] = min(highs) if highs else ""
    out["banned"] = int(out["label_high"] == 0)
    for key in ("unknown", "doubtful", "cares"):
        out[key] = added(line[key] for line in lines)
    if out["pass"] != "" and out["banned"]:
        out["ams_per_100"] = 0
    elif out["ams_equation"] != "":
        floor = draft.form("farm_water")["ams_floor_used"]
        out["ams_per_100"] = advised_ammonium_sulfate(out["ams_equation"], floor, out["label_low"], min(highs) if highs else None)
    if volume["mix_no"] != "":
        out["ams_in_mix"] = added(number(line["ams"]) for line in lines)
    out["asked"] = out["ams_per_100"] if out["cares"] else min([out["label_low"], *highs])
    known = out["ams_in_mix"] != ""
    out["short"] = int(known and out["asked"] != "" and shown(out["asked"] - out["ams_in_mix"], 2) > 0)
    out["over"] = int(known and bool(highs) and shown(number(out["ams_in_mix"]) - min(highs, default=0), 2) > 0)
    out["apart"] = int(bool(highs) and out["label_low"] > min(highs))


def _judge(out: Cells, lines: list[Cells], facts: list[Cells], hard_water: Any) -> None:
    """Judge the ammonium sulfate of a pass: a label that forbids it wins, then what is missing, then too little or too much."""
    if not out["cares"] and out["label_low"] == 0 and out["label_high"] == "":
        return

    def first_with(key: str, value: int) -> str:
        return str(next(line["product"] for line, fact in zip(lines, facts, strict=True) if fact[key] == value))

    low, high, have, asked = (number_text(shown(number(out[key]), 2)) for key in ("label_low", "label_high", "ams_in_mix", "asked"))
    out["status"] = NOT_ENTERED
    if out["banned"] and number(out["ams_in_mix"]) > 0:
        out["status"] = NOT_ALLOWED
        out["finding"] = f"{first_with('label_high', 0)}: its label forbids ammonium sulfate, the mix carries {have}"
    elif out["unknown"]:
        out["finding"] = f"{first_with('unknown', 1)}: ammonium sulfate content not entered, or the density it takes to count it"
    elif out["banned"] and out["doubtful"]:
        out["finding"] = f"{first_with('doubtful', 1)}: ammonium sulfate content not entered, and a label in the mix forbids any"
    elif out["asked"] == "":
        out["finding"] = "Water test not complete: calcium, magnesium, sodium and potassium are needed"
    elif out["apart"]:
        out["finding"] = f"Labels in the mix differ: ammonium sulfate from {low} on one, up to {high} on another"
        out["status"] = LOOK
    elif out["over"]:
        out["status"], out["finding"] = LOOK, f"Ammonium sulfate {have}, the label gives up to {high}"
    elif out["short"] and not out["cares"]:
        out["status"], out["finding"] = LOOK, f"Ammonium sulfate {have}, a label asks for {asked} or more"
    elif out["short"]:
        hard = ", hard water" if number(out["hardness"]) >= number(hard_water) else ""
        out["status"], out["finding"] = LOOK, f"{out['suffers']}: ammonium sulfate {have} of {asked} advised{hard}"
    else:
        out["status"] = OK
