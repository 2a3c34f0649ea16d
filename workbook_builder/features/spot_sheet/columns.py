"""One spot pass on one page: its estimate, the choices, the next fill and what goes into it; and two charts."""

from __future__ import annotations

from collections.abc import Callable
from operator import mul, truediv
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import SETTING, WORKING, Column, Table
from workbook_builder.core.rounding import shown
from workbook_builder.core.short import check, result, slot_number, working
from workbook_builder.features.loads.columns import as_poured_column
from workbook_builder.features.loads.lines import line_number
from workbook_builder.features.shares import definitions as shares
from workbook_builder.features.shares.beta import chance_formula, quantile_formula, share_quantile
from workbook_builder.features.shares.columns import KNOWN, SHAPE, SHEET
from workbook_builder.features.spot_volumes import definitions as volumes

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


SPOT_PICK = Table(
    "spot_pick",
    "Chosen spot pass",
    "Figures of the spot pass chosen on the spot mix sheet.",
    (
        working("slot_row", "Place among spot passes",
                'IF({spot_load_choice.pass}="",1,IFERROR(MATCH({spot_load_choice.pass}&"|"&{spot_load_choice.field},{spot_passes.key:all},0),""))'),
        working("row", "Row of the pass", "{spot_passes.row@slot_row}", needs="slot_row"),
        working("liquid_part", "Liquid products per spray volume", "{pass_water.liquid_part@row}", "factor", needs="row"),
        working("carrier", "Carrier rate", "{spot_passes.carrier@slot_row}", "carrier", needs="slot_row"),
        working("full", "Volume if all the rest is sprayed", "{spot_passes.full_volume@slot_row}", "volume", needs="slot_row"),
        working("share_mean", "Mean share", "{spot_passes.share_mean@slot_row}", "share", needs="slot_row"),
        working("next_fill", "Next fill", "{spot_passes.next_fill@slot_row}", "volume", needs="slot_row"),
        working("a", "Beta a", "{spot_passes.a@slot_row}", "number", needs="slot_row"),
        working("b", "Beta b", "{spot_passes.b@slot_row}", "number", needs="slot_row"),
        working("leftover_cost", "Cost of leftover", "{spot_passes.leftover_cost@slot_row}", "money_per_volume", needs="slot_row"),
        working("top", "Highest share drawn", quantile_formula("0.995"), "share", needs="a", twin=lambda a, b: share_quantile(0.995, a, b)),
    ),
    rows="form",
    kind="working",
    sheet=SHEET,
)


def _picked(key: str, header: str, quantity: str, **more: Any) -> Column:
    """Declare a figure of the chosen spot pass, fetched from the list of spot passes."""
    return result(key, header, "{spot_passes.%s@spot_pick.slot_row}" % key, quantity, needs="spot_pick.slot_row", **more)


def _of_pass(key: str, header: str, column: str, quantity: str, **more: Any) -> Column:
    """Declare a figure of the chosen spot pass, fetched from a table beside all passes."""
    text = '&""' if column.startswith("passes.") else ""
    return result(key, header, "{%s@spot_pick.row}%s" % (column, text), quantity, needs="spot_pick.row", **more)


SPOT_SHEET = Table(
    "spot_sheet",
    "This spot pass",
    "Where it stands and what to put into the tank now.",
    (
        check("found", "Found", 'IF({spot_pick.row}="","Review: no such spot pass on that field","OK")', "text"),
        _picked("pass", "Pass", "name"),
        _picked("field", "Field", "name"),
        _of_pass("mix", "Mix", "passes.mix", "name"),
        _of_pass("sprayer", "Sprayer", "passes.sprayer", "name"),
        _of_pass("setting", "Detection setting", "passes.detection_setting", "name"),
        _of_pass("limits", "Limits of the sprayer", "spot_checks.status", "status"),
        _picked("share_mean", "Mean share for what remains", "share", digits=1),
        _of_pass("share_p80", "Share, enough 8 times in 10", "share_estimates.share_p80", "share", digits=1),
        _of_pass("loads_logged", "Loads logged", "share_estimates.loads_logged", "count"),
        _of_pass("area_covered", "Area covered", "share_estimates.area_covered", "area"),
        _picked("remaining_area", "Area that remains", "area"),
        _picked("in_tank", "In the tank now", "volume"),
        _picked("chance_enough", "Chance that it is enough", "share"),
        _picked("low_volume", "Volume for the rest, low", "volume"),
        _picked("high_volume", "Volume for the rest, high", "volume"),
        _picked("advice", "Advice", "text"),
        _picked("advised_volume", "Volume to have for the rest", "volume"),
        _picked("next_fill", "Mixture to add now", "volume"),
        result("water", "Water in it", "{next_fill}*(1-{spot_pick.liquid_part})", "volume", needs="next_fill spot_pick.liquid_part",
               twin=lambda mixture, liquid: mixture - mixture * liquid, takes="next_fill spot_pick.liquid_part"),
        result("first_water", "Water before the first product", "{water}*first_fill", "volume", needs="water", twin=mul, takes="water assumptions.first_fill"),
        _picked("next_area", "Area it will cover", "area"),
        _picked("fills_to_come", "Fills to come", "count"),
        _picked("expected_total", "Expected total of the pass", "volume"),
    ),
    rows="form",
    kind="result",
    sheet=LOAD_TITLE,
    was=("Spot load",),
)


def _choice(key: str, header: str, quantity: str, **more: Any) -> Column:
    """Declare a figure of a volume choice of the chosen spot pass."""
    return result(key, header, "INDEX({volume_choices.%s:all},({spot_pick.slot_row}-1)*{room.choices}+{slot})" % key, quantity, needs="spot_pick.slot_row", **more)


SPOT_OPTIONS = Table(
    "spot_options",
    "Choices for this pass",
    "What each volume risks and costs.",
    (
        _choice("choice", "Choice", "text", width=22),
        _choice("volume", "Volume", "volume"),
        _choice("chance_short", "Chance short", "share"),
        _choice("expected_leftover", "Expected leftover", "volume", tolerance=1e-5),
        _choice("expected_cost", "Expected cost", "money"),
        _choice("advised", "Advised", "text"),
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
        working("mix_no", "Mix number", "{pass_volumes.mix_no@spot_pick.row}", needs="spot_pick.row"),
        working("order_row", "Order row", "({mix_no}-1)*{room.products}+{slot}", needs="mix_no spot_pick.next_fill"),
        working("item", "Place in the mix", 'IF({adding_order.product@order_row}="","",{adding_order.item@order_row})', needs="order_row"),
        working("line_row", "Amount row", line_number("pass_volumes.lines_before@spot_pick.row", "{item}"), needs="item"),
        working("poured", "Base units poured per area", "{mix_lines.poured@line_row}", "factor", needs="line_row"),
        working("phase", "Phase poured", "{mix_lines.phase@line_row}", "text", needs="line_row"),
        working("base", "Amount in base units", "ROUND(ROUND({poured}*{spot_pick.next_fill}/{spot_pick.carrier},6),1)", "amount", digits=1, needs="line_row poured",
                twin=lambda poured, volume, carrier: shown(poured * volume / carrier, 1), takes="poured spot_pick.next_fill spot_pick.carrier"),
        as_poured_column("pour", "As poured", "base", role=WORKING),
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
        result("product", "Product", "{mix_lines.product@spot_line_facts.line_row}", "name", needs="spot_line_facts.line_row"),
        result("amount", "Amount", "{spot_line_facts.base}/{mix_lines.pour_base@spot_line_facts.line_row}", "amount",
               needs="spot_line_facts.base", twin=truediv, takes="spot_line_facts.base mix_lines.pour_base@spot_line_facts.line_row"),
        result("unit", "Unit", "{mix_lines.amount_unit@spot_line_facts.line_row}", "unit_label", needs="spot_line_facts.line_row"),
        result("pour", "As poured", "{spot_line_facts.pour}", "text", width=24),
        result("done", "Done", '"[  ]"', "text", width=8, needs="product"),
    ),
    rows="as:spot_line_facts",
    kind="result",
    sheet=LOAD_TITLE,
    was=("Spot load",),
)

_SCOUTED = "{scout_shares.frames@spot_pick.row}>0"
_EVIDENCE = "area spot_figures.patch_size pooled prior prior_share scouted scouted_share"


def _joined(patches: Callable[..., float]) -> Callable[..., float]:
    """Return a count of patches that takes the loads as area covered, patch size and share, and after them weight and share of the other evidence."""
    return lambda area, patch, pooled, *others: patches(*others, area / patch, pooled)


def _drawn(key: str, header: str, column: str) -> Column:
    """Declare a point of the chart: steps not reached repeat the last one."""
    return working(key, header, 'IF({shown}=1,{estimate_steps.%s},IF({slot}=1,"",{%s:above}))' % (column, key), "share")


STEP_FACTS = Table(
    "step_facts",
    "Estimate workings",
    "Evidence added step by step to the estimate of the chosen spot pass.",
    (
        slot_number("Step"),
        working("load_row", "Load row", 'IF({slot}<3,"",IFERROR(MATCH({spot_pick.row}*1000+{slot}-2,{load_facts.key:all},0),""))', needs="spot_pick.row"),
        working("shown", "Shown", f'IF({{spot_pick.row}}="",0,IF({{slot}}=1,1,IF({{slot}}=2,IF({_SCOUTED},1,0),IF({{load_row}}="",0,1))))', "count"),
        working("area", "Area so far", 'IF({load_row}="",0,SUM({area:above},{load_facts.area@load_row}))', "area"),
        working("sprayed", "Sprayed so far", 'IF({load_row}="",0,SUM({sprayed:above},{load_facts.area@load_row}*{load_facts.share@load_row}))', "area",
                twin=lambda row, before, area, share: 0 if row == "" else before + area * share, takes="load_row sprayed:above load_facts.area@load_row load_facts.share@load_row"),
        working("scouted", "Patches scouted", f"IF(OR({{shown}}=0,{{slot}}<2),0,IF({_SCOUTED},{{scout_shares.weight@spot_pick.row}},0))", "number"),
        working("scouted_share", "Share scouted", "IF({scouted}=0,0,{scout_shares.scouting_share@spot_pick.row})", "share"),
        working("prior", "Patches of experience", 'IF({shown}=0,"",{share_estimates.prior_weight@spot_pick.row})', "number"),
        working("prior_share", "Share by experience", 'IF({shown}=0,"",{share_estimates.expected_share@spot_pick.row})', "share"),
        working("pooled", "Pooled share", "IF({area}=0,0,MIN(1,{sprayed}/{area}))", "share", twin=lambda sprayed, area: min(1, sprayed / area) if area else 0),
        working("patches_sprayed", "Patches sprayed", "{prior}*{prior_share}+{scouted}*{scouted_share}+{area}/patch_size*{pooled}", "number",
                needs="prior", twin=_joined(shares.patches_sprayed), takes=_EVIDENCE),
        working("patches_left", "Patches left out", "{prior}*(1-{prior_share})+{scouted}*(1-{scouted_share})+{area}/patch_size*(1-{pooled})", "number",
                needs="prior", twin=_joined(shares.patches_left), takes=_EVIDENCE),
        working("evidence_patches", "Patches of evidence", "{share_estimates.experience@spot_pick.row}+{scouted}+{area}/patch_size", "number",
                needs="prior", twin=lambda experience, scouted, area, patch: added((experience, scouted, area / patch)),
                takes="share_estimates.experience@spot_pick.row scouted area spot_figures.patch_size"),
        working("known", "Anything is known", KNOWN, "count", needs="prior", twin=shares.known, takes="evidence_patches patches_sprayed patches_left"),
        working("a", "Beta a", SHAPE % "patches_sprayed", "number", needs="prior", twin=shares.shape, takes="known patches_sprayed"),
        working("b", "Beta b", SHAPE % "patches_left", "number", needs="prior", twin=shares.shape, takes="known patches_left"),
        working("chart_step", "Step drawn", 'IF({shown}=1,{slot},IF({slot}=1,"",{chart_step:above}))', note="Steps not reached repeat the last one, so that a chart draws nothing for them."),
        _drawn("chart_p10", "Share, 1 in 10 is less", "p10"),
        _drawn("chart_mean", "Mean share", "mean"),
        _drawn("chart_p90", "Share, enough 9 times in 10", "p90"),
        working("first_load", "First load row", 'IFERROR(MATCH({spot_pick.row}*1000+1,{load_facts.key:all},0),"")', needs="spot_pick.row"),
        working("chart_load", "Load drawn at", 'IF({load_row}<>"",{slot},IF({slot}>2,{chart_load:above},IF({first_load}="",{chart_step},3)))'),
        working("chart_logged", "Share of the load",
                'IF({load_row}<>"",{load_facts.share@load_row},IF({slot}>2,{chart_logged:above},IF({first_load}="",{chart_mean},{load_facts.share@first_load})))', "share"),
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
        result("p10", "Share, 1 in 10 is less", quantile_formula("0.1", "{step_facts.a},{step_facts.b}"), "share", digits=1, needs="step_facts.a", twin=lambda a, b: share_quantile(0.1, a, b), takes="step_facts.a step_facts.b"),
        result("mean", "Mean share", "{step_facts.a}/({step_facts.a}+{step_facts.b})", "share", digits=1, needs="step_facts.a", twin=lambda a, b: a / (a + b), takes="step_facts.a step_facts.b"),
        result("p90", "Share, enough 9 times in 10", quantile_formula("0.9", "{step_facts.a},{step_facts.b}"), "share", digits=1, needs="step_facts.a", twin=lambda a, b: share_quantile(0.9, a, b), takes="step_facts.a step_facts.b"),
        result("logged", "Share of the load", "{load_facts.share@step_facts.load_row}", "share", digits=1, needs="step_facts.load_row"),
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
        result("share", "Share it is for", 'IF({spot_pick.full}=0,"",{spot_pick.top}*{slot}/{room.curve})', "share", needs="spot_pick.top spot_pick.full",
               twin=lambda full, top, slot, points: top * slot / points if full else "", takes="spot_pick.full spot_pick.top slot room.curve"),
        result("volume", "Volume", "{share}*{spot_pick.full}", "volume", needs="share", twin=mul, takes="share spot_pick.full"),
        result("chance_short", "Chance of running short", "1-" + chance_formula("{share}", "{spot_pick.a},{spot_pick.b}"), "share", digits=1,
               needs="share", twin=volumes.chance_short, takes="share spot_pick.a spot_pick.b"),
        result("expected_leftover", "Expected leftover",
               "MAX(0,{volume}*(1-{chance_short})-{spot_pick.full}*{spot_pick.share_mean}*%s)" % chance_formula("{share}", "{spot_pick.a}+1,{spot_pick.b}"), "volume", tolerance=1e-5,
               needs="share", twin=volumes.expected_leftover, takes="volume spot_pick.full spot_pick.a spot_pick.b"),
        result("expected_cost", "Expected cost", "refill_cost*IF({chance_short}>=0.8,4,{chance_short}/(1-{chance_short}))+{expected_leftover}*{spot_pick.leftover_cost}", "money",
               needs="share", twin=lambda trip, short, left, cost: trip * volumes.extra_trips(short) + left * cost,
               takes="spot_figures.refill_cost chance_short expected_leftover spot_pick.leftover_cost"),
    ),
    rows="list:curve",
    kind="result",
    sheet=CHART_TITLE,
)

TABLES = (SPOT_LOAD_CHOICE, SPOT_SHEET, SPOT_OPTIONS, SPOT_LINES, ESTIMATE_STEPS, COST_CURVE, SPOT_PICK, SPOT_LINE_FACTS, STEP_FACTS)
