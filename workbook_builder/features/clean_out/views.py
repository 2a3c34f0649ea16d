"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view(
        "clean_out", "What follows each pass in its tank, and the rinses in between.",
        "pass field mix sprayer tank change next_pass next_field next_day next_mix next_crop sensitive "
        "products wanted rinses water wording "
        "fresh_area again_area rinsate status finding",
        "pass", table="clean_sequence",
    ),
    table_view(
        "tank_rinses", "Rinses of every tank.",
        "sprayer tank volume left water after_1 after_2 after_3 one_big times_cleaner routine_rinses "
        "routine_water sensitive_rinses "
        "sensitive_water reached status finding",
        "sprayer",
    ),
)
