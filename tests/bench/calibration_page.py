"""The calibration study: coverage of the volume that is enough 8 times in 10 and the cost of four rules of
mixing.

Run ``python -m tests.bench.calibration_page`` from the top folder to write ``docs/calibration-study.md``
anew.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from .calibration import CARRIER, CELL, STAGES, Fields, Log, World, coverage, make_fields, tenths
from .next_fill import advised, by_programming, dearer, outcome

PAGE = Path(__file__).parents[2] / "docs" / "calibration-study.md"
#: Fields of a world, other than the base, in which the advice is compared with dynamic programming.
COMPARED = 500
#: Worlds in which the sheet says that it cannot know, and how.
UNKNOWN = {
    "three frames count as one": "counts cannot tell whether they do",
    "no frames": "nobody can know how far this year differs", "10 frames": "how many frames are wanted",
}


def full_tanks(fields: Fields, world: World, log: Log) -> np.ndarray:
    """Return full tanks, always."""
    return fields.tank[log.of]


def scaled(fields: Fields, world: World, log: Log) -> np.ndarray:
    """Return a full tank first, then what the share of the first tank makes of the rest."""
    first, _ = Log.empty(fields).after(fields, fields.tank)
    share = first.sprayed(fields) / np.maximum(1, first.at) / CELL
    return np.where(log.at == 0, fields.tank[log.of], share[log.of] * log.to_drive(fields) * CARRIER)


def last_year(fields: Fields, world: World, log: Log) -> np.ndarray:
    """Return what last year's mean share makes of the rest."""
    return np.asarray(fields.earlier[log.of] * log.to_drive(fields) * CARRIER)


RULES: dict[str, Callable[[Fields, World, Log], np.ndarray]] = {
    "advice of the workbook": advised, "dynamic programming": by_programming, "always full tanks": full_tanks,
    "first load, then straight scaling": scaled,
    "mean share of last year": last_year,
}


def cost_lines(fields: Fields, world: World) -> list[str]:
    """Return a table of fills, leftover and cost of each rule."""
    fewest = np.ceil(fields.sprayed * CARRIER / fields.tank)
    lines = ["| rule | fills | leftover (gal) | refills and leftover ($ a field) | over knowing it all ($) |",
             "|---|---|---|---|---|"]
    for name, rule in RULES.items():
        fills, left = outcome(fields, world, rule)
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
        "no frames": replace(base, frames=0),
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
    lines = ["| world | after scouting | 1 load | 2 loads | 4 loads | all within 75 to 85 % |",
             "|---|---|---|---|---|---|"]
    for name, world in variants(base).items():
        found = coverage(make_fields(world), world)
        holds = ("yes" if all(0.75 <= found[stage] <= 0.85 for stage in STAGES)
                 else f"no, and the sheet says: {UNKNOWN[name]}" if name in UNKNOWN else "**no**")
        cells = " | ".join(f"{100 * found[stage]:.1f} %" for stage in STAGES)
        lines.append(f"| {name} | {cells} | {holds} |")
    return lines


def compared_lines(base: World) -> list[str]:
    """Return a table of how near the advice comes to dynamic programming in every world."""
    worlds = {**variants(base), "fields of one to three loads": replace(base, loads_low=0.6, loads_high=2.5),
              "dear mixture": replace(base, left_cost=4.0)}
    lines = ["| world | fields | advice against dynamic programming |", "|---|---|---|"]
    for name, world in worlds.items():
        world = world if world is base else replace(world, fields=min(world.fields, COMPARED))
        lines.append(f"| {name} | {world.fields} | {100 * dearer(make_fields(world), world):+.1f} % |")
    return lines


def season_lines(base: World) -> list[str]:
    """Return a table of what earlier seasons make of the range from the low to the high share."""
    lines = ["| frames | earlier seasons | before the first load | width | after 2 loads | width |",
             "|---|---|---|---|---|---|"]
    for frames in (0, base.frames):
        for seasons in (0, 1, 2, 3, 5):
            world = replace(base, frames=frames, seasons=seasons)
            made = make_fields(world)
            told = [cell for stage in (0, 2) for cell in tenths(made, world, stage)]
            lines.append(f"| {frames} | {seasons} | "
                         + " | ".join(f"{100 * cell:.1f} {'%' if at % 2 == 0 else 'points'}"
                                      for at, cell in enumerate(told)) + " |")
    return lines


def main(fields: int = 2500) -> None:
    """Write the page."""
    base = World(fields=fields)
    few = replace(base, loads_low=0.6, loads_high=2.5)
    tables = {
        "coverage": coverage_lines(base), "compared": compared_lines(base), "seasons": season_lines(base),
        "many": cost_lines(make_fields(base), base),
        "few": cost_lines(make_fields(few), few),
        "dear": cost_lines(make_fields(base), replace(base, left_cost=4.0)),
    }
    PAGE.write_text(TEXT.format(fields=fields, seed=base.seed,
                                **{name: "\n".join(lines) for name, lines in tables.items()}), "utf-8")


TEXT = (Path(__file__).parent / "calibration_page.txt").read_text("utf-8")

if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2500)
