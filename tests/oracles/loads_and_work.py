"""Product in loads, volumes, work rates, costs of work."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from small_farm import first, small_plan

from oracles.registry import computes
from workbook_builder.core import units
from workbook_builder.features.loads.definitions import amount_in, spray_volume, work_rate

Given = Mapping[str, Any]
DRY = {"package_unit": "lb", "formulation": "WG"}


def load_of(rate: float, rate_unit: str, tank: float, carrier: float = 20.0, dry: bool = False,
            area: float = 1e5) -> float:
    """Return the product in a full load, in the unit of its rate, as the plan works it out."""
    system = "metric" if rate_unit.endswith(("ha", "L")) else "us"
    plan = small_plan(
        system, mixes={"rate": rate, "rate_unit": rate_unit}, sprayers={"main_tank": tank},
        passes={"carrier": carrier},
        fields={"area": area}, products=DRY if dry else {},
    )
    return float(first(plan, "mix_lines")["amount_full_load"])


@computes("mixing-T1|mixing-T1-exact", "plan: mix_lines")
def product_per_tank(given: Given, expected: Given) -> Given:
    """Return the product in a full tank at a rate per acre."""
    load = load_of(given["rate_fl_oz_per_ac"], "fl oz/ac", given["tank_gal"], given["carrier_gpa"])
    return {"product_fl_oz": load, "product_gal": load * units.factor("fl oz", "gal")}


@computes(r"mixing-T3|mixing-T6-.*|mixing-A13|mixing-dilution-lb-25", "plan: mix_lines")
def pounds_per_hundred(given: Given, expected: Given) -> Given:
    """Return the dry product in a volume at pounds per 100 gal."""
    load = load_of(given["rate_lb_per_100_gal"], "lb/100 gal", given.get("tank_gal", given.get("volume_gal")),
                   dry=True)
    return {"product_lb": load, "product_oz": load * units.factor("lb", "oz")}


@computes("mixing-A8", "plan: mix_lines")
def bag_rule(given: Given, expected: Given) -> Given:
    """Return the rate at which one bag fills a volume."""
    return {"rate_lb_per_100_gal": given["bag_lb"] / load_of(1.0, "lb/100 gal",
                                                             given["volume_gal"], dry=True)}


@computes(r"mixing-T7-.*|mixing-dilution-pt-25|mixing-dilution-identity", "plan: mix_lines")
def pints_per_hundred(given: Given, expected: Given) -> Given:
    """Return the liquid product in a volume at pints per 100 gal."""
    load = load_of(given["rate_pt_per_100_gal"], "pt/100 gal", given["volume_gal"])
    return {"product_pt": load, "product_fl_oz": load * units.factor("pt", "fl oz")}


@computes(r"mixing-A5-percent|mixing-A10-.*|mixing-A11-.*|mixing-T11.*", "plan: mix_lines")
def percent_of_volume(given: Given, expected: Given) -> Given:
    """Return the liquid product in a volume at a percent by volume."""
    load = load_of(given["percent_vv"], "% v/v", given["volume_gal"])
    return {f"product_{name}": load * units.factor("fl oz", unit)
            for name, unit in (("gal", "gal"), ("qt", "qt"), ("fl_oz", "fl oz"))}


@computes(r"mixing-A12-.*", "plan: mix_lines")
def percent_per_area(given: Given, expected: Given) -> Given:
    """Return the rate per acre of a percent by volume."""
    plan = small_plan(mixes={"rate": given["percent_vv"], "rate_unit": "% v/v"},
                      passes={"carrier": given["carrier_gpa"]})
    return {"rate_fl_oz_per_ac": first(plan, "mix_lines")["amount_per_area"]}


@computes("mixing-T18", "plan: mix_lines")
def percent_metric(given: Given, expected: Given) -> Given:
    """Return the product in a tank at a percent by volume, metric."""
    plan = small_plan("metric", mixes={"rate": given["percent_vv"], "rate_unit": "% v/v"},
                      sprayers={"main_tank": given["tank_l"]},
                      passes={"carrier": 200.0})
    return {"product_l": first(plan, "mix_lines")["amount_full_load"] * units.factor("mL", "L")}


@computes("mixing-T8|depth-DP114", "plan: mix_lines")
def order_quantity(given: Given, expected: Given) -> Given:
    """Return the product for a field."""
    plan = small_plan(mixes={"rate": given["rate_pt_per_ac"], "rate_unit": "pt/ac"},
                      fields={"area": given["area_ac"]})
    return {"product_gal": first(plan, "mix_lines")["amount_total"] * units.factor("pt", "gal")}


@computes("mixing-T17", "plan: mix_lines")
def kilograms_per_volume(given: Given, expected: Given) -> Given:
    """Return the rate per hectare of kilograms per 500 L."""
    rate = given["rate_kg_per_500_l"] / 5
    plan = small_plan("metric", mixes={"rate": rate, "rate_unit": "kg/100 L"},
                      passes={"carrier": given["carrier_l_per_ha"]},
                      products={"package_unit": "kg"})
    return {"rate_kg_per_ha": first(plan, "mix_lines")["amount_per_area"]}


@computes("mixing-T19-water|mixing-C18", "loads.definitions.spray_volume")
def water_for_an_area(given: Given, expected: Given) -> Given:
    """Return the spray volume of an area."""
    if "area_m2" in given:
        return {"volume_l": spray_volume(given["area_m2"] * units.factor("m2", "ha"), 1.0,
                                         given["carrier_l_per_ha"])}
    return {"volume_l": spray_volume(given["area_ac"], 1.0, given["carrier_l_per_ac"])}


@computes("mixing-T19-tank", "loads.definitions.amount_in")
def area_of_a_tank(given: Given, expected: Given) -> Given:
    """Return the area that one tank covers."""
    return {"area_m2": amount_in(1.0, given["tank_l"], given["carrier_l_per_ha"]) * units.factor("ha", "m2")}


@computes("depth-DP111", "loads.definitions.amount_in")
def acres_of_a_tank(given: Given, expected: Given) -> Given:
    """Return the acres that one tank covers."""
    return {"area_ac": amount_in(1.0, given["tank_gal"], given["carrier_gpa"])}


@computes(r"depth-DP12[45]", "plan: pass_volumes, mix_lines")
def loads_of_a_field(given: Given, expected: Given) -> Given:
    """Return full loads, the last load and even loads of a field, with what is added to each."""
    plan = small_plan(
        fields={"area": given["area_ac"]}, passes={"carrier": given["carrier_gpa"]},
        sprayers={"main_tank": given["tank_gal"]},
        mixes={"rate": given["rate_qt_per_ac"], "rate_unit": "qt/ac"},
    )
    volume, line = first(plan, "pass_volumes"), first(plan, "mix_lines")
    return {
        "full_loads": volume["full_loads"], "full_load_qt": line["amount_first_load"],
        "last_load_gal": volume["last_load_volume"],
        "last_load_qt": line["amount_last_load"], "even_load_gal": volume["even_load_volume"],
        "even_load_qt": line["amount_even_load"],
    }


@computes("mixing-T27", "plan: pass_volumes, mix_lines")
def equal_split(given: Given, expected: Given) -> Given:
    """Return the even load when the tank asks for the published number of loads."""
    volume = given["area_ac"] * given["carrier_gpa"]
    plan = small_plan(
        fields={"area": given["area_ac"]}, sprayers={"main_tank": 1.1 * volume / given["loads"]},
        passes={"carrier": given["carrier_gpa"]},
        mixes={"rate": given["rate_fl_oz_per_ac"], "rate_unit": "fl oz/ac"},
    )
    pass_row, line = first(plan, "pass_volumes"), first(plan, "mix_lines")
    return {
        "volume_gal": pass_row["even_load_volume"],
        "area_per_load_ac": pass_row["even_load_volume"] / given["carrier_gpa"],
        "product_fl_oz": line["amount_even_load"],
    }


@computes("mixing-T28", "plan: mix_lines")
def dry_ounces(given: Given, expected: Given) -> Given:
    """Return the dry product and the area of a full load."""
    ounces = load_of(given["rate_oz_per_ac"], "oz/ac", given["tank_gal"], given["carrier_gpa"], dry=True)
    return {"area_ac": ounces / given["rate_oz_per_ac"], "product_oz": ounces,
            "product_lb": ounces * units.factor("oz", "lb")}


@computes(r"mixing-T29-(rectangle|triangle)|mixing-C8", "units.factor")
def area_of_a_shape(given: Given, expected: Given) -> Given:
    """Return square feet in acres; printed figures are rounded."""
    feet = (given["length_ft"] * given["width_ft"] if "length_ft" in given
            else given["base_ft"] * given["height_ft"] / 2)
    acres = feet * units.factor("sq ft", "ac")
    return {"area_sq_ft": feet, "area_ac": acres if len(expected) == 1 else round(acres, 1)}


@computes(r"targeted-M2(-exact)?|targeted-M3-.*|targeted-R2-base", "loads.definitions.work_rate")
def acres_per_hour(given: Given, expected: Given) -> Given:
    """Return theoretical and effective work rates, and the area of a load."""
    from workbook_builder.features.reference.data import factors

    divisor = factors("us")[0]["work_rate_divisor"]
    found = {"theoretical_ac_per_h": work_rate(given["speed_mph"], given["width_ft"], 1.0, divisor)}
    if "efficiency_percent" in given:
        found["effective_ac_per_h"] = work_rate(given["speed_mph"], given["width_ft"],
                                                given["efficiency_percent"] / 100, divisor)
    if "tank_gal" in given:
        found["area_per_load_ac"] = amount_in(1.0, given["tank_gal"], given["carrier_gpa"])
    return found


@computes("mixing-dilution-pt-1", "plan: mix_lines")
def teaspoons_in_a_gallon(given: Given, expected: Given) -> Given:
    """Return the liquid product in a gallon at pints per 100 gal; a teaspoon is printed for 0.96."""
    return {"product_tsp": load_of(given["rate_pt_per_100_gal"], "pt/100 gal", given["volume_gal"])
            * units.factor("pt", "tsp")}


@computes("mixing-dilution-lb-1", "plan: mix_lines")
def grams_in_a_gallon(given: Given, expected: Given) -> Given:
    """Return the dry product in a gallon at pounds per 100 gal; 5 g are printed for 4.5."""
    return {"product_g": load_of(given["rate_lb_per_100_gal"], "lb/100 gal", given["volume_gal"], dry=True)
            * units.factor("lb", "g")}


@computes("targeted-M6-work", "reference_data.factors: work rate divisor")
def constant_for_percent(given: Given, expected: Given) -> Given:
    """Return the divisor of the work rate with the efficiency in percent."""
    from workbook_builder.features.reference.data import factors

    return {"constant": 100 * factors("us")[0]["work_rate_divisor"]}
