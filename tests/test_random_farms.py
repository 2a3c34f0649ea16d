"""Random farms typed into open workbooks: every formula cell of each, recalculated."""

from __future__ import annotations

import pytest
from engine_help import need_engine
from fast_farms import RETYPED, OpenBooks, farm
from live_book import where

from workbook_builder.check import check_inputs, errors_in
from workbook_builder.features import TYPED_TABLES


@pytest.mark.parametrize("seeds", RETYPED, ids=str)
def test_retyped_farms_agree(seeds: range) -> None:
    """IronCalc reproduces every formula cell of random farms typed one after the other into open workbooks.
    """
    need_engine("ironcalc")

    faults = {seed: [where(book.built, each) for each in found[:5]] for seed, book in OpenBooks().each(seeds)
              if (found := book.differences())}

    assert faults == {}


def test_random_farms_are_valid_and_varied() -> None:
    """Nearly every random farm passes checking, in both unit systems and with every table filled in some."""
    tried = [farm(seed) for seed in RETYPED[0]]
    found = [inputs for inputs in tried if inputs is not None]

    assert len(found) >= 0.9 * len(tried)
    assert {inputs.system for inputs in found} == {"us", "metric"}
    assert all(not errors_in(check_inputs(inputs, TYPED_TABLES)[1]) for inputs in found[:60])
    assert [table.key for table in TYPED_TABLES
            if not any(any(inputs.filled(table.key)) for inputs in found)] == []
    filled = {(table.key, key) for inputs in found for table in TYPED_TABLES for row in inputs.rows(table.key)
              for key in row if row[key] is not None}
    assert [(t.key, c.key) for t in TYPED_TABLES for c in t.columns if (t.key, c.key) not in filled] == []
