"""Random farms built for themselves: every formula cell of each, in the file and recalculated."""

from __future__ import annotations

from pathlib import Path

import pytest
from engine_help import need_engine
from farms_strategy import build_small, faults_of_a_farm
from fast_farms import FRESH, FRESH_LONG, farm
from live_book import where

from workbook_builder.engines import compare_cells
from workbook_builder.verify import declared_tolerance, plan_cells

SAMPLE = (3, 11, 42)


@pytest.mark.parametrize("seed",
                         [*FRESH, *(pytest.param(seed, marks=pytest.mark.nightly) for seed in FRESH_LONG)])
def test_built_farms_agree(seed: int) -> None:
    """A farm built for itself carries in its file what Python plans, and IronCalc recalculates the same."""
    need_engine("ironcalc")
    inputs = farm(seed)

    assert inputs is None or faults_of_a_farm(inputs)[:5] == []


@pytest.mark.nightly
@pytest.mark.parametrize("engine_name", ["libreoffice", "gnumeric"])
@pytest.mark.parametrize("seed", SAMPLE)
def test_sampled_farms_agree_in_other_engines(seed: int, engine_name: str, tmp_path: Path) -> None:
    """The two other engines reproduce every formula cell of a fixed sample."""
    engine = need_engine(engine_name)
    inputs = farm(seed)
    assert inputs is not None
    built = build_small(inputs)
    path = tmp_path / "book.xlsx"
    path.write_bytes(built.data)

    differences = compare_cells(plan_cells(built.plan, built.placement), engine.recalculate(path),
                                declared_tolerance(built.placement))

    assert [where(built, each) for each in differences[:5]] == []
