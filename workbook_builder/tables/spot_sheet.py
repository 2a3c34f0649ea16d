"""One spot pass on one page: its estimate, the choices, the next fill and what goes into it; and two charts."""

from __future__ import annotations

from workbook_builder.columns import SETTING, Column, Table
from workbook_builder.tables.short import check, result, slot_number, working
from workbook_builder.tables.volumes import pour_text

LOAD_TITLE = "Spot load"
CHART_TITLE = "Spot charts"
CAUTION = "Wear what the label requires. Check wind, inversion and downwind neighbours. Jar test when unsure."

SPOT_CHOICE = Table(
    "spot_choice",
    LOAD_TITLE,
    "Choose a spot pass and its field; the sheet shows the next fill of its tank, and the charts follow. Blank shows the first spot pass.",
    (
        Column("pass", "Pass", "name", SETTING, choices="cost_pass_names.pass", note="Choose the spot pass."),
        Column("field", "Field", "name", SETTING, choices="fields.field", note="Choose the field."),
    ),
    rows="form",
    kind="setting",
    sheet=LOAD_TITLE,
    caution=CAUTION,
)


def _spot(key: str) -> str:
    return 'IF({slot_row}="","",INDEX({spot_passes.%s:all},{slot_row}))' % key


def _of(column: str) -> str:
    return 'IF({row}="","",INDEX({%s:all},{row}))' % column


def _text(column: str) -> str:
    return 'IF({row}="","",INDEX({%s:all},{row})&"")' % column


SPOT_SHEET = Table(
    "spot_sheet",
    "This spot pass",
    "Where it stands and what to put into the tank now.",
    (
        working("slot_row", "Place among spot passes",
                'IF({spot_choice.pass}="",1,IFERROR(MATCH({spot_choice.pass}&"|"&{spot_choice.field},{spot_passes.key:all},0),""))'),
        working("row", "Row of the pass", 'IF({slot_row}="","",INDEX({spot_passes.row:all},{slot_row}))'),
        check("found", "Found", 'IF({row}="","Look: no such spot pass on that field","OK")', "text"),
        result("pass", "Pass", _spot("pass"), "name"),
        result("field", "Field", _spot("field"), "name"),
        result("mix", "Mix", _text("passes.mix"), "name"),
        result("sprayer", "Sprayer", _text("passes.sprayer"), "name"),
        result("setting", "Detection setting", _text("passes.detection_setting"), "name"),
        result("limits", "Limits of the sprayer", _of("spot_checks.status"), "status"),
        result("share_mean", "Mean share for what remains", _spot("share_mean"), "share", digits=1),
        result("share_p80", "P80 share", _of("share_estimates.share_p80"), "share", digits=1),
        result("loads_logged", "Loads logged", _of("share_estimates.loads_logged"), "count"),
        result("area_covered", "Area covered", _of("share_estimates.area_covered"), "area"),
        result("remaining_area", "Area that remains", _spot("remaining_area"), "area"),
        result("in_tank", "In the tank now", _spot("in_tank"), "volume"),
        result("chance_enough", "Chance that it is enough", _spot("chance_enough"), "share"),
        result("advice", "Advice", _spot("advice"), "text"),
        result("advised_volume", "Volume to have for the rest", _spot("advised_volume"), "volume"),
        result("next_fill", "Mixture to add now", _spot("next_fill"), "volume"),
        result("water", "Water in it", 'IF({next_fill}="","",{next_fill}*(1-INDEX({pass_water.liquid_part:all},{row})))', "volume"),
        result("first_water", "Water before the first product", 'IF({water}="","",{water}*first_fill)', "volume"),
        result("next_area", "Area it will cover", _spot("next_area"), "area"),
        result("fills_to_come", "Fills to come", _spot("fills_to_come"), "count"),
        result("expected_total", "Expected total of the pass", _spot("expected_total"), "volume"),
        working("carrier", "Carrier", _spot("carrier"), "carrier"),
        working("full", "Volume if all the rest is sprayed", _spot("full_volume"), "volume"),
        working("a", "Beta a", _spot("a"), "number"),
        working("b", "Beta b", _spot("b"), "number"),
        working("leftover_cost", "Cost of leftover", _spot("leftover_cost"), "money_per_volume"),
        working("top", "Highest share drawn", 'IF({a}="","",BETAINV(0.995,{a},{b}))', "share"),
    ),
    rows="form",
    kind="result",
    sheet=LOAD_TITLE,
)


def _choice(key: str) -> str:
    return 'IF({choice_row}="","",INDEX({volume_choices.%s:all},{choice_row}))' % key


SPOT_OPTIONS = Table(
    "spot_options",
    "Choices for this pass",
    "What each volume risks and costs.",
    (
        slot_number("No."),
        working("choice_row", "Choice row", 'IF({spot_sheet.slot_row}="","",({spot_sheet.slot_row}-1)*{room.choices}+{slot})'),
        result("choice", "Choice", _choice("choice"), "text", width=22),
        result("volume", "Volume", _choice("volume"), "volume"),
        result("chance_short", "Chance short", _choice("chance_short"), "share"),
        result("expected_leftover", "Expected leftover", _choice("expected_leftover"), "volume"),
        result("expected_cost", "Expected cost", _choice("expected_cost"), "money"),
        result("advised", "Advised", _choice("advised"), "text"),
    ),
    rows="list:choices",
    kind="result",
    sheet=LOAD_TITLE,
)

SPOT_LINES = Table(
    "spot_lines",
    "Add in this order",
    "For the mixture to add now, under agitation; tick each off; then top up with water.",
    (
        slot_number("Order"),
        working("mix_no", "Mix number", 'IF({spot_sheet.row}="","",INDEX({pass_volumes.mix_no:all},{spot_sheet.row}))'),
        working("order_row", "Order row", 'IF(OR({mix_no}="",{spot_sheet.next_fill}=""),"",({mix_no}-1)*{room.products}+{slot})'),
        result("product", "Product", 'IF({order_row}="","",INDEX({adding_order.product:all},{order_row}))', "name"),
        working("line_row", "Amount row", 'IF({order_row}="","",IF({product}="","",({spot_sheet.row}-1)*{room.products}+INDEX({adding_order.item:all},{order_row})))'),
        working("rate_base", "Base units per area", 'IF({line_row}="","",INDEX({mix_lines.rate_base:all},{line_row}))', "factor"),
        working("phase", "Phase poured", 'IF({line_row}="","",INDEX({mix_lines.phase:all},{line_row}))', "text"),
        working("base", "Amount in base units", 'IF({line_row}="","",IF({rate_base}="","",ROUND({rate_base}*{spot_sheet.next_fill}/{spot_sheet.carrier},1)))', "amount", digits=1),
        result("amount", "Amount", 'IF({base}="","",{base}/INDEX({mix_lines.to_base:all},{line_row}))', "amount"),
        result("unit", "Unit", 'IF({line_row}="","",INDEX({mix_lines.amount_unit:all},{line_row}))', "unit_label"),
        result("pour", "As poured", 'IF({base}="","",%s)' % pour_text("base"), "text", width=24),
        result("done", "Done", 'IF({product}="","","[  ]")', "text", width=8),
    ),
    rows="list:products",
    kind="result",
    sheet=LOAD_TITLE,
)

ESTIMATE_STEPS = Table(
    "estimate_steps",
    CHART_TITLE,
    "How the estimate of the spot pass chosen on the spot load sheet narrows with scouting and with each load.",
    (
        slot_number("Step"),
        working("load_row", "Load row",
                'IF({spot_sheet.row}="","",IF({slot}<3,"",IFERROR(MATCH({spot_sheet.row}*1000+{slot}-2,{load_facts.key:all},0),"")))'),
        working("shown", "Shown", 'IF({spot_sheet.row}="",0,IF({slot}=1,1,IF({slot}=2,IF(INDEX({scout_shares.frames:all},{spot_sheet.row})>0,1,0),IF({load_row}="",0,1))))', "count"),
        result("step", "After", 'IF({shown}=0,"",IF({slot}=1,"experience",IF({slot}=2,"scouting","load "&({slot}-2))))', "text"),
        working("area", "Area so far", 'IF({load_row}="",0,SUM({area:above},INDEX({load_facts.area:all},{load_row})))', "area"),
        working("sprayed", "Sprayed so far", 'IF({load_row}="",0,SUM({sprayed:above},INDEX({load_facts.area:all},{load_row})*INDEX({load_facts.share:all},{load_row})))', "area"),
        result("logged", "Share of the load", 'IF({load_row}="","",INDEX({load_facts.share:all},{load_row}))', "share", digits=1),
        working("scouted", "Patches scouted", 'IF(OR({shown}=0,{slot}<2),0,IF(INDEX({scout_shares.frames:all},{spot_sheet.row})>0,INDEX({scout_shares.weight:all},{spot_sheet.row}),0))', "number"),
        working("scouted_share", "Share scouted", 'IF({scouted}=0,0,INDEX({scout_shares.scouting_share:all},{spot_sheet.row}))', "share"),
        working("prior", "Patches of experience", 'IF({shown}=0,"",INDEX({share_estimates.prior_weight:all},{spot_sheet.row}))', "number"),
        working("prior_share", "Share by experience", 'IF({shown}=0,"",INDEX({share_estimates.expected_share:all},{spot_sheet.row}))', "share"),
        working("pooled", "Pooled share", "IF({area}=0,0,MIN(1,{sprayed}/{area}))", "share"),
        working("a", "Beta a", 'IF({shown}=0,"",MAX(0.05,{prior}*{prior_share}+{scouted}*{scouted_share}+{area}/patch_size*{pooled}))', "number"),
        working("b", "Beta b", 'IF({shown}=0,"",MAX(0.05,{prior}*(1-{prior_share})+{scouted}*(1-{scouted_share})+{area}/patch_size*(1-{pooled})))', "number"),
        result("p10", "P10 share", 'IF({shown}=0,"",BETAINV(0.1,{a},{b}))', "share", digits=1),
        result("mean", "Mean share", 'IF({shown}=0,"",{a}/({a}+{b}))', "share", digits=1),
        result("p90", "P90 share", 'IF({shown}=0,"",BETAINV(0.9,{a},{b}))', "share", digits=1),
    ),
    rows="list:steps",
    kind="result",
    sheet=CHART_TITLE,
)

COST_CURVE = Table(
    "cost_curve",
    "Expected cost by volume",
    "What each volume for the ground that remains is expected to cost: refill trips against leftover.",
    (
        slot_number("Point"),
        working("share", "Share it is for", 'IF(OR({spot_sheet.top}="",{spot_sheet.full}=""),"",IF({spot_sheet.full}=0,"",{spot_sheet.top}*{slot}/{room.curve}))', "share"),
        result("volume", "Volume", 'IF({share}="","",{share}*{spot_sheet.full})', "volume"),
        result("chance_short", "Chance of running short", 'IF({share}="","",IF({share}>=1,0,1-BETADIST({share},{spot_sheet.a},{spot_sheet.b})))', "share", digits=1),
        result("expected_leftover", "Expected leftover",
               'IF({share}="","",MAX(0,{volume}*(1-{chance_short})-{spot_sheet.full}*{spot_sheet.share_mean}*IF({share}>=1,1,BETADIST({share},{spot_sheet.a}+1,{spot_sheet.b}))))', "volume"),
        result("expected_cost", "Expected cost",
               'IF({share}="","",refill_cost*IF({chance_short}>=0.5,1,{chance_short}/(1-{chance_short}))+{expected_leftover}*{spot_sheet.leftover_cost})', "money"),
    ),
    rows="list:curve",
    kind="result",
    sheet=CHART_TITLE,
)

SPOT_SHEET_TABLES = (SPOT_CHOICE, SPOT_SHEET, SPOT_OPTIONS, SPOT_LINES, ESTIMATE_STEPS, COST_CURVE)
