"""Writing one declared table onto its sheet."""

from __future__ import annotations

from typing import Any

from openpyxl.utils import get_column_letter

from workbook_builder.columns import FIXED, WORKING, Column, Table
from workbook_builder.formulas import compile_formula
from workbook_builder.layout.cells import Writer
from workbook_builder.layout.guides import add_status_colours, add_validation, title_with_unit
from workbook_builder.layout.look import Look
from workbook_builder.place import Placement, Spot
from workbook_builder.planning.plan import Plan
from workbook_builder.quantities import quantity

NARROWEST = 8.0
WIDEST_TEXT = 46.0
LONG_TEXT = 60.0


def write_heading(writer: Writer, spot: Spot, look: Look) -> None:
    """Write a table's title and sentence."""
    first_on_sheet = spot.heading_row == 1
    writer.value(spot.heading_row, 1, spot.table.title if not first_on_sheet else spot.table.sheet_title,
                 look.title() if first_on_sheet else look.heading())
    text = f"{spot.table.about} {spot.table.caution}".strip()
    writer.value(spot.heading_row + 1, 1, text, look.sentence())


def write_grid(writer: Writer, spot: Spot, look: Look, plan: Plan, placement: Placement) -> None:
    """Write headers and rows of a grid, column by column."""
    rows = plan.tables[spot.table.key]
    for number, column in enumerate(spot.table.columns, 1):
        header = title_with_unit(column, plan.system, plan.inputs.currency)
        writer.value(spot.header_row, number, header, look.header(column))
        style = look.body(column)
        if column.calculated:
            _write_formulas(writer, spot, column, number, rows, style, placement)
        else:
            for index in range(spot.rows):
                writer.value(spot.first_row + index, number, rows[index][column.key], style)
        if column.typed and spot.rows:
            cells = f"{spot.cell(column.key)}:{spot.cell(column.key, spot.rows - 1)}"
            add_validation(writer.sheet, column, cells, placement)
    writer.sheet.row_dimensions[spot.header_row].height = 32
    add_status_colours(writer.sheet, spot)


def _write_formulas(
    writer: Writer, spot: Spot, column: Column, number: int, rows: list[Any], style: Any, placement: Placement
) -> None:
    table, key, first = spot.table, column.key, spot.first_row
    texts = (column.formula,) if isinstance(column.formula, str) else column.formula
    patterns = [compile_formula(text, table, placement) for text in texts]
    many = len(patterns)
    for index in range(spot.rows):
        writer.formula(first + index, number, patterns[index % many].at(index), rows[index][key], style)


def write_form(writer: Writer, spot: Spot, look: Look, plan: Plan, placement: Placement) -> None:
    """Write a form: one line a column, with its unit and note."""
    values = plan.tables[spot.table.key][0]
    for key, row in spot.form_rows.items():
        column = spot.table.by_key[key]
        writer.value(row, 1, column.header, look.label())
        if column.calculated:
            text = compile_formula(str(column.formula), spot.table, placement).at(0)
            writer.formula(row, 2, text, values[key], look.body(column))
        else:
            writer.value(row, 2, values[key], look.body(column))
        unit = quantity(column.quantity).unit(plan.system, plan.inputs.currency)
        writer.value(row, 3, "" if unit == "%" else unit, look.note())
        note = f"{column.note} [{column.source}]" if column.source else column.note
        writer.value(row, 4, note, look.note())
        if column.typed:
            add_validation(writer.sheet, column, spot.cell(key), placement)
    if spot.table.is_typed:
        writer.value(spot.header_row, 1, "Item", look.header(spot.table.columns[0]))
        writer.value(spot.header_row, 2, "Value", look.header(spot.table.columns[0]))
        writer.value(spot.header_row, 3, "Unit", look.header(spot.table.columns[0]))
        writer.value(spot.header_row, 4, "Note", look.header(spot.table.columns[0]))
    add_status_colours(writer.sheet, spot)


def column_widths(tables: list[Table], plan: Plan) -> dict[str, float]:
    """Return the width of every sheet column from headers and contents."""
    widths: dict[str, float] = {}
    for table in tables:
        for number, column in enumerate(table.columns, 1) if not table.is_form else ():
            letter = get_column_letter(number)
            widths[letter] = max(widths.get(letter, NARROWEST), width_of(column, plan.tables[table.key], plan))
        if table.is_form:
            labels = max(len(column.header) for column in table.columns) + 2
            texts = [str(plan.tables[table.key][0][column.key]) for column in table.columns]
            for letter, width in (("A", labels), ("B", min(WIDEST_TEXT, max(map(len, texts)) + 3)), ("C", 8)):
                widths[letter] = max(widths.get(letter, NARROWEST), width)
    return widths


def width_of(column: Column, rows: list[Any], plan: Plan) -> float:
    """Return the width of one column of a grid."""
    if column.width:
        return column.width
    header = title_with_unit(column, plan.system, plan.inputs.currency)
    longest_word = max((len(word) for word in header.split()), default=0)
    needed = max(longest_word + 3, len(header) / 2 + 3, NARROWEST)
    form = quantity(column.quantity).form
    if column.quantity == "long_text":
        texts = max((len(str(row[column.key])) for row in rows), default=0)
        return max(needed, min(LONG_TEXT, texts + 2))
    if form in ("text", "name"):
        texts = max((len(str(row[column.key])) for row in rows), default=0)
        return max(needed, min(WIDEST_TEXT, texts + 3))
    return max(needed, {"date": 12.0, "moment": 17.0, "money": 13.0}.get(form, 10.0))


def folded_columns(table: Table) -> list[int]:
    """Return the numbers of the columns that are folded away on a result sheet."""
    return [
        number
        for number, column in enumerate(table.columns, 1)
        if column.role == WORKING or (column.role == FIXED and column.key in ("row_no", "check_no", "parent_no"))
    ]
