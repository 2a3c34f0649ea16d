"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view(
        "suggestions", "What single change would fix a pass.",
        "pass field weed have product adds_group would_have cost_per_area cost suggestion",
        "weed",
    ),
)
