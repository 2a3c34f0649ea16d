"""Values as a spreadsheet sees them: blanks, numbers, texts, truths and errors.

A blank cell is ``None``, a formula that shows nothing gives ``""``; dates and times are serial numbers.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache
from itertools import islice
from typing import Any

VALUE, NOT_FOUND, DIVIDED, NUMBER, OUT_OF_RANGE = "#VALUE!", "#N/A", "#DIV/0!", "#NUM!", "#REF!"
#: What reads as blank in a comparison with a text without letters.
BLANKS = (None, "")
#: Numbers nearer than this share of their size are one number to a spreadsheet.
ALIKE = 5e-16


class CellError(Exception):
    """A formula that gives an error such as #N/A."""


class One:
    """A single cell handed to a function that passes over texts in cells, such as SUM."""

    __slots__ = ("value",)

    def __init__(self, value: Any) -> None:
        self.value = value


class Cells(list[Any]):
    """The cells of a column or of a part of it.

    Attributes
    ----------
    places, first : dict or None
        Where each value stands, kept once the column is finished and somebody looked values up in it.
    ranked : list or None
        Its numbers by size, kept likewise.
    """

    finished = False
    places: dict[Any, list[int]] | None = None
    first: dict[Any, int] | None = None
    ranked: list[float] | None = None


class Upto(list[Any]):
    """The cells of a finished column from its first row to one row, without a copy of them.

    Parameters
    ----------
    column : Cells
    rows : int
        How many of them.
    """

    __slots__ = ("column", "rows")

    def __init__(self, column: Cells, rows: int) -> None:
        super().__init__()
        self.column, self.rows = column, rows

    def __len__(self) -> int:
        return self.rows

    def __iter__(self) -> Iterator[Any]:
        return islice(list.__iter__(self.column), self.rows)

    def __getitem__(self, place: Any) -> Any:
        return self.column[place]


def upto(column: Cells, row: int) -> Cells | Upto:
    """Return the cells of a column from its first row to the row counted from 0."""
    return Upto(column, row + 1) if column.finished else column[: row + 1]  # type: ignore[return-value]


def plain(value: Any) -> Any:
    """Return the value of a single cell, other values as they are."""
    return value.value if type(value) is One else value


def number(value: Any) -> float:
    """Return a number as arithmetic takes it: blank is 0, a text of digits its number, other text an error.
    """
    kind = type(value)
    if kind is float or kind is int:
        return value  # type: ignore[no-any-return]
    if value is None:
        return 0
    if kind is bool:
        return int(value)
    try:
        return float(value)
    except ValueError:
        raise CellError(VALUE) from None


def text(value: Any) -> str:
    """Return a value as it is joined to a text: numbers to 15 digits."""
    if type(value) is str:
        return value
    if value is None:
        return ""
    if type(value) is bool:
        return "TRUE" if value else "FALSE"
    return str(int(value)) if float(value).is_integer() and abs(value) < 1e15 else f"{value:.15g}"


def truth(value: Any) -> bool:
    """Return whether a condition holds."""
    if type(value) is str:
        raise CellError(VALUE)
    return bool(value)


def divided(value: float, by: float) -> float:
    """Return a quotient; dividing by nothing is an error."""
    if by == 0:
        raise CellError(DIVIDED)
    return value / by


def compared(one: Any, other: Any) -> int:
    """Return -1, 0 or 1: numbers come before texts, texts before truths, and capitals count for nothing."""
    kind, other_kind = type(one), type(other)
    if (kind is float or kind is int) and (other_kind is float or other_kind is int):
        # Close numbers are one number to a spreadsheet; 0 is close to nothing.
        return (0 if one == other or (one and other and abs(one - other) < abs(one) * ALIKE) else -1
                if one < other else 1)
    if one is None:
        one = _blank_like(other)
    if other is None:
        other = _blank_like(one)
    if _rank(one) != _rank(other):
        return -1 if _rank(one) < _rank(other) else 1
    if type(one) is str:
        one, other = one.casefold(), other.casefold()
    return 0 if one == other else -1 if one < other else 1


def _rank(value: Any) -> int:
    return 1 if type(value) is str else 2 if type(value) is bool else 0


def _blank_like(other: Any) -> Any:
    return "" if type(other) is str else False if type(other) is bool else 0


def equal(one: Any, other: Any) -> bool:
    """Return whether two values are the same to a spreadsheet."""
    if type(one) is str and type(other) is str:
        return one == other or one.casefold() == other.casefold()
    return compared(one, other) == 0


def unequal(one: Any, other: Any) -> bool:
    """Return whether two values differ to a spreadsheet."""
    return not equal(one, other)


def below(one: Any, other: Any) -> bool:
    """Return whether a value comes before another."""
    return compared(one, other) < 0


def above(one: Any, other: Any) -> bool:
    """Return whether a value comes after another."""
    return compared(one, other) > 0


def at_most(one: Any, other: Any) -> bool:
    """Return whether a value does not come after another."""
    return compared(one, other) <= 0


def at_least(one: Any, other: Any) -> bool:
    """Return whether a value does not come before another."""
    return compared(one, other) >= 0


def looked_up(value: Any) -> Any:
    """Return what a value is found by: text without regard to case, and truths apart from numbers."""
    return value.casefold() if type(value) is str else ("truth", value) if type(value) is bool else value


def is_number(value: Any) -> bool:
    """Return whether a cell holds a number."""
    return type(value) is float or type(value) is int


@lru_cache(4096)
def as_number(value: str) -> float | None:
    """Return the number that a text of digits stands for, or nothing."""
    try:
        found = float(value)
    except ValueError:
        return None
    return found if math.isfinite(found) else None
