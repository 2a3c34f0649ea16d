"""From a grid to the single row of a form: labels with values beside them, or a header and one row."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from workbook_builder.check.places import Place, PlacedRows
from workbook_builder.check.problems import ERROR, Problem
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Row
from workbook_builder.read.cells import Reading, Remark, read_cell
from workbook_builder.read.grid import Grid, cell_at, is_blank
from workbook_builder.read.header_units import names_unit, readings_of, unit_remarks
from workbook_builder.read.headers import HeaderMap, column_named, find_header, header_score, map_headers, plain
from workbook_builder.read.rows import TableFound, as_problem, cells_under, header_problems, named_apart, own_value, required_blank
from workbook_builder.read.strangers import texts_not_carried


def read_form(grid: Grid, table: Table, reading: Reading) -> TableFound:
    """Return the row of a form.

    Labels stand in the first column with values in the second; a header row with one row
    of values below is read as well.  Blank cells take the column's default.

    Parameters
    ----------
    grid : Grid
    table : Table
    reading : Reading
    """
    lines = _label_lines(grid, table)
    at = find_header(grid.cells, table)
    across = header_score(grid.cells[at], table) if at is not None else 0
    down = len({column_named(cell_at(grid.cells[line], 0), table) for line in lines})
    if at is not None and (across > down or (across == down and not grid.from_workbook)):
        return _read_across(grid, table, reading, at)
    return _read_down(grid, table, reading, lines)


def _first_line(grid: Grid, lines: list[int]) -> int:
    """Return where the lines of a form begin: below the words Item and Value, else with the first label that is known."""
    for line, cells in enumerate(grid.cells[: lines[0] if lines else None]):
        if plain(cell_at(cells, 1) or "") == "value":
            return line + 1
    return lines[0] if lines and grid.from_workbook else 0


def _label_lines(grid: Grid, table: Table) -> list[int]:
    found: list[int] = []
    for line, cells in enumerate(grid.cells):
        column = column_named(cell_at(cells, 0), table)
        if column is not None and column.typed:
            found.append(line)
    return [line for line in found if not _is_title(grid, table, line, found)]


def _is_title(grid: Grid, table: Table, line: int, found: list[int]) -> bool:
    # The sheet's title may read like one of its labels (Farm); a label further down decides.
    label = cell_at(grid.cells[line], 0)
    column = column_named(label, table)
    same = [other for other in found if column_named(cell_at(grid.cells[other], 0), table) is column]
    return line == 0 and len(same) > 1 and plain(label) == plain(table.title)


def _read_across(grid: Grid, table: Table, reading: Reading, at: int) -> TableFound:
    headers = map_headers(grid.cells[at], table)
    problems = header_problems(grid, table, headers, grid.rows[at], cells_under(headers, grid.part(at + 1, len(grid.cells))))
    readings, remarks = readings_of(table, headers.seen, reading)
    problems += [as_problem(grid, remark, grid.rows[at], text) for text, remark in remarks]
    filled = [line for line in range(at + 1, len(grid.cells)) if not all(is_blank(cell) for cell in grid.cells[line])]
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
    problems = _placed(problems + [as_problem(grid, remark, None, text) for text, remark in remarks], headers, grid)
    for line in headers.extras:
        problems += texts_not_carried(grid.part(line, line + 1), (0, 1))
    row, found = _read_values(grid, table, values, label_rows, headers.seen, first, readings)
    extras = named_apart((text, [own_value(cell_at(grid.cells[line], 1))]) for line, text in headers.extras.items())
    place = Place(grid.file, grid.sheet, (first or 1,), dict(headers.seen), label_rows)
    return TableFound(PlacedRows([row], place), extras, problems + found)


def _units_beside(
    grid: Grid, table: Table, headers: HeaderMap, readings: dict[str, Reading], remarks: list[tuple[str, Remark]]
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
