"""From a grid to the rows of a table, below a header row, or to the single row of a form, beside its labels.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from openpyxl.utils import get_column_letter

from workbook_builder.check.problems import ERROR, WARNING, Place, PlacedRows, Problem, nearest
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.inputs import Row
from workbook_builder.core.own import OWN_MARK, OwnFormula
from workbook_builder.read.cells import Reading, Remark, read_cell, read_range
from workbook_builder.read.grid import ErrorCell, FormulaCell, Grid, cell_at, is_blank
from workbook_builder.read.header_units import names_unit, readings_of, unit_remarks
from workbook_builder.read.headers import (
    HEADER_DEPTH,
    HeaderMap,
    column_named,
    find_header,
    header_score,
    map_headers,
    plain,
)
from workbook_builder.read.own_sheets import kept_formula
from workbook_builder.read.strangers import texts_not_carried, unknown_columns
from workbook_builder.read.unit_words import ShownNumber


@dataclass
class TableFound:
    """A table as read: its rows, the user's own columns and what is wrong with it."""

    rows: PlacedRows
    extras: dict[str, list[Any]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)


def read_rows(grid: Grid, table: Table, reading: Reading) -> TableFound:
    """Return the rows of a table that has a header row.

    Parameters
    ----------
    grid : Grid
        Cells of the sheet or file, or of the table's part of a sheet.
    table : Table
    reading : Reading

    Returns
    -------
    TableFound
        Blank rows between filled ones are kept as ``{}``, so that rows keep their places.
    """
    at = find_header(grid.cells, table)
    if at is None:
        problems = []
        if not grid.is_blank:
            wanted = ", ".join(column.header for column in table.columns if column.required)
            message = f"no row among the first {HEADER_DEPTH} reads like the header row of {table.title}"
            problems.append(Problem("missing-header", message, grid.file, grid.sheet, 1,
                                    fix=f"Write a header row with {wanted}"))
        return TableFound(PlacedRows([], Place(grid.file, grid.sheet, missing=bool(problems))), {}, problems)
    headers = map_headers(grid.cells[at], table)
    body = grid.part(at + 1, len(grid.cells))
    problems = header_problems(grid, table, headers, grid.rows[at], cells_under(headers, body))
    readings, remarks = readings_of(table, headers.seen, reading)
    problems += [as_problem(grid, remark, grid.rows[at], text) for text, remark in remarks]
    rows: list[Row] = []
    for line, cells in zip(body.rows, body.cells, strict=True):
        row, found = _read_row(grid, table, headers, line, cells, readings)
        rows.append(row)
        problems += found
    kept = max((index + 1 for index, row in enumerate(rows) if row), default=0)
    place = Place(grid.file, grid.sheet, tuple(body.rows[:kept]), dict(headers.seen))
    problems += [*_headless(grid, body, grid.cells[at]),
                 *texts_not_carried(grid.part(at, len(grid.cells)), headers.extras)]
    names = _names(grid.cells[at], table, headers)
    lines = list(zip(body.rows, body.cells, strict=True))
    own = {index: [own_value(cell_at(cells, index), row, names) for row, cells in lines]
           for index in headers.extras}
    problems += _formulas_not_kept(body, headers.extras, own)
    return TableFound(PlacedRows(rows[:kept], place), _own_columns(headers, own), problems)


def cells_under(headers: HeaderMap, body: Grid) -> dict[int, int]:
    """Return how many cells stand under each header that nobody knows."""
    return {index: sum(not is_blank(cell_at(cells, index)) for cells in body.cells)
            for index in headers.extras}


def header_problems(grid: Grid, table: Table, headers: HeaderMap, line: int | None,
                    cells: Mapping[int, int]) -> list[Problem]:
    """Return what is wrong with the headers of a table: missing, doubled,
    not known; `cells` counts what stands under those.
    """
    problems = []
    missing = [column for column in table.columns if column.typed and column.key not in headers.indexes]
    unknown = list(headers.extras.values())
    offered = set()
    for column in (column for column in missing if column.required):
        like = nearest(column.header, unknown) or nearest(column.key, unknown)
        offered.add(like)
        fix = f"Is it the column {like!r}?" if like else f"Add a column {column.header}"
        message = f"the column {column.header} is missing"
        problems.append(Problem("missing-column", message, grid.file, grid.sheet, line,
                                column.header, fix=fix))
    for key, text in headers.doubles:
        message = f"{text!r} and {headers.seen[key]!r} are the same column"
        problems.append(Problem("duplicate-column", message, grid.file, grid.sheet, line, text,
                                fix="Keep one of them"))
    optional = [name for column in missing if not column.required
                for name in (column.header, column.key, *column.was)]
    counts: dict[str, int] = {}
    for index, text in headers.extras.items():
        if text not in offered:
            counts[text] = counts.get(text, 0) + cells.get(index, 0)
    return [*problems, *unknown_columns(grid, counts, optional, line)]


def _read_row(
    grid: Grid, table: Table, headers: HeaderMap, line: int, cells: list[Any], readings: Mapping[str, Reading]
) -> tuple[Row, list[Problem]]:
    typed = {key: cell_at(cells, index) for key, index in headers.indexes.items()}
    problems = []
    if not grid.from_workbook and not all(is_blank(cell) for cell in cells[headers.width :]):
        message = f"the line has {len(cells)} cells, the header {headers.width}"
        fix = "Put quotes around cells that hold the delimiter, and write decimals with a point"
        problems = [Problem("too-many-cells", message, grid.file, row=line, fix=fix)]
    # A formula that shows nothing fills no row.
    if all(is_blank(cell.result() if isinstance(cell, FormulaCell) else cell) for cell in typed.values()):
        return {}, problems
    row: Row = {}
    unit = str(next((typed.get(column.key) for column in table.columns if column.quantity == "unit_label"),
                    None) or "")
    ranged = read_range(typed, readings)
    for column in table.columns:
        if column.key in ranged:
            row[column.key] = ranged[column.key]
        elif column.typed:
            row[column.key], remarks = read_cell(typed.get(column.key), column, readings[column.key], unit)
            known = column.key in headers.indexes
            if known and not any(remark.severity == ERROR for remark in remarks):
                remarks += required_blank(column, row[column.key])
            text = headers.seen.get(column.key, column.header)
            problems += [as_problem(grid, remark, line, text) for remark in remarks]
    return row, problems


def required_blank(column: Column, value: Any) -> list[Remark]:
    """Return the remark that a required cell is blank, when it is."""
    if value is not None or not column.required:
        return []
    note = column.note.rstrip(".")
    return [Remark("required-blank", f"{column.header} must be filled in", note)]


def as_problem(grid: Grid, remark: Remark, line: int | None, column: str) -> Problem:
    """Return a remark about a cell as a problem with its place."""
    return Problem(remark.code, remark.message, grid.file, grid.sheet, line, column,
                   remark.severity, remark.fix)


def _headless(grid: Grid, body: Grid, header: list[Any]) -> list[Problem]:
    found = [
        (line, index)
        for line, cells in zip(body.rows, body.cells, strict=True)
        for index, cell in enumerate(cells if grid.from_workbook else cells[: len(header)])
        if cell is not None and not is_blank(cell) and is_blank(cell_at(header, index))
    ]
    if not found:
        return []
    line, index = found[0]
    what = "a cell stands in a column" if len(found) == 1 else f"{len(found):,} cells stand in columns"
    place = (grid.file, grid.sheet, line, str(get_column_letter(index + 1)))
    return [Problem("no-header", f"{what} without a header, and are not read" if len(found) > 1
                    else f"{what} without a header, and is not read",
                    *place, WARNING, "Give the column a header")]


def _names(header: list[Any], table: Table, headers: HeaderMap) -> dict[str, str]:
    """Return column letter -> name of a column; of two with one name neither has any."""
    named: dict[str, str] = {}
    for index, cell in enumerate(header):
        column = column_named(cell, table)
        name = (column.key if column is not None else OWN_MARK + headers.extras[index]
                if index in headers.extras else "")
        named[get_column_letter(index + 1)] = name
    names = list(named.values())
    return {letter: name for letter, name in named.items() if name and names.count(name) == 1}


def _formulas_not_kept(body: Grid, headers: Mapping[int, str],
                       own: Mapping[int, list[Any]]) -> Iterator[Problem]:
    """Yield, cell by cell, which formulas of own columns become values, and which are lost."""
    for index, header in headers.items():
        letter = get_column_letter(index + 1)
        gone = [
            (f"{letter}{row}", value)
            for row, cells, value in zip(body.rows, body.cells, own[index], strict=True)
            if isinstance(cell_at(cells, index), FormulaCell) and not isinstance(value, OwnFormula)
        ]
        became, lost = ([place for place, value in gone if value is not None],
                        [place for place, value in gone if value is None])
        if became:
            message = f"in your own column {header!r} formulas become their last results: {', '.join(became)}"
            fix = "Let a formula read cells of its own row alone, or put it on a sheet of your own"
            yield Problem("own-formula", message, body.file, body.sheet, column=header,
                          severity=WARNING, fix=fix)
        if lost:
            message = (f"in your own column {header!r} formulas have no stored result, and would leave a "
                       f"blank: {', '.join(lost)}")
            fix = "Save the file in a spreadsheet program first"
            yield Problem("own-formula", message, body.file, body.sheet, column=header,
                          severity=WARNING, fix=fix)


def _own_columns(headers: HeaderMap, columns: Mapping[int, list[Any]]) -> dict[str, list[Any]]:
    kept = {index: max((at + 1 for at, value in enumerate(values) if value is not None), default=0)
            for index, values in columns.items()}
    return named_apart((text, columns[index][: kept[index]]) for index, text in headers.extras.items())


def named_apart(columns: Iterable[tuple[str, list[Any]]]) -> dict[str, list[Any]]:
    """Return own columns or lines by name, those of one name told apart by a number."""
    extras: dict[str, list[Any]] = {}
    for text, values in columns:
        name, count = text, 2
        while name in extras:
            name, count = f"{text} ({count})", count + 1
        extras[name] = values
    return extras


def own_value(cell: Any, row: int = 0, names: Mapping[str, str] | None = None) -> Any:
    """Return a cell of the user's own column as it is carried along.

    Formulas that read other rows leave their last result.
    """
    if isinstance(cell, FormulaCell):
        shown = cell.result()
        result = "" if shown == "" else own_value(shown)
        return kept_formula(cell, result, row, names or {})
    if isinstance(cell, ErrorCell):
        return cell.text
    if isinstance(cell, ShownNumber):
        return cell.plain
    return None if is_blank(cell) else cell


def read_form(grid: Grid, table: Table, reading: Reading) -> TableFound:
    """Return the row of a form.

    Labels stand in the first column with values in the second; a header row with one row
    of values below is read as well.  Blank cells take the column's default.
    """
    found: list[int] = []
    for line, cells in enumerate(grid.cells):
        column = column_named(cell_at(cells, 0), table)
        if column is not None and column.typed:
            found.append(line)
    # The sheet's title may read like one of its labels (Farm); a label further down decides.
    labels = {line: cell_at(grid.cells[line], 0) for line in found}
    lines = [line for line in found if line or plain(labels[0]) != plain(table.title) or all(
             column_named(labels[other], table) is not column_named(labels[0], table) for other in found[1:])]
    at = find_header(grid.cells, table)
    across = header_score(grid.cells[at], table) if at is not None else 0
    down = len({column_named(cell_at(grid.cells[line], 0), table) for line in lines})
    if at is not None and (across > down or (across == down and not grid.from_workbook)):
        return _read_across(grid, table, reading, at)
    return _read_down(grid, table, reading, lines)


def _first_line(grid: Grid, lines: list[int]) -> int:
    """Return where the lines of a form begin: below the words Item and Value,
    else with the first label that is known.
    """
    for line, cells in enumerate(grid.cells[: lines[0] if lines else None]):
        if plain(cell_at(cells, 1) or "") == "value":
            return line + 1
    return lines[0] if lines and grid.from_workbook else 0


def _read_across(grid: Grid, table: Table, reading: Reading, at: int) -> TableFound:
    headers = map_headers(grid.cells[at], table)
    problems = header_problems(grid, table, headers, grid.rows[at],
                               cells_under(headers, grid.part(at + 1, len(grid.cells))))
    readings, remarks = readings_of(table, headers.seen, reading)
    problems += [as_problem(grid, remark, grid.rows[at], text) for text, remark in remarks]
    filled = [line for line in range(at + 1, len(grid.cells))
              if not all(is_blank(cell) for cell in grid.cells[line])]
    if len(filled) > 1:
        line = grid.rows[filled[1]]
        message = f"{table.title} has one row only, and here is another"
        problems.append(Problem("too-many-rows", message, grid.file, grid.sheet, line, fix="Keep one row"))
    line_at = filled[0] if filled else at
    cells = grid.cells[line_at] if filled else []
    values = {key: cell_at(cells, index) for key, index in headers.indexes.items()}
    row, found = _read_values(grid, table, values, {}, headers.seen, grid.rows[line_at], readings)
    extras = named_apart((text, [own_value(cell_at(cells, index))]) for index, text in headers.extras.items())
    place = Place(grid.file, grid.sheet, (grid.rows[line_at],), dict(headers.seen))
    return TableFound(PlacedRows([row], place), extras, problems + found)


def _read_down(grid: Grid, table: Table, reading: Reading, lines: list[int]) -> TableFound:
    values: dict[str, Any] = {}
    label_rows: dict[str, int] = {}
    headers = HeaderMap()
    for line in range(_first_line(grid, lines), len(grid.cells)):
        cells = grid.cells[line]
        label = cell_at(cells, 0)
        column = column_named(label, table) if line in lines else None
        if column is None:
            if not is_blank(label) and not is_blank(cell_at(cells, 1)):
                headers.extras[line] = " ".join(str(label).split())
        elif column.key in values:
            headers.doubles.append((column.key, str(label)))
        else:
            values[column.key] = cell_at(cells, 1)
            headers.indexes[column.key] = line
            headers.seen[column.key] = " ".join(str(label).split())
            label_rows[column.key] = grid.rows[line]
    first = grid.rows[lines[0]] if lines else None
    readings, remarks = readings_of(table, headers.seen, reading)
    _units_beside(grid, table, headers, readings, remarks)
    problems = header_problems(grid, table, headers, None, dict.fromkeys(headers.extras, 1))
    problems = _placed(problems + [as_problem(grid, remark, None, text) for text, remark in remarks],
                       headers, grid)
    for line in headers.extras:
        problems += texts_not_carried(grid.part(line, line + 1), (0, 1))
    row, found = _read_values(grid, table, values, label_rows, headers.seen, first, readings)
    extras = named_apart((text, [own_value(cell_at(grid.cells[line], 1))])
                         for line, text in headers.extras.items())
    place = Place(grid.file, grid.sheet, (first or 1,), dict(headers.seen), label_rows)
    return TableFound(PlacedRows([row], place), extras, problems + found)


def _units_beside(
    grid: Grid, table: Table, headers: HeaderMap, readings: dict[str, Reading],
    remarks: list[tuple[str, Remark]]
) -> None:
    """Add what the third cell of a line says, where it holds a unit; any other text there is a note."""
    for key, line in headers.indexes.items():
        column, beside = table.by_key[key], cell_at(grid.cells[line], 2)
        if isinstance(beside, str) and names_unit(beside, column):
            converted, said = unit_remarks(beside.strip(), column, table, readings[key])
            remarks += [(headers.seen[key], remark) for remark in said]
            if converted is not None:
                readings[key] = replace(readings[key], conversion=converted)


def _placed(problems: list[Problem], headers: HeaderMap, grid: Grid) -> list[Problem]:
    """Give each header problem of a form the row of its own label, where it has one."""
    lines = {headers.seen[key]: line for key, line in headers.indexes.items()}
    lines.update({text: line for line, text in headers.extras.items()})
    rows = {text: grid.rows[line] for text, line in lines.items()}
    return [replace(problem, row=rows.get(problem.column)) for problem in problems]


def _read_values(
    grid: Grid, table: Table, values: dict[str, Any], label_rows: dict[str, int], seen: dict[str, str],
    line: int | None, readings: dict[str, Reading],
) -> tuple[Row, list[Problem]]:
    row: Row = {}
    problems: list[Problem] = []
    for column in table.columns:
        if not column.typed:
            continue
        value, remarks = read_cell(values.get(column.key), column, readings[column.key])
        is_bad = any(remark.severity == ERROR for remark in remarks)
        if column.key in values and not is_bad:
            remarks += required_blank(column, value)
        is_default = value is None and not is_bad and not column.required
        row[column.key] = column.default_in(readings[column.key].system) if is_default else value
        text = seen.get(column.key, column.header)
        problems += [as_problem(grid, remark, label_rows.get(column.key, line), text) for remark in remarks]
    return row, problems
