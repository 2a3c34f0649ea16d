"""Farms built once and shared by the tests."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from workbook_builder.build import Built, build_inputs, read_and_check
from workbook_builder.check import errors_in

sys.path.insert(0, str(Path(__file__).parent))
DATA = Path(__file__).parents[1] / "workbook_builder" / "data"


def built_from(folder: str) -> Built:
    """Build one of the shipped farms."""
    inputs, problems = read_and_check(DATA / folder)
    assert not errors_in(problems)
    return build_inputs(inputs, problems)


@pytest.fixture(scope="session")
def demo() -> Built:
    """The invented demo farm in US units."""
    return built_from("demo")


@pytest.fixture(scope="session")
def metric() -> Built:
    """The invented demo farm in metric units."""
    return built_from("demo_metric")


@pytest.fixture(params=["demo", "metric"])
def farm(request: pytest.FixtureRequest) -> Built:
    """Both farms, one after the other."""
    return request.getfixturevalue(request.param)
