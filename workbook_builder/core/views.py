"""Plan tables as plain rows for JSON: own names, plain numbers in the farm's units, ISO dates, blank as null.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from workbook_builder.core.columns import Table
from workbook_builder.core.draft import Cells, moment
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.quantities import quantity
from workbook_builder.core.room import Room

PlainRow = dict[str, Any]


class Planned(Protocol):
    """What a view reads of a plan."""

    @property
    def tables(self) -> Mapping[str, list[Cells]]:
        """Rows by the key of their table."""

    @property
    def declared(self) -> Mapping[str, Table]:
        """Declared tables by key."""

    @property
    def room(self) -> Room:
        """Room of every table."""

    @property
    def inputs(self) -> Inputs:
        """What was typed."""


@dataclass(frozen=True)
class View:
    """One list of the JSON.

    Parameters
    ----------
    name, about : str
        Key in the JSON, and a sentence on what it holds.
    rows : callable
        Takes its rows out of a plan.
    """

    name: str
    about: str
    rows: Callable[[Any], list[PlainRow]]

    def __call__(self, plan: Planned) -> list[PlainRow]:
        """Return the rows of a plan."""
        return self.rows(plan)


def table_view(name: str, about: str, keys: str, needs: str, table: str = "") -> View:
    """Declare a view of some columns of one table.

    Parameters
    ----------
    name, about : str
        As of a view.
    keys : str
        Columns to take, ``shown=column`` where the JSON calls one otherwise.
    needs : str
        Column that must be filled for a row to count.
    table : str
        Key of the table, where it is not the view's name.
    """
    return View(name, about, lambda plan: plain_rows(plan, table or name, keys.split(), needs))


def plain(value: object, form: str) -> object:
    """Return a plan value as JSON holds it: ISO dates, blank as None."""
    if value == "" or value is None:
        return None
    if form == "date" and isinstance(value, (int, float)):
        return moment(value).date().isoformat()
    if form == "moment" and isinstance(value, (int, float)):
        return moment(value).isoformat(timespec="minutes")
    return value


def plain_rows(plan: Planned, table: str, keys: Sequence[str], needs: str) -> list[PlainRow]:
    """Return the rows of one plan table that are not blank.

    Parameters
    ----------
    plan : Planned
    table : str
    keys : sequence of str
        Columns to take, ``shown=column`` where the JSON calls one otherwise.
    needs : str
        Column that must be filled for a row to count.
    """
    names = {shown: key or shown for shown, _, key in (each.partition("=") for each in keys)}
    columns = plan.declared[table].by_key
    forms = {key: quantity(columns[key].quantity).form for key in names.values()}
    return [{name: plain(row[key], forms[key]) for name, key in names.items()} for row in plan.tables[table]
            if row[needs] != ""]
