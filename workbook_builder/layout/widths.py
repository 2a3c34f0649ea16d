"""Widths of sheet columns and heights of header rows, worked out from what stands in them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from workbook_builder.core.columns import CHECK, Column
from workbook_builder.core.place import Spot, column_letter
from workbook_builder.core.quantities import quantity
from workbook_builder.layout.guides import title_with_unit
from workbook_builder.planning import Plan
from workbook_builder.text_widths import BOLD, lines_in, text_width

NARROWEST = 8.0
WIDEST_TEXT = 46.0
LONG_TEXT = 60.0
#: Indent and padding of a cell of words.
PADDING = 2.0
#: Width of the empty columns between tables that stand side by side.
GAP = 2.5
#: Heights of a header row [points].
HEADER_LINE, HEADER_LEAST = 15.0, 32.0
#: Sheets read at arm's length: large type, high lines.
BIG_SHEETS = ("Mix sheet",)


def column_widths(spots: Iterable[Spot], plan: Plan) -> dict[str, float]:
    """Return the width of every sheet column [characters] from headers and contents."""
    widths: dict[str, float] = {}
    spots = list(spots)
    if all(spot.table.is_form for spot in spots):
        # Where no table stands below, the column of notes may be as wide as they need.
        notes = [text_width(f"{column.note} [{column.source}]") for spot in spots for column in spot.table.columns]
        widths[column_letter(spots[0].last_shown)] = min(LONG_TEXT, max(notes))
    if any(spot.first_column > 1 for spot in spots):
        widths.update((column_letter(number), GAP) for number in range(1, max(spot.last_shown for spot in spots)))
    for spot in spots:
        for number, width in _form_widths(spot, plan) if spot.table.is_form else _grid_widths(spot, plan):
            letter = column_letter(number)
            known = widths.get(letter, NARROWEST)
            widths[letter] = width if known == GAP else max(known, width)
    return widths


def _grid_widths(spot: Spot, plan: Plan) -> list[tuple[int, float]]:
    rows = plan.tables[spot.table.key]
    return [(spot.numbers[column.key], width_of(column, rows, plan)) for column in spot.table.columns]


def _form_widths(spot: Spot, plan: Plan) -> list[tuple[int, float]]:
    # On a large sheet the grid below sets the widths; words may run over into free cells.
    table, at = spot.table, spot.first_column
    if table.sheet_title in BIG_SHEETS:
        return [(at, 20.0), (at + 1, 20.0), (at + 2, 9.0)]
    labels = max(text_width(column.header) for column in table.columns) + PADDING
    texts = [str(plan.tables[table.key][0][column.key]) for column in table.columns]
    asked = max((column.width or 0.0 for column in table.columns), default=0.0)
    return [(at, labels), (at + 1, asked or min(WIDEST_TEXT, max(map(text_width, texts)) + PADDING + 1)), (at + 2, 9.0)]


def width_of(column: Column, rows: list[Any], plan: Plan) -> float:
    """Return the width of one column of a grid [characters]."""
    if column.width:
        return column.width
    header = title_with_unit(column, plan.system, plan.inputs.currency)
    longest_word = max((text_width(word) for word in header.split()), default=0.0) * BOLD
    needed = max(longest_word + PADDING, text_width(header) * BOLD / 2 + PADDING, NARROWEST)
    form = quantity(column.quantity).form
    if form in ("text", "name"):
        texts = max((text_width(str(row[column.key])) for row in rows), default=0.0)
        most = LONG_TEXT if column.quantity == "long_text" else WIDEST_TEXT
        return max(needed, min(most, texts * (BOLD if column.role == CHECK else 1) + PADDING + 0.5))
    if form in ("date", "moment", "time"):
        return max(needed, {"date": 12.0, "moment": 17.0}.get(form, 10.0))
    numbers = [abs(row[column.key]) for row in rows if isinstance(row[column.key], (int, float))]
    digits = quantity(column.quantity).digits if column.digits is None else column.digits
    largest = len(f"{max(numbers, default=0):,.{digits}f}") + 4
    return max(needed, {"money": 13.0}.get(form, 10.0), min(largest, WIDEST_TEXT))


def header_height(spot: Spot, widths: dict[str, float], plan: Plan) -> float:
    """Return the height of a header row that shows every header whole [points]."""
    lines = 1
    for column in spot.table.columns:
        if not column.folded or spot.table.kind == "working":
            header = title_with_unit(column, plan.system, plan.inputs.currency)
            lines = max(lines, wrapped_lines(header, widths[spot.letters[column.key]], True))
    return max(HEADER_LEAST, lines * HEADER_LINE + 2)


def row_heights(spot: Spot, widths: dict[str, float], plan: Plan) -> dict[int, float]:
    """Return the heights of the rows whose texts need several lines as they stand [points].

    Not every program fits rows to wrapped text on opening, so the file says how high they are.
    """
    heights: dict[int, float] = {}
    for column in spot.table.columns:
        if column.quantity == "long_text" and not column.folded:
            for index, row in enumerate(plan.tables[spot.table.key]):
                lines = wrapped_lines(str(row[column.key] or ""), widths[spot.letters[column.key]])
                if lines > 1:
                    place = spot.first_row + index
                    heights[place] = max(heights.get(place, 0.0), lines * HEADER_LINE)
    return heights


def wrapped_lines(text: str, width: float, bold: bool = False) -> int:
    """Return how many lines a text takes in a column of that width [digits]."""
    return lines_in(text, max(1.0, (width - PADDING) / (BOLD if bold else 1)))


def folded_columns(spots: Iterable[Spot]) -> list[int]:
    """Return the numbers of the sheet columns that hold nothing but what formulas need.

    Columns that a form needs (its label, value, unit and note) are never folded.
    """
    shown: set[int] = set()
    workings: set[int] = set()
    for spot in spots:
        if spot.table.is_form:
            shown.update(range(spot.first_column, spot.last_shown + 1))
            continue
        for column in spot.table.columns:
            (workings if column.folded else shown).add(spot.numbers[column.key])
    return sorted(workings - shown)
