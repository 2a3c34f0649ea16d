"""Random farms: every formula cell of each, in the file and recalculated."""

from __future__ import annotations

from pathlib import Path

import pytest
from engine_help import need_engine
from farms_strategy import build_small, farms, faults_of_a_farm
from hypothesis import HealthCheck, given, settings
from live_book import where
from random_farms import random_farm

from workbook_builder.check import check_inputs, errors_in
from workbook_builder.engines import compare_cells
from workbook_builder.inputs import Inputs
from workbook_builder.tables import TYPED_TABLES
from workbook_builder.verify import declared_tolerance, plan_cells

CHUNKS, FARMS_A_CHUNK = 20, 15
SAMPLE = (3, 11, 42)
CHECKED = settings(max_examples=FARMS_A_CHUNK, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_random_farms_agree(chunk: int) -> None:
    """IronCalc reproduces every formula cell of random farms, and the file carries the same values."""
    need_engine("ironcalc")

    @CHECKED
    @given(farms(chunk))
    def check(inputs: Inputs) -> None:
        assert faults_of_a_farm(inputs)[:5] == []

    check()


@pytest.mark.parametrize("engine_name", ["libreoffice", "gnumeric"])
@pytest.mark.parametrize("seed", SAMPLE)
def test_sampled_farms_agree_in_other_engines(seed: int, engine_name: str, tmp_path: Path) -> None:
    """The two other engines reproduce every formula cell of a fixed sample."""
    engine = need_engine(engine_name)
    inputs = random_farm(seed)
    assert inputs is not None
    built = build_small(inputs)
    path = tmp_path / "book.xlsx"
    path.write_bytes(built.data)

    differences = compare_cells(plan_cells(built.plan, built.placement), engine.recalculate(path), declared_tolerance(built.placement))

    assert [where(built, each) for each in differences[:5]] == []


def test_random_farms_are_valid_and_varied() -> None:
    """Nearly every random farm passes checking, in both unit systems and with every table filled in some."""
    found = [farm for farm in map(random_farm, range(60)) if farm is not None]

    assert len(found) >= 50
    assert {farm.system for farm in found} == {"us", "metric"}
    assert all(not errors_in(check_inputs(farm, TYPED_TABLES)[1]) for farm in found)
    assert [table.key for table in TYPED_TABLES if not any(any(farm.filled(table.key)) for farm in found)] == []
    filled = {(table.key, key) for farm in found for table in TYPED_TABLES for row in farm.rows(table.key) for key in row if row[key] is not None}
    assert [(t.key, c.key) for t in TYPED_TABLES for c in t.columns if (t.key, c.key) not in filled] == []
