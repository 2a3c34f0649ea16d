"""Which rows of a log lie in which field."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from workbook_builder.check.problems import WARNING, Problem, suggestion
from workbook_builder.maps.hot_spots import to_boundary
from workbook_builder.maps.logs import Log
from workbook_builder.maps.plane import Floats, Plane, in_rings
from workbook_builder.maps.shapes import Shape
from workbook_builder.read.text_files import BadFile

#: Rows looked at to find out whether latitude and longitude stand in each other's columns.
SAMPLE = 4000
#: Swapped when fewer than this share of the rows lie in a field, and more than the other one after swapping.
FEW, MANY = 0.05, 0.5
#: Fields reach no further [m]; the plane is true to a millionth up to 10 km.
LARGEST = 20_000.0
#: Rows this far around a field [m] are kept with it, for turns outside of it.
AROUND = 150.0


def named_fields(shapes: Sequence[Shape], known: Iterable[str],
                 file: str) -> tuple[list[Shape], list[Problem]]:
    """Return the boundaries of fields of the farm, in its spelling, parts of one field together.

    Raises
    ------
    BadFile
        When none of them is a field of the farm.
    """
    spelling = {name.casefold(): name for name in known}
    found: dict[str, Shape] = {}
    problems = []
    for shape in shapes:
        name = spelling.get(shape.name.casefold())
        if name is None:
            message = (f"the boundary {shape.name!r} is no field of the farm and is left out" if shape.name
                       else "a boundary has no name and is left out")
            problems.append(Problem("map-shape", message, file, severity=WARNING,
                                    fix=suggestion(shape.name, list(spelling.values()))))
        elif name in found:
            found[name] = replace(found[name], rings=found[name].rings + shape.rings)
        else:
            found[name] = replace(shape, name=name)
    for shape in found.values():
        # How far a boundary reaches, the longer of north to south and east to west [m].
        points = np.vstack(shape.rings)
        size = points.max(axis=0) - points.min(axis=0)
        far = float(111_320 * max(size[1], size[0] * np.cos(np.radians(np.abs(points[:, 1]).min()))))
        if far > LARGEST:
            message = f"the boundary of {shape.name} is {far / 1000:,.0f} km across, which no field is"
            raise BadFile(Problem("map-shape", message, file, fix="Draw the boundary again"))
    if not found:
        fix = "Give every boundary a property field, spelled as in the table of fields"
        raise BadFile(Problem("map-shape", "no boundary is named like a field of the farm", file, fix=fix))
    return list(found.values()), problems


def put_right(log: Log, fields: Sequence[Shape]) -> Log:
    """Return a log with latitude and longitude in their own columns.

    Raises
    ------
    BadFile
        When its coordinates are no degrees, or lie in no field either way.
    """
    rows = log.rows
    lat, lon = rows["lat"].to_numpy(), rows["lon"].to_numpy()
    known = np.flatnonzero(np.isfinite(lat) & np.isfinite(lon) & ((lat != 0) | (lon != 0)))
    if not len(known):
        return log
    if (np.maximum(np.abs(lat[known]), np.abs(lon[known])) > 360).mean() > 0.5:
        message = (f"coordinates such as {lat[known[0]]:.0f}, {lon[known[0]]:.0f} are no latitude and "
                   f"longitude")
        raise BadFile(Problem("map-projected", message, log.name,
                              fix="Export the log in latitude and longitude (WGS84, EPSG:4326)"))
    some = known[:: max(1, len(known) // SAMPLE)]
    straight = share_in(lat[some], lon[some], fields)
    if straight < FEW and share_in(lon[some], lat[some], fields) > MANY:
        message = "latitude and longitude stood in each other's columns and are swapped"
        problem = Problem("log-swapped", message, log.name, severity=WARNING,
                          fix="Check the headers of the log")
        return replace(log, rows=rows.rename(columns={"lat": "lon", "lon": "lat"}),
                       problems=(*log.problems, problem))
    if straight == 0 and not any(len(rows_near(rows, field)) for field in fields):
        raise BadFile(elsewhere(log, fields))
    return log


def elsewhere(log: Log, fields: Sequence[Shape]) -> Problem:
    """Return the problem of a log that lies in no field, with the nearest one."""
    found = log.rows[log.rows["lat"].notna() & log.rows["lon"].notna()
                     & ((log.rows["lat"] != 0) | (log.rows["lon"] != 0))]
    plane = Plane(float(found["lat"].median()), float(found["lon"].median()))
    far, name = min((to_boundary(0.0, 0.0, field.on(plane)), field.name) for field in fields)
    message = f"all rows lie outside every field; the nearest is {name}, {far / 1000:,.1f} km away"
    return Problem("log-outside", message, log.name, fix="Check that log and boundaries belong to one farm")


def share_in(lat: Floats, lon: Floats, fields: Sequence[Shape]) -> float:
    """Return which share of some places lies in a field."""
    found = np.zeros(len(lat), bool)
    for field in fields:
        found |= in_rings(lon, lat, field.rings)
    return float(found.mean())


def rows_near(rows: pd.DataFrame, field: Shape) -> pd.DataFrame:
    """Return rows in or about a field."""
    points = np.vstack(field.rings)
    low, high = points.min(axis=0), points.max(axis=0)
    up = AROUND / 111_000
    right = up / max(0.05, float(np.cos(np.radians(max(abs(low[1]), abs(high[1]))))))
    return rows[rows["lat"].between(low[1] - up, high[1] + up)
                & rows["lon"].between(low[0] - right, high[0] + right)]
