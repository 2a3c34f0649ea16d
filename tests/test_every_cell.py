"""Every formula cell of the shipped farms, recalculated by three engines."""

from __future__ import annotations

from pathlib import Path

import pytest
from engine_help import need_engine

from workbook_builder.build import Built
from workbook_builder.engines import ENGINE_NAMES, compare_cells, read_formulas, read_raw_values
from workbook_builder.verify import declared_tolerance, plan_cells

#: The programs take more than a minute for the large farm, so that is left to the long run.
READ = [pytest.param(which, name, marks=pytest.mark.nightly if which == "demo" else ())
        for which in ("demo", "metric") for name in ENGINE_NAMES]


@pytest.mark.parametrize(("which", "name"), READ)
def test_every_formula_cell_agrees(which: str, name: str, tmp_path: Path,
                                   request: pytest.FixtureRequest) -> None:
    """A forced recalculation gives the Python value in every formula cell."""
    engine, farm = need_engine(name), request.getfixturevalue(which)
    path = tmp_path / "book.xlsx"
    path.write_bytes(farm.data)

    differences = compare_cells(plan_cells(farm.plan, farm.placement), engine.recalculate(path),
                                declared_tolerance(farm.placement))

    assert differences == []


def test_every_formula_cell_is_planned_and_cached(farm: Built) -> None:
    """The planned cells are exactly the formula cells, and each carries its value in the file."""
    expected = plan_cells(farm.plan, farm.placement)
    formulas = read_formulas(farm.data)

    assert {s: set(c) for s, c in formulas.items() if c} == {s: set(c) for s, c in expected.items() if c}
    assert compare_cells(expected, read_raw_values(farm.data)) == []


def test_no_cell_holds_an_error(farm: Built) -> None:
    """No cell of a built workbook holds an error value."""
    errors = ("#N/A", "#VALUE!", "#REF!", "#DIV/0!", "#NUM!", "#NAME?", "#NULL!")

    found = [(s, r) for s, cells in read_raw_values(farm.data).items() for r, v in cells.items()
             if str(v) in errors]

    assert found == []
