"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view(
        "order_list", "What to order of every product.",
        "product supplier drop_date first_use delivery_days order_by unit expected wanted on_hand missing "
        "packages cost leftover "
        "leftover_value status finding",
        "product",
    ),
    table_view("pick_list", "What to take along for each pass.",
               "pass field date product amount unit packages rest", "product"),
)
