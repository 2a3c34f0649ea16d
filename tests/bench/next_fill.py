"""The next fill as a decision: the rule of the workbook against dynamic programming over a grid, played on simulated fields.

The yardstick believes what the workbook believes (a beta share with its patches of evidence) and looks ahead to the end of
the field: state is the ground left in tanks, the mean and the weight of the belief.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
from scipy.stats import beta

from workbook_builder.features.spot_volumes import definitions as volumes

from .calibration import CARRIER, CELL, Field, World, shape, spray

#: Grid of the yardstick: ground left [tanks if all is sprayed], mean share, patches of evidence, and fills [tanks].
GROUND = np.geomspace(0.02, 220, 34)
MEANS = 1 / (1 + np.exp(-np.linspace(np.log(0.004 / 0.996), np.log(0.97 / 0.03), 20)))
WEIGHTS = np.geomspace(4, 80, 7)
FILLS = np.linspace(0.05, 1, 20)
CHANCES = (np.arange(15) + 0.5) / 15
SWEEPS = 3
#: A typed confidence that the study leaves blank.
USUAL_CONFIDENCE = 0.8
#: Least fill, as a share of the tank.
LEAST_FILL = 0.05
Rule = Callable[[Field, World, int], float]


class Yardstick:
    """Least expected cost of every state of a world and a tank.

    Parameters
    ----------
    refill, left_cost : float
        Cost of a fill, and of a full tank left over [money].
    patches : float
        Patches of ground in a tank's worth.
    """

    def __init__(self, refill: float, left_cost: float, patches: float) -> None:
        self.refill, self.left_cost, self.patches = refill, left_cost, patches
        self.least = np.zeros((len(GROUND), len(MEANS), len(WEIGHTS)))
        shares = _shares(WEIGHTS[None, :] * MEANS[:, None], WEIGHTS[None, :] * (1 - MEANS[:, None]))
        for at, ground in enumerate(GROUND):
            self.least[at] = self.least[at - 1] if at else refill
            for _ in range(SWEEPS):
                self.least[at] = self.costs(ground, MEANS[:, None], WEIGHTS[None, :], shares).min(0)

    def costs(self, ground: float, mean: np.ndarray, weight: np.ndarray, shares: np.ndarray) -> np.ndarray:
        """Return the expected cost of each fill of the grid: this trip, and leftover or what follows when it runs dry [money]."""
        fill = FILLS.reshape((-1,) + (1,) * shares.ndim)
        rest = ground - fill / shares
        later = weight + self.patches * fill / shares
        follows = np.where(rest > 1e-9, self._at(np.maximum(rest, 1e-9), (weight * mean + self.patches * fill) / later, later), 0)
        cost: np.ndarray = self.refill + (self.left_cost * np.maximum(0, fill - ground * shares) + follows).mean(1)
        return cost

    def _at(self, ground: np.ndarray, mean: np.ndarray, weight: np.ndarray) -> np.ndarray:
        """Return the least cost between the points of the grid."""
        spots = [_between(np.log(GROUND), np.log(np.clip(ground, GROUND[0], GROUND[-1]))), _between(_logit(MEANS), _logit(np.clip(mean, MEANS[0], MEANS[-1]))),
                 _between(np.log(WEIGHTS), np.log(np.clip(weight, WEIGHTS[0], WEIGHTS[-1])))]
        found = np.zeros(np.broadcast_shapes(ground.shape, mean.shape, weight.shape))
        for corner in np.ndindex(2, 2, 2):
            part = [(part if up else 1 - part) for (_, part), up in zip(spots, corner, strict=True)]
            found = found + part[0] * part[1] * part[2] * self.least[tuple(low + up for (low, _), up in zip(spots, corner, strict=True))]
        return found


def _shares(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    quantiles = beta.ppf(CHANCES.reshape((-1,) + (1,) * np.ndim(a)), np.maximum(0.05, a), np.maximum(0.05, b))
    return np.clip(quantiles, 0.001, 0.999)


def _logit(share: np.ndarray) -> np.ndarray:
    return np.log(share / (1 - share))


def _between(grid: np.ndarray, value: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    low = np.clip(np.searchsorted(grid, value) - 1, 0, len(grid) - 2)
    return low, (value - grid[low]) / (grid[low + 1] - grid[low])


@cache
def _yardstick(tank: float, refill: float, left_cost: float, patch: float) -> Yardstick:
    return Yardstick(refill, left_cost * tank, tank / CARRIER / patch)


def by_programming(field: Field, world: World, at: int) -> float:
    """Return the fill that dynamic programming finds cheapest [gal]; tanks are taken in steps of a third."""
    tank = float(np.exp(round(np.log(field.tank) / 0.3) * 0.3))
    a, b = shape(field, world, at * CELL, float(field.shares[:at].sum()) * CELL)
    found = _yardstick(tank, world.refill, world.left_cost, world.patch).costs(
        (field.area - at * CELL) * CARRIER / field.tank, np.array(a / (a + b)), np.array(a + b), _shares(np.array(a), np.array(b)))
    return float(FILLS[int(found.argmin())] * field.tank)


def advised(field: Field, world: World, at: int) -> float:
    """Return the fill that the workbook advises where no confidence is typed [gal]: the cheapest of its choices."""
    a, b = shape(field, world, at * CELL, float(field.shares[:at].sum()) * CELL)
    full, tank = (field.area - at * CELL) * CARRIER, field.tank
    ratio = volumes.balance(world.refill, full, a, b, world.left_cost, USUAL_CONFIDENCE)
    slots = range(1, len(volumes.CHOICES) + 1)
    choices = [volumes.volume_of_choice(slot, full, tank, a, b, ratio, USUAL_CONFIDENCE, 0, LEAST_FILL, tank, 0) for slot in slots]

    def cost(volume: float) -> float:
        trips, left = volumes.extra_trips(volume, full, tank, a, b), volumes.expected_leftover(volume, full, a, b)
        return volumes.expected_cost(world.refill, trips, left, world.left_cost)

    return min(choices, key=cost)


def outcome(field: Field, world: World, rule: Rule) -> tuple[int, float]:
    """Return the fills and the leftover [gal] of spraying one field out by a rule."""
    at, fills, left, least = 0, 0, 0.0, 1.01 * CELL * CARRIER
    while at < len(field.shares):
        at, left = spray(field, at, min(max(field.tank, least), max(LEAST_FILL * field.tank, least, rule(field, world, at))))
        fills += 1
    return fills, left


def mean_cost(fields: list[Field], world: World, rule: Rule) -> float:
    """Return the mean cost of a field sprayed out by a rule [money]."""
    return float(np.mean([world.refill * fills + world.left_cost * left for fills, left in (outcome(field, world, rule) for field in fields)]))


def dearer(fields: list[Field], world: World) -> float:
    """Return how much dearer the advice comes than dynamic programming, as a part of its cost; below none where it is cheaper."""
    return mean_cost(fields, world, advised) / mean_cost(fields, world, by_programming) - 1
