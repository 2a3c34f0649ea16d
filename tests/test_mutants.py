"""A sample of broken formulas and functions: the comparison must notice each; the long run is ``python -m
tests.mutants``.
"""

from __future__ import annotations

import pytest
from closings import EQUIVALENT, worked_examples
from engine_help import need_engine
from mutants import Bench, retyped_farms, usual_books
from mutations import all_mutants, one_in

#: About one in so many is tried, chosen by name.
EVERY_FORMULA, EVERY_FUNCTION = 77, 18
#: One column for each week of the year, all with the same formula: only the weeks in which the farms have
#: weeds can show a difference.
BY_WEEK = ("field_weeks", "weed_weeks")


@pytest.fixture(scope="module")
def bench() -> Bench:
    """The demo farms, the one made by hand and a few random ones."""
    need_engine("ironcalc")
    return Bench(usual_books(8), retyped_farms(40))


@pytest.mark.nightly
def test_broken_functions_are_noticed(bench: Bench) -> None:
    """A planning function with one operator turned round plans something that no engine shows."""
    mutants = one_in((each for each in all_mutants() if each.function), EVERY_FUNCTION)

    assert len(mutants) >= 15
    assert [str(each) for each in mutants if str(each) not in EQUIVALENT and not bench.caught(each)] == []


@pytest.mark.nightly
def test_broken_formulas_are_noticed(bench: Bench) -> None:
    """A formula column with one place changed shows something that Python does not plan."""
    mutants = one_in((each for each in all_mutants() if not each.function and each.table not in BY_WEEK),
                     EVERY_FORMULA)

    assert len(mutants) >= 20
    assert [str(each) for each in mutants if str(each) not in EQUIVALENT and not bench.caught(each)] == []
    assert bench.intact()


def test_what_is_called_equivalent_is_still_a_mutant() -> None:
    """A column that changes takes its excuse with it."""
    assert EQUIVALENT.keys() <= set(map(str, all_mutants()))


def test_every_worked_example_is_of_a_function_there_is() -> None:
    """A function that moves takes its worked example with it."""
    assert worked_examples().keys() <= {mutant.name for mutant in all_mutants()}
