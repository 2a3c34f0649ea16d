"""Does the machine pay: capital recovery, break-even area, payback, present value, rate of return, swings."""

from __future__ import annotations

from workbook_builder.core.columns import FIXED, WORKING, Column, Table
from workbook_builder.core.short import check, result, row_number, slot_number, working

#: Figures swung one at a time: key and printed name.
SWINGS = (
    ("price", "Price premium"), ("trade", "Trade-in"), ("life", "Years kept"), ("rate", "Interest rate"),
    ("saving", "Saving per area before fees"), ("fee", "Fee per area"), ("upkeep", "Upkeep per area"), ("area", "Area per year"),
)

_BY_CROP = "SUMIFS({spot_against_broadcast.%s:all},{spot_against_broadcast.sprayer_row:all},{sprayer_row},{spot_against_broadcast.crop_row:all},{crop_row})"

MACHINE_USE_FACTS = Table(
    "machine_use_facts",
    "Machine use workings",
    "What each crop's area saves in a year.",
    (
        working("machine_row", "Machine row", 'IFERROR(MATCH({machine_use.sprayer},{machine.sprayer:all},0),"")', needs="machine_use.sprayer"),
        working("sprayer_row", "Sprayer row", 'IFERROR(MATCH({machine_use.sprayer},{sprayers.sprayer:all},0),"")', needs="machine_use.sprayer"),
        working("crop_row", "First pass in the crop", 'IFERROR(MATCH({machine_use.crop},{pass_volumes.crop:all},0),"")', needs="machine_use.crop"),
        working("plan_area", "Spot sprayed in this plan", 'IF(OR({sprayer_row}="",{crop_row}=""),0,%s)' % (_BY_CROP % "area"), "area"),
        working("saving", "Saving per area",
                'IF({machine_use.saving_per_area}<>"",{machine_use.saving_per_area},IF({plan_area}=0,"",%s/{plan_area}))' % (_BY_CROP % "net"), "money_per_area"),
        working("year_area", "Area per year", "SUM({machine_use.area_per_year})", "area"),
        working("year_saving", "Saved per year", "{saving}*{year_area}", "money", needs="saving"),
        working("missing", "Saving not known", 'IF({saving}="",1,0)', "count", needs="machine_row"),
    ),
    rows="as:machine_use",
    kind="working",
    sheet="Workings money",
)

_PLAN = "SUMIF({spot_against_broadcast.sprayer_row:all},{sprayer_row},{spot_against_broadcast.%s:all})"
_USE = "SUMIF({machine_use_facts.machine_row:all},{row_no},{machine_use_facts.%s:all})"


def _live(formula: str) -> str:
    return 'IF({live}=0,"",%s)' % formula


MACHINE_PAYBACK = Table(
    "machine_payback",
    "Machine payback",
    "Whether the dearer machine pays: yearly cost, area a year that pays for it, payback, present value and rate of return.",
    (
        result("sprayer", "Sprayer", "{machine.sprayer}", "name", needs="machine.sprayer"),
        row_number(),
        working("sprayer_row", "Sprayer row", 'IFERROR(MATCH({sprayer},{sprayers.sprayer:all},0),"")', needs="sprayer"),
        working("plan_area", "Spot sprayed in this plan", 'IF({sprayer_row}="",0,%s)' % (_PLAN % "area"), "area"),
        working("plan_net", "Net of this plan", 'IF({sprayer_row}="",0,%s)' % (_PLAN % "net"), "money"),
        working("plan_fee", "Fees of this plan", 'IF({sprayer_row}="",0,%s)' % (_PLAN % "fee"), "money"),
        working("use_area", "Area by crop", 'IF({sprayer}="",0,%s)' % (_USE % "year_area"), "area"),
        working("use_missing", "Crops without a saving", 'IF({sprayer}="",0,%s)' % (_USE % "missing"), "count"),
        result("area_per_year", "Area per year", 'IF({use_area}>0,{use_area},IF({machine.area_per_year}="","",{machine.area_per_year}))', "area", needs="sprayer"),
        result("saving_per_area", "Saving per area",
               'IF({sprayer}="","",IF({machine.saving_per_area}<>"",{machine.saving_per_area},IF({use_area}>0,IF({use_missing}>0,"",%s/{use_area}),IF({plan_area}>0,{plan_net}/{plan_area},""))))' % (_USE % "year_saving"),
               "money_per_area", note="Net of fees: typed, by crop, or the mean of this plan's spot passes."),
        result("fee_per_area", "Of which fees are already off", "IF({plan_area}>0,{plan_fee}/{plan_area},0)", "money_per_area", needs="sprayer",
               note="Mean fee of this plan's spot passes."),
        working("rate", "Interest", "SUM({farm.interest_rate})", "share", digits=2),
        working("upkeep_area", "Upkeep per area", "SUM({machine.upkeep_per_area})", "money_per_area"),
        working("live", "Can be counted",
                'IF(OR({sprayer}="",{machine.price_premium}="",{machine.trade_in}="",{area_per_year}="",{saving_per_area}=""),0,IF(SUM({machine.life_years})<=0,0,IF({machine.life_years}>{room.years}-1,0,1)))',
                "count"),
        result("recovery", "Capital recovery per year",
               _live("PMT({rate},{machine.life_years},-{machine.price_premium},{machine.trade_in})"), "money", source="(P - S) CRF + S i"),
        result("insurance", "Insurance per year", _live("SUM({machine.insurance_rate})*{machine.price_premium}"), "money"),
        result("upkeep", "Upkeep per year", _live("{upkeep_area}*{area_per_year}"), "money"),
        result("annual_cost", "Cost per year", _live("{recovery}+{insurance}+{upkeep}"), "money"),
        result("cost_per_area", "Cost per area", _live('IF({area_per_year}=0,"",{annual_cost}/{area_per_year})'), "money_per_area"),
        result("annual_net", "Left over per year", _live("{saving_per_area}*{area_per_year}-{annual_cost}"), "money"),
        result("break_even_area", "Area a year that pays for it",
               _live('IF({saving_per_area}-{upkeep_area}<=0,"",({recovery}+{insurance})/({saving_per_area}-{upkeep_area}))'), "area",
               note="Blank when it saves less than its upkeep."),
        working("benefit", "Return per year", _live("({saving_per_area}-{upkeep_area})*{area_per_year}-{insurance}"), "money"),
        result("payback_years", "Payback", _live('IF({benefit}<=0,"",{machine.price_premium}/{benefit})'), "years", note="Without interest and trade-in."),
        working("paid_slot", "First year paid back", _live('IFERROR(MATCH(1,{machine_years.paid:block},0),"")')),
        result("discounted_payback_years", "Discounted payback",
               _live('IF({paid_slot}="","",IF({paid_slot}=1,0,{paid_slot}-2-INDEX({machine_years.running_discounted:block},{paid_slot}-1)/'
                     '(INDEX({machine_years.running_discounted:block},{paid_slot})-INDEX({machine_years.running_discounted:block},{paid_slot}-1))))'), "years",
               note="With interest, without trade-in; part years by proportion; blank when not within the years kept."),
        result("npv", "Present value, paid today", _live("SUM({machine_years.discounted:block})"), "money", note="The premium counts today, returns at each year's end."),
        result("npv_after_a_year", "Present value, paid after a year",
               _live("NPV({rate},{machine_years.flow_number:block})"), "money",
               note="The timing of a spreadsheet's NPV of the whole row: the premium counts at the end of year 1."),
        working("irr_guess", "First guess of the rate",
                _live("IF({machine.price_premium}+{machine.trade_in}=0,0,MAX(-0.9,MIN(3,({benefit}-({machine.price_premium}-{machine.trade_in})/{machine.life_years})*2/({machine.price_premium}+{machine.trade_in}))))"),
                "factor"),
        result("irr", "Rate of return", _live('IF({no_rate}<>"","",IFERROR(ROUND(IRR({machine_years.flow_number:block},{irr_guess}),6),""))'), "share", digits=2),
        check("no_rate", "Why no rate",
              _live('IF({machine.price_premium}<=0,"Nothing is paid",IF({benefit}<=0,"It never saves what it costs to keep",'
                    'IF({benefit}*{machine.life_years}+{machine.trade_in}<0.1*{machine.price_premium},"Less than a tenth of the premium comes back",IF({benefit}+{machine.trade_in}>10*{machine.price_premium},"Paid back more than ten times in a year",""))))'), "text"),
        check("verdict", "Does it pay",
              'IF({live}=0,IF(SUM({machine.life_years})>{room.years}-1,"Review: more years than the list holds; build anew","Not entered: premium, trade-in, years, area or saving is missing"),'
              'IF({npv}>=0,"OK: it pays within the years kept","Review: it does not pay within the years kept"))', "text", needs="sprayer"),
    ),
    rows="as:machine",
    kind="result",
    caution="Rests on the saving per area: see what the swings do to it.",
)

MACHINE_YEARS = Table(
    "machine_years",
    "Machine by year",
    "What each machine has paid back by the end of every year, with and without interest.",
    (
        result("sprayer", "Sprayer", "{machine_payback.sprayer}", "name", needs="year"),
        Column("slot", "Slot", "index", WORKING),
        result("year", "Year", 'IF({machine_payback.live}=0,"",IF({slot}-1>{machine.life_years},"",{slot}-1))', "count"),
        result("returns", "Return", "IF({year}=0,0,{machine_payback.benefit})", "money", needs="year"),
        result("flow", "Money in and out", "IF({year}=0,0-{machine.price_premium},{returns}+IF({year}={machine.life_years},{machine.trade_in},0))", "money", needs="year"),
        working("flow_number", "Money in and out, none past the end", "SUM({flow})", "money"),
        working("factor", "Growth of money", 'IF({year}="",1,POWER(1+{machine_payback.rate},{year}))', "factor"),
        result("discounted", "Worth today", "{flow}/{factor}", "money", needs="year"),
        result("running", "Paid back so far", "IF({year}=0,0-{machine.price_premium},{running:above}+{returns})", "money", needs="year", note="Trade-in left out."),
        result("running_discounted", "Paid back so far, with interest", "IF({year}=0,0-{machine.price_premium},{running_discounted:above}+{returns}/{factor})", "money",
               needs="year", note="Trade-in left out."),
        working("paid", "Paid back", 'IF({running_discounted}="",0,IF(ROUND({running_discounted},6)>=0,1,0))', "count"),
    ),
    rows="under:machine:years",
    kind="result",
)


def _net(**moved: str) -> str:
    """Return the formula of the yearly net with one figure moved; unmoved ones stand as they are."""
    part = {
        "price": "{machine.price_premium}", "trade": "{machine.trade_in}", "life": "{machine.life_years}", "rate": "{machine_payback.rate}",
        "saving": "({machine_payback.saving_per_area}+{machine_payback.fee_per_area})", "fee": "{machine_payback.fee_per_area}",
        "upkeep": "{machine_payback.upkeep_area}", "area": "{machine_payback.area_per_year}",
    }
    part.update({key: f"{part[key]}*{factor}" for key, factor in moved.items()})
    return (
        'IF({machine_payback.live}=0,"",(%(saving)s-%(fee)s-%(upkeep)s)*%(area)s-SUM({machine.insurance_rate})*%(price)s-PMT(%(rate)s,%(life)s,-%(price)s,%(trade)s))' % part
    )


def _per_figure(factor: str) -> tuple[str, ...]:
    return tuple(_net(**{key: factor}) for key, _ in SWINGS)


MACHINE_SWINGS = Table(
    "machine_swings",
    "Swing workings",
    "What is left over per year when one figure is moved down and up.",
    (
        slot_number(),
        Column("figure", "Figure", "name", FIXED),
        Column("low", "Moved down", "money", WORKING, _per_figure("(1-swing)")),
        Column("high", "Moved up", "money", WORKING, _per_figure("(1+swing)")),
        working("size", "Swing", "ABS({high}-{low})", "money", needs="low"),
        working("key", "Order", "ROUND(ROUND({size},8),4)-{slot}/1000000", "factor", needs="size", note="Ties keep their order."),
    ),
    rows="under:machine:swings",
    kind="working",
    sheet="Workings money",
)

_RANKED = 'IF({row}="","",INDEX({machine_swings.%s:block},{row}))'

MACHINE_RANKED = Table(
    "machine_ranked",
    "What matters most",
    "What is left over per year when one figure at a time is moved down and up by the swing of the assumptions, largest first.",
    (
        result("sprayer", "Sprayer", "{machine_payback.sprayer}", "name", needs="row"),
        Column("slot", "Slot", "index", WORKING),
        working("row", "Slot", 'IF({machine_payback.live}=0,"",MATCH(LARGE({machine_swings.key:block},{slot}),{machine_swings.key:block},0))'),
        result("place", "Place", "{slot}", "count", needs="row"),
        result("figure", "Figure moved", _RANKED % "figure", "name"),
        result("low", "Left over, moved down", _RANKED % "low", "money"),
        result("as_entered", "As entered", "{machine_payback.annual_net}", "money", needs="row"),
        result("high", "Left over, moved up", _RANKED % "high", "money"),
        result("size", "Swing", _RANKED % "size", "money"),
        check("turns", "Turns the answer", 'IF(AND(MIN({low},{high})<0,MAX({low},{high})>=0),"yes","no")', "text", needs="row"),
    ),
    rows="under:machine:swings",
    kind="result",
)

MACHINE_TABLES = (MACHINE_PAYBACK, MACHINE_RANKED, MACHINE_YEARS, MACHINE_USE_FACTS, MACHINE_SWINGS)
