"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view(
        "buffers", "Exclusion zone of every pass with a pesticide, and the downwind buffer of its labels.",
        "pass field exclusion_zone downwind_buffer downwind_side status finding", "exclusion_zone",
    ),
)
