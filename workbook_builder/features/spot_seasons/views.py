"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view("spot_seasons", "Mean share of the spot passes of each field, this season and three before.",
               "field this_season last two_ago three_ago", "field", "season_fields"),
    table_view("spot_season_totals", "All spot passes of each season together.",
               "season passes area_driven area_sprayed share volume product_cost saved", "season",
               "season_totals"),
)
