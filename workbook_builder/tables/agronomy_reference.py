"""Reference lists of the agronomy sheets: published coefficients, unit factors, jars."""

from __future__ import annotations

from workbook_builder.columns import FIXED, Column, Table

_NDSU = "NDSU Crop & Pest Report 2 Jul 2015, citing ND Weed Control Guide 2015 p. 72; origin Nalewaja & Matysiak 1993"
_METHODS = "Standard Methods 2340 B, from memory; atomic weights give 2.4973 and 4.1180"
_USGS = "USGS hardness classes, from memory"

AGRONOMY_FACTORS = Table(
    "agronomy_factors",
    "Agronomy factors",
    "Published coefficients and exact unit factors behind the water, jar and nozzle sheets; not to be changed.",
    (
        Column("hardness_per_ca", "Hardness per ppm calcium", "factor", FIXED, digits=3, note="ppm as calcium carbonate", source=_METHODS),
        Column("hardness_per_mg", "Hardness per ppm magnesium", "factor", FIXED, digits=3, note="ppm as calcium carbonate", source=_METHODS),
        Column("ppm_per_grain", "Hardness in one grain per gallon", "factor", FIXED, digits=3, note="ppm", source="exact: 1 grain per US gallon; Rutgers prints 17.1"),
        Column("soft_to", "Soft up to", "ppm", FIXED, source=_USGS),
        Column("moderate_to", "Moderately hard up to", "ppm", FIXED, source=_USGS),
        Column("hard_to", "Hard up to", "ppm", FIXED, source=_USGS),
        Column("ams_per_k", "Ammonium sulfate per ppm potassium", "factor", FIXED, digits=3, note="lb per 100 gal", source=_NDSU),
        Column("ams_per_na", "Ammonium sulfate per ppm sodium", "factor", FIXED, digits=3, note="lb per 100 gal", source=_NDSU),
        Column("ams_per_ca", "Ammonium sulfate per ppm calcium", "factor", FIXED, digits=3, note="lb per 100 gal", source=_NDSU),
        Column("ams_per_mg", "Ammonium sulfate per ppm magnesium", "factor", FIXED, digits=3, note="lb per 100 gal", source=_NDSU),
        Column("ams_per_fe", "Ammonium sulfate per ppm iron", "factor", FIXED, digits=3, note="lb per 100 gal", source=_NDSU),
        Column("ams_unit", "This farm's rate in 1 lb per 100 gal", "factor", FIXED, note="1, or kg per 100 L"),
        Column("usual_ams_floor", "Usual least ammonium sulfate", "ams_rate", FIXED, note="Used where the setting is blank.",
               source="NDSU 2015: 4 to 6 lb per 100 gal is enough for most US water, and good water still gets it"),
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

JARS = Table(
    "jars",
    "Jars",
    "Jar sizes for the compatibility test.",
    (
        Column("jar", "Jar", role=FIXED),
        Column("volume_ml", "Volume in mL", "factor", FIXED),
    ),
    rows="given",
    kind="reference",
    sheet="Agronomy lists",
)

AGRONOMY_REFERENCE_TABLES = (AGRONOMY_FACTORS, JARS)
