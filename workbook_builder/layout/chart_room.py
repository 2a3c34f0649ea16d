"""Room for charts: how far one reaches, and that it covers no table."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.place import Piece, column_letter
from workbook_builder.layout.widths import NARROWEST

#: Units of a drawing in a pixel and in a point; width of a digit [pixels]; height of a row [points].
PIXEL, POINT, DIGIT, ROW = 9525, 12700, 7, 15.0
#: Left free so that the frame of a chart prints, and between a table and the chart beside it.
FRAME, ASIDE = 12 * PIXEL, 20 * PIXEL


def keep_free(sheet: Worksheet, at: tuple[int, int], pieces: Sequence[Piece], paper: bool,
              others: Iterable[tuple[int, int]] = ()) -> tuple[int, int]:
    """Make the chart put last no larger than the room left to it,
    and return the last row and column it reaches.

    Parameters
    ----------
    sheet : Worksheet
    at : (int, int)
        Row and column of its upper left corner.
    pieces : sequence of Piece
        What stands on the sheet.
    paper : bool
        Whether the chart prints, and so may widen no page.
    others : iterable of (int, int)
        Row and column of the upper left corner of every chart of the sheet.
    """
    row, column = at
    size, inset = sheet._charts[-1].anchor.ext, sheet._charts[-1].anchor._from.colOff
    # What stands right of the table above it narrows it, rather than to leave it too low to be read.
    above = max((piece.last_column for piece in pieces if piece.column == column and piece.last_row < row),
                default=column)
    last_row = _reached(lambda number: _tall(sheet, number), row, size.height)
    # The narrow column before a table stays free.
    ends = [piece.column - 1 for piece in pieces if piece.column > column and piece.last_row >= row - 1
            and _first_row(piece) <= (last_row if piece.column > above else row)]
    ends += [other for level, other in others if level == row and other > column]
    if paper:
        ends.append(max(piece.last_column for piece in pieces if piece.paper) + 1)
    if ends:
        size.width = min(size.width, _until(lambda number: _wide(sheet, number), column, min(ends))
                         - FRAME - inset)
    last_column = _reached(lambda number: _wide(sheet, number), column, size.width + inset)
    low = min((_first_row(piece) for piece in pieces if _first_row(piece) > row
               and piece.column <= last_column and piece.last_column >= column), default=None)
    if low is not None:
        size.height = min(size.height, _until(lambda number: _tall(sheet, number), row, low - 1))
    return _reached(lambda number: _tall(sheet, number), row, size.height), last_column


def _first_row(piece: Piece) -> int:
    """Return the row of a piece's heading."""
    return piece.header_row - 1


def _until(size_of: Callable[[int], int], first: int, end: int) -> int:
    return sum(size_of(number) for number in range(first, end))


def _reached(size_of: Callable[[int], int], first: int, size: int) -> int:
    """Return the last row or column that something of this size reaches."""
    left = size - size_of(first)
    while left > 0:
        first += 1
        left -= size_of(first)
    return first


def _wide(sheet: Worksheet, number: int) -> int:
    found = sheet.column_dimensions.get(column_letter(number))
    return int((NARROWEST if found is None else found.width) * DIGIT) * PIXEL


def _tall(sheet: Worksheet, number: int) -> int:
    found = sheet.row_dimensions.get(number)
    return int(((found.height if found is not None else None) or ROW) * POINT)
