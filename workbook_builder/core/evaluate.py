"""The plan worked out: every declared column, in the order in which they lean on each other.

A column whose formula only fetches, copies, matches, counts or words is worked out from that
formula.  A column that is arithmetic of the trade names a Python function of its own, which
takes the cells it needs and knows nothing of the formula: the two are written apart and the
tests compare them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from types import CodeType, FunctionType
from typing import Any

from workbook_builder.core import values
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.formula_source import FormulaSource
from workbook_builder.core.formula_tree import place_of, tree
from workbook_builder.core.functions import FUNCTIONS, each, places
from workbook_builder.core.values import CellError, Cells, One, number, plain

Place = tuple[str, str]
RowFunction = Callable[[int], Any]
#: Stands in a column for the cells not worked out yet.
_PENDING = object()


def belonging(column: Sequence[Any], parents: Cells, row: int) -> Cells:
    """Return the cells of a column whose lines belong to a row, counted from 1."""
    return Cells(column[line] for line in places(parents, row))


def unless_error(wanted: Callable[[], Any], instead: Callable[[], Any]) -> Any:
    """Return a value, or another where working it out gives an error."""
    try:
        return wanted()
    except CellError:
        return instead()


def chosen(which: Any, options: Sequence[Callable[[], Any]]) -> Any:
    """Return one of several values, counted from 1; only that one is worked out."""
    return options[int(number(plain(which))) - 1]()


def told(value: Any) -> Any:
    """Return what a twin said as a cell shows it."""
    return "" if value is None else value


def fetched(column: Sequence[Any], row: Any) -> Any:
    """Return the cell of a column in the row whose number is given, blank for a blank number."""
    return "" if row in values.BLANKS else told(column[int(row) - 1])


def taken(value: Any) -> Any:
    """Return a cell, or the cells of a column, as a twin takes them: a blank one as a blank text."""
    if isinstance(value, list):
        return ["" if each is None else each for each in value]
    found = value.value if type(value) is One else value
    return "" if found is None else found


WORDS: Mapping[str, Any] = {
    **FUNCTIONS, "BLANKS": values.BLANKS, "One": One, "Cells": Cells, "number": number, "text": values.text,
    "truth": values.truth, "divided": values.divided,
    "equal": values.equal, "unequal": values.unequal, "below": values.below, "above": values.above,
    "at_most": values.at_most, "at_least": values.at_least,
    "is_number": values.is_number, "unless_error": unless_error, "chosen": chosen, "each": each,
    "belonging": belonging, "upto": values.upto, "told": told, "fetched": fetched, "taken": taken,
}


class Unfinished(Cells):
    """A column whose cells are worked out when somebody asks: columns that lean on one another row by row."""

    __slots__ = ("_of",)

    def __init__(self, of: RowFunction, rows: int) -> None:
        super().__init__([_PENDING] * rows)
        self._of = of

    def __getitem__(self, place: Any) -> Any:
        if isinstance(place, slice):
            return Cells(self[row] for row in range(*place.indices(len(self))))
        value = list.__getitem__(self, place)
        if value is _PENDING:
            value = self[place] = self._of(place)
        return value

    def __iter__(self) -> Iterator[Any]:
        return (self[row] for row in range(len(self)))


def chain(tables: Mapping[str, Table], key: str) -> list[str]:
    """Return the tables that give a table its rows, nearest first."""
    table = tables[key]
    if table.rows.startswith("as:"):
        return chain(tables, table.parent)
    return [key, *(chain(tables, table.parent) if table.rows.startswith(("under:", "of:")) else ())]


class _Tokens:
    """Where the tokens of a table's formulas lead, as Python source, and which columns they read."""

    def __init__(self, table: Table, tables: Mapping[str, Table], chains: Mapping[str, list[str]],
                 named: Mapping[str, str]) -> None:
        self._table, self._tables, self._chains, self._named = table, tables, chains, named
        self._chain = chains[table.key]
        self.reads: set[Place] = set()

    def cell(self, token: str) -> str:
        """Return the source of a token."""
        target, key, way = place_of(token, self._table.key)
        self.reads.add((target, key))
        column = f"{target}__{key}"
        if self._tables[target].is_form:
            return f"{column}[0]"
        if way == "all":
            return column
        if way == "above":
            return f"({column}[i - 1] if i else '')"
        bases = self._chains[target]
        if way == "block":
            base = next(name for name in bases[1:] if name in self._chain)
            if self._tables[bases[0]].rows.startswith("of:"):
                return (f"belonging({column}, {self.cell(f'{bases[0]}.parent_no:all')}, "
                        f"{self._row_in(base)} + 1)")
            start = f"i // {self._rows(self._chain[0], base)} * {self._rows(bases[0], base)}"
            return f"{column}[{start} : {start} + {self._rows(bases[0], base)}]"
        if bases[0] not in self._chain:
            raise LookupError(f"{token} cannot be reached from {self._table.key} row by row")
        row = self._row_in(bases[0])
        return f"upto({column}, {row})" if way == "upto" else f"{column}[{row}]"

    def _row_in(self, base: str) -> str:
        """Return the source of the row of a table of the chain, counted from 0."""
        own = self._chain[0]
        if base == own:
            return "i"
        return (f"{self.cell(f'{own}.parent_no')} - 1" if self._tables[own].rows.startswith("of:")
                else f"i // {self._rows(own, base)}")

    @staticmethod
    def _rows(table: str, base: str) -> str:
        return f"rows__{table}__{base}" if table != base else "1"

    def span(self, first: str, last: str) -> str:
        """Return the source of the cells from one token to another of the same row."""
        target, start, _ = place_of(first, self._table.key)
        keys = [column.key for column in self._tables[target].columns]
        between = keys[keys.index(start) : keys.index(place_of(last, self._table.key)[1]) + 1]
        return f"Cells([{', '.join(self.cell(f'{target}.{key}') for key in between)}])"

    def call(self, column: Column, slot: int) -> str:
        """Return the source of a call of a column's twin, blank where a cell it needs is."""
        takes = column.takes[slot] if isinstance(column.takes, tuple) else column.takes
        blank = " or ".join(f"({self._taken(token)}) in BLANKS" for token in column.needs.split())
        called = (f"told(twin__{self._table.key}__{column.key}[{slot}]("
                  f"{', '.join(f'taken({self._taken(token)})' for token in takes.split())}))")
        return f"'' if {blank} else {called}" if blank else called

    def _taken(self, token: str) -> str:
        column, _, row = token.partition("@")
        return (f"fetched({self.cell(column if ':' in column else f'{column}:all')}, {self.cell(row)})" if row
                else self.cell(token))

    def name(self, word: str) -> str:
        """Return the source of a defined name."""
        return self.cell(f"{self._named[word]}.{word}")


class Workings:
    """The declared columns of all tables, read once: what each leans on, and Python code for each.

    Parameters
    ----------
    tables : mapping of str to Table

    Attributes
    ----------
    names : dict of (str, str) to str
        Table and column -> what the code calls the column.
    together : dict of (str, str) to list
        Table and column -> the columns that lean on one another with it, itself among them.
    leans : dict of (str, str) to tuple
        Table and column -> the other columns that these lean on, each with its name.
    alone : frozenset of (str, str)
        Table and column of those that lean on none that leans on them, nor on their own other rows.
    by_formula : frozenset of (str, str)
        Table and column of all that a formula or a twin gives, cell by cell.
    words : dict of str to object
        What the code calls by name, apart from columns.
    """

    def __init__(self, tables: Mapping[str, Table]) -> None:
        self.tables = tables
        self.named = {column.key: table.key for table in tables.values() if table.is_form and table.named
                      for column in table.columns}
        self._chains = {key: chain(tables, key) for key in tables}
        self.reads: dict[Place, set[Place]] = {}
        self._source: dict[str, str] = {}
        self._codes: dict[str, dict[str, tuple[CodeType, ...]]] = {}
        for table in tables.values():
            self._read(table)
        self.names = {place: "__".join(place) for place in self.reads}
        self.together = {place: found for found in components(self.reads) for place in found}
        self.leans: dict[Place, tuple[tuple[Place, str], ...]] = {}
        for together in self.together.values():
            if together[0] not in self.leans:
                others = {read for place in together for read in self.reads[place]}.difference(together)
                self.leans.update(dict.fromkeys(together,
                                                tuple((read, self.names[read]) for read in sorted(others))))
        self.alone = frozenset(place for place, together in self.together.items() if len(together) == 1
                               and place not in self.reads[place])
        every = [(table, column) for table in tables.values() for column in table.columns]
        self.by_formula = frozenset((table.key, column.key) for table, column in every if column.formula
                                    and column.key not in table.given_whole)
        twins = ((f"twin__{table.key}__{column.key}", column.twin) for table, column in every if column.twin)
        self.words = {**WORDS, **{name: twin if isinstance(twin, tuple) else (twin,) for name, twin in twins}}

    def _read(self, table: Table) -> None:
        lines = []
        for column in table.columns:
            tokens = _Tokens(table, self.tables, self._chains, self.named)
            if column.formula:
                # One source for all slots, or one a slot.
                if callable(column.twin):
                    sources = [tokens.call(column, 0)]
                else:
                    twins = column.twin or (None,) * len(column.formulas)
                    sources = [
                        tokens.call(column, slot) if twin
                        else FormulaSource(tree(text), tokens.cell, tokens.span, tokens.name).source()
                        for slot, (twin, text) in enumerate(zip(twins, column.formulas, strict=True))
                    ]
                lines.append(f"f__{column.key} = [{', '.join(f'lambda i: {source}' for source in sources)}]")
            self.reads[table.key, column.key] = tokens.reads
        self._source[table.key] = "\n".join(lines)

    def codes(self, table: str) -> dict[str, tuple[CodeType, ...]]:
        """Return the code of a table's columns, one a slot.

        Read when a column is first asked for: many a farm never asks.
        """
        if table not in self._codes:
            made: dict[str, list[FunctionType]] = {}
            exec(compile(self._source[table], f"<formulas of {table}>", "exec"), {}, made)
            self._codes[table] = {name.removeprefix("f__"): tuple(function.__code__ for function in found)
                                  for name, found in made.items()}
        return self._codes[table]


def components(reads: Mapping[Place, set[Place]]) -> Iterator[list[Place]]:
    """Yield the columns in an order in which each finds what it leans on,
    those together that lean on one another (Tarjan 1972).
    """
    number_of: dict[Place, int] = {}
    lowest: dict[Place, int] = {}
    waiting: list[Place] = []
    held: set[Place] = set()
    for root in reads:
        if root in number_of:
            continue
        walk = [(root, iter(sorted(reads[root])))]
        number_of[root] = lowest[root] = len(number_of)
        waiting.append(root)
        held.add(root)
        while walk:
            at, following = walk[-1]
            other = next(following, None)
            if other is None:
                walk.pop()
                if walk:
                    lowest[walk[-1][0]] = min(lowest[walk[-1][0]], lowest[at])
                if lowest[at] == number_of[at]:
                    cut = waiting.index(at)
                    yield waiting[cut:]
                    held.difference_update(waiting[cut:])
                    del waiting[cut:]
            elif other not in number_of:
                number_of[other] = lowest[other] = len(number_of)
                waiting.append(other)
                held.add(other)
                walk.append((other, iter(sorted(reads[other]))))
            elif other in held:
                lowest[at] = min(lowest[at], number_of[other])


class Evaluation:
    """One farm worked out, column after column, as somebody asks for them.

    Parameters
    ----------
    workings : Workings
    given : callable
        Returns the cells of a column that its formula does not give, blank ones as ``None``;
        nothing for the others.
    rows : callable
        Returns how many rows a table has.
    slots : mapping of (table, table) to int
        Rows of a table for each row of one above it.
    """

    def __init__(self, workings: Workings, given: Callable[[Place], Sequence[Any] | None],
                 rows: Callable[[str], int], slots: Mapping[Place, int]) -> None:
        self._workings, self._given, self.rows = workings, given, cache(rows)
        self._names = workings.names
        self._known: dict[str, Any] = {**workings.words,
                                       **{f"rows__{table}__{base}": count
                                          for (table, base), count in slots.items()}}

    def __getitem__(self, place: Place) -> Cells:
        """Return a column, worked out with all that it leans on."""
        name = self._names[place]
        if name not in self._known:
            self._find(place)
        found: Cells = self._known[name]
        return found

    def _find(self, place: Place) -> None:
        known, names, leans, given = self._known, self._names, self._workings.leans, self._given
        waiting, seen = [place], set()
        while waiting:
            at = waiting[-1]
            if names[at] not in known:
                if at not in seen:
                    cells = given(at)
                    if cells is not None:
                        self._keep(at, cells if type(cells) is Cells else Cells(cells))
                        waiting.pop()
                        continue
                    missing = [read for read, name in leans[at] if name not in known]
                    if missing:
                        seen.add(at)
                        waiting += missing
                        continue
                if at in self._workings.alone:
                    self._keep(at, self._whole(at))
                else:
                    self._row_by_row(self._workings.together[at])
            waiting.pop()

    def forget(self, *tables: str) -> None:
        """Forget the columns of tables."""
        for table in tables:
            for column in self._workings.tables[table].columns:
                self._known.pop(self._names[table, column.key], None)

    def _keep(self, place: Place, cells: Cells) -> None:
        cells.finished = True
        self._known[self._names[place]] = cells

    def _function(self, place: Place) -> RowFunction:
        table, key = place
        codes = self._workings.codes(table)[key]
        count = len(codes)
        if count == 1:
            return FunctionType(codes[0], self._known)
        functions = [FunctionType(code, self._known) for code in codes]
        return lambda row: functions[row % count](row)

    def _whole(self, place: Place) -> Cells:
        function = self._function(place)
        try:
            # A formula that only points to a blank cell shows nought.
            return Cells([0 if (value := function(row)) is None else value
                          for row in range(self.rows(place[0]))])
        except CellError as error:
            raise CellError(f"{place[0]}.{place[1]}: {error}") from error

    def _row_by_row(self, places: Sequence[Place]) -> None:
        """Work out columns that lean on one another: each cell when it is asked for, from the first row down.
        """
        columns = {place: Unfinished(self._function(place), self.rows(place[0])) for place in places}
        self._known.update((self._names[place], column) for place, column in columns.items())
        for row in range(max(map(len, columns.values()))):
            for column in columns.values():
                if row < len(column):
                    column[row]
        for place, column in columns.items():
            self._keep(place, Cells(column))
