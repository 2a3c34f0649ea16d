"""Simulated fields with clumped weeds and drifting density: does the volume that is enough 8 times in 10 suffice?

``python -m tests.bench.calibration_page`` writes the study from it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.stats import beta

from workbook_builder.features.weeds import definitions as weeds

STAGES = (0, 1, 2, 4)
CELL = 0.25
FRAME, FOOTPRINT = 4.0, 1.67 * 3.5
CARRIER = 15.0
CLASSES = (0.08, 0.25, 0.55)


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
    frames: int = 30
    patch: float = 20.0
    effect: float = 1.5
    evidence: float = 80.0
    loads_low: float = 5.0
    loads_high: float = 9.0
    refill: float = 60.0
    left_cost: float = 0.9


@dataclass(frozen=True)
class Field:
    """One simulated field: share of each quarter of an acre in the order driven, and what scouts saw."""

    shares: np.ndarray
    expected: float
    last_year: float
    scouted: float
    tank: float

    @property
    def area(self) -> float:
        """Area of the field [ac]."""
        return len(self.shares) * CELL


def drift(rng: np.random.Generator, cells: int, sd: float, reach: float) -> np.ndarray:
    """Return a wandering log density with a given spread and reach [ac]."""
    keep = np.exp(-CELL / reach)
    steps = rng.normal(0, sd * np.sqrt(1 - keep**2), cells)
    values = np.empty(cells)
    level = rng.normal(0, sd)
    for at in range(cells):
        level = keep * level + steps[at]
        values[at] = level
    return values


def make_field(rng: np.random.Generator, world: World) -> Field:
    """Return one field with clumped weeds, its own k and a drifting density."""
    expected = float(rng.choice(CLASSES))
    k = float(np.exp(rng.uniform(np.log(world.k_low), np.log(world.k_high))))
    usual = weeds.mean_from_share(expected, k) / FOOTPRINT
    # Both years scatter about the class; the drift is inside the field.
    level, level_last = usual * np.exp(rng.normal(0, world.field_spread, 2))
    cells = int(rng.uniform(120, 480) / CELL)
    wander = drift(rng, cells, rng.uniform(world.drift_low, world.drift_high), rng.uniform(world.reach_low, world.reach_high))
    density = level * np.exp(wander - wander.var() / 2)
    shares = 1 - (1 + density * FOOTPRINT / k) ** -k
    last_year = 1 - (1 + level_last * FOOTPRINT / k) ** -k
    spots = rng.integers(0, cells, world.frames)
    counts = rng.poisson(rng.gamma(k, density[spots] * FRAME / k))
    loads = rng.uniform(world.loads_low, world.loads_high)
    tank = max(60.0, shares.mean() * cells * CELL * CARRIER / loads)
    return Field(shares, expected, float(last_year), scouted_share(counts), float(tank))


def scouted_share(counts: np.ndarray) -> float:
    """Return the share by the frames, as the package works it out."""
    found = weeds.moments([float(count) for count in counts])
    return weeds.sprayed_share(found.mean / FRAME, FOOTPRINT, found.k)


def shape(field: Field, world: World, covered: float, sprayed: float) -> tuple[float, float]:
    """Return a and b after scouting and `covered` acres of which `sprayed` were sprayed."""
    weights = (world.evidence / world.patch, world.frames / world.effect, covered / world.patch)
    shares = (field.expected, field.scouted, sprayed / covered if covered else 0.0)
    a = max(0.05, sum(w * s for w, s in zip(weights, shares, strict=True)))
    b = max(0.05, sum(w * (1 - s) for w, s in zip(weights, shares, strict=True)))
    return a, b


def spray(field: Field, start: int, volume: float) -> tuple[int, float]:
    """Return the cell where a volume runs out (or the end) and what is left of it."""
    wanted = np.cumsum(field.shares[start:]) * CELL * CARRIER
    done = int(np.searchsorted(wanted, volume, side="right"))
    if done >= len(wanted):
        return len(field.shares), volume - (float(wanted[-1]) if len(wanted) else 0.0)
    return start + done, 0.0


def suffices(field: Field, world: World) -> dict[int, bool | None]:
    """Return whether the volume that is enough 8 times in 10 covers the rest after each number of loads."""
    found: dict[int, bool | None] = {}
    at, load = 0, 0
    for stage in STAGES:
        while load < stage and at < len(field.shares):
            at, _ = spray(field, at, field.tank)
            load += 1
        rest = field.shares[at:].sum() * CELL
        if len(field.shares) - at < 0.05 * len(field.shares):
            found[stage] = None
            continue
        a, b = shape(field, world, at * CELL, field.shares[:at].sum() * CELL)
        found[stage] = bool(beta.ppf(0.8, a, b) * (len(field.shares) - at) * CELL >= rest)
    return found


def coverage(fields: list[Field], world: World) -> dict[int, float]:
    """Return the share of passes whose volume that is enough 8 times in 10 suffices, by loads sprayed."""
    seen = [suffices(field, world) for field in fields]
    return {stage: float(np.mean([each[stage] for each in seen if each[stage] is not None])) for stage in STAGES}


def make_fields(world: World) -> list[Field]:
    """Return the simulated fields."""
    rng = np.random.default_rng(world.seed)
    return [make_field(rng, world) for _ in range(world.fields)]
