"""Rows of the jar test: every mix, and the one chosen."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.rounding import number_text, shown
from workbook_builder.features.jar.definitions import jar_amount, jar_area

_STAND = "Shake, stand 15 minutes, look for clumps, layers, gel or heat; shake again and look once more"


def _jar_ml(draft: Draft) -> Any:
    row = find(first_rows(draft["jars"], "jar"), draft.form("jar_choice")["jar"])
    return at(draft["jars"], row, "volume_ml")


def jar_mixes(draft: Draft) -> list[Cells]:
    """Carrier and jar volume of every mix."""
    firsts = first_rows(draft["pass_volumes"], "mix_no")
    ml = _jar_ml(draft)
    volume = "" if ml == "" else ml / draft.form("agronomy_factors")["ml_per_volume"]
    rows = []
    for mix in draft["mix_list"]:
        row = firsts.get(mix["row_no"], "") if mix["row"] != "" else ""
        rows.append(Cells(pass_row=row, carrier=at(draft["passes"], row, "carrier"), volume=volume))
    return rows


def _measures(draft: Draft, out: Cells, item: Cells, carrier: Any, volume: Any) -> None:
    """Fill phase, base units, mL, teaspoons and grams of a product in a jar."""
    factors = draft.form("agronomy_factors")
    out["phase"] = item["pour_phase"]
    if "" in (carrier, volume, item["area_rate"]):
        return
    out["base"] = jar_amount(item["area_rate"], item["volume_rate"], carrier, volume) * item["pour_scale"]
    if out["phase"] == "liquid":
        out["ml"] = out["base"] * factors["ml_per_base"]
        out["tsp"] = out["ml"] / factors["ml_per_tsp"]
    elif out["phase"] == "dry":
        out["g"] = out["base"] * factors["g_per_base"]


def jar(draft: Draft) -> list[Cells]:
    """Amounts of every mix in mixing order."""
    slots = draft.slots("products")
    rows = []
    for number_, order in enumerate(draft["adding_order"]):
        mix = draft["jar_mixes"][number_ // slots]
        out = Cells(order=order["step"], product=order["product"], item=order["item"])
        if order["item"] != "":
            out["mix"], out["carrier"] = order["mix"], mix["carrier"]
            item = draft.under("mix_items", number_ // slots, slots)[order["item"] - 1]
            _measures(draft, out, item, mix["carrier"], mix["volume"])
        rows.append(out)
    return rows


def jar_sheet(draft: Draft) -> list[Cells]:
    """The chosen jar; its liquids are summed once its lines are planned."""
    choice, out = draft.form("jar_choice"), Cells()
    mixes = draft["mix_list"]
    if choice["mix"] != "":
        out["mix_no"] = find(first_rows(mixes, "mix"), choice["mix"])
    elif mixes[0]["row"] != "":
        out["mix_no"] = 1
    out["volume_ml"] = _jar_ml(draft)
    if out["volume_ml"] != "":
        out["volume"] = out["volume_ml"] / draft.form("agronomy_factors")["ml_per_volume"]
    if out["mix_no"] != "":
        out["mix"] = mixes[out["mix_no"] - 1]["mix"]
        out["carrier"] = choice["carrier"] if choice["carrier"] != "" else draft["jar_mixes"][out["mix_no"] - 1]["carrier"]
    _carriers(draft, out)
    out["status"] = _status(out)
    if out["volume"] != "" and out["carrier"] != "":
        out["area_part"] = jar_area(out["volume"], out["carrier"])
        out["stand"] = _STAND
        if not mixes[out["mix_no"] - 1]["bad_rows"]:
            out["liquid_ml"] = added(number(line["ml"]) for line in _lines(draft, out) if line["form"] == "liquid")
            out["water_ml"] = out["volume_ml"] - out["liquid_ml"]
            out["first_ml"] = out["water_ml"] * draft.form("assumptions")["first_fill"]
    return [out]


def _carriers(draft: Draft, out: Cells) -> None:
    out["carrier_note"] = "No pass has this mix"
    if out["mix_no"] == "":
        return
    used = [
        typed["carrier"] for typed, volume in zip(draft["passes"], draft["pass_volumes"], strict=True)
        if volume["mix_no"] == out["mix_no"] and typed["carrier"] != ""
    ]
    out["lowest"], out["highest"] = min(used, default=0), max(used, default=0)
    if out["highest"] == 0:
        return
    low, high = (number_text(shown(out[key], 2)) for key in ("lowest", "highest"))
    out["carrier_note"] = (
        f"All passes carry {low}" if out["lowest"] == out["highest"]
        else f"Passes carry {low} to {high}: test at the lowest, it is the strongest"
    )


def _status(out: Cells) -> str:
    if out["mix_no"] == "":
        return "Review: no such mix"
    if out["volume_ml"] == "":
        return "Review: choose a jar"
    return "Review: no pass has this mix, enter a carrier" if out["carrier"] == "" else "OK"


def jar_lines(draft: Draft) -> list[Cells]:
    """Products of the chosen jar in mixing order."""
    return _lines(draft, draft.form("jar_sheet"))


def _lines(draft: Draft, sheet: Cells) -> list[Cells]:
    slots = draft.slots("products")
    rows = []
    for slot in range(1, slots + 1):
        out = Cells(slot=slot)
        if sheet["mix_no"] != "":
            before = (sheet["mix_no"] - 1) * slots
            out["order_row"] = before + slot
            order = draft["adding_order"][out["order_row"] - 1]
            out["product"] = order["product"]
            if order["product"] != "":
                out["done"], out["why"] = "[  ]", order["why"]
                out["item"] = before + order["item"]
                out["form"] = draft["mix_items"][out["item"] - 1]["form"]
                _measures(draft, out, draft["mix_items"][out["item"] - 1], sheet["carrier"], sheet["volume"])
        rows.append(out)
    return rows
