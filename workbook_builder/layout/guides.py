"""Drop-downs, input messages and status colours."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from openpyxl.formatting.rule import Rule
from openpyxl.styles.differential import DifferentialStyle
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.columns import CHECK, FIXED, OPEN_STATUSES, Column
from workbook_builder.core.place import Piece, Placement, column_letter
from workbook_builder.core.quantities import quantity
from workbook_builder.layout.look import DAY_COLOURS, STATUS_COLOURS
from workbook_builder.layout.parts import marking, quiet, unruled

LONGEST_MESSAGE = 255
LONGEST_TITLE = 32
#: Units that a header may spell out; then they are not printed a second time.
UNIT_WORDS = {"h": "hours", "min": "minutes", "ac": "acres", "ha": "hectares"}
#: Ink of a nought; still 4.5 to 1 on white.
NOUGHT = "6E757C"


def title_with_unit(column: Column, system: str, currency: str) -> str:
    """Return a printed header: the title and, where it does not say it already, the unit in brackets."""
    header, unit = column.header_in(system), quantity(column.quantity).unit(system, currency)
    if "per hour" in header:
        unit = unit.removesuffix("/h")
    said = f" {UNIT_WORDS.get(unit, unit)} ".casefold() in f" {header} ".casefold().replace(",", " ")
    return header if not unit or said or quantity(column.quantity).form == "share" else f"{header} ({unit})"


def input_message(column: Column) -> str:
    """Return what a person reads on selecting an input cell."""
    need = "Required. " if column.required else "May be blank. "
    return (need + column.note)[:LONGEST_MESSAGE]


def add_validation(sheet: Worksheet, column: Column, cells: str, placement: Placement, system: str) -> None:
    """Put the drop-down or the limits of an input column on its cells."""
    rule = DataValidation(**_rule(column, placement), allow_blank=True)
    rule.showErrorMessage = bool(rule.type) and not (column.suggest_only or column.several)
    rule.showInputMessage = True
    rule.promptTitle = rule.errorTitle = column.header_in(system)[:LONGEST_TITLE]
    rule.prompt = input_message(column)
    rule.error = _error(column)[:LONGEST_MESSAGE]
    rule.add(cells)
    sheet.add_data_validation(rule)


def _rule(column: Column, placement: Placement) -> dict[str, Any]:
    if isinstance(column.choices, tuple):
        return {"type": "list", "formula1": '"' + ",".join(column.choices) + '"'} if column.choices else {}
    if column.choices:
        table, key = column.choices.split(".")
        return {"type": "list", "formula1": placement.spots[table].absolute(key)}
    form = quantity(column.quantity).form
    if form == "date":
        return {"type": "date", "operator": "between", "formula1": "36526", "formula2": "73050"}
    if form == "time":
        return {"type": "decimal", "operator": "between", "formula1": "0", "formula2": "1"}
    if form in ("text", "name", "code"):
        return {"type": "textLength", "operator": "lessThanOrEqual", "formula1": "255"}
    low = 0 if column.minimum is None else column.minimum
    high = 1e9 if column.maximum is None else column.maximum
    kind = "whole" if form == "whole" else "decimal"
    return {"type": kind, "operator": "between", "formula1": f"{low:g}", "formula2": f"{high:.15g}"}


def _error(column: Column) -> str:
    if column.choices:
        return f"Choose one of the list. {column.note}"
    form = quantity(column.quantity).form
    if form == "date":
        return "Enter a date, for instance 2026-05-14."
    if form == "time":
        return "Enter a time of day, for instance 07:30."
    if form == "share":
        return f"Enter one share, not a range: 30 % or 0.3, for instance. {column.note}"
    if column.minimum is not None and column.maximum is not None:
        return f"Enter a number from {column.minimum:g} to {column.maximum:g}. {column.note}"
    return f"This does not fit here. {column.note}"


def _ends(piece: Piece, number: int) -> tuple[str, str]:
    """Return first and last cell of the column, or of the line of a form, at a place among those of a piece.
    """
    if piece.table.is_form:
        cell = f"{column_letter(piece.column + 1)}{piece.first_row + number}"
        return cell, cell
    letter = column_letter(piece.column + number)
    return f"{letter}{piece.first_row}", f"{letter}{piece.last_row}"


def add_status_colours(sheet: Worksheet, piece: Piece) -> None:
    """Colour the status cells of a piece; the words stand there already."""
    for number, column in enumerate(piece.columns):
        if column.quantity == "day_mark":
            cells = ":".join(_ends(piece, number))
            for letter, (ink, fill) in DAY_COLOURS.items():
                sheet.conditional_formatting.add(cells, _is("equal", f'"{letter}"', marking(ink, fill)))
        if column.role != CHECK and column.quantity != "status":
            continue
        first, last = _ends(piece, number)
        cells = f"{first}:{last}"
        if column.quantity == "count":
            # A nought stands back, and a count of what is open stands out.
            sheet.conditional_formatting.add(cells, _is("equal", "0", marking(NOUGHT, bold=False)))
            if column.header in OPEN_STATUSES:
                marked = marking(*STATUS_COLOURS[column.header])
                sheet.conditional_formatting.add(cells, _is("greaterThan", "0", marked))
        if column.quantity not in ("status", "text", "one_line"):
            continue
        for word, (ink, fill) in STATUS_COLOURS.items():
            sheet.conditional_formatting.add(
                cells, _is("equal", f'"{word}"', marking(ink, fill)) if column.quantity == "status"
                else _when(f'LEFT({first},{len(word)})="{word}"', marking(ink, fill)))


def quiet_spare_rows(sheet: Worksheet, piece: Piece, rows: Sequence[Mapping[str, object]]) -> None:
    """Let a row show only once it is about something: its rule, slot number,
    noughts and fixed words stay quiet before.

    Words that a formula gives never hide, so no finding does.
    """
    shown = piece.columns
    named = next((column for column in shown if column.calculated), None)
    if piece.table.kind != "result" or piece.table.is_form or named is None:
        return
    idle = [row for row in rows if row[named.key] in ("", None)]
    if not idle:
        return
    first, last = _ends(piece, 0)[0], _ends(piece, len(shown) - 1)[1]
    blank = f'${_ends(piece, shown.index(named))[0]}=""'
    # Where several rules hold for a cell, some programs follow the first alone.
    for number, column in enumerate(shown):
        if column.role == FIXED and quantity(column.quantity).form in ("text", "name"):
            words = ":".join(_ends(piece, number))
            sheet.conditional_formatting.add(words, _when(blank, quiet()))
    if any(isinstance(row[column.key], (int, float)) for row in idle for column in shown):
        sheet.conditional_formatting.add(f"{first}:{last}", _when(f"AND({blank},ISNUMBER({first}))", quiet()))
    sheet.conditional_formatting.add(f"{first}:{last}", _when(blank, unruled()))


def _is(operator: str, value: str, change: DifferentialStyle) -> Rule:
    """Return a rule on a cell's own value."""
    return Rule(type="cellIs", operator=operator, formula=[value], dxf=change)


def _when(formula: str, change: DifferentialStyle) -> Rule:
    """Return a rule on what a formula says."""
    return Rule(type="expression", formula=[formula], dxf=change)
