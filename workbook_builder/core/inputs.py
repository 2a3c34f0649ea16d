"""The inputs of one farm, as read: one tuple of rows per input table.

Rows keep the place they had in their table (``at``, counted from 1), so a blank row in
the middle of a sheet stays where the user left it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

Row = dict[str, Any]


@dataclass(frozen=True)
class Inputs:
    """Everything people typed.

    Parameters
    ----------
    tables : mapping of str to list of dict
        Input table key -> rows in sheet order.  A row maps column keys to values: text,
        int or float, ``datetime.date``, ``datetime.time``, or ``None`` for blank.  A blank
        row is an empty dict.  A form (``farm``, ``assumptions``) has exactly one row.
    extras : mapping, optional
        The user's own columns and sheets, carried along untouched: table key -> header ->
        list of values by row; and under ``"*sheets"`` whole extra sheets.
    origin : str
        File or folder the inputs came from, for messages.
    """

    tables: Mapping[str, list[Row]]
    extras: Mapping[str, Any] = field(default_factory=dict)
    origin: str = ""

    def rows(self, table: str) -> list[Row]:
        """Return all rows of a table, blank ones included (an empty list if absent)."""
        return self.tables.get(table, [])

    def filled(self, table: str) -> Iterator[tuple[int, Row]]:
        """Yield (place counted from 1, row) of the rows that are not blank."""
        for at, row in enumerate(self.rows(table), 1):
            if any(value is not None for value in row.values()):
                yield at, row

    def form(self, table: str) -> Row:
        """Return the single row of a form."""
        rows = self.rows(table)
        return rows[0] if rows else {}

    @property
    def system(self) -> str:
        """Return the unit system, ``us`` or ``metric``."""
        return "metric" if self.form("farm").get("units") == "metric" else "us"

    @property
    def currency(self) -> str:
        """Return the currency sign."""
        return str(self.form("farm").get("currency") or "$")
