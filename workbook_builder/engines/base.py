"""What every engine offers, the records that go in and out, and what cells of a file hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from workbook_builder.finish.parts import read_parts, sheet_parts
from workbook_builder.finish.sheet_cells import CellError, Value, cell_formulas, cell_values, shared_strings

__all__ = ["CellError", "Cells", "Edit", "Engine", "EngineFailed", "EngineMissing", "Value"]

#: Sheet title -> cell reference -> value, blank cells left out.
Cells = dict[str, dict[str, Value]]


@dataclass(frozen=True)
class Edit:
    """One change to an input cell."""

    sheet: str  # Title of the sheet
    reference: str  # The cell, such as `B7`
    #: The new content; None clears the cell.  Text is always stored as text, even `=1+1` or `123`.  A date is
    #: given as its serial number.
    value: float | str | bool | None


class EngineMissing(RuntimeError):
    """The engine is not installed; the reason says what is missing."""

    def __init__(self, name: str, reason: str) -> None:
        self.name, self.reason = name, reason
        super().__init__(name, reason)

    def __str__(self) -> str:
        return f"{self.name} cannot be used: {self.reason}"


class EngineFailed(RuntimeError):
    """The engine is there but did not calculate the workbook `path`; the reason is what it said."""

    def __init__(self, name: str, path: Path, reason: str) -> None:
        self.name, self.path, self.reason = name, path, reason
        super().__init__(name, path, reason)

    def __str__(self) -> str:
        return f"{self.name} could not calculate {self.path}: {self.reason}"


class Engine(Protocol):
    """A program that calculates a workbook from its formulas alone."""

    @property
    def name(self) -> str:
        """Return the engine's name as people know it."""

    def available(self) -> str | None:
        """Return None when the engine can be used, or else what is missing."""

    def recalculate(self, path: Path, edits: Sequence[Edit] = ()) -> Cells:
        """Return every non-blank cell after `edits` and a forced calculation.

        The file itself is not changed and its cached values are not believed.
        """


def read_raw_values(path: Path | bytes) -> Cells:
    """Return sheet title -> cell reference -> stored value.

    Parameters
    ----------
    path : Path or bytes
        The workbook.

    Notes
    -----
    Numbers are floats, dates among them (serial numbers); errors are `CellError`;
    empty text is ``""``; blank cells and formulas without a cached value are left out.
    """
    parts = read_parts(path)
    strings = shared_strings(parts)
    return {title: cell_values(parts[part].decode("utf-8"), strings)
            for title, part in sheet_parts(parts).items()}


def read_formulas(path: Path | bytes) -> dict[str, dict[str, str]]:
    """Return sheet title -> cell reference -> formula text without its equals sign."""
    parts = read_parts(path)
    return {title: cell_formulas(parts[part].decode("utf-8")) for title, part in sheet_parts(parts).items()}
