"""How many rows each table has, and how rows of one table relate to rows of another."""

from __future__ import annotations

from collections.abc import Iterable

from workbook_builder.core.columns import Table
from workbook_builder.core.room import Room


class Rows:
    """The rows of every table in the room it is given.

    Parameters
    ----------
    tables : iterable of Table
    room : Room
    """

    def __init__(self, tables: Iterable[Table], room: Room) -> None:
        self.tables = {table.key: table for table in tables}
        self.room = room
        self._grains: dict[str, tuple[tuple[str, int], ...]] = {}

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

        Each entry is (table key, rows of this table per row of that one),
        0 rows where each says which row it belongs to.
        """
        if key not in self._grains:
            table = self.tables[key]
            found: tuple[tuple[str, int], ...] = ((key, 1),)
            if table.rows.startswith("as:"):
                found = self.grain(table.parent)
            elif table.rows.startswith(("of:", "under:")):
                slots = self.room.slots[table.slot_kind] if table.rows.startswith("under:") else 0
                found += tuple((name, count * slots) for name, count in self.grain(table.parent))
            self._grains[key] = found
        return self._grains[key]
