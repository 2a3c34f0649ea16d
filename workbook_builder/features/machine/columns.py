"""Does the machine pay: capital recovery, break-even area, payback, present value, rate of return, swings."""

from __future__ import annotations

from collections.abc import Callable
from operator import mul, truediv
from typing import Any

from workbook_builder.core.adding import total
from workbook_builder.core.columns import FIXED, WORKING, Column, Table
from workbook_builder.core.rounding import rounded
from workbook_builder.core.short import check, part_of, place, result, row_number, slot_number, working
from workbook_builder.features.cost.definitions import per_area
from workbook_builder.features.machine import definitions as money
from workbook_builder.features.machine.inputs import MACHINE, MACHINE_USE, PACKAGE_SIZES

#: Figures swung one at a time: key and printed name.
SWINGS = (
    ("price", "Price premium"), ("trade", "Trade-in"), ("life", "Years kept"), ("rate", "Interest rate"),
    ("saving", "Saving per area before fees"), ("fee", "Fee per area"), ("upkeep", "Upkeep per area"),
    ("area", "Area per year"),
)

_BY_CROP = ("SUMIFS({spot_against_broadcast.%s:all},{spot_against_broadcast.sprayer_row:all},{sprayer_row},"
            "{spot_against_broadcast.crop_row:all},{crop_row})")

MACHINE_USE_FACTS = Table(
    "machine_use_facts",
    "Machine use workings",
    "What each crop's area saves in a year.",
    (
        place("machine_row", "Machine row", "machine_use.sprayer", "machine.sprayer"),
        place("sprayer_row", "Sprayer row", "machine_use.sprayer", "sprayers.sprayer"),
        place("crop_row", "First pass in the crop", "machine_use.crop", "pass_volumes.crop"),
        working("plan_area", "Spot sprayed in this plan", 'IF(OR({sprayer_row}="",{crop_row}=""),0,%s)'
                % (_BY_CROP % "area"), "area"),
        working("saving", "Saving per area",
                'IF({machine_use.saving_per_area}<>"",{machine_use.saving_per_area},IF({plan_area}=0,"",'
                '%s/{plan_area}))' % (_BY_CROP % "net"), "money_per_area", twin=money.saving_in_crop,
                takes="machine_use.saving_per_area plan_area spot_against_broadcast.net:all "
                      "spot_against_broadcast.sprayer_row:all spot_against_broadcast.crop_row:all "
                      "sprayer_row crop_row"),
        working("year_area", "Area per year", "SUM({machine_use.area_per_year})", "area"),
        working("year_saving", "Saved per year", "{saving}*{year_area}", "money", needs="saving", twin=mul,
                takes="saving year_area"),
        working("missing", "Saving not known", 'IF({saving}="",1,0)', "count", needs="machine_row"),
    ),
    rows="as:machine_use",
    kind="working",
    sheet="Workings money",
)

_PLAN = "SUMIF({spot_against_broadcast.sprayer_row:all},{sprayer_row},{spot_against_broadcast.%s:all})"
_USE = "SUMIF({machine_use_facts.machine_row:all},{row_no},{machine_use_facts.%s:all})"


#: Figures of a machine that its worth follows from.
_WORTH = "machine.price_premium machine.trade_in machine.life_years benefit"


def _live(column: Callable[..., Column], key: str, header: str, formula: str, quantity: str, takes: str = "",
          twin: Callable[..., Any] | None = None, **more: Any) -> Column:
    """Declare a column that is blank for a machine that cannot be counted."""
    if twin is None:
        return column(key, header, 'IF({live}=0,"",%s)' % formula, quantity, **more)
    return column(key, header, 'IF({live}=0,"",%s)' % formula, quantity, takes=f"live {takes}",
                  twin=lambda live, *cells: twin(*cells) if live else "", **more)


def _flows(price: float, trade: float, years: float, benefit: float) -> list[float]:
    return money.yearly_flows(price, trade, int(years), benefit)


def _rate_of_return(no_rate: str, *worth: float) -> float | None:
    rate = None if no_rate else money.internal_rate(_flows(*worth))
    return None if rate is None else rounded(rate, 6)


MACHINE_PAYBACK = Table(
    "machine_payback",
    "Machine payback",
    "Whether the dearer machine pays: yearly cost, area a year that pays for it, payback, present value and "
    "rate of return.",
    (
        result("sprayer", "Sprayer", "{machine.sprayer}", "name", needs="machine.sprayer"),
        row_number(),
        place("sprayer_row", "Sprayer row", "sprayer", "sprayers.sprayer"),
        working("plan_area", "Spot sprayed in this plan", 'IF({sprayer_row}="",0,%s)' % (_PLAN % "area"),
                "area"),
        working("plan_net", "Net of this plan", 'IF({sprayer_row}="",0,%s)' % (_PLAN % "net"), "money"),
        working("plan_fee", "Fees of this plan", 'IF({sprayer_row}="",0,%s)' % (_PLAN % "fee"), "money"),
        working("use_area", "Area by crop", 'IF({sprayer}="",0,%s)' % (_USE % "year_area"), "area"),
        working("use_missing", "Crops without a saving", 'IF({sprayer}="",0,%s)' % (_USE % "missing"),
                "count"),
        result("area_per_year", "Area per year",
               'IF({use_area}>0,{use_area},IF({machine.area_per_year}="","",{machine.area_per_year}))',
               "area", needs="sprayer"),
        result("saving_per_area", "Saving per area",
               'IF({machine.saving_per_area}<>"",{machine.saving_per_area},IF({use_area}>0,'
               'IF({use_missing}>0,"",%s/{use_area}),IF({plan_area}>0,{plan_net}/{plan_area},"")))'
               % (_USE % "year_saving"),
               "money_per_area", needs="sprayer", twin=money.saving_per_area,
               takes="machine.saving_per_area use_area use_missing machine_use_facts.year_saving:all "
                     "machine_use_facts.machine_row:all row_no plan_area plan_net",
               note="Net of fees: typed, by crop, or the mean of this plan's spot passes."),
        result("fee_per_area", "Of which fees are already off", "IF({plan_area}>0,{plan_fee}/{plan_area},0)",
               "money_per_area", needs="sprayer",
               twin=lambda fee, area: fee / area if area > 0 else 0, takes="plan_fee plan_area",
               note="Mean fee of this plan's spot passes."),
        working("rate", "Interest", "SUM({farm.interest_rate})", "share", digits=2),
        working("upkeep_area", "Upkeep per area", "SUM({machine.upkeep_per_area})", "money_per_area"),
        working("live", "Can be counted",
                'IF(OR({sprayer}="",{machine.price_premium}="",{machine.trade_in}="",{area_per_year}="",'
                '{saving_per_area}=""),0,IF(SUM({machine.life_years})<=0,0,'
                'IF({machine.life_years}>{room.years}-1,0,1)))',
                "count"),
        _live(result, "recovery", "Capital recovery per year",
              "PMT({rate},{machine.life_years},-{machine.price_premium},{machine.trade_in})", "money",
              "rate machine.life_years machine.price_premium machine.trade_in", source="(P - S) CRF + S i",
              twin=lambda rate, years, price, trade: money.capital_recovery(
                  price, trade, money.capital_recovery_factor(rate, years), rate)),
        _live(result, "insurance", "Insurance per year",
              "SUM({machine.insurance_rate})*{machine.price_premium}", "money",
              "machine.insurance_rate machine.price_premium",
              lambda rate, price: (rate or 0) * price),
        _live(result, "upkeep", "Upkeep per year", "{upkeep_area}*{area_per_year}", "money",
              "upkeep_area area_per_year", mul),
        _live(result, "annual_cost", "Cost per year", "{recovery}+{insurance}+{upkeep}", "money",
              "recovery insurance upkeep", lambda *parts: total(parts)),
        _live(result, "cost_per_area", "Cost per area",
              'IF({area_per_year}=0,"",{annual_cost}/{area_per_year})', "money_per_area",
              "annual_cost area_per_year", per_area),
        _live(result, "annual_net", "Left over per year", "{saving_per_area}*{area_per_year}-{annual_cost}",
              "money", "saving_per_area area_per_year annual_cost",
              lambda saving, area, cost: saving * area - cost),
        _live(result, "break_even_area", "Area a year that pays for it",
              'IF({saving_per_area}-{upkeep_area}<=0,"",({recovery}+{insurance})/({saving_per_area}'
              '-{upkeep_area}))', "area", "recovery insurance saving_per_area upkeep_area",
              lambda recovery, insurance, saving, upkeep: money.break_even_area(
                  recovery + insurance, saving - upkeep),
              note="Blank when it saves less than its upkeep."),
        _live(working, "benefit", "Return per year",
              "({saving_per_area}-{upkeep_area})*{area_per_year}-{insurance}", "money",
              "saving_per_area upkeep_area area_per_year insurance",
              lambda saving, upkeep, area, insurance: (saving - upkeep) * area - insurance),
        _live(result, "payback_years", "Payback", 'IF({benefit}<=0,"",{machine.price_premium}/{benefit})',
              "years", "machine.price_premium benefit",
              lambda price, benefit: price / benefit if benefit > 0 else "",
              note="Without interest and trade-in."),
        _live(working, "paid_slot", "First year paid back",
              'IFERROR(MATCH(1,{machine_years.paid:block},0),"")', "index"),
        _live(result, "discounted_payback_years", "Discounted payback",
              'IF({paid_slot}="","",IF({paid_slot}=1,0,'
              '{paid_slot}-2-INDEX({machine_years.running_discounted:block},{paid_slot}-1)/'
              '({machine_years.running_discounted:block@paid_slot}'
              '-INDEX({machine_years.running_discounted:block},{paid_slot}-1))))', "years", f"rate {_WORTH}",
              lambda rate, price, trade, years, benefit: money.payback(_flows(price, 0, years, benefit),
                                                                       rate),
              note="With interest, without trade-in; part years by proportion; blank when not within the "
                   "years kept."),
        _live(result, "npv", "Present value, paid today", "SUM({machine_years.discounted:block})", "money",
              f"rate {_WORTH}",
              lambda rate, *worth: money.present_value_now(rate, _flows(*worth)),
              note="The premium counts today, returns at each year's end."),
        _live(result, "npv_after_a_year", "Present value, paid after a year",
              "NPV({rate},{machine_years.flow_number:block})", "money", f"rate {_WORTH}",
              lambda rate, *worth: money.present_value_after_a_year(rate, _flows(*worth)),
              note="The timing of a spreadsheet's NPV of the whole row: the premium counts at the end of "
                   "year 1."),
        _live(working, "irr_guess", "First guess of the rate",
              "IF({machine.price_premium}+{machine.trade_in}=0,0,"
              "MAX(-0.9,MIN(3,({benefit}-({machine.price_premium}-{machine.trade_in})/{machine.life_years})*2"
              "/({machine.price_premium}+{machine.trade_in}))))",
              "factor", _WORTH, money.first_guess),
        _live(result, "irr", "Rate of return",
              'IF({no_rate}<>"","",IFERROR(ROUND(IRR({machine_years.flow_number:block},{irr_guess}),6),""))',
              "share", f"no_rate {_WORTH}",
              _rate_of_return, digits=2),
        _live(check, "no_rate", "Why no rate",
              'IF({machine.price_premium}<=0,"Nothing is paid",IF({benefit}<=0,"It never saves what it costs '
              'to keep",'
              'IF({benefit}*{machine.life_years}+{machine.trade_in}<0.1*{machine.price_premium},'
              '"Less than a tenth of the premium comes back",'
              'IF({benefit}+{machine.trade_in}>10*{machine.price_premium},"Paid back more than ten times in '
              'a year",""))))', "text", _WORTH, money.no_rate),
        check("verdict", "Does it pay",
              'IF({live}=0,IF(SUM({machine.life_years})>{room.years}-1,"Review: more years than the list '
              'holds; build anew","Not entered: a figure of its row is missing"),'
              'IF({npv}>=0,"OK: it pays within the years kept","Review: it does not pay within the years '
              'kept"))', "text", needs="sprayer", width=46,
              twin=lambda live, years, room, worth: money.verdict(live, years, room - 1, worth),
              takes="live machine.life_years room.years npv"),
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
        result("year", "Year",
               'IF({machine_payback.live}=0,"",IF({slot}-1>{machine.life_years},"",{slot}-1))', "count"),
        result("returns", "Return", "IF({year}=0,0,{machine_payback.benefit})", "money", needs="year"),
        result("flow", "Money in and out",
               "IF({year}=0,0-{machine.price_premium},{returns}+IF({year}={machine.life_years},"
               "{machine.trade_in},0))", "money", needs="year",
               twin=lambda year, *worth: _flows(*worth)[int(year)],
               takes="year machine.price_premium machine.trade_in machine.life_years "
                     "machine_payback.benefit"),
        working("flow_number", "Money in and out, none past the end", "SUM({flow})", "money"),
        working("factor", "Growth of money", 'IF({year}="",1,POWER(1+{machine_payback.rate},{year}))',
                "factor", takes="machine_payback.rate year",
                twin=lambda rate, year: 1 if year == "" else (1 + rate) ** year),
        result("discounted", "Worth today", "{flow}/{factor}", "money", needs="year", twin=truediv,
               takes="flow factor"),
        result("running", "Paid back so far",
               "IF({year}=0,0-{machine.price_premium},{running:above}+{returns})", "money", needs="year",
               twin=money.paid_back, takes="year machine.price_premium machine_payback.benefit",
               note="Trade-in left out."),
        result("running_discounted", "Paid back so far, with interest",
               "IF({year}=0,0-{machine.price_premium},{running_discounted:above}+{returns}/{factor})",
               "money", needs="year",
               twin=money.paid_back,
               takes="year machine.price_premium machine_payback.benefit machine_payback.rate",
               note="Trade-in left out."),
        working("paid", "Paid back", 'IF({running_discounted}="",0,IF(ROUND({running_discounted},6)>=0,1,0))',
                "count"),
    ),
    rows="under:machine:years",
    kind="result",
)


#: Where each figure stands; the saving is told before fees.
_FIGURES = {
    "price": "machine.price_premium", "trade": "machine.trade_in", "life": "machine.life_years",
    "rate": "machine_payback.rate",
    "saving": "machine_payback.saving_per_area", "fee": "machine_payback.fee_per_area",
    "upkeep": "machine_payback.upkeep_area", "area": "machine_payback.area_per_year",
}


def _moved(key: str, header: str, sign: str, towards: int) -> Column:
    """Declare what is left over per year with one figure moved, one formula a figure."""
    net = ('(%(saving)s-%(fee)s-%(upkeep)s)*%(area)s-SUM({machine.insurance_rate})*%(price)s-PMT(%(rate)s,'
           '%(life)s,-%(price)s,%(trade)s)')
    part = ({name: "{%s}" % token for name, token in _FIGURES.items()}
            | {"saving": "({machine_payback.saving_per_area}+{machine_payback.fee_per_area})"})
    formulas = tuple('IF({machine_payback.live}=0,"",%s)'
                     % (net % (part | {name: f"{part[name]}*(1{sign}swing)"})) for name, _ in SWINGS)

    def moved(live: int, slot: int, swing: float, insurance: Any, *cells: float) -> Any:
        if not live:
            return ""
        figures, name = dict(zip(_FIGURES, cells, strict=True)), SWINGS[slot - 1][0]
        figures["saving"] += figures["fee"]
        figures[name] *= 1 + towards * swing
        return money.annual_net(figures, insurance or 0)

    return Column(key, header, "money", WORKING, formulas, twin=moved,
                  takes=" ".join(("machine_payback.live slot assumptions.swing machine.insurance_rate",
                                  *_FIGURES.values())))


MACHINE_SWINGS = Table(
    "machine_swings",
    "Swing workings",
    "What is left over per year when one figure is moved down and up.",
    (
        slot_number(),
        Column("figure", "Figure", "name", FIXED, given=tuple(name for _, name in SWINGS)),
        _moved("low", "Moved down", "-", -1),
        _moved("high", "Moved up", "+", 1),
        working("size", "Swing", "ABS({high}-{low})", "money", needs="low",
                twin=lambda low, high: abs(high - low)),
        working("key", "Order", "ROUND(ROUND({size},8),4)-{slot}/1000000", "factor", needs="size",
                takes="size slot",
                twin=lambda size, slot: rounded(rounded(size, 8), 4) - slot / 1e6,
                note="Ties keep their order."),
    ),
    rows="under:machine:swings",
    kind="working",
    sheet="Workings money",
)

MACHINE_RANKED = Table(
    "machine_ranked",
    "What matters most",
    "What is left over per year when one figure at a time is moved down and up by the swing of the "
    "assumptions, largest first.",
    (
        result("sprayer", "Sprayer", "{machine_payback.sprayer}", "name", needs="row"),
        Column("slot", "Slot", "index", WORKING),
        working("row", "Slot",
                'IF({machine_payback.live}=0,"",MATCH(LARGE({machine_swings.key:block},{slot}),'
                '{machine_swings.key:block},0))'),
        result("place", "Place", "{slot}", "count", needs="row"),
        result("figure", "Figure moved", "{machine_swings.figure:block@row}", "name", needs="row"),
        result("low", "Left over, moved down", "{machine_swings.low:block@row}", "money", needs="row"),
        result("as_entered", "As entered", "{machine_payback.annual_net}", "money", needs="row"),
        result("high", "Left over, moved up", "{machine_swings.high:block@row}", "money", needs="row"),
        result("size", "Swing", "{machine_swings.size:block@row}", "money", needs="row"),
        check("turns", "Turns the answer", 'IF(AND(MIN({low},{high})<0,MAX({low},{high})>=0),"yes","no")',
              "text", needs="row"),
    ),
    rows="under:machine:swings",
    kind="result",
)

#: Whether the shade of a figure moved up lies nearer to nothing than that of the same figure moved down.
_UP_FIRST = "IF(ROUND({entered},6)>=0,{high}<{entered},{high}>{entered})"


def _part(number: int, key: str, header: str, up_first: str, down_first: str) -> Column:
    """Declare a part of the stacked bars, by which shade lies nearer to nothing."""
    formula = f"IF({_UP_FIRST},{up_first},{down_first})"
    return working(key, header, formula, "money", needs="row", twin=part_of(money.swing_bar, number),
                   takes="low entered high")


def _ranked(key: str, header: str, column: str, quantity: str = "money") -> Column:
    """Declare what the figures swung say of the machine drawn."""
    return working(key, header, "{machine_ranked.%s@row}" % column, quantity, needs="row")


MACHINE_DRAWN = Table(
    "machine_drawn",
    "Swings drawn",
    "Bars of the first machine that can be counted: what is left over per year when one figure is moved, "
    "largest swing first.",
    (
        slot_number(),
        working("row", "Row drawn",
                'IFERROR(MATCH(1,{machine_ranked.place:all},0)+{slot}-1,"")'),
        _ranked("figure", "Figure moved", "figure", "name"),
        _ranked("low", "Moved down", "low"),
        _ranked("entered", "As entered", "as_entered"),
        _ranked("high", "Moved up", "high"),
        working("blank", "Blank before the bar", "MEDIAN(0,{low},{high})", "money", needs="row",
                twin=part_of(money.swing_bar, 0), takes="low entered high",
                note="From nothing to where the bar begins."),
        _part(1, "down", "Bar moved down", "0", "{entered}-{blank}"),
        _part(2, "up", "Bar moved up", "{entered}-{blank}", "{high}-{entered}"),
        _part(3, "down_on", "Bar moved down, further", "{low}-{entered}", "{low}-{blank}"),
        _part(4, "up_on", "Bar moved up, further", "{high}-{blank}", "0"),
        working("shade", "Name of the shade",
                tuple('{machine_ranked.sprayer@row}&", figure moved %s"' % way for way in ("down", "up"))
                + ('""',) * (len(SWINGS) - 2), "text", needs="row"),
    ),
    rows="list:swings",
    kind="working",
    sheet="Workings money",
)

TABLES = (MACHINE, MACHINE_USE, PACKAGE_SIZES, MACHINE_PAYBACK, MACHINE_RANKED, MACHINE_YEARS,
          MACHINE_USE_FACTS, MACHINE_SWINGS, MACHINE_DRAWN)
