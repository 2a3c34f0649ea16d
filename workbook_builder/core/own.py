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

#: Stands before the header of an own column where columns are named.
OWN_MARK = "*"

#: Sheet on which notes that hung on cells are kept: some programs cannot open cell notes.
NOTES_SHEET = "Cell notes"
NOTES_HEADER = ("Sheet", "Cell", "Note")

#: Sheets of an input workbook that explain it; they are made anew, never carried along.
GUIDE_SHEETS = ("Start here", "Lists for drop-downs")


@dataclass(frozen=True)
class OwnFormula:
    """A formula in a column of the user's own that reads cells of its own row.

    Parameters
    ----------
    pieces : tuple of str
        Its text between the cells it reads.
    names : tuple of str
        Columns of those cells: key of a declared one, header of an own one behind `OWN_MARK`.
    result : object
        What it last showed.
    """

    pieces: tuple[str, ...]
    names: tuple[str, ...]
    result: Any

    def text(self, letters: Mapping[str, str], row: int) -> str | None:
        """Return the formula for a row, columns by their letters; None when one of them is not there."""
        if not all(name in letters for name in self.names):
            return None
        cells = (*(f"{letters[name]}{row}" for name in self.names), "")
        return "".join(piece + cell for piece, cell in zip(self.pieces, cells, strict=True))


@dataclass(frozen=True)
class OwnCell:
    """One cell of a sheet of the user's own.

    Parameters
    ----------
    value : object
        Text, number, date, time, or true or false.
    number_format : str
    bold : bool
    formula : str
        Kept word for word where it reads cells of its own sheet alone; the value is then what it last showed.
    """

    value: Any
    number_format: str = "General"
    bold: bool = False
    formula: str = ""


@dataclass(frozen=True)
class OwnSheet:
    """A sheet of the user's own.

    Parameters
    ----------
    cells : mapping of (int, int) to OwnCell
        (row, column), both counted from 1 -> cell.
    widths : mapping of str to float
        Column letter -> width, where one was set.
    formulas, lost : tuple of str
        Cells whose formulas left only their last result, and cells whose formulas had none.
    gone : tuple of str
        What of the sheet is not carried along, such as a chart.
    """

    cells: Mapping[tuple[int, int], OwnCell]
    widths: Mapping[str, float] = field(default_factory=dict)
    formulas: tuple[str, ...] = field(default=(), compare=False)
    lost: tuple[str, ...] = field(default=(), compare=False)
    gone: tuple[str, ...] = field(default=(), compare=False)

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
    return OwnSheet(cells, sheet.widths, sheet.formulas, sheet.lost, sheet.gone)


def own_columns(extras: Mapping[str, Any]) -> dict[str, dict[str, list[Any]]]:
    """Return the user's own columns: table key -> header -> values by row."""
    return {key: found for key, found in extras.items() if not key.startswith("*")}


def own_sheets(extras: Mapping[str, Any]) -> dict[str, OwnSheet]:
    """Return the user's own sheets by title."""
    return dict(extras.get(OWN_CELLS, {}))
