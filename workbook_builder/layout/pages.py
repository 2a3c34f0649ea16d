"""How a sheet prints: which cells, how large, on how many pages, what is repeated."""

from __future__ import annotations

from copy import copy

from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.layout.parts import alignment
from workbook_builder.layout.widths import NARROWEST, SPARE, wrapped_lines
from workbook_builder.place import Spot, column_letter
from workbook_builder.planning.plan import Plan

#: Last column printed, where columns to the right are for the screen only.
PRINTED_TO = {"Load sheet": 6}
#: Sheets made to print on one page.
ONE_PAGE = ("Load sheet", "Spot load", "Spray record", "Jar test")
FIRST_SHEET = "At a glance"
UPRIGHT = ("Contents", "Farm", "Assumptions", *ONE_PAGE)
#: Characters across a page at full size, upright and across, margins left out.
UPRIGHT_ROOM, ACROSS_ROOM = 102.0, 136.0
#: A table that would shrink below this goes on several pages side by side instead.
LEAST_SCALE = 0.6
#: From this many rows on, a narrow table prints upright.
LONG_LIST = 30
#: A narrow sheet is widened to at most this for its sentences [characters]; longer ones are broken into lines.
COMFORT = 96.0
#: Height of a line of text [points].
LINE = 15.0
#: Text this much longer than its cell still reads well when shrunk to it.
SHRINKS = 1.25
#: How much more of a note's smaller letters go into a line.
NOTE_SIZE = 1.2


def set_up_pages(sheet: Worksheet, spots: list[Spot], plan: Plan) -> None:
    """Set paper, direction, scale, repeated rows and columns, print area, margins and footer of a sheet."""
    last_row = _last_filled_row(spots, plan)
    last = _last_column(sheet, spots)
    width = _width(sheet, last)
    upright = (sheet.title in UPRIGHT and width <= UPRIGHT_ROOM / LEAST_SCALE) or (last_row > LONG_LIST and width <= UPRIGHT_ROOM)
    one_page = sheet.title in (FIRST_SHEET, *ONE_PAGE)
    setup, first = sheet.page_setup, spots[0]
    setup.orientation = "portrait" if upright else "landscape"
    setup.paperSize = sheet.PAPERSIZE_LETTER if plan.system == "us" else sheet.PAPERSIZE_A4
    grid = not first.table.is_form
    across = 1 if one_page or upright or not grid else max(1, round(width * LEAST_SCALE / ACROSS_ROOM + 0.35))
    _wrap_sentences(sheet, spots, last if across == 1 else _first_page(sheet, width / across))
    _wrap_values(sheet, spots, plan)
    setup.fitToWidth, setup.fitToHeight = across, 1 if one_page else 0
    setup.pageOrder = "overThenDown"
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    if grid and len(spots) == 1:
        # On a sheet of several tables the headers of the first would stand over the rows of the others.
        sheet.print_title_rows = f"{first.header_row}:{first.header_row}"
    if across > 1:
        sheet.print_title_cols = f"A:{column_letter(key_columns(first))}"
    sheet.print_area = f"A1:{column_letter(last)}{last_row}"
    _frame(sheet)


def key_columns(spot: Spot) -> int:
    """Return how many leading columns say what a row is about: pass and field, or the first one."""
    keys = [column.key for column in spot.table.columns if not column.folded][:2]
    return 2 if keys == ["pass", "field"] else 1


def _wrap_values(sheet: Worksheet, spots: list[Spot], plan: Plan) -> None:
    """Break the texts that are long as they stand into lines; others shrink to their cell, whatever they become."""
    for spot in spots:
        rows = plan.tables[spot.table.key]
        if not spot.table.is_form:
            for column in spot.table.columns:
                if column.quantity == "one_line":
                    for index, row in enumerate(rows):
                        _wrap(sheet, spot.first_row + index, spot.numbers[column.key], row[column.key])
        elif sheet.title not in (*PRINTED_TO, FIRST_SHEET):
            for key, place in spot.form_rows.items():
                _wrap(sheet, place, spot.first_column + 1, rows[0][key])


def _wrap(sheet: Worksheet, row: int, column: int, value: object) -> None:
    width = _width(sheet, column, column)
    lines = wrapped_lines(value, width) if isinstance(value, str) and len(value) > SHRINKS * width else 1
    if lines > 1 and not sheet.row_dimensions[row].hidden:
        cell = sheet.cell(row, column)
        cell._style = copy(cell._style)
        cell.alignment = alignment("left", "top", True, cell.alignment.indent)
        sheet.row_dimensions[row].height = max(lines * LINE, sheet.row_dimensions[row].height or 0)


def _first_page(sheet: Worksheet, width: float) -> int:
    """Return the last column that surely stands on the first of several pages side by side."""
    last = 1
    while _width(sheet, last + 1) < width:
        last += 1
    return last


def free_column(sheet: Worksheet, taken: float) -> int:
    """Return the first visible column that starts right of a text so wide [characters]."""
    number = 2
    while _width(sheet, number - 1) < taken or sheet.column_dimensions[column_letter(number)].hidden:
        number += 1
    return number


def _frame(sheet: Worksheet) -> None:
    sheet.page_margins.left = sheet.page_margins.right = 0.4
    sheet.page_margins.top = sheet.page_margins.header = 0.45
    sheet.page_margins.bottom, sheet.page_margins.footer = 0.6, 0.3
    sheet.oddFooter.left.text = "&A"
    sheet.oddFooter.center.text = "The label is the law. Planning aid, check every figure."
    sheet.oddFooter.right.text = "Page &P of &N"


def _width(sheet: Worksheet, last: int, first: int = 1) -> float:
    """Return the width of some columns as shown [characters]."""
    wide = 0.0
    for number in range(first, last + 1):
        dimension = sheet.column_dimensions.get(column_letter(number))
        wide += 0 if dimension is not None and dimension.hidden else (dimension.width if dimension is not None else NARROWEST)
    return wide


def _last_column(sheet: Worksheet, spots: list[Spot]) -> int:
    """Return the last column to print: that of the widest table, and further ones where a sentence needs them."""
    if sheet.title in PRINTED_TO:
        return PRINTED_TO[sheet.title]
    last = max(spot.last_shown for spot in spots)
    wanted = max((len(text) * SPARE for _, _, text in _sentences(sheet, spots)), default=0.0)
    while _width(sheet, last) < min(wanted, COMFORT):
        last += 1
    return last


def _sentences(sheet: Worksheet, spots: list[Spot]) -> list[tuple[int, int, str]]:
    """Return row, column and text of the lines under the headings, and of the notes of forms."""
    found = []
    for spot in spots:
        places = [(spot.heading_row + line, spot.first_column) for line in (1, 2)]
        if spot.table.is_form:
            places += [(row, spot.last_shown) for row in spot.form_rows.values()]
        found += [(row, column, str(sheet.cell(row, column).value or "")) for row, column in places]
    return [(row, column, text) for row, column, text in found if text and not text.startswith("=")]


def _wrap_sentences(sheet: Worksheet, spots: list[Spot], last: int) -> None:
    """Break the lines that would run over the printed columns into several.

    Only a line of text between heading and table is ever joined over columns, never a cell of a table.
    """
    if any(spot.first_column > 1 for spot in spots):
        return
    notes = {(row, spot.last_shown) for spot in spots if spot.table.is_form for row in spot.form_rows.values()}
    for row, column, text in _sentences(sheet, spots):
        lines = wrapped_lines(text, _width(sheet, last, column) * (NOTE_SIZE if (row, column) in notes else 1))
        if lines == 1:
            continue
        cell = sheet.cell(row, column)
        cell._style = copy(cell._style)  # cells share their style; this one alone changes
        cell.alignment = alignment(vertical=cell.alignment.vertical or "top", wrap=True, indent=cell.alignment.indent)
        if column < last:
            sheet.merge_cells(start_row=row, end_row=row, start_column=column, end_column=last)
        sheet.row_dimensions[row].height = max(lines * LINE, sheet.row_dimensions[row].height or 0)


def _last_filled_row(spots: list[Spot], plan: Plan) -> int:
    last = 3
    for spot in spots:
        if spot.table.is_form:
            last = max(last, spot.last_row)
            continue
        columns = spot.table.columns
        shown = [column.key for column in columns if column.role not in ("working", "fixed")] or [column.key for column in columns]
        rows = plan.tables[spot.table.key]
        filled = [n for n, row in enumerate(rows) if any(row[key] not in ("", None) for key in shown)]
        last = max(last, spot.header_row + (filled[-1] + 1 if filled else 1))
    return last
