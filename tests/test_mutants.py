"""A sample of broken formulas and functions: the comparison must notice each; the long run is ``python -m tests.mutants``."""

from __future__ import annotations

import pytest
from engine_help import need_engine
from mutants import Bench
from mutations import formula_mutants, function_mutants, one_in

#: About one in so many is tried, chosen by name.
EVERY_FORMULA, EVERY_FUNCTION = 77, 24
#: One column for each week of the year, all with the same formula: only the weeks in which the farms have weeds can show a difference.
BY_WEEK = ("field_weeks", "weed_weeks")


#: What no farm here shows, and why that is no hole.
ELSEWHERE = {
    "effective.top_share": "a worked example in test_effective_modes.py catches it",
    "two_tank_rows.empty_at": "a worked example in test_spot_checks.py catches it",
    "daylight.is_summer": "test_spot_checks.py sets the clocks of every zone against the time zone database",
    "effective_rows.effective_modes": "a key of eleven digits that only orders: its last digits are below the tolerance, and sort the same",
    "limit_rows._season": "only the last two product slots of a pass show it, and they stay free until somebody types more products into a mix",
    "daylight.summer_start": "the second Sunday is a week after the first, times or divided by one",
    "weed_cover.first": "the value counts only where a product has residual days",
}


@pytest.fixture(scope="module")
def bench() -> Bench:
    """The demo farms and a few random ones."""
    need_engine("ironcalc")
    return Bench(8)


def test_broken_functions_are_noticed(bench: Bench) -> None:
    """A planning function with one operator turned round plans something that no engine shows."""
    mutants = one_in(function_mutants(), EVERY_FUNCTION)

    assert len(mutants) >= 15
    assert [str(each) for each in mutants if each.name not in ELSEWHERE and not bench.caught_function(each)] == []


def test_broken_formulas_are_noticed(bench: Bench) -> None:
    """A formula column with one place changed shows something that Python does not plan."""
    mutants = one_in((each for each in formula_mutants() if each.table not in BY_WEEK), EVERY_FORMULA)

    assert len(mutants) >= 20
    assert [str(each) for each in mutants if each.name not in ELSEWHERE and not bench.caught_formula(each)] == []
    assert bench.intact()
