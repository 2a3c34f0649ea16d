"""Rounding and reading aloud, as a spreadsheet does them."""

from __future__ import annotations

import random

import pytest

from workbook_builder.core.rounding import (
    by_decimals,
    gained,
    leftover,
    number_text,
    rounded,
    shown,
    whole_above,
    whole_below,
)
from workbook_builder.features.loads.definitions import split_into_loads


@pytest.mark.parametrize(
    ("value", "digits", "expected"),
    # Measured in LibreOffice and Gnumeric: half away from zero on the decimal value.
    [(2.675, 2, 2.68), (1.005, 2, 1.01), (-2.5, 0, -3.0), (0.5, 0, 1.0), (1e16, 2, 1e16)],
)
def test_rounding_is_half_away_from_zero(value: float, digits: int, expected: float) -> None:
    """Rounding gives what spreadsheets give, not what Python's round gives."""
    assert rounded(value, digits) == expected


def test_the_quick_way_of_rounding_is_the_decimal_one() -> None:
    """Numbers far from a tie, at one and a few bits beside one,
    of all sizes and signs are rounded to the bit as decimal arithmetic does it.
    """
    chance = random.Random(5)
    for _ in range(20_000):
        digits = chance.choice((0, 1, 2, 3, 4, 6, 7))
        tie = (2 * chance.randrange(-(10**6), 10**6) + 1) / 2 / 10**digits
        beside = tie * (1 + chance.choice((-1, 1)) * 2.0 ** -chance.randrange(8, 53))
        for value in (tie, beside, chance.uniform(-1, 1) * 10.0 ** chance.randrange(-12, 15), -0.0):
            assert repr(rounded(value, digits)) == repr(by_decimals(value, digits)), (value, digits)


def test_steps_forgive_the_last_bit() -> None:
    """A count that is whole but for binary noise stays whole in both directions."""
    assert (whole_above(4.000000000000001), whole_below(3.999999999999999)) == (4, 4)
    assert whole_below(0.57 * 100) == 57


def test_ties_fall_the_same_way_whatever_the_last_digits() -> None:
    """A tie that came out a little low or high rounds up; what is left of two large sums is nothing."""
    assert [shown(value, 2) for value in (33.325, 33.325 - 1e-13, 33.325 + 1e-13)] == [33.33] * 3
    assert [leftover(value) for value in (0.00085, 0.00085 - 1e-10,
                                          661531.007 - 661531.0061635065)] == [0.0009, 0.0009, 0.0008]
    assert [gained(value) for value in (1.92375, 1.92375 - 1e-12,
                                        -2.384185791015625e-07)] == [1.9238, 1.9238, 0]


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_rounding_refuses_what_is_no_number(value: float) -> None:
    """NaN and infinity are refused instead of spreading through the plan."""
    with pytest.raises(ValueError):
        rounded(value)


@pytest.mark.parametrize(("value", "text"), [(3.0, "3"), (0.1, "0.1"), (12.5, "12.5")])
def test_numbers_read_as_a_sheet_joins_them(value: float, text: str) -> None:
    """A number joined into text has no trailing zeros."""
    assert number_text(value) == text


def test_loads_fit_exactly() -> None:
    """Full loads that fit exactly leave no last load."""
    loads = split_into_loads(3000.0, 1000.0)

    assert (loads.full, loads.last, loads.count, loads.even) == (3, 0, 3, 1000.0)


def test_unusable_volume_is_mixed_once() -> None:
    """What the pump cannot draw is mixed with the first load and stays for the later ones: 500,
    480 and 240 gal for 1,200 gal (worked by hand).
    """
    loads = split_into_loads(1200.0, 500.0, 20.0)

    assert (loads.full, loads.count) == (2, 3)
    assert (loads.first, loads.later, loads.last, loads.even, loads.mixed) == (500, 480, 240, 400, 1220)


def test_a_run_goes_on_without_paying_again() -> None:
    """Where the same mix is in the tank before, the first load is like the later ones.

    A part load that opens a run pays.
    """
    goes_on = split_into_loads(1200.0, 500.0, 20.0, opens=False)
    short, small = split_into_loads(100.0, 500.0, 20.0), split_into_loads(100.0, 500.0, 20.0, opens=False)

    assert (goes_on.first, goes_on.later, goes_on.last, goes_on.mixed) == (480, 480, 240, 1200)
    assert (short.first, short.last, short.mixed) == (120, 120, 120)
    assert (small.first, small.last, small.mixed) == (100, 100, 100)


def test_nothing_to_spray_mixes_nothing() -> None:
    """A pass without volume fills no tank."""
    loads = split_into_loads(0.0, 500.0, 20.0)

    assert (loads.count, loads.first, loads.last, loads.even, loads.mixed) == (0, 0, 0, 0, 0)


def test_published_equal_split() -> None:
    """80 acres at 15 gal/ac from a 500-gal tank: equal loads of 400 gal (computed from definitions,
    no published example).
    """
    loads = split_into_loads(80 * 15.0, 500.0)

    assert (loads.full, loads.last, loads.even) == (2, 200.0, 400.0)


def test_a_tank_smaller_than_its_dead_volume_is_refused() -> None:
    """A tank that holds no more than its unusable volume cannot spray."""
    with pytest.raises(ValueError, match="unusable"):
        split_into_loads(100.0, 20.0, 20.0)
