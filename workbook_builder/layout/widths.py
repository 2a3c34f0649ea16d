"""Widths of sheet columns and heights of rows, worked out from what stands in them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from workbook_builder.core.columns import CHECK, Column
from workbook_builder.core.place import FIRST_COLUMN, Piece, column_letter
from workbook_builder.core.quantities import WRAPPED, quantity
from workbook_builder.layout.guides import title_with_unit
from workbook_builder.planning import Plan
from workbook_builder.text_widths import BOLD, lines_in, text_width

NARROWEST = 8.0
#: On a tab several tables stand side by side, so a column takes no more than it needs.
LEAST, WIDEST_NAME, WIDEST_TYPED = 5.0, 30.0, 70.0
#: Widths tried for findings of a tab: the one that prints on the fewest pages and makes the fewest rows tall
#: is taken.
FINDINGS = (36.0, 40.0, 46.0, 50.0, 56.0, 62.0, 70.0, 78.0, 88.0, 96.0, 104.0)
#: What does not print has room to the right: a finding there stays on one line and stretches no row of its
#: neighbours.
WIDEST_ASIDE = 160.0
WIDEST_TEXT = 46.0
LONG_TEXT = 60.0
#: Notes of a form that prints end where its line still fits a page and a screen.
WIDEST_NOTE = 104.0
#: Indent and padding of a cell of words.
PADDING = 2.0
#: Width of the empty columns between tables that stand side by side.
GAP = 1.6
#: Heights of a header row [points].
HEADER_LINE, HEADER_LEAST = 15.0, 17.0
#: Height of a line of a note, whose type is smaller [points].
NOTE_LINE = 13.5
#: Column, header row, most of a finding and lines of a header -> width.
Known = dict[tuple[int, int, float | None, int], float]


def column_widths(pieces: Iterable[Piece], plan: Plan, finding: float | None = None, more_lines: int = 0,
                  known: Known | None = None) -> dict[str, float]:
    """Return the width of every sheet column [characters] from headers and contents,
    findings no wider and headers over more lines where asked.

    `known` keeps what was found, for who asks for the same pieces again.
    """
    known = {} if known is None else known
    widths: dict[int, float] = {}
    pieces = list(pieces)
    for piece in pieces:
        found = _form_widths(piece, plan) if piece.table.is_form else []
        lines = max(1, piece.header_lines + (more_lines if piece.paper else 0)) if piece.front else 2
        longest = finding if piece.paper else None
        rows = plan.tables[piece.table.key]
        for number, column in enumerate(() if piece.table.is_form else piece.columns, piece.column):
            asked = (number, piece.header_row, longest if column.quantity in WRAPPED else None, lines)
            if asked not in known:
                known[asked] = width_of(column, rows, plan, piece.front, longest, lines)
            found.append((number, known[asked]))
        for number, width in found:
            widths[number] = max(widths.get(number, 0.0), width)
    if any(piece.front for piece in pieces):
        widths = dict.fromkeys(range(1, max(widths, default=FIRST_COLUMN)), GAP) | widths
    return {column_letter(number): width for number, width in widths.items()}


def _form_widths(piece: Piece, plan: Plan) -> list[tuple[int, float]]:
    at, row = piece.column, plan.tables[piece.table.key][0]
    labels = max((text_width(column.header) for column in piece.columns), default=0.0) + PADDING
    texts = max((text_width(_shown(row[column.key], column)) for column in piece.columns), default=0.0)
    units = max((text_width(quantity(column.quantity).unit(plan.system, plan.inputs.currency))
                 for column in piece.columns), default=0.0)
    widest = WIDEST_NAME if piece.front else WIDEST_TEXT
    found = [(at, labels), (at + 1, max(11.0, min(widest, texts + PADDING + 1))),
             (at + 2, max(6.0, units + PADDING))]
    if piece.notes:
        notes = max((text_width(note_of(column)) for column in piece.columns), default=0.0)
        found.append((at + 3, min(LONG_TEXT * 1.5 if not piece.front else WIDEST_NOTE if piece.paper
                                  else notes + PADDING + 1, notes + PADDING + 1)))
    return found


def note_of(column: Column) -> str:
    """Return what a form says of a line: what it is, and where the figure comes from."""
    return f"{column.note} [{column.source}]" if column.source else column.note


def _shown(value: Any, column: Column) -> str:
    """Return about what a cell shows of a value."""
    kind = quantity(column.quantity)
    if kind.form in ("date", "moment", "time"):
        return {"date": "2026-05-14", "moment": "2026-05-14 07:30", "time": "07:30"}[kind.form]
    if isinstance(value, (int, float)) and kind.form not in ("text", "name", "code"):
        return f"{value:,.{kind.digits if column.digits is None else column.digits}f}"
    return str(value)


def width_of(column: Column, rows: list[Any], plan: Plan, tight: bool = False, finding: float | None = None,
             lines: int = 2) -> float:
    """Return the width of one column of a grid [characters].

    Tight where several tables stand side by side, and then findings no wider than asked.
    """
    if column.width and (not tight or column.quantity == "day_mark"):
        return column.width
    header = title_with_unit(column, plan.system, plan.inputs.currency)
    longest_word = max((text_width(word) for word in header.split()), default=0.0) * BOLD
    needed = max(longest_word + PADDING, text_width(header) * BOLD / lines + PADDING,
                 LEAST if tight else NARROWEST)
    while tight and wrapped_lines(header, needed, True) > lines:
        needed += 1
    form = quantity(column.quantity).form
    if form in ("text", "name"):
        texts = max((text_width(str(row[column.key])) for row in rows), default=0.0)
        if tight:
            # What is typed stays on one line, so that a long note makes no tall row of all that stands beside
            # it.
            if column.quantity not in WRAPPED:
                most = column.width or WIDEST_NAME
            elif finding is None and not column.typed:
                most = WIDEST_ASIDE
            elif column.width:
                # Words that may break do so only where the narrowest findings are tried too.
                most = column.width if finding == FINDINGS[0] else max(column.width, WIDEST_NAME)
            else:
                most = WIDEST_TYPED if column.typed or finding is None else finding
        else:
            most = LONG_TEXT if column.quantity == "long_text" else WIDEST_TEXT
        return max(needed, min(most, texts * (BOLD if column.role == CHECK else 1) + PADDING + 0.5))
    if form in ("date", "moment", "time"):
        return max(needed,
                   {"date": 11.0 if tight else 12.0, "moment": 17.0}.get(form, 6.6 if tight else 10.0))
    numbers = [row[column.key] for row in rows if isinstance(row[column.key], (int, float))]
    digits = quantity(column.quantity).digits if column.digits is None else column.digits
    # A share stands in percent, and has room for a hundred.
    shown = ([f"{number:.{digits}%}" for number in (*numbers, 1)] if form == "share"
             else [f"{abs(number):,.{digits}f}" for number in (*numbers, 0)])
    largest = max(map(len, shown)) + (2 if tight else 4)
    return max(needed, 0.0 if tight else {"money": 13.0}.get(form, 10.0), min(largest, WIDEST_TEXT))


def header_height(pieces: Iterable[Piece], widths: dict[str, float], plan: Plan) -> float:
    """Return the height of a header row that shows every header whole [points]."""
    lines = 1
    for piece in pieces:
        for number, column in enumerate(() if piece.table.is_form else piece.columns, piece.column):
            if column.quantity == "day_mark":
                continue
            header = title_with_unit(column, plan.system, plan.inputs.currency)
            lines = max(lines, wrapped_lines(header, widths[column_letter(number)], True))
    return max(HEADER_LEAST, lines * HEADER_LINE + 2)


def row_heights(piece: Piece, widths: dict[str, float], plan: Plan) -> dict[int, float]:
    """Return the heights of the rows whose texts need several lines as they stand [points].

    Not every program fits rows to wrapped text on opening, so the file says how high they are.
    """
    heights: dict[int, float] = {}
    rows = plan.tables[piece.table.key]
    for number, column in enumerate(piece.columns, piece.column):
        if piece.table.is_form and piece.notes:
            row = piece.first_row + number - piece.column
            heights[row] = NOTE_LINE * wrapped_lines(note_of(column), widths[column_letter(piece.column + 3)])
        if column.quantity not in WRAPPED or column.typed:
            continue
        for index in range(1 if piece.table.is_form else piece.rows):
            place = ((piece.first_row + number - piece.column, piece.column + 1) if piece.table.is_form
                     else (piece.first_row + index, number))
            lines = wrapped_lines(str(rows[index][column.key] or ""), widths[column_letter(place[1])])
            if lines > 1:
                heights[place[0]] = max(heights.get(place[0], 0.0), lines * HEADER_LINE)
    return {row: tall for row, tall in heights.items() if tall > HEADER_LINE}


def wrapped_lines(text: str, width: float, bold: bool = False) -> int:
    """Return how many lines a text takes in a column of that width [digits]."""
    return lines_in(text, max(1.0, (width - PADDING) / (BOLD if bold else 1)))
