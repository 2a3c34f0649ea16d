"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view(
        "machine_payback", "Whether each dearer machine pays.",
        "sprayer area_per_year saving_per_area annual_cost annual_net break_even_area payback_years "
        "discounted_payback_years npv "
        "npv_after_a_year irr no_rate verdict",
        "sprayer",
    ),
    table_view("machine_ranked", "Swings of each machine's figures, largest first.",
               "place sprayer figure low high size turns", "figure"),
)
