"""Laying out declared tables as a plain book: one look, one sheet a table, nothing to type."""

from __future__ import annotations

from openpyxl import Workbook
from openpyxl.worksheet.properties import PageSetupProperties

from workbook_builder.core.place import Placement, column_letter
from workbook_builder.layout.cells import Writer
from workbook_builder.layout.look import Look
from workbook_builder.layout.tables import write_form, write_grid, write_heading
from workbook_builder.layout.widths import column_widths, header_height
from workbook_builder.planning import Plan

Values = dict[str, dict[str, object]]


def lay_out_plain(plan: Plan, placement: Placement) -> tuple[Workbook, Values]:
    """Write the tables of a plan as a book to read, and return the value of each formula with it."""
    book = Workbook()
    book.remove(book.active)
    look = Look(book)
    values: Values = {}
    for title, tables in placement.sheets.items():
        sheet = book.create_sheet(title)
        writer = Writer(sheet, look.quoted)
        for table in tables:
            spot = placement.spots[table.key]
            write_heading(writer, spot, look)
            (write_form if table.is_form else write_grid)(writer, spot, look, plan, placement)
        values[title] = writer.values
        spots = [placement.spots[table.key] for table in tables]
        widths = column_widths(spots, plan)
        for letter, width in widths.items():
            sheet.column_dimensions[letter].width = width
        spot = spots[0]
        if not tables[0].is_form:
            sheet.row_dimensions[spot.header_row].height = header_height(spot, widths, plan)
            sheet.freeze_panes = sheet.cell(spot.first_row, 2)
            sheet.print_title_rows = f"{spot.header_row}:{spot.header_row}"
            sheet.auto_filter.ref = f"A{spot.header_row}:{column_letter(spot.last_shown)}{spot.last_row}"
        sheet.sheet_properties.tabColor = look.tab(tables[0].kind)
        sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
        sheet.page_setup.orientation, sheet.page_setup.fitToHeight = "landscape", 0
        sheet.sheet_view.showGridLines = False
    look.close()
    book.active = 0
    return book, values
