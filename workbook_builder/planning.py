"""The plan: every table of the features, worked out from the inputs."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from workbook_builder.core.columns import Table
from workbook_builder.core.draft import Cells, Draft, Finished, Shipped, as_cells
from workbook_builder.core.evaluate import Workings
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.room import Room, room_for
from workbook_builder.features import BY_KEY, TABLES
from workbook_builder.features.calendar.columns import FIELD_EVENTS, PASS_EVENTS
from workbook_builder.features.checks import CHECK_KINDS
from workbook_builder.features.shipped import shipped_rows
from workbook_builder.features.tabs import TABS, tab_of
from workbook_builder.features.to_fix.columns import FARM_RULES, farm_rules_made, ways_to_be_open

if TYPE_CHECKING:
    import pandas as pd

@dataclass(frozen=True)
class Plan:
    """Every table of the workbook as Python works it out.

    Attributes
    ----------
    tables : mapping of str to list of Cells
        Table key -> rows, spare rows and slots included; a form has one row.
    room : Room
    inputs : Inputs
    """

    tables: Mapping[str, list[Cells]]
    room: Room
    inputs: Inputs

    @property
    def declared(self) -> Mapping[str, Table]:
        """Return the declared tables by key."""
        return BY_KEY

    @property
    def system(self) -> str:
        """Return the unit system."""
        return self.inputs.system

    def column(self, table: str, key: str) -> list[Any]:
        """Return the cells of one column of a table."""
        return (self.tables.column(table, key) if isinstance(self.tables, Finished)
                else [row[key] for row in self.tables[table]])

    def frame(self, key: str) -> pd.DataFrame:
        """Return one table as a typed pandas frame (see :func:`workbook_builder.frames.frame`)."""
        from workbook_builder.frames import frame

        return frame(self, key)

    def frames(self) -> dict[str, pd.DataFrame]:
        """Return every result table as a typed pandas frame, by its key."""
        from workbook_builder.frames import frames

        return frames(self)


class Again:
    """Some tables of a finished plan worked out anew for other cells of a form.

    Parameters
    ----------
    plan : Plan
    form : str
        Key of the form in which something else is chosen.
    tables : tuple of str
        Keys of the tables wanted, of which no others lean on the form.
    """

    def __init__(self, plan: Plan, form: str, tables: tuple[str, ...]) -> None:
        self._form, self._tables = form, tables
        self._draft = Draft(plan.inputs, plan.room, BY_KEY, {}, workings())
        self._draft.done.update(plan.tables)

    def __call__(self, **chosen: object) -> list[list[Cells]]:
        """Return the rows of the tables wanted for what is chosen."""
        self._draft.forget(self._form, *self._tables)
        self._draft.done[self._form] = [Cells(chosen)]
        return [self._draft.finished(table) for table in self._tables]


@cache
def workings() -> Workings:
    """Return the formulas of all tables, read once."""
    return Workings(BY_KEY)


def make_plan(inputs: Inputs, room: Room | None = None, asked: Collection[str] = ()) -> Plan:
    """Plan a farm: every table is worked out when somebody first asks for it.

    Parameters
    ----------
    inputs : Inputs
        Checked inputs.
    room : Room, optional
        Room of an existing workbook; worked out from the inputs when left out.
    asked : collection of str
        Titles of tabs that show though nothing is typed for them.
    """
    given = given_tables(inputs)
    if room is None:
        counts = {key: len(rows) for key, rows in given.items() if BY_KEY[key].rows == "given"}
        room = room_for(inputs, TABLES, counts, len(CHECK_KINDS), len(FARM_RULES), resting(inputs, asked))
    given["room"] = [Cells({column.key: room.slots[column.key] for column in BY_KEY["room"].columns})]
    if room.rows.get("crops"):
        given["crops"] = given["crops"][: room.rows["crops"]]
        given["crops"] += [Cells()] * (room.rows["crops"] - len(given["crops"]))
    return Plan(Draft(inputs, room, BY_KEY, given, workings()).tables(), room, inputs)


def resting(inputs: Inputs, asked: Collection[str] = ()) -> frozenset[str]:
    """Return the keys of the typed tables on tabs, and of the tables and columns (``table.column``) in parts
    of tabs, that nobody uses or asked for.
    """
    wanted = {title.casefold() for title in asked}
    found: set[str] = set()
    # A part that comes with what another tab comes with is asked for with that tab.
    with_tabs = [tab.used.split() for tab in TABS if tab.used and tab.title.casefold() in wanted]
    for tab in (tab for tab in TABS if tab.title.casefold() not in wanted):
        typed = [block for block in tab.blocks if block.table in BY_KEY and BY_KEY[block.table].is_typed]
        ways: list[tuple[list[str], set[str]]] = ([(tab.used.split(), {block.table for block in typed})]
                                                  if tab.used is not None else [])
        for part in tab.parts:
            if tab.uses(part) not in with_tabs:
                ways.append((tab.uses(part),
                             {key for block in typed if block.part == part for key in block.rests_as}))
        for used, tables in ways:
            if not any(_holds(inputs, use) for use in (*used, *tables)):
                found |= tables
    return frozenset(found)


def _holds(inputs: Inputs, use: str) -> bool:
    """Return whether something is typed into a table, or into one of its columns a certain word, or anything.
    """
    key, _, wanted = use.partition(".")
    column, _, word = wanted.partition("=")
    # Of a feature that was taken away nothing can be used.
    if key not in BY_KEY:
        return False
    if column:
        return any(row.get(column) == word if word else row.get(column) is not None
                   for _, row in inputs.filled(key))
    if inputs.extras.get(key):
        return True
    if BY_KEY[key].is_form:
        row = inputs.form(key)
        return any(row.get(each.key) not in (None, each.default_in(inputs.system))
                   for each in BY_KEY[key].columns)
    return any(True for _ in inputs.filled(key))


def given_tables(inputs: Inputs) -> dict[str, list[Cells]]:
    """Return the rows of every reference table for these inputs."""
    return {**_given_tables(inputs.system), "crops": as_cells({"crop": name} for name in crops_named(inputs))}


@cache
def _given_tables(system: str) -> dict[str, list[Cells]]:
    """Return the rows that are the same for every farm of a unit system."""
    given = {key: rows for key, rows in shipped_rows(system).items() if not BY_KEY[key].is_typed}
    given["check_list"] = [{"check_no": n, "check": kind.name, "where": tab_of(kind.table)}
                           for n, kind in enumerate(CHECK_KINDS, 1)]
    given["farm_checks"] = farm_rules_made(tab_of)
    given["causes"] = ways_to_be_open(given["check_list"], given["farm_checks"])
    given["calendar_kinds"] = [{"name": kind.name, "to_do": kind.to_do}
                               for kind in (*PASS_EVENTS, *FIELD_EVENTS)]
    return {key: Shipped(as_cells(rows)) for key, rows in given.items()}


def crops_named(inputs: Inputs) -> list[str]:
    """Return every crop named in the inputs once, in alphabetical order."""
    places = (
        ("fields", "crop"), ("fields", "next_crop"), ("passes", "crop"), ("label_limits", "crop"),
        ("ingredient_limits", "crop"), ("plant_back", "next_crop"),
        ("clean_out_labels", "next_crop"),
    )
    names: dict[str, str] = {}
    for table, key in places:
        for _, row in inputs.filled(table):
            if row.get(key):
                names.setdefault(str(row[key]).casefold(), str(row[key]))
    return [names[key] for key in sorted(names)] or ["fallow"]


