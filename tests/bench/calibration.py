"""Simulated fields with clumped weeds and drifting density:
does the volume that is enough 8 times in 10 suffice?

``python -m tests.bench.calibration_page`` writes the study from it.
 All fields of a world are sprayed side by side; what is
believed of them is worked out by the functions of the package and, for the logs,
in arrays (a test compares both with a plan).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from scipy.stats import beta

from workbook_builder.features.reference.data import LEAST_CARRIED_K, USUAL_EFFECT, USUAL_PATCH, USUAL_SCATTER
from workbook_builder.features.shares import definitions as belief
from workbook_builder.features.shares.columns import SPOT_ASSUMPTIONS
from workbook_builder.features.weeds import definitions as weeds

STAGES = (0, 1, 2, 4)
CELL = 0.25
FRAME, FOOTPRINT = 4.0, 1.67 * 3.5
CARRIER = 15.0
CLASSES = (0.08, 0.25, 0.55)
#: Patches that many earlier seasons are worth.
SEASON_PATCHES = next(float(column.default) for column in SPOT_ASSUMPTIONS.columns
                      if column.key == "season_patches")
#: Keeps the sums of the fields apart in one long row.
APART = 1000.0


@dataclass(frozen=True)
class World:
    """How fields are made [ac, sq ft] and what the model assumes."""

    fields: int = 2500
    seed: int = 20260101
    drift_low: float = 0.3
    drift_high: float = 0.8
    reach_low: float = 5.0
    reach_high: float = 40.0
    k_low: float = 0.15
    k_high: float = 1.0
    field_spread: float = 0.6
    stays: float = 0.5
    frames: int = 30
    patch: float = USUAL_PATCH
    effect: float = USUAL_EFFECT
    evidence: float = 80.0
    seasons: int = 0
    loads_low: float = 5.0
    loads_high: float = 9.0
    refill: float = 60.0
    left_cost: float = 0.9


@dataclass(frozen=True)
class Fields:
    """Simulated fields, one a row: ground sprayed up to every quarter of an acre in the order driven,
    and what is known before.
    """

    sums: np.ndarray
    cells: np.ndarray
    expected: np.ndarray
    earlier: np.ndarray
    scouted: np.ndarray
    scouting_weight: np.ndarray
    tank: np.ndarray

    @property
    def sprayed(self) -> np.ndarray:
        """Ground sprayed of every field [area]."""
        return np.asarray(self.sums[:, -1])

    @cached_property
    def one_row(self) -> np.ndarray:
        """All sums one after the other, each field far above the one before [area]."""
        return np.asarray((self.sums + APART * np.arange(len(self.sums))[:, None]).ravel())


@dataclass
class Log:
    """Where the sprayer stands in some fields, and what their loads add up to [area]."""

    of: np.ndarray
    at: np.ndarray
    loads: np.ndarray
    squared: np.ndarray

    @classmethod
    def empty(cls, fields: Fields) -> Log:
        """Return the log of fields not begun."""
        none = np.zeros(len(fields.cells))
        return cls(np.arange(len(none)), none.astype(int), none, none)

    def picked(self, which: np.ndarray) -> Log:
        """Return the log of some of these fields."""
        return Log(self.of[which], self.at[which], self.loads[which], self.squared[which])

    def sprayed(self, fields: Fields) -> np.ndarray:
        """Return the ground sprayed so far [area]."""
        return np.asarray(fields.sums[self.of, self.at])

    def to_drive(self, fields: Fields) -> np.ndarray:
        """Return the ground left [area]."""
        return np.asarray((fields.cells[self.of] - self.at) * CELL)

    def after(self, fields: Fields, volume: np.ndarray) -> tuple[Log, np.ndarray]:
        """Return the log after a load of some volume in each field,
        and what is left of it where the field ends [gal].
        """
        sprayed, width = self.sprayed(fields), fields.sums.shape[1]
        reached = np.searchsorted(fields.one_row, sprayed + volume / CARRIER + APART * self.of,
                                  side="right") - 1 - self.of * width
        at = np.minimum(reached, fields.cells[self.of])
        share = (fields.sums[self.of, at] - sprayed) / np.maximum(at - self.at, 1) / CELL
        left = np.where(at == fields.cells[self.of], volume - (fields.sums[self.of, at] - sprayed) * CARRIER,
                        0)
        return Log(self.of, at, self.loads + 1, self.squared + (at - self.at) * CELL * share**2), left


def drift(rng: np.random.Generator, cells: int, sd: float, reach: float) -> np.ndarray:
    """Return a wandering log density with a given spread and reach [ac]."""
    keep = np.exp(-CELL / reach)
    steps = rng.normal(0, sd * np.sqrt(1 - keep**2), cells)
    steps[0] = rng.normal(0, sd)
    from scipy.signal import lfilter  # loaded where it is used, since it takes long

    return np.asarray(lfilter([1], [1, -keep], steps))


@lru_cache(2)
def make_fields(world: World) -> Fields:
    """Return the simulated fields: clumped weeds, each field with its own k, level and drift,
    and frames thrown in it.
    """
    rng = np.random.default_rng(world.seed)
    made = [_make_field(rng, world) for _ in range(world.fields)]
    sums = [np.concatenate(([0.0], np.cumsum(shares) * CELL)) for shares, *_ in made]
    longest = max(map(len, sums))
    padded = np.array([np.pad(each, (0, longest - len(each)), mode="edge") for each in sums])
    return Fields(padded, np.array([len(shares) for shares, *_ in made]),
                  *(np.array(each) for each in list(zip(*made, strict=True))[1:]))


def _make_field(rng: np.random.Generator,
                world: World) -> tuple[np.ndarray, float, float, float, float, float]:
    """Return the shares of one field, what its class expects, its mean in earlier seasons,
    share and weight by scouting, and the tank.
    """
    expected = float(rng.choice(CLASSES))
    k = float(np.exp(rng.uniform(np.log(world.k_low), np.log(world.k_high))))
    usual = weeds.mean_from_share(expected, k) / FOOTPRINT
    # Part of how a field differs from its class stays with it from year to year; the drift is inside the
    # field.
    own = rng.normal(0, world.field_spread * np.sqrt(world.stays))
    levels = (usual * np.exp(own + rng.normal(0, world.field_spread * np.sqrt(1 - world.stays),
                                              1 + max(1, world.seasons))))
    cells = int(rng.uniform(120, 480) / CELL)
    sd, reach = rng.uniform(world.drift_low, world.drift_high), rng.uniform(world.reach_low, world.reach_high)
    seasons = []
    for level in levels:
        wander = drift(rng, cells, sd, reach)
        density = level * np.exp(wander - wander.var() / 2)
        seasons.append((1 - (1 + density * FOOTPRINT / k) ** -k, density))
    shares, density = seasons[0]
    spots = rng.integers(0, cells, world.frames)
    counts = rng.poisson(rng.gamma(k, density[spots] * FRAME / k))
    tank = max(60.0, shares.mean() * cells * CELL * CARRIER / rng.uniform(world.loads_low, world.loads_high))
    return (shares, expected, float(np.mean([each.mean() for each, _ in seasons[1:]])),
            *scouted(counts, max(USUAL_EFFECT, world.effect)), float(tank))


def scouted(counts: Iterable[float], effect: float) -> tuple[float, float]:
    """Return share and weight [patches] by the frames, as the package works them out.

    No weight without frames.
    """
    told = [float(count) for count in counts]
    if not told:
        return 0.0, 0.0
    k = belief.carried_k(weeds.moments(told).k or "", LEAST_CARRIED_K)
    infested = min(sum(count > 0 for count in told) / len(told), 1 - 0.5 / len(told))
    density, number = belief.density(infested, FRAME, k), None if k == "" else float(k)
    error = (belief.density_error(len(told), infested, FRAME, effect, k)
             * weeds.share_slope(density, FOOTPRINT, number))
    share = weeds.sprayed_share(density, FOOTPRINT, number)
    return share, belief.frames_weight(len(told), effect, share, error)


def shape(fields: Fields, world: World, log: Log) -> tuple[np.ndarray, np.ndarray]:
    """Return a and b of what is believed of the ground left of each field."""
    sprayed, driven = log.sprayed(fields), np.maximum(log.at * CELL, 1e-9)
    mean = sprayed / driven
    parts = [
        (world.evidence / world.patch, fields.expected[log.of]),
        (belief.history_weight(world.seasons, SEASON_PATCHES), fields.earlier[log.of]),
        (fields.scouting_weight[log.of], fields.scouted[log.of]),
        (log.at * CELL / world.patch, mean),
    ]
    scatter = (np.maximum(0, log.squared - sprayed * mean) / np.maximum(1, log.loads - 1)
               / np.maximum(belief.LEAST_SPREAD, mean * (1 - mean)) / world.patch)
    firm = np.where(log.loads < 2, 1,
                    np.clip((log.loads + 1) / (2 + (log.loads - 1) * scatter / USUAL_SCATTER), 0.5, 2))
    a, b = (firm * sum(weight * part for weight, part in each)
            for each in (parts, [(weight, 1 - share) for weight, share in parts]))
    return np.maximum(belief.LEAST_SHAPE, a), np.maximum(belief.LEAST_SHAPE, b)


def at_stages(fields: Fields) -> dict[int, Log]:
    """Return the logs after some loads of full tanks, of fields with at least a twentieth of their ground
    left.
    """
    log, found = Log.empty(fields), {}
    for stage in range(max(STAGES) + 1):
        if stage in STAGES:
            found[stage] = log.picked(fields.cells - log.at >= 0.05 * fields.cells)
        log, _ = log.after(fields, fields.tank)
    return found


def coverage(fields: Fields, world: World) -> dict[int, float]:
    """Return the share of passes whose volume that is enough 8 times in 10 suffices, by loads sprayed."""
    return {
        stage: float(np.mean(beta.ppf(0.8, *shape(fields, world, log)) * log.to_drive(fields)
                             >= fields.sprayed[log.of] - log.sprayed(fields)))
        for stage, log in at_stages(fields).items()
    }


def tenths(fields: Fields, world: World, stage: int) -> tuple[float, float]:
    """Return the share of passes that lie between the low and the high share told,
    and how wide that range is on average.
    """
    log = at_stages(fields)[stage]
    low, high = (beta.ppf(chance, *shape(fields, world, log)) for chance in (0.1, 0.9))
    share = (fields.sprayed[log.of] - log.sprayed(fields)) / log.to_drive(fields)
    return float(np.mean((low <= share) & (share <= high))), float(np.mean(high - low))
