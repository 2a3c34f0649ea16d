"""Where a row was read, so that a problem found later still names its file, sheet and row."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypedDict

from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs, Row


@dataclass(frozen=True)
class Place:
    """Where a table was read.

    Parameters
    ----------
    file, sheet : str
        File name and sheet title; the sheet is blank for a CSV file.
    rows : tuple of int
        Row of the sheet, or line of the file, for each row of the table.
    headers : mapping of str to str
        Column key -> header as it reads in the file.
    label_rows : mapping of str to int
        For a form with one line per cell: column key -> row of the sheet.
    missing : bool
        The table is not there, and that has been said already.
    """

    file: str = ""
    sheet: str = ""
    rows: tuple[int, ...] = ()
    headers: Mapping[str, str] = field(default_factory=dict)
    label_rows: Mapping[str, int] = field(default_factory=dict)
    missing: bool = False


class PlacedRows(list[Row]):
    """The rows of a table, with the place they were read from.

    A list in every other way: two lists with equal rows are equal wherever they came from.
    """

    def __init__(self, rows: Iterable[Row] = (), place: Place | None = None) -> None:
        super().__init__(rows)
        self.place = place or Place()


class Where(TypedDict, total=False):
    """The place fields of a problem."""

    file: str
    sheet: str
    row: int | None
    column: str


def place_of(inputs: Inputs, table: Table) -> Place:
    """Return where a table was read; for inputs made in memory, the table itself."""
    rows = inputs.rows(table.key)
    if isinstance(rows, PlacedRows):
        return rows.place
    return Place(Path(inputs.origin).name, table.sheet_title, tuple(range(1, len(rows) + 1)))


def where(inputs: Inputs, table: Table, at: int | None = None, key: str = "") -> Where:
    """Return the place fields of a problem with one cell.

    Parameters
    ----------
    inputs : Inputs
    table : Table
    at : int, optional
        Row of the table, counted from 1.
    key : str
        Column key.
    """
    place = place_of(inputs, table)
    row = None
    if at is not None:
        row = place.rows[at - 1] if at <= len(place.rows) else at
        row = place.label_rows.get(key, row)
    declared = table.by_key[key].header if key in table.by_key else key
    return {"file": place.file, "sheet": place.sheet, "row": row, "column": place.headers.get(key, declared)}
