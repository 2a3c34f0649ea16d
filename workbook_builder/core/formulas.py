"""Formula text: declared patterns with ``{tokens}`` turned into cell references.

Tokens
------
``{key}``
    The cell of another column in the same row.
``{table.key}``
    The cell of a form; or, in a table that stands beside or above this one, the cell of
    the row this row belongs to.
``{table.key:all}``
    The whole column, as an absolute range.
``{table.key:block}``
    The slots under the row this row belongs to.
``{key:above}``
    The cell one row up (the header, for the first row: let SUM ignore it).
``{key:upto}``, ``{table.key:upto}``
    The column from its first row to this one, or to the row of the table above that this row belongs to.
``{table.key@row}``, ``{table.key:block@slot}``
    The cell of the column in the row whose number another column holds: short for
    ``INDEX({table.key:all},{row})``, or for the same among the slots of this row.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from typing import Any, NamedTuple

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.formula_tree import TOKEN
from workbook_builder.core.place import Placement, Spot, quoted

#: A range whose second end repeats the sheet of the first, which not every program reads.
_SPAN = re.compile(r"((?:'(?:[^']|'')+'|[A-Za-z_]\w*)!)(\$?[A-Z]+\{\d+\}):\1")


class RowOf(NamedTuple):
    """A row number of a formula: in the row at `i`, counted from 0, it is ``first + i // mine * per``."""

    first: int
    mine: int = 1  # Rows that share one row, or one block of rows
    per: int = 1  # Rows of a block


class Pattern(NamedTuple):
    """A formula ready to be written down a column."""

    text: str
    rows: tuple[RowOf, ...]

    def at(self, index: int) -> str:
        """Return the formula of the row at `index`, counted from 0."""
        if not self.rows:
            return self.text
        return self.text.format(*[first + index // mine * per for first, mine, per in self.rows])


class FormulaColumn(NamedTuple):
    """A formula that goes down a column, or several in turn, with what each cell shows."""

    first: int  # The row of its first cell
    number: int  # The column, counted from 1
    patterns: Sequence[Pattern]
    values: Sequence[object]
    style: Any

    def formulas(self, spelled: Callable[[str], str]) -> Iterator[str]:
        """Yield the formula of each row without its equals sign.

        `spelled` is asked once a pattern, since rows differ by numbers alone.
        """
        patterns = [Pattern(spelled(pattern.text[1:]), pattern.rows) for pattern in self.patterns]
        for index in range(len(self.values)):
            yield patterns[index % len(patterns)].at(index)


class UnknownToken(KeyError):
    """A formula names a table or column that is not declared, or one it cannot reach."""


def compile_formula(text: str, table: Table, placement: Placement, key: str) -> Pattern:
    """Turn a declared formula into a pattern for one placement.

    Parameters
    ----------
    text : str
        Declared formula, without the leading equals sign.
    table : Table
        The table the formula stands in.
    placement : Placement
    key : str
        Column of the table that the formula stands in.

    Raises
    ------
    UnknownToken
        When a token does not resolve.
    """
    rows: list[RowOf] = []
    home = placement.spots[table.key].sheet_of(key)
    pieces = _pieces(text)
    said = [*pieces]
    for at in range(1, len(pieces), 4):
        first, second, how = pieces[at : at + 3]
        target, column = (first, second) if second else (table.key, first)
        if target not in placement.tables or column not in placement.tables[target].by_key:
            raise UnknownToken(f"{target}.{column} in {table.key}")
        said[at : at + 3] = _reference(table, home, target, column, how or "", placement, rows), "", ""
    body = "".join(said)
    return Pattern("=" + (_SPAN.sub(r"\1\2:", body) if "}:{" in text else body), tuple(rows))


@cache
def _pieces(text: str) -> list[str]:
    """Return a declared formula cut at its tokens: what stands between them, and of each its table,
    its column and the way to its cells.
    """
    return TOKEN.split(text)


def column_patterns(column: Column, table: Table, placement: Placement) -> list[Pattern]:
    """Return the formula of a column as a pattern, or one pattern a slot.

    The row at `index` has that at its remainder.
    """
    return [compile_formula(text, table, placement, column.key) for text in column.formulas]


def _reference(table: Table, home: str, target: str, key: str, how: str, placement: Placement,
               rows: list[RowOf]) -> str:
    spot = placement.spots[target]
    sheet = _sheet(spot, key, home)
    if spot.table.is_form:
        return key if spot.table.named else sheet + spot.fixed(key)
    if how == "all":
        return sheet + spot.fixed(key)
    letter = spot.letters[key]
    if how == "above":
        return sheet + letter + _row(rows, RowOf(spot.first_row - 1))
    if how == "block":
        first, last = _block(table, target, placement, spot)
        return f"{sheet}${letter}" + _row(rows, first) + f":${letter}" + _row(rows, last)
    # Rows of the table for each row of the target, 0 where each says which row it belongs to.
    grain, base = placement.grain(table.key), placement.grain(target)[0][0]
    per = next((per for name, per in grain if name == base), None)
    if per is None:
        raise UnknownToken(f"{target} cannot be reached from {table.key} row by row")
    if how == "upto":
        if per == 0:
            raise UnknownToken(f"{target} does not stand above {table.key} by even blocks of rows")
        return f"{sheet}${letter}${spot.first_row}:${letter}" + _row(rows, RowOf(spot.first_row, per))
    if per != 1:
        # The row number, in the target, that a slot belongs to.
        if placement.grain(placement.tables[grain[0][0]].parent)[0][0] != base:
            raise UnknownToken(f"{target} is more than one step above {table.key}")
        slots = placement.spots[grain[0][0]]
        return (f"INDEX({sheet}{spot.fixed(key)},{_sheet(slots, 'parent_no', home)}"
                f"${slots.letters['parent_no']}{_row(rows, RowOf(slots.first_row))})")
    return sheet + "$" + letter + _row(rows, RowOf(spot.first_row))


def _sheet(spot: Spot, key: str, home: str) -> str:
    """Return the sheet of a column as a formula on the sheet `home` writes it: not at all on its own."""
    return "" if spot.sheet_of(key) == home else quoted(spot.sheet_of(key)) + "!"


def _row(rows: list[RowOf], row: RowOf) -> str:
    if row not in rows:
        rows.append(row)
    return "{" + str(rows.index(row)) + "}"


def _block(table: Table, target: str, placement: Placement, spot: Spot) -> tuple[RowOf, RowOf]:
    """First and last row of the slots of `target` that share a row with `table`."""
    own = dict(placement.grain(table.key))
    for name, per in placement.grain(target)[1:]:
        if name in own and per:
            return (RowOf(spot.first_row, own[name], per),
                    RowOf(spot.first_row + per - 1, own[name], per))
    raise UnknownToken(f"{target} has no slots under {table.key}")
