"""The calibration study: coverage of the volume that is enough 8 times in 10 and the cost of four rules of mixing.

Run ``python -m tests.bench.calibration_page`` from the top folder to write ``docs/calibration-study.md`` anew.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from .calibration import CARRIER, CELL, STAGES, Field, World, coverage, make_fields
from .next_fill import advised, by_programming, dearer, outcome

PAGE = Path(__file__).parents[2] / "docs" / "calibration-study.md"
#: Fields of a world, other than the base, in which the advice is compared with dynamic programming.
COMPARED = 300


def full_tanks(field: Field, world: World, at: int) -> float:
    """Return a full tank, always."""
    return field.tank


def scaled(field: Field, world: World, at: int) -> float:
    """Return a full tank first, then what the share of the first tank makes of the rest."""
    first = field.shares[: max(1, int(np.searchsorted(np.cumsum(field.shares) * CELL * CARRIER, field.tank)))].mean()
    return field.tank if at == 0 else float(first) * (field.area - at * CELL) * CARRIER


def last_year(field: Field, world: World, at: int) -> float:
    """Return what last year's mean share makes of the rest."""
    return field.last_year * (field.area - at * CELL) * CARRIER


RULES: dict[str, Callable[[Field, World, int], float]] = {
    "advice of the workbook": advised, "dynamic programming": by_programming, "always full tanks": full_tanks, "first load, then straight scaling": scaled,
    "mean share of last year": last_year,
}


def cost_lines(fields: list[Field], world: World) -> list[str]:
    """Return a table of fills, leftover and cost of each rule."""
    volumes = np.array([field.shares.sum() * CELL * CARRIER for field in fields])
    fewest = np.ceil(volumes / np.array([field.tank for field in fields]))
    lines = ["| rule | fills | leftover (gal) | refills and leftover ($ a field) | over knowing it all ($) |", "|---|---|---|---|---|"]
    for name, rule in RULES.items():
        each = [outcome(field, world, rule) for field in fields]
        fills, left = np.array([f for f, _ in each]), np.array([x for _, x in each])
        cost = world.refill * fills + world.left_cost * left
        over = cost.mean() - world.refill * fewest.mean()
        lines.append(f"| {name} | {fills.mean():.2f} | {left.mean():.0f} | {cost.mean():.0f} | {over:.0f} |")
    return lines


def variants(base: World) -> dict[str, World]:
    """Return the worlds of the study by what they show."""
    return {
        "**base world**": base,
        "patch 10 ac": replace(base, patch=10),
        "patch 40 ac, experience worth 160 ac": replace(base, patch=40, evidence=160),
        "experience worth 20 ac": replace(base, evidence=20),
        "experience worth 240 ac": replace(base, evidence=240),
        "every frame counts in full": replace(base, effect=1.0),
        "three frames count as one": replace(base, effect=3),
        "10 frames": replace(base, frames=10),
        "60 frames": replace(base, frames=60),
        "little drift (sd 0.1 to 0.3)": replace(base, drift_low=0.1, drift_high=0.3),
        "strong drift (sd 0.8 to 1.3)": replace(base, drift_low=0.8, drift_high=1.3),
        "drift over long ways (40 to 150 ac)": replace(base, reach_low=40, reach_high=150),
        "very clumped (k 0.05 to 0.15)": replace(base, k_low=0.05, k_high=0.15),
        "hardly clumped (k 1 to 5)": replace(base, k_low=1, k_high=5),
        "years that differ a lot (sd 1.2)": replace(base, field_spread=1.2),
    }


def coverage_lines(base: World) -> list[str]:
    """Return a table of coverage for every world."""
    lines = ["| world | after scouting | 1 load | 2 loads | 4 loads | all within 75 to 85 % |", "|---|---|---|---|---|---|"]
    for name, world in variants(base).items():
        found = coverage(make_fields(world), world)
        holds = all(0.75 <= found[stage] <= 0.85 for stage in STAGES)
        cells = " | ".join(f"{100 * found[stage]:.1f} %" for stage in STAGES)
        lines.append(f"| {name} | {cells} | {'yes' if holds else '**no**'} |")
    return lines


def compared_lines(base: World) -> list[str]:
    """Return a table of how near the advice comes to dynamic programming in every world."""
    worlds = {**variants(base), "fields of one to three loads": replace(base, loads_low=0.6, loads_high=2.5), "dear mixture": replace(base, left_cost=4.0)}
    lines = ["| world | fields | advice against dynamic programming |", "|---|---|---|"]
    for name, world in worlds.items():
        world = world if world is base else replace(world, fields=min(world.fields, COMPARED))
        lines.append(f"| {name} | {world.fields} | {100 * dearer(make_fields(world), world):+.1f} % |")
    return lines


def main(fields: int = 2500) -> None:
    """Write the page."""
    base = World(fields=fields)
    few = replace(base, loads_low=0.6, loads_high=2.5)
    text = TEXT.format(
        fields=fields, seed=base.seed, coverage="\n".join(coverage_lines(base)), compared="\n".join(compared_lines(base)), many="\n".join(cost_lines(make_fields(base), base)),
        few="\n".join(cost_lines(make_fields(few), few)), dear="\n".join(cost_lines(make_fields(base), replace(base, left_cost=4.0))),
    )
    PAGE.write_text(text, "utf-8")


TEXT = (Path(__file__).parent / "calibration_page.txt").read_text("utf-8")

if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2500)
