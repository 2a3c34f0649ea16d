"""Re-entry, harvest, grazing, rain-free and plant-back intervals."""

from __future__ import annotations

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import RESULT, Column, Table
from workbook_builder.core.short import check, result, typed_in, working
from workbook_builder.features.clock.columns import minute_of
from workbook_builder.features.clock.definitions import minute_of as nearest_minute
from workbook_builder.features.intervals import definitions
from workbook_builder.features.labels.columns import strictest_of
from workbook_builder.features.loads.lines import counted, first_and_more, marked, outermost
from workbook_builder.features.reentry.columns import ENTRY_COLUMNS, in_words, shown
from workbook_builder.features.reentry.definitions import interval_end, longest

LATE = "Start time or work rate not entered: re-entry counts from midnight at the end of the day or later"
SEVERAL = "Logged in several rows: re-entry counts from midnight at the end of the last day"
BACKWARD = ("The logged end lies before its start and is not used: re-entry counts from midnight at the end "
            "of the day")

_FLAG = 'IF({mix_lines.product_row}="",0,{product_facts.%s@mix_lines.product_row})'
_INTERVALS = (("rei", "Re-entry"), ("rain", "Rain-free"), ("phi", "Preharvest"), ("grazing", "Grazing"))

LINE_INTERVALS = Table(
    "line_intervals",
    "Interval workings",
    "Label intervals of each product of each pass.",
    (
        *(working(key, f"{name} hours", f"{{product_facts.{key}@mix_lines.product_row}}", "hours",
                  needs="mix_lines.product_row") for key, name in _INTERVALS[:2]),
        *(working(key, f"{name} days", strictest_of("label_facts", f"{key}_days", "product_limits."), "days")
          for key, name in _INTERVALS[2:]),
        working("signs", "Label wants signs", _FLAG % "signs", "count"),
        working("spoken", "Label wants word of mouth", _FLAG % "spoken", "count"),
        *(working(f"{key}_missing", f"{name} missing", marked('AND({product_limits.needed}=1,{%s}="")' % key),
                  "count") for key, name in _INTERVALS),
    ),
    rows="as:mix_lines",
    kind="working",
    sheet="Workings passes",
)


def _longest(key: str, header: str, of: str, quantity: str, **more: object) -> Column:
    """Declare the longest interval of the mix."""
    return result(key, header, outermost(f"line_intervals.{of}"), quantity, twin=longest,
                  takes=f"line_intervals.{of}:block", **more)


#: What lacks an interval where nobody knows what is sprayed: no such mix, or no room for its products.
_NOT_KNOWN = ('IF(AND({pass}<>"",OR({pass_volumes.lines}=0,{pass_volumes.full}=1)),"the products of its mix",'
              '"")')


def _missing(key: str, header: str) -> Column:
    """Declare the first product whose interval is missing, and how many more there are."""
    return working(key, header, first_and_more(f"line_intervals.{key}", _NOT_KNOWN), "name")


def _entered(key: str, header: str, interval: str, said: str) -> tuple[Column, Column]:
    """Declare status and finding of an interval that has only to be entered."""
    return (
        check(f"{key}_status", f"{header} status",
              f'IF({{{key}_missing}}<>"","Not entered",IF({{{interval}}}="","","OK"))', needs="pass"),
        check(f"{key}_finding", f"{header} finding",
              f'IF({{{key}_status}}="Not entered","{said} not entered: "&{{{key}_missing}},"")', "long_text"),
    )


INTERVALS = Table(
    "intervals",
    "Intervals",
    "When people may go back in, when the crop may be cut or grazed, and how long it must stay dry.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("end", "End of application", "{pass_times.end}", "moment"),
        _longest("rei_hours", "Longest re-entry interval", "rei", "hours", digits=0,
                 source="40 CFR 170.407(c): the longest of the mix"),
        _missing("rei_missing", "Re-entry missing for"),
        working("rei_told", "Re-entry interval told", 'IF({rei_missing}<>"","",{rei_hours})',
                "hours", digits=0,
                note="Blank while a product of the mix lacks its interval: the longest of the others may be "
                     "too short."),
        working("place", "Place in the order of its field",
                "MATCH({pass_rows.row_no},{field_sequence.row:all},0)", needs="reentry_spans.order"),
        working("doubt_row", "Not known because of pass", "{field_sequence.open_doubt@place}", needs="place"),
        working("open_utc", "Field opens, universal time",
                'IF({doubt_row}<>"","",IF(OR({rei_hours}<>"",ROUND({field_sequence.open_at@place}'
                '-{pass_times.end_utc},6)>0),{field_sequence.open_at@place},""))', "moment",
                needs="place", twin=definitions.opening,
                takes="doubt_row rei_hours field_sequence.open_at@place pass_times.end_utc"),
        shown("reentry_at", "Re-entry from", "open_utc",
              note="Of the field: the latest end of all intervals that run into one another, in elapsed "
                   "hours.", source="40 CFR 170.407"),
        working("because_row", "Closed by row", "{field_sequence.open_row@place}", needs="open_utc"),
        result("because_of_pass", "Because of pass",
               'IF({because_row}="",IF({doubt_row}="","",{pass_volumes.pass@doubt_row}),'
               '{pass_volumes.pass@because_row})', "name"),
        in_words("reentry_text", "Re-entry, in words", "reentry_minute"),
        working("reentry_minute", "Re-entry, minute", minute_of("{reentry_at}"), "count", needs="reentry_at",
                twin=nearest_minute, takes="reentry_at"),
        working("signs", "Signs are needed", 'IF({pass}="",0,IF(OR(%s>0,SUM({rei_hours})>posting_hours),1,0))'
                % counted("line_intervals.signs", 1), "count"),
        working("spoken", "Word of mouth is needed",
                'IF({pass}="",0,IF(%s>0,1,0))' % counted("line_intervals.spoken", 1), "count"),
        result("posting", "Warning signs",
               'IF({signs}+{spoken}=2,"Signs and word of mouth",IF({signs}=1,"Signs",IF({rei_missing}<>"",'
               '"Not entered",'
               'IF({spoken}=1,"Word of mouth",IF({rei_hours}="","","Signs or word of mouth")))))', "text",
               needs="pass", twin=definitions.posting_wanted, takes="signs spoken rei_missing rei_hours",
               note="The strictest of the mix: what a label demands, and signs for a long interval.",
               source="40 CFR 170.409(a), from memory"),
        working("ruled_by_other", "Another pass rules",
                'IF({because_row}="",0,IF({because_row}={pass_rows.row_no},0,1))', "count"),
        working("late", "End not known",
                f'IF(SUM({{pass_times.end_known}})=1,"",IF({{pass_times.log_row}}="","{LATE}",'
                f'IF({{pass_times.log_rows}}>1,"{SEVERAL}",'
                f'IF({{log_facts.backward@pass_times.log_row}}=1,"{BACKWARD}","{LATE}"))))', "text",
                needs="pass"),
        check("reentry_status", "Re-entry status",
              'IF(OR({rei_missing}<>"",{doubt_row}<>""),"Not entered",IF({reentry_at}="","",'
              'IF(AND({late}="",{ruled_by_other}=0),"OK","Review")))', needs="pass"),
        check("reentry_finding", "Re-entry finding",
              'IF({reentry_status}="Not entered","Re-entry interval not entered: "&IF({rei_missing}<>"",'
              '{rei_missing},{rei_missing@doubt_row}&", in "&{because_of_pass}&" on this field"),'
              'IF({reentry_status}="Review",IF({ruled_by_other}=1,"The field stays closed until '
              '"&{reentry_text}&" by "&{because_of_pass},"")&IF(AND({ruled_by_other}=1,{late}<>""),"; '
              '","")&{late},""))', "long_text"),
        _longest("rain_hours", "Rain-free hours", "rain", "hours", digits=1),
        _missing("rain_missing", "Rain-free missing for"),
        working("rain_utc", "Dry until, universal time",
                'IF({rain_missing}<>"","",{pass_times.end_utc}+{rain_hours}/24)', "moment",
                needs="end rain_hours",
                twin=lambda end, hours, missing: "" if missing else interval_end(end, hours),
                takes="pass_times.end_utc rain_hours rain_missing"),
        shown("rain_free_until", "Dry until", "rain_utc"),
        *_entered("rain", "Rain-free", "rain_hours", "Rain-free hours"),
        _longest("phi_days", "Longest preharvest interval", "phi", "days",
                 source="UMN Extension 2024: the most restrictive label of the mix governs"),
        _missing("phi_missing", "Preharvest missing for"),
        typed_in("harvest_date", "Planned harvest", "fields.harvest_date", "pass_volumes.field_row",
                 "date", RESULT),
        working("after_harvest", "Sprayed after harvest",
                'IF(OR({harvest_date}="",{pass_times.day}=""),0,IF(AND({pass_times.day}>{harvest_date},'
                '{harvest_date}>{pass_crops.planted}),1,0))',
                "count", note="Never by a harvest date that comes before planting: one of them is wrong."),
        working("harvest_floor", "Harvest not before",
                'IF(AND({phi_days}="",{reentry_at}=""),"",'
                'MAX(IF({phi_days}="",0,{pass_times.last_day}+{phi_days}),INT(ROUND(SUM({reentry_at}),6))))',
                "date",
                needs="pass_times.last_day", twin=definitions.harvest_floor,
                takes="pass_times.last_day phi_days reentry_at", note="By the intervals that are entered."),
        result("earliest_harvest", "Earliest harvest", 'IF({phi_missing}<>"","",{harvest_floor})', "date",
               note="Day of application is day 0; not before re-entry of the field, where that takes longer.",
               source="WSU Tree Fruit: no one harvests within the re-entry interval"),
        result("harvest_margin_days", "Days to spare",
               'IF({after_harvest}=1,"",{harvest_date}-{harvest_floor})', "days",
               needs="harvest_date harvest_floor",
               twin=lambda harvest, floor, after: "" if after else harvest - floor,
               takes="harvest_date harvest_floor after_harvest"),
        working("by_hour", "Harvest on the day of re-entry",
                'IF(OR({harvest_margin_days}="",{reentry_at}=""),0,'
                'IF(AND({harvest_date}=INT({reentry_minute}/1440),MOD({reentry_minute},1440)>0),1,0))',
                "count",
                twin=definitions.opens_that_day, takes="harvest_date harvest_margin_days reentry_minute"),
        check("harvest_status", "Harvest status",
              'IF({harvest_margin_days}<>"",IF({harvest_margin_days}<0,"Not allowed",IF({phi_missing}<>"",'
              '"Not entered",IF({by_hour}=1,"Review",IF({phi_days}="","","OK")))),'
              'IF(AND({phi_days}="",{phi_missing}=""),"",IF({after_harvest}=1,"OK",IF({phi_missing}<>"","Not '
              'entered",IF({pass_crops.crop_name}="fallow","OK","Review")))))',
              needs="pass", twin=definitions.harvest_status,
              takes="phi_days phi_missing harvest_margin_days after_harvest by_hour pass_crops.crop_name"),
        check("harvest_finding", "Harvest finding",
              'IF({harvest_status}="Not allowed","Planned harvest is too early by "'
              '&ABS({harvest_margin_days})&IF({harvest_margin_days}=-1," day"," days"),'
              'IF({harvest_status}="Not entered","Preharvest interval not entered: "&{phi_missing},'
              'IF({harvest_status}="Review",IF({by_hour}=1,"Harvest is planned on the day of re-entry: not '
              'before "&{reentry_text},"No harvest date entered to check against"),"")))', "long_text"),
        _longest("grazing_days", "Longest grazing interval", "grazing", "days"),
        _missing("grazing_missing", "Grazing missing for"),
        result("earliest_grazing", "Earliest grazing",
               'IF({grazing_missing}<>"","",{pass_times.last_day}+{grazing_days})', "date",
               needs="pass_times.last_day grazing_days",
               twin=lambda day, days, missing: "" if missing else day + days,
               takes="pass_times.last_day grazing_days grazing_missing"),
        *_entered("grazing", "Grazing", "grazing_days", "Grazing interval"),
        *ENTRY_COLUMNS,
        check("status", "Status",
              'IF(OR({entry_status}="Not allowed",{harvest_status}="Not allowed"),"Not allowed",'
              'IF(OR({reentry_status}="Not entered",{harvest_status}="Not entered",{rain_status}="Not '
              'entered",{grazing_status}="Not entered"),"Not entered",'
              'IF(OR({reentry_status}="Review",{harvest_status}="Review",{entry_status}="Review"),"Review",'
              'IF({reentry_status}="","","OK"))))'),
    ),
    rows="as:passes",
    kind="result",
    caution="Keep people out until the interval has passed and signs are down; the label and local rules "
            "govern. "
            "Early entry (40 CFR 170.603) is for few tasks under strict terms: it is never assumed here.",
)

TABLES = (INTERVALS, LINE_INTERVALS)

CHECKS = (
    CheckKind("Re-entry", "intervals", "reentry_status", "reentry_finding", rank=80),
    CheckKind("Work in a closed field", "intervals", "entry_status", "entry_finding", rank=90),
    CheckKind("Harvest", "intervals", "harvest_status", "harvest_finding", rank=100),
    CheckKind("Grazing", "intervals", "grazing_status", "grazing_finding", rank=110),
    CheckKind("Rain-free", "intervals", "rain_status", "rain_finding", rank=120),
)
