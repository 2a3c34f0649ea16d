"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view(
        "intervals", "Re-entry, harvest, grazing and rain-free times of every pass.",
        "field pass end rei_hours reentry_at because_of_pass posting earliest_harvest harvest_margin_days "
        "earliest_grazing rain_free_until "
        "status",
        "pass",
    ),
)
