"""Writing what belongs to the user alone: own columns right of ours, own sheets behind ours."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.utils import get_column_letter

from workbook_builder.core.own import OWN_MARK, OwnFormula, own_sheets
from workbook_builder.core.place import Piece, Placement
from workbook_builder.layout.cells import Done, Writer
from workbook_builder.layout.look import INPUT_FILL, PALE, Look
from workbook_builder.layout.parts import alignment, border, fill, font, unlocked
from workbook_builder.planning import Plan

TAB_COLOUR = "CBCFD4"
DATE, MOMENT, TIME = "yyyy\\-mm\\-dd", "yyyy\\-mm\\-dd hh:mm", "hh:mm"
WIDEST = 40.0
LONGEST_TEXT = 32_767
EPOCH = dt.datetime(1899, 12, 30)


def write_own_columns(writer: Writer, piece: Piece, look: Look, columns: Mapping[str, list[Any]],
                      placement: Placement) -> None:
    """Write the user's own columns of a grid to the right of the declared ones."""
    spot, first = placement.spots[piece.table.key], piece.column + len(piece.columns)
    letters = {**spot.letters, **{OWN_MARK + header: get_column_letter(number)
                                  for number, header in enumerate(columns, first)}}
    heading = look.style(("own header",), font=font(11, bold=True), fill=fill(PALE),
                         alignment=alignment(vertical="center", wrap=True), protection=unlocked())
    for number, (header, values) in enumerate(columns.items(), first):
        writer.value(spot.header_row, number, writable(header), heading)
        for index in range(spot.rows):
            value = values[index] if index < len(values) else None
            formula = ""
            if isinstance(value, OwnFormula):
                formula, value = value.text(letters, spot.first_row + index) or "", value.result
            write_own(writer, spot.first_row + index, number, value, look, formula=formula)
        shown = [value.result if isinstance(value, OwnFormula) else value for value in values]
        widest = max((len(str(_serial(text))) for text in (header, *shown) if text is not None), default=0)
        writer.sheet.column_dimensions[get_column_letter(number)].width = min(WIDEST, max(10.0, widest + 3))


def write_own_lines(writer: Writer, piece: Piece, look: Look, lines: Mapping[str, list[Any]]) -> None:
    """Write the user's own lines of a form below the declared ones."""
    for row, (label, values) in enumerate(lines.items(), piece.last_row + 1):
        writer.value(row, piece.column, label, look.label())
        write_own(writer, row, piece.column + 1, values[0] if values else None, look)


def write_own_sheets(book: Workbook, look: Look, plan: Plan, done: Done) -> None:
    """Write the user's own sheets behind all others; `done` takes each with the values of its formulas."""
    for title, own in own_sheets(plan.inputs.extras).items():
        sheet = book.create_sheet(title)
        writer = Writer(sheet, look.quoted)
        for (row, column), cell in own.cells.items():
            write_own(writer, row, column, cell.value, look, cell.number_format, cell.bold, boxed=False,
                      formula=cell.formula)
        for letter, width in own.widths.items():
            sheet.column_dimensions[letter].width = width
        sheet.sheet_properties.tabColor = TAB_COLOUR
        done(sheet, writer.values, ())


def write_own(
    writer: Writer, row: int, column: int, value: Any, look: Look, number_format: str = "",
    bold: bool = False, boxed: bool = True, formula: str = ""
) -> None:
    """Write one value of the user's own, text never becoming a formula,
    or a formula with what it last showed.
    """
    shows = number_format if number_format not in ("", "General") else _format_of(value)
    boxes: dict[str, Any] = {"fill": fill(INPUT_FILL), "border": border()} if boxed else {}
    style = look.style(("own", shows, bold, boxed), font=font(11, bold=bold), number_format=shows,
                       alignment=alignment(vertical="top"), protection=unlocked(), **boxes)
    if formula:
        shown = writable(value) if isinstance(value, str) else _serial(value)
        writer.formula(row, column, formula, "" if shown is None else shown, style)
        return
    if isinstance(value, bool):
        cell = writer.sheet.cell(row, column)
        cell._style, cell._value, cell.data_type = style, value, "b"
        return
    writer.value(row, column, writable(value) if isinstance(value, str) else _serial(value), style)


def writable(text: str) -> str:
    """Return text without the hidden characters that no cell may hold, cut to what one can."""
    return str(ILLEGAL_CHARACTERS_RE.sub("", text))[:LONGEST_TEXT]


def _format_of(value: Any) -> str:
    if isinstance(value, dt.datetime):
        return DATE if value.time() == dt.time() else MOMENT
    if isinstance(value, dt.date):
        return DATE
    return TIME if isinstance(value, dt.time) else "General"


def _serial(value: Any) -> Any:
    """Return dates and times as the numbers a sheet holds, and whole numbers without a point."""
    if isinstance(value, float) and value.is_integer():
        return int(value)
    if isinstance(value, dt.datetime):
        return (value - EPOCH) / dt.timedelta(days=1)
    if isinstance(value, dt.date):
        return (value - EPOCH.date()).days
    if isinstance(value, dt.time):
        return (value.hour * 3600 + value.minute * 60 + value.second) / 86400
    return value / dt.timedelta(days=1) if isinstance(value, dt.timedelta) else value
