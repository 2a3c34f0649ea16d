"""Placement: which sheet, row and column every declared column lands in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from workbook_builder.columns import Table
from workbook_builder.room import Room

TITLE_ROW = 1
ABOUT_ROW = 2
CAUTION_ROW = 3


def column_letter(number: int) -> str:
    """Return the letters of a column counted from 1 (27 is AA)."""
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def quoted(sheet: str) -> str:
    """Return a sheet title as formulas write it."""
    return "'" + sheet.replace("'", "''") + "'"


@dataclass(frozen=True)
class Spot:
    """Where one table stands.

    Parameters
    ----------
    table : Table
    sheet : str
        Sheet title.
    header_row : int
        Row of the headers (for a form: the row above its first cell).
    rows : int
        Number of data rows (for a form: of declared cells).
    heading_row : int
        Row of the table's own heading.
    """

    table: Table
    sheet: str
    header_row: int
    rows: int
    heading_row: int

    @property
    def first_column(self) -> int:
        """First sheet column, counted from 1."""
        return self.table.from_column

    @property
    def value_column(self) -> str:
        """Letter of the column that holds a form's values, right of its labels."""
        return column_letter(self.first_column + 1)

    @property
    def first_row(self) -> int:
        """Row of the first data row."""
        return self.header_row + 1

    @property
    def last_row(self) -> int:
        """Row of the last data row."""
        return self.header_row + self.rows

    @cached_property
    def letters(self) -> dict[str, str]:
        """Column letter of every key of a grid."""
        return {column.key: column_letter(n) for n, column in enumerate(self.table.columns, self.first_column)}

    @cached_property
    def form_rows(self) -> dict[str, int]:
        """Sheet row of every key of a form."""
        return {column.key: self.first_row + n for n, column in enumerate(self.table.columns)}

    def cell(self, key: str, index: int = 0) -> str:
        """Return the reference of a cell, for instance ``B7`` (row index counted from 0)."""
        if self.table.is_form:
            return f"{self.value_column}{self.form_rows[key]}"
        return f"{self.letters[key]}{self.first_row + index}"

    def absolute(self, key: str) -> str:
        """Return the whole column, or the single form cell, as an absolute reference."""
        if self.table.is_form:
            return f"{quoted(self.sheet)}!${self.value_column}${self.form_rows[key]}"
        letter = self.letters[key]
        return f"{quoted(self.sheet)}!${letter}${self.first_row}:${letter}${self.last_row}"


class Placement:
    """The place of every table, and how rows of one table relate to rows of another."""

    def __init__(self, tables: Iterable[Table], room: Room) -> None:
        self.tables = {table.key: table for table in tables}
        self.room = room
        self.spots: dict[str, Spot] = {}
        next_row: dict[str, int] = {}
        for table in self.tables.values():
            self._put(table, next_row)

    def _put(self, table: Table, next_row: dict[str, int]) -> None:
        sheet = table.sheet_title
        heading = self.spots[table.beside].heading_row if table.beside else next_row.get(sheet, TITLE_ROW)
        header = heading + 3
        rows = len(table.columns) if table.is_form else self.row_count(table.key)
        self.spots[table.key] = Spot(table, sheet, header, rows, heading)
        next_row[sheet] = max(next_row.get(sheet, 0), header + rows + 2)

    def row_count(self, key: str) -> int:
        """Return the number of data rows of a table."""
        table = self.tables[key]
        if table.is_form:
            return 1
        if table.rows in ("typed", "given"):
            return self.room.rows[key]
        if table.rows.startswith("list:"):
            return self.room.slots[table.slot_kind]
        slots = self.room.slots[table.slot_kind] if table.slot_kind else 1
        return self.row_count(table.parent) * slots

    def grain(self, key: str) -> tuple[tuple[str, int], ...]:
        """Return the chain of row-giving tables above a table, nearest first.

        Each entry is (table key, rows of this table per row of that one).
        """
        table = self.tables[key]
        if table.rows.startswith("as:"):
            return self.grain(table.parent)
        own = ((key, 1),)
        if not table.rows.startswith("under:"):
            return own
        slots = self.room.slots[table.slot_kind]
        return own + tuple((name, count * slots) for name, count in self.grain(table.parent))

    @property
    def sheets(self) -> Mapping[str, list[Table]]:
        """Return sheet title -> tables on it, in order."""
        found: dict[str, list[Table]] = {}
        for table in self.tables.values():
            found.setdefault(table.sheet_title, []).append(table)
        return found
