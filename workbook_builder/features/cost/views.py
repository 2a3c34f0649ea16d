"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.columns import WORKING
from workbook_builder.core.views import PlainRow, Planned, View, plain_rows, table_view


def cost_farm(plan: Planned) -> list[PlainRow]:
    """Farm totals, one row; the cost per field area holds everything and stands under its earlier name too.
    """
    keys = tuple(column.key for column in plan.declared["cost_farm"].columns if column.role != WORKING)
    return [{**row, "cost_per_area": row["cost_per_field_area"]}
            for row in plain_rows(plan, "cost_farm", keys, "total_cost")]


VIEWS = (
    table_view(
        "cost_passes", "Cost of every pass.",
        "field pass herbicide_cost adjuvant_cost product_cost carrier_cost application_cost fee total_cost "
        "cost_per_field_area "
        "cost_per_sprayed_area",
        "total_cost",
    ),
    View("cost_farm",
         "Farm totals, one row; the cost per field area holds everything and stands under its earlier "
         "name too.", cost_farm),
)
