"""Re-entry of the field: which intervals run into one another, until when it stays closed,
and what falls inside.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from workbook_builder.core.columns import OPEN_STATUSES, RESULT, Column, Table
from workbook_builder.core.short import check, or_blank, result, row_number, working
from workbook_builder.features.clock.columns import by_the_clock, date_text, minute_of, moment_text, universal
from workbook_builder.features.clock.definitions import CLOCK_CELLS, clock_of
from workbook_builder.features.clock.definitions import minute_of as nearest_minute
from workbook_builder.features.reentry import definitions
from workbook_builder.features.reentry.closures import closed_times, plantings, scouting_entry

SHEET = "Workings passes"
#: Starts are counted from 1 January 1990, so that field and minute fit into one whole number.
MINUTE_ZERO = 47338560
MINUTES_OF_A_FIELD = 100000000


def shown(key: str, header: str, utc: str, role: str = RESULT, **more: Any) -> Column:
    """Declare a universal moment, the column `utc`, as the farm's clock shows it."""
    return Column(key, header, "moment", role, by_the_clock(f"{{{utc}}}"), needs=utc,
                  twin=lambda when, *clock: clock_of(*clock).shown(when),
                  takes=f"{utc} {CLOCK_CELLS}", **more)


def in_words(key: str, header: str, minute: str) -> Column:
    """Declare a minute counted from day 0, the column `minute`, in words."""
    return working(key, header, moment_text(f"{{{minute}}}"), "text", needs=minute,
                   twin=definitions.moment_text, takes=minute)


REENTRY_SPANS = Table(
    "reentry_spans",
    "Re-entry workings",
    "From when to when each pass closes its field, in universal time, and its place in the order of its "
    "field.",
    (
        working("start_minute", "Start, minute", minute_of(universal("{pass_times.start}")), "count",
                needs="pass_volumes.pass pass_times.start",
                twin=lambda start, *clock: nearest_minute(clock_of(*clock).universal(start)),
                takes=f"pass_times.start {CLOCK_CELLS}"),
        working("key", "Field and minute", "SUM({pass_volumes.field_row})*%d+{start_minute}-%d"
                % (MINUTES_OF_A_FIELD, MINUTE_ZERO), needs="start_minute"),
        working("order", "Order", "{key}*100+COUNTIF({key:upto},{key})", needs="key"),
        working("until", "Own interval ends", "{pass_times.end_utc}+{intervals.rei_hours}/24", "moment",
                needs="start_minute intervals.rei_hours",
                twin=definitions.interval_end, takes="pass_times.end_utc intervals.rei_hours"),
        working("reach", "Reaches to",
                'MAX(SUM({until}),IF({intervals.rei_missing}="",0,{pass_times.end_utc}'
                '+unknown_reentry_days))', "moment", needs="start_minute",
                twin=definitions.reach,
                takes="until intervals.rei_missing pass_times.end_utc assumptions.unknown_reentry_days",
                note="An interval nobody entered counts as running for the days set on Assumptions."),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)


def _above(column: str, otherwise: str) -> str:
    """The cell above where the row above belongs to the same field."""
    return "IF({first}=0,{%s:above},%s)" % (column, otherwise)


def _number(token: str, otherwise: str = "0") -> str:
    """A number, 0 where the cell is blank; SUM over INDEX takes no text in every engine."""
    return f'IF({{{token}}}="",{otherwise},{{{token}}})'


_LACKED = _above("harvest_lacks", '""')

FIELD_SEQUENCE = Table(
    "field_sequence",
    "Passes in the order of their fields",
    "Field by field in the order of time: the latest end of all re-entry intervals so far, and which passes "
    "join in one closed time.",
    (
        row_number(),
        working("order", "Order",
                'IF({row_no}>COUNT({reentry_spans.order:all}),"",SMALL({reentry_spans.order:all},{row_no}))'),
        working("row", "Row of the pass", "MATCH({order},{reentry_spans.order:all},0)", needs="order"),
        working("field_row", "Field row", _number("pass_volumes.field_row@row"), needs="row"),
        working("first", "First of its field",
                "IF(ISNUMBER({field_row:above}),IF({field_row}={field_row:above},0,1),1)",
                "count", needs="row"),
        working("start", "Start", "{reentry_spans.start_minute@row}/1440", "moment", needs="row",
                twin=lambda minute: minute / 1440, takes="reentry_spans.start_minute@row"),
        working("until", "Own interval ends", 'IF({row}="",0,%s)' % _number("reentry_spans.until@row"),
                "moment"),
        working("reach_before", "Closed before, at the most", _above("reach", "0"), "moment"),
        working("before", "Closed before", _above("latest", "0"), "moment"),
        working("before_row", "Closed before by pass", _above("latest_row", '""')),
        working("reach", "Closed, at the most",
                'MAX({reach_before},IF({row}="",0,{reentry_spans.reach@row}))', "moment"),
        working("latest", "Closed until", "MAX({before},{until})", "moment",
                source="40 CFR 170.407: nobody enters before the interval has passed, whichever application "
                       "set it"),
        working("latest_row", "Closed by pass", "IF({until}>{before},{row},{before_row})", needs="row"),
        working("joins", "Starts while closed", "IF({first}=0,IF(ROUND({reach_before}-{start},6)>0,1,0),0)",
                "count"),
        working("chain", "Closed time", "SUM({chain:above},1-{joins})", needs="row"),
        working("lacks", "Without an interval", 'IF({intervals.rei_missing@row}="","",{row})', needs="row"),
        working("doubt_row", "First without an interval",
                'IF(AND({joins}=1,{doubt_row:above}<>""),{doubt_row:above},{lacks})'),
        working("chain_end", "Last of the closed time",
                "IFERROR(MATCH({chain}+1,{chain:all},0)-1,COUNT({chain:all}))", needs="row"),
        working("open_at", "Opens", "{latest@chain_end}", "moment", needs="row"),
        working("open_row", "Opened last by pass", "{latest_row@chain_end}", needs="row"),
        working("open_doubt", "Not known because of pass", "{doubt_row@chain_end}", needs="row"),
        working("open_reach", "Closed time, at the most", "{reach@chain_end}", "moment", needs="row"),
        working("harvest", "Earliest harvest", 'IF({row}="",0,IF({intervals.after_harvest@row}=1,0,%s))'
                % _number("intervals.earliest_harvest@row"), "date"),
        working("harvest_before", "Earliest harvest before", _above("harvest_latest", "0"), "date"),
        working("harvest_latest", "Earliest harvest so far", "MAX({harvest_before},{harvest})", "date"),
        working("harvest_row", "Because of pass", "IF({harvest}>{harvest_before},{row},%s)"
                % _above("harvest_row", '""'), needs="row"),
        working("harvest_lacks", "First without a preharvest interval",
                f'IF({_LACKED}<>"",{_LACKED},IF(AND({{intervals.after_harvest@row}}=0,'
                f'{{intervals.phi_missing@row}}<>""),{{row}},""))', needs="row"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
    whole=closed_times,
    gives="reach_before before before_row reach latest latest_row joins doubt_row open_at open_row "
          "open_doubt open_reach",
)


def started_by(field_row: str, when: str) -> str:
    """Return the formula of how many passes on a field start before a moment of the farm's clock."""
    return ('COUNTIFS({pass_volumes.field_row:all},%s,{reentry_spans.start_minute:all},"<"&%s)'
            % (field_row, minute_of(universal(when))))


def _closed_at(first_place: str, started: str) -> str:
    return "INDEX({field_sequence.latest:all},%s+%s-1)" % (first_place, started)


def closed_on(prefix: str, header: str, field_row: str, day: str) -> tuple[Column, Column]:
    """Return the columns that say until when a field is closed to whoever goes in on a day,
    blank when it is open.

    Parameters
    ----------
    prefix, header : str
        Begin of the keys and headers.
    field_row, day : str
        Formulas of the field's row and of the day, blank where there is none.
    """
    latest, started = _closed_at("INDEX({field_intervals.first_place:all},%s)" % field_row,
                                 "{%s_started}" % prefix), "{%s_started}" % prefix
    return (
        working(f"{prefix}_started", f"{header}: passes started",
                'IF(OR(%s="",%s=""),0,%s)' % (field_row, day, started_by(field_row, f"({day}+1)")), "count"),
        working(f"{prefix}_closed", f"{header}: closed until, minute",
                f'IF({started}=0,"",IF(ROUND({latest}-({universal(day)}),6)>0,'
                f'{minute_of(by_the_clock(latest))},""))', "count"),
    )


def _planting(prefix: str, header: str) -> tuple[Column, ...]:
    """What a planting on a field meets: open, closed for part of the day, or closed all day."""
    day, before, closed = "{fields.%s_date}" % prefix, "{%s_before}" % prefix, "{%s_closed}" % prefix
    all_day = ('IF(%s=0,0,IF(ROUND(%s-(%s),6)>=0,1,0))' % (before, _closed_at("{first_place}", before),
                                                           universal(f"({day}+1)")))
    return (
        working(f"{prefix}_before", f"{header}: passes started before",
                'IF(OR({passes}=0,%s=""),0,%s)' % (day, started_by("{row_no}", day)), "count"),
        *closed_on(prefix, header, "{row_no}", f'IF({{passes}}=0,"",{day})'),
        working(f"{prefix}_status", f"{header}: status", f'IF({all_day}=1,"Not allowed","Review")', "status",
                needs=f"{prefix}_closed"),
        working(f"{prefix}_note", f"{header}: note", f'"Field is closed until "&{moment_text(closed)}',
                "text", needs=f"{prefix}_status"),
    )


def _ruling(doubt: str, known: str, row: str) -> str:
    """Name of the pass in doubt, or else of the one that rules."""
    return (f'IF({{passes}}=0,"",IF({{{doubt}}}<>"",{{pass_volumes.pass@{doubt}}},IF({{{known}}}="","",'
            f'INDEX({{pass_volumes.pass:all}},{{field_sequence.{row}@last_place}}))))')


def _at_last(doubt: str, column: str) -> str:
    """What the last pass of the field leaves; blank while it is in doubt, or 0."""
    return (f'IF(OR({{{doubt}}}<>"",{{field_sequence.{column}@last_place}}=0),"",'
            f'{{field_sequence.{column}@last_place}})')


FIELD_INTERVALS = Table(
    "field_intervals",
    "Intervals of the field",
    "When people may go back into each field and when its crop may be cut, whichever pass decides it.",
    (
        row_number(),
        result("field", "Field", or_blank("fields.field"), "name"),
        working("passes", "Passes", 'IF({field}="",0,COUNTIF({field_sequence.field_row:all},{row_no}))',
                "count"),
        working("first_place", "First in the order",
                'IF({passes}=0,"",MATCH({row_no},{field_sequence.field_row:all},0))'),
        working("last_place", "Last in the order", "{first_place}+{passes}-1", needs="first_place"),
        working("doubt_row", "Not known because of pass", "{field_sequence.doubt_row@last_place}",
                needs="last_place"),
        working("back_in_utc", "Back in, universal time", _at_last("doubt_row", "latest"), "moment",
                needs="last_place"),
        shown("back_in_from", "Back in from", "back_in_utc",
              note="After the last pass of the season; between passes see below.", source="40 CFR 170.407"),
        result("because_of_pass", "Because of pass", _ruling("doubt_row", "back_in_utc", "latest_row"),
               "name"),
        working("harvest_lacks", "Harvest not known because of pass",
                "{field_sequence.harvest_lacks@last_place}", needs="last_place"),
        result("earliest_harvest", "Earliest harvest", _at_last("harvest_lacks", "harvest_latest"), "date",
               needs="last_place", note="Of this season's crop."),
        result("harvest_because_of_pass", "Harvest because of pass",
               _ruling("harvest_lacks", "earliest_harvest", "harvest_row"), "name"),
        check("status", "Status",
              'IF({passes}=0,"",IF(COUNTIFS({pass_volumes.field_row:all},{row_no},'
              '{intervals.harvest_status:all},"Not allowed")>0,"Not allowed",'
              'IF(OR({doubt_row}<>"",{harvest_lacks}<>""),"Not entered","OK")))',
              note="Not allowed: harvest is planned before a pass allows it. Not entered: the pass named "
                   "lacks the interval of a product."),
        *_planting("planting", "Planting"),
        *_planting("next_planting", "Next planting"),
    ),
    rows="as:fields",
    kind="result",
    sheet="Intervals",
    whole=plantings,
    gives=" ".join(f"{crop}_{key}" for crop in ("planting", "next_planting")
                   for key in ("before", "started", "closed", "status", "note")),
)

def _worst_of_field(words: Sequence[str]) -> str:
    """Return the formula of the worst status of the passes of a field and of its intervals."""
    parts = "".join('IF(OR({field_intervals.status}="%s",COUNTIFS({pass_volumes.field_row:all},'
                    '{field_intervals.row_no},{pass_open.status:all},"%s")>0),"%s",' % (word, word, word)
                    for word in words)
    return parts + '{field_intervals.status}&""' + ")" * len(words)


FIELD_DAYS = Table(
    "field_days",
    "Days of the field",
    "The days of each field beside its cost: when people are back in and when its crop may be cut.",
    (
        result("back_in_from", "Back in from", or_blank("field_intervals.back_in_from"), "moment"),
        result("earliest_harvest", "Cut from", or_blank("field_intervals.earliest_harvest"), "date"),
        check("status", "Status", _worst_of_field(OPEN_STATUSES),
              note="The worst of all that is checked of the field's passes."),
    ),
    rows="as:fields",
    kind="result",
    sheet="Intervals",
)

SCOUTING_ENTRY = Table(
    "scouting_entry",
    "Scouting in closed fields",
    "Whether the field was closed on the day of each frame.",
    closed_on("frame", "Frame",
              'IF({scouting_facts.pass_row}="","",{pass_volumes.field_row@scouting_facts.pass_row})',
              or_blank("scouting.date")),
    rows="as:scouting",
    kind="working",
    sheet=SHEET,
    whole=scouting_entry,
)


def _inside(key: str, header: str) -> Column:
    """Declare how a planting meets the pass's own interval: 0 not, 1 for part of the day, 2 all day."""
    day = "{pass_crops.%s}" % key
    return working(
        f"{key}_inside", f"{header} inside",
        'IF(OR({own_minute}="",%s=0),0,IF(AND({own_minute}>%s*1440,{pass_times.start}<%s+1),'
        'IF(AND({pass_times.start}<%s,{own_minute}>=(%s+1)*1440),2,1),0))' % ((day,) * 5), "count",
        twin=definitions.inside, takes=f"pass_crops.{key} pass_times.start own_minute",
    )


_LOOKS = tuple((f"follow_up.{key}_look", f"follow_up.{key}_closed") for key in ("early", "first", "second"))
_LOOK_TEXT = '""'
for _day, _closed in reversed(_LOOKS):
    _LOOK_TEXT = ('IF({%s}<>"",%s&", closed until "&%s,%s)'
                  % (_closed, date_text("{%s}" % _day), moment_text("{%s}" % _closed), _LOOK_TEXT))
#: What falls into a closed field, and its column of the count or degree.
_PLANTED = 'IF({%s_inside}=0,"","; %s on "&%s&" falls into the re-entry interval, until "&{own_text})'
ENTRY_COLUMNS = (
    working("own_minute", "Own interval ends, minute", minute_of(by_the_clock("{reentry_spans.until}")),
            "count", needs="reentry_spans.until",
            twin=lambda until, *clock: nearest_minute(clock_of(*clock).shown(until)),
            takes=f"reentry_spans.until {CLOCK_CELLS}"),
    in_words("own_text", "Own interval ends, in words", "own_minute"),
    _inside("planted", "Planting"),
    _inside("next_planted", "Next planting"),
    working("closing_row", "Closed at its start by pass",
            'IF(ROUND({field_sequence.before@place}-{field_sequence.start@place},6)>0,'
            '{field_sequence.before_row@place},"")', needs="place"),
    working("one_trip", "Same trip",
            'IF({closing_row}="",0,IF(OR(AND({trips.together}=1,{trips.partner_row}={closing_row}),'
            "AND({trips.together@closing_row}=1,{trips.partner_row@closing_row}={pass_rows.row_no})),1,0))",
            "count"),
    working("foot", "On foot in a closed field",
            'IF(OR({closing_row}="",{one_trip}=1),0,IF({pass_volumes.sprayer_row}="",1,'
            'IF({sprayers.on_foot@pass_volumes.sprayer_row}="yes",2,'
            'IF({sprayers.on_foot@pass_volumes.sprayer_row}="no",0,1))))', "count",
            note="2: carried on foot; 1: not said; 0: driven, or not closed."),
    working("frames", "Frames in a closed field",
            'IF({pass}="",0,COUNTIFS({scouting_facts.pass_row:all},{pass_rows.row_no},'
            '{scouting_entry.frame_closed:all},">0"))', "count"),
    working("looks", "Looks back in a closed field",
            'IF({pass}="",0,COUNTIFS({look_facts.pass_row:all},{pass_rows.row_no},'
            '{look_facts.look_closed:all},">0"))', "count"),
    working("look_text", "Look planned in a closed field", _LOOK_TEXT, "text", twin=definitions.look_inside,
            takes=" ".join(" ".join(pair) for pair in _LOOKS)),
    check("entry_status", "Work in a closed field",
          'IF(MAX({planted_inside},{next_planted_inside},{foot})=2,"Not allowed",'
          'IF(OR(MAX({planted_inside},{next_planted_inside},{foot},{frames},{looks})>0,{look_text}<>""),'
          '"Review",IF({own_minute}="","","OK")))',
          needs="pass", source="40 CFR 170.407; the exceptions of 170.603 are narrow and never assumed"),
    check("entry_finding", "Work in a closed field, finding", "MID(%s,3,250)" % "&".join((
        _PLANTED % ("planted", "planting", date_text("{pass_crops.planted}")),
        _PLANTED % ("next_planted", "planting of the next crop", date_text("{pass_crops.next_planted}")),
        'IF({foot}=0,"","; the field is still closed by "&{pass_volumes.pass@closing_row}&" when this pass '
        'starts"&IF({foot}=2,", which is made on foot",": nobody may be on foot"))',
        'IF({look_text}="","","; look back on "&{look_text})',
        'IF({looks}=0,"","; "&{looks}&IF({looks}=1," look back was"," looks back were")&" made while the '
        'field was closed")',
        'IF({frames}=0,"","; "&{frames}&IF({frames}=1," frame was"," frames were")&" thrown while the field '
        'was closed")',
    )), "long_text"),
)


TABLES = (FIELD_INTERVALS, FIELD_DAYS, REENTRY_SPANS, FIELD_SEQUENCE, SCOUTING_ENTRY)
