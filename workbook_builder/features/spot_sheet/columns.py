"""One spot pass on one page: its estimate, the choices, the next fill and what goes into it; and two charts.
"""

from __future__ import annotations

from collections.abc import Callable
from operator import mul, truediv
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import SETTING, Column, Table
from workbook_builder.core.short import check, result, slot_number, working
from workbook_builder.features.loads.lines import line_number
from workbook_builder.features.loads.pours import FACTS_OF_LINE, measuring, told, worked_out
from workbook_builder.features.shares import definitions as shares
from workbook_builder.features.shares.beta import quantile_formula, share_quantile, told_chance, told_formula
from workbook_builder.features.shares.columns import KNOWN, SHAPE, SHEET, firmness, scatter
from workbook_builder.features.spot_sheet.definitions import confidence_note, rests_on
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
                'IF({spot_load_choice.pass}="",1,'
                'IFERROR(MATCH({spot_load_choice.pass}&"|"&{spot_load_choice.field},{spot_passes.key:all},'
                '0),""))'),
        working("row", "Row of the pass", "{spot_passes.row@slot_row}", needs="slot_row"),
        working("state", "State of the pass", "{pass_open.status@row}", "text", needs="row"),
        working("liquid_part", "Liquid products per spray volume", "{pass_water.liquid_part@row}",
                "factor", needs="row"),
        working("carrier", "Carrier rate", "{spot_passes.carrier@slot_row}", "carrier", needs="slot_row"),
        working("next_fill", "Next fill", "{spot_passes.next_fill@slot_row}", "volume", needs="slot_row"),
        *(working(key, header, "{spot_passes.%s@slot_row}" % key, quantity, needs="slot_row")
          for key, header, quantity in (("full_volume", "Volume if all the rest is sprayed", "volume"),
                                        ("usable", "Usable per fill", "volume"),
                                        ("unusable", "Unusable per fill", "volume"),
                                        ("in_tank", "In the tank", "volume"),
                                        ("available", "Of it usable", "volume"),
                                        ("known", "Anything is known", "count"),
                                        ("share_mean", "Mean share", "share"),
                                        ("a", "Evidence for sprayed", "number"),
                                        ("b", "Evidence for left out", "number"))),
        working("low", "Low share of the rest", "IF({known}=0,0.001,%s)" % quantile_formula("0.1"), "share",
                needs="a", twin=lambda known, a, b: share_quantile(0.1, a, b) if known else 0.001),
        working("high", "High share of the rest", "IF({known}=0,1,%s)" % quantile_formula("0.9"), "share",
                needs="a", twin=lambda known, a, b: share_quantile(0.9, a, b) if known else 1),
        working("advised_volume", "Usable volume after the advised fill",
                'IF(OR({full_volume}=0,{usable}<=0),"",MAX(0,{in_tank}+{next_fill}-SUM({unusable})))',
                "volume", needs="full_volume usable in_tank next_fill",
                twin=lambda full, usable, available, advised: max(available, advised)
                if full and usable > 0 else "",
                takes="full_volume usable available spot_passes.advised_volume@slot_row",
                note="Where the chart marks the advised fill; blank when nothing is left to spray."),
        working("advised_chance", "Chance with the advised fill",
                'IF({advised_volume}="",-1,%s)'
                % told_formula("({advised_volume}/{full_volume})", most=0.999),
                "share", digits=1,
                twin=lambda volume, full, a, b: -1 if volume == "" else told_chance(volume / full, a, b,
                                                                                   0.999),
                takes="advised_volume full_volume a b",
                note="On the line of the chart; below its scale where there is nothing to mark, since some "
                     "programs draw a blank cell as nought."),
        working("frames_weight", "Weight of the frames",
                'IF({scout_shares.weight@row}="",0,{scout_shares.weight@row})', "number", needs="row"),
        working("takes", "Label has room for leftover", "{leftover_room.takes@row}", "count", needs="row"),
    ),
    rows="form",
    kind="working",
    sheet=SHEET,
)


def _picked(key: str, header: str, quantity: str, **more: Any) -> Column:
    """Declare a figure of the chosen spot pass, fetched from the list of spot passes."""
    return result(key, header, "{spot_passes.%s@spot_pick.slot_row}" % key, quantity,
                  needs="spot_pick.slot_row", **more)


def _of_pass(key: str, header: str, column: str, quantity: str, **more: Any) -> Column:
    """Declare a figure of the chosen spot pass, fetched from a table beside all passes."""
    text = '&""' if column.startswith("passes.") else ""
    return result(key, header, "{%s@spot_pick.row}%s" % (column, text), quantity,
                  needs="spot_pick.row", **more)


SPOT_SHEET = Table(
    "spot_sheet",
    "This spot pass",
    "Where it stands and what to put into the tank now.",
    (
        result("headline", "What to do now",
               'IF({spot_pick.slot_row}="","No such spot pass on that field",'
               'IF({spot_pick.state}="Not allowed","Not allowed as planned. ","")'
               '&{spot_passes.advice@spot_pick.slot_row})', "sentence"),
        result("what_then", "What then",
               'IF(SUM({spot_pick.full_volume})=0,"","When it runs dry: type area and volume into the load '
               'log, and mix what this sheet then says. What is left: "'
               '&IF({spot_pick.takes}=1,"the label has room for it on this field, or take it to the next '
               'field of this mix.","no label room on this field, so take it to the next field of this mix, '
               'or dispose of it as the label says."))',
               "sentence", needs="spot_pick.slot_row"),
        result("confidence_note", "Your confidence",
               'IF(SUM({spot_pick.full_volume})=0,"",IF({spot_passes.by_confidence@spot_pick.slot_row}=0,'
               '"No confidence typed on the tab Farm: the cheapest fill is advised, by refill trips and '
               'leftover.",'
               'IF({spot_pick.known}=0,"Nothing is known of the share: a full tank, whatever the '
               'confidence.",IF({spot_figures.typed_confidence}=0,"What a refill costs is not known: type '
               'its minutes and the sprayer\'s cost per hour, or the cost of an extra refill trip, on the '
               'tab Farm. Mixed to be enough "&ROUND(ROUND(wanted_confidence*10,6),1)&" times in 10, a full '
               'tank at most.",'
               'IF(ROUND({spot_passes.rest_safe@spot_pick.slot_row}-{spot_pick.usable},6)>0,'
               '"Your "&ROUND(ROUND(wanted_confidence*100,6),0)&" % wants "'
               '&ROUND(ROUND({spot_passes.rest_safe@spot_pick.slot_row},6),0)&" "&liquid_name_1'
               '&", more than one tank: a full tank now.",'
               '"Mixed for your "&ROUND(ROUND(wanted_confidence*100,6),0)&" %; the cheapest fill has "'
               '&ROUND(ROUND(INDEX({spot_options.volume:all},'
               'MATCH({spot_passes.best_cost@spot_pick.slot_row},{spot_options.expected_cost:all},0)),6),'
               '0)&" "&liquid_name_1&" to spray.")))))',
               "long_text", needs="spot_pick.slot_row spot_pick.usable", twin=confidence_note,
               takes="spot_pick.full_volume spot_passes.by_confidence@spot_pick.slot_row "
                     "spot_figures.typed_confidence spot_pick.known spot_passes.rest_safe@spot_pick.slot_row "
                     "spot_pick.usable spot_figures.wanted_confidence "
               "spot_options.volume:all spot_options.expected_cost:all "
               "spot_passes.best_cost@spot_pick.slot_row factors.liquid_name_1"),
        result("rests_on", "Rests on",
               'IF({spot_pick.known}=0,"Nothing is known of the share yet.","Patches of evidence: experience '
               '"&ROUND(ROUND({share_estimates.experience@spot_pick.row}-{share_estimates.history_weight@spot_pick.row},6),1)'
               '&", earlier seasons "&ROUND(ROUND({share_estimates.history_weight@spot_pick.row},6),'
               '1)&", frames "&ROUND(ROUND({spot_pick.frames_weight},6),1)&", loads "'
               '&ROUND(ROUND({share_estimates.log_weight@spot_pick.row},6),1)&"."'
               '&IF({share_estimates.history_weight@spot_pick.row}+{spot_pick.frames_weight}>0,"",'
               '" Without frames or earlier seasons nobody can know how far this year differs: the range is '
               'kept wide."))',
               "long_text", needs="spot_pick.row spot_pick.known", twin=rests_on,
               takes="spot_pick.known share_estimates.experience@spot_pick.row "
                     "share_estimates.history_weight@spot_pick.row spot_pick.frames_weight "
                     "share_estimates.log_weight@spot_pick.row"),
        check("found", "Found", 'IF({spot_pick.row}="","Review: no such spot pass on that field","OK")',
              "text"),
        _picked("pass", "Pass", "name"),
        _picked("field", "Field", "name"),
        _of_pass("mix", "Mix", "passes.mix", "name"),
        _of_pass("sprayer", "Sprayer", "passes.sprayer", "name"),
        _of_pass("setting", "Detection setting", "passes.detection_setting", "name"),
        check("state", "State of the pass",
              '{spot_pick.state}&IF({spot_pick.state}="OK","",'
              '": "&{pass_why.why@spot_pick.row})', "long_text", needs="spot_pick.row",
              note="The worst that was found on it; the tab Label check has all."),
        _of_pass("loads_logged", "Loads logged", "share_estimates.loads_logged", "count"),
        _picked("area_driven", "Area driven", "area"),
        _of_pass("area_covered", "Of it driven so far", "share_estimates.area_covered", "area"),
        _picked("remaining_area", "Still to drive", "area"),
        _picked("in_tank", "In the tank now", "volume"),
        _picked("chance_enough", "Chance it is enough by itself", "share"),
        _picked("next_fill", "Mixture to add now", "volume"),
        result("water", "Water in it", "{next_fill}*(1-{spot_pick.liquid_part})", "volume",
               needs="next_fill spot_pick.liquid_part",
               twin=lambda mixture, liquid: mixture - mixture * liquid,
               takes="next_fill spot_pick.liquid_part"),
        result("first_water", "Water before products", "{water}*first_fill", "volume", needs="water",
               twin=mul, takes="water assumptions.first_fill"),
        _picked("next_area", "Area it drives", "area"),
        _picked("fills_expected", "Fills expected", "count"),
        _picked("fills_most", "Fills at most", "count"),
        _picked("volume_expected", "Volume expected", "volume"),
        _picked("volume_safe", "Volume at your confidence", "volume"),
    ),
    rows="form",
    kind="result",
    sheet=LOAD_TITLE,
    was=("Spot load",),
)

_CASES = ("low", "likely", "high")


SPOT_CASES = Table(
    "spot_cases",
    "The whole field",
    "Low, likely and high: one time in ten it is less, on average, one time in ten it is more.",
    (
        result("case", "Case", tuple(f'"{case}"' for case in _CASES), "text", needs="spot_pick.slot_row"),
        result("share", "Share of the field sprayed",
               tuple("{spot_passes.share_%s@spot_pick.slot_row}" % case for case in _CASES), "share",
               needs="spot_pick.slot_row"),
        result("area", "Area sprayed", "{share}*{spot_sheet.area_driven}", "area",
               needs="share spot_sheet.area_driven", twin=mul, takes="share spot_sheet.area_driven"),
        result("volume", "Volume", "{area}*{spot_pick.carrier}", "volume", needs="area spot_pick.carrier",
               twin=mul, takes="area spot_pick.carrier"),
        result("product_cost", "Products", "{area}*{spot_uses.product_area@spot_pick.row}", "money",
               needs="area", twin=mul, takes="area spot_uses.product_area@spot_pick.row"),
        slot_number(),
    ),
    rows="list:options",
    kind="result",
    sheet=LOAD_TITLE,
)


def _choice(key: str, header: str, quantity: str, **more: Any) -> Column:
    """Declare a figure of a choice of the next fill of the chosen spot pass."""
    return result(key, header, "INDEX({volume_choices.%s:all},({spot_pick.slot_row}-1)*{room.choices}+{slot})"
                  % key, quantity, needs="spot_pick.slot_row", **more)


def _if_share(key: str, header: str, share: str) -> Column:
    """Declare what becomes of a fill at a share of the rest: what is left over, or where it runs dry."""
    need = "{spot_pick.full_volume}*{spot_pick.%s}" % share
    return result(key, header,
                  'IF(ROUND({volume}-%s,6)>=0,MAX(0,ROUND(ROUND({volume}-%s,6),0))&" "&liquid_name_1&" over",'
                  '"dry at "&ROUND(ROUND({volume}/({spot_pick.carrier}*{spot_pick.%s}),6),0)&" "&area_name)'
                  % (need, need, share), "text",
                  needs=f"volume spot_pick.{share}", twin=volumes.what_becomes,
                  takes=f"volume spot_pick.full_volume spot_pick.{share} spot_pick.carrier "
                        f"factors.liquid_name_1 factors.area_name")


SPOT_OPTIONS = Table(
    "spot_options",
    "The next fill",
    "What each fill brings: how often it finishes the field, and what is left or where it runs dry when the "
    "share is low, likely or high.",
    (
        result("fill", "Mix now",
               "MAX(0,{volume}-{spot_pick.available}+MAX(0,SUM({spot_pick.unusable})-{spot_pick.in_tank}))",
               "volume", needs="volume",
               twin=volumes.next_fill,
               takes="spot_pick.full_volume volume spot_pick.available spot_pick.unusable spot_pick.in_tank"),
        result("enough", "Finishes the field",
               'IF({chance_short}=0,"certain",MIN(99,MAX(1,ROUND(ROUND(100-100*{chance_short},6),0)))'
               '&" in 100")', "text", needs="volume", twin=volumes.in_hundred, takes="chance_short"),
        _if_share("if_low", "If the share is low", "low"),
        _if_share("if_likely", "If likely", "share_mean"),
        _if_share("if_high", "If high", "high"),
        _choice("expected_cost", "Cost compared", "money"),
        _choice("advised", "Advised", "text"),
        _choice("choice", "Choice", "text", width=28),
        _choice("volume", "Usable volume to have", "volume"),
        _choice("chance_short", "Chance short", "share"),
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
        working("order_row", "Order row", "({mix_no}-1)*{room.products}+{slot}",
                needs="mix_no spot_pick.next_fill"),
        working("item", "Place in the mix",
                'IF({adding_order.product@order_row}="","",{adding_order.item@order_row})',
                needs="order_row"),
        working("line_row", "Amount row", line_number("pass_volumes.lines_before@spot_pick.row", "{item}"),
                needs="item"),
        *FACTS_OF_LINE,
        *measuring(
            worked_out("exact", "As worked out", "poured", "spot_pick.next_fill", "spot_pick.carrier",
                       "line_row poured"),
            "headroom", "package", "phase"),
        *told("phase"),
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
        result("product", "Product", "{mix_lines.product@spot_line_facts.line_row}", "name",
               needs="spot_line_facts.line_row"),
        result("amount", "Amount",
               "{spot_line_facts.measured}/{mix_lines.pour_base@spot_line_facts.line_row}", "amount",
               needs="spot_line_facts.measured", twin=truediv,
               takes="spot_line_facts.measured mix_lines.pour_base@spot_line_facts.line_row"),
        result("unit", "Unit", "{mix_lines.amount_unit@spot_line_facts.line_row}", "unit_label",
               needs="spot_line_facts.line_row"),
        result("pour", "As poured", "{spot_line_facts.pour}", "text", width=24),
        result("off", "Off by", "{spot_line_facts.off}", "share", needs="spot_line_facts.off",
               digits=1, width=9),
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
    """Return a count of patches that takes the loads as area driven, patch size and share,
    and after them weight and share of the other evidence.
    """
    return lambda area, patch, pooled, *others: patches(*others, area / patch, pooled)


def _drawn(key: str, header: str, column: str) -> Column:
    """Declare a point of the chart: steps not reached repeat the last one."""
    return working(key, header, 'IF({shown}=1,{estimate_steps.%s},IF({slot}=1,"",{%s:above}))'
                   % (column, key), "share")


STEP_FACTS = Table(
    "step_facts",
    "Estimate workings",
    "Evidence added step by step to the estimate of the chosen spot pass.",
    (
        slot_number("Step"),
        working("load_row", "Load row",
                'IF({slot}<3,"",IFERROR(MATCH({spot_pick.row}*1000+{slot}-2,{load_facts.key:all},0),""))',
                needs="spot_pick.row"),
        working("shown", "Shown",
                f'IF({{spot_pick.row}}="",0,IF({{slot}}=1,1,IF({{slot}}=2,IF({_SCOUTED},1,0),'
                f'IF({{load_row}}="",0,1))))', "count"),
        working("area", "Area so far", 'IF({load_row}="",0,SUM({area:above},{load_facts.area@load_row}))',
                "area"),
        working("sprayed", "Sprayed so far",
                'IF({load_row}="",0,SUM({sprayed:above},'
                '{load_facts.area@load_row}*{load_facts.share@load_row}))', "area",
                twin=lambda row, before, area, share: 0 if row == "" else before + area * share,
                takes="load_row sprayed:above load_facts.area@load_row load_facts.share@load_row"),
        working("squared", "Area by share squared, so far",
                'IF({load_row}="",0,SUM({squared:above},{load_facts.squared@load_row}))', "factor"),
        working("scouted", "Patches scouted",
                f"IF(OR({{shown}}=0,{{slot}}<2),0,IF({_SCOUTED},{{scout_shares.weight@spot_pick.row}},0))",
                "number"),
        working("scouted_share", "Share scouted",
                "IF({scouted}=0,0,{scout_shares.scouting_share@spot_pick.row})", "share"),
        working("prior", "Patches of experience",
                'IF({shown}=0,"",{share_estimates.prior_weight@spot_pick.row})', "number"),
        working("prior_share", "Share by experience",
                'IF({shown}=0,"",{share_estimates.expected_share@spot_pick.row})', "share"),
        working("pooled", "Pooled share", "IF({area}=0,0,MIN(1,{sprayed}/{area}))", "share",
                twin=lambda sprayed, area: min(1, sprayed / area) if area else 0),
        working("patches_sprayed", "Patches sprayed",
                "{prior}*{prior_share}+{scouted}*{scouted_share}+{area}/patch_size*{pooled}", "number",
                needs="prior", twin=_joined(shares.patches_sprayed), takes=_EVIDENCE),
        working("patches_left", "Patches left out",
                "{prior}*(1-{prior_share})+{scouted}*(1-{scouted_share})+{area}/patch_size*(1-{pooled})",
                "number",
                needs="prior", twin=_joined(shares.patches_left), takes=_EVIDENCE),
        working("evidence_patches", "Patches of evidence",
                "{share_estimates.experience@spot_pick.row}+{scouted}+{area}/patch_size", "number",
                needs="prior",
                twin=lambda experience, scouted, area, patch: added((experience, scouted, area / patch)),
                takes="share_estimates.experience@spot_pick.row scouted area spot_figures.patch_size"),
        working("known", "Anything is known", KNOWN, "count", needs="prior", twin=shares.known,
                takes="evidence_patches patches_sprayed patches_left"),
        working("loads", "Loads so far", 'IF({load_row}="",0,{slot}-2)', "count"),
        working("scatter", "Scatter of the loads", scatter("loads", "squared", "sprayed", "area"), "factor",
                twin=shares.scatter_so_far, takes="loads squared sprayed area spot_figures.patch_size"),
        working("firmness", "Firmness by the loads", firmness("loads"), "number", twin=shares.firmness,
                takes="scatter loads spot_factors.usual_scatter"),
        working("a", "Evidence for sprayed", SHAPE % "patches_sprayed", "number", needs="prior",
                twin=shares.shape, takes="known patches_sprayed firmness"),
        working("b", "Evidence for left out", SHAPE % "patches_left", "number", needs="prior",
                twin=shares.shape, takes="known patches_left firmness"),
        working("chart_step", "Step drawn", 'IF({shown}=1,{slot},IF({slot}=1,"",{chart_step:above}))',
                note="Steps not reached repeat the last one, so that a chart draws nothing for them."),
        _drawn("chart_p10", "Share, 1 in 10 is less", "p10"),
        _drawn("chart_mean", "Mean share", "mean"),
        _drawn("chart_p90", "Share, enough 9 times in 10", "p90"),
        working("first_load", "First load row",
                'IFERROR(MATCH({spot_pick.row}*1000+1,{load_facts.key:all},0),"")', needs="spot_pick.row"),
        working("chart_load", "Load drawn at",
                'IF({load_row}<>"",{slot},IF({slot}>2,{chart_load:above},IF({first_load}="",'
                '{chart_step},3)))'),
        working("chart_logged", "Share of the load",
                'IF({load_row}<>"",{load_facts.share@load_row},IF({slot}>2,{chart_logged:above},'
                'IF({first_load}="",{chart_mean},{load_facts.share@first_load})))', "share"),
    ),
    rows="list:steps",
    kind="working",
    sheet=SHEET,
)

ESTIMATE_STEPS = Table(
    "estimate_steps",
    CHART_TITLE,
    "How the estimate of the spot pass chosen on the spot mix sheet narrows with scouting and with each "
    "load.",
    (
        result("step", "After",
               'IF({step_facts.shown}=0,"",IF({step_facts.slot}=1,"experience",IF({step_facts.slot}=2,'
               '"scouting","load "&({step_facts.slot}-2))))', "text", width=16),
        result("p10", "Share, 1 in 10 is less", quantile_formula("0.1", "{step_facts.a},{step_facts.b}"),
               "share", digits=1, needs="step_facts.a", twin=lambda a, b: share_quantile(0.1, a, b),
               takes="step_facts.a step_facts.b"),
        result("mean", "Mean share", "{step_facts.a}/({step_facts.a}+{step_facts.b})", "share", digits=1,
               needs="step_facts.a", twin=lambda a, b: a / (a + b), takes="step_facts.a step_facts.b"),
        result("p90", "Share, enough 9 times in 10", quantile_formula("0.9", "{step_facts.a},{step_facts.b}"),
               "share", digits=1, needs="step_facts.a", twin=lambda a, b: share_quantile(0.9, a, b),
               takes="step_facts.a step_facts.b"),
        result("logged", "Share of the load", "{load_facts.share@step_facts.load_row}", "share", digits=1,
               needs="step_facts.load_row"),
    ),
    rows="as:step_facts",
    kind="result",
    sheet=CHART_TITLE,
)

COST_CURVE = Table(
    "cost_curve",
    "Chance by next fill",
    "Usable volume in the tank after the next fill: how often it finishes the field.",
    (
        slot_number("Point"),
        result("volume", "Usable volume",
               'IF(OR({spot_pick.full_volume}=0,{spot_pick.usable}<=0),"",'
               '{spot_pick.usable}*{slot}/{room.curve})', "volume",
               needs="spot_pick.a spot_pick.full_volume spot_pick.usable",
               twin=lambda full, usable, slot, points: usable * slot / points if full and usable > 0 else "",
               takes="spot_pick.full_volume spot_pick.usable slot room.curve"),
        result("chance_enough", "Chance that it finishes the field",
               told_formula("({volume}/{spot_pick.full_volume})", "{spot_pick.a},{spot_pick.b}", 0.999),
               "share", digits=1,
               needs="volume", twin=lambda volume, full, a, b: told_chance(volume / full, a, b, 0.999),
               takes="volume spot_pick.full_volume spot_pick.a spot_pick.b"),
    ),
    rows="list:curve",
    kind="result",
    sheet=CHART_TITLE,
    was=("Expected cost by volume",),
)

TABLES = (SPOT_LOAD_CHOICE, SPOT_SHEET, SPOT_CASES, SPOT_OPTIONS, SPOT_LINES, ESTIMATE_STEPS, COST_CURVE,
          SPOT_PICK, SPOT_LINE_FACTS, STEP_FACTS)
