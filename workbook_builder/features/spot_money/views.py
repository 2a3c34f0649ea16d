"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, plain_rows, table_view


def spot_season(plan: Planned) -> list[PlainRow]:
    """All spot passes together, one row."""
    return plain_rows(plan, "spot_season", tuple(plan.tables["spot_season"][0]), "passes")


VIEWS = (
    table_view(
        "spot_against_broadcast", "Every spot pass against broadcasting the same mix.",
        "field pass area share product_saved water_saved carrier_saved refills_saved hours_saved time_saved "
        "fee escapes again net "
        "net_per_area break_even_share broadcast_cost spot_cost net_p10 net_p50 net_p90 chance status "
        "finding",
        "pass",
    ),
    table_view("spot_actual", "Every spot pass with a log: expected before and sprayed.",
               "pass field share_before share volume_before volume area_driven area_sprayed product_cost "
               "saved enough", "share"),
    View("spot_season", "All spot passes together, one row.", spot_season),
)
