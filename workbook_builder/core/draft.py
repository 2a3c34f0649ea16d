"""The plan while it is being made: typed rows padded to their room, and finished tables."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from typing import Any

from workbook_builder.core import values
from workbook_builder.core.columns import Table
from workbook_builder.core.evaluate import Evaluation, Workings
from workbook_builder.core.inputs import Inputs, Row
from workbook_builder.core.room import Room
from workbook_builder.core.rows import Rows

BLANK: Row = {}
EPOCH = dt.date(1899, 12, 30)


class Cells(dict[str, Any]):
    """A plan row: a key that was not set reads as blank text, as in a sheet."""

    def __missing__(self, key: str) -> str:
        return ""


class RowView:
    """A row of a table that is worked out column after column, as somebody asks for them.

    Parameters
    ----------
    draft : Draft
    table : str
        Key of the table.
    row : int
        Counted from 0.
    """

    __slots__ = ("_draft", "_row", "_table")

    def __init__(self, draft: Draft, table: str, row: int) -> None:
        self._draft, self._table, self._row = draft, table, row

    def __getitem__(self, key: str) -> Any:
        value = self._draft.evaluation[self._table, key][self._row]
        return "" if value is None else value


def serial(value: object) -> object:
    """Return dates as day numbers, times as day fractions, and ``None`` as blank text."""
    if value is None:
        return ""
    if isinstance(value, dt.datetime):
        return serial(value.date()) + serial(value.time())  # type: ignore[operator]
    if isinstance(value, dt.date):
        return (value - EPOCH).days
    if isinstance(value, dt.time):
        return (value.hour * 3600 + value.minute * 60 + value.second) / 86400
    return value


def as_cells(rows: Iterable[Row]) -> list[Cells]:
    """Return rows with their values as a sheet holds them."""
    return [Cells({key: serial(value) for key, value in row.items()}) for row in rows]


class Shipped(list[Cells]):
    """Rows that are the same for every farm, with their columns as they are first asked for:
    what is found in one is found once.

    Parameters
    ----------
    rows : iterable of Cells
        Nobody changes them.
    """

    def __init__(self, rows: Iterable[Cells] = ()) -> None:
        super().__init__(rows)
        self.columns: dict[str, values.Cells] = {}

    def __reduce__(self) -> tuple[Any, ...]:
        # Another process gets the rows alone.
        return list, (list(self),)


def column_of(rows: list[Cells], key: str) -> list[Any]:
    """Return a column that no formula gives, blank cells as ``None``."""
    if not isinstance(rows, Shipped):
        return [None if row[key] == "" else row[key] for row in rows]
    if key not in rows.columns:
        rows.columns[key] = values.Cells([None if row[key] == "" else row[key] for row in rows])
    return rows.columns[key]


def moment(value: float) -> dt.datetime:
    """Return the date and time of a day number, to the second."""
    return dt.datetime.combine(EPOCH, dt.time()) + dt.timedelta(seconds=round(value * 86400))


class Draft:
    """Inputs, room and the tables planned so far.

    Parameters
    ----------
    inputs : Inputs
    room : Room
    tables : mapping of str to Table
        All declared tables.
    given : mapping of str to list of Cells
        Rows of the reference tables.
    workings : Workings
        Their formulas, read.
    """

    def __init__(
        self, inputs: Inputs, room: Room, tables: Mapping[str, Table], given: Mapping[str, list[Cells]],
        workings: Workings
    ) -> None:
        self.workings = workings
        self.inputs = inputs
        self.room = room
        self.declared = tables
        self.done: dict[str, list[Cells]] = {}
        self.given: dict[str, list[Cells]] = {}
        self._views: dict[str, list[Cells]] = {}
        self._columns: dict[str, dict[str, list[Any]]] = {}
        self._whole: dict[str, list[Cells]] = {}
        for table in tables.values():
            if table.is_typed:
                typed = as_cells(inputs.rows(table.key))
                if table.is_form:
                    typed = typed[:1] or [Cells()]
                    for column in table.columns:
                        if typed[0][column.key] == "" and column.default is not None:
                            typed[0][column.key] = column.default_in(inputs.system)
                else:
                    typed += [Cells() for _ in range(room.rows[table.key] - len(typed))]
                self.done[table.key] = typed
        for key, rows in given.items():
            self.given[key] = rows
            if key not in tables or not any(column.formula for column in tables[key].columns):
                self.done[key] = self.given[key]

    def __getitem__(self, key: str) -> list[Cells]:
        if key not in self.done and key not in self._views:
            rows = range(self.evaluation.rows(key))
            self._views[key] = [RowView(self, key, row) for row in rows]  # type: ignore[misc]
        return self.done[key] if key in self.done else self._views[key]

    def finished(self, key: str) -> list[Cells]:
        """Return the rows of a table with all their columns."""
        if key not in self.done:
            columns = self.columns(key)
            self.done[key] = [Cells(zip(columns, row, strict=True))
                              for row in zip(*columns.values(), strict=True)]
        return self.done[key]

    def columns(self, key: str) -> dict[str, list[Any]]:
        """Return all columns of a table that formulas give."""
        if key not in self._columns:
            found = ((column, self.evaluation[key, column]) for column in self.declared[key].by_key)
            self._columns[key] = {column: ["" if value is None else value for value in cells]
                                  for column, cells in found}
        return self._columns[key]

    def forget(self, *tables: str) -> None:
        """Work tables out anew when somebody asks next; those that lean on them are kept as they are."""
        self.evaluation.forget(*tables)
        for table in tables:
            self.done.pop(table, None)
            self._columns.pop(table, None)

    @cached_property
    def evaluation(self) -> Evaluation:
        """The columns worked out from their formulas."""
        rows = Rows(self.declared.values(), self.room)
        slots = {(key, base): count for key in self.declared for base, count in rows.grain(key)}
        return Evaluation(self.workings, self._column, rows.row_count, slots)

    def _column(self, place: tuple[str, str]) -> list[Any] | None:
        """Return a column of a finished table, or what a fixed column holds.

        Nothing where a formula gives it.
        """
        key, column = place
        if key not in self.done and place in self.workings.by_formula:
            return None
        table = self.declared[key]
        formula = table.by_key[column].formula
        if key in self.done:
            return (column_of(self.done[key], column) if not formula
                    else [row[column] for row in self.done[key]])
        if formula and table.whole:
            if key not in self._whole:
                self._whole[key] = table.whole(self)
            return [row.get(column, "") for row in self._whole[key]]
        if key in self.given and column in self.given[key][0]:
            return column_of(self.given[key], column)
        count, given = self.evaluation.rows(key), table.by_key[column].given
        if given:
            return [given[row % len(given)] for row in range(count)]
        slots = self.room.slots[table.slot_kind] if table.slot_kind else count
        numbers = {"row_no": lambda row: row + 1, "slot": lambda row: row % slots + 1,
                   "parent_no": lambda row: row // slots + 1}
        return [numbers[column](row) for row in range(count)]

    def tables(self) -> Mapping[str, list[Cells]]:
        """Return every table by key, each worked out when somebody first asks for it."""
        return Finished(self)

    def form(self, key: str) -> Cells:
        """Return the single row of a form."""
        return self[key][0]

    def slots(self, kind: str) -> int:
        """Return the number of slots of a kind."""
        return self.room.slots[kind]


class Finished(Mapping[str, list[Cells]]):
    """Tables of a draft with all their columns, worked out as they are asked for.

    Parameters
    ----------
    draft : Draft
    """

    def __init__(self, draft: Draft) -> None:
        self._draft = draft

    def __getitem__(self, key: str) -> list[Cells]:
        return self._draft.finished(key)

    def column(self, key: str, column: str) -> list[Any]:
        """Return the cells of one column.

        Asked of a table again and again, this spares the making of its rows.
        """
        done = self._draft.done.get(key)
        return self._draft.columns(key)[column] if done is None else [row[column] for row in done]

    def __iter__(self) -> Iterator[str]:
        return iter(self._draft.declared)

    def __len__(self) -> int:
        return len(self._draft.declared)

    def __reduce__(self) -> tuple[Any, ...]:
        # Another process gets the numbers, not the functions that made them.
        return dict, (dict(self),)


def at(rows: list[Cells], row: object, key: str) -> Any:
    """Return a cell by row number counted from 1; blank for a blank row number."""
    return "" if row == "" else rows[int(row) - 1][key]  # type: ignore[call-overload]


def number(value: object) -> float:
    """Return a number, or 0 for blank and text, as N() does."""
    return value if isinstance(value, (int, float)) else 0
