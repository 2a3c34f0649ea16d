"""Reading a source: a folder of CSV files, an input workbook, or a workbook built earlier."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from workbook_builder.check.names import REQUIRED_TABLES
from workbook_builder.check.problems import WARNING, Place, PlacedRows, Problem
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.own import OWN_SHEETS
from workbook_builder.core.tabs import Tab
from workbook_builder.file_format import FORMAT
from workbook_builder.read.cells import Reading
from workbook_builder.read.grid import Grid, cell_at, is_blank
from workbook_builder.read.headers import column_named, plain
from workbook_builder.read.own_sheets import own_extras
from workbook_builder.read.rows import TableFound, read_form, read_rows
from workbook_builder.read.strangers import Found, files_beside, missing_tables, unknown_sheets
from workbook_builder.read.tab_parts import TabParts
from workbook_builder.read.text_files import BadFile, read_csv
from workbook_builder.read.workbooks import Book

CSV_ENDINGS = (".csv", ".tsv")
BOOK_ENDINGS = (".xlsx", ".xlsm")
_LONGEST_TITLE = 31


def _nothing(titles: list[str]) -> dict[str, Any]:
    return {}


@dataclass
class _Source:
    """What a folder or a workbook holds, before any cell is read."""

    name: str
    names: list[str]
    open_grid: Callable[[str, Table | None], tuple[Grid, list[Problem]]]
    problems: list[Problem] = field(default_factory=list)
    #: Titles of the user's own sheets -> extras that carry their contents.
    read_own: Callable[[list[str]], dict[str, Any]] = _nothing
    #: Files of another kind in a folder of tables.
    beside: list[Path] = field(default_factory=list)
    #: Titles of sheets that the program alone wrote, under whatever name it had for them.
    ours: list[str] = field(default_factory=list)
    #: Whether it is a workbook, on whose tabs tables may stand side by side.
    carries_tabs: bool = False


def read_source(
    path: Path, tables: Sequence[Table], known_sheets: Collection[str] = (),
    other_tables: Sequence[Table] = (), tabs: Sequence[Tab] = ()
) -> tuple[Inputs, list[Problem]]:
    """Read the inputs of one farm.

    Parameters
    ----------
    path : Path
        A folder of CSV files, an input workbook, or a workbook built earlier.
    tables : sequence of Table
        Typed tables to read.
    known_sheets : collection of str
        Titles of further sheets that are ours, and so not the user's own.
    other_tables : sequence of Table
        Our tables that nobody types.  Their sheets are ours too, and where one shares a
        sheet with a typed table, its part of the sheet is passed over.
    tabs : sequence of Tab
        Tabs on which several tables stand side by side.

    Returns
    -------
    (inputs, problems) : tuple
        Problems are collected, never raised.  A cell that cannot be read is None.
        Optional tables that are not there are not in ``inputs.tables``.
    """
    try:
        titles = {tab.title for tab in tabs}
        typed = {table.sheet_title for table in tables} | titles
        source = _open(Path(path), {table.sheet_title for table in other_tables} - typed)
        ours = {*known_sheets, *titles,
                *(title for table in other_tables for title in (table.sheet_title, *table.was))}
        keys = {table.key for table in tables}
        others = [table for table in other_tables if table.key not in keys]
        parts = TabParts(tabs, (*tables, *others))
        named, doubled = _assign(source, tables, parts)
        problems = [*source.problems, *doubled]
        found: dict[str, TableFound] = {}
        # The farm comes first, and twice: its units and currency decide how all tables are read, its own too.
        farm = [table for table in tables if table.key == "farm"]
        for table in (*farm, *tables):
            if table.key in named:
                so_far = Inputs({key: each.rows for key, each in found.items()})
                found[table.key] = _read_table(source, named[table.key], table, (*tables, *others),
                                               so_far, parts)
        strangers = [name for name in source.names if name not in named.values()]
        present, absent = ([table for table in tables if (table.key in named) is is_there]
                           for is_there in (True, False))
        known = Found(source.name, source.read_own is not _nothing, absent, present)
        problems += missing_tables(known, strangers)
        ordered = {table.key: found[table.key] for table in tables if table.key in found}
        told = [problem for each in ordered.values() for problem in each.problems]
        # What concerns the whole workbook is told only where it shows first.
        first = next((problem for problem in told if problem.code == "currency-assumed"), None)
        problems += [problem for problem in told if problem.code != "currency-assumed" or problem is first]
        rows = {key: each.rows for key, each in ordered.items()}
        rows.update({table.key: PlacedRows([], Place(source.name, missing=True)) for table in absent
                     if table.key in REQUIRED_TABLES})
        extras: dict[str, Any] = {key: each.extras for key, each in ordered.items() if each.extras}
        known_titles = {plain(title) for title in (*ours, *source.ours)}
        own = [name for name in strangers if plain(name) not in known_titles]
        twice = {problem.sheet for problem in problems if problem.code == "duplicate-table"}
        problems += unknown_sheets(known, [name for name in own if name not in twice], _stem,
                                   lambda name: source.open_grid(name, None)[0])
        problems += files_beside(known, source.beside, _names_of)
        extras |= {OWN_SHEETS: own} if own else {}
        return Inputs(rows, extras | source.read_own(own), str(path)), problems
    except BadFile as bad:
        return Inputs({}, {}, str(path)), [bad.problem]


def _open(path: Path, results: Collection[str]) -> _Source:
    try:
        is_folder, is_file = path.is_dir(), path.is_file()
    except (OSError, ValueError):  # a name the system cannot hold
        is_folder = is_file = False
    if is_folder:
        try:
            files = {entry.name: entry for entry in tables_in(path)}
        except OSError as error:
            fix = "Check that you may read the folder"
            raise BadFile(Problem("unreadable-file", "the folder cannot be opened", path.name,
                                  fix=fix)) from error
        if not files:
            # The first few paths in a folder that may be sources themselves.
            found = [entry for entry in sorted(path.iterdir()) if not entry.name.startswith((".", "~$"))]
            books = [str(entry) for entry in found if entry.suffix.lower() in BOOK_ENDINGS]
            folders = [str(entry) for entry in found if entry.is_dir() and has_tables(entry)]
            named = [*folders, *books]
            inside = [repr(name) for name in named[:3]] + (["..."] if len(named) > 3 else [])
            fix = "Put fields.csv, products.csv and the other tables into it, or give a workbook"
            if inside:
                fix = f"Give one of the sources in it: {', '.join(inside)}"
            raise BadFile(Problem("not-a-source", "the folder holds no CSV files", path.name, fix=fix))
        beside = [entry for entry in sorted(path.iterdir()) if entry.name not in files and entry.is_file()
                  and not entry.name.startswith((".", "~$"))]
        return _Source(path.name, list(files), lambda name, table: read_csv(files[name], table),
                       beside=beside)
    if not is_file:
        fix = "Check the spelling of the path"
        raise BadFile(Problem("missing-source", f"there is no file or folder {str(path)!r}", fix=fix))
    if path.suffix.lower() in CSV_ENDINGS:
        fix = f"Give the folder {str(path.parent)!r}"
        raise BadFile(Problem("not-a-source", "one CSV file holds one table only", path.name, fix=fix))
    book = Book(path, results)
    number, ours = book.stated_format()
    if number is not None and number > FORMAT:
        message = (f"it was written by a newer release, in format {number}; this one reads formats up to "
                   f"{FORMAT}")
        raise BadFile(Problem("newer-format", message, path.name, fix="Install the newest release"))
    odd = [Problem("odd-parts",
                   f"another program saved it oddly, and its cells are read all the same: "
                   f"{'; '.join(book.odd)}", path.name,
                   severity=WARNING, fix="Nothing, if all you typed is there")] if book.odd else []
    opened = cache(book.grid)
    return _Source(
        path.name, book.titles(), lambda title, _: opened(title), odd,
        read_own=lambda titles: own_extras(book, titles), ours=ours, carries_tabs=True,
    )


def tables_in(folder: Path) -> list[Path]:
    """Return the files of tables directly inside a folder, by name."""
    return [entry for entry in sorted(folder.iterdir()) if entry.suffix.lower() in CSV_ENDINGS]


def has_tables(folder: Path) -> bool:
    """Return whether a folder holds tables; one that nobody may open counts, so that reading it says why."""
    try:
        return bool(tables_in(folder))
    except OSError:
        return True


def _assign(source: _Source, tables: Sequence[Table],
            parts: TabParts) -> tuple[dict[str, str], list[Problem]]:
    """Return which sheet or file each table is on."""
    named: dict[str, str] = {}
    problems = []
    stems = {name: _stem(name) for name in source.names if name not in source.ours}
    for table in tables:
        wanted = _names_of(table)
        fitting = [name for name, stem in stems.items() if stem in wanted]
        tab = next((name for name in source.names if source.carries_tabs
                    and name == parts.title_of.get(table.key)), None)
        if tab is not None and tab not in fitting and _on_tab(source, tab, table, parts):
            fitting.append(tab)
        # A sheet of its own goes before a sheet that tables share.
        fitting.sort(key=lambda name: _stem(name) not in (plain(table.title), plain(table.key)))
        if fitting:
            named[table.key] = fitting[0]
        if len(fitting) > 1 and not table.sheet:
            message = f"{fitting[0]!r} and {fitting[1]!r} both hold the table {table.title}"
            problems.append(Problem("duplicate-table", message, source.name, fitting[1],
                                    fix="Keep one of them"))
    return named, problems


def _on_tab(source: _Source, name: str, table: Table, parts: TabParts) -> bool:
    try:
        return parts.first(source.open_grid(name, table)[0], table) is not None
    except BadFile:
        return False


def _stem(name: str) -> str:
    stem = name.rpartition(".")[0] if name.lower().endswith(CSV_ENDINGS) else name
    return plain(stem.replace("-", " "))


def _names_of(table: Table) -> set[str]:
    names = (table.key, table.title, table.sheet_title, *table.was)
    return {plain(name.replace("-", " ")) for each in names for name in (each, each[:_LONGEST_TITLE])}


def _read_table(source: _Source, name: str, table: Table, tables: Sequence[Table], so_far: Inputs,
                parts: TabParts) -> TableFound:
    try:
        grid, problems = source.open_grid(name, table)
    except BadFile as bad:
        return TableFound(PlacedRows([], Place(name, missing=True)), {}, [bad.problem])
    grid = (parts.part(grid, table) if source.carries_tabs else None) or _part_of(grid, table, tables)
    reading = Reading(grid.from_workbook, grid.decimal_comma, grid.epoch, so_far.system, so_far.currency)
    found = read_form(grid, table, reading) if table.is_form else read_rows(grid, table, reading)
    found.problems[:0] = problems
    return found


def _part_of(grid: Grid, table: Table, tables: Sequence[Table]) -> Grid:
    """Return the part of a shared sheet that holds one table: from its title to the next title."""
    sharing = [other for other in tables if other.sheet_title == table.sheet_title]
    if len(sharing) == 1 or not grid.sheet:
        return grid
    titles = {plain(title) for other in sharing for title in (other.title, *other.was)}
    lines = [line for line, cells in enumerate(grid.cells) if _is_title(cells, titles, table)]
    # The first table of a sheet may stand under the sheet's title instead of its own.
    mine = {plain(title) for title in (table.title, *table.was)}
    start = next((line for line in lines if plain(grid.cells[line][0]) in mine), 0)
    stop = next((line for line in lines if line > start), len(grid.cells))
    return grid.part(start, stop)


def _is_title(cells: list[Any], titles: set[str], table: Table) -> bool:
    first = cell_at(cells, 0)
    if not isinstance(first, str) or not is_blank(cell_at(cells, 1)) or plain(first) not in titles:
        return False
    return plain(first) in map(plain, (table.title, *table.was)) or column_named(first, table) is None


