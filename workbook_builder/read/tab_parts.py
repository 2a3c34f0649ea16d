"""The part of a tab that holds one typed table: tabs show several tables side by side,
each under its heading.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from workbook_builder.core.columns import Table
from workbook_builder.core.tabs import JOIN, Tab
from workbook_builder.read.grid import Grid, cell_at, is_blank
from workbook_builder.read.headers import HEADER_DEPTH, column_named, plain


@dataclass(frozen=True)
class Heading:
    """A heading on a sheet, row and column counted from 0, and the key of the table below it."""

    row: int
    column: int
    table: str


class TabParts:
    """Finds typed tables on the tabs of one workbook.

    Parameters
    ----------
    tabs : sequence of Tab
    tables : sequence of Table
        All that may stand on them.
    """

    def __init__(self, tabs: Sequence[Tab], tables: Sequence[Table]) -> None:
        self._tables = {table.key: table for table in tables}
        self._tabs = {plain(tab.title): tab for tab in tabs}
        self.title_of = {block.table: tab.title for tab in tabs for block in tab.blocks}
        self._found: dict[str, list[Heading]] = {}

    def part(self, grid: Grid, table: Table) -> Grid | None:
        """Return the cells of a table on a tab, or None where no heading of it stands there.

        Cells of other tables are blanked, so that the rest keep their columns; a form is moved
        to the first column, where forms are read.
        """
        tab, first = self._tabs.get(plain(grid.sheet)), self.first(grid, table)
        if tab is None or first is None:
            return None
        found = self._headings(grid, tab)
        if table.is_form:
            end = self._end(first, found, grid)
            below = (other.row for other in found if other.row > first.row
                     and first.column <= other.column < end)
            stop = min(below, default=len(grid.cells))
            return replace(grid, cells=[line[first.column : end] for line in grid.cells[first.row : stop]],
                           rows=grid.rows[first.row : stop])
        # Nothing stands under a table that people lengthen: what reads like a heading there is a name that
        # somebody typed.
        mine = (heading for heading in found if heading.table == table.key and heading.row == first.row)
        kept = {column for heading in mine
                for column in range(heading.column, self._end(heading, found, grid))}
        kept -= self._joined(grid, tab, table, first.row + 1, kept)
        kept |= self._beyond(grid, tab, table, found, first.row + 1)
        cells = [[cell if at in kept else None for at, cell in enumerate(line)]
                 for line in grid.cells[first.row :]]
        return replace(grid, cells=cells, rows=grid.rows[first.row :])

    def first(self, grid: Grid, table: Table) -> Heading | None:
        """Return the first heading of a table on its tab, or None where none stands there."""
        tab = self._tabs.get(plain(grid.sheet))
        found = (self._headings(grid, tab) if tab is not None and self.title_of.get(table.key) == tab.title
                 else [])
        return next((heading for heading in found if heading.table == table.key), None)

    def _headings(self, grid: Grid, tab: Tab) -> list[Heading]:
        """Return the headings of a tab, looked for once."""
        if tab.title not in self._found:
            # The headings of a tab: those of the row that holds most of them, and those below.
            titles: dict[str, str] = {}
            for block in tab.blocks:
                if block.way != JOIN and block.table in self._tables:
                    table = self._tables[block.table]
                    for title in (block.title or table.title, *(table.was if table.is_typed else ())):
                        titles.setdefault(plain(title), block.table)
            places = [
                Heading(row, column, titles[plain(cell)])
                for row, line in enumerate(grid.cells) for column, cell in enumerate(line)
                if isinstance(cell, str) and plain(cell) in titles and is_blank(cell_at(line, column + 1))
            ]
            counts = {row: sum(place.row == row for place in places)
                      for row in {place.row for place in places} if row < HEADER_DEPTH}
            top = max(sorted(counts), key=lambda row: counts[row], default=0)
            seen: set[tuple[str, int]] = set()
            kept = []
            for place in sorted(places, key=lambda place: place.row):
                # The name of a table may also be typed in a cell; the first one in its column is the heading.
                if place.row >= top and (place.table, place.column) not in seen:
                    seen.add((place.table, place.column))
                    kept.append(place)
            self._found[tab.title] = kept
        return self._found[tab.title]

    @staticmethod
    def _end(heading: Heading, found: Sequence[Heading], grid: Grid) -> int:
        """Return the column after the last one that belongs to a heading."""
        right = [other.column for other in found if other.row == heading.row
                 and other.column > heading.column]
        return min(right, default=max((len(line) for line in grid.cells), default=0))

    def _joined(self, grid: Grid, tab: Tab, table: Table, row: int, columns: set[int]) -> set[int]:
        """Return the columns of results that stand beside a table without a heading of their own."""
        results = [self._tables[block.table] for block in tab.blocks if block.way == JOIN
                   and block.table in self._tables and block.table != table.key]
        line = grid.cells[row] if row < len(grid.cells) else []
        return {at for at in columns if not is_blank(cell := cell_at(line, at))
                and column_named(cell, table) is None
                and any(column_named(cell, other) is not None for other in results)}

    def _beyond(self, grid: Grid, tab: Tab, table: Table, found: Sequence[Heading], row: int) -> set[int]:
        """Return the columns right of all that is ours: what was typed there belongs to the first typed table
        of the tab.
        """
        known = [other for block in tab.blocks if (other := self._tables.get(block.table)) is not None]
        first = next((other.key for other in known if other.is_typed and not other.is_form), "")
        last = max((heading for heading in found if heading.row < row), key=lambda heading: heading.column)
        if table.key != first or self._tables[last.table].is_typed:
            return set()
        line = grid.cells[row] if row < len(grid.cells) else []
        start = last.column
        while (start < len(line)
               and (is_blank(line[start]) or any(column_named(line[start], other) for other in known))):
            start += 1
        return set(range(start, len(line)))
