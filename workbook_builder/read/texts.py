"""Names, dates and times, and other text: tidied, and refused where a cell or a lookup could not hold them.
"""

from __future__ import annotations

import re
import unicodedata
from datetime import date, datetime, time, timedelta
from typing import Any

from openpyxl.utils.datetime import from_excel

from workbook_builder.check.problems import folded
from workbook_builder.read.numbers import BadCell

#: A lookup finds no text of more than 255 characters, and some lookups join two names.
LONGEST_NAME = 120
LONGEST_LINE = 255
LONGEST_TEXT = 32_767
WILDCARDS = "*?~|"
FORMULA_STARTS = "=+-@"

_DATES = (date, time, timedelta)


def read_text(raw: Any, longest: int = LONGEST_LINE, keep_lines: bool = False) -> str:
    """Return the text of a cell, stripped and with inner spacing collapsed.

    Parameters
    ----------
    raw : object
        Text, or a number typed where text belongs.
    longest : int
        Most characters allowed.
    keep_lines : bool
        Whether line breaks stay.

    Raises
    ------
    BadCell
        For dates and truth values, hidden characters and text that is too long.
    """
    if isinstance(raw, bool):
        raise BadCell("not-text", f"the cell holds {str(raw).upper()}, not text",
                      "Type the text, for instance yes or no")
    if isinstance(raw, _DATES):
        message = (f"the cell holds a date or time ({raw}), not text; spreadsheets turn names such as 1-2 "
                   f"into dates")
        raise BadCell("not-text", message, "Format the cell as text and type the name again")
    text = str(int(raw)) if isinstance(raw, float) and raw.is_integer() else str(raw)
    for character in text:
        # Cc: control; Cs: half a surrogate pair, which no file can hold.
        if character in "\t\n\r":
            continue
        if unicodedata.category(character) in ("Cc", "Cs") or character in "\ufffe\uffff":
            code = f"U+{ord(character):04X}"
            raise BadCell("control-character", f"the text holds the hidden character {code}",
                          "Type the text again")
    lines = [" ".join(line.split()) for line in text.splitlines()]
    tidy = unicodedata.normalize("NFC", ("\n" if keep_lines else " ").join(lines).strip())
    if cell_length(tidy) > longest:
        raise BadCell("too-long", f"the text is {cell_length(tidy)} characters long",
                      f"Use at most {longest} characters")
    return tidy


def cell_length(text: str) -> int:
    """Return the length of a text as spreadsheet programs count it: signs beyond the basic plane count twice.
    """
    return len(text) + sum(character > "\uffff" for character in text)


def read_name(raw: Any) -> str:
    """Return a name: text that lookups and drop-downs can find again.

    Raises
    ------
    BadCell
        For what `read_text` refuses, and for characters that lookups would misread.
    """
    name = " ".join(read_text(raw, LONGEST_NAME).split())
    for character in name:
        if character in WILDCARDS:
            fix = f"Use a name without {' '.join(WILDCARDS)}"
            raise BadCell("wildcard-in-name", f"the name {name!r} holds {character!r}", fix)
        if unicodedata.category(character) == "Cf":
            message = f"the name {name!r} holds the hidden character U+{ord(character):04X}"
            raise BadCell("control-character", message, "Type the name again")
    return name


def read_choice(raw: Any, choices: tuple[str, ...], also: tuple[tuple[str, str], ...] = ()) -> str | None:
    """Return the canonical spelling of a choice, or None when the text is none of them.

    Parameters
    ----------
    raw : object
    choices : tuple of str
    also : tuple of (str, str)
        Further words, each with the choice it stands for.
    """
    if isinstance(raw, bool) and {"yes", "no"} <= set(choices):
        return "yes" if raw else "no"
    text = read_text(raw)
    by_spelling = ({folded(word): choice for word, choice in also}
                   | {folded(choice): choice for choice in choices})
    # A second look without any spaces, so that %w/w finds % w/w.
    by_letters = {folded(choice).replace(" ", ""): choice for choice in choices}
    return by_spelling.get(folded(text)) or by_letters.get(folded(text).replace(" ", ""))


#: Encodings in which programs open what was saved as UTF-8.
_MISTAKEN = ("cp1252", "latin-1", "cp850", "cp437", "mac_roman")
_LOST = "\ufffd"


def is_garbled(text: str) -> bool:
    """Return whether letters of a text were lost or changed on its way through programs."""
    return _LOST in text or mended_letters(text) != ""


def mended_letters(text: str) -> str:
    """Return what a text said before it was opened in a wrong encoding, blank when it was not.

    Examples
    --------
    >>> mended_letters("Ca\u00c3\u00b1ada")
    'Ca\u00f1ada'
    """
    for encoding in _MISTAKEN:
        try:
            mended = text.encode(encoding).decode("utf-8")
        except UnicodeError:
            continue
        return mended if mended != text else ""
    return ""


#: Before this day spreadsheet programs count days differently (they know a 29 February 1900).
FIRST_DATE = date(1900, 3, 1)
#: Nobody plans further; beyond the year 9999 there are no days to count.
LAST_DATE = date(2119, 1, 10)
#: Plain numbers in a date column that are taken for day serials: years 1954 to 2119.
SERIALS = (20000, 80000)

_DATE = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})", re.ASCII)
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})(?::(\d{2})(?:\.0+)?)?\s*([ap]\.?m\.?)?", re.ASCII | re.IGNORECASE)
_DATE_FIX = "Type the date as year-month-day, for instance 2026-05-14"
_TIME_FIX = "Type the time as hours and minutes, for instance 07:30"


def read_date(raw: Any, epoch: datetime, from_workbook: bool) -> date:
    """Return the date a cell holds.

    Parameters
    ----------
    raw : object
        A date, ISO text, or (in workbooks only) a day serial.
    epoch : datetime.datetime
        Day 0 of the workbook's serials.
    from_workbook : bool
        Whether a plain number may be a serial.

    Raises
    ------
    BadCell
        When the cell holds no date, or one before `FIRST_DATE` or after `LAST_DATE`.
    """
    value = _as_moment(raw, epoch, from_workbook).date()
    if value < FIRST_DATE:
        raise BadCell("date-too-early", f"{value.isoformat()} is before {FIRST_DATE.isoformat()}",
                      "Type a later date")
    if value > LAST_DATE:
        raise BadCell("date-too-late", f"{value.isoformat()} is after {LAST_DATE.isoformat()}",
                      "Type an earlier date")
    return value


def _as_moment(raw: Any, epoch: datetime, from_workbook: bool) -> datetime:
    if isinstance(raw, datetime):
        return raw
    if isinstance(raw, date):
        return datetime.combine(raw, time())
    if isinstance(raw, (int, float)) and from_workbook and SERIALS[0] <= raw <= SERIALS[1]:
        found = from_excel(raw, epoch)
        if isinstance(found, datetime):
            return found
        raise BadCell("not-a-date", f"{raw} is not a date", _DATE_FIX)
    if isinstance(raw, str):
        return _moment_of_text(raw)
    raise BadCell("not-a-date", f"{raw!s} is not a date", _DATE_FIX)


def _moment_of_text(text: str) -> datetime:
    day, _, clock = text.strip().replace("T", " ").partition(" ")
    match = _DATE.fullmatch(day)
    if not match:
        raise BadCell("not-a-date", f"{text!r} is not a date that reads the same everywhere", _DATE_FIX)
    try:
        found = date(int(match[1]), int(match[2]), int(match[3]))
    except ValueError:
        raise BadCell("not-a-date", f"{text!r} is not in the calendar", _DATE_FIX) from None
    return datetime.combine(found, _time_of_text(clock) if clock.strip() else time())


def read_moment(raw: Any, epoch: datetime, from_workbook: bool) -> datetime:
    """Return the date and time a cell holds (midnight when only a date is there)."""
    moment = _as_moment(raw, epoch, from_workbook)
    read_date(moment, epoch, from_workbook)
    return (moment + timedelta(microseconds=500_000)).replace(microsecond=0)


def has_time(raw: Any) -> bool:
    """Whether a date cell also holds a time of day other than midnight."""
    if isinstance(raw, str):
        try:
            raw = _moment_of_text(raw)
        except BadCell:
            return False
    return isinstance(raw, datetime) and raw.time() != time()


def read_time(raw: Any, from_workbook: bool) -> time:
    """Return the time of day a cell holds, to the second.

    Parameters
    ----------
    raw : object
        A time, text such as ``07:30`` or ``7:30 pm``, or (in workbooks only) a fraction of a day.

    Raises
    ------
    BadCell
        When the cell holds no time of day.
    """
    if isinstance(raw, time):
        return _time_of_seconds(raw.hour * 3600 + raw.minute * 60 + raw.second + raw.microsecond / 1e6, raw)
    if isinstance(raw, timedelta):
        return _time_of_seconds(raw.total_seconds(), raw)
    if isinstance(raw, (int, float)) and from_workbook:
        return _time_of_seconds(raw * 86400, raw)
    if isinstance(raw, str):
        return _time_of_text(raw)
    raise BadCell("not-a-time", f"{raw!s} is not a time of day", _TIME_FIX)


def _time_of_seconds(seconds: float, raw: Any) -> time:
    whole = round(seconds)
    if not 0 <= whole < 86400:
        raise BadCell("not-a-time", f"{raw!s} is not a time of day", _TIME_FIX)
    return time(whole // 3600, whole // 60 % 60, whole % 60)


def _time_of_text(text: str) -> time:
    match = _CLOCK.fullmatch(text.strip())
    if not match:
        raise BadCell("not-a-time", f"{text!r} is not a time of day", _TIME_FIX)
    hour, half = int(match[1]), (match[4] or "").replace(".", "").lower()
    if half and not 1 <= hour <= 12:
        raise BadCell("not-a-time", f"{text!r} is not a time of day", _TIME_FIX)
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    try:
        return time(hour, int(match[2]), int(match[3] or 0))
    except ValueError:
        raise BadCell("not-a-time", f"{text!r} is not a time of day", _TIME_FIX) from None
