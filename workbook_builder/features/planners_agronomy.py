"""Which function plans which agronomy table, in the order they build on each other."""

from __future__ import annotations

from workbook_builder.features.suggestions import rows as mending_rows

AGRONOMY_PLANNERS = (
    ("label_costs", mending_rows.label_costs),
    ("label_weeds", mending_rows.label_weeds),
    ("mend_options", mending_rows.mend_options),
    ("suggestions", mending_rows.suggestions),
)
