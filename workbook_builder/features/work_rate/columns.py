"""Work rate with refills, and what each sprayer costs per hour, per year and against hiring."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.core.short import check, result, row_number, working

WORK_RATES = Table(
    "work_rates",
    "Work rate",
    "How fast each pass goes with refills counted: a spot pass goes farther on each load.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("theoretical_rate", "Speed times width", 'IF({pass_times.speed}*{pass_times.width}=0,"",{pass_times.speed}*{pass_times.width}/work_rate_divisor)', "work_rate"),
        result("refill_minutes", "Minutes per refill", "{pass_times.refill_minutes}", "minutes"),
        result("area_per_load", "Field area per load",
               'IF(OR({pass_volumes.loads}="",{passes.carrier}=""),"",IF({pass_volumes.share}*{passes.carrier}=0,"",{pass_volumes.usable}/({passes.carrier}*{pass_volumes.share})))', "area",
               note="At the share of the field sprayed: spot spraying goes farther on a load."),
        result("field_hours", "Hours in the field",
               'IF({pass_times.by_load}=1,{pass_volumes.area}/({theoretical_rate}*{pass_times.travel_efficiency}),{pass_times.hours})', "hours"),
        result("refill_hours", "Hours of refilling", 'IF({field_hours}="","",IF({pass_times.by_load}=1,{pass_volumes.loads}*{refill_minutes}/60,0))', "hours"),
        result("hours", "Hours in all", "{pass_times.hours}", "hours"),
        result("rate", "Work rate with refills", 'IF(SUM({hours})=0,"",{pass_volumes.area}/{hours})', "work_rate"),
        result("steady_rate", "Steady work rate",
               'IF(OR({pass_times.by_load}=0,{area_per_load}=""),"",{area_per_load}/({area_per_load}/({theoretical_rate}*{pass_times.travel_efficiency})+{refill_minutes}/60))', "work_rate",
               note="Load after load, as in a field without end.", source="area per load / (travel + fill + haul); time accounting of ASAE EP496, derived"),
        result("efficiency", "Field efficiency reached", 'IF(OR({rate}="",{theoretical_rate}=""),"",{rate}/{theoretical_rate})', "share"),
        result("counted", "How counted", 'IF({hours}="","",IF({pass_times.by_load}=1,"load by load","by the field efficiency typed"))', "text"),
    ),
    rows="as:passes",
    kind="result",
)

_PER_HOUR = 'IF({owned}=0,0,IF({hours_per_year}>0,{%s}/{hours_per_year},0))'

SPRAYER_COSTS = Table(
    "sprayer_costs",
    "Sprayer costs",
    "What each sprayer costs to own and to run, and against hiring; in parts where prices are entered, else by its cost per hour.",
    (
        result("sprayer", "Sprayer", 'IF({sprayers.sprayer}="","",{sprayers.sprayer})', "name"),
        row_number(),
        result("plan_area", "Area in this plan", 'IF({sprayer}="","",SUMIF({pass_volumes.sprayer_row:all},{row_no},{trips.area:all}))', "area"),
        result("plan_hours", "Hours in this plan", 'IF({sprayer}="","",SUMIF({pass_volumes.sprayer_row:all},{row_no},{trips.hours:all}))', "hours", digits=1),
        working("hours_per_year", "Hours per year", 'IF({sprayer}="",0,IF({sprayers.hours_per_year}="",{plan_hours},{sprayers.hours_per_year}))', "hours", digits=1),
        working("price", "Price paid", 'IF({sprayers.purchase_price}<>"",{sprayers.purchase_price},IF({sprayers.list_price}="","",{sprayers.list_price}))', "money"),
        working("list", "List price", 'IF({sprayers.list_price}<>"",{sprayers.list_price},{price})', "money"),
        result("sale_value", "Value when sold",
               'IF(OR({price}="",{sprayers.keep_years}=""),"",IF({sprayers.sale_value}<>"",{sprayers.sale_value},'
               '{list}*MAX(0,value_start-value_years*SQRT({sprayers.keep_years})-value_hours*SQRT({hours_per_year}))^2))', "money",
               source="ASAE D497.7: (C1 - C2 root n - C3 root h) squared, of the list price"),
        working("owned", "Ownership is counted", 'IF({sale_value}="",0,1)', "count"),
        result("depreciation", "Depreciation per year", 'IF({owned}=0,0,({price}-{sale_value})/{sprayers.keep_years})', "money"),
        result("recovery", "Capital recovery per year", 'IF({owned}=0,0,PMT(SUM({farm.interest_rate}),{sprayers.keep_years},-{price},{sale_value}))', "money",
               note="Depreciation and interest together.", source="(P - S) CRF + S i; Iowa State PM 710"),
        result("interest", "Interest per year", "{recovery}-{depreciation}", "money"),
        result("insurance", "Insurance and housing per year", 'IF({owned}=0,0,SUM({sprayers.insurance_rate})*({price}+{sale_value})/2)', "money"),
        result("repairs", "Repairs per year",
               'IF({owned}=0,0,IF({sprayers.repairs_per_year}<>"",{sprayers.repairs_per_year},'
               'IF({hours_per_year}=0,0,{list}*repair_start*({hours_per_year}*{sprayers.keep_years}/1000)^repair_power/{sprayers.keep_years})))', "money",
               source="ASAE D497.7: list price x RF1 (h / 1000)^RF2 over the years kept"),
        result("owning", "Owning per year", '{recovery}+{insurance}+{repairs}', "money"),
        working("depreciation_hour", "Depreciation per hour", _PER_HOUR % "depreciation", "money_per_hour"),
        working("interest_hour", "Interest per hour", _PER_HOUR % "interest", "money_per_hour"),
        working("insurance_hour", "Insurance per hour", _PER_HOUR % "insurance", "money_per_hour"),
        working("repairs_hour", "Repairs per hour", _PER_HOUR % "repairs", "money_per_hour"),
        working("in_parts", "Counted in parts", 'IF({sprayer}="",0,IF(OR({owned}=1,SUM({sprayers.fuel_per_hour})>0),1,0))', "count"),
        result("fuel_hour", "Fuel, oil and grease per hour", "{in_parts}*SUM({sprayers.fuel_per_hour})*SUM({farm.fuel_price})*(1+lube_share)", "money_per_hour"),
        result("labor_hour", "Labor per hour", "{in_parts}*SUM({farm.labor_rate})*labor_factor", "money_per_hour"),
        result("charge_hour", "Charge per hour", "IF({in_parts}=1,0,SUM({sprayers.cost_per_hour}))", "money_per_hour",
               note="The sprayer's cost per hour, machine and driver, where costs are not counted in parts."),
        result("running_hour", "Running cost per hour", "{fuel_hour}+{labor_hour}+{charge_hour}", "money_per_hour"),
        working("full_hour", "All of it per hour", "{running_hour}+{depreciation_hour}+{interest_hour}+{insurance_hour}+{repairs_hour}", "money_per_hour"),
        working("estimated", "Counted by usual figures",
                'IF({in_parts}*SUM({plan_hours})=0,0,IF({fuel_hour}+{labor_hour}>0,1,IF(AND({owned}=1,OR({sprayers.sale_value}="",{sprayers.repairs_per_year}="")),1,0)))', "count"),
        result("year_area", "Area per year",
               'IF(SUM({plan_hours})=0,"",{plan_area}*{hours_per_year}/{plan_hours})', "area", note="This plan's area per hour times the hours per year."),
        result("running_area", "Running cost per area", 'IF(SUM({year_area})=0,"",{running_hour}*{plan_hours}/{plan_area}+SUM({sprayers.cost_per_area}))', "money_per_area",
               note="The sprayer's cost per area included."),
        result("own_area", "Own cost per area", 'IF({running_area}="","",{owning}/{year_area}+{running_area})', "money_per_area", note="Running and owning, product left out."),
        result("hire_area", "Custom rate", 'IF({sprayers.hire_rate}="","",{sprayers.hire_rate})', "money_per_area"),
        result("hire_even_area", "Owning pays above",
               'IF(OR({running_area}="",{hire_area}=""),"",IF({hire_area}>{running_area},{owning}/({hire_area}-{running_area}),""))', "area",
               note="Area per year at which owning and hiring cost the same; blank when hiring is cheaper at any area."),
        check("advice", "Own or hire",
              'IF({sprayer}="","",IF({own_area}="","No work or no work rate in this plan",IF({hire_area}="","No custom rate entered",IF({owned}=0,"No price entered: owning is not counted",'
              'IF({own_area}<={hire_area},"Owning costs less","Hiring costs less")))))', "long_text", width=38),
    ),
    rows="as:sprayers",
    kind="result",
)

WORK_COST_TABLES = (WORK_RATES, SPRAYER_COSTS)
