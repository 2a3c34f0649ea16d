"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, plain


def nutrients(plan: Planned) -> list[PlainRow]:
    """Return each nutrient of each pass once, with the season of its field."""
    keys = ("field", "pass", "nutrient", "per_sprayed_area", "per_field_area", "season_total", "wanted",
            "status", "finding")
    return [{key: plain(row[key], "number") for key in keys} for row in plan.tables["nutrients"]
            if row["opens"] == 1]


VIEWS = (View("nutrients",
              "Nutrients that each pass brings, on ground that is sprayed and as a mean of the field, and "
              "over the season.", nutrients),)
