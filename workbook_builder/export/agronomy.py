"""Views of the agronomy sheets."""

from __future__ import annotations

from workbook_builder.export.view import PlainRow, View, plain_rows
from workbook_builder.planning.plan import Plan


def water(plan: Plan) -> list[PlainRow]:
    """Hardness and ammonium sulfate of every pass."""
    keys = ("pass", "field", "water", "hardness", "grains", "ams_equation", "ams_per_100", "ams_in_mix", "suffers", "ph_note", "status", "finding")
    return plain_rows(plan, "water_checks", keys, "pass")


def jar(plan: Plan) -> list[PlainRow]:
    """Jar amounts of every mix in adding order: mL for liquids, g for dry products."""
    found = []
    for row in plan.tables["jar"]:
        if row["item"] != "":
            liquid = row["phase"] == "liquid"
            amount = row["ml"] if liquid else row["g"]
            found.append({
                "mix": row["mix"], "order": row["order"], "product": row["product"], "amount": None if amount == "" else amount,
                "amount_unit": "mL" if liquid else "g", "teaspoons": None if row["tsp"] == "" else row["tsp"],
                "jar": plan.tables["jar_choice"][0]["jar"], "carrier": None if row["carrier"] == "" else row["carrier"],
            })
    return found


VIEWS: dict[str, View] = {"water": water, "jar": jar}
