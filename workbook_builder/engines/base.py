"""What every engine offers, and the records that go in and out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from workbook_builder.finish.sheet_cells import CellError, Value

__all__ = ["CellError", "Cells", "Edit", "Engine", "EngineFailed", "EngineMissing", "Value"]

#: Sheet title -> cell reference -> value, blank cells left out.
Cells = dict[str, dict[str, Value]]


@dataclass(frozen=True)
class Edit:
    """One change to an input cell.

    Parameters
    ----------
    sheet : str
        Title of the sheet.
    reference : str
        The cell, such as ``B7``.
    value : float, int, str, bool or None
        The new content; None clears the cell.  Text is always stored as text, even
        ``=1+1`` or ``123``.  A date is given as its serial number.
    """

    sheet: str
    reference: str
    value: float | str | bool | None


class EngineMissing(RuntimeError):
    """The engine is not installed.

    Parameters
    ----------
    name, reason : str
        The engine and what is missing.
    """

    def __init__(self, name: str, reason: str) -> None:
        self.name = name
        self.reason = reason
        super().__init__(name, reason)

    def __str__(self) -> str:
        """Name the engine and the reason."""
        return f"{self.name} cannot be used: {self.reason}"


class EngineFailed(RuntimeError):
    """The engine is there but did not calculate the workbook.

    Parameters
    ----------
    name : str
        The engine.
    path : Path
        The workbook.
    reason : str
        What it said.
    """

    def __init__(self, name: str, path: Path, reason: str) -> None:
        self.name = name
        self.path = path
        self.reason = reason
        super().__init__(name, path, reason)

    def __str__(self) -> str:
        """Name the engine, the file and the reason."""
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
