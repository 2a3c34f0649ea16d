"""Placement: which sheet, row and column every declared column lands in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from workbook_builder.core.columns import Table
from workbook_builder.core.room import Room

TITLE_ROW = 1
ABOUT_ROW = 2
CAUTION_ROW = 3
#: Columns of a form: label, value, unit and note.
FORM_COLUMNS = 4


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
    fold_from : int
        First sheet column of folded columns, where they stand behind all others; 0 where
        every column stands as declared.
    """

    table: Table
    sheet: str
    header_row: int
    rows: int
    heading_row: int
    fold_from: int = 0

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
    def numbers(self) -> dict[str, int]:
        """Sheet column of every key of a grid, counted from 1."""
        if not self.fold_from:
            return {column.key: n for n, column in enumerate(self.table.columns, self.first_column)}
        shown = [column.key for column in self.table.columns if not column.folded]
        folded = [column.key for column in self.table.columns if column.folded]
        return {key: n for start, keys in ((self.first_column, shown), (self.fold_from, folded)) for n, key in enumerate(keys, start)}

    @cached_property
    def letters(self) -> dict[str, str]:
        """Column letter of every key of a grid."""
        return {key: column_letter(number) for key, number in self.numbers.items()}

    @property
    def last_shown(self) -> int:
        """Number of the last sheet column people read (for a form: the one its notes start in)."""
        if self.table.is_form:
            return self.first_column + FORM_COLUMNS - 1
        return max((self.numbers[column.key] for column in self.table.columns if not column.folded), default=self.first_column)

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


def fold_from(tables: Iterable[Table]) -> int:
    """Return the first column for folded columns of a sheet, right of all that people read.

    A sheet that carries its title in A1 must show its column A, so what formulas alone need
    stands behind.  Sheets of workings keep the order of working; where tables stand side by
    side there is no behind, and typed tables have nothing to fold.

    Returns
    -------
    int
        Column counted from 1, or 0 where nothing moves.
    """
    tables = list(tables)
    if any(table.kind == "working" or table.from_column > 1 for table in tables):
        return 0
    return 1 + max(FORM_COLUMNS if table.is_form else sum(not column.folded for column in table.columns) for table in tables)


class Placement:
    """The place of every table, and how rows of one table relate to rows of another."""

    def __init__(self, tables: Iterable[Table], room: Room) -> None:
        self.tables = {table.key: table for table in tables}
        self.room = room
        self.spots: dict[str, Spot] = {}
        self._grains: dict[str, tuple[tuple[str, int], ...]] = {}
        self._fold_from = {title: fold_from(tables) for title, tables in self.sheets.items()}
        next_row: dict[tuple[str, int], int] = {}
        for table in self.tables.values():
            self._put(table, next_row)

    def _put(self, table: Table, next_row: dict[tuple[str, int], int]) -> None:
        sheet, block = table.sheet_title, (table.sheet_title, table.from_column)
        heading = self.spots[table.beside].heading_row if table.beside else next_row.get(block, TITLE_ROW)
        header = heading + 3
        rows = len(table.columns) if table.is_form else self.row_count(table.key)
        self.spots[table.key] = Spot(table, sheet, header, rows, heading, self._fold_from[sheet])
        next_row[block] = header + rows + 2

    def row_count(self, key: str) -> int:
        """Return the number of data rows of a table."""
        table = self.tables[key]
        if table.is_form:
            return 1
        if table.rows in ("typed", "given"):
            return self.room.rows[key]
        if table.rows.startswith(("list:", "of:")):
            return self.room.slots[table.slot_kind]
        slots = self.room.slots[table.slot_kind] if table.slot_kind else 1
        return self.row_count(table.parent) * slots

    def grain(self, key: str) -> tuple[tuple[str, int], ...]:
        """Return the chain of row-giving tables above a table, nearest first.

        Each entry is (table key, rows of this table per row of that one), 0 rows where each says which row it belongs to.
        """
        if key not in self._grains:
            self._grains[key] = self._chain(self.tables[key])
        return self._grains[key]

    def _chain(self, table: Table) -> tuple[tuple[str, int], ...]:
        if table.rows.startswith("as:"):
            return self.grain(table.parent)
        own = ((table.key, 1),)
        if table.rows.startswith("of:"):
            return own + tuple((name, 0) for name, _ in self.grain(table.parent))
        if not table.rows.startswith("under:"):
            return own
        slots = self.room.slots[table.slot_kind]
        return own + tuple((name, count * slots) for name, count in self.grain(table.parent))

    @cached_property
    def sheets(self) -> Mapping[str, list[Table]]:
        """Return sheet title -> tables on it, in order."""
        found: dict[str, list[Table]] = {}
        for table in self.tables.values():
            found.setdefault(table.sheet_title, []).append(table)
        return found
