"""The season calendar as iCalendar text (RFC 5545), for the calendar of a phone or an office."""

from __future__ import annotations

import datetime as dt
import uuid
from collections import Counter
from collections.abc import Iterable
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from workbook_builder.core.views import PlainRow
from workbook_builder.features.calendar.views import calendar
from workbook_builder.planning import Plan

LONGEST_LINE = 75
PRODUCT = "-//workbook_builder//Season calendar//EN"
#: Names of events are made under this one, so that the same event keeps its name in every export.
NAMESPACE = uuid.uuid5(uuid.NAMESPACE_URL, "urn:workbook_builder:calendar")
CAUTION = "The label is the law; look at the workbook before anyone sprays or goes in."
#: Characters some programs take for the end of a line.
LINE_ENDS = ("\r\n", "\r", "\n", "\v", "\f", "\x1c", "\x1d", "\x1e", "\x85", "\u2028", "\u2029")
_SPECIAL = {"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"}


def escaped(text: str) -> str:
    """Return a text as a TEXT value: it can hold no line of its own.

    Parameters
    ----------
    text : str
        Whatever people typed.

    References
    ----------
    RFC 5545, section 3.3.11: backslash, semicolon, comma and line breaks are escaped; other control characters may not stand there.
    """
    for end in LINE_ENDS:
        text = text.replace(end, "\n")
    return "".join(_SPECIAL.get(sign) or (sign if _may_stand(sign) else "\ufffd") for sign in text)


def _may_stand(sign: str) -> bool:
    """Return whether a character is no control character and no half of one; a tab is."""
    point = ord(sign)
    return sign == "\t" or not (point < 0x20 or 0x7F <= point <= 0x9F or 0xD800 <= point <= 0xDFFF)


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


def plan_as_ics(plan: Plan, stamp: dt.datetime) -> str:
    """Return the calendar of a plan.

    Parameters
    ----------
    plan : Plan
    stamp : datetime
        Moment written as the time of making, so that the same plan gives the same text.

    Notes
    -----
    Clock times are universal where the farm's time zone is known, and else the clock of whoever looks.
    """
    farm = plan.tables["farm"][0]
    name = f"{farm['farm']}, season {plan.tables['farm'][0]['season']}"
    zone = _zone(str(farm["time_zone"]))
    lines = [
        "BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN", "METHOD:PUBLISH", f"NAME:{escaped(name)}",
    ]
    seen: Counter[str] = Counter()
    for row in calendar(plan):
        key = "|".join(str(row[part] or "") for part in ("what", "pass", "field"))
        seen[key] += 1
        identity = uuid.uuid5(NAMESPACE, f"{farm['farm']}|{farm['season']}|{key}|{seen[key]}")
        lines += _event(row, identity, stamp, zone)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded_line(line)}\r\n" for line in lines)


def _zone(name: str) -> ZoneInfo | None:
    try:
        return ZoneInfo(name) if name else None
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


def _event(row: PlainRow, identity: uuid.UUID, stamp: dt.datetime, zone: ZoneInfo | None) -> Iterable[str]:
    title = ": ".join(str(part) for part in (row["what"], row["field"]) if part)
    told = (row["subject"] and f"Mix or crop: {row['subject']}", row["pass"] and f"Pass: {row['pass']}", row["to_do"],
            row["who"] and f"Who: {row['who']}", row["done"] and "Done", row["status"] and f"Status: {row['status']}", CAUTION)
    yield "BEGIN:VEVENT"
    yield f"UID:{identity}"
    yield f"DTSTAMP:{stamp:%Y%m%dT%H%M%SZ}"
    yield f"DTSTART{day_or_moment(row['date'], row['time'], zone)}"
    if row["end"] and row["time"] and row["end"] > f"{row['date']}T{row['time']}":
        last_day, _, last_time = row["end"].partition("T")
        yield f"DTEND{day_or_moment(last_day, last_time, zone)}"
    yield f"SUMMARY:{escaped(title)}"
    yield f"DESCRIPTION:{escaped(chr(10).join(part for part in told if part))}"
    if row["field"]:
        yield f"LOCATION:{escaped(str(row['field']))}"
    yield f"CATEGORIES:{escaped(str(row['what']))}"
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def day_or_moment(day: str, time: str | None, zone: ZoneInfo | None) -> str:
    """Return what follows the name of a date property: a day, a moment, or a clock time where no zone is known.

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
