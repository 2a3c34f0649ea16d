"""The study of the spray map: what logs of simulated passes tell, against what was sprayed.

Run ``python -m tests.bench.map_study`` from the top folder to write ``docs/spray-map-study.md`` anew.
"""

from __future__ import annotations

import io
import resource
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import shapely
from pyproj import Geod

sys.path.insert(0, str(Path(__file__).parents[1]))

from map_help import CARRIER, DAY, PLANE, ZONE, csv_text, grid_of, mapped, shape, simulated, source

from workbook_builder.maps.files import LogTask, analysed_files, map_task
from workbook_builder.maps.headers import shipped_table
from workbook_builder.maps.hot_spots import boxed
from workbook_builder.maps.logs import read_log
from workbook_builder.maps.passes import Farm, FieldPass, Planned
from workbook_builder.maps.plane import Floats, Plane, ring_area
from workbook_builder.maps.raster import ground_of, spread
from workbook_builder.maps.simulate import CELL, Machine, Patch, Sprayed, make_world, spray
from workbook_builder.maps.statistics import correlation
from workbook_builder.maps.tracks import swaths

PAGE = Path(__file__).parents[2] / "docs" / "spray-map-study.md"
SHAPES: dict[str, Floats] = {
    "square": np.array([[0, 0], [560, 0], [560, 560], [0, 560]], float),
    "triangle": np.array([[0, 0], [760, 60], [280, 690]], float),
    "angle": np.array([[0, 0], [640, 0], [640, 320], [320, 320], [320, 640], [0, 640]], float),
    "along a creek": np.array([[0, 0], [700, 0], [690, 150], [620, 260], [660, 380], [560, 470], [330, 430],
                               [160, 500], [0, 470]], float),
}
MACHINES = {
    "36 m boom, sections of 3 m, straight": {}, "the same, curved runs": {"bend": 25.0},
    "the same, headland first": {"headland": True},
    "24 m boom, sections of 2 m, slanting": {"boom": 24.0, "section": 2.0, "direction": 25.0},
}
PATCHES = (Patch(150, 150, 60, 28, 30, 0.75), Patch(330, 130, 38, 38, 0, 0.6),
           Patch(250, 260, 80, 14, 80, 0.8))
SCRATCH = Path("/tmp") if Path("/tmp").is_dir() else Path()


def told(done: Sprayed, ring: Floats, kind: str = "nozzles", whole_boom: bool = False) -> FieldPass:
    """Return what a log of a simulated pass tells."""
    path = SCRATCH / "map_study_log.csv"
    path.write_text(csv_text(done, kind, whole_boom), "utf-8")
    return mapped(read_log(path, shipped_table(), "metric"), shapes=[shape(ring=ring)]).passes[0]


def share_lines() -> Iterator[str]:
    """Yield the error of the share by machine and drift, over all shapes."""
    yield "| machine | drift 0.5 m: mean, worst | drift 2 m: mean, worst |"
    yield "|---|---|---|"
    for name, machine in MACHINES.items():
        cells = []
        for drift in (0.5, 2.0):
            errors = []
            for seed, ring in enumerate(SHAPES.values()):
                done = simulated(0.05, PATCHES, 10 + seed, ring, drift=drift, every=2.0, **machine)
                errors.append(told(done, ring).sprayed / done.emitted - 1)
            cells.append(f"{100 * np.mean(errors):+.2f} %, {100 * max(errors, key=abs):+.2f} %")
        yield f"| {name} | {cells[0]} | {cells[1]} |"


def kind_lines() -> Iterator[str]:
    """Yield what each kind of log tells of one pass."""
    ring = SHAPES["square"]
    done = simulated(0.05, (), 3, ring)
    yield "| log | share told | against the truth |"
    yield "|---|---|---|"
    for name, kind, whole in (("share of nozzles, by section", "nozzles", False),
                              ("volume, whole boom", "volume", True),
                              ("sections on or off", "state", False), ("boom on or off", "state", True)):
        found = told(done, ring, kind, whole)
        if np.isfinite(found.sprayed):
            yield (f"| {name} | {100 * found.share:.2f} % | "
                   f"{100 * (found.sprayed / done.emitted - 1):+.1f} % |")
        else:
            counted = float(found.grid.amount.sum())
            yield (f"| {name} | Not entered | counting what was on would tell "
                   f"{100 * (counted / done.emitted - 1):+,.0f} % |")


def true_cover(found: FieldPass, patches: tuple[Patch, ...]) -> Floats:
    """Return which part of each cell of 12 m lies in a patch."""
    grid, parts = found.grid, (np.arange(12) + 0.5) / 12
    rows, columns = np.indices(grid.area.shape)
    cover = np.zeros(grid.area.shape)
    # The program's plane lies about the middle of the field, that of the simulation about its corner.
    shift = [float(part[0]) for part in PLANE.forward(*found.plane.back(np.zeros(1), np.zeros(1)))]
    for up in parts:
        for right in parts:
            x, y = (shift[0] + grid.x + (columns + right) * grid.side,
                    shift[1] + grid.y + (rows + up) * grid.side)
            inside = np.zeros(cover.shape, bool)
            for patch in patches:
                sin, cos = np.sin(np.radians(patch.turned)), np.cos(np.radians(patch.turned))
                along, across = ((x - patch.x) * sin + (y - patch.y) * cos,
                                 (x - patch.x) * cos - (y - patch.y) * sin)
                inside |= (along / patch.long) ** 2 + (across / patch.wide) ** 2 <= 1
            cover += inside
    return cover / len(parts) ** 2


def patch_lines() -> Iterator[str]:
    """Yield precision and recall of hot cells by background."""
    yield ("| background | hot cells at or beside a patch | that meet one | cells mostly in a patch that are "
           "hot |")
    yield "|---|---|---|---|"
    for background in (0.04, 0.1, 0.2, 0.35):
        sums = np.zeros(5)
        for seed, ring in enumerate(SHAPES.values()):
            done = simulated(background, PATCHES, 30 + seed, ring, every=2.0, drift=(0.5, 2.0)[seed % 2],
                             bend=(0.0, 25.0)[seed // 2])
            found = told(done, ring)
            hot, cover = np.zeros(found.grid.area.shape, bool), true_cover(found, PATCHES)
            for spot in found.spots:
                hot[spot.cells[:, 0], spot.cells[:, 1]] = True
            near = boxed((cover > 0).astype(float)) > 0
            sums += ((hot & near).sum(), (hot & (cover > 0)).sum(), hot.sum(), (hot & (cover >= 0.5)).sum(),
                     (cover >= 0.5).sum())
        yield (f"| {background:.0%} | {sums[0] / sums[2]:.2f} | {sums[1] / sums[2]:.2f} | "
               f"{sums[3] / sums[4]:.2f} |")


def false_spots() -> tuple[int, int]:
    """Return how many of 30 fields without patches show a spot, and how many of these have clumps of 4 m."""
    fields, clumped = 0, 0
    for seed in range(30):
        ring = list(SHAPES.values())[seed % 4] * 0.8
        random, clump = source(200 + seed), (0.0, 2.0, 4.0)[seed % 3]
        world = make_world([ring], (0.02, 0.05, 0.1, 0.2, 0.35)[seed % 5], [], random, clump)
        done = spray(world, Machine(every=2.0, drift=(0.5, 2.0)[seed % 2]), random)
        if told(done, ring).spots:
            fields, clumped = fields + 1, clumped + (clump == 4.0)
    return fields, clumped


def overlay_lines(runs: int = 1000) -> Iterator[str]:
    """Yield how often ground that has nothing to do with a layer seems to go together with it."""
    from scipy.stats import pearsonr

    yield "| weeds alike over | plain test | this test | power for +2 points | +5 points |"
    yield "|---|---|---|---|---|"
    for reach in (1, 3, 6):
        plain, ours, power = 0, 0, np.zeros(2)
        for seed in range(runs):
            random = source(1000 * reach + seed)
            share, layer = _smooth(random, reach), _blob(random)
            valid = np.ones(share.shape, bool)
            plain += pearsonr(share.ravel(), layer.ravel())[1] < 0.05
            ours += correlation(share, layer, valid)[2] < 0.05
            if seed < 60:
                power += [correlation(share + more * layer, layer, valid)[2] < 0.05 for more in (0.02, 0.05)]
        yield (f"| {12 * (2 * reach + 1)} m | {plain / runs:.1%} | {ours / runs:.1%} | {power[0] / 60:.2f} | "
               f"{power[1] / 60:.2f} |")


def _smooth(random: np.random.Generator, reach: int) -> Floats:
    """Return shares about 8 % with a standard deviation of 3 points, alike over some cells."""
    found = random.random((60 + 2 * reach, 60 + 2 * reach))
    for _ in range(reach):
        found = boxed(found)
    found = found[reach:-reach, reach:-reach]
    return np.asarray(0.08 + 0.03 * (found - found.mean()) / found.std())


def _blob(random: np.random.Generator) -> Floats:
    """Return an ellipse of one tenth of the field, anywhere."""
    rows, columns = np.indices((60, 60))
    row, column = 12 + 36 * random.random(2)
    return np.asarray((((rows - row) / 8) ** 2 + ((columns - column) / 14) ** 2 <= 1).astype(float))


def again_words() -> tuple[float, float, int]:
    """Return Jaccard of the same patches in two passes and of other ones,
    and how many of six dead sections were found.
    """
    ring = SHAPES["square"]
    other = tuple(replace(patch, x=560 - patch.x, y=540 - patch.y) for patch in PATCHES[:2])
    paths = [SCRATCH / f"map_study_{name}.csv" for name in ("now", "then", "other")]
    for path, patches, seed, day in zip(paths, (PATCHES, PATCHES, other), (51, 52, 53),
                                        ("2026-06-03", "2025-06-03", "2024-06-03"), strict=True):
        path.write_text(csv_text(simulated(0.05, patches, seed, ring, every=2.0)).replace("2026-06-03", day),
                        "utf-8")
    now, then, unlike = (read_log(path, shipped_table(), "metric") for path in paths)
    same = mapped(now, shapes=[shape(ring=ring)], earlier=[then], passed="Spot").again[0].jaccard
    found = [told(simulated(0.05, PATCHES, 60 + dead, ring, every=2.0, dead=(dead,)), ring).dead
             == (str(dead + 1),) for dead in (0, 3, 5, 6, 9, 11)]
    return (same, mapped(now, shapes=[shape(ring=ring)], earlier=[unlike], passed="Spot").again[0].jaccard,
            sum(found))


def union_lines() -> Iterator[str]:
    """Yield by how much the driven ground counted in cells differs from shapely's union of all strips,
    over all shapes.
    """
    yield "| machine | mean, worst |"
    yield "|---|---|"
    for name, machine in MACHINES.items():
        off = []
        for seed, ring in enumerate(SHAPES.values()):
            strips = swaths(grid_of(simulated(0.05, PATCHES, 20 + seed, ring, every=2.0, **machine).log),
                            "nozzles")
            ground = ground_of([ring])
            spread(ground, strips, strips.value)
            swept = shapely.union_all(shapely.make_valid(shapely.polygons(strips.quads)))
            union = shapely.intersection(swept, shapely.Polygon(ring)).area
            off.append(float((ground.times > 0).sum()) * ground.cell_area / union - 1)
        yield f"| {name} | {100 * np.mean(off):+.3f} %, {100 * max(off, key=abs):+.3f} % |"


def plane_words() -> str:
    """Return by how much areas on the plane differ from geodesic ones at most, over 60 ragged fields each."""
    told = []
    for kilometres in (1.0, 3.2, 10.0):
        worst = 0.0
        for number in range(60):
            random, latitude = source(number), -75.0 + 2.5 * number
            angle = np.sort(random.random(17)) * 2 * np.pi
            radius = kilometres / 2 * (0.5 + 0.5 * random.random(17)) / 111.2
            lat, lon = (latitude + radius * np.sin(angle),
                        18.0 + radius * np.cos(angle) / np.cos(np.radians(latitude)))
            area = ring_area(*Plane(latitude, 18.0).forward(lat, lon))
            worst = max(worst, abs(area / Geod(ellps="WGS84").polygon_area_perimeter(lon, lat)[0] - 1))
        told.append(f"{worst:.2e} at {kilometres:g} km")
    return ", ".join(told)


def timing() -> str:
    """Return how long 500,000 rows take in a process of their own,
    against reading the file with pandas alone.
    """
    path = SCRATCH / "map_study_large.csv"
    path.write_text(csv_text(simulated(0.05, PATCHES, 1, SHAPES["square"] * 800 / 560, every=0.088)), "utf-8")
    done = subprocess.run([sys.executable, "-m", "tests.bench.map_study", "--time", str(path)],
                          capture_output=True, text=True, check=True)
    return done.stdout.strip()


def timed(path: Path) -> str:
    """Return rows, processor time and memory of one large log."""
    started = time.process_time()
    rows = len(pd.read_csv(path))
    bare = time.process_time() - started
    started = time.process_time()
    found = mapped(read_log(path, shipped_table(), "metric"),
                   shapes=[shape(ring=SHAPES["square"] * 800 / 560)]).passes[0]
    seconds, memory = time.process_time() - started, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    return (f"{rows:,} rows of sections on {found.drawn / 1e4:.0f} ha: {seconds:.1f} s of processor time and "
            f"{memory:.2f} GB at most, "
            f"{seconds / bare:.1f} times what pandas takes to read the file.")


def many_lines() -> Iterator[str]:
    """Yield time and memory of logs over as many fields, one after the other in one process."""
    yield "| logs and fields | rows | processor time | a million rows | memory at most |"
    yield "|---|---|---|---|---|"
    for count in (1, 4, 16):
        done = subprocess.run([sys.executable, "-m", "tests.bench.map_study", "--many", str(count)],
                              capture_output=True, text=True, check=True)
        rows, seconds, memory = (float(part) for part in done.stdout.split())
        yield f"| {count} | {rows:,.0f} | {seconds:.1f} s | {1e6 * seconds / rows:.1f} s | {memory:.2f} GB |"


def many(count: int) -> str:
    """Return rows, processor time and memory of mapping one log a field."""
    log = pd.read_csv(io.StringIO(csv_text(simulated(0.05, PATCHES, 1, SHAPES["square"], every=0.4))))
    tasks, shapes, plan = [], [], []
    for number in range(count):
        path = SCRATCH / f"map_study_{number}.csv"
        log.assign(lon=log["lon"] + 0.02 * number).to_csv(path, index=False)
        home = shape(f"Field {number}", SHAPES["square"])
        shapes.append(replace(home,
                              rings=tuple(ring + np.array([0.02 * number, 0.0]) for ring in home.rings)))
        plan.append(Planned("Spot", home.name, DAY, CARRIER, 36.0))
        tasks.append((path, False))
    started = time.process_time()
    task = LogTask(tuple(tasks), Farm(tuple(shapes), tuple(plan), ZONE), shipped_table(), "metric", None)
    analysis, _ = analysed_files(task, lambda each: map(map_task, each))
    assert len(analysis.passes) == count
    return (f"{count * len(log)} {time.process_time() - started} "
            f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6}")


def main() -> None:
    """Write the page."""
    same, unlike, dead = again_words()
    spots, clumped = false_spots()
    PAGE.write_text(TEXT.format(
        cell=CELL, carrier=CARRIER * 1e4, shares="\n".join(share_lines()), kinds="\n".join(kind_lines()),
        patches="\n".join(patch_lines()), spots=spots,
        clumped=clumped, overlays="\n".join(overlay_lines()), same=same, unlike=unlike, dead=dead,
        timing=timing(), many="\n".join(many_lines()),
        union="\n".join(union_lines()), plane=plane_words(),
    ), "utf-8")


TEXT = """# What the spray map can tell

Everything here is simulated, by `python -m tests.bench.map_study`, with fixed seeds:
weeds are drawn in cells of {cell} m, nozzles fire over weedy cells,
and the receiver drifts slowly about the true way.
Nothing was measured on real ground.
Four fields (a square, a triangle, an angle, one along a creek; 24 to 33 ha)
carry 5 % weeds and three patches unless it says otherwise.

## The share

Truth is the area that nozzles sprayed, ground sprayed twice counting twice, as it does in the tank.
Wanted: within 2 % at a drift of 0.5 m and 3 % at 2 m.

{shares}

## The kind of log decides

A square of 31 ha with 5 % weeds and no patches, one row a second.

{kinds}

On means that any nozzle fired, so no share is ever made of on and off alone.

## Hot spots

Wanted: 0.9 or better at a background of 4 to 10 %.
Drift is 0.5 and 2 m, and half of the fields have curved runs.

{patches}

Of 30 fields without patches (background 2 to 35 %, weeds scattered or in clumps of 2 or 4 m),
{spots} showed a hot spot ({clumped} of them with clumps of 4 m).
Wanted: at most 1.

## Does a layer go together with it?

1,000 pairs of smooth ground and an ellipse of a tenth of it that has nothing to do with it;
shares 8 % with a standard deviation of 3 points.
Wanted: 3 to 7 % false.

{overlays}

## Does it come back?

Of the ground that was hot in either of two passes,
{same:.2f} was hot in both when the patches were the same, and {unlike:.2f} when they were others.
Of six machines with one dead section, {dead} were told which.

## The ground

Driven ground is counted in cells;
shapely's union of all strips within the field is another way to the same area.
Wanted: within 0.1 %.

{union}

Areas on the plane of the map differ from pyproj's geodesic areas by at most {plane}
(60 ragged fields each, latitudes from 75 degrees south to 72.5 north).
Wanted: within 1e-6 up to 10 km.
Most of it is the way between far corners, which is straight on the plane and a geodesic on the earth.

## Time

Wanted: 500,000 rows in at most 12 s and 1 GB.
{timing}

A workbook of a farm without a map holds no cell for one.

Each log is mapped by itself and only its result is kept, so time grows with the rows and memory does not.
Run once by hand, on 2026-11-28, with other work on the machine: 50,988,600 rows in 200 logs of 200 fields,
`--jobs 2`, in 1,347 s of processor time, 26.4 s a million rows;
both processes and the command held 0.90 GB together at most,
and each field showed the three patches that were put there.
Eight of these logs, 2 million rows, took 59.6 s in one process and 68.8 s in two, 29 and 34 s a million rows.

{many}
"""

if __name__ == "__main__":
    if sys.argv[1:2] == ["--time"]:
        print(timed(Path(sys.argv[2])))
    elif sys.argv[1:2] == ["--many"]:
        print(many(int(sys.argv[2])))
    else:
        main()
