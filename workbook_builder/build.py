"""The story of a build: read, check, plan, place, lay out, finish."""

from __future__ import annotations

import datetime as dt
import gc
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from workbook_builder.check import Problem, ProblemsFound, check_inputs, errors_in, spread_passes
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs, Row
from workbook_builder.core.own import GUIDE_SHEETS, own_columns, own_sheets
from workbook_builder.core.place import Placement
from workbook_builder.core.resting import Resting
from workbook_builder.core.room import Room, folded
from workbook_builder.core.tabs import Tab, shown
from workbook_builder.features import BY_KEY, TABLES, TYPED_TABLES
from workbook_builder.features.loads.measuring import measuring_steps
from workbook_builder.features.reference.data import adding_steps, contact_groups
from workbook_builder.features.tabs import FORMER_SHEETS, TAB_OF, TABS
from workbook_builder.planning import Plan, make_plan, workings
from workbook_builder.read import read_source
from workbook_builder.steps import part, tell
from workbook_builder.theme import DEFAULT_THEME, Theme

#: Pinned into the file's properties so that the same inputs give the same bytes.
MOMENT = dt.datetime(2026, 1, 1)


@dataclass(frozen=True)
class Built:
    """A finished workbook.

    Attributes
    ----------
    data : bytes
        The file.
    plan : Plan
    placement : Placement
    problems : tuple of Problem
        Warnings; errors raise instead.
    read : Inputs or None
        The inputs as they stood in the source, before names were brought into one spelling.
    """

    data: bytes
    plan: Plan
    placement: Placement
    problems: tuple[Problem, ...]
    read: Inputs | None = None


def read_inputs(source: Path) -> tuple[Inputs, list[Problem]]:
    """Read a source as it stands; problems come back, they are not raised."""
    return read_source(source, TYPED_TABLES, (*GUIDE_SHEETS, *FORMER_SHEETS), TABLES, TABS)


def read_and_check(source: Path) -> tuple[Inputs, list[Problem]]:
    """Read a source and check it; problems come back, they are not raised."""
    return checked(*read_inputs(source))


def checked(inputs: Inputs, problems: list[Problem]) -> tuple[Inputs, list[Problem]]:
    """Check inputs that were read, with every name in one spelling afterwards."""
    if not inputs.tables and errors_in(problems):
        # Nothing could be opened, so there is nothing to check.
        return inputs, problems
    inputs, spread = spread_passes(inputs, BY_KEY)
    inputs, found = check_inputs(with_defaults(inputs), TYPED_TABLES)
    return inputs, [*problems, *spread, *found]


def with_defaults(inputs: Inputs) -> Inputs:
    """Return the inputs with the shipped mixing order rules, measuring steps and contact groups,
    and the first pass on the sheets that show one, where none were given.
    """
    shipped: dict[str, Callable[[], list[Row]]] = {
        "adding_steps": adding_steps, "contact_groups": contact_groups,
        "measuring_steps": lambda: measuring_steps(inputs.system),
    }
    added: dict[str, list[Row]] = {key: rows() for key, rows in shipped.items() if not inputs.rows(key)}
    known = {folded(row.get("field")) for _, row in inputs.filled("fields")}
    passes = [row for _, row in inputs.filled("passes")
              if row.get("pass") and folded(row.get("field")) in known]
    spots = [row for row in passes if folded(row.get("method")) == "spot"]
    for key, among in (("load_choice", passes), ("spot_load_choice", spots), ("record_choice", passes)):
        chosen = inputs.form(key)
        if among and chosen.get("pass") is None and chosen.get("field") is None:
            added[key] = [{**chosen, "pass": among[0]["pass"], "field": among[0]["field"]}]
    return Inputs({**inputs.tables, **added}, inputs.extras, inputs.origin) if added else inputs


def build_source(source: Path, theme: Theme = DEFAULT_THEME, asked: Collection[str] = ()) -> Built:
    """Build a workbook from a source.

    Raises
    ------
    ProblemsFound
        When the inputs have errors; nothing is built.
    """
    tell("Reading", 0)
    read, problems = read_inputs(source)
    tell("Checking", 0.06)
    inputs, problems = checked(read, problems)
    if errors_in(problems):
        raise ProblemsFound(problems)
    with part(0.1, 1):
        return replace(build_inputs(inputs, problems, theme=theme, asked=asked), read=read)


def plan_source(source: Path | str) -> Plan:
    """Plan a source without building its workbook.

    Parameters
    ----------
    source : Path or str
        Input workbook, folder of CSV files, or a workbook built earlier.

    Returns
    -------
    Plan
        Every table; ``frames()`` gives the results as pandas frames.

    Raises
    ------
    ProblemsFound
        When the inputs have errors.
    """
    inputs, problems = read_and_check(Path(source))
    if errors_in(problems):
        raise ProblemsFound(problems)
    return make_plan(inputs)


def build_inputs(
    inputs: Inputs, problems: Sequence[Problem] = (), room: Room | None = None, theme: Theme = DEFAULT_THEME,
    asked: Collection[str] = (),
    whole: bool = False,
) -> Built:
    """Build a workbook from checked inputs.

    Parameters
    ----------
    inputs : Inputs
    problems : sequence of Problem
        Warnings to hand on.
    room : Room, optional
        Room of an earlier workbook, to lay this one out alike; decided anew when left out.
    theme : Theme
        Name, colours and logo.
    asked : collection of str
        Titles of tabs that show though nothing is typed for them.
    whole : bool
        Whether it holds every calculated column, also one that people do not see and no formula reads.
    """
    from workbook_builder.finish import finish
    from workbook_builder.finish.sheet_data import TakenCells
    from workbook_builder.layout import lay_out
    from workbook_builder.marks import mark

    with _without_collecting():
        tell("Planning", 0)
        plan = make_plan(with_defaults(inputs), room, asked)
        placement = place(plan, whole)
        cells = TakenCells()
        with part(0.1, 0.75):
            book = lay_out(plan, placement, cells.take, theme)
        mark(book, plan.room, result_sheets(book.sheetnames, inputs,
                                            {TAB_OF[table.key] for table in TYPED_TABLES}))
        tell("Writing the sheets", 0.75)
        return Built(finish(book, {}, MOMENT, cells), plan, placement, tuple(problems))


def place(plan: Plan, whole: bool = False) -> Placement:
    """Return where everything of a plan stands that its workbook holds.

    `whole` for every column, also one that nobody reads.
    """
    return Placement(tables_with(plan.room.resting, plan.system, whole), plan.room, TABS,
                     own_columns(plan.inputs.extras))


@cache
def tables_with(resting: frozenset[str], system: str, whole: bool = False) -> tuple[Table, ...]:
    """Return the tables of a workbook in which some typed tables rest, as it declares them."""
    tabs = list(shown(TABS, resting))
    read = (place for tab in tabs for place in shown_on(tab) if ".".join(place) not in resting)
    drawn = {key for tab in tabs for block in tab.blocks if block.chart
             for key in (block.table, *block.charted.split()) if key in BY_KEY}
    typed = {table.key for table in TYPED_TABLES if table.key not in resting}
    return tuple(Resting(workings(), resting, system).tables(read, BY_KEY if whole else drawn | typed))


def shown_on(tab: Tab) -> Iterator[tuple[str, str]]:
    """Yield table and column of everything that people read on a tab."""
    yield from (place for place in tab.cells if place[0] in BY_KEY)
    for block in (block for block in tab.blocks if block.table in BY_KEY):
        yield from ((block.table, key) for key in block.keys(BY_KEY[block.table]))


def result_sheets(titles: Sequence[str], inputs: Inputs, typed: Collection[str]) -> list[str]:
    """Return those sheets of a workbook that nobody types into:
    neither those that hold typed tables nor the user's own.
    """
    return [title for title in titles if title not in typed and title not in own_sheets(inputs.extras)]


@contextmanager
def _without_collecting() -> Iterator[None]:
    """Let no search for unused objects run: a build makes hundreds of thousands and drops hardly one,
    and the searches took a sixth of its time.
    """
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()
