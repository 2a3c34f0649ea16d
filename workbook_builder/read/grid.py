"""What a sheet or a CSV file looks like before anyone knows what its columns mean."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from openpyxl.utils.datetime import WINDOWS_EPOCH

#: Rows of a sheet or CSV file that are read; far more than any farm has.
MOST_ROWS = 50_000
#: Columns that are read; without an end, a cell at the far right of each row would fill memory with blanks.
MOST_COLUMNS = 500


@dataclass(frozen=True)
class FormulaCell:
    """A cell that holds a formula; its last result is looked up only when asked for."""

    text: str
    result: Callable[[], Any]


@dataclass(frozen=True)
class ErrorCell:
    """A cell that holds an error value such as ``#N/A``."""

    text: str


@dataclass(frozen=True)
class Grid:
    """The cells of one sheet or CSV file."""

    #: File name and sheet title (blank for a CSV file)
    file: str
    sheet: str
    cells: list[list[Any]]  # Cells row by row; rows may differ in length.  Blank is `None` or `""`.
    rows: list[int]  # Row of the sheet, or line of the file, of each row of `cells`
    from_workbook: bool = False  # Whether cells carry types of their own; in CSV files everything is text
    # Whether numbers written as text have a decimal comma; None when nothing says so
    decimal_comma: bool | None = False
    epoch: datetime = WINDOWS_EPOCH  # Day 0 of date serials

    @property
    def name(self) -> str:
        """Name that tells which table the grid holds: sheet title, or file name without its ending."""
        return self.sheet or self.file.rpartition(".")[0] or self.file

    @property
    def is_blank(self) -> bool:
        """Whether no cell holds anything."""
        return not any(not is_blank(cell) for row in self.cells for cell in row)

    def part(self, start: int, stop: int) -> Grid:
        """Return the rows from index `start` up to, not including, `stop`."""
        return replace(self, cells=self.cells[start:stop], rows=self.rows[start:stop])


def is_blank(cell: Any) -> bool:
    """Whether a cell holds nothing, or nothing but spaces."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def cell_at(row: list[Any], index: int) -> Any:
    """Return a cell of a row, or None beyond its end."""
    return row[index] if index < len(row) else None
