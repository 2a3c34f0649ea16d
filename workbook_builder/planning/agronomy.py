"""Which function plans which agronomy table, in the order they build on each other."""

from __future__ import annotations

from workbook_builder.planning import catch_rows, clean_out_rows, effective_rows, jar_rows, mending_rows, mitigation_rows, nozzle_rows, water_rows, weed_rows
from workbook_builder.planning.cover_week_rows import COVER_PLANNERS

AGRONOMY_PLANNERS = (
    ("weed_facts", weed_rows.weed_facts),
    ("ingredient_weeds", weed_rows.ingredient_weeds),
    ("mix_weed_ingredients", weed_rows.mix_weed_ingredients),
    ("mix_weeds", weed_rows.mix_weeds),
    ("effective_modes", effective_rows.effective_modes),
    ("weed_cover", effective_rows.weed_cover),
    *COVER_PLANNERS,
    ("mode_reliance", effective_rows.mode_reliance),
    ("label_costs", mending_rows.label_costs),
    ("label_weeds", mending_rows.label_weeds),
    ("mend_options", mending_rows.mend_options),
    ("suggestions", mending_rows.suggestions),
    ("farm_water", water_rows.farm_water),
    ("water_facts", water_rows.water_facts),
    ("water_lines", water_rows.water_lines),
    ("jar_mixes", jar_rows.jar_mixes),
    ("jar", jar_rows.jar),
    ("jar_sheet", jar_rows.jar_sheet),
    ("jar_lines", jar_rows.jar_lines),
    ("nozzle_facts", nozzle_rows.nozzle_facts),
    ("tip_checks", nozzle_rows.tip_checks),
    ("sprayer_checks", nozzle_rows.sprayer_checks),
    ("nozzle_choices", nozzle_rows.nozzle_choices),
    ("catch_checks", catch_rows.catch_checks),
    ("clean_items", clean_out_rows.clean_items),
    ("tank_rinses", clean_out_rows.tank_rinses),
    ("clean_steps", clean_out_rows.clean_steps),
    ("clean_lines", clean_out_rows.clean_lines),
    ("clean_sequence", clean_out_rows.clean_sequence),
    ("clean_warnings", clean_out_rows.clean_warnings),
    ("mitigation_checks", mitigation_rows.mitigation_checks),
)
