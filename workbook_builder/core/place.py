"""Placement: which sheet, row and column every declared column lands in."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.room import Room
from workbook_builder.core.rows import Rows
from workbook_builder.core.tabs import JOIN, UNDER, Block, Tab, shown

TITLE_ROW = 1
#: Columns of a form: label, value, unit and note.
FORM_COLUMNS = 4
#: On a tab stand the farm's name, the answer and what to do about it; then headings, and headers below them.
BANNER_ROW, ANSWER_ROW, TO_DO_ROW, TOP_ROW = 1, 2, 3, 5
#: The first column of a tab is its left edge.
FIRST_COLUMN = 2
_LONGEST_TITLE = 31
#: A title that formulas take without quotes; neither a cell such as AB12 or R1C1 nor a truth.
_PLAIN_WORD = re.compile(r"(?!(?:[a-z]{1,3}[0-9]+|r[0-9]*(?:c[0-9]*)?|c[0-9]*|true|false)$)[a-z_][a-z0-9_]*",
                         re.ASCII | re.IGNORECASE)


def column_letter(number: int) -> str:
    """Return the letters of a column counted from 1 (27 is AA)."""
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def quoted(sheet: str) -> str:
    """Return a sheet title as formulas write it: in quotes where it is no plain word."""
    return sheet if _PLAIN_WORD.fullmatch(sheet) else "'" + sheet.replace("'", "''") + "'"


def tucked_away(title: str) -> str:
    """Return the title of a hidden sheet: a plain word, since LibreOffice takes a quarter longer to open
    formulas full of titles in quotes.
    """
    return re.sub(r"\W+", "_", title, flags=re.ASCII)[:_LONGEST_TITLE]


class _DataRows:
    """What has data rows under a row of headers."""

    header_row: int
    rows: int

    @property
    def first_row(self) -> int:
        """Row of the first data row."""
        return self.header_row + 1

    @property
    def last_row(self) -> int:
        """Row of the last data row."""
        return self.header_row + self.rows


@dataclass(frozen=True)
class Piece(_DataRows):
    """Columns of one table that stand together on one sheet.

    Parameters
    ----------
    table : Table
    sheet, title : str
        Sheet title, and heading over the piece.
    columns : tuple of Column
        Of a form, one line each.
    column : int
        First sheet column, counted from 1.
    header_row, rows : int
        Row of the headers (for a form: the row above its first cell), and number of data rows.
    front : bool
        Whether people read it; what formulas alone need stands on hidden sheets.
    notes : bool
        Whether a form shows the note of each line.
    own : int
        Columns of the user's own, right of the declared ones.
    paper : bool
        Whether it prints.
    header_lines : int
        Lines its headers may take: fewer where they stand beside what prints,
        which a high header would stretch.
    block : Block, optional
        What its tab says of it; nothing says so of what stands on no tab.
    """

    table: Table
    sheet: str
    title: str
    columns: tuple[Column, ...]
    column: int
    header_row: int
    rows: int
    front: bool = False
    notes: bool = True
    own: int = 0
    paper: bool = True
    header_lines: int = 3
    block: Block | None = None

    @property
    def last_column(self) -> int:
        """Number of the last sheet column, the user's own included."""
        if self.table.is_form:
            return self.column + FORM_COLUMNS - (1 if self.notes else 2)
        return self.column + len(self.columns) + self.own - 1


@dataclass(frozen=True)
class Spot(_DataRows):
    """Where one table stands.

    Parameters
    ----------
    table : Table
    sheet : str
        Title of the sheet on which most of it is read.
    header_row, rows : int
        Row of the headers (for a form: the row above its first cell), and number of data rows.
    places : mapping of str to (str, int, int)
        Column key -> sheet, sheet column and first row of its cells.
    """

    table: Table
    sheet: str
    header_row: int
    rows: int
    places: Mapping[str, tuple[str, int, int]]

    @cached_property
    def numbers(self) -> dict[str, int]:
        """Sheet column of every key, counted from 1."""
        return {key: column for key, (_, column, _) in self.places.items()}

    @cached_property
    def letters(self) -> dict[str, str]:
        """Column letter of every key."""
        return {key: column_letter(number) for key, number in self.numbers.items()}

    def sheet_of(self, key: str) -> str:
        """Return the title of the sheet a column stands on."""
        return self.places[key][0]

    def row_of(self, key: str) -> int:
        """Return the first row of a column; that of its cell for a form."""
        return self.places[key][2]

    def cell(self, key: str, index: int = 0) -> str:
        """Return the reference of a cell on its sheet, for instance ``B7`` (row index counted from 0)."""
        return f"{self.letters[key]}{self.row_of(key) + index}"

    def absolute(self, key: str) -> str:
        """Return the whole column, or the single form cell, as an absolute reference with its sheet."""
        return f"{quoted(self.sheet_of(key))}!{self.fixed(key)}"

    def fixed(self, key: str) -> str:
        """Return the whole column, or the single form cell, as an absolute reference on its sheet."""
        letter, row = self.letters[key], self.row_of(key)
        return (f"${letter}${row}" if self.table.is_form
                else f"${letter}${row}:${letter}${row + self.rows - 1}")


@dataclass
class SheetPlan:
    """One sheet: the tab it is, or None where it holds tables as declared, and the pieces on it."""

    title: str
    tab: Tab | None = None
    pieces: list[Piece] = field(default_factory=list)
    hidden: bool = False


class Placement(Rows):
    """The place of every table.

    Parameters
    ----------
    tables : iterable of Table
    room : Room
    tabs : sequence of Tab
        What people read; all that stands on none of them is hidden.  Without tabs every table
        stands on the sheet it names, one below the other.
    own : mapping of str to collection
        Table key -> the user's own columns of it.

    Attributes
    ----------
    away : list of Tab
        Tabs that hold resting tables; what is needed of them stands behind.
    parts_away : dict of str to list of str
        Title of a tab that shows -> names of its parts that do not,
        but for those that come with a tab that is away.
    """

    def __init__(self, tables: Iterable[Table], room: Room, tabs: Sequence[Tab] = (),
                 own: Mapping[str, Collection[str]] | None = None) -> None:
        super().__init__(tables, room)
        self.spots: dict[str, Spot] = {}
        self.sheets: dict[str, SheetPlan] = {}
        self._own = own or {}
        self._places: dict[str, dict[str, tuple[str, int, int]]] = {key: {} for key in self.tables}
        fronts: dict[str, tuple[str, int]] = {}
        seen = {tab.title: tab for tab in shown(tabs, room.resting)}
        self.away = [tab for tab in tabs if tab.title not in seen]
        with_tabs = [tab.used.split() for tab in self.away if tab.used]
        known = [tab for tab in tabs if tab.title in seen]
        left = {tab.title: [part for part in tab.parts if part not in seen[tab.title].parts
                            and tab.uses(part) not in with_tabs] for tab in known}
        self.parts_away = {title: parts for title, parts in left.items() if parts}
        self._titles = {tab.title.casefold() for tab in tabs}
        self._away = {block.table: behind(tab.title) for tab in tabs for block in tab.blocks
                      if tab.title not in seen or block not in seen[tab.title].blocks}
        for tab in seen.values():
            self._put_tab(tab, fronts)
        for key, table in self.tables.items():
            if not self._places[key]:
                fronts[key] = self._put_below(table, bool(tabs))
        for key, (title, header) in fronts.items():
            self._put_rest(self.tables[key], title, header)
        for key, table in self.tables.items():
            title, header = fronts[key]
            self.spots[key] = Spot(table, title, header, self._lines(table, table.columns), self._places[key])

    def _put_tab(self, tab: Tab, fronts: dict[str, tuple[str, int]]) -> None:
        if not tab.holds(self.tables):
            return
        sheet = self.sheets[tab.title] = SheetPlan(tab.title, tab)
        top = ((tab.banner, BANNER_ROW), (tab.answer, ANSWER_ROW), (tab.to_do, TO_DO_ROW))
        single = [*((name, row, FIRST_COLUMN) for name, row in top),
                  *((tile.cell, TOP_ROW, tile.column) for tile in tab.tiles)]
        for name, row, column in single:
            key, _, cell = name.partition(".")
            if key in self.tables:
                self._places[key][cell] = (tab.title, column, row)
                fronts.setdefault(key, (tab.title, TOP_ROW + 1))
        header, first, right, below = tab.top + 1, FIRST_COLUMN, FIRST_COLUMN, tab.top + 1
        for block in tab.blocks:
            if block.table not in self.tables:
                continue
            if block.way == UNDER:
                header = below + 3
            elif block.way == JOIN:
                header, first = sheet.pieces[-1].header_row, sheet.pieces[-1].last_column + 1
            else:
                header, first = tab.top + 1, right
            piece = self._piece(block, tab, first, header)
            sheet.pieces.append(piece)
            fronts[block.table] = (tab.title, header)
            below = piece.last_row if not block.chart else (
                max(piece.last_row, piece.header_row + tab.chart_rows) if block.beside
                else piece.last_row + tab.chart_rows)
            right = max(right, piece.last_column + 2)

    def _piece(self, block: Block, tab: Tab, first: int, header: int) -> Piece:
        table = self.tables[block.table]
        places = self._places[table.key]
        columns = tuple(table.by_key[key] for key in block.keys(table) if key not in places)
        heading = "" if block.way == JOIN else block.title or table.title
        again = table.is_form or any(piece.table is table for piece in self.sheets[tab.title].pieces)
        own = 0 if again else len(self._own.get(table.key, ()))
        before = self.sheets[tab.title].pieces
        lines = 1 if block.way == UNDER and (tab.one_page or not block.paper) else 3 if block.paper else 2
        if block.way == JOIN and before[-1].header_row == header:
            lines = min(lines, before[-1].header_lines)
        piece = Piece(table, tab.title, heading, columns, first, header, self._lines(table, columns), True,
                      block.notes, own, block.paper, lines, block)
        self._note(piece)
        return piece

    def _lines(self, table: Table, columns: Collection[Column]) -> int:
        """Return how many sheet rows a table takes: its rows, or a line for each cell shown of a form."""
        return len(columns) if table.is_form else self.row_count(table.key)

    def _note(self, piece: Piece) -> None:
        for number, column in enumerate(piece.columns):
            at = ((piece.column + 1, piece.first_row + number) if piece.table.is_form
                  else (piece.column + number, piece.first_row))
            self._places[piece.table.key][column.key] = (piece.sheet, *at)

    def _put_below(self, table: Table, hidden: bool) -> tuple[str, int]:
        """Put a whole table below those that name the same sheet."""
        # Programs take no two titles that differ in case alone.
        title = (self._away.get(table.key)
                 or (behind(table.sheet_title) if table.sheet_title.casefold() in self._titles
                     else table.sheet_title))
        title = tucked_away(title) if hidden else title
        sheet = self.sheets.setdefault(title, SheetPlan(title, hidden=hidden))
        header = TITLE_ROW + 3 if not sheet.pieces else sheet.pieces[-1].last_row + 5
        sheet.pieces.append(Piece(table, title, table.title, table.columns, 1, header,
                                  self._lines(table, table.columns)))
        self._note(sheet.pieces[-1])
        return title, header

    def _put_rest(self, table: Table, front: str, header: int) -> None:
        """Put what a tab does not show of a table on the hidden sheet behind it, in the same rows."""
        columns = tuple(column for column in table.columns if column.key not in self._places[table.key])
        if not columns:
            return
        title = behind(front)
        sheet = self.sheets.setdefault(title, SheetPlan(title, hidden=True))
        first = max((piece.last_column + 1 for piece in sheet.pieces), default=1)
        sheet.pieces.append(Piece(table, title, table.title, columns, first, header,
                                  self._lines(table, columns), notes=False))
        self._note(sheet.pieces[-1])

    @property
    def front(self) -> dict[str, SheetPlan]:
        """Return the sheets people read, by title."""
        return {title: sheet for title, sheet in self.sheets.items() if not sheet.hidden}


def behind(title: str) -> str:
    """Return the title of the hidden sheet behind a tab."""
    return tucked_away(f"Behind {title[:1].lower()}{title[1:]}")


def has_room_for_lines(piece: Piece, pieces: Iterable[Piece]) -> bool:
    """Return whether a form can take further lines: no piece stands below it."""
    return not any(other.header_row > piece.header_row and other.column <= piece.last_column
                   and other.last_column >= piece.column for other in pieces)
