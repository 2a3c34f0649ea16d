"""What a tab of the workbook is made of: the tables it shows, of them which columns, and where."""

from __future__ import annotations

from dataclasses import dataclass

#: Ways a block is put: right of all before it, right of them without a gap or heading, or below the one before it.
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
    paper : bool
        Whether it prints; what does not stands right of all that does.
    """

    table: str
    shows: str = ""
    title: str = ""
    way: str = RIGHT
    notes: bool = False
    chart: str = ""
    paper: bool = True


@dataclass(frozen=True)
class Tile:
    """One figure shown large: a cell of a form, ``table.column``, from one sheet column to another, counted from 1."""

    cell: str
    column: int
    last: int


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
    used : str
        Typed tables, ``table.column=word`` or ``table.column``; the tab shows when one of them holds a row, a row
        with that word, or one with anything there.  Where blank it always shows.
    chart_rows : int
        Rows that a chart below a block takes.
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
    used: str = ""
    chart_rows: int = 20
    one_page: bool = False
    big: bool = False
    banner: str = ""
