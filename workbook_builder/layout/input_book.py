"""Laying out an input workbook: a first sheet that explains, and one sheet per input table."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from openpyxl import Workbook
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.own import GUIDE_SHEETS
from workbook_builder.core.place import Piece, Placement
from workbook_builder.core.quantities import quantity
from workbook_builder.layout.cells import Writer, inside
from workbook_builder.layout.guides import LONGEST_MESSAGE, LONGEST_TITLE
from workbook_builder.layout.look import HEADER_FILL, Look
from workbook_builder.layout.parts import alignment, font, unlocked
from workbook_builder.layout.tables import write_heading, write_piece
from workbook_builder.layout.widths import column_widths, header_height
from workbook_builder.planning import Plan

REQUIRED_MARK = " *"
GUIDE_WIDTH = 110.0
#: Heading of the sheets that are hidden at first, and how they come.
AWAY = "More sheets, hidden until you need them"
HOW_TO_SHOW = "Right-click the tab of any sheet, choose Unhide (or Show sheet), and pick the one you want."


def lay_out_input_book(
    plan: Plan, placement: Placement, guide: str, examples: Mapping[tuple[str, str], str],
    required: Collection[str], shown: Collection[str]
) -> Workbook:
    """Write the typed tables of a plan as a book to fill in.

    Parameters
    ----------
    plan : Plan
    placement : Placement
        Of the book's tables only.
    guide : str
        Text of the first sheet.
    examples : mapping of (str, str) to str
        (table key, column key) -> what an example looks like.
    required : collection of str
        Keys of the tables that must have rows.
    shown : collection of str
        Keys of the tables whose sheets show; the others are hidden, and the guide says how to get them.
    """
    book = Workbook()
    book.remove(book.active)
    look = Look(book)
    first = book.create_sheet(GUIDE_SHEETS[0])
    for title, planned in placement.sheets.items():
        sheet = book.create_sheet(title)
        writer = Writer(sheet, look.quoted)
        for piece in planned.pieces:
            _write_table(writer, piece, look, plan, placement)
            _teach(sheet, piece.table, plan, examples)
        _set_up(sheet, planned.pieces, plan)
        sheet.sheet_properties.tabColor = look.tab(planned.pieces[0].table.kind)
        if planned.pieces[0].table.is_typed and planned.pieces[0].table.key not in shown:
            sheet.sheet_state = "hidden"
    _write_guide(first, guide, plan, placement, required, shown, look)
    look.close()
    book.active = 0
    return book


def _write_table(writer: Writer, piece: Piece, look: Look, plan: Plan, placement: Placement) -> None:
    write_heading(writer, piece, look)
    write_piece(writer, piece, look, plan, placement)
    spot = placement.spots[piece.table.key]
    for column in piece.columns:
        if column.required:
            place = (f"A{spot.row_of(column.key)}" if piece.table.is_form
                     else f"{spot.letters[column.key]}{piece.header_row}")
            writer.sheet[place].value = f"{writer.sheet[place].value}{REQUIRED_MARK}"


def _teach(sheet: Worksheet, table: Table, plan: Plan, examples: Mapping[tuple[str, str], str]) -> None:
    """Say in the message of every input cell what its unit is and what an example looks like."""
    rules = {rule.promptTitle: rule for rule in sheet.data_validations.dataValidation}
    for column in table.columns:
        rule = rules.get(column.header_in(plan.system)[:LONGEST_TITLE])
        if rule is not None:
            rule.prompt = lesson(column, plan.system, plan.inputs.currency,
                                 examples.get((table.key, column.key), ""))


def lesson(column: Column, system: str, currency: str, example: str) -> str:
    """Return the message of an input cell: whether it must be filled in, what it is, its unit, an example."""
    kind = quantity(column.quantity)
    unit = kind.unit(system, currency) if kind.form != "share" else "%"
    parts = ["Required." if column.required else "May be blank.", column.note, f"In {unit}." if unit else "",
             f"Example: {example}" if example else ""]
    text = " ".join(part for part in parts if part)
    return (text if len(text) <= LONGEST_MESSAGE
            else " ".join(part for part in parts[:3] if part)[:LONGEST_MESSAGE])


def _set_up(sheet: Worksheet, pieces: list[Piece], plan: Plan) -> None:
    first, widths = pieces[0], column_widths(pieces, plan)
    for letter, width in widths.items():
        sheet.column_dimensions[letter].width = width
    if not first.table.is_form:
        sheet.row_dimensions[first.header_row].height = header_height([first], widths, plan)
        sheet.freeze_panes = f"B{first.first_row}"
        sheet.print_title_rows = f"{first.header_row}:{first.header_row}"
    _pages(sheet, plan)


def _pages(sheet: Worksheet, plan: Plan) -> None:
    sheet.sheet_view.showGridLines = False
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_LETTER if plan.system == "us" else sheet.PAPERSIZE_A4
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    # The line at the foot keeps its size on a sheet that shrinks.
    sheet.HeaderFooter.scaleWithDoc = False
    sheet.oddFooter.left.text, sheet.oddFooter.right.text = "&A", "Page &P of &N"
    # Nothing is calculated here, so nothing needs guarding: columns and rows may be added freely.
    sheet.protection.sheet = False


def _write_guide(
    sheet: Worksheet, guide: str, plan: Plan, placement: Placement, required: Collection[str],
    shown: Collection[str], look: Look
) -> None:
    writer = Writer(sheet, look.quoted)
    body = look.style(("guide",), font=font(11), alignment=alignment(vertical="top"), protection=unlocked())
    heading = look.style(("guide heading",), font=font(13, bold=True, color=HEADER_FILL))
    writer.value(1, 1, sheet.title, look.title())
    row = 2
    for line in guide.splitlines():
        writer.value(row, 1, line.rstrip(":") if line.endswith(":") else line,
                     heading if line.endswith(":") else body)
        row += 1
    tables = {title: planned.pieces[0].table for title, planned in placement.sheets.items()
              if planned.pieces[0].table.is_typed}
    for title, table in tables.items():
        if table.key in shown:
            sheet.cell(row, 1).hyperlink = inside(title)
            writer.value(row, 1, f"{title}{' (needed)' if table.key in required else ''}: {table.about}",
                         look.link())
            row += 1
    away = [f"{title}: {table.about}" for title, table in tables.items() if table.key not in shown]
    if away:
        writer.value(row + 1, 1, AWAY, heading)
        for place, text in enumerate((HOW_TO_SHOW, *away), row + 2):
            writer.value(place, 1, text, body)
    sheet.column_dimensions["A"].width = GUIDE_WIDTH
    _pages(sheet, plan)
