"""Sheets and formulas of the user's own, and notes that hang on cells, read to be carried along."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from openpyxl.formula import Tokenizer
from openpyxl.formula.tokenizer import Token, TokenizerError
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.formula_rules import check_formula
from workbook_builder.core.own import (
    NOTES_SHEET,
    OWN_CELLS,
    OWN_SHEETS,
    OwnCell,
    OwnFormula,
    OwnSheet,
    with_notes,
)
from workbook_builder.read.grid import MOST_ROWS, ErrorCell, FormulaCell, is_blank
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
    notes = [(sheet.title, cell.coordinate, cell.comment.text.strip()) for sheet in book.sheets()
             for _, cell in sorted(sheet._cells.items())
             if cell.comment is not None and cell.comment.text.strip()]
    if notes:
        sheets[NOTES_SHEET] = with_notes(sheets.get(NOTES_SHEET), notes)
    return {OWN_SHEETS: list(sheets), OWN_CELLS: sheets} if sheets else {}


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
            formula = (cell.value if isinstance(cell.value, str) and value is not None
                       and stays_on_sheet(cell.value) else "")
            if not formula:
                (lost if value is None else became).append(cell.coordinate)
        if isinstance(value, ErrorCell):
            value = value.text
        if formula or not is_blank(value):
            cells[place] = OwnCell(value, cell.number_format, bool(cell.font.b), formula)
    widths = {letter: dimension.width for letter, dimension in sheet.column_dimensions.items()
              if dimension.customWidth}
    return OwnSheet(dict(sorted(cells.items())), widths, tuple(became), tuple(lost),
                    tuple(_not_carried(sheet)))


def _not_carried(sheet: Worksheet) -> list[str]:
    """Return what else is on a sheet.

    Contents, number formats, bold type and widths of its cells are carried along, and no more.
    """
    counts = {
        "chart": len(sheet._charts), "picture": len(sheet._images),
        "merged area": len(sheet.merged_cells.ranges),
        "link": sum(cell.hyperlink is not None for cell in sheet._cells.values()),
        "rule of conditional format": sum(len(area.rules) for area in sheet.conditional_formatting),
        "drop-down or other rule": len(sheet.data_validations.dataValidation),
        "coloured cell": sum(1 for cell in sheet._cells.values() if cell.fill.fill_type),
    }
    return [f"{count} {what}{'' if count == 1 else 's'}" for what, count in counts.items() if count]


_CELL = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7})")
_AREA = re.compile(rf"{_CELL.pattern}(?::{_CELL.pattern})?")


def kept_formula(cell: FormulaCell, result: Any, row: int, names: Mapping[str, str]) -> Any:
    """Return a formula of an own column that reads cells of its row alone,
    or its last result where it reads others.

    Parameters
    ----------
    cell : FormulaCell
    result : object
        What it last showed; without one nothing could stand in the file until somebody calculates it.
    row : int
        Row of the sheet.
    names : mapping of str to str
        Column letter -> name that the column goes by from build to build.
    """
    tokens = _tokens(cell.text) if result is not None else None
    if tokens is None:
        return result
    pieces, used = ["="], []
    for token in tokens:
        if token.type != Token.OPERAND or token.subtype != Token.RANGE:
            pieces[-1] += token.value
            continue
        place = _CELL.fullmatch(token.value.upper())
        if place is None or int(place[2]) != row or place[1] not in names:
            return result
        used.append(names[place[1]])
        pieces.append("")
    return OwnFormula(tuple(pieces), tuple(used), result)


def stays_on_sheet(text: str) -> bool:
    """Return whether a formula of an own sheet reads cells of that sheet alone,
    so that it can stay word for word.
    """
    tokens = _tokens(text)
    return tokens is not None and all(
        _AREA.fullmatch(token.value.upper()) for token in tokens if token.type == Token.OPERAND
        and token.subtype == Token.RANGE
    )


def _tokens(text: str) -> list[Token] | None:
    """Return the parts of a formula, None when it cannot be read or uses what not all programs agree on."""
    try:
        return Tokenizer(text).items if not check_formula(text) else None
    except (TokenizerError, IndexError):
        return None
