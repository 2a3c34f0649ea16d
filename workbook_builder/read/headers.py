"""Finding the header row of a table and telling which column is which."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.quantities import METRIC
from workbook_builder.read.grid import is_blank

#: A header row stands within this many rows of the top of its table.
HEADER_DEPTH = 15
LONGEST_REMEMBERED = 200

_BRACKET = re.compile(r"^(?P<name>.*\S)\s*[(\[](?P<unit>[^()\[\]]*)[)\]]$")


@dataclass
class HeaderMap:
    """Which cell of a header row belongs to which column."""

    # dict of str to int: Column key -> index in the row
    indexes: dict[str, int] = field(default_factory=dict)
    seen: dict[str, str] = field(default_factory=dict)  # dict of str to str: Column key -> header as written
    # dict of int to str: Index -> header that belongs to no declared column
    extras: dict[int, str] = field(default_factory=dict)
    # Column key and header of columns that came a second time
    doubles: list[tuple[str, str]] = field(default_factory=list)
    width: int = 0  # Number of cells up to the last header


def plain(text: Any) -> str:
    """Return a header or table name stripped of case, spacing, underscores and the required mark."""
    words = str(text)
    return _remembered(words) if len(words) <= LONGEST_REMEMBERED else _plain(words)


def _plain(text: str) -> str:
    words = text.replace("_", " ").strip().rstrip("*: ").strip()
    return " ".join(words.split()).rstrip(".?").casefold()


#: The same few hundred headers and keys are asked for over and over.
_remembered = lru_cache(4096)(_plain)


def split_unit(text: Any) -> tuple[str, str]:
    """Split ``Area (ac) *`` into its name and its unit; the unit is blank when there is none."""
    words = str(text).strip().rstrip("*: ").strip()
    match = _BRACKET.match(words)
    return (match["name"], match["unit"].strip()) if match else (words, "")


def column_named(text: Any, table: Table) -> Column | None:
    """Return the column a header names, by key, by printed title or by an earlier title, or None."""
    if not isinstance(text, str) or is_blank(text):
        return None
    # Name -> column of a table; keys go before titles, and these before earlier titles.
    if id(table) not in _NAMES:
        every = [*((column.key, column) for column in table.columns),
                 *((title, column) for column in table.columns
                   for title in (column.header, column.header_in(METRIC))),
                 *((title, column) for column in table.columns for title in column.was)]
        _NAMES[id(table)] = table, {plain(name): column for name, column in reversed(every)}
    names = _NAMES[id(table)][1]
    return names.get(plain(text)) or names.get(plain(split_unit(text)[0]))


#: What the columns of a table are called: hundreds of cells are asked of each.  The table is held, so that
#: its place in memory stays its own.
_NAMES: dict[int, tuple[Table, dict[str, Column]]] = {}


def map_headers(cells: list[Any], table: Table) -> HeaderMap:
    """Return which cell of a header row belongs to which column of `table`."""
    found = HeaderMap()
    for index, cell in enumerate(cells):
        if is_blank(cell):
            continue
        found.width = index + 1
        text = " ".join(str(cell).split())
        column = column_named(cell, table)
        if column is None:
            found.extras[index] = text
        elif column.key in found.indexes:
            found.doubles.append((column.key, text))
        elif column.typed:
            found.indexes[column.key] = index
            found.seen[column.key] = text
    return found


def header_score(cells: list[Any], table: Table) -> int:
    """Return how many different typed columns of `table` a row names."""
    columns = (column_named(cell, table) for cell in cells)
    return len({column.key for column in columns if column is not None and column.typed})


def find_header(rows: list[list[Any]], table: Table) -> int | None:
    """Return the index of the header row, or None.

    The row among the first `HEADER_DEPTH` that names most columns; it must name two of
    them, or every column that is required.
    """
    scores = [header_score(row, table) for row in rows[:HEADER_DEPTH]]
    best = max(scores, default=0)
    required = sum(1 for column in table.columns if column.typed and column.required)
    if best >= 2 or (best == 1 and required <= 1):
        return scores.index(best)
    return None
