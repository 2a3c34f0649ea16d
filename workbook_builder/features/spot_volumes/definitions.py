"""How much to prepare when nobody knows the demand: short costs against leftover costs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import NormalDist

from workbook_builder.core.adding import added
from workbook_builder.features.shares.beta import share_chance

STANDARD = NormalDist()


def critical_ratio(short_cost: float, left_cost: float) -> float:
    """Return the chance of having enough that costs least: Cu / (Cu + Co).

    Parameters
    ----------
    short_cost, left_cost : float
        Loss per unit short and per unit left [money/unit].
    """
    return short_cost / (short_cost + left_cost)


def uniform_quantity(ratio: float, low: float, high: float) -> float:
    """Return the best quantity for demand spread evenly from low to high [unit]."""
    return low + ratio * (high - low)


def discrete_quantity(ratio: float, demand: Sequence[float], chance: Sequence[float]) -> float:
    """Return the smallest demand whose chance of not being exceeded reaches the ratio [unit]."""
    total = 0.0
    for amount, each in sorted(zip(demand, chance, strict=True)):
        total += each
        if total >= ratio - 1e-12:
            return amount
    return max(demand)


def discrete_profit(quantity: float, demand: Sequence[float], chance: Sequence[float], short_cost: float, left_cost: float) -> float:
    """Return the expected profit of a quantity: gain on what is used less loss on what is left [money]."""
    return added(p * (short_cost * min(quantity, d) - left_cost * max(0.0, quantity - d)) for d, p in zip(demand, chance, strict=True))


def normal_loss(z: float) -> float:
    """Return the standard normal loss: expected shortage in standard deviations at z."""
    return STANDARD.pdf(z) - z * (1 - STANDARD.cdf(z))


def normal_quantile(ratio: float) -> float:
    """Return z of a chance."""
    return STANDARD.inv_cdf(ratio)


def chance_short(share: float, a: float, b: float) -> float:
    """Return the chance that more than `share` of the ground is sprayed."""
    return 1.0 - share_chance(share, a, b)


def mean_below(share: float, a: float, b: float) -> float:
    """Return the part of the mean share that falls where at most `share` is sprayed.

    Notes
    -----
    The integral of x f(x) up to a point is the mean times the distribution of Beta(a + 1, b).
    """
    return a / (a + b) * share_chance(share, a + 1, b)


def expected_leftover(volume: float, full: float, a: float, b: float) -> float:
    """Return the mixture expected to be left over [volume].

    Parameters
    ----------
    volume : float
        Mixture prepared [volume].
    full : float
        Mixture used when all the ground is sprayed [volume].
    a, b : float
        Beta shape of the share of the field sprayed.
    """
    share = min(1.0, volume / full)
    return max(0.0, volume * (1.0 - chance_short(share, a, b)) - full * mean_below(share, a, b))


def spread(a: float, b: float) -> float:
    """Return the standard deviation of a beta-distributed share."""
    return math.sqrt(a * b / (a + b + 1)) / (a + b)


#: More refill trips than this are not counted.
MOST_TRIPS = 4.0


def extra_trips(chance: float, most: float = MOST_TRIPS) -> float:
    """Return the refill trips expected when a volume runs short with a given chance.

    Parameters
    ----------
    chance : float
        Chance of running short.
    most : float
        Highest count; 1 for a full tank that is meant to be followed up.

    Notes
    -----
    Who mixes with chance p of running short does so again for the rest: p + p2 + ... = p/(1-p).
    The calibration study shows that counting the repeats makes better advice.
    """
    return most if chance >= most / (1 + most) else chance / (1 - chance)
