"""The season calendar as iCalendar text (RFC 5545), for the calendar of a phone or an office."""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

from workbook_builder.check.season import zone_named
from workbook_builder.core.columns import NOT_ALLOWED
from workbook_builder.core.views import PlainRow
from workbook_builder.features.calendar.views import calendar
from workbook_builder.planning import Plan

LONGEST_LINE = 75
PRODUCT = "-//workbook_builder//Season calendar//EN"
#: Names of events are made under this one, so that the same event keeps its name in every export.
NAMESPACE = uuid.uuid5(uuid.NAMESPACE_URL, "urn:workbook_builder:calendar")
CAUTION = "The label is the law; look at the workbook before anyone sprays or goes in."
LARGEST = 20_000_000
#: What a setting of the alarms means, as a duration (RFC 5545, section 3.3.6).
ALARMS = {"1 hour before": "-PT1H", "1 day before": "-P1D", "2 days before": "-P2D"}
#: A day that is the earliest for something, and the planned day of the same thing.
PLANNED = {"Plant, earliest": "Plant", "Harvest, earliest": "Harvest, planned",
           "Plant the next crop, earliest": "Plant the next crop, planned"}
_OURS, _STAMP = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}"), re.compile(r"\d{8}T\d{6}Z")
LINE_ENDS = ("\r\n", "\r", "\n", "\v", "\f", "\x1c", "\x1d", "\x1e", "\x85", "\u2028", "\u2029")
_SPECIAL = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"})
#: Control characters but for tabs and ends of lines, and halves of characters.
_FORBIDDEN = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]")


def escaped(text: str) -> str:
    """Return a text as a TEXT value: it can hold no line of its own.

    Parameters
    ----------
    text : str
        Whatever people typed.

    References
    ----------
    RFC 5545, section 3.3.11: backslash, semicolon, comma and line breaks are escaped;
    other control characters may not stand there.
    """
    for end in LINE_ENDS:
        text = text.replace(end, "\n")
    return _FORBIDDEN.sub("\ufffd", text).translate(_SPECIAL)


def folded_line(line: str) -> str:
    """Return a content line in pieces of at most 75 octets, none of them splitting a character.

    References
    ----------
    RFC 5545, section 3.1: a long line goes on after a line break and one space.
    """
    pieces, room = [b""], LONGEST_LINE
    for sign in line:
        octets = sign.encode("utf-8")
        if len(pieces[-1]) + len(octets) > room:
            # The space that opens a further line counts.
            pieces.append(b"")
            room = LONGEST_LINE - 1
        pieces[-1] += octets
    return "\r\n ".join(piece.decode("utf-8") for piece in pieces)


def plan_as_ics(plan: Plan, stamp: dt.datetime, earlier: str = "") -> str:
    """Return the calendar of a plan, as what follows on an earlier one of ours.

    Parameters
    ----------
    plan : Plan
    stamp : datetime
        Moment of making, universal: that of every event that is new or has changed.
    earlier : str
        The calendar written before, where there is one.  An event that has not changed stays as it stands
        there, one that has
        gets the next sequence number, and one that is gone is told as cancelled,
        so that programs which hold it let it go.

    References
    ----------
    RFC 5545, sections 3.8.7.2 to 3.8.7.4 (time stamps and sequence), and RFC 5546, section 2.1.5:
    of two events of one name the
    one with the higher sequence number counts, at the same number the later stamp.

    Notes
    -----
    Clock times are universal where the farm's time zone is known, and else the clock of whoever looks.
    """
    farm = plan.tables["farm"][0]
    zone, alarm = (zone_named(farm["time_zone"]),
                   ALARMS.get(str(plan.tables["assumptions"][0]["calendar_alarm"]), ""))
    name = f"{farm['farm']}, season {farm['season']}"
    lines = [
        "BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN", "METHOD:PUBLISH",
        f"NAME:{escaped(name)}",
    ]
    before, seen, kept = events_in(earlier), Counter[str](), set[str]()
    for row, floor in things_to_do(calendar(plan)):
        key = "|".join(str(row[part] or "") for part in ("what", "pass", "field"))
        seen[key] += 1
        identity = str(uuid.uuid5(NAMESPACE, f"{farm['farm']}|{farm['season']}|{key}|{seen[key]}"))
        kept.add(identity)
        lines += _stamped(identity, list(_event(row, floor, zone, alarm)), before.get(identity), stamp)
    for identity, event in before.items():
        if identity not in kept:
            told = [line for line in event.lines
                    if line.split(":")[0].split(";")[0] in ("DTSTART", "SUMMARY")]
            lines += _stamped(identity, [*told, "STATUS:CANCELLED"], event, stamp)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded_line(line)}\r\n" for line in lines)


@dataclass(frozen=True)
class Event:
    """An event of an earlier file: its sequence number, its stamp, and its other lines in order."""

    sequence: int
    stamp: str
    lines: tuple[str, ...]


def events_in(text: str) -> dict[str, Event]:
    """Return the events of a calendar of ours by their names; whatever cannot be read counts as not there."""
    found: dict[str, Event] = {}
    if len(text) > LARGEST or f"PRODID:{PRODUCT}" not in text:
        return found
    for part in text.replace("\r\n", "\n").replace("\n ", "").split("BEGIN:VEVENT\n")[1:]:
        lines = part.split("\nEND:VEVENT")[0].split("\n")
        named = {name: value for name, colon, value in (line.partition(":") for line in lines) if colon}
        identity, sequence, stamp = named.get("UID", ""), named.get("SEQUENCE", "0"), named.get("DTSTAMP", "")
        if _OURS.fullmatch(identity) and sequence.isdecimal() and _STAMP.fullmatch(stamp):
            told = tuple(line for line in lines
                         if line.split(":")[0] not in ("UID", "SEQUENCE", "DTSTAMP", "LAST-MODIFIED"))
            found[identity] = Event(int(sequence), stamp, told)
    return found


def _stamped(identity: str, told: list[str], before: Event | None, stamp: dt.datetime) -> Iterable[str]:
    """Give an event with its number and stamps: as before where it says the same, else the next ones."""
    same = before is not None and before.lines == tuple(told)
    made = before.stamp if before is not None and same else f"{stamp:%Y%m%dT%H%M%SZ}"
    if before is not None and not same:
        # A clock that was set back must not make news look older than what they replace.
        made = max(made, before.stamp)
    sequence = 0 if before is None else before.sequence + (not same)
    yield from ("BEGIN:VEVENT", f"UID:{identity}", f"DTSTAMP:{made}", f"LAST-MODIFIED:{made}",
                f"SEQUENCE:{sequence}", *told, "END:VEVENT")


def things_to_do(rows: Iterable[PlainRow]) -> Iterator[tuple[PlainRow, str]]:
    """Give one event for each thing to do: a day that is planned takes in the earliest one,
    which it is told with.
    """
    rows = list(rows)
    planned = {(row["what"], row["field"]) for row in rows}
    floors = {(PLANNED.get(str(row["what"])), row["field"]): str(row["date"]) for row in rows}
    for row in rows:
        if (PLANNED.get(str(row["what"])), row["field"]) not in planned:
            yield row, floors.get((row["what"], row["field"]), "")


def _event(row: PlainRow, floor: str, zone: ZoneInfo | None, alarm: str) -> Iterable[str]:
    title = ": ".join(str(part) for part in ((row["status"] == NOT_ALLOWED and not row["done"])
                                             and NOT_ALLOWED.upper(), row["what"], row["field"]) if part)
    told = (row["subject"] and f"Mix or crop: {row['subject']}", row["pass"] and f"Pass: {row['pass']}",
            row["to_do"], floor and f"Not before {floor}",
            row["who"] and f"Who: {row['who']}", row["done"] and "Done",
            row["status"] and f"Status: {row['status']}", CAUTION)
    yield f"DTSTART{day_or_moment(row['date'], row['time'], zone)}"
    if row["end"] and row["time"] and row["end"] > f"{row['date']}T{row['time']}":
        last_day, _, last_time = row["end"].partition("T")
        yield f"DTEND{day_or_moment(last_day, last_time, zone)}"
    yield f"SUMMARY:{escaped(title)}"
    yield f"DESCRIPTION:{escaped(chr(10).join(part for part in told if part))}"
    if row["field"]:
        yield f"LOCATION:{escaped(str(row['field']))}"
    yield f"CATEGORIES:{escaped(str(row['what']))}"
    yield "STATUS:CONFIRMED"
    yield "TRANSP:TRANSPARENT"
    if alarm and not row["done"]:
        yield from ("BEGIN:VALARM", "ACTION:DISPLAY", f"DESCRIPTION:{escaped(title)}",
                    f"TRIGGER:{alarm}", "END:VALARM")


def day_or_moment(day: str, time: str | None, zone: ZoneInfo | None) -> str:
    """Return what follows the name of a date property: a day, a moment,
    or a clock time where no zone is known.

    Parameters
    ----------
    day : str
        ISO date.
    time : str or None
        Hours and minutes; None for the whole day.
    zone : ZoneInfo or None
    """
    if time is None:
        return f";VALUE=DATE:{day.replace('-', '')}"
    clock = dt.datetime.fromisoformat(f"{day}T{time}")
    if zone is None:
        return f":{clock:%Y%m%dT%H%M%S}"
    # A time that the clock shows twice is the second one, so that no interval ends too early.
    return f":{clock.replace(tzinfo=zone, fold=1).astimezone(dt.UTC):%Y%m%dT%H%M%SZ}"


def following(plan: Plan, path: Path) -> str:
    """Return the calendar of a plan as what follows on the one that stands under a path, stamped now."""
    try:
        earlier = (path.read_text(encoding="utf-8", errors="replace") if path.is_file()
                   and path.stat().st_size <= LARGEST else "")
    except OSError:
        earlier = ""
    return plan_as_ics(plan, dt.datetime.now(dt.UTC), earlier)
