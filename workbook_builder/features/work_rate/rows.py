"""Work rate with refills and the cost of every sprayer."""

from __future__ import annotations

from workbook_builder.core.adding import added, total
from workbook_builder.core.draft import Cells, Draft, number
from workbook_builder.features.machine import definitions as money
from workbook_builder.features.work_rate.definitions import area_per_load, hours_with_refills, rate_with_refills

COUNTED = ("by the field efficiency typed", "load by load")


def work_rates(draft: Draft) -> list[Cells]:
    """Hours and work rate of every pass row, refills counted where they can be."""
    divisor = draft.form("factors")["work_rate_divisor"]
    rows = []
    for typed, volume, times in zip(draft["passes"], draft["pass_volumes"], draft["pass_times"], strict=True):
        out = Cells(field=volume["field"], refill_minutes=times["refill_minutes"])
        out["pass"] = volume["pass"]
        theoretical = times["speed"] * times["width"] / divisor
        out["theoretical_rate"] = theoretical or ""
        if volume["loads"] != "" and volume["share"] * typed["carrier"] != 0:
            out["area_per_load"] = area_per_load(volume["usable"], typed["carrier"], volume["share"])
        _hours(out, volume, times)
        rows.append(out)
    return rows


def _hours(out: Cells, volume: Cells, times: Cells) -> None:
    """Take the pass's hours apart into driving and refilling."""
    out["hours"] = times["hours"]
    if out["hours"] == "":
        return
    out["field_hours"], out["refill_hours"] = out["hours"], 0
    if times["by_load"]:
        terms = (out["theoretical_rate"], times["travel_efficiency"])
        out["field_hours"] = hours_with_refills(volume["area"], *terms, 0, 0)
        out["refill_hours"] = volume["loads"] * out["refill_minutes"] / 60
        if out["area_per_load"] != "":
            out["steady_rate"] = rate_with_refills(*terms, out["area_per_load"], out["refill_minutes"])
    out["counted"] = COUNTED[times["by_load"]]
    out["rate"] = volume["area"] / out["hours"] if out["hours"] else ""
    if out["rate"] != "" and out["theoretical_rate"] != "":
        out["efficiency"] = out["rate"] / out["theoretical_rate"]


def sprayer_costs(draft: Draft) -> list[Cells]:
    """What every sprayer costs to own and to run."""
    rows = []
    for row_no, sprayer in enumerate(draft["sprayers"], 1):
        out = Cells(row_no=row_no, sprayer=sprayer["sprayer"], hours_per_year=0, hire_area=sprayer["hire_rate"])
        if out["sprayer"] != "":
            own = [n for n, volume in enumerate(draft["pass_volumes"]) if volume["sprayer_row"] == row_no]
            out["plan_area"] = total(draft["trips"][n]["area"] for n in own)
            out["plan_hours"] = total(draft["trips"][n]["hours"] for n in own)
            out["hours_per_year"] = out["plan_hours"] if sprayer["hours_per_year"] == "" else sprayer["hours_per_year"]
        _owning(draft, out, sprayer)
        _running(draft, out, sprayer)
        _against_hiring(out, number(sprayer["cost_per_area"]))
        rows.append(out)
    return rows


def _owning(draft: Draft, out: Cells, sprayer: Cells) -> None:
    settings, rate, years = draft.form("assumptions"), number(draft.form("farm")["interest_rate"]), sprayer["keep_years"]
    out["price"] = sprayer["purchase_price"] if sprayer["purchase_price"] != "" else sprayer["list_price"]
    listed = out["list"] = sprayer["list_price"] if sprayer["list_price"] != "" else out["price"]
    out.update(owned=0, depreciation=0, recovery=0, insurance=0, repairs=0)
    if out["price"] != "" and years != "":
        left = money.remaining_share(years, out["hours_per_year"], settings["value_start"], settings["value_years"], settings["value_hours"])
        sale = out["sale_value"] = sprayer["sale_value"] if sprayer["sale_value"] != "" else listed * left
        out["owned"] = 1
        out["depreciation"] = money.depreciation(out["price"], sale, years)
        out["recovery"] = money.capital_recovery(out["price"], sale, money.capital_recovery_factor(rate, years), rate)
        out["insurance"] = number(sprayer["insurance_rate"]) * money.mean_value(out["price"], sale)
        spent = money.repairs_share(out["hours_per_year"] * years, settings["repair_start"], settings["repair_power"])
        out["repairs"] = sprayer["repairs_per_year"] if sprayer["repairs_per_year"] != "" else listed * spent / years
    out["interest"] = out["recovery"] - out["depreciation"]
    out["owning"] = out["recovery"] + out["insurance"] + out["repairs"]
    for key in ("depreciation", "interest", "insurance", "repairs"):
        out[f"{key}_hour"] = out[key] / out["hours_per_year"] if out["hours_per_year"] > 0 else 0


def _running(draft: Draft, out: Cells, sprayer: Cells) -> None:
    farm, settings = draft.form("farm"), draft.form("assumptions")
    parts = out["in_parts"] = int(out["sprayer"] != "" and (out["owned"] == 1 or number(sprayer["fuel_per_hour"]) > 0))
    fuel = money.fuel_and_lube(number(sprayer["fuel_per_hour"]), number(farm["fuel_price"]), settings["lube_share"])
    out["fuel_hour"] = fuel if parts else 0
    out["labor_hour"] = number(farm["labor_rate"]) * settings["labor_factor"] if parts else 0
    out["charge_hour"] = 0 if parts else number(sprayer["cost_per_hour"])
    out["running_hour"] = out["fuel_hour"] + out["labor_hour"] + out["charge_hour"]
    out["full_hour"] = out["running_hour"] + added(out[f"{key}_hour"] for key in ("depreciation", "interest", "insurance", "repairs"))
    by_rule = out["fuel_hour"] + out["labor_hour"] > 0 or (out["owned"] == 1 and "" in (sprayer["sale_value"], sprayer["repairs_per_year"]))
    out["estimated"] = int(bool(parts and number(out["plan_hours"]) and by_rule))


def _against_hiring(out: Cells, charge: float) -> None:
    if number(out["plan_hours"]):
        out["year_area"] = out["plan_area"] * out["hours_per_year"] / out["plan_hours"]
    if number(out["year_area"]):
        out["running_area"] = out["running_hour"] * out["plan_hours"] / out["plan_area"] + charge
        out["own_area"] = money.cost_per_area(out["owning"], out["running_area"], out["year_area"])
        if out["hire_area"] != "":
            even = money.break_even_area(out["owning"], out["hire_area"] - out["running_area"])
            out["hire_even_area"] = "" if even is None else even
    if out["sprayer"] != "":
        out["advice"] = _advice(out)


def _advice(out: Cells) -> str:
    if out["own_area"] == "":
        return "No work or no work rate in this plan"
    if out["hire_area"] == "":
        return "No custom rate entered"
    if not out["owned"]:
        return "No price entered: owning is not counted"
    return "Owning costs less" if out["own_area"] <= out["hire_area"] else "Hiring costs less"
