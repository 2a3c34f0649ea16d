"""Formulas of the user's own: which of them can be carried along as formulas, and as what."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from openpyxl.formula import Tokenizer
from openpyxl.formula.tokenizer import Token, TokenizerError

from workbook_builder.core.formula_rules import check_formula
from workbook_builder.core.own import OwnFormula
from workbook_builder.read.grid import FormulaCell

_CELL = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7})")
_AREA = re.compile(rf"{_CELL.pattern}(?::{_CELL.pattern})?")


def kept_formula(cell: FormulaCell, result: Any, row: int, names: Mapping[str, str]) -> Any:
    """Return a formula of an own column that reads cells of its row alone, or its last result where it reads others.

    Parameters
    ----------
    cell : FormulaCell
    result : object
        What it last showed; without one nothing could stand in the file until somebody calculates it.
    row : int
        Row of the sheet.
    names : mapping of str to str
        Column letter -> name that the column goes by from build to build.
    """
    tokens = _tokens(cell.text) if result is not None else None
    if tokens is None:
        return result
    pieces, used = ["="], []
    for token in tokens:
        if token.type != Token.OPERAND or token.subtype != Token.RANGE:
            pieces[-1] += token.value
            continue
        place = _CELL.fullmatch(token.value.upper())
        if place is None or int(place[2]) != row or place[1] not in names:
            return result
        used.append(names[place[1]])
        pieces.append("")
    return OwnFormula(tuple(pieces), tuple(used), result)


def stays_on_sheet(text: str) -> bool:
    """Return whether a formula of an own sheet reads cells of that sheet alone, so that it can stay word for word."""
    tokens = _tokens(text)
    return tokens is not None and all(
        _AREA.fullmatch(token.value.upper()) for token in tokens if token.type == Token.OPERAND and token.subtype == Token.RANGE
    )


def _tokens(text: str) -> list[Token] | None:
    """Return the parts of a formula, None when it cannot be read or uses what not all programs agree on."""
    try:
        return Tokenizer(text).items if not check_formula(text) else None
    except (TokenizerError, IndexError):
        return None
