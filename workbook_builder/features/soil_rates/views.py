"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, plain


def soil_rates(plan: Planned) -> list[PlainRow]:
    """Return every product of a pass whose label gives rates by soil."""
    rows = zip(plan.tables["soil_lines"], plan.tables["product_limits"], strict=True)
    return [
        {"pass": named["pass"], "field": named["field"], "product": named["name"],
         "low": plain(row["low"], "number"), "high": plain(row["high"], "number"), "status": row["status"],
         "finding": row["finding"] or None}
        for row, named in rows if row["status"] != ""
    ]


VIEWS = (View("soil_rates",
              "Rates by soil that hold for each product of each pass, in the unit of the label row.",
              soil_rates),)
