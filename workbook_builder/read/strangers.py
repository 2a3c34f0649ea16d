"""Sheets, files and columns that nobody knows: each is named with what it holds and what it may have been
meant for.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.utils import get_column_letter

from workbook_builder.check.names import REQUIRED_TABLES
from workbook_builder.check.problems import ERROR, WARNING, Problem, Severity, nearest
from workbook_builder.core.columns import Table
from workbook_builder.core.own import NOTES_SHEET
from workbook_builder.read.grid import Grid, is_blank
from workbook_builder.read.headers import HEADER_DEPTH, column_named, plain
from workbook_builder.read.text_files import BadFile, read_csv
from workbook_builder.read.texts import LONGEST_TEXT, cell_length

#: Files in which a table may stand under another ending.
TEXT_ENDINGS = (".txt", ".tab", ".dat", ".psv")
#: Share of a row's cells that must be headers of a table before it counts as the table's header row.
MOSTLY = 0.5


@dataclass(frozen=True)
class Found:
    """Names in a source and the tables they were taken for."""

    source: str  # Name of the folder or workbook
    carried: bool  # Whether sheets that are not known are carried along; files of a folder are not
    #: Tables that were not found, and those that were
    absent: Sequence[Table]
    present: Sequence[Table]


def missing_tables(found: Found, strangers: Sequence[str]) -> Iterator[Problem]:
    """Yield a problem for each table that every plan needs and nothing is named after."""
    for table in found.absent:
        if table.key in REQUIRED_TABLES:
            like = likely(table, strangers)
            fix = f"Is it {like!r}?" if like else f"Add the table {table.key}"
            yield Problem("missing-table", f"the table {table.title} is missing", found.source, fix=fix)


def likely(table: Table, names: Sequence[str]) -> str:
    """Return the name most like a table's, or blank."""
    return nearest(table.title, names) or nearest(table.file_name, names)


def unknown_sheets(found: Found, names: Sequence[str], stem: Callable[[str], str],
                   open_grid: Callable[[str], Grid]) -> Iterator[Problem]:
    """Yield what is to be said of sheets or files that are no table.

    Parameters
    ----------
    found : Found
    names : sequence of str
    stem : callable
        From a name to the part that may be a table's.
    open_grid : callable
        From a name to its cells.
    """
    said = {likely(table, names) for table in found.absent if table.key in REQUIRED_TABLES}
    for name in (name for name in names if name not in said):
        try:
            grid = open_grid(name)
        except BadFile as bad:
            yield _unknown(found, name, f"{name!r} is no known table, and {bad.problem.message}", WARNING,
                           bad.problem.fix)
            continue
        if found.carried:
            yield from texts_not_carried(grid)
        if name != NOTES_SHEET and not grid.is_blank:
            yield _of_sheet(found, name, stem(name), grid)


def files_beside(found: Found, files: Sequence[Path],
                 names_of: Callable[[Table], set[str]]) -> Iterator[Problem]:
    """Yield what is to be said of files of another kind in a folder of tables,
    where one may hold a table that is not there.
    """
    for file in files:
        table = next((table for table in found.absent
                      if plain(file.stem.replace("-", " ")) in names_of(table)), None)
        if file.suffix.lower() in TEXT_ENDINGS:
            with suppress(BadFile):
                grid, _ = read_csv(file, table)
                if _header_of(grid, found.absent)[1] is not None:
                    yield _of_sheet(found, file.name, file.stem, grid)
                    continue
        if table is not None:
            message = f"{file.name!r} is called like the table {table.title}, and is not read"
            yield _unknown(found, file.name, message, WARNING,
                           f"Save it as CSV under the name {table.file_name!r}")


def _unknown(found: Found, name: str, message: str, severity: Severity, fix: str) -> Problem:
    file, sheet = (found.source, name) if found.carried else (name, "")
    return Problem("unknown-sheet", message, file, sheet, severity=severity, fix=fix)


def _of_sheet(found: Found, name: str, stem: str, grid: Grid) -> Problem:
    fate = "carried along unread" if found.carried else "not read"
    at, table = _header_of(grid, found.absent)
    if table is not None:
        message = (f"{name!r} is no known table, and its header row is that of {table.title}: "
                   f"{_rows(grid, at + 1)} would be left out")
        fix = (f"Name it {table.title if found.carried else table.file_name!r}, or give it another header "
               f"row if it is your own")
        return _unknown(found, name, message, ERROR, fix)
    like = nearest(stem, [title for each in found.absent for title in (each.title, each.key)])
    message = f"{name!r} is no known table; {_rows(grid, 0)} are {fate}"
    at, table = _header_of(grid, found.present)
    if table is not None:
        message = (f"{name!r} is no known table, though its header row is that of {table.title}, which is "
                   f"there too; {_rows(grid, at + 1)} are {fate}")
    return _unknown(found, name, message, WARNING, f"Did you mean {like!r}?" if like
                    else "Nothing, if it is your own")


def _header_of(grid: Grid, tables: Collection[Table]) -> tuple[int, Table | None]:
    """Return the row that reads like the header of a table, and which: all it needs is there,
    and half of what is there is its own.
    """
    best: tuple[int, int, Table | None] = (0, 0, None)
    for at, row in enumerate(grid.cells[:HEADER_DEPTH]):
        filled = [cell for cell in row if not is_blank(cell)]
        for table in tables:
            named = {column.key for cell in filled if (column := column_named(cell, table)) is not None
                     and column.typed}
            wanted = {column.key for column in table.columns if column.typed and column.required}
            if (len(named) >= 2 and wanted <= named and len(named) >= MOSTLY * len(filled)
                and len(named) > best[0]):
                best = (len(named), at, table)
    return best[1], best[2]


def _rows(grid: Grid, start: int) -> str:
    count = sum(1 for row in grid.cells[start:] if not all(is_blank(cell) for cell in row))
    return f"its {count:,} row{'' if count == 1 else 's'}"


def unknown_columns(grid: Grid, unknown: dict[str, int], known: Sequence[str],
                    line: int | None) -> Iterator[Problem]:
    """Yield what is to be said of columns or lines that nobody knows.

    Parameters
    ----------
    grid : Grid
    unknown : dict of str to int
        Header -> how many cells stand under it.
    known : sequence of str
        Titles and keys that are not there and may be left out.
    line : int, optional
        Row of the header.
    """
    alike = {text: nearest(text, known) for text in unknown}
    for text, like in alike.items():
        if like:
            message = (f"the column {text!r} is not known and is carried along unread "
                       f"({_cells(unknown[text])})")
            yield Problem("unknown-column", message, grid.file, grid.sheet, line, text, WARNING,
                          f"Did you mean {like!r}?")
    own = [text for text, like in alike.items() if not like and unknown[text]]
    if own:
        listed = ", ".join(f"{text!r} ({_cells(unknown[text])})" for text in own)
        message = f"not known and carried along unread: {listed}"
        yield Problem("unknown-column", message, grid.file, grid.sheet, line, own[0], WARNING,
                      "Nothing, if it is your own")


def texts_not_carried(grid: Grid, columns: Collection[int] | None = None) -> Iterator[Problem]:
    """Yield a problem for each text of the user's own that no cell can hold.

    Parameters
    ----------
    grid : Grid
    columns : collection of int, optional
        Indexes of the columns that are the user's own; all when left out.
    """
    for line, cells in zip(grid.rows, grid.cells, strict=True):
        for index, text in enumerate(cells):
            if not isinstance(text, str) or (columns is not None and index not in columns):
                continue
            letter = str(get_column_letter(index + 1))
            if cell_length(text) > LONGEST_TEXT:
                message = f"the text is {cell_length(text):,} characters long, more than a cell can hold"
                yield Problem("too-long", message, grid.file, grid.sheet, line, letter,
                              fix=f"Use at most {LONGEST_TEXT:,} characters")
            elif ILLEGAL_CHARACTERS_RE.search(text):
                message = "the text holds hidden characters that no cell may hold; they are left out"
                yield Problem("control-character", message, grid.file, grid.sheet, line, letter, WARNING,
                              "Type the text again")


def _cells(count: int) -> str:
    return f"{count:,} cell{'' if count == 1 else 's'}"
