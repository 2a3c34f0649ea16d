"""The next fill as a decision: the rule of the workbook against dynamic programming over a grid,
played on simulated fields.

The yardstick believes what the workbook believes (a beta share with its patches of evidence) and looks ahead
to the end of
the field: state is the ground left in tanks, the mean and the weight of the belief.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
from scipy.stats import beta

from workbook_builder.features.spot_volumes import definitions as volumes

from .calibration import CARRIER, CELL, Fields, Log, World, shape

#: Grid of the yardstick: ground left [tanks if all is sprayed], mean share, patches of evidence, and fills
#: [tanks].
GROUND = np.geomspace(0.02, 220, 34)
MEANS = 1 / (1 + np.exp(-np.linspace(np.log(0.004 / 0.996), np.log(0.97 / 0.03), 20)))
WEIGHTS = np.geomspace(4, 120, 8)
FILLS = np.linspace(0.05, 1, 20)
CHANCES = (np.arange(15) + 0.5) / 15
SWEEPS = 3
#: Least fill, as a share of the tank.
LEAST_FILL = 0.05
Rule = Callable[[Fields, World, Log], np.ndarray]


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
            ahead = self._ahead(ground, MEANS[:, None], WEIGHTS[None, :], shares)
            for _ in range(SWEEPS):
                self.least[at] = self._costs(*ahead).min(0)

    def costs(self, ground: np.ndarray, mean: np.ndarray, weight: np.ndarray) -> np.ndarray:
        """Return the expected cost of each fill of the grid: this trip,
        and leftover or what follows when it runs dry [money].
        """
        return self._costs(*self._ahead(ground, mean, weight, _shares(weight * mean, weight * (1 - mean))))

    def _ahead(self, ground: float | np.ndarray, mean: np.ndarray, weight: np.ndarray,
               shares: np.ndarray) -> tuple[np.ndarray, np.ndarray, list[tuple[np.ndarray, np.ndarray]]]:
        """Return for each fill and share what is left over [tanks], whether the field goes on,
        and places and parts of the corners around what follows.
        """
        fill = FILLS.reshape((-1,) + (1,) * shares.ndim)
        rest = ground - fill / shares
        later = weight + self.patches * fill / shares
        spots = [_between(np.log(GROUND), np.log(np.clip(rest, GROUND[0], GROUND[-1]))),
                 _between(_logit(MEANS), _logit(np.clip((weight * mean + self.patches * fill) / later,
                                                        MEANS[0], MEANS[-1]))),
                 _between(np.log(WEIGHTS), np.log(np.clip(later, WEIGHTS[0], WEIGHTS[-1])))]
        corners = []
        for corner in np.ndindex(2, 2, 2):
            (low, part), (low_2, part_2), (low_3, part_3) = ((low + up, part if up else 1 - part)
                                                             for (low, part), up in zip(
                                                                 spots, corner, strict=True))
            corners.append(((low * len(MEANS) + low_2) * len(WEIGHTS) + low_3, part * part_2 * part_3))
        return np.maximum(0, fill - ground * shares), rest > 1e-9, corners

    def _costs(self, left: np.ndarray, goes_on: np.ndarray,
               corners: list[tuple[np.ndarray, np.ndarray]]) -> np.ndarray:
        least = self.least.ravel()
        follows = sum(part * least[place] for place, part in corners)
        cost: np.ndarray = self.refill + (self.left_cost * left + np.where(goes_on, follows, 0)).mean(1)
        return cost


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


def by_programming(fields: Fields, world: World, log: Log) -> np.ndarray:
    """Return the fills that dynamic programming finds cheapest [gal]; tanks are taken in steps of a third."""
    a, b = shape(fields, world, log)
    tank, fills = fields.tank[log.of], np.zeros(len(a))
    like = np.exp(np.round(np.log(tank) / 0.3) * 0.3)
    for size in np.unique(like):
        of = like == size
        costs = _yardstick(float(size), world.refill, world.left_cost, world.patch).costs(
            log.to_drive(fields)[of] * CARRIER / tank[of], (a / (a + b))[of], (a + b)[of])
        fills[of] = FILLS[costs.argmin(0)] * tank[of]
    return fills


def advised(fields: Fields, world: World, log: Log) -> np.ndarray:
    """Return the fills that the workbook advises where no confidence is typed [gal]:
    the cheapest of its choices.
    """
    a, b = shape(fields, world, log)
    full, tank = log.to_drive(fields) * CARRIER, fields.tank[log.of]
    spread = np.sqrt(a * b / (a + b + 1)) / (a + b)
    short = volumes.DRY_TRIPS * world.refill / (full * spread)
    ratio = np.clip(short / (short + world.left_cost), 0.2, 0.99)
    choices = [np.minimum(tank, full)]
    for slot, chance in enumerate((*volumes.QUANTILES, ratio), 2):
        wanted = full * _quantile(chance, a, b)
        choices.append(np.minimum(np.minimum(full, tank),
                                  np.maximum(np.where(wanted >= tank, tank * slot / 6, wanted),
                                             LEAST_FILL * tank)))
    costs = []
    for volume in choices:
        first, *later = (1 - _chance((volume + n * tank) / full, a, b) for n in range(3))
        left = np.maximum(0, volume * (1 - first) - full * a / (a + b) * _chance(volume / full, a + 1, b))
        costs.append(np.round(world.refill * (volumes.DRY_TRIPS * first + sum(later))
                              + world.left_cost * left, 2))
    return np.array(choices)[np.argmin(costs, 0), np.arange(len(a))]


def _quantile(chance: float | np.ndarray, a: np.ndarray, b: np.ndarray) -> np.ndarray:
    return np.clip(beta.ppf(chance, a, b), 0.001, 0.999)


def _chance(share: np.ndarray, a: np.ndarray, b: np.ndarray) -> np.ndarray:
    return np.where(share >= 0.9995, 1, beta.cdf(share, a, b))


def outcome(fields: Fields, world: World, rule: Rule) -> tuple[np.ndarray, np.ndarray]:
    """Return the fills and the leftover [gal] of spraying every field out by a rule."""
    log, fills, left, least = (Log.empty(fields), np.zeros(len(fields.cells)), np.zeros(len(fields.cells)),
                               1.01 * CELL * CARRIER)
    while len(log.of):
        tank = fields.tank[log.of]
        log, over = log.after(fields,
                              np.minimum(np.maximum(tank, least),
                                         np.maximum(np.maximum(LEAST_FILL * tank, least),
                                                    rule(fields, world, log))))
        fills[log.of] += 1
        left[log.of] = over
        log = log.picked(log.at < fields.cells[log.of])
    return fills, left


def mean_cost(fields: Fields, world: World, rule: Rule) -> float:
    """Return the mean cost of a field sprayed out by a rule [money]."""
    fills, left = outcome(fields, world, rule)
    return float(np.mean(world.refill * fills + world.left_cost * left))


def dearer(fields: Fields, world: World) -> float:
    """Return how much dearer the advice comes than dynamic programming, as a part of its cost.

    Below none where it is cheaper.
    """
    return mean_cost(fields, world, advised) / mean_cost(fields, world, by_programming) - 1
