"""Whole sequences of edits: whatever is typed, chosen, cleared or added,
the workbook shows what Python plans.
"""

from __future__ import annotations

import random
from functools import cache

import pytest
from engine_help import need_engine
from farms_strategy import EVERY_TAB, build_small
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule
from live_book import LiveBook, where
from random_farms import Maker, random_farm

from workbook_builder.build import Built
from workbook_builder.core.columns import Column, Table
from workbook_builder.features import TYPED_TABLES

SEEDS = (0, 5, 8, 13, 21, 35)
LARGEST, SPARE = 3, 3
#: Fixed when the workbook is built: formats and unit lists follow from them.
FIXED_AT_BUILD = {("farm", "units"), ("farm", "currency")}
CHANCES = st.randoms(use_true_random=False)


@cache
def built_farm(seed: int) -> Built:
    """Return a random farm's workbook, built once."""
    inputs = random_farm(seed, LARGEST)
    assert inputs is not None
    return build_small(inputs, SPARE, EVERY_TAB)


class LiveEdits(RuleBasedStateMachine):
    """One workbook open in the engine, edited step by step beside the inputs in Python."""

    @initialize(seed=st.sampled_from(SEEDS))
    def open_a_farm(self, seed: int) -> None:
        """Open the workbook of one random farm."""
        self.maker = Maker(random.Random(seed), LARGEST)
        self.book = LiveBook(built_farm(seed))

    def _columns(self, table: Table) -> list[Column]:
        return [column for column in table.columns if column.typed
                and (table.key, column.key) not in FIXED_AT_BUILD]

    def _put(self, table: Table, index: int, columns: list[Column], chance: random.Random | None) -> None:
        """Type values of the right kind into cells of a row; without a chance, clear them."""
        self.maker.chance = chance or self.maker.chance
        for column in columns:
            value = self.maker._value(table, column, index) if chance else None
            if value is None and table.is_form and column.default is not None:
                continue
            self.book.change(table.key, index, column.key, value)
        assert [where(self.book.built, each) for each in self.book.differences()[:5]] == []

    def _filled(self, table: Table) -> int:
        return 1 if table.is_form else len(self.book.inputs.rows(table.key))

    @rule(chance=CHANCES)
    def change_a_cell(self, chance: random.Random) -> None:
        """Type another value, or choose one from the list, in a filled row."""
        table = chance.choice([table for table in TYPED_TABLES if self._filled(table)])
        self._put(table, chance.randrange(self._filled(table)), [chance.choice(self._columns(table))], chance)

    @rule(chance=CHANCES)
    def clear_a_cell(self, chance: random.Random) -> None:
        """Clear one cell of a filled row."""
        table = chance.choice([table for table in TYPED_TABLES if self._filled(table)])
        self._put(table, chance.randrange(self._filled(table)), [chance.choice(self._columns(table))], None)

    @rule(chance=CHANCES)
    def type_a_spare_row(self, chance: random.Random) -> None:
        """Type a whole row below the filled ones, where there is room."""
        room = self.book.built.plan.room.rows
        free = [table for table in TYPED_TABLES if not table.is_form and self._filled(table)
                < room[table.key]]
        if free:
            table = chance.choice(free)
            self._put(table, self._filled(table), self._columns(table), chance)

    @rule(chance=CHANCES)
    def clear_a_row(self, chance: random.Random) -> None:
        """Delete the contents of a whole row."""
        rows = [table for table in TYPED_TABLES if not table.is_form and self._filled(table)]
        if rows:
            table = chance.choice(rows)
            self._put(table, chance.randrange(self._filled(table)), self._columns(table), None)


@pytest.mark.parametrize("sequences", [1, pytest.param(30, marks=pytest.mark.nightly)])
def test_sequences_of_edits_agree(sequences: int) -> None:
    """After every step of random sequences of edits each formula cell shows what Python plans."""
    need_engine("ironcalc")
    from hypothesis.stateful import run_state_machine_as_test

    run_state_machine_as_test(
        LiveEdits,
        settings=settings(max_examples=sequences, stateful_step_count=12, deadline=None, derandomize=True,
                          suppress_health_check=list(HealthCheck)),
    )
