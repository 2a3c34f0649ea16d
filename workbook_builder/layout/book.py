"""Laying out the whole workbook: sheets, names, links, freezing, printing, protection."""

from __future__ import annotations

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.columns import Table
from workbook_builder.layout.cells import Writer
from workbook_builder.layout.letterhead import sign
from workbook_builder.layout.look import TAB_COLOURS, Look
from workbook_builder.layout.money_charts import MONEY_CHARTS
from workbook_builder.layout.own import has_room_for_lines, write_own_columns, write_own_lines, write_own_sheets
from workbook_builder.layout.spot_charts import SPOT_CHARTS
from workbook_builder.layout.tables import column_widths, folded_columns, write_form, write_grid, write_heading
from workbook_builder.place import Placement, quoted
from workbook_builder.planning.plan import Plan
from workbook_builder.theme import DEFAULT_THEME, Theme

FIRST_SHEET = "At a glance"
CONTENTS_SHEET = "Contents"
#: Last column printed, where columns to the right are for the screen only.
PRINTED_TO = {"Load sheet": 6}
#: Sheets made to print on one page.
ONE_PAGE = ("Load sheet", "Spot load", "Spray record", "Jar test")
#: Every chart of the workbook.
CHARTS = (*MONEY_CHARTS, *SPOT_CHARTS)
Values = dict[str, dict[str, object]]


def lay_out(plan: Plan, placement: Placement, theme: Theme = DEFAULT_THEME) -> tuple[Workbook, Values]:
    """Write the plan's tables into a workbook.

    Parameters
    ----------
    plan : Plan
    placement : Placement
    theme : Theme
        Name, colours and logo.

    Returns
    -------
    (workbook, values) : tuple
        The openpyxl workbook, and for every sheet the value of each formula cell.
    """
    book = Workbook()
    book.remove(book.active)
    look = Look(book, theme)
    values: Values = {}
    for title, tables in placement.sheets.items():
        sheet = book.create_sheet(title)
        writer = Writer(sheet, look.quoted)
        _write_sheet(writer, tables, look, plan, placement)
        _set_up(sheet, tables, plan, placement)
        sign(writer, theme, look, placement.spots["first_points"] if title == FIRST_SHEET else None)
        values[title] = writer.values
    for chart in CHARTS:
        chart.place(book[chart.sheet], plan, placement)
    write_own_sheets(book, look, plan)
    _define_names(book, placement)
    look.close()
    book.active = 0
    return book, values


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
        _link(writer, 1, 6, CONTENTS_SHEET, CONTENTS_SHEET, look)
    else:
        _link_first_sheet(writer, look, placement)
    _link_rows(writer, tables, look, plan, placement)


def _link(writer: Writer, row: int, column: int, sheet: str, text: str, look: Look) -> None:
    writer.value(row, column, text, look.link())
    cell = writer.sheet.cell(row, column)
    cell.hyperlink = f"#{quoted(sheet)}!A1"
    cell._style = look.link()


def _link_first_sheet(writer: Writer, look: Look, placement: Placement) -> None:
    """Lead from the first sheet to the sheets that say more."""
    _link(writer, 1, 3, CONTENTS_SHEET, "All sheets", look)
    for key, sheet in (("first_points", "Open points"), ("glance_costs", "Cost summary")):
        spot = placement.spots[key]
        _link(writer, spot.heading_row, spot.first_column + 3, sheet, f"Go to {sheet}", look)


def _link_rows(writer: Writer, tables: list[Table], look: Look, plan: Plan, placement: Placement) -> None:
    """Make links of the sheet titles that lists name."""
    for key, column in (("contents", "sheet"), ("check_list", "where")):
        spot = placement.spots[key]
        if spot.table not in tables:
            continue
        number = [c.key for c in spot.table.columns].index(column) + spot.first_column
        for index, row in enumerate(plan.tables[key]):
            _link(writer, spot.first_row + index, number, row[column], row[column], look)


def _set_up(sheet: Worksheet, tables: list[Table], plan: Plan, placement: Placement) -> None:
    first = placement.spots[tables[0].key]
    for letter, width in column_widths(tables, plan).items():
        sheet.column_dimensions[letter].width = width
    if tables[0].kind != "working":
        _fold(sheet, tables)
    if len(tables) == 1 and tables[0].kind in ("result", "input", "setting") and not tables[0].is_form:
        sheet.auto_filter.ref = f"A{first.header_row}:{sheet.cell(first.header_row, len(tables[0].columns)).column_letter}{first.last_row}"
    if not tables[0].is_form:
        sheet.freeze_panes = sheet.cell(first.first_row, 2 if tables[0].kind != "working" else 1)
    sheet.sheet_properties.tabColor = TAB_COLOURS[tables[0].kind]
    sheet.sheet_view.showGridLines = False
    sheet.sheet_view.zoomScale = 100
    _print_set_up(sheet, tables, plan, placement)
    _protect(sheet)


def _fold(sheet: Worksheet, tables: list[Table]) -> None:
    for number in folded_columns(tables):
        dimension = sheet.column_dimensions[sheet.cell(1, number).column_letter]
        dimension.outlineLevel = 1
        dimension.hidden = True


def _print_set_up(sheet: Worksheet, tables: list[Table], plan: Plan, placement: Placement) -> None:
    first = placement.spots[tables[0].key]
    portrait = sheet.title in (CONTENTS_SHEET, *ONE_PAGE, "Farm", "Assumptions")
    sheet.page_setup.orientation = "portrait" if portrait else "landscape"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_LETTER if plan.system == "us" else sheet.PAPERSIZE_A4
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 1 if sheet.title in (FIRST_SHEET, *ONE_PAGE) else 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    if not tables[0].is_form:
        sheet.print_title_rows = f"{first.header_row}:{first.header_row}"
    sheet.print_area = f"A1:{_last_column(tables, sheet)}{_last_filled_row(tables, plan, placement)}"
    sheet.page_margins.left = sheet.page_margins.right = 0.4
    sheet.page_margins.top = sheet.page_margins.header = 0.45
    sheet.page_margins.bottom, sheet.page_margins.footer = 0.6, 0.3
    sheet.oddFooter.left.text = "&A"
    sheet.oddFooter.center.text = "The label is the law. Planning aid, check every figure."
    sheet.oddFooter.right.text = "Page &P of &N"


def _last_column(tables: list[Table], sheet: Worksheet) -> str:
    if sheet.title in PRINTED_TO:
        return str(sheet.cell(1, PRINTED_TO[sheet.title]).column_letter)
    widest = max(table.from_column - 1 + (6 if table.is_form else len(table.columns)) for table in tables)
    return str(sheet.cell(1, widest).column_letter)


def _last_filled_row(tables: list[Table], plan: Plan, placement: Placement) -> int:
    last = 3
    for table in tables:
        spot = placement.spots[table.key]
        if table.is_form:
            last = max(last, spot.last_row)
            continue
        shown = [column.key for column in table.columns if column.role not in ("working", "fixed")] or [
            column.key for column in table.columns
        ]
        rows = plan.tables[table.key]
        filled = [n for n, row in enumerate(rows) if any(row[key] not in ("", None) for key in shown)]
        last = max(last, spot.header_row + (filled[-1] + 1 if filled else 1))
    return last


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
