"""How a sheet prints: which cells, how large, on how many pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import takewhile

from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.columns import Table
from workbook_builder.core.place import Piece, column_letter
from workbook_builder.layout.paper import LEAST_SCALE, LEAST_WITH_NOTES, SIDES, Way, best_way, room
from workbook_builder.layout.widths import NARROWEST
from workbook_builder.planning import Plan

#: Height of a line of text [points].
LINE = 15.0
#: Charts are measured in these.
EMU_PER_POINT = 12700


def set_up_page(sheet: Worksheet, pieces: Sequence[Piece], plan: Plan, one_page: bool = False,
                charts: tuple[int, int] = (0, 0), footer: str = "") -> None:
    """Set paper, direction, what every page repeats, print area, margins and footer of a sheet.

    Parameters
    ----------
    sheet : Worksheet
    pieces : sequence of Piece
        What prints.
    plan : Plan
    one_page : bool
        Whether it must go on one page, whatever the type shrinks to.
    charts : (int, int)
        Last row and column that charts reach.
    footer : str
        Line of the theme at the foot of every page.
    """
    filled = max(charts[0], *(_last_filled_row(piece, plan) for piece in pieces))
    last_column = max(charts[1], *(_last_printed_column(piece, plan) for piece in pieces))
    # Lines that are still to be typed print too where that takes no further page.
    spare = max(filled, *(piece.last_row for piece in pieces if piece.table.rows == "typed"), 0)
    keys = key_columns(pieces[0])
    repeated = _width(sheet, pieces[0].column + keys - 1) - _width(sheet, pieces[0].column - 1)
    ways = {last: best_way(_width(sheet, last_column), _height(sheet, last), plan.system, one_page, repeated,
                           _least(pieces)) for last in (filled, spare)}
    last_row = (spare if (ways[spare].across, ways[spare].down) == (ways[filled].across, ways[filled].down)
                and not one_page else filled)
    way = ways[last_row]
    setup = sheet.page_setup
    setup.orientation = "portrait" if way.upright else "landscape"
    setup.paperSize = sheet.PAPERSIZE_LETTER if plan.system == "us" else sheet.PAPERSIZE_A4
    setup.pageOrder = "overThenDown"
    setup.fitToWidth, setup.fitToHeight = way.across, way.down
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.print_area = f"A1:{column_letter(last_column)}{last_row}"
    if way.down > 1 and not one_page and (header := _cut_header(sheet, pieces, plan, way)):
        sheet.print_title_rows = f"{header}:{header}"
    if way.across > 1 and keys:
        left = pieces[0].column
        sheet.print_title_cols = f"{column_letter(left)}:{column_letter(left + keys - 1)}"
    _frame(sheet, footer)


def _cut_header(sheet: Worksheet, pieces: Sequence[Piece], plan: Plan, way: Way) -> int:
    """Return the row of the headers that further pages repeat: those of the tables that the first page cuts,
    where no other table comes after them, or all say the same; 0 where there are none, or where a chart
    stands beside them, of which every page would repeat a strip.
    """
    headers = {piece.header_row for piece in pieces}
    if len(headers) == 1 or all(piece.table.is_form for piece in pieces):
        return min(headers)
    tall = room(plan.system, way.upright)[1] / way.scale
    fits = next((row for row in range(1, sheet.max_row + 1) if _height(sheet, row + 1) > tall), sheet.max_row)
    cut = {piece.header_row for piece in pieces if piece.header_row <= fits < _last_filled_row(piece, plan)}
    if len(cut) != 1 or not (way.down == 2 or cut == {max(headers)}):
        return 0
    header = cut.pop()
    top, bottom = _height(sheet, header - 1), _height(sheet, header)
    for chart in sheet._charts:
        start = _height(sheet, chart.anchor._from.row)
        if start < bottom and start + chart.anchor.ext.height / EMU_PER_POINT > top:
            return 0
    return header


def pages_of(pieces: Sequence[Piece], widths: Mapping[str, float], heights: Mapping[int, float], plan: Plan,
             one_page: bool) -> tuple[float, int]:
    """Return on how many pages some pieces print with these widths [characters] and heights of rows [points],
    and how many of them stand side by side.

    What must go on one page counts for more the smaller its type gets.
    """
    rows, columns = (max(_last_filled_row(piece, plan) for piece in pieces),
                     max(_last_printed_column(piece, plan) for piece in pieces))
    width = sum(widths.get(column_letter(number), NARROWEST) for number in range(1, columns + 1))
    height = rows * LINE + sum(tall - LINE for row, tall in heights.items() if row <= rows)
    keys = range(pieces[0].column, pieces[0].column + key_columns(pieces[0]))
    repeated = sum(widths.get(column_letter(number), NARROWEST) for number in keys)
    way = best_way(width, height, plan.system, one_page, repeated, _least(pieces))
    return (1 / way.scale if one_page else way.across * way.down), way.across


def _least(pieces: Sequence[Piece]) -> float:
    """Return the scale at which the smallest type of some pieces is still legible."""
    return LEAST_WITH_NOTES if any(piece.table.is_form and piece.notes for piece in pieces) else LEAST_SCALE


def _frame(sheet: Worksheet, footer: str) -> None:
    sheet.page_margins.left = sheet.page_margins.right = SIDES / 2
    sheet.page_margins.top = sheet.page_margins.header = 0.45
    sheet.page_margins.bottom, sheet.page_margins.footer = 0.6, 0.3
    # The line at the foot keeps its size on a sheet that shrinks.
    sheet.HeaderFooter.scaleWithDoc = False
    sheet.oddFooter.left.text = "&A"
    sheet.oddFooter.center.text = " ".join(filter(None, ("The label is the law. Planning aid, check every "
                                                         "figure.", footer.replace("&", "&&"))))
    sheet.oddFooter.right.text = "Page &P of &N"


def _height(sheet: Worksheet, last: int) -> float:
    """Return the height of the first rows as shown [points]."""
    heights = (sheet.row_dimensions[row].height or LINE for row in range(1, last + 1)
               if row in sheet.row_dimensions)
    return last * LINE + sum(height - LINE for height in heights)


def _width(sheet: Worksheet, last: int) -> float:
    """Return the width of the first columns as shown [characters]."""
    found = (sheet.column_dimensions.get(column_letter(number)) for number in range(1, last + 1))
    return sum(NARROWEST if each is None else each.width for each in found)


def key_columns(piece: Piece) -> int:
    """Return how many leading columns say what a row is about: pass and field,
    or the first one; none in a form.
    """
    if piece.table.is_form:
        return 0
    return 2 if [column.key for column in piece.columns[:2]] == ["pass", "field"] else 1


def _last_filled_row(piece: Piece, plan: Plan) -> int:
    if piece.table.is_form:
        return piece.last_row
    filled = [n for n, row in enumerate(plan.tables[piece.table.key]) if is_filled(row, piece.table)]
    return piece.header_row + (filled[-1] + 1 if filled else 1)


def _last_printed_column(piece: Piece, plan: Plan) -> int:
    last = piece.last_column
    if piece.block is not None and piece.block.filled:
        blank = (all(row[column.key] in ("", None) for row in plan.tables[piece.table.key])
                 for column in reversed(piece.columns))
        last -= len(list(takewhile(bool, blank)))
    return last


def is_filled(row: Mapping[str, object], table: Table) -> bool:
    """Whether a row is about something: on a sheet of results, noughts beside a blank name do not count."""
    shown = ([column for column in table.columns if column.role not in ("working", "fixed")]
             or list(table.columns))
    values = [row[column.key] for column in shown]
    if table.kind == "result" and values[0] in ("", None):
        values = [value for value in values if isinstance(value, str)]
    return any(value not in ("", None) for value in values)
