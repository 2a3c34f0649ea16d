"""What a tab of the workbook is made of: the tables it shows, of them which columns, and where."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace

from workbook_builder.core.columns import Table

#: Ways a block is put: right of all before it, right of them without a gap or heading, or below the one
#: before it.
RIGHT, JOIN, UNDER = "right", "join", "under"


@dataclass(frozen=True)
class Block:
    """Columns of one table, shown together.

    Parameters
    ----------
    table : str
        Key of the table.
    shows : str
        Keys of its columns in their order; every column people read where left out.  What is
        not shown stands on a hidden sheet behind the tab.
    title : str
        Heading over the block; the table's title where left out.
    way : str
        `RIGHT`, `JOIN` or `UNDER`.  Nothing stands under a table that people lengthen.
    notes : bool
        Whether a form shows the note of each line.
    chart : str
        Name of the chart that stands below the block.
    beside : bool
        Whether the chart stands right of the block instead.
    charted : str
        Keys of other tables that the chart draws from, or shows with: it is not drawn where one rests.
    paper : bool
        Whether it prints; what does not stands right of all that does.
    filled : bool
        Whether its last columns print only as far as something stands in them.
    part : str
        Name of the part of its tab that shows only when something is typed into one of the part's
        tables, or into the columns it names of one.
    used : str
        What else shows the part where something is typed into it, as of a tab.
    """

    table: str
    shows: str = ""
    title: str = ""
    way: str = RIGHT
    notes: bool = False
    chart: str = ""
    beside: bool = False
    charted: str = ""
    paper: bool = True
    filled: bool = False
    part: str = ""
    used: str = ""

    @property
    def rests_as(self) -> list[str]:
        """What of it rests with its part: its table, or the columns it names, as ``table.column``."""
        return [f"{self.table}.{key}" for key in self.shows.split()] or [self.table]

    def draws(self, tables: Collection[str]) -> bool:
        """Return whether its chart draws from one of some tables."""
        return any(key in tables for key in self.charted.split())

    def keys(self, table: Table) -> list[str]:
        """Return the keys of the columns it shows of its table."""
        return self.shows.split() or [column.key for column in table.columns if not column.folded]


@dataclass(frozen=True)
class Tile:
    """One figure shown large: a cell of a form, ``table.column``, from one sheet column to another,
    counted from 1, and the title of the tab that its words lead to.
    """

    cell: str
    column: int
    last: int
    to: str


@dataclass(frozen=True)
class Tab:
    """One tab.

    Parameters
    ----------
    title : str
    blocks : tuple of Block
    answer, to_do : str
        Cells of forms, ``table.column``: the answer the tab opens with, and what to do about it.
    tiles : tuple of Tile
    top : int
        Row of the first headings.
    used : str, optional
        Given where the tab shows only when something is typed into one of its tables, or into what this
        names besides: columns, as ``table.column``, or as ``table.column=word`` for that word.
    chart_rows : int
        Rows that a chart below or beside a block takes.
    one_page : bool
        Whether it prints on one page.
    big : bool
        Whether it is read at arm's length: large type, high lines.
    banner : str
        Cell of a form, ``table.column``, that names the farm and the season, on the tab where it stands.
    """

    title: str
    blocks: tuple[Block, ...]
    answer: str = ""
    to_do: str = ""
    tiles: tuple[Tile, ...] = ()
    top: int = 5
    used: str | None = None
    chart_rows: int = 20
    one_page: bool = False
    big: bool = False
    banner: str = ""

    @property
    def cells(self) -> Iterator[tuple[str, str]]:
        """Table and column of every cell that stands by itself: banner, answer, what to do,
        and figures shown large.
        """
        for name in (self.banner, self.answer, self.to_do, *(tile.cell for tile in self.tiles)):
            if name:
                table, _, cell = name.partition(".")
                yield table, cell

    @property
    def parts(self) -> list[str]:
        """Names of its parts in their order."""
        return list(dict.fromkeys(block.part for block in self.blocks if block.part))

    def uses(self, part: str) -> list[str]:
        """Return what shows a part where something is typed into it, beside its own tables."""
        return [use for block in self.blocks if block.part == part for use in block.used.split()]

    def holds(self, tables: Collection[str]) -> bool:
        """Return whether one of some tables stands on the tab."""
        return any(block.table in tables for block in self.blocks)


def shown(tabs: Iterable[Tab], resting: Collection[str]) -> Iterator[Tab]:
    """Yield tabs as they show while some typed tables rest: none that holds one of them itself,
    of the others no part that does, and no chart that shows with one.
    """
    for tab in tabs:
        if not any(block.table in resting for block in tab.blocks if not block.part):
            away = {block.part for block in tab.blocks if block.part
                    and any(key in resting for key in block.rests_as)}
            kept = tuple(block if not block.draws(resting) else replace(block, chart="", charted="")
                         for block in tab.blocks if block.part not in away)
            yield replace(tab, blocks=kept) if kept != tab.blocks else tab
