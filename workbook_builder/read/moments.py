"""Dates and times of day, as cells or as text."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta
from typing import Any

from openpyxl.utils.datetime import from_excel

from workbook_builder.read.numbers import BadCell

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
        raise BadCell("date-too-early", f"{value.isoformat()} is before {FIRST_DATE.isoformat()}", "Type a later date")
    if value > LAST_DATE:
        raise BadCell("date-too-late", f"{value.isoformat()} is after {LAST_DATE.isoformat()}", "Type an earlier date")
    return value


def _as_moment(raw: Any, epoch: datetime, from_workbook: bool) -> datetime:
    if isinstance(raw, datetime):
        return raw
    if isinstance(raw, date):
        return datetime.combine(raw, time())
    if isinstance(raw, (int, float)) and from_workbook and SERIALS[0] <= raw <= SERIALS[1]:
        return _moment_of_serial(raw, epoch)
    if isinstance(raw, str):
        return _moment_of_text(raw)
    raise BadCell("not-a-date", f"{raw!s} is not a date", _DATE_FIX)


def _moment_of_serial(serial: float, epoch: datetime) -> datetime:
    found = from_excel(serial, epoch)
    if isinstance(found, datetime):
        return found
    raise BadCell("not-a-date", f"{serial} is not a date", _DATE_FIX)


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
