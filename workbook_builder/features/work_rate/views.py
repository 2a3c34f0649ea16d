"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view(
        "work_rates", "Work rate of every pass with refills counted.",
        "field pass theoretical_rate area_per_load field_hours refill_hours hours rate efficiency counted",
        "hours",
    ),
    table_view(
        "sprayer_costs", "What every sprayer costs to own, to run and against hiring.",
        "sprayer year_area depreciation interest insurance repairs owning running_hour running_area own_area "
        "hire_area hire_even_area "
        "advice",
        "sprayer",
    ),
)
