"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, table_view
from workbook_builder.features.products.inputs import HERBICIDE


def mode_use(plan: Planned) -> list[PlainRow]:
    """Uses of each group on each field, one row a season.

    Numbers for herbicides, text for the other lists.
    """
    season = plan.tables["farm"][0]["season"]
    found = []
    for row in plan.tables["mode_rotation"]:
        group = row["mode_group"] if row["scheme"] == HERBICIDE else str(row["mode_group"])
        for back, key in ((3, "back_3"), (2, "back_2"), (1, "back_1"), (0, "planned")):
            if row["mode_group"] != "" and row[key]:
                found.append({"field": row["field"], "season": season - back, "scheme": row["scheme"],
                              "mode_group": group, "uses": row[key]})
    return found


VIEWS = (
    table_view("mode_checks", "Groups in each pass and what is flagged about them.",
               "field pass groups modes_in_pass status finding", "status"),
    View("mode_use", "Uses of each group on each field, one row a season.", mode_use),
)
