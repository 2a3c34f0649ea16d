"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view("nozzle_choices", "Colour-coded sizes that give the flow of each pass.",
               "pass field size colour flow rated_flow pressure", "size"),
    table_view(
        "sprayer_checks", "Nozzle, pressure and droplets of every pass.",
        "pass field flow nozzle pressure droplet wanted pressure_status pressure_finding droplet_status "
        "droplet_finding",
        "pass",
    ),
    table_view(
        "catch_checks", "Every catch against its neighbours, a new nozzle and the carrier wanted.",
        "sprayer position course rate mean from_mean above_new from_wanted speed status finding",
        "sprayer",
    ),
)
