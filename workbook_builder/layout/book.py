"""Laying out the whole workbook: tabs, what stands behind them, names, freezing, protection."""

from __future__ import annotations

from itertools import product
from typing import Any

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.place import (
    ANSWER_ROW,
    BANNER_ROW,
    FIRST_COLUMN,
    TO_DO_ROW,
    TOP_ROW,
    Piece,
    Placement,
    SheetPlan,
    column_letter,
    has_room_for_lines,
)
from workbook_builder.core.tabs import Tab
from workbook_builder.layout.cells import Done, Writer, inside
from workbook_builder.layout.chart_room import ASIDE, keep_free
from workbook_builder.layout.guides import title_with_unit
from workbook_builder.layout.letterhead import sign
from workbook_builder.layout.look import Look
from workbook_builder.layout.map_colours import MAP_PICTURES
from workbook_builder.layout.money_charts import MONEY_CHARTS
from workbook_builder.layout.own import write_own_columns, write_own_lines, write_own_sheets
from workbook_builder.layout.pages import LINE, key_columns, pages_of, set_up_page
from workbook_builder.layout.repeats import REPEATS
from workbook_builder.layout.spot_charts import SPOT_CHARTS
from workbook_builder.layout.tables import write_cell, write_heading, write_piece
from workbook_builder.layout.widths import (
    FINDINGS,
    GAP,
    Known,
    column_widths,
    header_height,
    row_heights,
    wrapped_lines,
)
from workbook_builder.planning import Plan
from workbook_builder.steps import each
from workbook_builder.theme import DEFAULT_THEME, Theme

#: Heights of the rows of the answer, and of figures shown large [points].
ANSWER_HEIGHT, TILE_HEIGHT = 28.0, 28.0
#: Width of the columns of hidden sheets, for who shows one to check a figure [characters].
HIDDEN_WIDTH = 14.0
#: How much wider large type is.
BIG_TYPE = 1.3
#: Charts by name.
CHARTS = {**MONEY_CHARTS, **SPOT_CHARTS, **MAP_PICTURES, **REPEATS}


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
    for title, planned in each("Laying out the sheets", placement.sheets.items()):
        sheet = book.create_sheet(title)
        writer = Writer(sheet, look.quoted)
        if planned.tab is None:
            # What formulas alone need, and lists people rarely read: a row of tabs is long enough.
            for piece in planned.pieces:
                write_heading(writer, piece, look)
                write_piece(writer, piece, look, plan, placement)
            sheet.sheet_format.defaultColWidth, sheet.sheet_state = HIDDEN_WIDTH, "hidden"
            _protect(sheet)
        else:
            _write_tab(writer, planned, planned.tab, look, plan, placement, theme)
        done(sheet, writer.values, writer.columns)
    write_own_sheets(book, look, plan, done)
    for spot in placement.spots.values():
        for column in spot.table.columns if spot.table.is_form and spot.table.named else ():
            book.defined_names[column.key] = DefinedName(column.key, attr_text=spot.absolute(column.key))
    look.close()
    book.active = 0
    return book


def _write_tab(
    writer: Writer, planned: SheetPlan, tab: Tab, look: Look, plan: Plan, placement: Placement, theme: Theme
) -> None:
    sheet, pieces = writer.sheet, planned.pieces
    _write_top(writer, tab, look, plan, placement)
    for piece in pieces:
        write_heading(writer, piece, look)
        write_piece(writer, piece, look, plan, placement, tab.big)
        own = plan.inputs.extras.get(piece.table.key, {})
        if own and piece.own:
            write_own_columns(writer, piece, look, own, placement)
        elif own and piece.table.is_form and has_room_for_lines(piece, pieces):
            write_own_lines(writer, piece, look, own)
    _size(sheet, tab, pieces, plan)
    if tab.banner:
        _name_what_is_away(writer, tab, pieces, placement, look)
    reach = _chart(sheet, pieces, plan, placement)
    first = pieces[0]
    sheet.sheet_properties.tabColor = look.tab(first.table.kind)
    if (len({placement.grain(piece.table.key)[0][0] for piece in pieces if not piece.table.is_form}) == 1
        and not first.table.is_form):
        start, end = column_letter(first.column), column_letter(pieces[-1].last_column)
        sheet.auto_filter.ref = f"{start}{first.header_row}:{end}{first.last_row}"
    tall = len({piece.header_row for piece in pieces}) > 1
    keys = 0 if tall else key_columns(first)
    below = TOP_ROW - 1 if tall else first.first_row
    sheet.freeze_panes = f"{column_letter(FIRST_COLUMN + keys if keys else 1)}{below}"
    sheet.sheet_view.showGridLines = False
    set_up_page(sheet, [piece for piece in pieces if piece.paper], plan, tab.one_page, reach, theme.footer)
    sign(writer, theme, look, max(piece.last_column for piece in pieces) if tab.banner else 0)
    _protect(sheet)


def _write_top(writer: Writer, tab: Tab, look: Look, plan: Plan, placement: Placement) -> None:
    """Write the farm, the answer and what to do about it, and the figures shown large."""
    banner = tab.banner or "glance.banner"
    for name, row, style in ((banner, BANNER_ROW, look.banner()), (tab.answer, ANSWER_ROW, look.answer()),
                             (tab.to_do, TO_DO_ROW, look.quiet())):
        key, _, cell = name.partition(".")
        if key not in placement.tables:
            continue
        if placement.spots[key].places[cell] == (tab.title, FIRST_COLUMN, row):
            write_cell(writer, row, FIRST_COLUMN, placement.tables[key], placement.tables[key].by_key[cell],
                       style, plan, placement)
        else:
            writer.formula(row, FIRST_COLUMN, f"={placement.spots[key].absolute(cell)}",
                           plan.tables[key][0][cell], style)
    if not tab.answer:
        writer.value(ANSWER_ROW, FIRST_COLUMN, tab.title, look.answer())
    writer.sheet.row_dimensions[ANSWER_ROW].height = ANSWER_HEIGHT
    for tile in tab.tiles:
        key, _, cell = tile.cell.partition(".")
        if key not in placement.tables:
            continue
        column = placement.tables[key].by_key[cell]
        write_cell(writer, TOP_ROW, tile.column, placement.tables[key], column, look.tile(column),
                   plan, placement)
        leads = tile.to in placement.front
        if leads:
            writer.sheet.cell(TOP_ROW + 1, tile.column).hyperlink = inside(tile.to)
        writer.value(TOP_ROW + 1, tile.column, title_with_unit(column, plan.system, plan.inputs.currency),
                     look.link() if leads else look.quiet())
        if tile.last > tile.column:
            writer.sheet.merge_cells(start_row=TOP_ROW, end_row=TOP_ROW, start_column=tile.column,
                                     end_column=tile.last)
        writer.sheet.row_dimensions[TOP_ROW].height = TILE_HEIGHT


def _name_what_is_away(writer: Writer, tab: Tab, pieces: list[Piece], placement: Placement,
                       look: Look) -> None:
    """Say on the first tab which tabs and parts of tabs there are that nobody has used yet,
    and how to get them.
    """
    said = []
    if placement.away:
        titles = [other.title for other in placement.away]
        said.append(f"Not in this book yet: {', '.join(titles)}. They come with what is typed for them, or "
                    f"with build --with {_asked(titles[0])}.")
    if placement.parts_away:
        parts = [f"{', '.join(names)} ({title})" for title, names in placement.parts_away.items()]
        said.append(f"Not shown yet: {'; '.join(parts)}. They come so too, or with build --with "
                    f"{_asked(next(iter(placement.parts_away)))}.")
    # Broken into lines within what prints, or a long one would run off the paper.
    last = max(piece.last_column for piece in pieces if piece.paper)
    wide = sum(writer.sheet.column_dimensions[column_letter(number)].width
               for number in range(FIRST_COLUMN, last + 1))
    for row, text in enumerate(said, tab.top - 2):
        writer.value(row, FIRST_COLUMN, text, look.quiet(wrap=True))
        writer.sheet.merge_cells(start_row=row, end_row=row, start_column=FIRST_COLUMN, end_column=last)
        writer.sheet.row_dimensions[row].height = LINE * wrapped_lines(text, wide)


def _asked(title: str) -> str:
    """Return the title of a tab as the command line takes it."""
    return f'"{title.lower()}"' if " " in title else title.lower()


def _size(sheet: Worksheet, tab: Tab, pieces: list[Piece], plan: Plan) -> None:
    """Give columns and rows the sizes that print on the fewest pages and, of those,
    make the fewest rows tall.
    """
    printed = [piece for piece in pieces if piece.paper]
    tried: dict[tuple[float, ...], tuple[Any, ...]] = {}
    known: Known = {}
    # Headers take a line less or more where that saves a page.
    for finding, more_lines in product(FINDINGS, (0,) if tab.one_page else (0, -1, 1)):
        widths = {"A": GAP, **column_widths(pieces, plan, finding, more_lines, known)}
        if tab.big:
            widths = {letter: width if width == GAP else width * BIG_TYPE for letter, width in widths.items()}
        same = tuple(widths.values())
        if same not in tried:
            heights = _heights(tab, pieces, widths, plan)
            tried[same] = (pages_of(printed, widths, heights, plan, tab.one_page), abs(more_lines),
                           sum(heights.values()), finding, widths, heights)
    *_, widths, heights = min(tried.values(), key=lambda sizes: sizes[:4])
    for letter, width in widths.items():
        sheet.column_dimensions[letter].width = width
    for row, tall in heights.items():
        sheet.row_dimensions[row].height = tall


def _heights(tab: Tab, pieces: list[Piece], widths: dict[str, float], plan: Plan) -> dict[int, float]:
    """Return the heights of the rows that are not of the usual one [points]."""
    heights = {
        header: header_height([piece for piece in pieces if piece.header_row == header], widths, plan)
        for header in {piece.header_row for piece in pieces if piece.table.is_typed
                       or not piece.table.is_form}
    }
    for piece in () if tab.big else pieces:
        for row, tall in row_heights(piece, widths, plan).items():
            heights[row] = max(heights.get(row, 0.0), tall)
    return heights


def _chart(sheet: Worksheet, pieces: list[Piece], plan: Plan, placement: Placement) -> tuple[int, int]:
    """Put the charts below or beside their blocks, where no table stands.

    Return the last row and column that those on paper reach.
    """
    reach = [(0, 0)]
    charted = [(piece, piece.block, (piece.header_row, piece.last_column + 1) if piece.block.beside
                else (piece.last_row + 2, piece.column))
               for piece in pieces if piece.block is not None and piece.block.chart
               and all(key in placement.tables for key in piece.block.charted.split())]
    for piece, block, at in charted:
        end = CHARTS[block.chart](sheet, plan, placement, at)
        if block.beside:
            sheet._charts[-1].anchor._from.colOff = ASIDE
        if block.chart in MONEY_CHARTS or block.chart in SPOT_CHARTS:
            end = keep_free(sheet, at, pieces, piece.paper, [place for *_, place in charted])
        reach += [end] if piece.paper else []
    return max(row for row, _ in reach), max(column for _, column in reach)


def _protect(sheet: Worksheet) -> None:
    """Guard formulas without a password; sizing, filtering and sorting stay free."""
    sheet.protection.sheet = True
    for action in ("formatCells", "formatColumns", "formatRows", "sort", "autoFilter"):
        setattr(sheet.protection, action, False)
