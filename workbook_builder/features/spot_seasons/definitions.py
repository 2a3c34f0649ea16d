"""Spot passes compared over the seasons."""

from __future__ import annotations

from collections.abc import Sequence

from workbook_builder.core.adding import added
from workbook_builder.core.draft import number

#: A number, or blank text.
Entered = float | str


def mean_of(values: Sequence[Entered], *matches: Sequence[Entered] | float) -> Entered:
    """Return the mean of the numbers whose row fits, blank without any.

    Parameters
    ----------
    values : sequence
        Shares; blanks do not count.
    *matches : sequence and float
        A column and what it must hold, one after the other.
    """
    columns = list(zip(matches[::2], matches[1::2], strict=True))
    told = [number(value) for at, value in enumerate(values) if value != ""
            and all(column[at] == wanted for column, wanted in columns)]  # type: ignore[index]
    return added(told) / len(told) if told else ""


def ratio(part: float, whole: float) -> Entered:
    """Return the share of the ground driven that was sprayed, blank where none was driven."""
    return part / whole if whole else ""
