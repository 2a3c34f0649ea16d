"""A flat plane for one field on which areas are those on the ellipsoid, and rings on it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: WGS84: equatorial radius [m] and flattening (NIMA TR8350.2, table 3.1).
RADIUS, FLATTENING = 6378137.0, 1 / 298.257223563
_E = np.sqrt(FLATTENING * (2 - FLATTENING))


def _q(latitude: Floats) -> Floats:
    """Return what the area between equator and parallel grows with; Snyder's equation 3-12."""
    sine = np.sin(latitude)
    return np.asarray((1 - _E**2) * (sine / (1 - (_E * sine) ** 2)
                                     - np.log((1 - _E * sine) / (1 + _E * sine)) / (2 * _E)))


_POLE = float(_q(np.array(np.pi / 2)))
#: Radius of the sphere that has the surface of the ellipsoid [m].
AUTHALIC = RADIUS * float(np.sqrt(_POLE / 2))


@dataclass(frozen=True)
class Plane:
    """Lambert's azimuthal equal-area projection of the ellipsoid about one point.

    An area on the plane is the area on the ellipsoid, and about the middle straight lines are shortest ways.

    References
    ----------
    J. P. Snyder (1987), Map projections: a working manual, USGS Professional Paper 1395, equations 24-17 to
    24-27 and 3-16 (numbers from memory); tested against pyproj and GeographicLib.
    """

    #: Where x and y are nought [deg]; not a pole
    latitude: float
    longitude: float

    def forward(self, latitude: Floats, longitude: Floats) -> tuple[Floats, Floats]:
        """Return x, y [m] of latitude, longitude [deg]."""
        beta, along = (_authalic(np.radians(latitude)),
                       np.radians((np.asarray(longitude) - self.longitude + 180) % 360 - 180))
        middle, stretch = self._middle
        sine, cosine = np.sin(beta), np.cos(beta)
        far = AUTHALIC * np.sqrt(2 / (1 + np.sin(middle) * sine + np.cos(middle) * cosine * np.cos(along)))
        x = far * stretch * cosine * np.sin(along)
        return (np.asarray(x),
                np.asarray(far / stretch * (np.cos(middle) * sine - np.sin(middle) * cosine * np.cos(along))))

    def back(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Return latitude, longitude [deg] of x, y [m]."""
        middle, stretch = self._middle
        across, up = np.asarray(x, float) / stretch, np.asarray(y, float) * stretch
        far = np.hypot(across, up)
        angle = 2 * np.arcsin(far / (2 * AUTHALIC))
        # At the middle itself there is no direction, and the second part is nought.
        part = np.where(far > 0, up * np.sin(angle) / np.where(far > 0, far, 1.0), 0.0)
        wanted = _POLE * (np.cos(angle) * np.sin(middle) + part * np.cos(middle))
        phi = np.arcsin(wanted / 2)
        for _ in range(5):
            phi = (phi + (1 - (_E * np.sin(phi)) ** 2) ** 2 / (2 * np.cos(phi)) * (wanted - _q(phi))
                   / (1 - _E**2))
        along = np.arctan2(across * np.sin(angle),
                           far * np.cos(middle) * np.cos(angle) - up * np.sin(middle) * np.sin(angle))
        return np.degrees(phi), self.longitude + np.degrees(np.where(far > 0, along, 0.0))

    @property
    def _middle(self) -> tuple[float, float]:
        """Return the authalic latitude of the middle [rad], and by how much east and north are stretched
        there.
        """
        phi = np.radians(np.float64(self.latitude))
        beta = float(_authalic(phi))
        radius = RADIUS * np.cos(phi) / np.sqrt(1 - (_E * np.sin(phi)) ** 2)
        return beta, float(radius / (AUTHALIC * np.cos(beta)))


def _authalic(latitude: Floats) -> Floats:
    return np.asarray(np.arcsin(np.clip(_q(latitude) / _POLE, -1, 1)))


def ring_area(x: Floats, y: Floats) -> float:
    """Return the area inside a ring [m2]; positive when it runs counterclockwise."""
    x, y = x - x[0], y - y[0]
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


def in_rings(x: Floats, y: Floats, rings: Iterable[Floats]) -> NDArray[np.bool_]:
    """Return which places lie inside an odd number of rings."""
    inside = np.zeros(len(x), bool)
    for ring in rings:
        near = np.flatnonzero((y >= ring[:, 1].min()) & (y <= ring[:, 1].max()) & (x <= ring[:, 0].max()))
        for (x0, y0), (x1, y1) in zip(ring, np.roll(ring, -1, axis=0), strict=True):
            if y0 != y1:
                crosses = (((y0 <= y[near]) != (y1 <= y[near]))
                           & (x[near] < x0 + (y[near] - y0) * (x1 - x0) / (y1 - y0)))
                inside[near[crosses]] ^= True
    return inside


Corner = tuple[int, int]


def outline(cells: NDArray[np.int64]) -> list[list[Floats]]:
    """Return polygons around cells: each an outer ring counterclockwise and its holes clockwise.

    Parameters
    ----------
    cells : array of shape (n, 2)
        Rows and columns.

    Returns
    -------
    list
        Rings of x, y counted in cells, not closed.
    """
    held = {(int(row), int(column)) for row, column in cells}
    ways: dict[Corner, list[Corner]] = defaultdict(list)
    for row, column in sorted(held):
        sides = (
            ((row - 1, column), (column, row), (column + 1, row)),
            ((row, column + 1), (column + 1, row), (column + 1, row + 1)),
            ((row + 1, column), (column + 1, row + 1), (column, row + 1)),
            ((row, column - 1), (column, row + 1), (column, row)),
        )
        for beyond, start, end in sides:
            if beyond not in held:
                ways[start].append(end)
    rings = []
    for points in (np.array(ring, float) for ring in _rings(ways)):
        # Corners in the middle of straight sides are left out.
        before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
        rings.append(np.asarray(points[before[:, 0] * after[:, 1] != before[:, 1] * after[:, 0]]))
    outer = [[ring] for ring in rings if ring_area(ring[:, 0], ring[:, 1]) > 0]
    for hole in (ring for ring in rings if ring_area(ring[:, 0], ring[:, 1]) <= 0):
        # A place just inside the filled side of the hole's first edge.
        for polygon in outer:
            if (in_rings(hole[:1, 0] + 1e-3, hole[:1, 1] + 1e-3, polygon[:1])[0]
                or in_rings(hole[:1, 0] - 1e-3, hole[:1, 1] - 1e-3, polygon[:1])[0]):
                polygon.append(hole)
                break
    return outer


def _rings(ways: dict[Corner, list[Corner]]) -> list[list[Corner]]:
    """Return the rings that ways make up.

    One that comes back to a corner is cut there, so that none touches itself.
    """
    found = []
    while ways:
        ring = [min(ways)]
        while ring:
            before, at = ring[-2] if len(ring) > 1 else ring[-1], ring[-1]
            now = _taken(ways, at, before)
            if now in ring:
                first = ring.index(now)
                found.append(ring[first:])
                ring = ring[:first] if first == 0 else ring[: first + 1]
            else:
                ring.append(now)
    return found


def _taken(ways: dict[Corner, list[Corner]], at: Corner, before: Corner) -> Corner:
    """Take the way on from a corner; where two cells touch by it, turn left, so that they stay apart."""
    ends = ways[at]
    if len(ends) > 1:
        came = (at[0] - before[0], at[1] - before[1])
        ends.sort(key=lambda end: came[0] * (end[1] - at[1]) - came[1] * (end[0] - at[0]))
    end = ends.pop()
    if not ends:
        del ways[at]
    return end
