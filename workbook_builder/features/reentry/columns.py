"""Re-entry of the field: which intervals run into one another, until when it stays closed, and what falls inside."""

from __future__ import annotations

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import check, result, row_number, working
from workbook_builder.features.clock.columns import by_the_clock, date_text, minute_of, moment_text, universal

SHEET = "Workings passes"
#: Starts are counted from 1 January 1990, so that field and minute fit into one whole number.
MINUTE_ZERO = 47338560
MINUTES_OF_A_FIELD = 100000000

REENTRY_SPANS = Table(
    "reentry_spans",
    "Re-entry workings",
    "From when to when each pass closes its field, in universal time, and its place in the order of its field.",
    (
        working("start_minute", "Start, minute", 'IF(OR({pass_volumes.pass}="",{pass_times.start}=""),"",%s)' % minute_of(universal("{pass_times.start}")), "count"),
        working("key", "Field and minute", 'IF({start_minute}="","",SUM({pass_volumes.field_row})*%d+{start_minute}-%d)' % (MINUTES_OF_A_FIELD, MINUTE_ZERO), "count"),
        working("order", "Order", 'IF({key}="","",{key}*100+COUNTIF({key:upto},{key}))', "count"),
        working("until", "Own interval ends", 'IF(OR({start_minute}="",{intervals.rei_hours}=""),"",{pass_times.end_utc}+{intervals.rei_hours}/24)', "moment"),
        working("reach", "Reaches to",
                'IF({start_minute}="","",MAX(SUM({until}),IF({intervals.rei_missing}="",0,{pass_times.end_utc}+unknown_reentry_days)))', "moment",
                note="An interval nobody entered counts as running for the days set on Assumptions."),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)


def _of_pass(column: str) -> str:
    return "INDEX({%s:all},{row})" % column


def _number_of_pass(column: str) -> str:
    """The number of the pass, 0 where the cell is blank; SUM over INDEX takes no text in every engine."""
    return 'IF(%s="",0,%s)' % (_of_pass(column), _of_pass(column))


def _above(column: str, otherwise: str) -> str:
    """The cell above where the row above belongs to the same field."""
    return "IF({first}=0,{%s:above},%s)" % (column, otherwise)


def _at_end(column: str) -> str:
    return 'IF({row}="","",INDEX({%s:all},{chain_end}))' % column


FIELD_SEQUENCE = Table(
    "field_sequence",
    "Passes in the order of their fields",
    "Field by field in the order of time: the latest end of all re-entry intervals so far, and which passes join in one closed time.",
    (
        row_number(),
        working("order", "Order", 'IF({row_no}>COUNT({reentry_spans.order:all}),"",SMALL({reentry_spans.order:all},{row_no}))', "count"),
        working("row", "Row of the pass", 'IF({order}="","",MATCH({order},{reentry_spans.order:all},0))'),
        working("field_row", "Field row", 'IF({row}="","",%s)' % _number_of_pass("pass_volumes.field_row")),
        working("first", "First of its field", 'IF({row}="","",IF(ISNUMBER({field_row:above}),IF({field_row}={field_row:above},0,1),1))', "count"),
        working("start", "Start", 'IF({row}="","",%s/1440)' % _of_pass("reentry_spans.start_minute"), "moment"),
        working("until", "Own interval ends", 'IF({row}="",0,%s)' % _number_of_pass("reentry_spans.until"), "moment"),
        working("reach_before", "Closed before, at the most", _above("reach", "0"), "moment"),
        working("before", "Closed before", _above("latest", "0"), "moment"),
        working("before_row", "Closed before by pass", _above("latest_row", '""')),
        working("reach", "Closed, at the most", 'MAX({reach_before},IF({row}="",0,%s))' % _of_pass("reentry_spans.reach"), "moment"),
        working("latest", "Closed until", "MAX({before},{until})", "moment", source="40 CFR 170.407: nobody enters before the interval has passed, whichever application set it"),
        working("latest_row", "Closed by pass", 'IF({row}="","",IF({until}>{before},{row},{before_row}))'),
        working("joins", "Starts while closed", "IF({first}=0,IF(ROUND({reach_before}-{start},6)>0,1,0),0)", "count"),
        working("chain", "Closed time", 'IF({row}="","",SUM({chain:above},1-{joins}))', "count"),
        working("lacks", "Without an interval", 'IF({row}="","",IF(%s="","",{row}))' % _of_pass("intervals.rei_missing")),
        working("doubt_row", "First without an interval", 'IF(AND({joins}=1,{doubt_row:above}<>""),{doubt_row:above},{lacks})'),
        working("chain_end", "Last of the closed time", 'IF({row}="","",IFERROR(MATCH({chain}+1,{chain:all},0)-1,COUNT({chain:all})))'),
        working("open_at", "Opens", _at_end("latest"), "moment"),
        working("open_row", "Opened last by pass", _at_end("latest_row")),
        working("open_doubt", "Not known because of pass", _at_end("doubt_row")),
        working("harvest", "Earliest harvest", 'IF({row}="",0,IF(%s=1,0,%s))' % (_of_pass("intervals.after_harvest"), _number_of_pass("intervals.earliest_harvest")), "date"),
        working("harvest_before", "Earliest harvest before", _above("harvest_latest", "0"), "date"),
        working("harvest_latest", "Earliest harvest so far", "MAX({harvest_before},{harvest})", "date"),
        working("harvest_row", "Because of pass", 'IF({row}="","",IF({harvest}>{harvest_before},{row},%s))' % _above("harvest_row", '""')),
        working("harvest_lacks", "First without a preharvest interval",
                'IF({row}="","",IF(%s<>"",%s,IF(AND(%s=0,%s<>""),{row},"")))'
                % (_above("harvest_lacks", '""'), _above("harvest_lacks", '""'), _of_pass("intervals.after_harvest"), _of_pass("intervals.phi_missing"))),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)


def started_by(field_row: str, when: str) -> str:
    """Return the formula of how many passes on a field start before a moment of the farm's clock."""
    return 'COUNTIFS({pass_volumes.field_row:all},%s,{reentry_spans.start_minute:all},"<"&%s)' % (field_row, minute_of(universal(when)))


def _closed_at(first_place: str, started: str) -> str:
    return "INDEX({field_sequence.latest:all},%s+%s-1)" % (first_place, started)


def closed_on(prefix: str, header: str, field_row: str, day: str) -> tuple[Column, Column]:
    """Return the columns that say until when a field is closed to whoever goes in on a day, blank when it is open.

    Parameters
    ----------
    prefix, header : str
        Begin of the keys and headers.
    field_row, day : str
        Formulas of the field's row and of the day, blank where there is none.
    """
    first_place, started = "INDEX({field_intervals.first_place:all},%s)" % field_row, "{%s_started}" % prefix
    return (
        working(f"{prefix}_started", f"{header}: passes started", 'IF(OR(%s="",%s=""),0,%s)' % (field_row, day, started_by(field_row, f"({day}+1)")), "count"),
        working(f"{prefix}_closed", f"{header}: closed until, minute", 'IF(%s=0,"",IF(ROUND(%s-(%s),6)>0,%s,""))' % (
            started, _closed_at(first_place, started), universal(day), minute_of(by_the_clock(_closed_at(first_place, started)))), "count"),
    )


def _planting(prefix: str, header: str) -> tuple[Column, ...]:
    """What a planting on a field meets: open, closed for part of the day, or closed all day."""
    day, before = "{fields.%s_date}" % prefix, "{%s_before}" % prefix
    closed = 'IF(%s=0,0,IF(ROUND(%s-(%s),6)>=0,1,0))' % (before, _closed_at("{first_place}", before), universal(f"({day}+1)"))
    return (
        working(f"{prefix}_before", f"{header}: passes started before", 'IF(OR({passes}=0,%s=""),0,%s)' % (day, started_by("{row_no}", day)), "count"),
        *closed_on(prefix, header, "{row_no}", f'IF({{passes}}=0,"",{day})'),
        working(f"{prefix}_status", f"{header}: status", 'IF({%s_closed}="","",IF(%s=1,"Not allowed","Review"))' % (prefix, closed), "status"),
        working(f"{prefix}_note", f"{header}: note", 'IF({%s_status}="","","Field is closed until "&%s)' % (prefix, moment_text("{%s_closed}" % prefix)), "text"),
    )


def _named(column: str) -> str:
    return "INDEX({pass_volumes.pass:all},%s)" % column


FIELD_INTERVALS = Table(
    "field_intervals",
    "Intervals of the field",
    "When people may go back into each field and when its crop may be cut, whichever pass decides it.",
    (
        row_number(),
        result("field", "Field", 'IF({fields.field}="","",{fields.field})', "name"),
        working("passes", "Passes", 'IF({field}="",0,COUNTIF({field_sequence.field_row:all},{row_no}))', "count"),
        working("first_place", "First in the order", 'IF({passes}=0,"",MATCH({row_no},{field_sequence.field_row:all},0))'),
        working("last_place", "Last in the order", 'IF({passes}=0,"",{first_place}+{passes}-1)'),
        working("doubt_row", "Not known because of pass", 'IF({passes}=0,"",INDEX({field_sequence.doubt_row:all},{last_place}))'),
        working("back_in_utc", "Back in, universal time",
                'IF({passes}=0,"",IF(OR({doubt_row}<>"",INDEX({field_sequence.latest:all},{last_place})=0),"",INDEX({field_sequence.latest:all},{last_place})))', "moment"),
        result("back_in_from", "Back in from", 'IF({back_in_utc}="","",%s)' % by_the_clock("{back_in_utc}"), "moment",
               note="After the last pass of the season; between passes see below.", source="40 CFR 170.407"),
        result("because_of_pass", "Because of pass",
               'IF({passes}=0,"",IF({doubt_row}<>"",%s,IF({back_in_utc}="","",%s)))' % (_named("{doubt_row}"), _named("INDEX({field_sequence.latest_row:all},{last_place})")), "name"),
        working("harvest_lacks", "Harvest not known because of pass", 'IF({passes}=0,"",INDEX({field_sequence.harvest_lacks:all},{last_place}))'),
        result("earliest_harvest", "Earliest harvest",
               'IF({passes}=0,"",IF(OR({harvest_lacks}<>"",INDEX({field_sequence.harvest_latest:all},{last_place})=0),"",INDEX({field_sequence.harvest_latest:all},{last_place})))', "date",
               note="Of this season's crop."),
        result("harvest_because_of_pass", "Harvest because of pass",
               'IF({passes}=0,"",IF({harvest_lacks}<>"",%s,IF({earliest_harvest}="","",%s)))'
               % (_named("{harvest_lacks}"), _named("INDEX({field_sequence.harvest_row:all},{last_place})")), "name"),
        check("status", "Status", 'IF({passes}=0,"",IF(OR({doubt_row}<>"",{harvest_lacks}<>""),"Not entered","OK"))',
              note="Not entered: the pass named lacks the interval of a product."),
        *_planting("planting", "Planting"),
        *_planting("next_planting", "Next planting"),
    ),
    rows="as:fields",
    kind="result",
    sheet="Intervals",
)

SCOUTING_ENTRY = Table(
    "scouting_entry",
    "Scouting in closed fields",
    "Whether the field was closed on the day of each frame.",
    closed_on("frame", "Frame", 'IF({scouting_facts.pass_row}="","",INDEX({pass_volumes.field_row:all},{scouting_facts.pass_row}))', 'IF({scouting.date}="","",{scouting.date})'),
    rows="as:scouting",
    kind="working",
    sheet=SHEET,
)


def inside(prefix: str, header: str) -> Column:
    """Return the column that says how a planting meets the pass's own interval: 0 not, 1 for part of the day, 2 all day."""
    day = "{pass_crops.%s}" % prefix
    return working(
        f"{prefix}_inside", f"{header} inside",
        'IF(OR({own_minute}="",%s=0),0,IF(AND({own_minute}>%s*1440,{pass_times.start}<%s+1),IF(AND({pass_times.start}<%s,{own_minute}>=(%s+1)*1440),2,1),0))' % ((day,) * 5), "count",
    )


#: What falls into a closed field, and its column of the count or degree.
_PLANTED = '"; %s on "&%s&" falls into the re-entry interval, until "&{own_text}'
ENTRY_COLUMNS = (
    working("own_minute", "Own interval ends, minute", 'IF({reentry_spans.until}="","",%s)' % minute_of(by_the_clock("{reentry_spans.until}")), "count"),
    working("own_text", "Own interval ends, in words", 'IF({own_minute}="","",%s)' % moment_text("{own_minute}"), "text"),
    inside("planted", "Planting"),
    inside("next_planted", "Next planting"),
    working("closing_row", "Closed at its start by pass",
            'IF({place}="","",IF(ROUND(INDEX({field_sequence.before:all},{place})-INDEX({field_sequence.start:all},{place}),6)>0,INDEX({field_sequence.before_row:all},{place}),""))'),
    working("one_trip", "Same trip",
            'IF({closing_row}="",0,IF(OR(AND({trips.together}=1,{trips.partner_row}={closing_row}),'
            'AND(INDEX({trips.together:all},{closing_row})=1,INDEX({trips.partner_row:all},{closing_row})={pass_rows.row_no})),1,0))', "count"),
    working("foot", "On foot in a closed field",
            'IF(OR({closing_row}="",{one_trip}=1),0,IF({pass_volumes.sprayer_row}="",1,IF(INDEX({sprayers.on_foot:all},{pass_volumes.sprayer_row})="yes",2,'
            'IF(INDEX({sprayers.on_foot:all},{pass_volumes.sprayer_row})="no",0,1))))', "count", note="2: carried on foot; 1: not said; 0: driven, or not closed."),
    working("frames", "Frames in a closed field", 'IF({pass}="",0,COUNTIFS({scouting_facts.pass_row:all},{pass_rows.row_no},{scouting_entry.frame_closed:all},">0"))', "count"),
    working("looks", "Looks back in a closed field",
            'IF({pass}="",0,COUNTIFS({look_facts.pass_row:all},{pass_rows.row_no},{look_facts.look_closed:all},">0"))', "count"),
    working("look_text", "Look planned in a closed field",
            'IF({follow_up.early_closed}<>"",%s&", closed until "&%s,IF({follow_up.first_closed}<>"",%s&", closed until "&%s,IF({follow_up.second_closed}<>"",%s&", closed until "&%s,"")))'
            % tuple(part for key in ("early", "first", "second") for part in (date_text("{follow_up.%s_look}" % key), moment_text("{follow_up.%s_closed}" % key))), "text"),
    check("entry_status", "Work in a closed field",
          'IF({pass}="","",IF(MAX({planted_inside},{next_planted_inside},{foot})=2,"Not allowed",'
          'IF({planted_inside}+{next_planted_inside}+{foot}+{frames}+{looks}>0,"Review",IF({look_text}<>"","Review",IF({own_minute}="","","OK")))))',
          source="40 CFR 170.407; the exceptions of 170.603 are narrow and never assumed"),
    check("entry_finding", "Work in a closed field, finding", "MID(%s,3,250)" % "&".join((
        'IF({planted_inside}=0,"",%s)' % (_PLANTED % ("planting", date_text("{pass_crops.planted}"))),
        'IF({next_planted_inside}=0,"",%s)' % (_PLANTED % ("planting of the next crop", date_text("{pass_crops.next_planted}"))),
        'IF({foot}=0,"","; the field is still closed by "&INDEX({pass_volumes.pass:all},{closing_row})&" when this pass starts"&IF({foot}=2,", which is made on foot",": nobody may be on foot"))',
        'IF({look_text}="","","; look back on "&{look_text})',
        'IF({looks}=0,"","; "&{looks}&IF({looks}=1," look back was"," looks back were")&" made while the field was closed")',
        'IF({frames}=0,"","; "&{frames}&IF({frames}=1," frame was"," frames were")&" thrown while the field was closed")',
    )), "long_text"),
)

REENTRY_TABLES = (FIELD_INTERVALS, REENTRY_SPANS, FIELD_SEQUENCE, SCOUTING_ENTRY)
