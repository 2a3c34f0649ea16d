"""Compare what a workbook should show with what an engine calculated."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from workbook_builder.engines.base import CellError

#: Smallest difference that counts, for numbers up to 1 in size: far below any amount, share or price that
#: means something.
FLOOR = 1e-8
#: Whole numbers below this are held exactly, so that two of them are the same or they are not.
EXACT_BELOW = 2.0**53

Tolerance = float | Callable[[str, str], float]


@dataclass(frozen=True)
class Difference:
    """One cell that does not hold what it should."""

    sheet: str
    reference: str
    #: What the cell should hold and what it holds; None is a blank cell
    expected: object
    actual: object

    def __str__(self) -> str:
        return f"{self.sheet}!{self.reference}: expected {self.expected!r}, found {self.actual!r}"


def compare_cells(
    expected: Mapping[str, Mapping[str, object]], actual: Mapping[str, Mapping[str, object]],
    tolerance: Tolerance = 1e-7
) -> list[Difference]:
    """Return the cells of `expected` that `actual` does not reproduce.

    Parameters
    ----------
    expected, actual : mapping
        Sheet title -> cell reference -> value.  Cells that only `actual` has do not count.
    tolerance : float or callable
        Allowed relative difference, or a function of sheet title and cell reference
        that returns it.

    Notes
    -----
    Text must be the same to the letter; empty text equals a blank cell; true equals 1.
    Two whole numbers must be equal, however large: a count, a row or a key is right or wrong.
    An error value differs from everything but itself.
    """
    found = []
    for sheet, cells in expected.items():
        others = actual.get(sheet, {})
        for reference, value in cells.items():
            other = others.get(reference)
            if type(value) is type(other) and value == other:
                continue  # nearly every cell; what follows takes ten times as long
            allowed = tolerance(sheet, reference) if callable(tolerance) else tolerance
            if not same_value(value, other, allowed):
                found.append(Difference(sheet, reference, value, other))
    return found


def same_value(expected: object, actual: object, tolerance: float = 1e-7) -> bool:
    """Return whether two cell values count as the same."""
    first = "" if expected is None else expected
    second = "" if actual is None else actual
    if isinstance(first, CellError) or isinstance(second, CellError):
        return type(first) is type(second) and first == second
    if isinstance(first, str) or isinstance(second, str):
        return isinstance(first, str) and isinstance(second, str) and first == second
    one, other = float(first), float(second)  # type: ignore[arg-type]
    if one.is_integer() and other.is_integer() and max(abs(one), abs(other)) < EXACT_BELOW:
        return one == other
    limit = max(tolerance * max(abs(one), abs(other)), min(tolerance, FLOOR) * max(1.0, abs(one)))
    return abs(one - other) <= limit
