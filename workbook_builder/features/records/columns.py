"""Spray records: what the log says, what is still missing, and until when it must be kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import NOT_ENTERED, SETTING, Column, Table
from workbook_builder.core.rounding import rounded
from workbook_builder.core.short import check, place, result, slot_number, working
from workbook_builder.features.as_logged.columns import logged
from workbook_builder.features.clock.columns import by_the_clock
from workbook_builder.features.clock.definitions import CLOCK_CELLS, clock_of
from workbook_builder.features.loads.lines import counted, line_number
from workbook_builder.features.records import definitions as trade
from workbook_builder.features.records.inputs import AMOUNTS_USED, RECORD_CAUTION, SPRAY_LOG

LOG_FACTS = Table(
    "log_facts",
    "Spray log workings",
    "When each logged application started and ended.",
    (
        working("key", "Pass and field", '{spray_log.pass}&"|"&{spray_log.field}', "text",
                needs="spray_log.pass"),
        working("start", "Start", "{spray_log.date}+SUM({spray_log.start_time})", "moment",
                needs="spray_log.date",
                twin=lambda date, time: date + (time or 0), takes="spray_log.date spray_log.start_time"),
        place("pass_row", "Pass row", "key", "pass_volumes.key"),
        working("begun", "Start time, logged or else planned",
                'IF({spray_log.start_time}<>"",{spray_log.start_time},IF({pass_row}="","",'
                'IF({passes.start_time@pass_row}="","",{passes.start_time@pass_row})))', "time"),
        working("overnight", "Ends the next day",
                'IF(OR({begun}="",{spray_log.end_time}=""),0,IF({spray_log.end_time}<{begun},1,0))', "count",
                note="Without a logged start, an end before the planned one is taken as the next day's, so "
                     "that re-entry is not told too early."),
        working("typed_day", "Last day as typed",
                'IF({spray_log.end_date}="",{spray_log.date}+{overnight},{spray_log.end_date})', "date",
                needs="spray_log.date",
                twin=trade.last_day, takes="spray_log.date spray_log.end_date overnight"),
        working("backward", "Ends before it starts",
                'IF({typed_day}="",0,IF(OR({typed_day}<{spray_log.date},AND({spray_log.end_time}<>"",'
                '{typed_day}+SUM({spray_log.end_time})<{start})),1,0))', "count",
                twin=trade.ends_before_start, takes="typed_day spray_log.date start spray_log.end_time",
                note="Such an end is not used: it would let people in too early."),
        working("end_day", "Last day", "MAX({typed_day},{spray_log.date})", "date", needs="typed_day"),
        working("end", "End", 'IF({backward}=1,"",{typed_day}+{spray_log.end_time})', "moment",
                needs="typed_day spray_log.end_time",
                twin=lambda day, time, backward: "" if backward else day + time,
                takes="typed_day spray_log.end_time backward"),
    ),
    rows="as:spray_log",
    kind="working",
    sheet="Workings records",
)

USED_FACTS = Table(
    "used_facts",
    "Amounts used workings",
    "Lookup keys of the amounts used.",
    (
        working("pass_row", "Pass row",
                'IFERROR(MATCH({amounts_used.pass}&"|"&{amounts_used.field},{pass_volumes.key:all},0),"")',
                needs="amounts_used.pass amounts_used.product"),
        working("key", "Row of the pass, and product", '{pass_row}&"|"&{amounts_used.product}', "text",
                needs="pass_row", note="Three names joined may be longer than a lookup finds."),
    ),
    rows="as:amounts_used",
    kind="working",
    sheet="Workings records",
)

RECORD_LINES = Table(
    "record_lines",
    "Record amounts",
    "Total amount of each product of each pass, before dilution: measured, from the volume sprayed, or still "
    "the planned one.",
    (
        result("pass", "Pass", "{mix_lines.pass}", "name", needs="product"),
        result("field", "Field", "{mix_lines.field}", "name", needs="product"),
        result("product", "Product", "{mix_lines.product}", "name"),
        result("registration_no", "Registration no.", '{products.registration_no@mix_lines.product_row}&""',
               "text", needs="mix_lines.product_row"),
        working("restricted", "Restricted use",
                'IF({mix_lines.product_row}="",0,{product_facts.restricted@mix_lines.product_row})', "count"),
        working("no_number", "Pesticide without a number",
                'IF({product}="",0,IF(AND({product_limits.needed}=1,{registration_no}=""),1,0))', "count"),
        result("amount_used", "Amount",
               'IF({applied_lines.amount}="",{mix_lines.amount_total},{applied_lines.amount})',
               needs="product"),
        result("amount_unit", "Unit", "{mix_lines.amount_unit}", "unit_label"),
        result("basis", "Where it comes from",
               'IF({applied_lines.amount}="","planned",IF({applied_lines.measured}="","from the volume '
               'sprayed","measured"))', "text", needs="amount_used"),
        working("planned_only", "Still the planned amount",
                'IF({product}="",0,IF(OR({basis}="planned",{basis}=""),1,0))', "count"),
    ),
    rows="as:mix_lines",
    kind="result",
    caution=RECORD_CAUTION,
)


_MISSING = "&".join('IF(AND(%s),", %s","")' % part for part in (
    ('{spot}=0,{area_treated}=""', "area"),
    ('{spot}=0,{crop}=""', "crop"),
    ('{spot}=1,{site}=""', "description of the spot"),
    ('{spot}=0,{applicator}=""', "applicator"),
    ('{spot}=0,{restricted}="yes",{certificate}=""', "certificate no."),
    ('{spot}=0,{restricted}="yes",{customer}<>"",{site}=""', "location"),
    ('{restricted}="yes",{customer}<>"",{start_typed}=""', "time of the application"),
    (counted("record_lines.no_number", 1) + ">0", "registration no."),
    (counted("record_lines.planned_only", 1) + ">0", "amounts used"),
))


#: How the day that a posting counts from is told: the end of re-entry, or the end of work where there is
#: none.
_POSTED = "end intervals.reentry_status intervals.reentry_at"


def _posted(count: Callable[[float, Any], int], end: float, reentry_status: str, reentry_at: Any,
            span: Any) -> Any:
    return "" if reentry_status == NOT_ENTERED else count(end if reentry_at == "" else reentry_at, span)


def _late(done: Any, due: Any) -> float:
    return 0 if "" in (done, due) else trade.days_after(done, due)


RECORDS = Table(
    "records",
    "Records",
    "One line per pass and field: what the spray log holds, what is missing, and the dates a record and a "
    "posting must keep.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("sprayed_on", "Sprayed on", "{pass_times.log_day}", "date"),
        result("start", "Start", "{pass_times.start}", "moment", needs="sprayed_on"),
        result("end", "End", "{pass_times.end}", "moment", needs="sprayed_on",
               note="Planned hours after the start, or midnight, until the end is logged."),
        result("crop", "Crop", "{pass_volumes.crop}", "name"),
        result("area_treated", "Area treated", "{as_logged.area}", "area",
               note="The whole block where nothing is typed.",
               source="7 CFR 110.3(a)(3); SDSU pesticide record page"),
        logged("applicator", "Applicator", "applicator", "name", result),
        logged("certificate", "Certificate no.", "certificate", "text", result),
        logged("supervised_person", "Applied by, not certified", "supervised_person", "name", result,
               note="Under the supervision of the certified applicator.",
               source="40 CFR 171.303(b)(7), second hand"),
        logged("site", "Location", "site", "text"),
        logged("start_typed", "Start typed", "start_time", "time"),
        logged("customer", "Customer", "customer", "text"),
        result("restricted", "Restricted use", 'IF(%s>0,"yes","no")' % counted("record_lines.restricted", 1),
               "text", needs="pass"),
        working("spot_area", "Restricted area typed",
                'IF(AND({restricted}="yes",{area_treated}<>""),{area_treated},0)', "area"),
        working("day_area", "Restricted area of the day",
                "SUMIF({sprayed_on:all},{sprayed_on},{spot_area:all})", "area", needs="sprayed_on"),
        working("spot", "Spot record will do",
                'IF(OR({as_logged.area_typed}="",{restricted}<>"yes"),0,IF(ROUND({day_area}*acres_per_area,'
                '6)<spot_record_acres,1,0))', "count",
                twin=lambda typed, restricted, *day: int(typed != "" and restricted == "yes"
                                                         and trade.spot_record_will_do(*day)),
                takes="as_logged.area_typed restricted day_area factors.acres_per_area "
                      "assumptions.spot_record_acres",
                source="7 CFR 110.3(b): less than one tenth of an acre on the same day"),
        result("record_kind", "Record",
               'IF({restricted}="no","own record",IF({spot}=1,"spot record","full record"))', "text",
               needs="sprayed_on",
               source="7 CFR 110.3 asks for records of restricted-use products; states may ask for all"),
        working("missing_list", "Missing elements", _MISSING, "text", needs="sprayed_on"),
        result("missing", "Missing", 'MID({missing_list},3,250)', "long_text", width=17,
               source="7 CFR 110.3(a)(1)-(5); for commercial work 40 CFR 171.303(b)(7), second hand"),
        result("due_date", "Record due", "{sprayed_on}+record_days", "date", needs="sprayed_on",
               twin=trade.record_due, takes="sprayed_on assumptions.record_days", source="7 CFR 110.3(c)"),
        logged("written_on", "Written on", "written_on", "date", result),
        result("keep_until", "Keep until", "EDATE({sprayed_on},12*record_years)", "date", needs="sprayed_on",
               twin=trade.keep_until, takes="sprayed_on assumptions.record_years", source="7 CFR 110.3(c)"),
        result("copy_due", "Copy to customer by", "{sprayed_on}+copy_days", "date",
               needs="sprayed_on customer",
               twin=lambda day, days: day + (days or 0), takes="sprayed_on assumptions.copy_days",
               source="7 CFR 110.3, from memory; 40 CFR 171.303(b)(7), second hand"),
        logged("copy_given_on", "Copy given", "copy_given_on", "date", result),
        result("display_by", "Post at the central place by", by_the_clock("({pass_times.end_utc}+1)"),
               "moment", needs="end",
               twin=lambda end, *clock: clock_of(*clock).shown(end + 1),
               takes=f"pass_times.end_utc {CLOCK_CELLS}", source="40 CFR 170.311(b)(5), from memory"),
        result("display_until", "Leave posted through",
               'IF({intervals.reentry_status}="Not entered","",INT(IF({intervals.reentry_at}="",{end},'
               '{intervals.reentry_at}))+display_days)', "date", needs="end",
               twin=lambda *posted: _posted(trade.display_until, *posted),
               takes=f"{_POSTED} assumptions.display_days",
               note="Until then, or until the workers have gone.", source="40 CFR 170.311(b)"),
        result("signs_down_by", "Signs down by", 'IF({intervals.signs}=0,"",{intervals.reentry_at}+3)',
               "moment", needs="end intervals.reentry_at",
               twin=lambda signs, reentry: reentry + 3 if signs else "",
               takes="intervals.signs intervals.reentry_at", source="40 CFR 170.409(b)"),
        result("display_keep_until", "Keep posting record until",
               'IF({intervals.reentry_status}="Not entered","",EDATE(INT(IF({intervals.reentry_at}="",{end},'
               '{intervals.reentry_at})),12*record_years))', "date", needs="end",
               twin=lambda *posted: _posted(trade.keep_until, *posted),
               takes=f"{_POSTED} assumptions.record_years", source="40 CFR 170.311(b)(6), from memory"),
        working("days_late", "Days late",
                'IF(OR({due_date}="",{written_on}=""),0,MAX(0,{written_on}-{due_date}))', "days", twin=_late,
                takes="written_on due_date"),
        working("copy_late", "Copy days late",
                'IF(OR({copy_due}="",{copy_given_on}=""),0,MAX(0,{copy_given_on}-{copy_due}))', "days",
                twin=_late, takes="copy_given_on copy_due"),
        working("left", "Left to spray",
                'IF(ROUND(SUM({order_volumes.to_do}),6)=0,"",{order_volumes.to_do}*SUM({pass_volumes.area}))',
                "area", needs="sprayed_on",
                twin=lambda to_do, area: to_do * (area or 0) if rounded(to_do, 6) else "",
                takes="order_volumes.to_do pass_volumes.area"),
        working("to_spray", "What is left to do", 'ROUND(ROUND({left},6),1)&" "&area_name&" left to spray"',
                "text", needs="left"),
        working("of_record", "What the record is short of",
                'IF({missing}<>"","Record lacks: "&{missing},IF({days_late}>0,"Record written "&{days_late}'
                '&" days late",'
                'IF({copy_late}>0,"Copy given "&{copy_late}&" days late","")))', "text", needs="sprayed_on"),
        check("finding", "Finding",
              'IF({of_record}&{to_spray}&{as_logged.doubts}="","",MID(IF({of_record}="","",";'
              ' "&{of_record})&IF({to_spray}="","","; "&{to_spray})&{as_logged.doubts},3,600))',
              "long_text"),
        check("status", "Status",
              'IF({finding}="",IF({sprayed_on}="","","OK"),IF(AND({missing}<>"",{restricted}="yes"),'
              '"Not entered","Review"))'),
    ),
    rows="as:passes",
    kind="result",
    caution=RECORD_CAUTION,
)

RECORD_CHOICE = Table(
    "record_choice",
    "Spray record",
    "Choose pass and field; the sheet fills what is known and leaves lines for the rest.",
    (
        Column("pass", "Pass", "name", SETTING, choices="cost_pass_names.pass", note="Choose the pass."),
        Column("field", "Field", "name", SETTING, choices="fields.field", note="Choose the field."),
    ),
    rows="form",
    kind="setting",
    sheet="Spray record",
    caution=RECORD_CAUTION,
)

LINE = "____________"


def _or_line(key: str, header: str, token: str, quantity: str, **more: Any) -> Column:
    """What is known of the pass chosen, or a line to write on."""
    return result(key, header, f'IF({{{token}@row}}&""="","{LINE}",{{{token}@row}})', quantity,
                  needs="row", **more)


def _logged(key: str, header: str, logged: str, quantity: str, **more: Any) -> Column:
    """What the log says of the pass chosen, or a line to write on."""
    cell = f"spray_log.{logged}@log_row"
    return result(key, header, f'IF({{log_row}}="","{LINE}",IF({{{cell}}}&""="","{LINE}",{{{cell}}}))',
                  quantity, needs="row", **more)


RECORD_SHEET = Table(
    "record_sheet",
    "Record of one application",
    "Known figures are filled in; lines are to be filled by hand and typed into the spray log.",
    (
        working("row", "Row of the pass",
                'IFERROR(MATCH({record_choice.pass}&"|"&{record_choice.field},{pass_volumes.key:all},0),"")',
                needs="record_choice.pass"),
        working("log_row", "Row in the spray log", "{pass_times.log_row@row}", needs="row"),
        check("found", "Found", 'IF({row}="","Review: no such pass on that field","OK")', "text"),
        result("farm", "Farm", '{farm.farm}&""', "name"),
        _logged("customer", "Customer and address", "customer", "text", note="Commercial work only."),
        _logged("site", "Location", "site", "text",
                note="Legal description, field number, map or written description."),
        _or_line("crop", "Crop or site", "pass_volumes.crop", "text"),
        _or_line("field_area", "Size of the field", "pass_volumes.area", "area"),
        _logged("area", "Area treated", "area_treated", "area"),
        _or_line("planned_date", "Planned date", "passes.date", "date"),
        _logged("date", "Date sprayed", "date", "date", note="Month, day and year."),
        _logged("start_time", "Start", "start_time", "time"),
        _logged("end_time", "End", "end_time", "time"),
        _logged("volume", "Volume sprayed", "volume_sprayed", "volume"),
        _logged("wind_start", "Wind at start", "wind_start", "speed"),
        _logged("wind_from_start", "Wind from, at start", "wind_from_start", "text"),
        _logged("wind_end", "Wind at end", "wind_end", "speed"),
        _logged("wind_from_end", "Wind from, at end", "wind_from_end", "text"),
        _logged("temperature_start", "Temperature at start", "temperature_start", "temperature"),
        _logged("temperature_end", "Temperature at end", "temperature_end", "temperature"),
        _logged("humidity", "Relative humidity", "humidity", "percent", digits=0),
        _logged("applicator", "Applicator", "applicator", "text"),
        _logged("certificate", "Certificate no.", "certificate", "text"),
        _logged("supervised_person", "Applied by, not certified", "supervised_person", "text",
                note="Under the supervision of the certified applicator."),
        _or_line("rei_hours", "Re-entry interval", "intervals.rei_told", "hours", digits=0),
        _or_line("reentry_at", "Re-entry from", "intervals.reentry_at", "moment",
                 note="Planned until the end is logged."),
        _or_line("due_date", "Record due", "records.due_date", "date", note="14 days after the application."),
        _or_line("keep_until", "Keep until", "records.keep_until", "date"),
        _or_line("display_until", "Leave posted through", "records.display_until", "date"),
        result("signature", "Signature", f'"{LINE}"', "text", needs="row"),
    ),
    rows="form",
    kind="result",
    sheet="Spray record",
)

RECORD_SHEET_LINES = Table(
    "record_sheet_lines",
    "Products",
    "Total amount of product before dilution.",
    (
        slot_number(),
        working("line_row", "Row", 'IF({slot}>{pass_volumes.lines@record_sheet.row},"",%s)'
                % line_number("pass_volumes.lines_before@record_sheet.row", "{slot}"),
                needs="record_sheet.row"),
        result("product", "Product", "{record_lines.product@line_row}", "name", needs="line_row"),
        result("registration_no", "Registration no.", "{record_lines.registration_no@line_row}", "text",
               needs="line_row"),
        result("planned", "Planned", "{mix_lines.amount_total@line_row}", needs="line_row"),
        result("unit", "Unit", "{mix_lines.amount_unit@line_row}", "unit_label", needs="line_row"),
        result("used", "Used",
               'IF({record_lines.planned_only@line_row}=1,"%s",{record_lines.amount_used@line_row})' % LINE,
               needs="line_row product", width=16),
    ),
    rows="list:products",
    kind="result",
    sheet="Spray record",
)

TABLES = (RECORD_CHOICE, RECORD_SHEET, RECORD_SHEET_LINES, SPRAY_LOG, AMOUNTS_USED, RECORDS, RECORD_LINES,
          LOG_FACTS, USED_FACTS)

CHECKS = (
    CheckKind("Spray record", "records", "status", "finding", rank=290),
)
