"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View


def jar(plan: Planned) -> list[PlainRow]:
    """Jar amounts of every mix in mixing order: mL for liquids, g for dry products."""
    found = []
    for row in plan.tables["jar"]:
        if row["item"] != "":
            liquid = row["phase"] == "liquid"
            amount = row["ml"] if liquid else row["g"]
            found.append({
                "mix": row["mix"], "order": row["order"], "product": row["product"],
                "amount": None if amount == "" else amount,
                "amount_unit": "mL" if liquid else "g", "teaspoons": None if row["tsp"] == "" else row["tsp"],
                "jar": plan.tables["jar_choice"][0]["jar"], "carrier": None if row["carrier"] == ""
                else row["carrier"],
            })
    return found


VIEWS = (
    View("jar", "Jar amounts of every mix in mixing order: mL for liquids, g for dry products.", jar),
)
