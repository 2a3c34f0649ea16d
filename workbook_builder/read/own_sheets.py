"""Sheets of the user's own, and notes that hang on cells, read to be carried along."""

from __future__ import annotations

from typing import Any

from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.own import NOTES_SHEET, OWN_CELLS, OWN_SHEETS, OwnCell, OwnSheet, with_notes
from workbook_builder.read.grid import MOST_ROWS, ErrorCell, is_blank
from workbook_builder.read.own_formulas import stays_on_sheet
from workbook_builder.read.workbooks import Book, stored_value


def own_extras(book: Book, titles: list[str]) -> dict[str, Any]:
    """Return what is carried along of a workbook: its own sheets, and notes as one more sheet.

    Parameters
    ----------
    book : Book
    titles : list of str
        Sheets that are the user's own.
    """
    sheets = {title: read_own_sheet(book, title) for title in titles}
    notes = [(sheet.title, cell.coordinate, cell.comment.text.strip()) for sheet in book.sheets() for cell in _noted(sheet)]
    if notes:
        sheets[NOTES_SHEET] = with_notes(sheets.get(NOTES_SHEET), notes)
    return {OWN_SHEETS: list(sheets), OWN_CELLS: sheets} if sheets else {}


def _noted(sheet: Worksheet) -> list[Any]:
    return [cell for _, cell in sorted(sheet._cells.items()) if cell.comment is not None and cell.comment.text.strip()]


def read_own_sheet(book: Book, title: str) -> OwnSheet:
    """Return one sheet of the user's own; formulas that read other sheets leave their last result."""
    sheet = book.sheet(title)
    cells: dict[tuple[int, int], OwnCell] = {}
    became: list[str] = []
    lost: list[str] = []
    for place, cell in sheet._cells.items():
        if is_blank(cell.value) or place[0] > MOST_ROWS:
            continue
        value, formula = stored_value(cell), ""
        if cell.data_type == "f":
            value = book.result(title, cell.row, cell.column)
            formula = cell.value if isinstance(cell.value, str) and value is not None and stays_on_sheet(cell.value) else ""
            if not formula:
                (lost if value is None else became).append(cell.coordinate)
        if isinstance(value, ErrorCell):
            value = value.text
        if formula or not is_blank(value):
            cells[place] = OwnCell(value, cell.number_format, bool(cell.font.b), formula)
    widths = {letter: dimension.width for letter, dimension in sheet.column_dimensions.items() if dimension.customWidth}
    return OwnSheet(dict(sorted(cells.items())), widths, tuple(became), tuple(lost), tuple(_not_carried(sheet)))


def _not_carried(sheet: Worksheet) -> list[str]:
    """Return what else is on a sheet; contents, number formats, bold type and widths of its cells are carried along, and no more."""
    counts = {
        "chart": len(sheet._charts), "picture": len(sheet._images), "merged area": len(sheet.merged_cells.ranges),
        "link": sum(cell.hyperlink is not None for cell in sheet._cells.values()),
        "rule of conditional format": sum(len(area.rules) for area in sheet.conditional_formatting),
        "drop-down or other rule": len(sheet.data_validations.dataValidation), "coloured cell": sum(1 for cell in sheet._cells.values() if cell.fill.fill_type),
    }
    return [f"{count} {what}{'' if count == 1 else 's'}" for what, count in counts.items() if count]
