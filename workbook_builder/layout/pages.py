"""How a sheet prints: which cells, how large, on how many pages, what is repeated."""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy

from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.columns import Table
from workbook_builder.core.place import Spot, column_letter
from workbook_builder.layout.paper import Body, Pages, best_pages, surely_one_down
from workbook_builder.layout.parts import alignment
from workbook_builder.layout.widths import NARROWEST, wrapped_lines
from workbook_builder.planning import Plan
from workbook_builder.text_widths import text_width

#: Last column printed, where columns to the right are for the screen only.
PRINTED_TO = {"Mix sheet": 6}
#: Sheets made to print on one page.
ONE_PAGE = ("Mix sheet", "Spot mix sheet", "Spray record", "Jar test")
FIRST_SHEET = "At a glance"
#: A narrow sheet is widened to at most this for its sentences [digits]; longer ones are broken into lines.
COMFORT = 88.0
#: Height of a line of text [points].
LINE = 15.0
#: Text this much longer than its cell still reads well when shrunk to it.
SHRINKS = 1.25
#: How much more of a note's smaller letters go into a line.
NOTE_SIZE = 1.1
#: Row of the farm's name, below title and sentence.
BANNER_ROW = 3


def set_up_pages(sheet: Worksheet, spots: list[Spot], plan: Plan) -> None:
    """Set paper, direction, scale, repeated rows and columns, print area, margins and footer of a sheet."""
    first, last = spots[0], _last_column(sheet, spots)
    grid, wide = not first.table.is_form, _width(sheet, last)
    keys = _width(sheet, key_columns(first)) if grid else 0.0
    # How many pages stand side by side follows from the widths alone; it must be known to break lines of text.
    across = best_pages(Body(wide, keys, LINE, 0.0), plan.system).across if grid and sheet.title != FIRST_SHEET else 1
    _wrap_sentences(sheet, spots, last if across == 1 else _first_page(sheet, wide / across))
    _wrap_values(sheet, spots, plan)
    start, last_row = BANNER_ROW if across > 1 else 1, _last_filled_row(spots, plan)
    head = _height(sheet, first.header_row, first.header_row) if grid and len(spots) == 1 else 0.0
    body = Body(wide, keys, _height(sheet, start, last_row), head)
    best = best_pages(body, plan.system, across)
    _set_paper(sheet, best, plan.system)
    _frame(sheet)
    if first.table.is_hidden:
        # LibreOffice prints a hidden sheet that has a print area; one without it prints when it is shown again.
        return
    sheet.print_area = f"A{start}:{column_letter(last)}{last_row}"
    if head and not surely_one_down(body, plan.system, best):
        # Not on a sheet of several tables, where the headers of the first would stand over the rows of the others;
        # and only where a page follows, because LibreOffice counts a sheet's pages for every repeated row when it opens the file.
        sheet.print_title_rows = f"{first.header_row}:{first.header_row}"
    if across > 1:
        _repeat_names(sheet, key_columns(first), str(plan.tables["glance"][0]["banner"]))


def _set_paper(sheet: Worksheet, best: Pages, system: str) -> None:
    setup, one_page = sheet.page_setup, sheet.title in (FIRST_SHEET, *ONE_PAGE)
    setup.orientation = "portrait" if best.upright and sheet.title != FIRST_SHEET else "landscape"
    setup.paperSize = sheet.PAPERSIZE_LETTER if system == "us" else sheet.PAPERSIZE_A4
    setup.fitToWidth, setup.fitToHeight = 1 if one_page else best.across, 1 if one_page else best.down if best.squeezed else 0
    setup.pageOrder = "overThenDown"
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)


def _repeat_names(sheet: Worksheet, keys: int, banner: str) -> None:
    """Let pages side by side all begin with what their rows are about, below the sheet's title.

    The sentence would be cut on the second page, so the print area starts below it; title and farm are whole on both.
    """
    sheet.print_title_cols = f"A:{column_letter(keys)}"
    sheet.oddHeader.left.text, sheet.oddHeader.left.size, sheet.oddHeader.left.font = "&A", 14, "Calibri,Bold"
    sheet.page_margins.top, sheet.page_margins.header = 0.6, 0.25
    cell = sheet.cell(BANNER_ROW, 1)
    cell._style = copy(cell._style)
    cell.alignment = alignment(vertical="bottom", wrap=True)
    if keys > 1:
        sheet.merge_cells(start_row=BANNER_ROW, end_row=BANNER_ROW, start_column=1, end_column=keys)
    sheet.row_dimensions[BANNER_ROW].height = LINE * wrapped_lines(banner, _width(sheet, keys) * NOTE_SIZE)


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
    lines = wrapped_lines(value, width) if isinstance(value, str) and text_width(value) > SHRINKS * width else 1
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


def _height(sheet: Worksheet, first: int, last: int) -> float:
    """Return the height of some rows as shown [points]."""
    heights = (sheet.row_dimensions[row] for row in range(first, last + 1) if row in sheet.row_dimensions)
    return (last - first + 1) * LINE + sum((0.0 if each.hidden else each.height or LINE) - LINE for each in heights)


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
    wanted = max((text_width(text) for _, _, text in _sentences(sheet, spots)), default=0.0)
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
        filled = [n for n, row in enumerate(plan.tables[spot.table.key]) if _is_filled(row, spot.table)]
        last = max(last, spot.header_row + (filled[-1] + 1 if filled else 1))
    return last


def _is_filled(row: Mapping[str, object], table: Table) -> bool:
    """Whether a row is about something: on a sheet of results, noughts beside a blank name do not count."""
    shown = [column for column in table.columns if column.role not in ("working", "fixed")] or list(table.columns)
    values = [row[column.key] for column in shown]
    if table.kind == "result" and values[0] in ("", None):
        values = [value for value in values if isinstance(value, str)]
    return any(value not in ("", None) for value in values)
