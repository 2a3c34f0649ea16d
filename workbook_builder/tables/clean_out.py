"""Tank clean-out: rinses of each tank, and what follows each mix in the same tank."""

from __future__ import annotations

from workbook_builder.columns import Table
from workbook_builder.tables.inputs_clean_out import CLEAN_CAUTION
from workbook_builder.tables.short import check, result, row_number, slot_number, working, worst_status

SHEET = "Workings clean-out"
MASS_BALANCE = "mass balance, full mixing: left after n rinses = 1/(1+V/r)^n"

RINSE_FACTS = Table(
    "rinse_facts",
    "Rinse term workings",
    "Lookup key of each row of the rinse terms.",
    (working("key", "Key", 'IF({rinse_terms.sprayer}="","",{rinse_terms.sprayer}&"|"&{rinse_terms.tank})', "text"),),
    rows="as:rinse_terms",
    kind="working",
    sheet=SHEET,
)

CLEAN_LABEL_FACTS = Table(
    "clean_label_facts",
    "Clean-out label workings",
    "Lookup key of each row of the clean-out labels.",
    (
        working("key", "Key",
                'IF({clean_out_labels.product}="","",{clean_out_labels.product}&"|"&IF(OR({clean_out_labels.next_crop}="",{clean_out_labels.next_crop}="any"),"any",{clean_out_labels.next_crop}))',
                "text"),
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

CLEAN_ITEMS = Table(
    "clean_items",
    "Mix and product workings",
    "One number for each product of each mix, to see whether the next mix holds it too.",
    (working("key", "Mix and product", 'IF({mix_items.product_row}="","",{mix_list.row_no}*10000+{mix_items.product_row})'),),
    rows="as:mix_items",
    kind="working",
    sheet=SHEET,
)


def _rinses(dilution: str) -> str:
    """Whole rinses until one part is left in `dilution` parts."""
    return f'0-INT(0-ROUND(LN({dilution})/LN(1+{{ratio}}),6))'


def _term(key: str) -> str:
    return 'IF({terms_row}="",0,SUM(INDEX({rinse_terms.%s:all},{terms_row})))' % key


TANK_RINSES = Table(
    "tank_rinses",
    "Tank rinses",
    "How far each rinse dilutes what is left in a tank, and what many small rinses do that one big rinse does not.",
    (
        slot_number("No."),
        result("sprayer", "Sprayer", 'IF({volume}="","",{sprayers.sprayer})', "name"),
        result("tank", "Tank", 'IF({volume}="","",IF({slot}=1,"main","spot"))', "text"),
        result("volume", "Tank holds",
               'IF({sprayers.sprayer}="","",IF({slot}=1,IF(SUM({sprayers.main_tank})=0,"",{sprayers.main_tank}),IF(SUM({sprayers.spot_tank})=0,"",{sprayers.spot_tank})))', "volume"),
        working("terms_row", "Row of the rinse terms", 'IF({volume}="","",IFERROR(MATCH({sprayer}&"|"&{tank},{rinse_facts.key:all},0),""))'),
        working("left_typed", "Liquid left, typed", _term("left_volume"), "volume"),
        working("water_typed", "Rinse water, typed", _term("rinse_water"), "volume"),
        result("left", "Liquid left",
               'IF({volume}="","",IF({left_typed}>0,{left_typed},IF(SUM({sprayers.unusable_volume})=0,"",{sprayers.unusable_volume})))', "volume",
               note="As typed, or the unusable volume of the sprayer."),
        result("water", "Water of one rinse", 'IF({volume}="","",IF({water_typed}>0,{water_typed},rinse_share*{volume}))', "volume"),
        working("ratio", "Rinse water over liquid left", 'IF(OR({volume}="",{left}=""),"",{water}/{left})', "factor", source=MASS_BALANCE),
        result("after_1", "After one rinse, one part in", 'IF({ratio}="","",1+{ratio})', "number", digits=0, source=MASS_BALANCE),
        result("after_2", "After two, one part in", 'IF({ratio}="","",POWER(1+{ratio},2))', "number", digits=0, source=MASS_BALANCE),
        result("after_3", "After three, one part in", 'IF({ratio}="","",POWER(1+{ratio},3))', "number", digits=0, source=MASS_BALANCE),
        result("one_big", "Same water in one rinse, one part in", 'IF({ratio}="","",1+3*{ratio})', "number", digits=0,
               note="The water of three rinses put in at once.", source=MASS_BALANCE),
        result("times_cleaner", "Three rinses are cleaner, times", 'IF({ratio}="","",{after_3}/{one_big})', "number", digits=1),
        result("routine_rinses", "Rinses between mixes", 'IF({ratio}="","",' + _rinses("routine_dilution") + ")", "count", width=17),
        result("routine_water", "Their water", 'IF({routine_rinses}="","",{routine_rinses}*{water})', "volume"),
        result("sensitive_rinses", "Rinses before a sensitive crop", 'IF({ratio}="","",' + _rinses("clean_dilution") + ")", "count", width=17),
        result("sensitive_water", "Their water", 'IF({sensitive_rinses}="","",{sensitive_rinses}*{water})', "volume"),
        result("reached", "Leaves one part in", 'IF({sensitive_rinses}="","",POWER(1+{ratio},{sensitive_rinses}))', "number", digits=0),
        working("carried", "Clean water carried", _term("clean_water"), "volume"),
        check("status", "Status",
              'IF({volume}="","",IF({left}="","Not entered",IF({left}+{water}>{volume},"Review",IF(AND({carried}>0,{sensitive_water}>{carried}),"Review","OK"))))'),
        check("finding", "Finding",
              'IF({status}="Not entered","Liquid left in the sprayer not entered",IF({status}="Review",IF({left}+{water}>{volume},"One rinse is more than the tank holds",'
              '"Clean water carried is not enough for the rinses before a sensitive crop"),""))', "long_text"),
    ),
    rows="under:sprayers:tanks",
    kind="result",
    caution=f"Full mixing is assumed; valves, filters and boom ends hold more. {CLEAN_CAUTION}",
)


def _of_next(column: str) -> str:
    return 'IF({next_row}="","",INDEX({%s:all},{next_row}))' % column


CLEAN_STEPS = Table(
    "clean_steps",
    "Sequence workings",
    "Each pass's tank and time, and the pass that follows in that tank.",
    (
        working("tank_no", "Tank number",
                'IF(OR({pass_volumes.tank}="",{pass_volumes.sprayer_row}=""),"",({pass_volumes.sprayer_row}-1)*2+IF({pass_volumes.spot_tank}>0,2,1))'),
        working("order", "Time order",
                'IF(OR({tank_no}="",{pass_volumes.mix_no}="",{pass_volumes.pass}="",{pass_times.start}=""),"",ROUND({pass_times.start}*86400,0)*10000+{pass_rows.row_no})', "count"),
        working("next_order", "Next in the tank",
                'IF({order}="","",IFERROR(_xlfn.MINIFS({order:all},{tank_no:all},{tank_no},{order:all},">"&{order}),0))', "count"),
        working("next_row", "Row of the next pass", 'IF(SUM({next_order})=0,"",MATCH({next_order},{order:all},0))'),
        working("next_mix_no", "Number of the next mix", _of_next("pass_volumes.mix_no")),
        working("crop_on", "Crop it goes on", 'IF({pass_volumes.pass}="","",IF(AND({pass_crops.turn}=2,{pass_crops.standing}=0),"fallow",{pass_volumes.crop}))', "name",
                note="Ground sprayed after harvest counts as fallow until the next crop is planted."),
        working("next_crop", "Crop the next one goes on", 'IF({next_row}="","",INDEX({crop_on:all},{next_row})&"")', "name"),
        working("new_mix", "The mix changes", 'IF({next_row}="","",IF({next_mix_no}={pass_volumes.mix_no},0,1))', "count"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)

_LABEL = 'IF({row}="","",INDEX({clean_out_labels.%s:all},{row})&"")'

CLEAN_LINES = Table(
    "clean_lines",
    "Product workings",
    "Each product of each pass against the crop that the next mix in the tank goes on.",
    (
        working("held", "Next mix holds it too",
                'IF({mix_lines.product}="","",IF({clean_steps.new_mix}=1,IF({mix_lines.product_row}="",0,MIN(1,COUNTIF({clean_items.key:all},{clean_steps.next_mix_no}*10000+{mix_lines.product_row}))),""))', "count"),
        working("next_crop", "Next crop", 'IF({counts}=1,{clean_steps.next_crop},"")', "name"),
        working("counts", "Counts", 'IF({held}="",0,IF({held}>0,0,1))', "count"),
        working("row", "Label row",
                'IF({counts}=0,"",IFERROR(MATCH({mix_lines.product}&"|"&{next_crop},{clean_label_facts.key:all},0),'
                'IF({next_crop}="fallow","",IFERROR(MATCH({mix_lines.product}&"|any",{clean_label_facts.key:all},0),""))))'),
        working("sensitive", "Sensitive", _LABEL % "sensitive", "text"),
        working("wording", "Wording", _LABEL % "wording", "text"),
        working("typed", "Dilution typed", 'IF({row}="","",IF(INDEX({clean_out_labels.wanted_dilution:all},{row})="","",INDEX({clean_out_labels.wanted_dilution:all},{row})))', "number"),
        working("status", "Status",
                'IF({counts}=0,"",IF({row}="",IF({next_crop}="fallow","OK",IF({product_limits.needed}=1,"Not entered","")),'
                'IF({sensitive}="no","OK",IF(OR({sensitive}<>"yes",{wording}=""),"Not entered","Review"))))', "status"),
        working("dilution", "Wanted dilution", 'IF(OR({status}="",{status}="OK"),"",IF({typed}="",clean_dilution,{typed}))', "number"),
        working("names_before", "Products so far, before it", 'IF({mix_lines.slot}=1,"",{names_so_far:above}&"")', "text"),
        working("names_so_far", "Products to mind so far",
                'IF(OR({status}="Review",{status}="Not entered"),{names_before}&IF({names_before}="","",", ")&{mix_lines.product},{names_before})', "text"),
        working("words_before", "Wording so far, before it", 'IF({mix_lines.slot}=1,"",{words_so_far:above}&"")', "text"),
        working("words_so_far", "Wording so far",
                'IF({status}="Review",{words_before}&IF({words_before}="",""," / ")&{mix_lines.product}&": "&{wording},{words_before})', "text"),
        working("lacking", "What is not entered",
                'IF({status}<>"Not entered","",IF({row}="","not on Clean-out labels",IF({sensitive}="yes","clean-out wording not entered","sensitive or not is not entered")))', "text"),
    ),
    rows="as:mix_lines",
    kind="working",
    sheet=SHEET,
)

_STATUSES = "{clean_lines.status:block}"

CLEAN_SEQUENCE = Table(
    "clean_sequence",
    "Clean-out sequence",
    "What each tank holds next: the pass that follows in it, the crop that goes on, and the rinses in between.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("mix", "Mix", 'IF({pass}="","",{passes.mix}&"")', "name"),
        result("sprayer", "Sprayer", 'IF({pass}="","",{passes.sprayer}&"")', "name"),
        result("tank", "Tank", 'IF({clean_steps.tank_no}="","",INDEX({tank_rinses.tank:all},{clean_steps.tank_no}))', "text"),
        working("next_row", "Row of the next pass", "{clean_steps.next_row}"),
        result("change", "Then", 'IF({clean_steps.order}="","",IF({next_row}="","last in this tank",IF({clean_steps.new_mix}=0,"same mix","new mix")))', "text"),
        result("next_pass", "Next pass", _of_next("pass_volumes.pass"), "name"),
        result("next_field", "Next field", _of_next("pass_volumes.field"), "name"),
        result("next_day", "On", _of_next("pass_times.day"), "date"),
        result("next_mix", "Next mix", 'IF({next_row}="","",INDEX({passes.mix:all},{next_row})&"")', "name"),
        result("next_crop", "Next crop", "{clean_steps.next_crop}", "name", note="Ground sprayed after harvest counts as fallow."),
        working("outcome", "Worst of its products", worst_status(_STATUSES), "status"),
        result("sensitive", "Traces hurt it", 'IF({outcome}="","",IF({outcome}="Review","yes",IF({outcome}="OK","no","Not entered")))', "text"),
        working("first", "First of them", 'IF(OR({outcome}="",{outcome}="OK"),"",MATCH({outcome},%s,0))' % _STATUSES),
        result("products", "Products to mind", "INDEX({clean_lines.names_so_far:block},{room.products})", "long_text", width=42),
        result("wanted", "Wanted dilution, one part in",
               'IF(SUM({clean_steps.new_mix})=0,"",IF(COUNT({clean_lines.dilution:block})=0,routine_dilution,MAX({clean_lines.dilution:block})))', "number", digits=0),
        working("ratio", "Rinse water over liquid left", 'IF({clean_steps.tank_no}="","",INDEX({tank_rinses.ratio:all},{clean_steps.tank_no}))', "factor"),
        result("rinses", "Rinses", 'IF(OR({wanted}="",{ratio}=""),"",' + _rinses("{wanted}") + ")", "count", source=MASS_BALANCE),
        result("water", "Water for them", 'IF({rinses}="","",{rinses}*INDEX({tank_rinses.water:all},{clean_steps.tank_no}))', "volume"),
        working("state", "State", 'IF(AND({outcome}="Review",{rinses}=""),"Not entered",{outcome})', "status"),
        working("open_no", "Not entered so far", 'COUNTIF({state:upto},"Not entered")', "count"),
        check("status", "Status", 'IF({state}<>"Not entered",{state},IF(OR({clean_farm.rows}>0,{open_no}=1),{state},""))',
              note="With no clean-out label typed at all, the first change of mix stands for all."),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",IF({clean_farm.rows}=0,"No clean-out label is entered for any product: see the sheet Clean-out labels",'
              '"Before "&{next_pass}&" on "&{next_field}&" ("&{next_crop}&"): "&IF({outcome}="Review",IF({rinses}="","liquid left in the sprayer not entered",'
              '"clean out "&{products}&", "&{rinses}&IF({rinses}=1," rinse"," rinses")),INDEX({mix_lines.product:block},{first})&" "&INDEX({clean_lines.lacking:block},{first}))))', "long_text", width=100),
        working("wording", "Clean-out on the label", "INDEX({clean_lines.words_so_far:block},{room.products})", "long_text"),
        working("crop_row", "First row of the next crop", 'IF({next_crop}="",9999,MATCH({next_crop},{next_crop:all},0))'),
        working("warn_key", "Warning key", 'IF(OR({status}="",{status}="OK"),"",{crop_row}*10000+{pass_rows.row_no})'),
    ),
    rows="as:passes",
    kind="result",
    caution=f"Only the next mix is looked at, and planned times decide which it is. {CLEAN_CAUTION}",
)

_FETCH = 'IF({row}="","",INDEX({clean_sequence.%s:all},{row}))'

CLEAN_WARNINGS = Table(
    "clean_warnings",
    "Clean-out",
    "Before which crop which tank must be cleaned out, crop by crop; the list refills by itself.",
    (
        row_number(),
        result("next_crop", "Next crop", _FETCH % "next_crop", "name"),
        check("status", "Status", _FETCH % "status"),
        result("sprayer", "Sprayer", _FETCH % "sprayer", "name"),
        result("tank", "Tank", _FETCH % "tank", "text"),
        result("mix", "After this mix", _FETCH % "mix", "name"),
        result("products", "Products to mind", _FETCH % "products", "long_text", width=42),
        result("rinses", "Rinses", _FETCH % "rinses", "count"),
        result("water", "Water for them", _FETCH % "water", "volume"),
        result("next_day", "Before", _FETCH % "next_day", "date"),
        result("next_pass", "Pass", _FETCH % "next_pass", "name"),
        result("next_field", "On field", _FETCH % "next_field", "name"),
        result("wanted", "Wanted dilution, one part in", _FETCH % "wanted", "number", digits=0),
        result("done", "Done", 'IF({row}="","","[  ]")', "text", width=8),
        result("wording", "Clean-out on the label", _FETCH % "wording", "long_text", width=128),
        working("key", "Warning key", 'IF({row_no}>COUNT({clean_sequence.warn_key:all}),"",SMALL({clean_sequence.warn_key:all},{row_no}))'),
        working("row", "Row of the pass", 'IF({key}="","",MOD({key},10000))'),
    ),
    rows="as:passes",
    kind="result",
    caution=CLEAN_CAUTION,
)

CLEAN_OUT_TABLES = (CLEAN_WARNINGS, CLEAN_SEQUENCE, TANK_RINSES, RINSE_FACTS, CLEAN_LABEL_FACTS, CLEAN_FARM, CLEAN_ITEMS, CLEAN_STEPS, CLEAN_LINES)
