"""Units, ingredient rates and products for a wanted amount."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from small_farm import first, small_plan

from oracles.registry import computes
from workbook_builder.core import units
from workbook_builder.features.reference import data as reference_data

Given = Mapping[str, Any]
#: Published conversions between units that the package knows.
KNOWN = (
    r"mixing-U(1-.*|2(-rounded)?|3-(l|l-rounded|fl-oz|pt|qt)|4.*|5.*|6.*|7.*|8.*|9.*|10.*|11.*|12.*|13."
    r"*|15|16|17|19.*|20-bar|23-l|23-l-rounded|23-gal.*)"
    r"|labels-A42-.*"
)


@computes(KNOWN, "units.factor")
def conversion(given: Given, expected: Given) -> Given:
    """Convert between two printed units."""
    return {"factor": units.factor(given["from"], given["to"])}


@computes("mixing-C16-metric|mixing-C17", "units.factor")
def carrier_in_metric(given: Given, expected: Given) -> Given:
    """Convert a carrier volume."""
    return {"carrier_l_per_ha": given["carrier_gpa"] * units.factor("gal/ac", "L/ha")}


@computes("mixing-C20-.*|mixing-speed-.*", "units.factor")
def seconds_on_a_course(given: Given, expected: Given) -> Given:
    """Return the time over a course from the factor between the speed units."""
    if "speed_mph" in given:
        return {"time_s": 60 * given["course_ft"] / (given["speed_mph"] * units.factor("mph", "ft/min"))}
    return {"time_s": 60 * given["course_m"] / (given["speed_km_per_h"] * units.factor("km/h", "m/min"))}


@computes("mixing-F2", "units.factor")
def speed_constant(given: Given, expected: Given) -> Given:
    """Return feet per minute in a mile per hour."""
    return {"ft_per_min_per_mph": units.factor("mph", "ft/min")}


@computes("mixing-F2b", "units.factor")
def speed_constant_per_second(given: Given, expected: Given) -> Given:
    """Return miles per hour in a foot per second."""
    return {"mph_per_ft_per_s": 60 * units.factor("ft/min", "mph")}


@computes("mixing-F3b", "units.factor")
def small_plot(given: Given, expected: Given) -> Given:
    """Return the plot on which fluid ounces caught are gallons per acre."""
    return {"sq_ft": units.factor("ac", "sq ft") / units.factor("gal", "fl oz")}


@computes("mixing-F1b", "units.factor")
def wide_constant(given: Given, expected: Given) -> Given:
    """Return gal/ac x mph x ft in one gal/min."""
    return {"constant": 60 * reference_data.factors("us")[0]["work_rate_divisor"]}


@computes("mixing-F1|targeted-M1", "reference_data.factors: work rate divisor")
def work_rate_divisor(given: Given, expected: Given) -> Given:
    """Return the divisor of the work rate; 12 inches and 60 minutes more for the flow constant."""
    divisor = reference_data.factors("us")[0]["work_rate_divisor"]
    return {"constant": divisor * given.get("min_per_h", 1) * given.get("in_per_ft", 1)}


@computes("mixing-T9", "units.factor")
def per_thousand_square_feet(given: Given, expected: Given) -> Given:
    """Turn rates per acre into rates per 1,000 sq ft, rounded as printed."""
    return {
        "carrier_gal_per_1000_sq_ft": round(1000 * given["carrier_gpa"] * units.factor("gal/ac", "gal/sq ft"),
                                            2),
        "rate_fl_oz_per_1000_sq_ft": round(1000 * given["rate_pt_per_ac"]
                                           * units.factor("pt/ac", "fl oz/sq ft"), 1),
    }


def ingredient(rate: float, rate_unit: str, content: float, content_unit: str,
               **more: dict[str, Any]) -> float:
    """Return the ingredient per area [lb/ac or kg/ha] of one product, as the plan works it out."""
    system = "us" if rate_unit.endswith(("ac", "gal")) else "metric"
    plan = small_plan(
        system, mixes={"rate": rate, "rate_unit": rate_unit},
        ingredients={"content": content, "content_unit": content_unit}, passes={"carrier": 100.0}, **more
    )
    return float(first(plan, "pass_ingredients")["mass"])


def rate_for(wanted: float, rate_unit: str, content: float, content_unit: str,
             **more: dict[str, Any]) -> float:
    """Return the product rate that carries a wanted ingredient rate."""
    return wanted / ingredient(1.0, rate_unit, content, content_unit, **more)


@computes(r"labels-A3[0124].*|labels-A35.*|labels-A41.*|mixing-pints-.*", "plan: pass_ingredients")
def liquid_rate(given: Given, expected: Given) -> Given:
    """Return the liquid product per acre that carries a wanted ingredient rate."""
    wanted = next((given[key] for key in given if key.startswith("rate_lb")), 1.0)
    content = next(given[key] for key in given if key.startswith("content"))
    label_unit = "lb ae/gal" if "content_lb_ae_per_gal" in given else "lb ai/gal"
    found = {}
    for key in expected:
        unit = "pt/ac" if key.startswith("rate_pt") else "fl oz/ac"
        found[key] = rate_for(wanted, unit, content, label_unit)
    return found


@computes(r"labels-A36-.*|labels-A38-.*", "plan: pass_ingredients")
def ingredient_in_pints(given: Given, expected: Given) -> Given:
    """Return the acid equivalent that some pints carry."""
    return {"rate_lb_ae_per_ac": ingredient(given["rate_pt_per_ac"], "pt/ac", given["content_lb_ae_per_gal"],
                                            "lb ae/gal")}


@computes(r"labels-B20-rate|labels-B2.*-rate|labels-F47-product", "plan: pass_ingredients")
def ingredient_in_ounces(given: Given, expected: Given) -> Given:
    """Return the ingredient that some fluid ounces carry."""
    content = next(given[key] for key in given if key.startswith("content"))
    return {key: ingredient(given["rate_fl_oz_per_ac"], "fl oz/ac", content, "lb ae/gal") for key in expected}


@computes("mixing-T5|mixing-T15", "plan: pass_ingredients")
def dry_rate(given: Given, expected: Given) -> Given:
    """Return the dry product per acre that carries a wanted ingredient rate."""
    sold_dry = {"package_unit": "lb"}
    return {"product_lb_per_ac": rate_for(given["rate_lb_ai_per_ac"], "lb/ac", given["content_percent"],
                                          "% w/w", products=sold_dry)}


@computes("mixing-T20", "plan: pass_ingredients")
def dry_rate_metric(given: Given, expected: Given) -> Given:
    """Return the ingredient that some kilograms of a dry product carry."""
    mass = ingredient(given["rate_kg_per_ha"], "kg/ha", given["content_percent"], "% w/w",
                      products={"package_unit": "kg"})
    return {"rate_g_ai_per_ha": mass * units.factor("kg", "g")}


@computes("mixing-T21", "plan: pass_ingredients")
def liquid_rate_metric(given: Given, expected: Given) -> Given:
    """Return the liquid product per hectare that carries a wanted ingredient rate, rounded as printed."""
    return {"rate_l_per_ha": round(rate_for(given["rate_kg_ai_per_ha"], "L/ha",
                                            given["content_g_per_l"], "g/L"), 2)}


@computes("mixing-per100-.*", "plan: pass_ingredients")
def product_per_hundred_gallons(given: Given, expected: Given) -> Given:
    """Return the product per 100 gal of spray that carries a wanted ingredient amount."""
    (key,) = expected
    unit = key.split("_")[1]
    dry = unit == "lb"
    content, content_unit = ((given["content_percent"], "% w/w") if dry
                             else (given["content_lb_ai_per_gal"], "lb ai/gal"))
    sold = {"products": {"package_unit": "lb"}} if dry else {}
    return {key: rate_for(given["rate_lb_ai_per_100_gal"], f"{unit}/100 gal", content, content_unit, **sold)}


@computes("mixing-U17-rounded", "units.factor")
def milligrams_per_litre(given: Given, expected: Given) -> Given:
    """Return a pound per gallon in mg per litre."""
    return {"factor": 1000 * units.factor("lb/gal", "g/L")}


@computes(r"mixing-U21-(oz|oz-exact|g-gal|g-l)", "units.factor")
def one_percent(given: Given, expected: Given) -> Given:
    """Return a solution of one part in a hundred, 10 g in a litre, in other units."""
    mass, volume = given["to"].split("/")
    return {"factor": 10 * units.factor("g", mass) / units.factor("L", volume)}


@computes("mixing-U22|mixing-U22-rounded", "units.factor")
def spoons_per_thousand_square_feet(given: Given, expected: Given) -> Given:
    """Return a pint per acre in tablespoons per 1,000 sq ft."""
    return {"factor": 1000 * units.factor("pt", "tsp") / 3 * units.factor("sq ft", "ac")}


@computes("mixing-A14", "units.factor")
def percent_weight_in_volume(given: Given, expected: Given) -> Given:
    """Return percent weight in volume, 10 g in a litre for each, in lb per 100 gal."""
    return {"rate_lb_per_100_gal": 100 * 10 * given["percent_wv"] * units.factor("g/L", "lb/gal")}


@computes("mixing-T29-circle", "units.factor")
def area_of_a_circle(given: Given, expected: Given) -> Given:
    """Return a circle's square feet in acres."""
    feet = given["pi"] * (given["diameter_ft"] / 2) ** 2
    return {"area_sq_ft": feet, "area_ac": feet * units.factor("sq ft", "ac")}
