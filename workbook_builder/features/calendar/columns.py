"""The season calendar: everything that has a day, in the order of the days."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from workbook_builder.core.columns import FIXED, SETTING, WORKING, Column, Table
from workbook_builder.core.room import SHOWN_AHEAD
from workbook_builder.core.short import result, slot_number, working, worst_status
from workbook_builder.features.calendar.definitions import (
    DAYS_AHEAD,
    NEVER,
    SIGNS_DOWN_DAYS,
    closed_until,
    first_of_concern,
    mark_of_day,
    posted_until,
    signs_down_by,
)
from workbook_builder.features.clock.columns import date_text, moment_text
from workbook_builder.features.clock.definitions import minute_of
from workbook_builder.features.loads.lines import OF_PASS, of_first, outermost
from workbook_builder.features.records.definitions import record_due
from workbook_builder.features.reentry.columns import shown

SHEET = "Workings calendar"
#: Events are ordered by minute, then by their number, which stays below this.
EVENT_NUMBERS = 1_000_000
#: Events of fields come after those of passes at the same minute.
FIELD_EVENTS_FROM = 500_000


@dataclass(frozen=True)
class EventKind:
    """One kind of event.

    Parameters
    ----------
    name : str
        Printed in the calendar.
    who : str
        Setting that names who does it.
    to_do : str
        What to do, where nothing more urgent is known.
    when, done, status, note : str
        Formulas: the day or minute; ``"yes"`` when it was done; its status;
        what is known of it in particular.
    twin : callable, optional
        The second witness of `when`, where that is worked out.
    takes : str
        Cells the twin takes.
    """

    name: str
    who: str
    to_do: str
    when: str
    done: str = '""'
    status: str = '""'
    note: str = '""'
    twin: Callable[..., Any] | None = None
    takes: str = ""


_LOOKED = 'IF(OR({follow_up.looked}="",{when}=""),"",IF({follow_up.looked}>={when},"yes",""))'


def _of_look(which: str) -> dict[str, Any]:
    closed = "{follow_up.%s_closed}" % which
    return {
        "when": "{follow_up.%s_look}" % which, "done": _LOOKED,
        "status": 'IF({done}="yes",{follow_up.status},IF(%s="","","Review"))' % closed,
        "note": 'IF({done}="yes","Rated "&{follow_up.rating},IF(%s="","","Field is closed until "&%s))'
        % (closed, moment_text(closed)),
    }


_REENTRY: dict[str, Any] = {"status": "{intervals.reentry_status}"}

#: What comes of each pass, in the order it comes.
PASS_EVENTS: tuple[EventKind, ...] = (
    EventKind(
        "Spray", "who_sprays", "Look at wind, inversion and neighbours first", "{pass_times.start}",
        'IF(OR({pass_times.log_day}="",{records.left}<>""),"","yes")', "{pass_open.status}",
        'IF({passes.method}="","",{passes.method}&IF({passes.sprayer}="","",", ")&{passes.sprayer})'
        '&IF({records.left}="","","; "&{records.to_spray})&IF({pass_open.open}="","",IF({pass_open.open}=0,'
        '"","; "&{pass_open.open}&IF({pass_open.open}=1," point to fix"," points to fix")))',
    ),
    EventKind(
        "Re-entry from", "who_posts", "People may go back in when signs are down",
        'IF({intervals.reentry_at}<>"",{intervals.reentry_at},IF({intervals.reentry_status}="Not entered",'
        '{pass_times.last_day},""))',
        note="{intervals.reentry_finding}", **_REENTRY,
    ),
    EventKind(
        "Warning signs down by", "who_posts", "Take the signs down, at the latest now",
        'IF(OR({intervals.signs}=0,{intervals.reentry_at}=""),"",{intervals.reentry_at}+%d)'
        % SIGNS_DOWN_DAYS, **_REENTRY,
        twin=signs_down_by, takes="intervals.signs intervals.reentry_at",
    ),
    EventKind(
        "Last day of the central posting", "who_posts", "Take the posting down after this day",
        'IF(OR({pass_times.end}="",{intervals.reentry_status}="Not entered"),"",'
        'INT(IF({intervals.reentry_at}="",{pass_times.end},{intervals.reentry_at}))+display_days)',
        **_REENTRY,
        twin=posted_until, takes="pass_times.end intervals.reentry_status intervals.reentry_at "
                                 "assumptions.display_days",
    ),
    EventKind("Early look", "who_scouts",
              "Look for burn and leaves that were missed, and at the hot spots of the map",
              **_of_look("early")),
    EventKind("First look", "who_scouts", "Rate the control, note what came through", **_of_look("first")),
    EventKind("Second look", "who_scouts", "Rate the control, weigh a respray", **_of_look("second")),
    EventKind(
        "Record due", "who_records", "Write the record by this day",
        'IF({pass_times.day}="","",{pass_times.day}+record_days)',
        'IF({records.written_on}="","","yes")', "{records.status}",
        'IF({records.status}="OK","",{records.finding})',
        twin=lambda day, days: "" if day == "" else record_due(day, days),
        takes="pass_times.day assumptions.record_days",
    ),
    EventKind(
        "Customer's copy due", "who_records", "Give the customer the copy", "{records.copy_due}",
        'IF({records.copy_given_on}="","","yes")', "{records.status}",
        'IF({records.status}="OK","",{records.finding})',
    ),
)


def _typed(key: str) -> str:
    return 'IF({fields.field}="","",IF({fields.%s}="","",{fields.%s}))' % (key, key)


def _latest(topic: str) -> str:
    return 'IF({calendar_fields.%s_latest}=0,"",{calendar_fields.%s_latest})' % (topic, topic)


def _of_topic(topic: str) -> dict[str, Any]:
    return {"status": "{calendar_fields.%s_status}" % topic, "note": "{calendar_fields.%s_finding}" % topic}


def _planting(topic: str, entry: str) -> dict[str, Any]:
    """Status and note of a planting: what plant-back says of the crop,
    and what a re-entry interval says of people on the field.
    """
    status, finding = "{calendar_fields.%s_status}" % topic, "{calendar_fields.%s_finding}" % topic
    own, note = "{field_intervals.%s_status}" % entry, "{field_intervals.%s_note}" % entry
    return {
        "status": f'IF({own}="Not allowed",{own},IF(OR({status}="",{status}="OK"),IF({own}="",{status},'
                  f'{own}),{status}))',
        "note": f'{finding}&IF(OR({finding}="",{note}=""),"","; ")&{note}',
    }


#: What happens on each field, whichever pass decides its day.
FIELD_EVENTS: tuple[EventKind, ...] = (
    EventKind("Plant, earliest", "who_farms", "Not before this day", _latest("planting"),
              **_of_topic("planting")),
    EventKind("Plant", "who_farms", "Plant", _typed("planting_date"), **_planting("planting", "planting")),
    EventKind("Graze or feed from", "who_farms", "Not before this day", _latest("grazing"),
              **_of_topic("grazing")),
    EventKind("Harvest, earliest", "who_farms", "Not before this day", _latest("harvest"),
              **_of_topic("harvest")),
    EventKind("Harvest, planned", "who_farms", "Harvest", _typed("harvest_date"), **_of_topic("harvest")),
    EventKind("Plant the next crop, earliest", "who_farms", "Not before this day", _latest("plant_back"),
              **_of_topic("plant_back")),
    EventKind("Plant the next crop, planned", "who_farms", "Plant", _typed("next_planting_date"),
              **_planting("plant_back", "next_planting")),
)
#: Kinds of field events, counted from 0, that belong to the next crop.
NEXT_CROP_FROM = 5
TOPICS = {"planting": "Planting", "harvest": "Harvest", "grazing": "Grazing", "plant_back": "Plant-back"}
SEVERITIES = ("Not allowed", "Not entered", "Review", "OK")


def _severity_key(status: str) -> str:
    chain = "4"
    for severity in (3, 2, 1):
        chain = 'IF(%s="%s",%d,%s)' % (status, SEVERITIES[severity - 1], severity, chain)
    return 'IF(OR({pass_volumes.field_row}="",%s=""),"",{pass_volumes.field_row}*10+%s)' % (status, chain)


#: Topics that each line of a pass has a say in, with the table of the lines and the crop it is about.
LINE_TOPICS = {"planting": ("planting_checks", 0), "plant_back": ("plant_back_checks", 1)}


def _of_lines(topic: str) -> tuple[Column, ...]:
    """The latest day and the worst status among the lines of a pass."""
    day, status, finding = (f"{LINE_TOPICS[topic][0]}.{key}"
                            for key in ("earliest_planting", "status", "finding"))
    name = TOPICS[topic]
    return (
        working(topic, f"{name}: earliest", outermost(day), "date"),
        working(f"{topic}_status", f"{name} status", worst_status(f"{OF_PASS},{{{status}:all}}"), "status"),
        working(f"{topic}_finding", f"{name} finding", 'IF(OR({%s_status}="",{%s_status}="OK"),"",%s)'
                % (topic, topic, of_first(finding, status, "{%s_status}" % topic)), "text"),
        working(f"{topic}_key", f"Field and status: {name.lower()}", _severity_key("{%s_status}" % topic)),
    )


CALENDAR_PASSES = Table(
    "calendar_passes",
    "Calendar workings of passes",
    "What each pass says about its field.",
    (
        working("harvest_key", "Field and harvest status", _severity_key("{intervals.harvest_status}")),
        working("grazing_key", "Field and grazing status", _severity_key("{intervals.grazing_status}")),
        *(column for topic in LINE_TOPICS for column in _of_lines(topic)),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)

_LATEST = {"harvest": "SUM({field_intervals.earliest_harvest})"}
_DAYS = {"grazing": "intervals.earliest_grazing",
         **{topic: f"calendar_passes.{topic}" for topic in LINE_TOPICS}}


def _worst_row(number: str, keys: str) -> str:
    """Row of the worst status among keys of a number and a severity."""
    chain = '""'
    for severity in (4, 3, 2, 1):
        chain = "IFERROR(MATCH((%s)*10+%d,{%s:all},0),%s)" % (number, severity, keys, chain)
    return chain


def _latest_of(days: str, numbers: str, number: str) -> str:
    return "IFERROR(_xlfn.MAXIFS({%s:all},{%s:all},%s),0)" % (days, numbers, number)


def _of_topic_columns(topic: str, name: str) -> tuple[Column, ...]:
    row = "{%s_row}" % topic
    of_passes = (_LATEST[topic] if topic in _LATEST
                 else _latest_of(_DAYS[topic], "pass_volumes.field_row", "{row_no}"))
    worst = working(f"{topic}_row", f"{name}: pass with the worst status",
                    _worst_row("{row_no}", f"calendar_passes.{topic}_key"))
    table = "calendar_passes" if topic in LINE_TOPICS else "intervals"
    said = {key: 'IF(%s="","",INDEX({%s.%s_%s:all},%s)&"")' % (row, table, topic, key, row)
            for key in ("status", "finding")}
    earlier: tuple[Column, ...] = ()
    if topic in LINE_TOPICS:
        crop, rules = "{row_no}*2+%d" % LINE_TOPICS[topic][1], "{%s_rules}" % topic
        of_passes = (f"MAX({of_passes},"
                     f"{_latest_of('earlier_checks.earliest_planting', 'earlier_checks.crop_no', crop)})")
        before = "{%s_earlier}" % topic
        earlier = (
            working(f"{topic}_earlier", f"{name}: earlier spray with the worst status",
                    _worst_row(crop, "earlier_checks.crop_key")),
            working(f"{topic}_rules", f"{name}: the earlier spray rules",
                    'IF(%s="",0,IF(%s="",1,IF(INDEX({earlier_checks.severity:all},'
                    '%s)<MOD(INDEX({calendar_passes.%s_key:all},%s),10),1,0)))'
                    % (before, row, before, topic, row), "count"),
        )
        said = {key: 'IF(%s=1,INDEX({earlier_checks.%s:all},%s)&"",%s)' % (rules, key, before, formula)
                for key, formula in said.items()}
    return (
        working(f"{topic}_latest", f"{name}: latest of the passes", of_passes, "date"),
        worst,
        *earlier,
        working(f"{topic}_status", f"{name} status", said["status"], "status"),
        working(f"{topic}_finding", f"{name} finding", said["finding"], "text"),
    )


CALENDAR_FIELDS = Table(
    "calendar_fields",
    "Calendar workings of fields",
    "The day and the worst status that the passes leave each field.",
    (Column("row_no", "Row", "index", FIXED),
     *(column for topic, name in TOPICS.items() for column in _of_topic_columns(topic, name))),
    rows="as:fields",
    kind="working",
    sheet=SHEET,
)


def _columns(kinds: tuple[EventKind, ...], slots: str, numbers_from: int) -> tuple[Column, ...]:
    number = "({parent_no}-1)*{room.%s}+{slot}" % slots + (f"+{numbers_from}" if numbers_from else "")
    return (
        slot_number("Kind"),
        working("when", "When", tuple(kind.when for kind in kinds), "moment",
                twin=tuple(kind.twin for kind in kinds), takes=tuple(kind.takes for kind in kinds)),
        working("key", "Order", "ROUND(ROUND({when}*1440,4),0)*%d+%s" % (EVENT_NUMBERS, number), needs="when",
                twin=lambda when, slot, parent_no: minute_of(when) * EVENT_NUMBERS + numbers_from
                + (parent_no - 1) * len(kinds) + slot,
                note="Minute of the event, then its number."),
        working("done", "Done", tuple(kind.done for kind in kinds), "text"),
        working("status", "Status", tuple(kind.status for kind in kinds), "status"),
        working("note", "Note", tuple(kind.note for kind in kinds), "text"),
    )


PASS_EVENT_ROWS = Table(
    "pass_events",
    "Events of passes",
    "What comes of each pass: spraying, re-entry, postings, looks back and records.",
    _columns(PASS_EVENTS, "pass_events", 0),
    rows="under:passes:pass_events",
    kind="working",
    sheet="Workings pass events",
)

FIELD_EVENT_ROWS = Table(
    "field_events",
    "Events of fields",
    "What happens on each field: planting, grazing and harvest.",
    _columns(FIELD_EVENTS, "field_events", FIELD_EVENTS_FROM),
    rows="under:fields:field_events",
    kind="working",
    sheet="Workings field events",
)

CALENDAR_KINDS = Table(
    "calendar_kinds",
    "Kinds of events",
    "What the calendar lists, who does it and what is to do.",
    (
        Column("name", "Event", "name", FIXED),
        result("who", "Who", tuple(f'{kind.who}&""' for kind in (*PASS_EVENTS, *FIELD_EVENTS)), "name"),
        Column("to_do", "What to do", "long_text", FIXED),
    ),
    rows="given",
    kind="reference",
    sheet="Units and lists",
)

SEASON_CHOICE = Table(
    "season_choice",
    "First day shown",
    "Choose the day from which the first tab shows what comes.",
    (Column("from_date", "From", "date", SETTING,
            note="Blank begins with the first pass that is not logged, or with the last one when all are."),),
    rows="form",
    kind="setting",
)

COMING_FROM = Table(
    "coming_from",
    "Where what comes begins",
    "The first day shown.",
    (
        working("day", "First day shown",
                'INT(IF(ISNUMBER({season_choice.from_date}),{season_choice.from_date},'
                'IF(COUNT({pass_open.open_day:all})>0,MIN({pass_open.open_day:all}),'
                'MAX({pass_times.day:all}))))', "date"),
    ),
    rows="form",
    kind="working",
    sheet=SHEET,
)

#: Events of a pass that the days ahead show beside spraying and re-entry: the first and the last of a row.
_LOOKS = ("Early look", "First look", "Second look", "Record due")
#: Name of an event of a pass -> its number.
_KIND_OF = {kind.name: number for number, kind in enumerate(PASS_EVENTS, 1)}
_WHEN, _DONE, _KINDS = ("{pass_events.%s:block}" % key for key in ("when", "done", "slot"))

PASS_AHEAD = Table(
    "pass_ahead",
    "Passes in the days ahead",
    "On which of the days shown each pass is first of concern.",
    (
        working("reach_utc", "Closed at the most, universal time",
                "{field_sequence.open_reach@intervals.place}", "moment", needs="intervals.place"),
        shown("reach", "Closed at the most", "reach_utc", WORKING),
        working("doubt", "Closed for a time that nobody knows",
                'IF(AND({intervals.reentry_at}="",{intervals.reentry_status}="Not entered"),1,0)', "count"),
        working("until", "Field closed until",
                'IF(OR({pass_volumes.pass}="",{pass_times.day}=""),0,ROUND(MAX({pass_times.last_day}+1,'
                'IF({doubt}=1,MAX({reach},{pass_times.last_day}+1+unknown_reentry_days),'
                'SUM({intervals.reentry_at}))),6))', "moment", twin=closed_until,
                takes="pass_volumes.pass pass_times.day pass_times.last_day intervals.reentry_at doubt reach "
                      "assumptions.unknown_reentry_days",
                note="Never before the end of the last day of spraying. With an interval nobody entered, as "
                     "many days as the settings count it for, and as long as any other runs."),
        working("left_out", "Left out",
                'IF(AND({until}=0,OR({passes.pass}<>"",{passes.field}<>"")),1,0)', "count",
                note="A pass without a day or a name."),
        working("field_no", "Number of the field",
                'IF({pass_volumes.field_row}="",-{pass_rows.row_no},{pass_volumes.field_row})', "count",
                note="Negative, one a pass, where the field is not known."),
        working("next", "Next look or record", "IFERROR(_xlfn.MINIFS(%s,%s,\">=\"&{coming_from.day},%s,"
                "\">=%d\",%s,\"<=%d\",%s,\"<>yes\"),0)" % (_WHEN, _WHEN, _KINDS, _KIND_OF[_LOOKS[0]], _KINDS,
                                            _KIND_OF[_LOOKS[-1]], _DONE), "date"),
        working("first", "First day",
                'IF({until}=0,"",MIN(IF(AND({pass_times.day}<{coming_from.day}+%d,{until}>{coming_from.day}),'
                'MAX({pass_times.day},{coming_from.day}),%d),'
                'IF(AND({next}>0,{next}<{coming_from.day}+%d),{next},%d)))'
                % (DAYS_AHEAD, NEVER, DAYS_AHEAD, NEVER), twin=first_of_concern,
                takes="coming_from.day pass_times.day until next"),
        working("key", "Order", 'IF(OR({first}="",{first}=%d),"",{first}*%d+{pass_rows.row_no})'
                % (NEVER, EVENT_NUMBERS)),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)


def _open_event(name: str) -> Column:
    """Declare the day of an event of the pass of a line that is still to be done."""
    at = "({row}-1)*{room.pass_events}+%d" % _KIND_OF[name]
    done, when = ("INDEX({pass_events.%s:all},%s)" % (key, at) for key in ("done", "when"))
    return working(name.split()[0].lower(), name, f'IF({done}="yes","",{when})', "date", needs="row")


def _closing(day: str, doubt: int) -> str:
    """Return the formula of how many passes close the field of a line on a day, whichever pass they are."""
    return ('COUNTIFS({pass_ahead.field_no:all},{field_no},{pass_times.day:all},"<="&%s,'
            '{pass_ahead.until:all},">"&%s,{pass_ahead.doubt:all},%d)' % (day, day, doubt))


def _line(first: str, others: str) -> str:
    """Return a formula of the days ahead, whose first line tells the days and each other one a pass."""
    return "IF({slot}=1,%s,%s)" % (first, others)


def _day_ahead(number: int) -> Column:
    """Declare what each pass of the list brings on one of the days ahead, counted from 0;
    the first line tells the day of the month.
    """
    day = "({coming_from.day}+%d)" % number
    of_pass = ('IF({row}="","",IF(AND({sprayed}<=%s,{to}>=%s),"S",IF(%s>0,"?",IF(%s>0,"C",'
               'IF(OR({early}=%s,{first}=%s,{second}=%s),"L",IF({record}=%s,"R",""))))))'
               % (day, day, _closing(day, 1), _closing(day, 0), *[day] * 4))
    return result(f"day_{number + 1}", str(number + 1),
                  _line('IF({coming_from.day}=0,"",DAY(%s)&"")' % day, of_pass), "day_mark", width=2.55,
                  twin=partial(mark_of_day, ahead=number),
                  takes="slot row coming_from.day sprayed to field_no pass_ahead.field_no:all "
                        "pass_times.day:all pass_ahead.until:all pass_ahead.doubt:all early first second "
                        "record")


#: How many passes cannot stand among the days ahead.
_LEFT_OUT = "SUM({pass_ahead.left_out:all})"

AHEAD = Table(
    "ahead",
    "The next 14 days",
    "The passes of the days from the first day shown: sprayed, the field closed by whichever pass, to be "
    "looked at, record due.",
    (
        slot_number(),
        result("field", "Field", _line('IF({coming_from.day}=0,"",%s)' % date_text("{coming_from.day}"),
                                       'IF({row}="","",{pass_volumes.field@row})'), "name"),
        result("pass", "Pass",
               _line('IF({coming_from.day}=0,"",MIN(%d,COUNT({pass_ahead.key:all}))&" of "'
                     '&COUNT({pass_ahead.key:all}))&IF(%s=0,"",IF({coming_from.day}=0,"","; ")&%s'
                     '&" left out")' % (SHOWN_AHEAD - 1, _LEFT_OUT, _LEFT_OUT),
                     'IF({row}="","",{pass_volumes.pass@row})'), "name"),
        *map(_day_ahead, range(DAYS_AHEAD)),
        result("status", "Status", _line('IF(%s=0,"","Not entered")' % _LEFT_OUT,
                                         'IF({row}="","",{pass_open.status@row})'), "status"),
        working("row", "Row of the pass",
                'IFERROR(MOD(SMALL({pass_ahead.key:all},{slot}-1),%d),"")' % EVENT_NUMBERS,
                note="Blank in the first line, which tells the days."),
        working("sprayed", "Sprayed from", "{pass_times.day@row}", "date", needs="row"),
        working("to", "Sprayed to", "{pass_times.last_day@row}", "date", needs="row"),
        working("field_no", "Number of the field", "{pass_ahead.field_no@row}", "count", needs="row"),
        *map(_open_event, _LOOKS),
    ),
    rows="list:ahead",
    kind="result",
    caution="A pass without a date or a name cannot stand here and closes no day: the first line counts them "
            "as left out. A ? is a field closed for a time that nobody entered. The label and the signs in "
            "the field govern.",
)

TABLES = (SEASON_CHOICE, COMING_FROM, AHEAD, CALENDAR_KINDS, CALENDAR_PASSES, CALENDAR_FIELDS,
          PASS_EVENT_ROWS, FIELD_EVENT_ROWS, PASS_AHEAD)
