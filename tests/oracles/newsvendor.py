"""Quantities and profits of published newsvendor problems, to which the critical ratio of the tool leads."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import NormalDist

from workbook_builder.core.adding import added

STANDARD = NormalDist()


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


def discrete_profit(quantity: float, demand: Sequence[float], chance: Sequence[float], short_cost: float,
                    left_cost: float) -> float:
    """Return the expected profit of a quantity: gain on what is used less loss on what is left [money]."""
    return added(p * (short_cost * min(quantity, d) - left_cost * max(0.0, quantity - d))
                 for d, p in zip(demand, chance, strict=True))


def normal_loss(z: float) -> float:
    """Return the standard normal loss: expected shortage in standard deviations at z."""
    return STANDARD.pdf(z) - z * (1 - STANDARD.cdf(z))


def normal_quantile(ratio: float) -> float:
    """Return z of a chance."""
    return STANDARD.inv_cdf(ratio)
