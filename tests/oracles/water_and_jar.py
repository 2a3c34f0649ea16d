"""Water hardness, ammonium sulfate and jar amounts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from small_farm import first, small_plan

from oracles.registry import computes
from workbook_builder.core import units
from workbook_builder.features.jar.definitions import jar_amount, jar_area
from workbook_builder.features.water.definitions import (
    AMS_PER_PPM,
    ammonium_sulfate,
    grains,
    hardness,
    hardness_class,
)

Given = Mapping[str, Any]
#: What a check value calls a rate -> unit of the rate.
RATES = {"rate_pt_per_ac": "pt", "rate_qt_per_ac": "qt", "rate_lb_per_ac": "lb", "rate_oz_per_ac": "oz",
         "rate_fl_oz_per_ac": "fl oz"}
MEASURES = {"amount_ml": "mL", "amount_tsp": "tsp", "amount_g": "g"}


@computes(r"mixing-W.*", "water.definitions.ammonium_sulfate")
def ammonium_sulfate_need(given: Given, expected: Given) -> Given:
    """Return the need that the equation gives."""
    return {"rate_lb_per_100_gal": ammonium_sulfate({ion: given.get(f"water_{ion}_ppm", 0.0)
                                                     for ion in AMS_PER_PPM})}


@computes(r"mixing-H4-ca|mixing-H5-(ca|mg)|mixing-H6", "water.definitions.hardness, grains")
def hardness_of_water(given: Given, expected: Given) -> Given:
    """Return the hardness of a water; the older factor of magnesium, 4.115, is left out."""
    found = hardness(given.get("water_ca_ppm", 0.0), given.get("water_mg_ppm", 0.0))
    return {"hardness_ppm": found, "hardness_gpg": grains(found)}


@computes(r"mixing-H[123]", "water.definitions.grains")
def grains_per_gallon(given: Given, expected: Given) -> Given:
    """Return ppm in grains, or a grain in ppm."""
    return {"hardness_ppm": 1 / grains(1.0), "hardness_gpg": grains(given.get("hardness_ppm", 0.0))}


@computes(r"mixing-H8-.*", "water.definitions.hardness_class")
def hardness_classes(given: Given, expected: Given) -> Given:
    """Return the class's ends when both ends fall into it."""
    name = {"moderate": "moderately hard", "very-hard": "very hard"}.get(given["class"], given["class"])
    ends = {"above_ppm": expected["above_ppm"]} if "above_ppm" in expected else expected
    inside = [hardness_class(value + (0.5 if key == "above_ppm" else 0)) == name
              for key, value in ends.items()]
    return dict(ends) if all(inside) else {}


def _jar_gallons(given: Given) -> float:
    return float(given["jar_pt"] / 8 if "jar_pt" in given else given["jar_qt"] / 4)


def _in_jar(given: Given, measure: str) -> float:
    jar = _jar_gallons(given)
    if "percent_vv" in given:
        return jar_amount(0.0, given["percent_vv"] / 100, 10.0, jar) * units.factor("gal", measure)
    if "rate_lb_per_100_gal" in given:
        return jar_amount(0.0, given["rate_lb_per_100_gal"] / 100, 10.0, jar) * units.factor("lb", measure)
    key = next(key for key in RATES if key in given and (RATES[key] in ("lb", "oz")) == (measure == "g"))
    return jar_amount(given[key], 0.0, given["carrier_gpa"], jar) * units.factor(RATES[key], measure)


@computes(r"mixing-J6-(liquid|exact)|mixing-J[789]-.*|mixing-quart-.*-(pt-ml|pt-tsp|lb|oz|fl-oz)",
          "jar.definitions.jar_amount")
def amounts_in_a_jar(given: Given, expected: Given) -> Given:
    """Return the amounts in a jar; powders by the spoon are left out, since they differ in weight."""
    return {key: _in_jar(given, MEASURES[key]) for key in expected}


@computes(r"mixing-quart-.*-area", "jar.definitions.jar_area")
def area_of_a_jar(given: Given, expected: Given) -> Given:
    """Return the area that a quart stands for."""
    return {"acres_divided_by": 1 / jar_area(_jar_gallons(given), given["carrier_gpa"])}


@computes("mixing-J1", "jar.definitions.jar_area")
def metric_hundredth(given: Given, expected: Given) -> Given:
    """Return the jar that stands for a hundredth of a hectare, and its first fill."""
    jar = 0.01 / jar_area(1.0, given["carrier_l_per_ha"])
    return {"jar_l": jar, "first_l": jar * given["first_fill_percent"] / 100}


@computes(r"mixing-A15-.*", "plan: water_checks")
def liquid_conditioner(given: Given, expected: Given) -> Given:
    """Return the ammonium sulfate that a liquid conditioner brings into the mix."""
    plan = small_plan(
        products={"kind": "water conditioner", "ams_content": given["content_lb_per_gal"]},
        mixes={"rate": given["rate_gal_per_100_gal"], "rate_unit": "gal/100 gal"},
    )
    return {"rate_lb_per_100_gal": first(plan, "water_checks")["ams_in_mix"]}
