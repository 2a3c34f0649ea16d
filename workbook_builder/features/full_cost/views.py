"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view(
        "full_costs", "Both layers of cost of every pass.",
        "field pass hours products carrier fuel hired_labor charge fee cash_cost own_labor depreciation "
        "interest insurance repairs "
        "full_cost cash_per_area full_per_area counted",
        "full_cost",
    ),
    table_view(
        "full_fields", "Both layers of cost of every field.",
        "field crop area products carrier fuel hired_labor charge fee cash_cost own_labor depreciation "
        "interest insurance repairs full_cost "
        "cash_per_area full_per_area",
        "field",
    ),
)
