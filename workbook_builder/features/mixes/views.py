"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view("adding_order", "Order of adding of every mix.",
               "mix step product adding_step why pause guides_differ", "step"),
)
