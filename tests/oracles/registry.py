"""Which function of the package answers which published rows."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from oracles.rows import Row, all_rows

Answer = Callable[[Mapping[str, Any], Mapping[str, Any]], Mapping[str, object]]


@dataclass(frozen=True)
class Entry:
    """A function that computes rows.

    Attributes
    ----------
    ids : re.Pattern
        Which rows, by their id.
    computes : str
        What of the package is called, for the docs page.
    answer : callable
        Takes what the row gives and what it expects (to know which unit is wanted);
        returns at least every expected key.
    """

    ids: re.Pattern[str]
    computes: str
    answer: Answer


ENTRIES: list[Entry] = []
_ANSWERS: dict[str, Any] = {}


def answered(row: Row, entry: Entry) -> Any:
    """Return what a function computes for a row, worked out once for the test and the docs page."""
    if row.id not in _ANSWERS:
        _ANSWERS[row.id] = entry.answer(row.given, row.expected)
    return _ANSWERS[row.id]


def computes(ids: str, what: str) -> Callable[[Answer], Answer]:
    """Register a function for the rows whose whole id matches a pattern."""

    def register(answer: Answer) -> Answer:
        ENTRIES.append(Entry(re.compile(ids), what, answer))
        return answer

    return register


def entry_for(row: Row) -> Entry | None:
    """Return what computes a row, or None when the package does not compute it."""
    return next((entry for entry in ENTRIES if entry.ids.fullmatch(row.id)), None)


def usable_rows() -> list[tuple[Row, Entry]]:
    """Return the rows the package computes, each with the function that does."""
    found = ((row, entry_for(row)) for row in all_rows())
    return [(row, entry) for row, entry in found if entry is not None]
