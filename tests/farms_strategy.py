"""Farms built with few spare rows, and the checks made of each."""

from __future__ import annotations

from collections import Counter
from contextlib import contextmanager
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

from live_book import LiveBook, where
from small_farm import small_farm

from workbook_builder.build import Built, build_inputs, with_defaults
from workbook_builder.core import room
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.room import Room
from workbook_builder.engines import compare_cells, read_formulas, read_raw_values
from workbook_builder.features.tabs import TABS
from workbook_builder.planning import make_plan
from workbook_builder.theme import DEFAULT_THEME, Theme
from workbook_builder.verify import plan_cells

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator, Mapping

#: What is asked for to have room for whatever people may type.
EVERY_TAB = tuple(tab.title for tab in TABS)


@contextmanager
def spare_rows(number: int) -> Iterator[None]:
    """Give built workbooks another number of spare rows; the formulas stay the same."""
    before = room.FEWEST_SPARE
    room.FEWEST_SPARE = number
    try:
        yield
    finally:
        room.FEWEST_SPARE = before


def build_small(inputs: Inputs, spare: int = 2, asked: Collection[str] = (), theme: Theme = DEFAULT_THEME,
                slots: Mapping[str, int] | None = None) -> Built:
    """Build a farm with few spare rows, and where slots are given with so many at least.

    With every tab comes every calculated column, to be judged by itself.
    """
    with spare_rows(spare):
        room = roomier(make_plan(with_defaults(inputs), None, asked).room, slots) if slots else None
        return build_inputs(inputs, room=room, asked=asked, theme=theme, whole=asked == EVERY_TAB)


@cache
def small_built(system: str = "us") -> Built:
    """Return the smallest farm, built once a process with few spare rows; nobody changes it."""
    return build_small(small_farm(system))


def roomier(room: Room, slots: Mapping[str, int]) -> Room:
    """Return a room with so many slots of each kind at least."""
    return replace(room, slots={kind: max(count, slots.get(kind, 0)) for kind, count in room.slots.items()})


def slots_for(farms: Iterable[Inputs]) -> dict[str, int]:
    """Return how many slots of each kind hold every one of some farms."""
    found: Counter[str] = Counter()
    for inputs in farms:
        found |= Counter(make_plan(inputs).room.slots)
    return dict(found)


def faults_of_a_farm(inputs: Inputs) -> list[str]:
    """Build a farm and return every formula cell in which plan, file and engine do not agree."""
    built = build_small(inputs, 1)
    expected, formulas, stored = (plan_cells(built.plan, built.placement), read_formulas(built.data),
                                  read_raw_values(built.data))
    faults = [f"{sheet}: formula cells {sorted(set(cells) ^ set(expected.get(sheet, ())))}"
              for sheet, cells in formulas.items() if set(cells) != set(expected.get(sheet, ()))]
    faults += [f"cached {where(built, each)}" for each in compare_cells(expected, stored)]
    return faults + [where(built, each) for each in LiveBook(built).differences()]
