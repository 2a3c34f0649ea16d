"""Days of the calendar, and the order of its events."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import timedelta
from typing import Any

from workbook_builder.core.columns import NOT_ENTERED
from workbook_builder.core.draft import EPOCH
from workbook_builder.core.rounding import rounded
from workbook_builder.features.records.definitions import display_until

#: Days that the first tab shows, from its first day on.
DAYS_AHEAD = 14
#: A day after all others.
NEVER = 9_999_999
#: Days within which warning signs come down after a re-entry interval [d]: 40 CFR 170.409(b).
SIGNS_DOWN_DAYS = 3


def signs_down_by(signs: float, reentry_at: float | str) -> float | str:
    """Return by when warning signs must be down [day number].

    Blank where none are needed or re-entry is not known.

    Parameters
    ----------
    signs : float
        0 where none are needed.
    reentry_at : float or ""
        End of the re-entry interval [day number].

    References
    ----------
    40 CFR 170.409(b): signs are removed within three days after the interval.
    """
    return "" if not signs or reentry_at == "" else float(reentry_at) + SIGNS_DOWN_DAYS


def posted_until(end: float | str, status: str, reentry_at: float | str, days: float) -> float | str:
    """Return the last day of the central posting [day number].

    Blank where the application or its interval is not known.

    Parameters
    ----------
    end : float or ""
        End of the application [day number].
    status : str
        Status of its re-entry.
    reentry_at : float or ""
        End of the re-entry interval, blank where there is none [day number].
    days : float
        Days it stays posted [d].
    """
    if end == "" or status == NOT_ENTERED:
        return ""
    return display_until(float(end if reentry_at == "" else reentry_at), int(days))


def merged(passes: Iterable[Mapping[str, Any]], fields: Iterable[Mapping[str, Any]]) -> list[tuple[int, int]]:
    """Return (source, row counted from 1) of every event in the order of the keys.

    Parameters
    ----------
    passes, fields : iterable of rows
        Events, those without a day included.
    """
    dated = [(row["key"], source, n) for source, rows in ((1, passes), (2, fields))
             for n, row in enumerate(rows, 1) if row["key"] != ""]
    return [(source, n) for _, source, n in sorted(dated)]


def closed_until(name: str, day: float | str, last_day: float, reentry_at: float | str, doubt: float,
                 reach: float | str, unknown: float) -> float:
    """Return until when a pass keeps its field closed [day number]; 0 for no pass, or one without a day.

    Parameters
    ----------
    name : str
        Of the pass.
    day : float or ""
        Day of spraying, blank where there is none.
    last_day : float
        Day on which the spraying ends: the field is closed to its end.
    reentry_at : float or ""
        End of the re-entry interval, blank where it is not known or there is none.
    doubt : float
        1 where it is not known.
    reach : float or ""
        Where it is not known, the end of all intervals that run into one another, at the most.
    unknown : float
        Days that an interval nobody entered counts for.

    References
    ----------
    40 CFR 170.407: nobody enters before the interval has passed.
    """
    if "" in (name, day):
        return 0
    ends = [last_day + 1]
    if doubt:
        ends += [last_day + 1 + unknown, *([] if reach == "" else [float(reach)])]
    elif reentry_at != "":
        ends.append(float(reentry_at))
    return rounded(max(ends), 6)


def first_of_concern(start: float, day: float | str, until: float, following: float) -> float | str:
    """Return the first of the days shown on which a pass is sprayed, its field closed,
    or something of it is to be done [day number]; `NEVER` where there is none.

    Parameters
    ----------
    start : float
        First day shown.
    day : float or ""
        Day of spraying, blank where there is none.
    until : float
        End of the time the field is closed, 0 for no pass.
    following : float
        Next look or record from the first day shown, 0 where there is none.
    """
    if not until:
        return ""
    days = [start + ahead for ahead in range(DAYS_AHEAD)]
    return min((each for each in days if float(day) <= each < until or each == following), default=NEVER)


def mark_of_day(
    slot: int, row: float | str, start: float, sprayed: float, to: float, field: float,
    fields: Sequence[float], sprays: Sequence[float | str], untils: Sequence[float], doubts: Sequence[float],
    early: float | str, first: float | str, second: float | str, record: float | str, ahead: int
) -> str:
    """Return the letter of what a pass brings on a day: S sprayed, ? its field closed for a time that nobody
    knows, C closed, L to be looked at, R record due; blank for nothing.  The first line tells the day of the
    month instead.

    Parameters
    ----------
    slot : int
        Line, counted from 1.
    row : float or ""
        Row of the pass, blank where there is none.
    start : float
        First day shown [day number], 0 where there is none.
    sprayed, to : float
        First and last day of spraying [day number].
    field : float
        Number of its field.
    fields, sprays, untils, doubts : sequence
        Of every pass: its field, the day of spraying and the end of the time the field is closed [day
        number], and 1 where that is not known.
    early, first, second, record : float or ""
        Days of what is still to be done [day number].
    ahead : int
        Days from the first day shown [d].

    References
    ----------
    40 CFR 170.407: nobody enters before the interval has passed, whichever application set it.
    """
    day = start + ahead
    if slot == 1:
        return str((EPOCH + timedelta(days=int(day))).day) if start else ""
    if row == "":
        return ""
    if sprayed <= day <= to:
        return "S"
    closing = {doubt for number, spray, until, doubt in zip(fields, sprays, untils, doubts, strict=True)
               if number == field and until and float(spray) <= day < until}
    if closing:
        return "?" if 1 in closing else "C"
    return "L" if day in (early, first, second) else "R" if day == record else ""
