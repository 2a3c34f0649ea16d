"""Which function plans which agronomy table, in the order they build on each other."""

from __future__ import annotations

from workbook_builder.planning import catch_rows, effective_rows, jar_rows, mending_rows, nozzle_rows, water_rows, weed_rows

AGRONOMY_PLANNERS = (
    ("weed_facts", weed_rows.weed_facts),
    ("rating_facts", weed_rows.rating_facts),
    ("weed_list", weed_rows.weed_list),
    ("weed_totals", weed_rows.weed_totals),
    ("ingredient_weeds", weed_rows.ingredient_weeds),
    ("mix_weed_ingredients", weed_rows.mix_weed_ingredients),
    ("mix_weeds", weed_rows.mix_weeds),
    ("effective_modes", effective_rows.effective_modes),
    ("weed_cover", effective_rows.weed_cover),
    ("reliance_facts", effective_rows.reliance_facts),
    ("mode_reliance", effective_rows.mode_reliance),
    ("label_costs", mending_rows.label_costs),
    ("label_weeds", mending_rows.label_weeds),
    ("mend_passes", mending_rows.mend_passes),
    ("mend_options", mending_rows.mend_options),
    ("suggestions", mending_rows.suggestions),
    ("farm_water", water_rows.farm_water),
    ("water_facts", water_rows.water_facts),
    ("water_lines", water_rows.water_lines),
    ("water_checks", water_rows.water_checks),
    ("jar_mixes", jar_rows.jar_mixes),
    ("jar", jar_rows.jar),
    ("jar_sheet", jar_rows.jar_sheet),
    ("jar_lines", jar_rows.jar_lines),
    ("nozzle_facts", nozzle_rows.nozzle_facts),
    ("nozzle_totals", nozzle_rows.nozzle_totals),
    ("line_droplets", nozzle_rows.line_droplets),
    ("pass_droplets", nozzle_rows.pass_droplets),
    ("tip_checks", nozzle_rows.tip_checks),
    ("sprayer_checks", nozzle_rows.sprayer_checks),
    ("nozzle_choices", nozzle_rows.nozzle_choices),
    ("catch_checks", catch_rows.catch_checks),
)
