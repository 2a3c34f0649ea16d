"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, table_view


def mode_use(plan: Planned) -> list[PlainRow]:
    """Uses of each group on each field, one row a season."""
    season = plan.tables["farm"][0]["season"]
    found = []
    for row in plan.tables["mode_rotation"]:
        for back, key in ((3, "back_3"), (2, "back_2"), (1, "back_1"), (0, "planned")):
            if row["mode_group"] != "" and row[key]:
                found.append({"field": row["field"], "season": season - back, "mode_group": row["mode_group"], "uses": row[key]})
    return found


VIEWS = (
    table_view("mode_checks", "Groups in each pass and what is flagged about them.", "field pass groups modes_in_pass status finding", "status"),
    View("mode_use", "Uses of each group on each field, one row a season.", mode_use),
)
