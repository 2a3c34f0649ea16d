"""What belongs to the user alone: their own columns, sheets and cell notes, carried along untouched.

They travel in ``Inputs.extras`` under the names below; nothing is planned from them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

#: Keys of ``Inputs.extras``: titles of own sheets, and sheet title -> `OwnSheet`.
OWN_SHEETS = "*sheets"
OWN_CELLS = "*sheet_cells"

#: Sheet on which notes that hung on cells are kept: some programs cannot open cell notes.
NOTES_SHEET = "Cell notes"
NOTES_HEADER = ("Sheet", "Cell", "Note")

#: Sheets of an input workbook that explain it; they are made anew, never carried along.
GUIDE_SHEETS = ("Start here", "Lists for drop-downs")


@dataclass(frozen=True)
class OwnCell:
    """One cell of a sheet of the user's own.

    Parameters
    ----------
    value : object
        Text, number, date, time, or true or false.
    number_format : str
    bold : bool
    """

    value: Any
    number_format: str = "General"
    bold: bool = False


@dataclass(frozen=True)
class OwnSheet:
    """A sheet of the user's own.

    Parameters
    ----------
    cells : mapping of (int, int) to OwnCell
        (row, column), both counted from 1 -> cell.
    widths : mapping of str to float
        Column letter -> width, where one was set.
    formulas, lost : int
        How many formulas left only their last result, and how many had none.
    """

    cells: Mapping[tuple[int, int], OwnCell]
    widths: Mapping[str, float] = field(default_factory=dict)
    formulas: int = field(default=0, compare=False)
    lost: int = field(default=0, compare=False)

    @property
    def last_row(self) -> int:
        """Row of the last cell."""
        return max((row for row, _ in self.cells), default=0)


def with_notes(sheet: OwnSheet | None, notes: list[tuple[str, str, str]]) -> OwnSheet:
    """Return the sheet of kept notes with further notes (sheet, cell, text) below those it has."""
    if sheet is None:
        header = {(1, n): OwnCell(text, bold=True) for n, text in enumerate(NOTES_HEADER, 1)}
        sheet = OwnSheet(header, {"A": 22.0, "C": 70.0})
    cells = dict(sheet.cells)
    for row, note in enumerate(notes, sheet.last_row + 1):
        cells.update({(row, n): OwnCell(text) for n, text in enumerate(note, 1) if text})
    return OwnSheet(cells, sheet.widths, sheet.formulas, sheet.lost)


def own_columns(extras: Mapping[str, Any]) -> dict[str, dict[str, list[Any]]]:
    """Return the user's own columns: table key -> header -> values by row."""
    return {key: found for key, found in extras.items() if not key.startswith("*")}


def own_sheets(extras: Mapping[str, Any]) -> dict[str, OwnSheet]:
    """Return the user's own sheets by title."""
    return dict(extras.get(OWN_CELLS, {}))
