"""Days of the calendar, and the order of its events."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from workbook_builder.core.columns import NOT_ENTERED
from workbook_builder.core.draft import Cells, Draft
from workbook_builder.features.clock.definitions import MINUTES, minute_of
from workbook_builder.features.records.definitions import display_until

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


def events_before(keys: Iterable[float | str], day: float, numbers: int) -> int:
    """Return how many events lie before a day.

    Parameters
    ----------
    keys : iterable of float or ""
        Minute of each event times `numbers`, plus its number.
    day : float
        The day [day number].
    numbers : int
        What one minute counts in a key.
    """
    return sum(key != "" and float(key) // numbers < day * MINUTES for key in keys)


def coming_in_order(draft: Draft) -> list[Cells]:
    """Return which event of the passes (1) or the fields (2) stands in which line of what comes,
    as far as there is room.
    """
    day, room = draft["coming_from"][0]["day"], draft.slots("coming")
    events = {1: draft["pass_events"], 2: draft["field_events"]}
    order = [(source, n) for source, n in merged(events[1], events[2])
             if minute_of(events[source][n - 1]["when"]) >= day * MINUTES]
    return [Cells(source=source, event=n) for source, n in order[:room]] + [Cells()] * (room - len(order))
