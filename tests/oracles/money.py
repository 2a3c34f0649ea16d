"""Machine costs, payback, present value, partial budgets and refills."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from oracles.registry import computes
from workbook_builder.features.machine import definitions as money
from workbook_builder.features.spot_money.definitions import net_of
from workbook_builder.features.work_rate.definitions import area_per_load, rate_with_refills

Given = Mapping[str, Any]


def _rate(given: Given) -> float:
    return float(given.get("rate_percent", 0)) / 100


@computes(r"targeted-M18-.*", "machine_money.capital_recovery_factor")
def recovery_factor(given: Given, expected: Given) -> Given:
    """Return the yearly payment per unit of money."""
    return {"factor": money.capital_recovery_factor(_rate(given), given["years"])}


@computes(r"targeted-M10-.*|targeted-M15|targeted-M15-exact|targeted-M16|targeted-M17|targeted-M17-exact",
          "machine_money.capital_recovery")
def recovery(given: Given, expected: Given) -> Given:
    """Return depreciation and interest per year, by a factor from a table where one is given."""
    price = given.get("price", given.get("paid"))
    factor = given.get("factor") or money.capital_recovery_factor(_rate(given), given["years"])
    return {"annual": money.capital_recovery(price, given["salvage"], factor, _rate(given))}


@computes("targeted-M10", "machine_money.depreciation")
def salvage_and_depreciation(given: Given, expected: Given) -> Given:
    """Return what is left of the list price, and the loss of value on what was paid."""
    salvage = given["list_price"] * given["salvage_percent"] / 100
    return {"salvage": salvage, "depreciation": money.depreciation(given["paid"], salvage, 1)}


@computes(r"targeted-M5-.*", "machine_money.repairs_share")
def repairs(given: Given, expected: Given) -> Given:
    """Return repairs to date as a share of the list price."""
    return {"repairs_share_of_list": money.repairs_share(given["hours"], given["rf1"], given["rf2"])}


@computes(r"targeted-M7-(150|80)|targeted-M8-.*", "machine_money.remaining_share")
def remaining(given: Given, expected: Given) -> Given:
    """Return the share of the list price left, in percent."""
    share = money.remaining_share(given["age_years"], given["hours_per_year"], given["c1"],
                                  given["c2"], given["c3"])
    return {"remaining_percent": 100 * share}


@computes("targeted-M11|targeted-M12", "machine_money.fuel_and_lube")
def fuel_and_lube(given: Given, expected: Given) -> Given:
    """Return fuel and oil per hour from fuel per horsepower and hour."""
    fuel = given["power_hp"] * given["fuel_gal_per_hp_h"]
    both = money.fuel_and_lube(fuel, given["fuel_price"], 0.15)
    found = {"fuel_gal_per_h": fuel, "fuel_per_h": money.fuel_and_lube(fuel, given["fuel_price"], 0)}
    found["lube_per_h"] = both - found["fuel_per_h"]
    if "repairs" in expected:
        found["repairs"] = given["list_price"] * given["repairs_percent"] / 100
        found["repairs_per_h"] = found["repairs"] / given["hours"]
    return found


@computes("targeted-M20", "machine_money.depreciation")
def depreciation_per_acre(given: Given, expected: Given) -> Given:
    """Return the loss of value spread over the yearly area."""
    lost = money.depreciation(given["price"], given["sale"], given["years"])
    return {"depreciation_per_ac": money.cost_per_area(lost, 0, given["area_per_year_ac"])}


@computes("targeted-M21-(depreciation|interest)", "machine_money.depreciation, machine_money.mean_value")
def boom_sprayer(given: Given, expected: Given) -> Given:
    """Return the loss of value and the interest on the mean value."""
    found = {"interest_per_year": money.mean_value(given["price"], given["salvage"]) * _rate(given)}
    if "years" in given:
        found["depreciation_per_year"] = money.depreciation(given["price"], given["salvage"], given["years"])
    return found


@computes("targeted-M21-(30|60|90)", "machine_money.cost_per_area")
def boom_sprayer_per_acre(given: Given, expected: Given) -> Given:
    """Return yearly costs spread over trips and acres."""
    area = given["trips"] * given["area_ac"]
    keys = ("depreciation", "interest")
    return {f"{key}_per_ac": money.cost_per_area(given[f"{key}_per_year"], 0, area) for key in keys}


@computes("targeted-M21-fuel", "machine_money.fuel_and_lube")
def boom_sprayer_fuel(given: Given, expected: Given) -> Given:
    """Return fuel and oil per acre, other costs of fuel counted on top."""
    per_hour = money.fuel_and_lube(given["fuel_gal_per_h"], given["fuel_price"], given["lube_factor"] - 1)
    return {"fuel_and_lube_per_ac": per_hour * given["other_factor"] / given["work_rate_ac_per_h"]}


@computes(r"targeted-B2-.*", "machine_money.cost_per_area")
def cost_curve(given: Given, expected: Given) -> Given:
    """Return fixed and running cost at a number of acres."""
    per_acre = money.cost_per_area(given["fixed"], given["per_ac"], given["area_ac"])
    return {"total_per_ac": per_acre, "total": per_acre * given["area_ac"]}


@computes("targeted-B3", "machine_money.capital_recovery_factor")
def loan_per_acre(given: Given, expected: Given) -> Given:
    """Return the yearly payment of a loan, and per acre."""
    annual = given["loan"] * money.capital_recovery_factor(_rate(given), given["years"])
    return {"annual": annual, "annual_per_ac": annual / given["area_ac"]}


@computes(r"targeted-B6|targeted-B7|targeted-B8-.*", "machine_money.capital_recovery_factor")
def loan_payment(given: Given, expected: Given) -> Given:
    """Return a monthly payment as a spreadsheet shows it, below none.

    Paid at the start it is worth a period more.
    """
    rate = given["rate_percent_per_year"] / 100 / given["payments_per_year"]
    paid = given["loan"] * money.capital_recovery_factor(rate, given["payments"])
    return {"payment": -paid / (1 + rate) if given.get("type") else -paid}


@computes("targeted-B4", "spot_money.net_of")
def partial_budget(given: Given, expected: Given) -> Given:
    """Return the net change of a partial budget."""
    reduced, costs, returns = sum(given["reduced_costs"]), sum(given["added_costs"]), given["added_returns"]
    return {"reduced": reduced, "costs": costs, "benefits": net_of(returns, reduced, 0),
            "net": net_of(returns, reduced, costs)}


@computes(r"targeted-B5-.*", "spot_money.net_of")
def site_specific(given: Given, expected: Given) -> Given:
    """Return what mapping and application cost together, and what is left of the saving."""
    costs = given["mapping_eur_per_ha"] + given["application_eur_per_ha"]
    return {"cost_eur_per_ha": costs, "net_eur_per_ha": net_of(0, given.get("saving_eur_per_ha", 0), costs)}


@computes("targeted-B9", "machine_money.present_value_after_a_year")
def value_after_a_year(given: Given, expected: Given) -> Given:
    """Return the present value with the first flow after a year."""
    return {"npv": money.present_value_after_a_year(_rate(given), given["flows"])}


@computes("targeted-B10", "machine_money.present_value_now")
def value_now(given: Given, expected: Given) -> Given:
    """Return the present value with the first flow today."""
    return {"npv": money.present_value_now(_rate(given), given["flows"])}


@computes("targeted-B11|targeted-B11-loss", "machine_money.present_value_now")
def value_with_outlay_today(given: Given, expected: Given) -> Given:
    """Return the present value of an outlay today and flows at each year's end."""
    return {"npv": money.present_value_now(_rate(given), [given["initial"], *given["flows"]])}


@computes(r"targeted-B12-.*|targeted-B13", "machine_money.internal_rate")
def internal_rate(given: Given, expected: Given) -> Given:
    """Return the rate at which the flows are worth nothing."""
    rate = money.internal_rate(given["flows"])
    return {"irr": rate, "irr_percent": None if rate is None else 100 * rate}


@computes("targeted-B15", "machine_money.payback")
def even_payback(given: Given, expected: Given) -> Given:
    """Return the years until even returns pay the cost back."""
    return {"years": money.payback([-given["cost"]] + [given["annual"]] * 20)}


@computes("targeted-B16", "machine_money.payback")
def uneven_payback(given: Given, expected: Given) -> Given:
    """Return the years until uneven returns pay the cost back."""
    return {"years": money.payback([-given["cost"], *given["flows"]])}


@computes("targeted-B17|targeted-B17-ratio", "machine_money.present_value_now")
def benefit_and_cost(given: Given, expected: Given) -> Given:
    """Return the present value, and what returns are worth over what is paid."""
    returns = money.present_value_now(_rate(given), [0, *[given["annual"]] * int(given["years"])])
    return {"npv": returns - given["cost"], "ratio": returns / given["cost"]}


@computes(r"targeted-R1-.*", "machine_money.cost_per_area")
def tender_per_acre(given: Given, expected: Given) -> Given:
    """Return what an hour of a tender costs per acre."""
    return {"tender_per_ac": money.cost_per_area(given["tender_per_h"], 0, given["work_rate_ac_per_h"])}


@computes(r"targeted-R2-(5|10|20|30)(-efficiency)?", "work_rate.rate_with_refills")
def refills(given: Given, expected: Given) -> Given:
    """Return the work rate with refills, the efficiency it comes to, and the area a load covers."""
    theoretical = given["speed_mph"] * given["width_ft"] / 8.25
    covered = area_per_load(given["tank_gal"], given["carrier_gpa"], 1.0)
    kept = 1 - given.get("lost_to_turns_percent", 0) / 100
    found = rate_with_refills(theoretical, kept, covered, given.get("fill_min", 0))
    return {
        "theoretical_ac_per_h": theoretical, "area_per_load_ac": covered, "effective_ac_per_h": found,
        "field_efficiency": found / theoretical,
    }


@computes("targeted-M21-tractor", "machine_money.cost_per_area")
def depreciation_of_a_tractor(given: Given, expected: Given) -> Given:
    """Return depreciation an hour, and by the acres done in one."""
    hourly = money.cost_per_area(given["depreciation_per_year"], 0.0, given["hours_per_year"])
    return {"depreciation_per_h": hourly,
            "depreciation_per_ac": money.cost_per_area(hourly, 0.0, given["work_rate_ac_per_h"])}


@computes("targeted-M21-labor", "machine_money.cost_per_area")
def hired_labor(given: Given, expected: Given) -> Given:
    """Return wages by the acres done in an hour."""
    return {"labor_per_ac": money.cost_per_area(given["wage_per_h"] * given["factor"], 0.0,
                                                given["work_rate_ac_per_h"])}
