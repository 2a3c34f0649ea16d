"""Writing one piece of a declared table onto its sheet."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.formulas import FormulaColumn, column_patterns
from workbook_builder.core.place import Piece, Placement, column_letter
from workbook_builder.core.quantities import quantity
from workbook_builder.layout.cells import Writer
from workbook_builder.layout.guides import (
    add_status_colours,
    add_validation,
    quiet_spare_rows,
    title_with_unit,
)
from workbook_builder.layout.look import Look
from workbook_builder.layout.widths import note_of
from workbook_builder.planning import Plan

BIG_ROW = 23.0
#: The headers of a form people type into stand over words.
FORM_HEADER = Column("item", "Item")


def write_heading(writer: Writer, piece: Piece, look: Look) -> None:
    """Write a piece's title; where tables stand one below the other also what the table holds,
    and its caution.
    """
    table, column = piece.table, piece.column
    if piece.front:
        writer.value(piece.header_row - 1, column, piece.title, look.heading())
        return
    row = piece.header_row - 3
    if row < 1 or not piece.notes:
        return
    opens_sheet = row == 1 and column == 1
    writer.value(row, column, table.sheet_title if opens_sheet else table.title, look.title() if opens_sheet
                 else look.heading())
    writer.value(row + 1, column, f"{table.about} {table.caution}".strip(), look.sentence())


def write_piece(writer: Writer, piece: Piece, look: Look, plan: Plan, placement: Placement,
                big: bool = False) -> None:
    """Write headers and cells of a piece."""
    (_write_form if piece.table.is_form else _write_grid)(writer, piece, look, plan, placement, big)
    if piece.front or piece.notes:
        add_status_colours(writer.sheet, piece)
    if piece.front:
        quiet_spare_rows(writer.sheet, piece, plan.tables[piece.table.key])


def _write_grid(writer: Writer, piece: Piece, look: Look, plan: Plan, placement: Placement,
                big: bool) -> None:
    # Where anything is typed the last filled row is looked for, below which cells wait to be typed into.
    rows = plan.tables[piece.table.key] if any(column.typed for column in piece.columns) else []
    last = max((index for index, row in enumerate(rows)
                if any(value not in ("", None) for value in row.values())), default=-1)
    for number, column in enumerate(piece.columns, piece.column):
        writer.value(piece.header_row, number, title_with_unit(column, plan.system, plan.inputs.currency),
                     look.header(column))
        style, cells = look.body(column, big), plan.column(piece.table.key, column.key)[: piece.rows]
        if column.calculated:
            writer.columns.append(FormulaColumn(piece.first_row, number,
                                                column_patterns(column, piece.table, placement),
                                                cells, style))
        else:
            spare = look.body(column, big, column.typed) if column.typed else style
            for index, value in enumerate(cells):
                if piece.front or column.typed or value not in ("", None):
                    writer.value(piece.first_row + index, number, value, spare if index > last else style)
        if column.typed and piece.rows:
            letter = column_letter(number)
            add_validation(writer.sheet, column, f"{letter}{piece.first_row}:{letter}{piece.last_row}",
                           placement, plan.system)
    if big:
        for row in range(piece.first_row, piece.last_row + 1):
            writer.sheet.row_dimensions[row].height = BIG_ROW


def _write_form(writer: Writer, piece: Piece, look: Look, plan: Plan, placement: Placement,
                big: bool) -> None:
    """Write one line a cell: label, value, unit and, where wanted, its note."""
    table, at = piece.table, piece.column
    for row, column in enumerate(piece.columns, piece.first_row):
        writer.value(row, at, column.header, look.label(big))
        write_cell(writer, row, at + 1, table, column, look.body(column, big, whole=not big), plan, placement)
        unit = quantity(column.quantity).unit(plan.system, plan.inputs.currency)
        writer.value(row, at + 2, "" if unit == "%" else unit, look.note(big))
        if piece.notes:
            writer.value(row, at + 3, note_of(column), look.note(wrap=piece.front))
        if column.typed:
            add_validation(writer.sheet, column, f"{column_letter(at + 1)}{row}", placement, plan.system)
        if big:
            writer.sheet.row_dimensions[row].height = BIG_ROW
    if table.is_typed:
        for number, title in enumerate(("Item", "Value", "Unit", "Note")[: piece.last_column - at + 1], at):
            writer.value(piece.header_row, number, title, look.header(FORM_HEADER))


def write_cell(writer: Writer, row: int, number: int, table: Table, column: Column, style: Any, plan: Plan,
               placement: Placement) -> None:
    """Write one cell of a form."""
    value = plan.tables[table.key][0][column.key]
    if column.calculated:
        writer.formula(row, number, column_patterns(column, table, placement)[0].at(0), value, style)
    else:
        writer.value(row, number, value, style)
