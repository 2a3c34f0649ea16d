"""Laying out declared tables as a plain book: one look, one sheet a table, nothing to type."""

from __future__ import annotations

from openpyxl import Workbook
from openpyxl.worksheet.properties import PageSetupProperties

from workbook_builder.core.place import Placement, column_letter
from workbook_builder.layout.cells import Done, Writer
from workbook_builder.layout.look import Look
from workbook_builder.layout.tables import write_heading, write_piece
from workbook_builder.layout.widths import column_widths, header_height
from workbook_builder.planning import Plan


def lay_out_plain(plan: Plan, placement: Placement, done: Done) -> Workbook:
    """Write the tables of a plan as a book to read; `done` takes each sheet with its formulas."""
    book = Workbook()
    book.remove(book.active)
    look = Look(book)
    for title, planned in placement.sheets.items():
        sheet = book.create_sheet(title)
        writer = Writer(sheet, look.quoted)
        for piece in planned.pieces:
            write_heading(writer, piece, look)
            write_piece(writer, piece, look, plan, placement)
        widths, first = column_widths(planned.pieces, plan), planned.pieces[0]
        for letter, width in widths.items():
            sheet.column_dimensions[letter].width = width
        if not first.table.is_form:
            sheet.row_dimensions[first.header_row].height = header_height([first], widths, plan)
            sheet.freeze_panes = f"B{first.first_row}"
            sheet.print_title_rows = f"{first.header_row}:{first.header_row}"
            sheet.auto_filter.ref = f"A{first.header_row}:{column_letter(first.last_column)}{first.last_row}"
        sheet.sheet_properties.tabColor = look.tab(first.table.kind)
        sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
        sheet.page_setup.orientation, sheet.page_setup.fitToHeight = "landscape", 0
        sheet.sheet_view.showGridLines = False
        done(sheet, writer.values, writer.columns)
    look.close()
    book.active = 0
    return book
