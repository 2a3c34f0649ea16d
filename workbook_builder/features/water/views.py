"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view(
        "water", "Hardness and ammonium sulfate of every pass.",
        "pass field water hardness grains ams_equation ams_per_100 ams_in_mix suffers ph_note status finding",
        "pass", table="water_checks",
    ),
)
