"""Work rate with refills, and what each sprayer costs per hour, per year and against hiring."""

from __future__ import annotations

from collections.abc import Callable
from operator import sub, truediv

from workbook_builder.core.adding import added
from workbook_builder.core.columns import Table
from workbook_builder.core.short import check, result, row_number, working
from workbook_builder.features.loads.definitions import work_rate
from workbook_builder.features.machine import definitions as money
from workbook_builder.features.work_rate.definitions import (
    area_per_load,
    hours_with_refills,
    rate_with_refills,
)


def _if(function: Callable[..., float]) -> Callable[..., float]:
    """Return a twin that is 0 where its first cell is."""
    return lambda counted, *terms: function(*terms) if counted else 0


def _sum(*terms: float) -> float:
    return added(terms)


WORK_RATES = Table(
    "work_rates",
    "Work rate",
    "How fast each pass goes with refills counted: a spot pass goes farther on each load.",
    (
        result("pass", "Pass", '{pass_volumes.pass}', "name"),
        result("field", "Field", '{pass_volumes.field}', "name"),
        result("theoretical_rate", "Speed times width",
               'IF({pass_times.speed}*{pass_times.width}=0,"",{pass_times.speed}*{pass_times.width}'
               '/work_rate_divisor)', "work_rate",
               twin=lambda speed, width, divisor: work_rate(speed, width, 1, divisor) or "",
               takes="pass_times.speed pass_times.width factors.work_rate_divisor"),
        result("refill_minutes", "Minutes per refill", '{pass_times.refill_minutes}', "minutes"),
        result("area_per_load", "Field area per load",
               'IF({pass_volumes.share}*{passes.carrier}=0,"",'
               '{pass_volumes.usable}/({passes.carrier}*{pass_volumes.share}))', "area",
               needs="pass_volumes.loads passes.carrier",
               takes="pass_volumes.usable passes.carrier pass_volumes.share",
               twin=lambda usable, carrier, share: area_per_load(usable, carrier, share) if carrier * share
               else "", note="At the share of the field sprayed: spot spraying goes farther on a load."),
        result("field_hours", "Hours in the field",
               'IF({pass_times.by_load}=1,'
               '{pass_volumes.area}/({theoretical_rate}*{pass_times.travel_efficiency}),{pass_times.hours})',
               "hours",
               takes="pass_times.by_load pass_volumes.area theoretical_rate pass_times.travel_efficiency "
                     "pass_times.hours",
               twin=lambda by_load, area, theoretical, travel, hours: hours_with_refills(
                   area, theoretical, travel, 0, 0)
               if by_load else hours),
        result("refill_hours", "Hours of refilling",
               'IF({pass_times.by_load}=1,{pass_volumes.loads}*{refill_minutes}/60,0)', "hours",
               needs="field_hours", takes="pass_times.by_load pass_volumes.loads refill_minutes",
               twin=lambda by_load, loads, minutes: loads * minutes / 60 if by_load else 0),
        result("hours", "Hours in all", '{pass_times.hours}', "hours"),
        result("rate", "Work rate with refills", 'IF(SUM({hours})=0,"",{pass_volumes.area}/{hours})',
               "work_rate", takes="pass_volumes.area hours",
               twin=lambda area, hours: area / hours if hours else ""),
        result("steady_rate", "Steady work rate",
               'IF({pass_times.by_load}=0,"",'
               '{area_per_load}/({area_per_load}/({theoretical_rate}*{pass_times.travel_efficiency})'
               '+{refill_minutes}/60))', "work_rate", needs="area_per_load",
               twin=lambda by_load, *terms: rate_with_refills(*terms) if by_load else "",
               takes="pass_times.by_load theoretical_rate pass_times.travel_efficiency area_per_load "
                     "refill_minutes",
               note="Load after load, as in a field without end.",
               source="area per load / (travel + fill + haul); time accounting of ASAE EP496, derived"),
        result("efficiency", "Field efficiency reached", '{rate}/{theoretical_rate}', "share",
               needs="rate theoretical_rate", twin=truediv, takes="rate theoretical_rate"),
        result("counted", "How counted",
               'IF({pass_times.by_load}=1,"load by load","by the field efficiency typed")', "text",
               needs="hours"),
    ),
    rows="as:passes",
    kind="result",
)

SPRAYER_COSTS = Table(
    "sprayer_costs",
    "Sprayer costs",
    "What each sprayer costs to own and to run, and against hiring; in parts where prices are entered, else "
    "by its cost per hour.",
    (
        result("sprayer", "Sprayer", '{sprayers.sprayer}', "name", needs="sprayers.sprayer"),
        row_number(),
        result("plan_area", "Area in this plan",
               'SUMIF({pass_volumes.sprayer_row:all},{row_no},{trips.area:all})', "area", needs="sprayer"),
        result("plan_hours", "Hours in this plan",
               'SUMIF({pass_volumes.sprayer_row:all},{row_no},{trips.hours:all})', "hours",
               needs="sprayer", digits=1),
        working("hours_per_year", "Hours per year",
                'IF({sprayer}="",0,IF({sprayers.hours_per_year}="",{plan_hours},{sprayers.hours_per_year}))',
                "hours", digits=1),
        working("price", "Price paid",
                'IF({sprayers.purchase_price}<>"",{sprayers.purchase_price},IF({sprayers.list_price}="","",'
                '{sprayers.list_price}))', "money"),
        working("list", "List price", 'IF({sprayers.list_price}<>"",{sprayers.list_price},{price})', "money"),
        result("sale_value", "Value when sold",
               'IF({sprayers.sale_value}<>"",{sprayers.sale_value},{list}*MAX(0,'
               'value_start-value_years*SQRT({sprayers.keep_years})-value_hours*SQRT({hours_per_year}))^2)',
               "money",
               needs="price sprayers.keep_years", twin=lambda typed, listed, *terms: typed if typed != ""
               else listed * money.remaining_share(*terms),
               takes="sprayers.sale_value list sprayers.keep_years hours_per_year assumptions.value_start "
                     "assumptions.value_years assumptions.value_hours",
               source="ASAE D497.7: (C1 - C2 root n - C3 root h) squared, of the list price"),
        working("owned", "Ownership is counted", 'IF({sale_value}="",0,1)', "count"),
        result("depreciation", "Depreciation per year",
               'IF({owned}=0,0,({price}-{sale_value})/{sprayers.keep_years})', "money",
               twin=_if(money.depreciation), takes="owned price sale_value sprayers.keep_years"),
        result("recovery", "Capital recovery per year",
               'IF({owned}=0,0,PMT(SUM({farm.interest_rate}),{sprayers.keep_years},-{price},{sale_value}))',
               "money",
               twin=_if(lambda price, sale, years, rate: money.capital_recovery(
                   price, sale, money.capital_recovery_factor(rate or 0, years), rate or 0)),
               takes="owned price sale_value sprayers.keep_years farm.interest_rate",
               note="Depreciation and interest together.", source="(P - S) CRF + S i; Iowa State PM 710"),
        result("interest", "Interest per year", '{recovery}-{depreciation}', "money", twin=sub,
               takes="recovery depreciation"),
        result("insurance", "Insurance and housing per year",
               'IF({owned}=0,0,SUM({sprayers.insurance_rate})*({price}+{sale_value})/2)', "money",
               twin=_if(lambda rate, *values: (rate or 0) * money.mean_value(*values)),
               takes="owned sprayers.insurance_rate price sale_value"),
        result("repairs", "Repairs per year",
               'IF({owned}=0,0,IF({sprayers.repairs_per_year}<>"",{sprayers.repairs_per_year},'
               'IF({hours_per_year}=0,0,{list}*repair_start*({hours_per_year}*{sprayers.keep_years}'
               '/1000)^repair_power/{sprayers.keep_years})))', "money",
               twin=_if(lambda typed, listed, hours, years, *terms: typed if typed != ""
                        else listed * money.repairs_share(hours * years, *terms) / years),
               takes="owned sprayers.repairs_per_year list hours_per_year sprayers.keep_years "
                     "assumptions.repair_start assumptions.repair_power",
               source="ASAE D497.7: list price x RF1 (h / 1000)^RF2 over the years kept"),
        result("owning", "Owning per year", '{recovery}+{insurance}+{repairs}', "money", twin=_sum,
               takes="recovery insurance repairs"),
        # Nothing per hour of use where ownership or hours are not counted.
        *(working(f"{key}_hour", f"{header} per hour",
                  f"IF({{hours_per_year}}>0,{{{key}}}/{{hours_per_year}},0)", "money_per_hour",
                  twin=lambda cost, hours: cost / hours if hours > 0 else 0, takes=f"{key} hours_per_year")
          for key, header in (("depreciation", "Depreciation"), ("interest", "Interest"),
                              ("insurance", "Insurance"), ("repairs", "Repairs"))),
        working("in_parts", "Counted in parts",
                'IF({sprayer}="",0,IF(OR({owned}=1,SUM({sprayers.fuel_per_hour})>0),1,0))', "count"),
        result("fuel_hour", "Fuel, oil and grease per hour",
               '{in_parts}*SUM({sprayers.fuel_per_hour})*SUM({farm.fuel_price})*(1+lube_share)',
               "money_per_hour",
               twin=_if(lambda fuel, price, lube: money.fuel_and_lube(fuel or 0, price or 0, lube)),
               takes="in_parts sprayers.fuel_per_hour farm.fuel_price assumptions.lube_share"),
        result("labor_hour", "Labor per hour", '{in_parts}*SUM({farm.labor_rate})*labor_factor',
               "money_per_hour", twin=_if(lambda wage, factor: (wage or 0) * factor),
               takes="in_parts farm.labor_rate assumptions.labor_factor"),
        result("charge_hour", "Charge per hour", 'IF({in_parts}=1,0,SUM({sprayers.cost_per_hour}))',
               "money_per_hour",
               note="The sprayer's cost per hour, machine and driver, where costs are not counted in parts."),
        result("running_hour", "Running cost per hour", '{fuel_hour}+{labor_hour}+{charge_hour}',
               "money_per_hour", twin=_sum, takes="fuel_hour labor_hour charge_hour"),
        working("full_hour", "All of it per hour",
                '{running_hour}+{depreciation_hour}+{interest_hour}+{insurance_hour}+{repairs_hour}',
                "money_per_hour", twin=_sum,
                takes="running_hour depreciation_hour interest_hour insurance_hour repairs_hour"),
        working("estimated", "Counted by usual figures",
                'IF(OR({in_parts}=0,SUM({plan_hours})=0),0,IF(OR({fuel_hour}>0,{labor_hour}>0),1,'
                'IF(AND({owned}=1,OR({sprayers.sale_value}="",{sprayers.repairs_per_year}="")),1,0)))',
                "count"),
        result("year_area", "Area per year",
               'IF(SUM({plan_hours})=0,"",{plan_area}*{hours_per_year}/{plan_hours})', "area",
               takes="plan_area hours_per_year plan_hours",
               twin=lambda area, hours, planned: area * hours / planned if planned else "",
               note="This plan's area per hour times the hours per year."),
        result("running_area", "Running cost per area",
               'IF(SUM({year_area})=0,"",{running_hour}*{plan_hours}/{plan_area}'
               '+SUM({sprayers.cost_per_area}))', "money_per_area",
               takes="year_area running_hour plan_hours plan_area sprayers.cost_per_area",
               twin=lambda year, running, hours, area, charge: running * hours / area + (charge or 0) if year
               else "", note="The sprayer's cost per area included."),
        result("own_area", "Own cost per area", '{owning}/{year_area}+{running_area}', "money_per_area",
               needs="running_area", twin=money.cost_per_area, takes="owning running_area year_area",
               note="Running and owning, product left out."),
        result("hire_area", "Custom rate", '{sprayers.hire_rate}', "money_per_area",
               needs="sprayers.hire_rate"),
        result("hire_even_area", "Owning pays above",
               'IF({hire_area}>{running_area},{owning}/({hire_area}-{running_area}),"")', "area",
               needs="running_area hire_area", takes="owning hire_area running_area",
               twin=lambda owning, hire, running: money.break_even_area(owning, hire - running),
               note="Area per year at which owning and hiring cost the same; blank when hiring is cheaper at "
                    "any area."),
        check("advice", "Own or hire",
              'IF({own_area}="","No work or no work rate in this plan",IF({hire_area}="","No custom rate '
              'entered",IF({owned}=0,"No price entered: owning is not counted",'
              'IF({own_area}<={hire_area},"Owning costs less","Hiring costs less"))))', "long_text",
              needs="sprayer", width=38),
    ),
    rows="as:sprayers",
    kind="result",
)

TABLES = (WORK_RATES, SPRAYER_COSTS)
