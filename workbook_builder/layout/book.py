"""Laying out the whole workbook: sheets, names, links, freezing, printing, protection."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.columns import Table
from workbook_builder.core.place import Placement, Spot, column_letter
from workbook_builder.layout.cells import Writer, inside
from workbook_builder.layout.letterhead import sign
from workbook_builder.layout.look import Look
from workbook_builder.layout.money_charts import MONEY_CHARTS
from workbook_builder.layout.own import has_room_for_lines, write_own_columns, write_own_lines, write_own_sheets
from workbook_builder.layout.pages import FIRST_SHEET, free_column, key_columns, set_up_pages
from workbook_builder.layout.spot_charts import SPOT_CHARTS
from workbook_builder.layout.tables import write_form, write_grid, write_heading
from workbook_builder.layout.widths import column_widths, folded_columns, header_height, row_heights
from workbook_builder.planning import Plan
from workbook_builder.steps import each
from workbook_builder.text_widths import text_width
from workbook_builder.theme import DEFAULT_THEME, Theme

CONTENTS_SHEET = "Contents"
#: How much wider a letter of a sheet's title is than one of the cells.
TITLE_SIZE = 1.6
#: The first sheet stands two blocks side by side; at this size both show on a laptop.
FIRST_ZOOM = 80
#: Height of the row of a sheet's title [points].
TITLE_ROW_HEIGHT = 24.0
#: Every chart of the workbook.
CHARTS = (*MONEY_CHARTS, *SPOT_CHARTS)
#: Takes a sheet and cell reference -> value of the formula there.
Done = Callable[[Worksheet, Mapping[str, object]], None]


def lay_out(plan: Plan, placement: Placement, done: Done, theme: Theme = DEFAULT_THEME) -> Workbook:
    """Write the plan's tables into a workbook.

    Parameters
    ----------
    plan : Plan
    placement : Placement
    done : callable
        Called with each sheet and the values of its formulas as soon as its cells are written.
    theme : Theme
        Name, colours and logo.

    Returns
    -------
    Workbook
        The openpyxl workbook.
    """
    book = Workbook()
    book.remove(book.active)
    look = Look(book, theme)
    for title, tables in each("Laying out the sheets", placement.sheets.items()):
        sheet = book.create_sheet(title)
        writer = Writer(sheet, look.quoted)
        _write_sheet(writer, tables, look, plan, placement)
        _set_up(sheet, [placement.spots[table.key] for table in tables], plan)
        sheet.sheet_properties.tabColor = look.tab(tables[0].kind)
        if title not in (FIRST_SHEET, CONTENTS_SHEET):
            _link(writer, 1, free_column(sheet, text_width(title) * TITLE_SIZE), CONTENTS_SHEET, CONTENTS_SHEET, look)
        sign(writer, theme, look, placement.spots["to_fix"] if title == FIRST_SHEET else None)
        done(sheet, writer.values)
    for chart in CHARTS:
        chart.place(book[chart.sheet], plan, placement)
    write_own_sheets(book, look, plan, done)
    _define_names(book, placement)
    look.close()
    book.active = 0
    return book


def _write_sheet(writer: Writer, tables: list[Table], look: Look, plan: Plan, placement: Placement) -> None:
    for table in tables:
        spot = placement.spots[table.key]
        write_heading(writer, spot, look)
        if table.is_form:
            write_form(writer, spot, look, plan, placement)
        else:
            write_grid(writer, spot, look, plan, placement)
        own = plan.inputs.extras.get(table.key, {})
        if own and not table.is_form:
            write_own_columns(writer, spot, look, own)
        elif own and has_room_for_lines(table, tables):
            write_own_lines(writer, spot, look, own)
    banner = placement.spots["glance"].absolute("banner")
    if writer.sheet.title != FIRST_SHEET:
        writer.formula(3, 1, f"={banner}", plan.tables["glance"][0]["banner"], look.banner())
    else:
        _link_first_sheet(writer, look, placement)
    _link_rows(writer, tables, look, plan, placement)


def _link(writer: Writer, row: int, column: int, sheet: str, text: str, look: Look) -> None:
    style = look.link("bottom" if row == 1 else "top")
    writer.value(row, column, text, style)
    cell = writer.sheet.cell(row, column)
    cell.hyperlink = inside(sheet)
    cell._style = style


def _link_first_sheet(writer: Writer, look: Look, placement: Placement) -> None:
    """Lead from the first sheet to the sheets that say more."""
    _link(writer, 1, 3, CONTENTS_SHEET, "All sheets", look)
    glance = placement.spots["glance"]
    for key, sheet in (("open", "To fix"), ("total_cost", "Cost summary"), ("first_date", "Calendar")):
        # A phone shows the left side first, so the ways on stand beside its figures too.
        _link(writer, glance.form_rows[key], glance.last_shown, sheet, f"Go to {sheet}", look)
    for key, sheet in (("to_fix", "To fix"), ("glance_costs", "Cost summary")):
        spot = placement.spots[key]
        _link(writer, spot.heading_row, spot.first_column + 3, sheet, f"Go to {sheet}", look)


def _link_rows(writer: Writer, tables: list[Table], look: Look, plan: Plan, placement: Placement) -> None:
    """Make links of the sheet titles that lists name."""
    for key, column in (("contents", "sheet"), ("check_list", "where")):
        spot = placement.spots[key]
        if spot.table not in tables:
            continue
        number = spot.numbers[column]
        for index, row in enumerate(plan.tables[key]):
            if placement.sheets[row[column]][0].is_hidden:
                continue
            _link(writer, spot.first_row + index, number, row[column], row[column], look)


def _set_up(sheet: Worksheet, spots: list[Spot], plan: Plan) -> None:
    first = spots[0]
    table, widths = first.table, column_widths(spots, plan)
    for letter, width in widths.items():
        sheet.column_dimensions[letter].width = width
    for spot in spots:
        if not spot.table.is_form:
            height = header_height(spot, widths, plan)
            sheet.row_dimensions[spot.header_row].height = max(height, sheet.row_dimensions[spot.header_row].height or 0)
            for row, tall in row_heights(spot, widths, plan).items():
                sheet.row_dimensions[row].height = tall
    sheet.row_dimensions[1].height = TITLE_ROW_HEIGHT
    if table.is_hidden:
        # Steps in between and long lists are there for who checks a figure; a row of tabs is long enough without them.
        sheet.sheet_state = "hidden"
    if table.kind != "working":
        _fold(sheet, spots)
    if len(spots) == 1 and table.kind in ("result", "input", "setting") and not table.is_form:
        sheet.auto_filter.ref = f"A{first.header_row}:{column_letter(first.last_shown)}{first.last_row}"
    if not table.is_form:
        sheet.freeze_panes = sheet.cell(first.first_row, 1 + key_columns(first) if table.kind != "working" else 1)
    sheet.sheet_view.showGridLines = False
    sheet.sheet_view.zoomScale = FIRST_ZOOM if sheet.title == FIRST_SHEET else 100
    set_up_pages(sheet, spots, plan)
    _protect(sheet)


def _fold(sheet: Worksheet, spots: list[Spot]) -> None:
    for number in folded_columns(spots):
        dimension = sheet.column_dimensions[column_letter(number)]
        dimension.outlineLevel = 1
        dimension.hidden = True


def _protect(sheet: Worksheet) -> None:
    """Guard formulas without a password; sizing, filtering and sorting stay free."""
    sheet.protection.sheet = True
    for action in ("formatCells", "formatColumns", "formatRows", "sort", "autoFilter"):
        setattr(sheet.protection, action, False)


def _define_names(book: Workbook, placement: Placement) -> None:
    for spot in placement.spots.values():
        if spot.table.is_form and spot.table.named:
            for column in spot.table.columns:
                book.defined_names[column.key] = DefinedName(column.key, attr_text=spot.absolute(column.key))
