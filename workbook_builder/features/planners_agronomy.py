"""Which function plans which agronomy table, in the order they build on each other."""

from __future__ import annotations

from workbook_builder.features.clean_out import rows as clean_out_rows
from workbook_builder.features.suggestions import rows as mending_rows

AGRONOMY_PLANNERS = (
    ("label_costs", mending_rows.label_costs),
    ("label_weeds", mending_rows.label_weeds),
    ("mend_options", mending_rows.mend_options),
    ("suggestions", mending_rows.suggestions),
    ("clean_items", clean_out_rows.clean_items),
    ("tank_rinses", clean_out_rows.tank_rinses),
    ("clean_steps", clean_out_rows.clean_steps),
    ("clean_lines", clean_out_rows.clean_lines),
    ("clean_sequence", clean_out_rows.clean_sequence),
    ("clean_warnings", clean_out_rows.clean_warnings),
)
