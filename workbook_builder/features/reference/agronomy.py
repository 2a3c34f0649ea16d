"""Reference lists of the agronomy sheets: published coefficients, unit factors, jars."""

from __future__ import annotations

from workbook_builder.core.columns import FIXED, Column, Table

_NDSU = ("NDSU Crop & Pest Report 2 Jul 2015, citing ND Weed Control Guide 2015 p. 72; origin Nalewaja & "
         "Matysiak 1993")
_METHODS = "Standard Methods 2340 B, from memory; atomic weights give 2.4973 and 4.1180"
_USGS = "USGS hardness classes, from memory"

AGRONOMY_FACTORS = Table(
    "agronomy_factors",
    "Agronomy factors",
    "Published coefficients and exact unit factors behind the water, jar and nozzle sheets; not to be "
    "changed.",
    (
        Column("hardness_per_ca", "Hardness per ppm calcium", "factor", FIXED, digits=3,
               note="ppm as calcium carbonate", source=_METHODS),
        Column("hardness_per_mg", "Hardness per ppm magnesium", "factor", FIXED, digits=3,
               note="ppm as calcium carbonate", source=_METHODS),
        Column("ppm_per_grain", "Hardness in one grain per gallon", "factor", FIXED, digits=3, note="ppm",
               source="exact: 1 grain per US gallon; Rutgers prints 17.1"),
        Column("soft_to", "Soft up to", "ppm", FIXED, source=_USGS),
        Column("moderate_to", "Moderately hard up to", "ppm", FIXED, source=_USGS),
        Column("hard_to", "Hard up to", "ppm", FIXED, source=_USGS),
        Column("ams_per_k", "Ammonium sulfate per ppm potassium", "factor", FIXED, digits=3,
               note="lb per 100 gal", source=_NDSU),
        Column("ams_per_na", "Ammonium sulfate per ppm sodium", "factor", FIXED, digits=3,
               note="lb per 100 gal", source=_NDSU),
        Column("ams_per_ca", "Ammonium sulfate per ppm calcium", "factor", FIXED, digits=3,
               note="lb per 100 gal", source=_NDSU),
        Column("ams_per_mg", "Ammonium sulfate per ppm magnesium", "factor", FIXED, digits=3,
               note="lb per 100 gal", source=_NDSU),
        Column("ams_per_fe", "Ammonium sulfate per ppm iron", "factor", FIXED, digits=3,
               note="lb per 100 gal", source=_NDSU),
        Column("ams_unit", "This farm's rate in 1 lb per 100 gal", "factor", FIXED,
               note="1, or kg per 100 L"),
        Column("usual_ams_floor", "Usual least ammonium sulfate", "ams_rate", FIXED,
               note="Used where the setting is blank.",
               source="NDSU 2015: 4 to 6 lb per 100 gal is enough for most US water, and good water still "
                      "gets it"),
        Column("flow_divisor", "Carrier x speed x spacing per flow", "factor", FIXED, digits=0,
               note="5940 from 43560 x 60 x 12 / 5280; 60000 in metric with cm",
               source="MU Extension G1270A; UF/IFAS EDIS WG013"),
        Column("five_gallons", "Five US gallons in liquid base units", "factor", FIXED, digits=1),
        Column("water_density", "Weight of water", "density", FIXED, note="1 kg/L"),
        Column("catch_factor", "Catch x this over spacing and course", "factor", FIXED, digits=2,
               note="4083.75 = 43560 x 12 / 128; 1000 in metric",
               source="LSU AgCenter, Ounces equal gallons; OMAFRA 50 m method"),
        Column("catch_course", "Course of the catch test", "factor", FIXED, digits=0,
               note="50 m; 0 means 1/128 acre for one spacing"),
        Column("speed_per_course", "Speed of one length unit a second", "factor", FIXED,
               note="60/88 mph, 3.6 km/h"),
        Column("usual_low_pressure", "Usual lowest pressure", "pressure", FIXED,
               note="Used where the setting is blank.", source="common practice, no source"),
        Column("usual_high_pressure", "Usual highest pressure", "pressure", FIXED,
               note="Used where the setting is blank.", source="common practice, no source"),
        Column("ml_per_base", "Millilitres in a liquid base unit", "factor", FIXED),
        Column("g_per_base", "Grams in a dry base unit", "factor", FIXED),
        Column("ml_per_volume", "Millilitres in a unit of spray volume", "factor", FIXED),
        Column("ml_per_tsp", "Millilitres in a US teaspoon", "factor", FIXED),
    ),
    rows="form",
    kind="reference",
    sheet="Agronomy lists",
    named=True,
)
