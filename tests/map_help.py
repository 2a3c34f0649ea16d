"""Small simulated passes for the tests of the spray map."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from small_farm import small_farm

from workbook_builder.check.problems import Problem
from workbook_builder.core.inputs import Inputs
from workbook_builder.maps.analysis import beside_one_another, passes_of
from workbook_builder.maps.fields import named_fields
from workbook_builder.maps.headers import shipped_table
from workbook_builder.maps.logs import Log, read_log
from workbook_builder.maps.passes import Analysis, Farm, Planned
from workbook_builder.maps.plane import Plane
from workbook_builder.maps.shapes import Shape
from workbook_builder.maps.simulate import Machine, Patch, Sprayed, make_world, placed, spray
from workbook_builder.maps.told import Told
from workbook_builder.planning import make_plan

PLANE = Plane(41.0, -102.0)
RING = np.array([[0, 0], [420, 0], [420, 360], [0, 360]], float)
PATCHES = (Patch(120, 200, 45, 30, 30, 0.8), Patch(300, 110, 35, 35, 0, 0.7))
#: 0.002 L/m2 is 20 L/ha.
CARRIER = 0.002
ZONE, STARTED, DAY = "America/Denver", "2026-06-03T07:00:00", dt.date(2026, 6, 3)
PLAN = (Planned("Spot", "North", DAY, CARRIER, 36.0, 0.0), Planned("", "South"))


def source(seed: int) -> np.random.Generator:
    """Return a source of chance that is the same every time."""
    return np.random.Generator(np.random.PCG64(seed))


def grid_of(log: pd.DataFrame) -> pd.DataFrame:
    """Return simulated rows as the program has them once cleaned, on their own plane."""
    rows = pd.DataFrame({
        "lat": 0.0, "lon": 0.0, "seconds": log["seconds"], "value": log["nozzle_share"],
        "volume": log["volume"], "width": log["width"], "heading": np.nan,
        "machine": "", "section": log["section"].astype(str), "offset": 0.0, "pass": "", "x": log["x"],
        "y": log["y"],
    })
    rows["track"] = rows.groupby(["machine", "section"], sort=True).ngroup()
    return rows.sort_values(["track", "seconds"], kind="stable", ignore_index=True)


def simulated(background: float = 0.05, patches: tuple[Patch, ...] = PATCHES, seed: int = 1,
              ring: np.ndarray = RING, **machine: Any) -> Sprayed:
    """Return a simulated pass over a small field."""
    random = source(seed)
    return spray(make_world([ring], background, patches, random), Machine(**machine), random)


def boom_rows(log: pd.DataFrame) -> pd.DataFrame:
    """Return the log of a machine that knows no sections: one row a moment,
    shares averaged and volumes added.
    """
    found = log.groupby("seconds", as_index=False).agg(x=("x", "mean"), y=("y", "mean"),
                                                       width=("width", "sum"),
                                                       nozzle_share=("nozzle_share", "mean"),
                                                       volume=("volume", "sum"))
    return found.assign(section="")


#: Simulated passes that were written before, each with its text.
WRITTEN: dict[tuple[int, str, bool], tuple[Sprayed, str]] = {}


def csv_text(done: Sprayed, kind: str = "nozzles", whole_boom: bool = False) -> str:
    """Return a simulated pass as a CSV of one of the four kinds of log, in metric units.

    Nobody changes a pass.
    """
    asked = (id(done), kind, whole_boom)
    if asked not in WRITTEN:
        # Kept with the pass itself, so that no other comes to stand in its place.
        WRITTEN[asked] = done, _csv_text(done, kind, whole_boom)
    return WRITTEN[asked][1]


def _csv_text(done: Sprayed, kind: str, whole_boom: bool) -> str:
    log = placed(boom_rows(done.log) if whole_boom else done.log, PLANE, STARTED, ZONE)
    columns = ["time", "lat", "lon", "width", "section"]
    if kind == "nozzles":
        log, columns = log.rename(columns={"nozzle_share": "nozzle share"}), [*columns, "nozzle share"]
    elif kind == "volume":
        log["volume l"], columns = log["volume"] * CARRIER, [*columns, "volume l"]
    else:
        log["state"], columns = np.where(log["nozzle_share"] > 0, "on", "off"), [*columns, "state"]
    return str(log.rename(columns={"width": "width m"})[[column.replace("width", "width m")
                                                         for column in columns]].to_csv(index=False))


def shape(name: str = "North", ring: np.ndarray = RING, **said: str) -> Shape:
    """Return a ring of the plane as a boundary or overlay."""
    lat, lon = PLANE.back(ring[:, 0], ring[:, 1])
    return Shape(name, (np.column_stack([lon, lat]),), said)


def logged(path: Path, text: str | bytes, **options: Any) -> Log:
    """Write a file and read it as a log."""
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_log(path, shipped_table(), options.pop("system", "metric"), **options)


def mapped(*logs: Log, **options: Any) -> Analysis:
    """Return what logs tell of the field North."""
    plan, earlier = options.pop("plan", PLAN), options.pop("earlier", ())
    fields, problems = named_fields(options.pop("shapes", [shape()]),
                                    dict.fromkeys(each.field for each in plan), "")
    made, more = passes_of([*((log, False) for log in logs), *((log, True) for log in earlier)],
                           Farm(tuple(fields), tuple(plan), ZONE, **options))
    return beside_one_another(made, [*problems, *more])


def codes(problems: tuple[Problem, ...] | list[Problem]) -> set[str]:
    """Return the codes of problems."""
    return {problem.code for problem in problems}


def spot_farm(system: str = "us", **changes: dict[str, Any]) -> Inputs:
    """Return the smallest farm with the spot pass that the simulated logs are of."""
    us = system == "us"
    asked = {
        "farm": {"time_zone": ZONE}, "fields": {"area": 37.0 if us else 15.0},
        "sprayers": {"boom_width": 118.11 if us else 36.0, "spot_tank": 300.0},
        "passes": {"pass": "Spot", "method": "spot", "sprayed_share": 0.1, "carrier": 2.138 if us else 20.0,
                   "date": DAY},
    }
    for table, cells in changes.items():
        asked[table] = {**asked.get(table, {}), **cells}
    return small_farm(system, **asked)


def told_of(analysis: Analysis, system: str = "us", **changes: dict[str, Any]) -> Told:
    """Return the rows of an analysis on the smallest farm with the spot pass."""
    return Told(analysis, make_plan(spot_farm(system, **changes)))


def loads(area: float, volume: float) -> dict[str, Any]:
    """Return the row of the load log of that pass."""
    return {"pass": "Spot", "field": "North", "load": 1, "area_covered": area, "volume_sprayed": volume}
