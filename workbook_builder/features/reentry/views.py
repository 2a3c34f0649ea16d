"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view(
        "field_intervals",
        "When people are back in each field and when its crop may be cut, and because of which pass.",
        "field back_in_from because_of_pass earliest_harvest harvest_because_of_pass status",
        "field",
    ),
)
