"""Random farms: every formula cell of each, in the file and recalculated."""

from __future__ import annotations

from pathlib import Path

import pytest
from engine_help import need_engine
from farms_strategy import build_small, faults_of_a_farm
from fast_farms import FRESH, FRESH_LONG, RETYPED, OpenBooks, farm
from live_book import where

from workbook_builder.check import check_inputs, errors_in
from workbook_builder.engines import compare_cells
from workbook_builder.tables import TYPED_TABLES
from workbook_builder.verify import declared_tolerance, plan_cells

SAMPLE = (3, 11, 42)


@pytest.mark.parametrize("seeds", [pytest.param(seeds, marks=pytest.mark.xdist_group(str(seeds)), id=str(seeds)) for seeds in RETYPED])
def test_retyped_farms_agree(seeds: range) -> None:
    """IronCalc reproduces every formula cell of random farms typed one after the other into open workbooks."""
    need_engine("ironcalc")

    faults = {seed: [where(book.built, each) for each in found[:5]] for seed, book in OpenBooks().each(seeds) if (found := book.differences())}

    assert faults == {}


@pytest.mark.parametrize("seed", [*FRESH, *(pytest.param(seed, marks=pytest.mark.nightly) for seed in FRESH_LONG)])
def test_built_farms_agree(seed: int) -> None:
    """A farm built for itself carries in its file what Python plans, and IronCalc recalculates the same."""
    need_engine("ironcalc")
    inputs = farm(seed)

    assert inputs is None or faults_of_a_farm(inputs)[:5] == []


@pytest.mark.parametrize("engine_name", ["libreoffice", "gnumeric"])
@pytest.mark.parametrize("seed", [SAMPLE[0], *(pytest.param(seed, marks=pytest.mark.nightly) for seed in SAMPLE[1:])])
def test_sampled_farms_agree_in_other_engines(seed: int, engine_name: str, tmp_path: Path) -> None:
    """The two other engines reproduce every formula cell of a fixed sample."""
    engine = need_engine(engine_name)
    inputs = farm(seed)
    assert inputs is not None
    built = build_small(inputs)
    path = tmp_path / "book.xlsx"
    path.write_bytes(built.data)

    differences = compare_cells(plan_cells(built.plan, built.placement), engine.recalculate(path), declared_tolerance(built.placement))

    assert [where(built, each) for each in differences[:5]] == []


@pytest.mark.xdist_group(str(RETYPED[0]))
def test_random_farms_are_valid_and_varied() -> None:
    """Nearly every random farm passes checking, in both unit systems and with every table filled in some."""
    tried = [farm(seed) for seed in RETYPED[0]]
    found = [inputs for inputs in tried if inputs is not None]

    assert len(found) >= 0.9 * len(tried)
    assert {inputs.system for inputs in found} == {"us", "metric"}
    assert all(not errors_in(check_inputs(inputs, TYPED_TABLES)[1]) for inputs in found[:60])
    assert [table.key for table in TYPED_TABLES if not any(any(inputs.filled(table.key)) for inputs in found)] == []
    filled = {(table.key, key) for inputs in found for table in TYPED_TABLES for row in inputs.rows(table.key) for key in row if row[key] is not None}
    assert [(t.key, c.key) for t in TYPED_TABLES for c in t.columns if (t.key, c.key) not in filled] == []
