"""Adding in order, as SUM does in a workbook.

From Python 3.12 on the built-in ``sum`` makes up for rounding, so its last digit differs from one
Python to the next and from the workbook; adding one after the other is the same everywhere.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypeVar

Number = TypeVar("Number", int, float)


def added(values: Iterable[Number]) -> Number:
    """Return the values added one after the other; 0 when there are none."""
    result: Number = 0
    for value in values:
        result += value
    return result


def total(values: Iterable[Any]) -> float:
    """Return the sum of the numbers, blanks and text left out, as SUM does."""
    return float(added(value for value in values if not isinstance(value, str)))
