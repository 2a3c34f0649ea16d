"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, plain
from workbook_builder.features.cover.columns import WEEKS


def cover_weeks(plan: Planned) -> list[PlainRow]:
    """Weeks of each field in which driver weeds come up, and whether residuals hold all of them."""
    start = plan.tables["cover_season"][0]["start"]
    found = []
    for row in plan.tables["field_weeks"]:
        for week in range(1, WEEKS + 1):
            if row[f"w{week}"] != "":
                found.append({"field": row["field"], "week_from": plain(start + 7 * (week - 1), "date"),
                              "status": row[f"w{week}"]})
    return found


VIEWS = (
    View("cover_weeks",
         "Weeks of each field in which driver weeds come up, and whether residuals hold all of them.",
         cover_weeks),
)
