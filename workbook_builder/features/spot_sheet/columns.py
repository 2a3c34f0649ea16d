"""One spot pass on one page: its estimate, the choices, the next fill and what goes into it; and two charts."""

from __future__ import annotations

from workbook_builder.core.columns import SETTING, Column, Table
from workbook_builder.core.short import check, result, slot_number, working
from workbook_builder.features.loads.columns import pour_text
from workbook_builder.features.shares.columns import KNOWN, SHAPE, SHEET

LOAD_TITLE = "Spot mix sheet"
CHART_TITLE = "Spot charts"
CAUTION = "Wear what the label requires. Check wind, inversion and downwind neighbours. Jar test when unsure."

SPOT_LOAD_CHOICE = Table(
    "spot_load_choice",
    LOAD_TITLE,
    "Choose pass and field (blank: the first).",
    (
        Column("pass", "Pass", "name", SETTING, choices="cost_pass_names.pass", note="Choose the spot pass."),
        Column("field", "Field", "name", SETTING, choices="fields.field", note="Choose the field."),
    ),
    rows="form",
    kind="setting",
    sheet=LOAD_TITLE,
    caution=CAUTION,
    was=("Spot load",),
)


def _spot(key: str) -> str:
    return 'IF({slot_row}="","",INDEX({spot_passes.%s:all},{slot_row}))' % key


SPOT_PICK = Table(
    "spot_pick",
    "Chosen spot pass",
    "Figures of the spot pass chosen on the spot mix sheet.",
    (
        working("slot_row", "Place among spot passes",
                'IF({spot_load_choice.pass}="",1,IFERROR(MATCH({spot_load_choice.pass}&"|"&{spot_load_choice.field},{spot_passes.key:all},0),""))'),
        working("row", "Row of the pass", 'IF({slot_row}="","",INDEX({spot_passes.row:all},{slot_row}))'),
        working("liquid_part", "Liquid products per spray volume", 'IF({row}="","",INDEX({pass_water.liquid_part:all},{row}))', "factor"),
        working("carrier", "Carrier rate", _spot("carrier"), "carrier"),
        working("full", "Volume if all the rest is sprayed", _spot("full_volume"), "volume"),
        working("share_mean", "Mean share", _spot("share_mean"), "share"),
        working("next_fill", "Next fill", _spot("next_fill"), "volume"),
        working("a", "Beta a", _spot("a"), "number"),
        working("b", "Beta b", _spot("b"), "number"),
        working("leftover_cost", "Cost of leftover", _spot("leftover_cost"), "money_per_volume"),
        working("top", "Highest share drawn", 'IF({a}="","",MAX(0.001,MIN(0.999,BETAINV(0.995,{a},{b}))))', "share"),
    ),
    rows="form",
    kind="working",
    sheet=SHEET,
)


def _picked(key: str) -> str:
    return 'IF({spot_pick.slot_row}="","",INDEX({spot_passes.%s:all},{spot_pick.slot_row}))' % key


def _of_pick(column: str) -> str:
    return 'IF({spot_pick.row}="","",INDEX({%s:all},{spot_pick.row}))' % column


def _text_of_pick(column: str) -> str:
    return 'IF({spot_pick.row}="","",INDEX({%s:all},{spot_pick.row})&"")' % column


SPOT_SHEET = Table(
    "spot_sheet",
    "This spot pass",
    "Where it stands and what to put into the tank now.",
    (
        check("found", "Found", 'IF({spot_pick.row}="","Review: no such spot pass on that field","OK")', "text"),
        result("pass", "Pass", _picked("pass"), "name"),
        result("field", "Field", _picked("field"), "name"),
        result("mix", "Mix", _text_of_pick("passes.mix"), "name"),
        result("sprayer", "Sprayer", _text_of_pick("passes.sprayer"), "name"),
        result("setting", "Detection setting", _text_of_pick("passes.detection_setting"), "name"),
        result("limits", "Limits of the sprayer", _of_pick("spot_checks.status"), "status"),
        result("share_mean", "Mean share for what remains", _picked("share_mean"), "share", digits=1),
        result("share_p80", "Share, enough 8 times in 10", _of_pick("share_estimates.share_p80"), "share", digits=1),
        result("loads_logged", "Loads logged", _of_pick("share_estimates.loads_logged"), "count"),
        result("area_covered", "Area covered", _of_pick("share_estimates.area_covered"), "area"),
        result("remaining_area", "Area that remains", _picked("remaining_area"), "area"),
        result("in_tank", "In the tank now", _picked("in_tank"), "volume"),
        result("chance_enough", "Chance that it is enough", _picked("chance_enough"), "share"),
        result("low_volume", "Volume for the rest, low", _picked("low_volume"), "volume"),
        result("high_volume", "Volume for the rest, high", _picked("high_volume"), "volume"),
        result("advice", "Advice", _picked("advice"), "text"),
        result("advised_volume", "Volume to have for the rest", _picked("advised_volume"), "volume"),
        result("next_fill", "Mixture to add now", _picked("next_fill"), "volume"),
        result("water", "Water in it", 'IF(OR({next_fill}="",{spot_pick.liquid_part}=""),"",{next_fill}*(1-{spot_pick.liquid_part}))', "volume"),
        result("first_water", "Water before the first product", 'IF({water}="","",{water}*first_fill)', "volume"),
        result("next_area", "Area it will cover", _picked("next_area"), "area"),
        result("fills_to_come", "Fills to come", _picked("fills_to_come"), "count"),
        result("expected_total", "Expected total of the pass", _picked("expected_total"), "volume"),
    ),
    rows="form",
    kind="result",
    sheet=LOAD_TITLE,
    was=("Spot load",),
)


def _choice(key: str) -> str:
    return 'IF({spot_pick.slot_row}="","",INDEX({volume_choices.%s:all},({spot_pick.slot_row}-1)*{room.choices}+{slot}))' % key


SPOT_OPTIONS = Table(
    "spot_options",
    "Choices for this pass",
    "What each volume risks and costs.",
    (
        result("choice", "Choice", _choice("choice"), "text", width=22),
        result("volume", "Volume", _choice("volume"), "volume"),
        result("chance_short", "Chance short", _choice("chance_short"), "share"),
        result("expected_leftover", "Expected leftover", _choice("expected_leftover"), "volume", tolerance=1e-5),
        result("expected_cost", "Expected cost", _choice("expected_cost"), "money"),
        result("advised", "Advised", _choice("advised"), "text"),
        slot_number(),
    ),
    rows="list:choices",
    kind="result",
    sheet=LOAD_TITLE,
    was=("Spot load",),
)

SPOT_LINE_FACTS = Table(
    "spot_line_facts",
    "Spot mix sheet workings",
    "Where the products of the next fill stand.",
    (
        slot_number("Order"),
        working("mix_no", "Mix number", 'IF({spot_pick.row}="","",INDEX({pass_volumes.mix_no:all},{spot_pick.row}))'),
        working("order_row", "Order row", 'IF(OR({mix_no}="",{spot_pick.next_fill}=""),"",({mix_no}-1)*{room.products}+{slot})'),
        working("item", "Place in the mix", 'IF({order_row}="","",IF(INDEX({adding_order.product:all},{order_row})="","",INDEX({adding_order.item:all},{order_row})))'),
        working("line_row", "Amount row", 'IF({item}="","",({spot_pick.row}-1)*{room.products}+{item})'),
        working("poured", "Base units poured per area", 'IF({line_row}="","",INDEX({mix_lines.poured:all},{line_row}))', "factor"),
        working("phase", "Phase poured", 'IF({line_row}="","",INDEX({mix_lines.phase:all},{line_row}))', "text"),
        working("base", "Amount in base units", 'IF({line_row}="","",IF({poured}="","",ROUND(ROUND({poured}*{spot_pick.next_fill}/{spot_pick.carrier},6),1)))', "amount", digits=1),
        working("pour", "As poured", 'IF({base}="","",%s)' % pour_text("base"), "text"),
    ),
    rows="list:products",
    kind="working",
    sheet=SHEET,
)

SPOT_LINES = Table(
    "spot_lines",
    "Add in this order",
    "For the mixture to add now, under agitation; tick each off; then top up with water.",
    (
        result("product", "Product", 'IF({spot_line_facts.line_row}="","",INDEX({mix_lines.product:all},{spot_line_facts.line_row}))', "name"),
        result("amount", "Amount", 'IF({spot_line_facts.base}="","",{spot_line_facts.base}/INDEX({mix_lines.pour_base:all},{spot_line_facts.line_row}))', "amount"),
        result("unit", "Unit", 'IF({spot_line_facts.line_row}="","",INDEX({mix_lines.amount_unit:all},{spot_line_facts.line_row}))', "unit_label"),
        result("pour", "As poured", "{spot_line_facts.pour}", "text", width=24),
        result("done", "Done", 'IF({product}="","","[  ]")', "text", width=8),
    ),
    rows="as:spot_line_facts",
    kind="result",
    sheet=LOAD_TITLE,
    was=("Spot load",),
)

STEP_FACTS = Table(
    "step_facts",
    "Estimate workings",
    "Evidence added step by step to the estimate of the chosen spot pass.",
    (
        slot_number("Step"),
        working("load_row", "Load row",
                'IF({spot_pick.row}="","",IF({slot}<3,"",IFERROR(MATCH({spot_pick.row}*1000+{slot}-2,{load_facts.key:all},0),"")))'),
        working("shown", "Shown", 'IF({spot_pick.row}="",0,IF({slot}=1,1,IF({slot}=2,IF(INDEX({scout_shares.frames:all},{spot_pick.row})>0,1,0),IF({load_row}="",0,1))))', "count"),
        working("area", "Area so far", 'IF({load_row}="",0,SUM({area:above},INDEX({load_facts.area:all},{load_row})))', "area"),
        working("sprayed", "Sprayed so far", 'IF({load_row}="",0,SUM({sprayed:above},INDEX({load_facts.area:all},{load_row})*INDEX({load_facts.share:all},{load_row})))', "area"),
        working("scouted", "Patches scouted", 'IF(OR({shown}=0,{slot}<2),0,IF(INDEX({scout_shares.frames:all},{spot_pick.row})>0,INDEX({scout_shares.weight:all},{spot_pick.row}),0))', "number"),
        working("scouted_share", "Share scouted", 'IF({scouted}=0,0,INDEX({scout_shares.scouting_share:all},{spot_pick.row}))', "share"),
        working("prior", "Patches of experience", 'IF({shown}=0,"",INDEX({share_estimates.prior_weight:all},{spot_pick.row}))', "number"),
        working("prior_share", "Share by experience", 'IF({shown}=0,"",INDEX({share_estimates.expected_share:all},{spot_pick.row}))', "share"),
        working("pooled", "Pooled share", "IF({area}=0,0,MIN(1,{sprayed}/{area}))", "share"),
        working("patches_sprayed", "Patches sprayed", 'IF({shown}=0,"",{prior}*{prior_share}+{scouted}*{scouted_share}+{area}/patch_size*{pooled})', "number"),
        working("patches_left", "Patches left out", 'IF({shown}=0,"",{prior}*(1-{prior_share})+{scouted}*(1-{scouted_share})+{area}/patch_size*(1-{pooled}))', "number"),
        working("evidence_patches", "Patches of evidence", 'IF({shown}=0,"",INDEX({share_estimates.experience:all},{spot_pick.row})+{scouted}+{area}/patch_size)', "number"),
        working("known", "Anything is known", 'IF({shown}=0,"",%s)' % KNOWN, "count"),
        working("a", "Beta a", 'IF({shown}=0,"",%s)' % (SHAPE % "patches_sprayed"), "number"),
        working("b", "Beta b", 'IF({shown}=0,"",%s)' % (SHAPE % "patches_left"), "number"),
        working("chart_step", "Step drawn", 'IF({shown}=1,{slot},IF({slot}=1,"",{chart_step:above}))', note="Steps not reached repeat the last one, so that a chart draws nothing for them."),
        working("chart_p10", "Share, 1 in 10 is less", 'IF({shown}=1,MAX(0.001,MIN(0.999,BETAINV(0.1,{a},{b}))),IF({slot}=1,"",{chart_p10:above}))', "share"),
        working("chart_mean", "Mean share", 'IF({shown}=1,{a}/({a}+{b}),IF({slot}=1,"",{chart_mean:above}))', "share"),
        working("chart_p90", "Share, enough 9 times in 10", 'IF({shown}=1,MAX(0.001,MIN(0.999,BETAINV(0.9,{a},{b}))),IF({slot}=1,"",{chart_p90:above}))', "share"),
        working("first_load", "First load row", 'IF({spot_pick.row}="","",IFERROR(MATCH({spot_pick.row}*1000+1,{load_facts.key:all},0),""))'),
        working("chart_load", "Load drawn at", 'IF({load_row}<>"",{slot},IF({slot}>2,{chart_load:above},IF({first_load}="",{chart_step},3)))'),
        working("chart_logged", "Share of the load", 'IF({load_row}<>"",INDEX({load_facts.share:all},{load_row}),IF({slot}>2,{chart_logged:above},IF({first_load}="",{chart_mean},INDEX({load_facts.share:all},{first_load}))))', "share"),
    ),
    rows="list:steps",
    kind="working",
    sheet=SHEET,
)

ESTIMATE_STEPS = Table(
    "estimate_steps",
    CHART_TITLE,
    "How the estimate of the spot pass chosen on the spot mix sheet narrows with scouting and with each load.",
    (
        result("step", "After", 'IF({step_facts.shown}=0,"",IF({step_facts.slot}=1,"experience",IF({step_facts.slot}=2,"scouting","load "&({step_facts.slot}-2))))', "text", width=16),
        result("p10", "Share, 1 in 10 is less", 'IF({step_facts.shown}=0,"",MAX(0.001,MIN(0.999,BETAINV(0.1,{step_facts.a},{step_facts.b}))))', "share", digits=1),
        result("mean", "Mean share", 'IF({step_facts.shown}=0,"",{step_facts.a}/({step_facts.a}+{step_facts.b}))', "share", digits=1),
        result("p90", "Share, enough 9 times in 10", 'IF({step_facts.shown}=0,"",MAX(0.001,MIN(0.999,BETAINV(0.9,{step_facts.a},{step_facts.b}))))', "share", digits=1),
        result("logged", "Share of the load", 'IF({step_facts.load_row}="","",INDEX({load_facts.share:all},{step_facts.load_row}))', "share", digits=1),
    ),
    rows="as:step_facts",
    kind="result",
    sheet=CHART_TITLE,
)

COST_CURVE = Table(
    "cost_curve",
    "Expected cost by volume",
    "For the ground that remains: refill trips against leftover.",
    (
        slot_number("Point"),
        result("share", "Share it is for", 'IF(OR({spot_pick.top}="",{spot_pick.full}=""),"",IF({spot_pick.full}=0,"",{spot_pick.top}*{slot}/{room.curve}))', "share"),
        result("volume", "Volume", 'IF({share}="","",{share}*{spot_pick.full})', "volume"),
        result("chance_short", "Chance of running short", 'IF({share}="","",IF({share}>=0.9995,0,1-BETADIST({share},{spot_pick.a},{spot_pick.b})))', "share", digits=1),
        result("expected_leftover", "Expected leftover",
               'IF({share}="","",MAX(0,{volume}*(1-{chance_short})-{spot_pick.full}*{spot_pick.share_mean}*IF({share}>=0.9995,1,BETADIST({share},{spot_pick.a}+1,{spot_pick.b}))))', "volume", tolerance=1e-5),
        result("expected_cost", "Expected cost",
               'IF({share}="","",refill_cost*IF({chance_short}>=0.8,4,{chance_short}/(1-{chance_short}))+{expected_leftover}*{spot_pick.leftover_cost})', "money"),
    ),
    rows="list:curve",
    kind="result",
    sheet=CHART_TITLE,
)

SPOT_SHEET_TABLES = (SPOT_LOAD_CHOICE, SPOT_SHEET, SPOT_OPTIONS, SPOT_LINES, ESTIMATE_STEPS, COST_CURVE, SPOT_PICK, SPOT_LINE_FACTS, STEP_FACTS)
