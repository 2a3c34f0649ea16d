"""Days of the calendar, and the order of its events."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from workbook_builder.core.columns import NOT_ENTERED
from workbook_builder.core.draft import Cells, Draft
from workbook_builder.features.records.definitions import display_until

#: Days within which warning signs come down after a re-entry interval [d]: 40 CFR 170.409(b).
SIGNS_DOWN_DAYS = 3


def signs_down_by(signs: float, reentry_at: float | str) -> float | str:
    """Return by when warning signs must be down [day number]; blank where none are needed or re-entry is not known.

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
    """Return the last day of the central posting [day number]; blank where the application or its interval is not known.

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
    dated = [(row["key"], source, n) for source, rows in ((1, passes), (2, fields)) for n, row in enumerate(rows, 1) if row["key"] != ""]
    return [(source, n) for _, source, n in sorted(dated)]


def in_order_of_days(draft: Draft) -> list[Cells]:
    """Return which event of the passes (1) or the fields (2) stands in which line, as far as there is room."""
    order = merged(draft["pass_events"], draft["field_events"])
    room = draft.slots("calendar")
    return [Cells(source=source, event=n) for source, n in order[:room]] + [Cells()] * (room - len(order))
