"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view(
        "follow_up", "Dates to look again, ratings and respray flags.",
        "pass field spots early_look first_look second_look looked rating respray status",
        "pass",
    ),
    table_view(
        "detection_results", "Trials of detection settings.",
        "pass field setting sprayed_share control escapes cost_per_area cost_per_point verdict",
        "pass_row",
    ),
)
