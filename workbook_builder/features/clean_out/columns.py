"""Tank clean-out: rinses of each tank, and what follows each mix in the same tank."""

from __future__ import annotations

from collections.abc import Callable
from operator import mul, truediv
from typing import Any

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import check, part_of, result, slot_number, working, worst_status
from workbook_builder.features.clean_out import definitions as trade
from workbook_builder.features.clean_out.inputs import CLEAN_CAUTION, CLEAN_OUT_LABELS, RINSE_TERMS
from workbook_builder.features.labels.columns import match_columns, product_columns, row_keys
from workbook_builder.features.labels.names import ANY, crop_columns
from workbook_builder.features.loads.lines import OF_PASS, of_pass

SHEET = "Workings clean-out"
MASS_BALANCE = "mass balance, full mixing: left after n rinses = 1/(1+V/r)^n"

RINSE_FACTS = Table(
    "rinse_facts",
    "Rinse term workings",
    "Lookup key of each row of the rinse terms.",
    (working("key", "Key", '{rinse_terms.sprayer}&"|"&{rinse_terms.tank}', "text",
             needs="rinse_terms.sprayer"),),
    rows="as:rinse_terms",
    kind="working",
    sheet=SHEET,
)

CLEAN_LABEL_FACTS = Table(
    "clean_label_facts",
    "Clean-out label workings",
    "Lookup key of each row of the clean-out labels.",
    (
        *product_columns("clean_out_labels"),
        *crop_columns("{clean_out_labels.next_crop}", blank=ANY),
        *row_keys("{product_no}"),
        working("minds", "Says yes, or nothing",
                'IF({product_row}="",0,IF({clean_out_labels.sensitive}="no",0,1))', "count"),
    ),
    rows="as:clean_out_labels",
    kind="working",
    sheet=SHEET,
)

CLEAN_FARM = Table(
    "clean_farm",
    "Clean-out rows typed",
    "Whether any product's clean-out is typed at all.",
    (working("rows", "Clean-out label rows", "COUNTA({clean_out_labels.product:all})", "count"),),
    rows="form",
    kind="working",
    sheet=SHEET,
)

CLEAN_PRODUCTS = Table(
    "clean_products",
    "Product clean-out workings",
    "Which products must be minded in a tank until it is cleaned out, and the mark each one goes by.",
    (
        working("any_row", "Label row for any crop",
                'IFERROR(MATCH({product_facts.product_no}&"|any",{clean_label_facts.key:all},0),"")',
                needs="products.product"),
        working("minds", "Label rows that say yes, or nothing",
                'IF({products.product}="",0,SUMIFS({clean_label_facts.minds:all},'
                '{clean_label_facts.product_no:all},{product_facts.product_no}))', "count"),
        working("minded", "Minded until a clean-out",
                'IF({products.product}="",0,IF(OR({minds}>0,AND({product_facts.pesticide}=1,{any_row}="")),'
                '1,0))', "count",
                note="0 where the labels say that it hurts no crop."),
        working("mark", "Mark",
                'IF(OR({product_facts.pesticide}=1,COUNTIF({clean_label_facts.product_no:all},'
                '{product_facts.product_no})>0),"|"&RIGHT("000"&{product_facts.row_no},4)&"|","")',
                "text", needs="products.product"),
        result("container_rinse", "Rinse its container, each of three",
               'IF(OR({product_facts.phase}<>"liquid",ROUND({product_facts.package_base}-%d*five_gallons,'
               '6)>0),"",{products.package_size}*IF(ROUND({product_facts.package_base}-five_gallons,6)<0,'
               '0.25,0.2))' % trade.DRUM, "amount", needs="product_facts.package_base",
               twin=lambda phase, size, holds, five: trade.container_rinse(
                   phase, size, holds, five, trade.DRUM * five),
               takes="product_facts.phase products.package_size product_facts.package_base "
                     "agronomy_factors.five_gallons",
               note="Water in the package unit; drain 30 s, shake 30 s, pour into the tank, three times. "
                    "Blank for dry products and for bulk tanks.",
               source="Admin. Rules of Montana, rule 16614; Univ. of Illinois, 50 Ways, no. 30"),
    ),
    rows="as:products",
    kind="working",
    sheet=SHEET,
)

CLEAN_ITEMS = Table(
    "clean_items",
    "Mix and product workings",
    "One number for each product of each mix, to see whether the next mix holds it too, and the marks of the "
    "mix so far.",
    (
        working("key", "Mix and product", "{mix_list.row_no}*10000+{mix_items.product_row}",
                needs="mix_items.product_row"),
        working("marks", "Marks of the mix so far",
                'IF({mix_items.slot}=1,"",{marks:above}&"")&IF({mix_items.product_row}="","",'
                '{clean_products.mark@mix_items.product_row})', "text"),
    ),
    rows="as:mix_items",
    kind="working",
    sheet=SHEET,
)

#: Letters of a mark.
MARK = 6


def _rinses(dilution: str) -> str:
    """Whole rinses until one part is left in `dilution` parts."""
    return f'ROUNDUP(ROUND(LN({dilution})/LN(1+{{ratio}}),6),0)'


def _term(key: str) -> str:
    return 'IF({terms_row}="",0,SUM({rinse_terms.%s@terms_row}))' % key


def _diluted(key: str, header: str, formula: str, twin: Callable[..., float], takes: str = "left water",
             **more: Any) -> Column:
    return result(key, header, formula, "number", digits=0, needs="ratio", twin=twin, takes=takes,
                  source=MASS_BALANCE, **more)


_TANK = "left water volume carried sensitive_water"


TANK_RINSES = Table(
    "tank_rinses",
    "Tank rinses",
    "How far each rinse dilutes what is left in a tank, and what many small rinses do that one big rinse "
    "does not.",
    (
        slot_number("No."),
        result("sprayer", "Sprayer", "{sprayers.sprayer}", "name", needs="volume"),
        result("tank", "Tank", 'IF({slot}=1,"main","spot")', "text", needs="volume"),
        result("volume", "Tank holds",
               'IF({slot}=1,IF(SUM({sprayers.main_tank})=0,"",{sprayers.main_tank}),'
               'IF(SUM({sprayers.spot_tank})=0,"",{sprayers.spot_tank}))', "volume",
               needs="sprayers.sprayer"),
        working("terms_row", "Row of the rinse terms",
                'IFERROR(MATCH({sprayer}&"|"&{tank},{rinse_facts.key:all},0),"")', needs="volume"),
        working("left_typed", "Liquid left, typed", _term("left_volume"), "volume"),
        working("water_typed", "Rinse water, typed", _term("rinse_water"), "volume"),
        result("left", "Liquid left",
               'IF({left_typed}>0,{left_typed},IF(SUM({sprayers.unusable_volume})=0,"",'
               '{sprayers.unusable_volume}))', "volume", needs="volume",
               note="As typed, or the unusable volume of the sprayer."),
        result("water", "Water of one rinse", "IF({water_typed}>0,{water_typed},rinse_share*{volume})",
               "volume", needs="volume",
               twin=lambda typed, volume, share: typed or trade.rinse_water(volume, share),
               takes="water_typed volume agronomy_settings.rinse_share"),
        working("ratio", "Rinse water over liquid left", "{water}/{left}", "factor", needs="volume left",
                twin=truediv, takes="water left", source=MASS_BALANCE),
        _diluted("after_1", "After one rinse, one part in", "1+{ratio}",
                 lambda left, water: trade.one_part_in(left, water, 1)),
        _diluted("after_2", "After two, one part in", "POWER(1+{ratio},2)",
                 lambda left, water: trade.one_part_in(left, water, 2)),
        _diluted("after_3", "After three, one part in", "POWER(1+{ratio},3)",
                 lambda left, water: trade.one_part_in(left, water, 3)),
        _diluted("one_big", "Same water in one rinse, one part in", "1+3*{ratio}",
                 lambda left, water: trade.one_part_in(left, trade.SMALL_RINSES * water, 1),
                 note="The water of three rinses put in at once."),
        result("times_cleaner", "Three rinses are cleaner, times", "{after_3}/{one_big}", "number", digits=1,
               needs="ratio", twin=truediv, takes="after_3 one_big"),
        result("routine_rinses", "Rinses between mixes", _rinses("routine_dilution"), "count", width=17,
               needs="ratio", twin=trade.rinses_needed, takes="ratio agronomy_settings.routine_dilution"),
        result("routine_water", "Their water", "{routine_rinses}*{water}", "volume", needs="routine_rinses",
               twin=mul, takes="routine_rinses water"),
        result("sensitive_rinses", "Rinses before a sensitive crop", _rinses("clean_dilution"), "count",
               width=17, needs="ratio",
               twin=trade.rinses_needed, takes="ratio agronomy_settings.clean_dilution"),
        result("sensitive_water", "Their water", "{sensitive_rinses}*{water}", "volume",
               needs="sensitive_rinses", twin=mul, takes="sensitive_rinses water"),
        result("reached", "Leaves one part in", "POWER(1+{ratio},{sensitive_rinses})", "number", digits=0,
               needs="sensitive_rinses", twin=trade.one_part_in, takes="left water sensitive_rinses"),
        working("carried", "Clean water carried", _term("clean_water"), "volume"),
        check("status", "Status",
              'IF({left}="","Not entered",IF({left}+{water}>{volume},"Review",'
              'IF(AND({carried}>0,{sensitive_water}>{carried}),"Review","OK")))',
              needs="volume", twin=part_of(trade.tank_judgement, 0), takes=_TANK),
        check("finding", "Finding",
              'IF({status}="Not entered","Liquid left in the sprayer not entered",IF({status}="Review",'
              'IF({left}+{water}>{volume},"One rinse is more than the tank holds",'
              '"Clean water carried is not enough for the rinses before a sensitive crop"),""))', "long_text",
              needs="volume", twin=part_of(trade.tank_judgement, 1), takes=_TANK),
    ),
    rows="under:sprayers:tanks",
    kind="result",
    caution=f"Full mixing is assumed; valves, filters and boom ends hold more. {CLEAN_CAUTION}",
)


def _of_next(key: str, header: str, column: str, quantity: str,
             declared: Callable[..., Column] = result) -> Column:
    return declared(key, header, "{%s@next_row}" % column, quantity, needs="next_row")


def _least_room(table: str, lines: str) -> str:
    """Formula of the least room in its limits that a line of a pass has, blank lines passed over."""
    room = f"{{{table}.room:all}}"
    return f'IF(COUNTIFS({of_pass(lines)},{room},">=0")=0,10,_xlfn.MINIFS({room},{of_pass(lines)}))'


_ROOMS = "product_limits.room:block pass_ingredients.room:block"

_STATUSES = "{clean_lines.status:block}"

CLEAN_STEPS = Table(
    "clean_steps",
    "Sequence workings",
    "Passes tank by tank and by the clock: what each tank holds, with all that is left since its last full "
    "clean-out, and the pass that follows.",
    (
        working("next_row", "Row of the next pass",
                'IF(IFERROR(INDEX({tank_order.follows:all},{tank_order.row_no}+1),0)=1,'
                'INDEX({tank_order.row:all},{tank_order.row_no}+1),"")',
                needs="tank_order.row"),
        _of_next("next_mix_no", "Number of the next mix", "pass_volumes.mix_no", "index", working),
        working("next_crop", "Crop the next one goes on", '{clean_sequence.crop_on@next_row}&""', "name",
                needs="next_row"),
        *crop_columns("{next_crop}"),
        working("new_mix", "The mix changes", "IF({next_mix_no}={tank_order.mix_no},0,1)", "count",
                needs="next_row"),
        working("own", "Marks of the mix",
                'INDEX({clean_items.marks:all},{tank_order.mix_no}*{room.products})&""', "text",
                needs="tank_order.row"),
        working("carried", "Marks left from before",
                'IF(OR({clean_farm.rows}=0,{tank_order.follows}=0),"",'
                'IF({passes.clean_before@tank_order.row}="yes","",{kept:above}&""))', "text",
                twin=trade.carried_over,
                takes="tank_order.follows passes.clean_before@tank_order.row kept:above"),
        working("held", "Marks in the tank", "{own}&{carried}", "text"),
        working("kept", "Marks left for the next",
                'IF({clean_farm.rows}=0,"",{clean_lines.kept_so_far:block@room.carried}&"")', "text",
                note="What the clean-out asked for here takes out is gone."),
        working("too_many", "More than there is room for",
                f'IF({{carried}}="",0,IF(LEN({{held}})>{MARK}*{{room.carried}},1,0))', "count",
                twin=lambda held, room: int(len(held) > MARK * room), takes="held room.carried"),
        working("outcome", "Worst of its products", worst_status(_STATUSES), "status"),
        working("first", "First of them",
                'IF(OR({outcome}="",{outcome}="OK"),"",MATCH({outcome},%s,0))' % _STATUSES),
        working("products", "Products to mind", "MID({clean_lines.names_so_far:block@room.carried},3,32000)",
                "text"),
        working("wording", "Clean-out on the label",
                "MID({clean_lines.words_so_far:block@room.carried},4,32000)", "text"),
        working("lacking", "What is not entered",
                'INDEX({products.product:all},{clean_lines.product_row:block@first})&" "'
                '&IF({clean_farm.rows}=0,"not on Clean-out labels",{clean_lines.lacking:block@first})',
                "text", needs="first"),
        working("wanted", "Wanted dilution",
                'IF(COUNT({clean_lines.dilution:block})>0,MAX({clean_lines.dilution:block}),IF({new_mix}=1,'
                'routine_dilution,""))', "number", needs="next_row"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)

#: A text that grows from slot to slot, before the slot it stands in.
_SO_FAR = 'IF({slot}=1,"",{%s_so_far:above}&"")'

#: What the tank holds in the step of a line, out of the steps so far: later ones hang on this line, which
#: would look like a circle.
_HELD = "INDEX({clean_steps.held:upto},{parent_no})"

CLEAN_LINES = Table(
    "clean_lines",
    "Product workings",
    "Each product in the tank, of the mix or left from before, against the crop that the next pass goes on.",
    (
        slot_number(),
        working("mark", "Mark",
                f'IF(LEN({_HELD})<{MARK}*{{slot}},"",MID({_HELD},{MARK}*{{slot}}-{MARK - 1},{MARK}))', "text",
                twin=lambda held, slot: held[MARK * (slot - 1) : MARK * slot], takes="clean_steps.held slot"),
        working("product_row", "Product row", "MATCH({mark},{clean_products.mark:all},0)", needs="mark"),
        working("once", "Named for the first time",
                'IF({product_row}="",0,IF(MATCH({product_row},{product_row:block},0)={slot},1,0))', "count"),
        working("before", "Left from before",
                f'IF(OR({{once}}=0,{{clean_steps.carried}}=""),0,IF({MARK}*{{slot}}>LEN({{clean_steps.own}}),'
                f'1,0))', "count",
                twin=lambda once, slot, own: int(once == 1 and MARK * slot > len(own)),
                takes="once slot clean_steps.own"),
        working("product", "Product", '{products.product@product_row}&""', "name", needs="product_row"),
        working("counts", "Counts",
                'IF(OR({once}=0,{clean_steps.next_row}=""),0,IF(COUNTIF({clean_items.key:all},'
                '{clean_steps.next_mix_no}*10000+{product_row})>0,0,1))', "count",
                note="0 where the next mix holds it too."),
        working("number", "Product number", 'IF({counts}=0,"",{product_facts.product_no@product_row})'),
        *match_columns("clean_label_facts", "{number}", "clean_steps.crop"),
        working("row", "Label row",
                'IF({named_row}<>"",{named_row},IF(OR({near_row}<>"",{clean_steps.crop_name}="fallow"),"",'
                '{found_row}))',
                note="A row that nearly names the crop does not count: write one name in both."),
        working("sensitive", "Sensitive", '{clean_out_labels.sensitive@row}&""', "text", needs="row"),
        working("wording", "Wording", '{clean_out_labels.wording@row}&""', "text", needs="row"),
        working("status", "Status",
                'IF({counts}=0,"",IF({row}="",IF({clean_steps.crop_name}="fallow","OK",'
                'IF({product_facts.pesticide@product_row}=1,"Not entered","")),'
                'IF({sensitive}="no","OK",IF(OR({sensitive}<>"yes",{wording}=""),"Not entered","Review"))))',
                "status",
                twin=trade.line_status,
                takes="counts row clean_steps.crop_name product_facts.pesticide@product_row sensitive "
                      "wording"),
        working("dilution", "Wanted dilution",
                'IF(OR({status}="",{status}="OK"),"",IF({row}="",clean_dilution,'
                'IF({clean_out_labels.wanted_dilution@row}="",clean_dilution,'
                '{clean_out_labels.wanted_dilution@row})))', "number"),
        working("names_so_far", "Products to mind so far",
                _SO_FAR % "names" + '&IF(OR({status}="Review",{status}="Not entered"),'
                                    '", "&{product}&IF({before}=1," (left from before)",""),"")', "text"),
        working("words_so_far", "Wording so far", 'IF({clean_farm.rows}=0,"",' + _SO_FAR % "words"
                + '&IF({status}="Review"," / "&{product}&": "&{wording},""))', "text"),
        working("lacking", "What is not entered",
                'IF({status}<>"Not entered","",IF({row}="","not on Clean-out labels",IF({sensitive}="yes",'
                '"clean-out wording not entered","sensitive or not is not entered")))',
                "text"),
        working("kept_so_far", "Marks kept so far",
                _SO_FAR % "kept" + '&IF(OR({once}=0,{status}="Review"),"",'
                                   'IF({clean_products.minded@product_row}=1,{mark},""))', "text",
                twin=lambda slot, above, mark, *line: ("" if slot == 1 else above)
                + (mark if trade.stays(*line) else ""),
                takes="slot kept_so_far:above mark once status clean_products.minded@product_row"),
    ),
    rows="under:clean_steps:carried",
    kind="working",
    sheet=SHEET,
)


def _of_step(key: str, header: str, quantity: str, declared: Callable[..., Column] = working,
             **more: Any) -> Column:
    return declared(key, header, "{clean_steps.%s@tank_steps.place}" % key, quantity,
                    needs="tank_steps.place", **more)


CLEAN_SEQUENCE = Table(
    "clean_sequence",
    "Clean-out sequence",
    "What each tank holds next: the pass that follows in it, the crop that goes on, and the rinses in "
    "between.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("mix", "Mix", '{passes.mix}&""', "name", needs="pass"),
        result("sprayer", "Sprayer", '{passes.sprayer}&""', "name", needs="pass"),
        result("tank", "Tank", "{tank_rinses.tank@tank_steps.tank_no}", "text", needs="tank_steps.tank_no"),
        working("crop_on", "Crop it goes on",
                'IF(AND({pass_crops.turn}=2,{pass_crops.standing}=0),"fallow",{pass_volumes.crop})',
                "name", needs="pass",
                note="Ground sprayed after harvest counts as fallow until the next crop is planted."),
        _of_step("next_row", "Row of the next pass", "index"),
        _of_step("new_mix", "The mix changes", "count"),
        result("change", "Then", 'IF({next_row}="","last in this tank",IF({new_mix}=0,"same mix","new mix"))',
               "text", needs="tank_steps.place"),
        _of_next("next_pass", "Next pass", "pass_volumes.pass", "name"),
        _of_next("next_field", "Next field", "pass_volumes.field", "name"),
        _of_next("next_day", "On", "pass_times.day", "date"),
        result("next_mix", "Next mix", '{passes.mix@next_row}&""', "name", needs="next_row"),
        _of_step("next_crop", "Next crop", "name", result,
                 note="Ground sprayed after harvest counts as fallow."),
        _of_step("outcome", "Worst of its products", "status"),
        result("sensitive", "Traces hurt it",
               'IF({outcome}="Review","yes",IF({outcome}="OK","no","Not entered"))', "text", needs="outcome"),
        _of_step("products", "Products to mind", "long_text", result, width=42,
                 note="Of this mix, and of all that went through the tank since its last full clean-out."),
        _of_step("wanted", "Wanted dilution, one part in", "number", result, digits=0),
        working("ratio", "Rinse water over liquid left", "{tank_rinses.ratio@tank_steps.tank_no}", "factor",
                needs="tank_steps.tank_no"),
        result("rinses", "Rinses", _rinses("{wanted}"), "count", needs="wanted ratio",
               twin=trade.rinses_needed, takes="ratio wanted", source=MASS_BALANCE),
        result("water", "Water for them", "{rinses}*{tank_rinses.water@tank_steps.tank_no}", "volume",
               needs="rinses", twin=mul, takes="rinses tank_rinses.water@tank_steps.tank_no"),
        _of_step("too_many", "More than there is room for", "count"),
        # A product to mind has a wording: without any, rinses and names need not be looked at.
        working("state", "State",
                'IF(AND({wording}<>"",{outcome}="Review",{rinses}=""),"Not entered",'
                'IF(AND(SUM({too_many})=1,OR({outcome}="",{outcome}="OK")),"Review",{outcome}))', "status"),
        working("open_no", "Not entered so far", 'COUNTIF({state:upto},"Not entered")', "count"),
        check("status", "Status",
              'IF({state}<>"Not entered",{state},IF(OR({clean_farm.rows}>0,{open_no}=1),{state},""))',
              note="With no clean-out label typed at all, the first change of mix stands for all."),
        working("what", "What to do before it",
                'IF(OR({state}="",{state}="OK"),"",IF(AND({wording}<>"",{outcome}="Review"),IF({rinses}="",'
                '"liquid left in the sprayer not entered",'
                '"clean out "&{products}&", "&{rinses}&IF({rinses}=1," rinse"," rinses")),'
                'IF({outcome}="Not entered",{clean_steps.lacking@tank_steps.place},'
                '"more products left in the tank than the workbook lists, clean it out in full")))', "text"),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",IF({clean_farm.rows}=0,"No clean-out label is entered for '
              'any product: type them into Clean-out labels, on the tab Sprayer; build --with sprayer '
              'shows it",'
              '"Before "&{next_pass}&" on "&{next_field}&" ("&{next_crop}&"): "&{what}))', "long_text"),
        _of_step("wording", "Clean-out on the label", "long_text"),
        working("left", "Liquid left", "{tank_rinses.left@tank_steps.tank_no}", "volume",
                needs="tank_steps.tank_no"),
        result("fresh_area", "Rinsate covers",
               "({left}+{tank_rinses.water@tank_steps.tank_no})/{passes.carrier}", "area",
               needs="left passes.carrier",
               twin=trade.rinse_area, takes="left tank_rinses.water@tank_steps.tank_no passes.carrier",
               note="Of one rinse, at the carrier rate of the pass, on ground not sprayed yet that the label "
                    "allows."),
        working("silent", "Products without a label rate",
                f'COUNTIFS({OF_PASS},{{product_limits.needed:all}},1)-COUNTIFS({OF_PASS},'
                f'{{product_limits.needed:all}},1,{{product_limits.max_rate:all}},">=0")', "count",
                needs="fresh_area"),
        working("fits", "Share of an application that fits again",
                f"MAX(0,MIN(10,{_least_room('product_limits', 'mix_lines')},"
                f"{_least_room('pass_ingredients', 'pass_ingredients')})-1)", "factor", needs="fresh_area",
                twin=lambda products, ingredients: max(0.0,
                                                       min([10, *(each for each in (*products, *ingredients)
                                                                  if each != "")]) - 1), takes=_ROOMS,
                note="By the least room that products and ingredients have left, in the pass and in the "
                     "season."),
        result("again_area", "On ground sprayed already",
               'IF(OR({silent}>0,ROUND({fits},6)<=0),"",MAX({fresh_area},{left}/{passes.carrier}/{fits}))',
               "area", needs="fits",
               twin=lambda silent, *terms: "" if silent else trade.area_again(*terms),
               takes="silent left passes.carrier fresh_area fits",
               note="So much that the rinsate keeps within the labels there."),
        result("rinsate", "Rinsate",
               'IF({silent}>0,"rate of a label not entered, so nobody knows what ground sprayed already may '
               'take",IF({again_area}="","no room left on ground sprayed '
               'already",IF(ROUND({again_area}-SUM({pass_volumes.sprayed_area}),6)>0,"ground sprayed already '
               'is too small","")))', "text", needs="fits"),
    ),
    rows="as:passes",
    kind="result",
    caution=f"The order is that of the clock, as logged or else as planned. {CLEAN_CAUTION}",
)


TABLES = (
    RINSE_TERMS, CLEAN_OUT_LABELS, CLEAN_SEQUENCE, TANK_RINSES, RINSE_FACTS, CLEAN_LABEL_FACTS, CLEAN_FARM,
    CLEAN_PRODUCTS,
    CLEAN_ITEMS, CLEAN_STEPS, CLEAN_LINES,
)

CHECKS = (
    CheckKind("Clean-out", "clean_sequence", "status", "finding", rank=230),
)
