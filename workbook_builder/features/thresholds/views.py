"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view("thresholds", "Each pest counted on a field, with its injury level and threshold.",
               "field pest injury_level threshold count cost cost_field cost_full level_spot gain status "
               "finding", "status"),
)
