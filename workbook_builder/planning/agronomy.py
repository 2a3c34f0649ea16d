"""Which function plans which agronomy table, in the order they build on each other."""

from __future__ import annotations

from workbook_builder.planning import jar_rows, water_rows

AGRONOMY_PLANNERS = (
    ("farm_water", water_rows.farm_water),
    ("water_facts", water_rows.water_facts),
    ("water_lines", water_rows.water_lines),
    ("water_checks", water_rows.water_checks),
    ("jar_mixes", jar_rows.jar_mixes),
    ("jar", jar_rows.jar),
    ("jar_sheet", jar_rows.jar_sheet),
    ("jar_lines", jar_rows.jar_lines),
)
