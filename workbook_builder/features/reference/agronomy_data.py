"""Rows of the agronomy reference lists: published coefficients, unit factors by pint, jars."""

from __future__ import annotations

from workbook_builder.core import units
from workbook_builder.core.columns import same_amount
from workbook_builder.core.inputs import Row
from workbook_builder.core.quantities import US
from workbook_builder.features.water.definitions import AMS_PER_PPM, HARDNESS_PER_PPM, PPM_PER_GRAIN


def agronomy_factors(system: str) -> list[Row]:
    """Return the single row of coefficients and factors."""
    us = system == US
    return [{
        "hardness_per_ca": HARDNESS_PER_PPM["ca"],
        "hardness_per_mg": HARDNESS_PER_PPM["mg"],
        "ppm_per_grain": PPM_PER_GRAIN,
        "soft_to": 60,
        "moderate_to": 120,
        "hard_to": 180,
        **{f"ams_per_{ion}": per for ion, per in AMS_PER_PPM.items()},
        "ams_unit": 1.0 if us else units.tidy(units.factor("lb/gal", "kg/L")),
        "usual_ams_floor": units.tidy(4 * (1.0 if us else units.factor("lb/gal", "kg/L"))),
        "flow_divisor": 5940 if us else 60000,
        "five_gallons": units.tidy(5 * units.factor("gal", units.BASE_UNITS[(system, units.LIQUID)])),
        "water_density": units.tidy(units.factor("kg/L", "lb/gal")) if us else 1.0,
        "catch_factor": 4083.75 if us else 1000,
        "catch_course": 0 if us else 50,
        "speed_per_course": units.tidy(60 / 88) if us else 3.6,
        "usual_low_pressure": same_amount(20, "pressure", system),
        "usual_high_pressure": same_amount(60, "pressure", system),
        "ml_per_base": units.tidy(units.factor(units.BASE_UNITS[(system, units.LIQUID)], "mL")),
        "g_per_base": units.tidy(units.factor(units.BASE_UNITS[(system, units.DRY)], "g")),
        "ml_per_volume": units.tidy(units.factor(units.volume_unit(system), "mL")),
        "ml_per_tsp": units.tidy(units.factor("tsp", "mL")),
    }]
