"""A flat plane for one field on which areas are those on the ellipsoid."""

from __future__ import annotations

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
    return np.asarray((1 - _E**2) * (sine / (1 - (_E * sine) ** 2) - np.log((1 - _E * sine) / (1 + _E * sine)) / (2 * _E)))


_POLE = float(_q(np.array(np.pi / 2)))
#: Radius of the sphere that has the surface of the ellipsoid [m].
AUTHALIC = RADIUS * float(np.sqrt(_POLE / 2))


@dataclass(frozen=True)
class Plane:
    """Lambert's azimuthal equal-area projection of the ellipsoid about one point.

    An area on the plane is the area on the ellipsoid, and about the middle straight lines are shortest ways.

    Parameters
    ----------
    latitude, longitude : float
        Where x and y are nought [deg]; not a pole.

    References
    ----------
    J. P. Snyder (1987), Map projections: a working manual, USGS Professional Paper 1395, equations 24-17 to
    24-27 and 3-16 (numbers from memory); tested against pyproj and GeographicLib.
    """

    latitude: float
    longitude: float

    def forward(self, latitude: Floats, longitude: Floats) -> tuple[Floats, Floats]:
        """Return x, y [m] of latitude, longitude [deg]."""
        beta, along = _authalic(np.radians(latitude)), np.radians((np.asarray(longitude) - self.longitude + 180) % 360 - 180)
        middle, stretch = self._middle
        sine, cosine = np.sin(beta), np.cos(beta)
        far = AUTHALIC * np.sqrt(2 / (1 + np.sin(middle) * sine + np.cos(middle) * cosine * np.cos(along)))
        x = far * stretch * cosine * np.sin(along)
        return np.asarray(x), np.asarray(far / stretch * (np.cos(middle) * sine - np.sin(middle) * cosine * np.cos(along)))

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
            phi = phi + (1 - (_E * np.sin(phi)) ** 2) ** 2 / (2 * np.cos(phi)) * (wanted - _q(phi)) / (1 - _E**2)
        along = np.arctan2(across * np.sin(angle), far * np.cos(middle) * np.cos(angle) - up * np.sin(middle) * np.sin(angle))
        return np.degrees(phi), self.longitude + np.degrees(np.where(far > 0, along, 0.0))

    @property
    def _middle(self) -> tuple[float, float]:
        """Return the authalic latitude of the middle [rad], and by how much east and north are stretched there."""
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
