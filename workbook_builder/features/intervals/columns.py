"""Re-entry, harvest, grazing, rain-free and plant-back intervals."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.core.short import check, result, working
from workbook_builder.features.clock.columns import by_the_clock, minute_of, moment_text
from workbook_builder.features.labels.columns import strictest_of
from workbook_builder.features.reentry.columns import ENTRY_COLUMNS, REENTRY_TABLES

LATE = "Start time or work rate not entered: re-entry counts from midnight at the end of the day or later"
BACKWARD = "The logged end lies before its start and is not used: re-entry counts from midnight at the end of the day"

_PRODUCT = 'IF({mix_lines.product_row}="","",INDEX({product_facts.%s:all},{mix_lines.product_row}))'
_FLAG = 'IF({mix_lines.product_row}="",0,INDEX({product_facts.%s:all},{mix_lines.product_row}))'
_MISSING = 'IF({product_limits.needed}=1,IF({%s}="",1,0),0)'


def _label(key: str) -> str:
    """The longest interval on the label for the crop of the pass."""
    return strictest_of("label_facts", key, "product_limits.")


LINE_INTERVALS = Table(
    "line_intervals",
    "Interval workings",
    "Label intervals of each product of each pass.",
    (
        working("rei", "Re-entry hours", _PRODUCT % "rei", "hours"),
        working("rain", "Rain-free hours", _PRODUCT % "rain", "hours"),
        working("phi", "Preharvest days", _label("phi_days"), "days"),
        working("grazing", "Grazing days", _label("grazing_days"), "days"),
        working("signs", "Label wants signs", _FLAG % "signs", "count"),
        working("spoken", "Label wants word of mouth", _FLAG % "spoken", "count"),
        working("rei_missing", "Re-entry missing", _MISSING % "rei", "count"),
        working("rain_missing", "Rain-free missing", _MISSING % "rain", "count"),
        working("phi_missing", "Preharvest missing", _MISSING % "phi", "count"),
        working("grazing_missing", "Grazing missing", _MISSING % "grazing", "count"),
    ),
    rows="as:mix_lines",
    kind="working",
    sheet="Workings passes",
)


def _names(key: str) -> str:
    """First product whose figure is missing, and how many more there are."""
    block = "{line_intervals.%s:block}" % key
    return (
        'IF(SUM(%s)=0,"",INDEX({mix_lines.product:block},MATCH(1,%s,0))&IF(SUM(%s)>1," and "&(SUM(%s)-1)&" more",""))'
        % (block, block, block, block)
    )


def _longest(key: str) -> str:
    return 'IF(COUNT({line_intervals.%s:block})=0,"",MAX({line_intervals.%s:block}))' % (key, key)


INTERVALS = Table(
    "intervals",
    "Intervals",
    "When people may go back in, when the crop may be cut or grazed, and how long it must stay dry.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("end", "End of application", "{pass_times.end}", "moment"),
        result("rei_hours", "Longest re-entry interval", _longest("rei"), "hours", digits=0, source="40 CFR 170.407(c): the longest of the mix"),
        working("rei_missing", "Re-entry missing for", _names("rei_missing"), "name"),
        working("rei_told", "Re-entry interval told", 'IF({rei_missing}<>"","",{rei_hours})', "hours", digits=0,
                note="Blank while a product of the mix lacks its interval: the longest of the others may be too short."),
        working("place", "Place in the order of its field", 'IF({reentry_spans.order}="","",MATCH({pass_rows.row_no},{field_sequence.row:all},0))'),
        working("doubt_row", "Not known because of pass", 'IF({place}="","",INDEX({field_sequence.open_doubt:all},{place}))'),
        working("open_utc", "Field opens, universal time",
                'IF({place}="","",IF({doubt_row}<>"","",IF(OR({rei_hours}<>"",ROUND(INDEX({field_sequence.open_at:all},{place})-{pass_times.end_utc},6)>0),INDEX({field_sequence.open_at:all},{place}),"")))', "moment"),
        result("reentry_at", "Re-entry from", 'IF({open_utc}="","",%s)' % by_the_clock("{open_utc}"), "moment",
               note="Of the field: the latest end of all intervals that run into one another, in elapsed hours.", source="40 CFR 170.407"),
        working("because_row", "Closed by row", 'IF({open_utc}="","",INDEX({field_sequence.open_row:all},{place}))'),
        result("because_of_pass", "Because of pass", 'IF({because_row}="",IF({doubt_row}="","",INDEX({pass_volumes.pass:all},{doubt_row})),INDEX({pass_volumes.pass:all},{because_row}))', "name"),
        working("reentry_text", "Re-entry, in words", 'IF({reentry_at}="","",%s)' % moment_text("{reentry_minute}"), "text"),
        working("reentry_minute", "Re-entry, minute", 'IF({reentry_at}="","",%s)' % minute_of("{reentry_at}"), "count"),
        working("signs", "Signs are needed", 'IF({pass}="",0,IF(OR(SUM({line_intervals.signs:block})>0,SUM({rei_hours})>posting_hours),1,0))', "count"),
        working("spoken", "Word of mouth is needed", 'IF({pass}="",0,IF(SUM({line_intervals.spoken:block})>0,1,0))', "count"),
        result("posting", "Warning signs",
               'IF({pass}="","",IF({signs}+{spoken}=2,"Signs and word of mouth",IF({signs}=1,"Signs",IF({rei_missing}<>"","Not entered",'
               'IF({spoken}=1,"Word of mouth",IF({rei_hours}="","","Signs or word of mouth"))))))', "text",
               note="The strictest of the mix: what a label demands, and signs for a long interval.", source="40 CFR 170.409(a), from memory"),
        working("ruled_by_other", "Another pass rules", 'IF({because_row}="",0,IF({because_row}={pass_rows.row_no},0,1))', "count"),
        working("late", "End not known",
                'IF(OR({pass}="",SUM({pass_times.end_known})=1),"",IF({pass_times.log_row}="","%s",IF(INDEX({log_facts.backward:all},{pass_times.log_row})=1,"%s","%s")))' % (LATE, BACKWARD, LATE), "text"),
        check("reentry_status", "Re-entry status",
              'IF({pass}="","",IF(OR({rei_missing}<>"",{doubt_row}<>""),"Not entered",IF({reentry_at}="","",IF(AND({late}="",{ruled_by_other}=0),"OK","Review"))))'),
        check("reentry_finding", "Re-entry finding",
              'IF({reentry_status}="Not entered","Re-entry interval not entered: "&IF({rei_missing}<>"",{rei_missing},INDEX({rei_missing:all},{doubt_row})&", in "&{because_of_pass}&" on this field"),'
              'IF({reentry_status}="Review",IF({ruled_by_other}=1,"The field stays closed until "&{reentry_text}&" by "&{because_of_pass},"")&IF(AND({ruled_by_other}=1,{late}<>""),"; ","")&{late},""))', "long_text"),
        result("rain_hours", "Rain-free hours", _longest("rain"), "hours", digits=1),
        working("rain_missing", "Rain-free missing for", _names("rain_missing"), "name"),
        working("rain_utc", "Dry until, universal time", 'IF(OR({end}="",{rain_hours}="",{rain_missing}<>""),"",{pass_times.end_utc}+{rain_hours}/24)', "moment"),
        result("rain_free_until", "Dry until", 'IF({rain_utc}="","",%s)' % by_the_clock("{rain_utc}"), "moment"),
        check("rain_status", "Rain-free status", 'IF({pass}="","",IF({rain_missing}<>"","Not entered",IF({rain_hours}="","","OK")))'),
        check("rain_finding", "Rain-free finding", 'IF({rain_status}="Not entered","Rain-free hours not entered: "&{rain_missing},"")', "long_text"),
        result("phi_days", "Longest preharvest interval", _longest("phi"), "days", source="UMN Extension 2024: the most restrictive label of the mix governs"),
        working("phi_missing", "Preharvest missing for", _names("phi_missing"), "name"),
        result("harvest_date", "Planned harvest",
               'IF({pass_volumes.field_row}="","",IF(INDEX({fields.harvest_date:all},{pass_volumes.field_row})="","",INDEX({fields.harvest_date:all},{pass_volumes.field_row})))', "date"),
        working("after_harvest", "Sprayed after harvest", 'IF(OR({harvest_date}="",{pass_times.day}=""),0,IF({pass_times.day}>{harvest_date},1,0))', "count"),
        working("harvest_floor", "Harvest not before",
                'IF(OR({pass_times.last_day}="",AND({phi_days}="",{reentry_at}="")),"",MAX(IF({phi_days}="",0,{pass_times.last_day}+{phi_days}),INT(ROUND(SUM({reentry_at}),6))))', "date",
                note="By the intervals that are entered."),
        result("earliest_harvest", "Earliest harvest", 'IF({phi_missing}<>"","",{harvest_floor})', "date",
               note="Day of application is day 0; not before re-entry of the field, where that takes longer.", source="WSU Tree Fruit: no one harvests within the re-entry interval"),
        result("harvest_margin_days", "Days to spare", 'IF(OR({harvest_date}="",{harvest_floor}="",{after_harvest}=1),"",{harvest_date}-{harvest_floor})', "days"),
        working("by_hour", "Harvest on the day of re-entry", 'IF(OR({harvest_margin_days}="",{reentry_at}=""),0,IF(AND({harvest_date}=INT({reentry_minute}/1440),MOD({reentry_minute},1440)>0),1,0))', "count"),
        check("harvest_status", "Harvest status",
              'IF({pass}="","",IF({harvest_margin_days}<>"",IF({harvest_margin_days}<0,"Not allowed",IF({phi_missing}<>"","Not entered",IF({by_hour}=1,"Review",IF({phi_days}="","","OK")))),'
              'IF(AND({phi_days}="",{phi_missing}=""),"",IF({after_harvest}=1,"OK",IF({phi_missing}<>"","Not entered",IF({pass_crops.crop_name}="fallow","OK","Review"))))))'),
        check("harvest_finding", "Harvest finding",
              'IF({harvest_status}="Not allowed","Planned harvest is too early by "&(0-{harvest_margin_days})&IF({harvest_margin_days}=-1," day"," days"),'
              'IF({harvest_status}="Not entered","Preharvest interval not entered: "&{phi_missing},'
              'IF({harvest_status}="Review",IF({by_hour}=1,"Harvest is planned on the day of re-entry: not before "&{reentry_text},"No harvest date entered to check against"),"")))', "long_text"),
        result("grazing_days", "Longest grazing interval", _longest("grazing"), "days"),
        working("grazing_missing", "Grazing missing for", _names("grazing_missing"), "name"),
        result("earliest_grazing", "Earliest grazing", 'IF(OR({pass_times.last_day}="",{grazing_days}="",{grazing_missing}<>""),"",{pass_times.last_day}+{grazing_days})', "date"),
        check("grazing_status", "Grazing status", 'IF({pass}="","",IF({grazing_missing}<>"","Not entered",IF({grazing_days}="","","OK")))'),
        check("grazing_finding", "Grazing finding", 'IF({grazing_status}="Not entered","Grazing interval not entered: "&{grazing_missing},"")', "long_text"),
        *ENTRY_COLUMNS,
        check("status", "Status", 'IF(OR({entry_status}="Not allowed",{harvest_status}="Not allowed"),"Not allowed",'
              'IF(OR({reentry_status}="Not entered",{harvest_status}="Not entered",{rain_status}="Not entered",{grazing_status}="Not entered"),"Not entered",'
              'IF(OR({reentry_status}="Review",{harvest_status}="Review",{entry_status}="Review"),"Review",IF({reentry_status}="","","OK"))))'),
    ),
    rows="as:passes",
    kind="result",
    caution="Keep people out until the interval has passed and signs are down; the label and local rules govern. "
            "Early entry (40 CFR 170.603) is for few tasks under strict terms: it is never assumed here.",
)

INTERVAL_TABLES = (LINE_INTERVALS, *REENTRY_TABLES, INTERVALS)
