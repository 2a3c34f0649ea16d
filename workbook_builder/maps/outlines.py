"""Outlines of cells that belong together, as polygons with holes."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
from numpy.typing import NDArray

from workbook_builder.maps.fields import in_rings
from workbook_builder.maps.plane import Floats, ring_area

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
            ((row - 1, column), (column, row), (column + 1, row)), ((row, column + 1), (column + 1, row), (column + 1, row + 1)),
            ((row + 1, column), (column + 1, row + 1), (column, row + 1)), ((row, column - 1), (column, row + 1), (column, row)),
        )
        for beyond, start, end in sides:
            if beyond not in held:
                ways[start].append(end)
    rings = [_simple(ring) for ring in _rings(ways)]
    outer = [[ring] for ring in rings if ring_area(ring[:, 0], ring[:, 1]) > 0]
    for hole in (ring for ring in rings if ring_area(ring[:, 0], ring[:, 1]) <= 0):
        # A place just inside the filled side of the hole's first edge.
        for polygon in outer:
            if in_rings(hole[:1, 0] + 1e-3, hole[:1, 1] + 1e-3, polygon[:1])[0] or in_rings(hole[:1, 0] - 1e-3, hole[:1, 1] - 1e-3, polygon[:1])[0]:
                polygon.append(hole)
                break
    return outer


def _rings(ways: dict[Corner, list[Corner]]) -> list[list[Corner]]:
    """Return the rings that ways make up; one that comes back to a corner is cut there, so that none touches itself."""
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


def _simple(ring: list[Corner]) -> Floats:
    """Return a ring without corners in the middle of straight sides."""
    points = np.array(ring, float)
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    return np.asarray(points[before[:, 0] * after[:, 1] != before[:, 1] * after[:, 0]])
