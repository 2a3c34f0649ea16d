"""Published values of the spray map: areas on the ellipsoid, local G, false discovery rate."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from pyproj import Geod

from oracles.registry import computes
from workbook_builder.maps.plane import AUTHALIC, Floats, Plane, ring_area
from workbook_builder.maps.statistics import adjusted, local_g, moran

Given = Mapping[str, Any]

GEOD = Geod(ellps="WGS84")
#: The six points of esda's test, what was measured there, and its distance band.
POINTS = np.array([(10, 10), (20, 10), (40, 10), (15, 20), (30, 20), (30, 30)], float)
#: Grain yields [lb] of 500 plots of wheat, 20 rows of 25 (Mercer and Hall 1911).
WHEAT = Path(__file__).parents[1] / "published" / "wheat_plots.txt"
MEASURED, WITHIN = np.array([2, 3, 3.2, 5, 8, 7], float), 15.0


def along_geodesics(lat: Floats, lon: Floats, steps: int = 12_000) -> tuple[Floats, Floats]:
    """Return a closed ring with points between its corners, on the shortest ways on the ellipsoid."""
    found = []
    for at in range(len(lat)):
        end = (at + 1) % len(lat)
        azimuth, _, far = GEOD.inv(lon[at], lat[at], lon[end], lat[end])
        same = np.ones(steps)
        found.append(GEOD.fwd(lon[at] * same, lat[at] * same, azimuth * same,
                              far * np.arange(steps) / steps)[:2])
    lons, lats = np.concatenate(found, axis=1)
    return lats, lons


def plane_area(lat: Floats, lon: Floats) -> float:
    """Return the area of a ring on the plane about the middle of its extent [m2]."""
    return abs(ring_area(*Plane(float(np.mean(lat)), float(lon.min() + lon.max()) / 2).forward(lat, lon)))


@computes("maps-M0[1-4]", "maps.plane.Plane; corners joined by geodesics of pyproj")
def area_within_geodesics(given: Given, expected: Given) -> Given:
    """Return the area of a polygon whose sides are shortest ways; a pole has no longitude of its own."""
    lat, lon = along_geodesics(np.array(given["lat"]), np.array(given["lon"]))
    lon = np.where(np.abs(lat) > 90 - 1e-9, np.clip(lon, 0, 90), lon)
    return {"area_m2": plane_area(lat, lon)}


@computes("maps-M05", "maps.plane.AUTHALIC")
def whole_surface(given: Given, expected: Given) -> Given:
    """Return the surface of the sphere that stands for the ellipsoid."""
    return {"area_m2": 4 * np.pi * AUTHALIC**2}


@computes("maps-M0[67]", "maps.statistics.local_g")
def g_of_six_points(given: Given, expected: Given) -> Given:
    """Return local G of the first of six points."""
    far = np.hypot(*(POINTS[:, None] - POINTS[None]).transpose(2, 0, 1))
    weights = (far <= WITHIN).astype(float)
    if not given["itself"]:
        np.fill_diagonal(weights, 0)
    if given["standardised"]:
        weights /= weights.sum(axis=1, keepdims=True)
    z = local_g(MEASURED, weights @ MEASURED, weights.sum(axis=1), np.square(weights).sum(axis=1),
                bool(given["itself"]))
    return {"z": float(z[0])}


@computes("maps-M1[56]", "maps.statistics.moran; mean and deviation show that the plots are typed right")
def wheat(given: Given, expected: Given) -> Given:
    """Return mean, standard deviation and Moran's I of the wheat plots: neighbours share a side,
    and those of a plot count as one.
    """
    yields = np.loadtxt(WHEAT)
    apart = np.pad(yields - yields.mean(), 1)
    there = np.pad(np.ones(yields.shape), 1)
    beside, count = (part[:-2, 1:-1] + part[2:, 1:-1] + part[1:-1, :-2] + part[1:-1, 2:]
                     for part in (apart, there))
    found = {"mean": yields.mean(), "deviation": yields.std(ddof=1),
             "moran": moran(yields.ravel(), (beside / count).ravel(), np.ones(yields.size))}
    return {key: float(found[key]) for key in expected}


@computes("maps-M12", "maps.statistics.adjusted")
def rejected(given: Given, expected: Given) -> Given:
    """Return how many chances stay under the level after adjusting."""
    return {"rejected": int((adjusted(np.array(given["p"])) < given["level"]).sum())}
