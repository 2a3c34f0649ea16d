"""Writing single cells: formulas from declarations, values from people, never mixed up."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from openpyxl.cell import Cell
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.formulas import FormulaColumn
from workbook_builder.core.place import quoted

#: First characters that some programs would take for a formula.
RISKY = ("=", "+", "-", "@", "\t", "\r")

#: Takes a sheet, cell reference -> value of the formula there, and the formulas that go down a column.
Done = Callable[[Worksheet, Mapping[str, object], Sequence[FormulaColumn]], None]


def inside(sheet: str) -> Hyperlink:
    """Return a link to the top of a sheet of the same workbook: a place in it, never an outside target,
    which mail filters object to.
    """
    return Hyperlink(ref="", location=f"{quoted(sheet)}!A1")


class Writer:
    """Writes cells of one sheet and remembers the value of every formula.

    Formulas that go down a column are kept as such in `columns`: most cells are of that
    kind, and making the library's cells of them takes longer than all else.

    Parameters
    ----------
    sheet : Worksheet
    quoted : callable
        Turns a style into the same style with the quote prefix set.
    """

    def __init__(self, sheet: Worksheet, quoted: Any) -> None:
        self.sheet = sheet
        self.values: dict[str, object] = {}
        self.columns: list[FormulaColumn] = []
        self._quoted = quoted

    def formula(self, row: int, column: int, text: str, value: object, style: Any) -> None:
        """Write a formula and note its value."""
        cell = self._cell(row, column, style)
        cell._value = text
        cell.data_type = "f"
        self.values[f"{get_column_letter(column)}{row}"] = value

    def value(self, row: int, column: int, value: object, style: Any) -> None:
        """Write a value: a number, or text that can never become a formula."""
        cell = self._cell(row, column, style)
        if value is None or value == "":
            return
        cell._value = value
        cell.data_type = "n"
        if isinstance(value, str):
            cell.data_type = "s"
            if value.startswith(RISKY):
                cell._style = self._quoted(style)

    def _cell(self, row: int, column: int, style: Any) -> Any:
        # Asking the sheet for the cell would check and count again what is known here, for the bulk of all
        # cells.
        cell = self.sheet._cells.get((row, column))
        if cell is None:
            cell = self.sheet._cells[row, column] = Cell(self.sheet, row, column)
        cell._style = style
        return cell
