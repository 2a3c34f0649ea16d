"""Writing one declared table onto its sheet."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.columns import WORKING, Column
from workbook_builder.core.formulas import column_patterns
from workbook_builder.core.place import Placement, Spot
from workbook_builder.core.quantities import quantity
from workbook_builder.layout.cells import Writer
from workbook_builder.layout.guides import add_status_colours, add_validation, quiet_spare_rows, title_with_unit
from workbook_builder.layout.look import Look
from workbook_builder.layout.widths import BIG_SHEETS
from workbook_builder.planning import Plan

BIG_ROW = 23.0
#: The headers of a form people type into stand over words.
FORM_HEADER = Column("item", "Item")


def write_heading(writer: Writer, spot: Spot, look: Look) -> None:
    """Write a table's title, its sentence, and its caution where a line is free for it."""
    row, column, table = spot.heading_row, spot.first_column, spot.table
    opens_sheet = row == 1 and column == 1
    # A heading over a folded column would not be seen.
    column += next((n for n, each in enumerate(table.columns) if not each.folded), 0) if column > 1 else 0
    writer.value(row, column, table.sheet_title if opens_sheet else table.title, look.title() if opens_sheet else look.heading())
    # The third line of a sheet names the farm, but for the first sheet, whose form does.
    own_line = row > 1 or table.key == "glance"
    writer.value(row + 1, column, table.about if own_line else f"{table.about} {table.caution}".strip(), look.sentence())
    if own_line and table.caution:
        writer.value(row + 2, column, table.caution, look.sentence())


def write_grid(writer: Writer, spot: Spot, look: Look, plan: Plan, placement: Placement) -> None:
    """Write headers and rows of a grid, column by column."""
    rows = plan.tables[spot.table.key]
    big = spot.sheet in BIG_SHEETS
    last = max((index for index, row in enumerate(rows) if any(value not in ("", None) for value in row.values())), default=-1)
    for column in spot.table.columns:
        number = spot.numbers[column.key]
        header = title_with_unit(column, plan.system, plan.inputs.currency)
        writer.value(spot.header_row, number, header, look.header(column))
        style = look.body(column, big)
        if column.calculated:
            _write_formulas(writer, spot, column, number, rows, style, placement)
        else:
            spare = look.body(column, big, column.typed)
            for index in range(spot.rows):
                value = rows[index][column.key]
                writer.value(spot.first_row + index, number, value, spare if index > last else style)
        if column.typed and spot.rows:
            cells = f"{spot.cell(column.key)}:{spot.cell(column.key, spot.rows - 1)}"
            add_validation(writer.sheet, column, cells, placement, plan.system)
    if big:
        for row in range(spot.first_row, spot.last_row + 1):
            writer.sheet.row_dimensions[row].height = BIG_ROW
    add_status_colours(writer.sheet, spot)
    quiet_spare_rows(writer.sheet, spot, rows)


def _write_formulas(
    writer: Writer, spot: Spot, column: Column, number: int, rows: list[Any], style: Any, placement: Placement
) -> None:
    table, key, first = spot.table, column.key, spot.first_row
    patterns = column_patterns(column, table, placement)
    many = len(patterns)
    for index in range(spot.rows):
        writer.formula(first + index, number, patterns[index % many].at(index), rows[index][key], style)


def write_form(writer: Writer, spot: Spot, look: Look, plan: Plan, placement: Placement) -> None:
    """Write a form: one line a column, with its unit and note."""
    values, at, big = plan.tables[spot.table.key][0], spot.first_column, spot.sheet in BIG_SHEETS
    for key, row in spot.form_rows.items():
        column = spot.table.by_key[key]
        writer.value(row, at, column.header, look.label(big))
        if column.calculated:
            text = column_patterns(column, spot.table, placement)[0].at(0)
            writer.formula(row, at + 1, text, values[key], look.body(column, big, whole=not big))
        else:
            writer.value(row, at + 1, values[key], look.body(column, big))
        unit = quantity(column.quantity).unit(plan.system, plan.inputs.currency)
        writer.value(row, at + 2, "" if unit == "%" else unit, look.note(big))
        note = f"{column.note} [{column.source}]" if column.source else column.note
        writer.value(row, at + 3, note, look.note(high=big))
        if column.typed:
            add_validation(writer.sheet, column, spot.cell(key), placement, plan.system)
        _set_line(writer, row, column, big)
    if spot.table.is_typed:
        for number, title in enumerate(("Item", "Value", "Unit", "Note"), at):
            writer.value(spot.header_row, number, title, look.header(FORM_HEADER))
    add_status_colours(writer.sheet, spot)


def _set_line(writer: Writer, row: int, column: Column, big: bool) -> None:
    """Give large lines their height and fold the lines of workings away."""
    if big:
        writer.sheet.row_dimensions[row].height = BIG_ROW
    if column.role == WORKING:
        writer.sheet.row_dimensions[row].hidden = True
        writer.sheet.row_dimensions[row].outlineLevel = 1
