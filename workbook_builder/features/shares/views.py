"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view("spot_history", "What earlier seasons sprayed of each spot pass.",
               "season field pass share volume area_driven area_sprayed product_cost saved pressure_class "
               "rating", "season"),
    table_view(
        "share_estimates", "The estimate of every spot pass.",
        "pass field expected_share scouting_share logged_share a b share_mean share_p50 share_p80 share_p95 "
        "loads_logged area_covered "
        "remaining_area volume_mean volume_p50 volume_p80 volume_p95 status finding",
        "a",
    ),
)
