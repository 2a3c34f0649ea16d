"""Whether the dearer machine pays, year by year and with one figure moved at a time."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.adding import added, total
from workbook_builder.core.draft import Cells, Draft, find, first_rows, number
from workbook_builder.core.rounding import rounded
from workbook_builder.features.machine import definitions as money
from workbook_builder.features.machine.columns import SWINGS

TENTH = 0.1
MANY_TIMES = 10
TOO_LONG = "Review: more years than the list holds; build anew"
INCOMPLETE = "Not entered: premium, trade-in, years, area or saving is missing"


def machine_use_facts(draft: Draft) -> list[Cells]:
    """What each crop's area saves in a year."""
    machines, sprayers = first_rows(draft["machine"], "sprayer"), first_rows(draft["sprayers"], "sprayer")
    crops, rows = first_rows(draft["pass_volumes"], "crop"), []
    for typed in draft["machine_use"]:
        out = Cells(machine_row=find(machines, typed["sprayer"]), sprayer_row=find(sprayers, typed["sprayer"]), crop_row=find(crops, typed["crop"]))
        own: list[Cells] = []
        if out["sprayer_row"] != "" and out["crop_row"] != "":
            own = [row for row in _spotted(draft, out["sprayer_row"]) if row["crop_row"] == out["crop_row"]]
        out["plan_area"] = total(row["area"] for row in own)
        out["saving"] = typed["saving_per_area"]
        if out["saving"] == "" and out["plan_area"]:
            out["saving"] = total(row["net"] for row in own) / out["plan_area"]
        out["year_area"] = number(typed["area_per_year"])
        out["year_saving"] = "" if out["saving"] == "" else out["saving"] * out["year_area"]
        out["missing"] = "" if out["machine_row"] == "" else int(out["saving"] == "")
        rows.append(out)
    return rows


def _spotted(draft: Draft, sprayer_row: Any) -> list[Cells]:
    return [row for row in draft["spot_against_broadcast"] if row["on"] and row["sprayer_row"] == sprayer_row]


def machine_payback(draft: Draft) -> list[Cells]:
    """Yearly cost, break-even area, payback, present value and rate of return."""
    sprayers, rows = first_rows(draft["sprayers"], "sprayer"), []
    for row_no, machine in enumerate(draft["machine"], 1):
        out = Cells(row_no=row_no, sprayer=machine["sprayer"], sprayer_row=find(sprayers, machine["sprayer"]))
        _from_plan(draft, out, machine)
        out["rate"], out["upkeep_area"] = number(draft.form("farm")["interest_rate"]), number(machine["upkeep_per_area"])
        needed = (machine["sprayer"], machine["price_premium"], machine["trade_in"], out["area_per_year"], out["saving_per_area"])
        years = number(machine["life_years"])
        out["live"] = int("" not in needed and 0 < years <= draft.slots("years") - 1)
        if out["live"]:
            _yearly(out, machine)
            _worth(out, machine)
        out["verdict"] = _verdict(out, years > draft.slots("years") - 1)
        rows.append(out)
    return rows


def _from_plan(draft: Draft, out: Cells, machine: Cells) -> None:
    own = _spotted(draft, out["sprayer_row"]) if out["sprayer_row"] != "" else []
    out.update({f"plan_{key}": total(row[key] for row in own) for key in ("area", "net", "fee")})
    out.update(use_area=0, use_missing=0)
    if out["sprayer"] == "":
        return
    uses = [row for row in draft["machine_use_facts"] if row["machine_row"] == out["row_no"]]
    out["use_area"] = total(row["year_area"] for row in uses)
    out["use_missing"] = added(row["missing"] for row in uses)
    by_crop = out["use_area"] > 0
    out["area_per_year"] = out["use_area"] if by_crop else machine["area_per_year"]
    out["fee_per_area"] = out["plan_fee"] / out["plan_area"] if out["plan_area"] > 0 else 0
    if machine["saving_per_area"] != "":
        out["saving_per_area"] = machine["saving_per_area"]
    elif by_crop:
        out["saving_per_area"] = "" if out["use_missing"] else total(row["year_saving"] for row in uses) / out["use_area"]
    elif out["plan_area"] > 0:
        out["saving_per_area"] = out["plan_net"] / out["plan_area"]


def _yearly(out: Cells, machine: Cells) -> None:
    price, trade, years, area = machine["price_premium"], machine["trade_in"], machine["life_years"], out["area_per_year"]
    out["recovery"] = money.capital_recovery(price, trade, money.capital_recovery_factor(out["rate"], years), out["rate"])
    out["insurance"] = number(machine["insurance_rate"]) * price
    out["upkeep"] = out["upkeep_area"] * area
    out["annual_cost"] = out["recovery"] + out["insurance"] + out["upkeep"]
    out["cost_per_area"] = out["annual_cost"] / area if area else ""
    out["annual_net"] = out["saving_per_area"] * area - out["annual_cost"]
    even = money.break_even_area(out["recovery"] + out["insurance"], out["saving_per_area"] - out["upkeep_area"])
    out["break_even_area"] = "" if even is None else even
    out["benefit"] = (out["saving_per_area"] - out["upkeep_area"]) * area - out["insurance"]
    out["payback_years"] = price / out["benefit"] if out["benefit"] > 0 else ""


def _worth(out: Cells, machine: Cells) -> None:
    price, trade, years, benefit = machine["price_premium"], machine["trade_in"], int(machine["life_years"]), out["benefit"]
    returns = [-price] + [benefit] * years
    flows = [*returns[:-1], returns[-1] + trade]
    paid = money.payback(returns, out["rate"])
    out["discounted_payback_years"] = "" if paid is None else paid
    out["paid_slot"] = "" if paid is None else 1 - int(-paid // 1)
    out["npv"] = money.present_value_now(out["rate"], flows)
    out["npv_after_a_year"] = money.present_value_after_a_year(out["rate"], flows)
    guess = (benefit - (price - trade) / years) * 2 / (price + trade) if price + trade else 0
    out["irr_guess"] = max(-0.9, min(3, guess))
    out["no_rate"] = _no_rate(price, trade, years, benefit)
    if out["no_rate"] == "":
        rate = money.internal_rate(flows)
        out["irr"] = "" if rate is None else rounded(rate, 6)


def _no_rate(price: float, trade: float, years: float, benefit: float) -> str:
    if price <= 0:
        return "Nothing is paid"
    if benefit <= 0:
        return "It never saves what it costs to keep"
    if benefit * years + trade < TENTH * price:
        return "Less than a tenth of the premium comes back"
    # Engines search a rate from a guess and lose their way far from it.
    return "Paid back more than ten times in a year" if benefit + trade > MANY_TIMES * price else ""


def _verdict(out: Cells, too_long: bool) -> str:
    if out["sprayer"] == "":
        return ""
    if not out["live"]:
        return TOO_LONG if too_long else INCOMPLETE
    return "OK: it pays within the years kept" if out["npv"] >= 0 else "Review: it does not pay within the years kept"


def machine_years(draft: Draft) -> list[Cells]:
    """What each machine has paid back by the end of every year."""
    rows = []
    for machine, pay in zip(draft["machine"], draft["machine_payback"], strict=True):
        running = discounted = 0.0
        for slot in range(1, draft.slots("years") + 1):
            out, year = Cells(slot=slot, factor=1, flow_number=0, paid=0), slot - 1
            if pay["live"] and year <= machine["life_years"]:
                out.update(sprayer=pay["sprayer"], year=year, factor=(1 + pay["rate"]) ** year)
                change = pay["benefit"] if year else -machine["price_premium"]
                out["returns"] = pay["benefit"] if year else 0
                out["flow"] = change + (machine["trade_in"] if year == machine["life_years"] else 0)
                out["flow_number"] = out["flow"]
                out["discounted"] = out["flow"] / out["factor"]
                running += change
                discounted += change / out["factor"]
                out.update(running=running, running_discounted=discounted, paid=int(rounded(discounted, 6) >= 0))
            rows.append(out)
    return rows


def annual_net(figures: dict[str, float], insurance_rate: float) -> float:
    """Return what is left over per year after all costs of the machine [money/year].

    Parameters
    ----------
    figures : dict
        ``price``, ``trade`` [money], ``life`` [years], ``rate`` [1/year], ``saving``, ``fee``,
        ``upkeep`` [money/area] and ``area`` [area/year].
    insurance_rate : float
        Per year, as a share of the price.
    """
    factor = money.capital_recovery_factor(figures["rate"], figures["life"])
    recovery = money.capital_recovery(figures["price"], figures["trade"], factor, figures["rate"])
    per_area = figures["saving"] - figures["fee"] - figures["upkeep"]
    return per_area * figures["area"] - insurance_rate * figures["price"] - recovery


def machine_swings(draft: Draft) -> list[Cells]:
    """What is left over per year with one figure moved."""
    rows, swing = [], draft.form("assumptions")["swing"]
    for machine, pay in zip(draft["machine"], draft["machine_payback"], strict=True):
        for slot, (key, name) in enumerate(SWINGS, 1):
            out = Cells(slot=slot, figure=name)
            if pay["live"]:
                figures = {
                    "price": machine["price_premium"], "trade": machine["trade_in"], "life": machine["life_years"], "rate": pay["rate"],
                    "saving": pay["saving_per_area"] + pay["fee_per_area"], "fee": pay["fee_per_area"], "upkeep": pay["upkeep_area"],
                    "area": pay["area_per_year"],
                }
                insured = number(machine["insurance_rate"])
                out["low"], out["high"] = (annual_net({**figures, key: figures[key] * factor}, insured) for factor in (1 - swing, 1 + swing))
                out["size"] = abs(out["high"] - out["low"])
                out["key"] = rounded(rounded(out["size"], 8), 4) - slot / 1e6
            rows.append(out)
    return rows


def machine_ranked(draft: Draft) -> list[Cells]:
    """The swings, largest first."""
    rows, slots = [], draft.slots("swings")
    for row_no, pay in enumerate(draft["machine_payback"]):
        swings = draft.under("machine_swings", row_no, slots)
        ranked = sorted(swings, key=lambda row: -row["key"]) if pay["live"] else []
        for place in range(1, slots + 1):
            out = Cells(slot=place)
            if ranked:
                found = ranked[place - 1]
                out.update(row=found["slot"], place=place, sprayer=pay["sprayer"], as_entered=pay["annual_net"])
                out.update({key: found[key] for key in ("figure", "low", "high", "size")})
                out["turns"] = "no" if (out["low"] < 0) == (out["high"] < 0) else "yes"
            rows.append(out)
    return rows
