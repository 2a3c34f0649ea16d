"""Hot spots: places where clearly more was sprayed than on the rest of the field."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from workbook_builder.maps.plane import Floats
from workbook_builder.maps.raster import Grid
from workbook_builder.maps.statistics import adjusted, local_g, normal_tail

#: Side of the cells in which spots are looked for [m].
SIDE = 12.0
#: A cell counts when at least this much of it lies in the field and was driven.
LEAST_DRIVEN = 0.5
#: Above the median by this share, or by this many robust standard deviations, and in this many touching
#: cells.
LEAST_ABOVE, DEVIATIONS, LEAST_CELLS = 0.05, 4.0, 3
#: A cell's own share is above the median by at least this part of what its smoothed share is above.
OWN = 0.75
#: 1.4826 x the median absolute deviation is the standard deviation of a normal spread.
ROBUST = 1.4826
#: Pieces in one line with gaps up to this many cells are one strip; a strip is this much longer than wide.
GAP_CELLS, STRIP = 5, 6.0
MOST_SPOTS = 20


@dataclass(frozen=True)
class Spot:
    """One hot spot."""

    cells: NDArray[np.int64]  # shape (n, 2): Rows and columns of the grid
    #: Middle [m]
    x: float
    y: float
    area: float  # Field in its cells [m2]
    sprayed: float  # Of it sprayed [m2]; NaN where the log does not say
    background: float  # Median share of the field
    to_edge: float  # From the middle to the nearest boundary [m]
    length_over_width: float
    bearing_to_runs: float  # Between its long direction and the runs [deg, 0 to 90]
    z: float  # Largest Gi* of its cells
    stands_out: bool  # Whether most of its cells pass Gi* with Benjamini-Hochberg too

    @property
    def extra(self) -> float:
        """Return what was sprayed beyond the background [m2]."""
        return self.sprayed - self.background * self.area


def boxed(part: Floats) -> Floats:
    """Return the sum over each cell and the eight around it."""
    wide = np.pad(part, 1)
    rows = wide[:-2] + wide[1:-1] + wide[2:]
    return np.asarray(rows[:, :-2] + rows[:, 1:-1] + rows[:, 2:])


def counted_cells(grid: Grid) -> NDArray[np.bool_]:
    """Return cells of which enough lies in the field and was driven."""
    return np.asarray(grid.driven >= LEAST_DRIVEN * grid.side**2)


def cell_shares(grid: Grid) -> tuple[NDArray[np.bool_], Floats]:
    """Return the cells that count, and which share of each was sprayed; nought on the others."""
    valid = counted_cells(grid)
    return valid, np.where(valid, grid.amount / np.maximum(grid.driven, 1e-9), 0.0)


def smoothed(grid: Grid) -> Floats:
    """Return the share that was sprayed of each cell and its neighbours together."""
    return np.asarray(boxed(grid.amount) / np.maximum(boxed(grid.driven), 1e-9))


def hot_cells(grid: Grid) -> tuple[NDArray[np.bool_], float]:
    """Return the cells of hot spots, and the median share of the field.

    Notes
    -----
    A cell is hot where its smoothed share is at least the median + max(5 points, 4 x 1.4826 x MAD), its own
    share lies at least three quarters as far above the median (so that a spot does not spread by its
    smoothing),
    and at least two more hot cells touch it or one another.  The rule is our own, chosen on simulated fields
    (docs/spray-map-study.md).
    """
    valid, share = counted_cells(grid), smoothed(grid)
    if not valid.any():
        return valid, 0.0
    middle = float(np.median(share[valid]))
    spread = ROBUST * float(np.median(np.abs(share[valid] - middle)))
    above = max(LEAST_ABOVE, DEVIATIONS * spread)
    hot = valid & (share >= middle + above) & (grid.amount >= (middle + OWN * above) * grid.driven)
    labels, count = labelled(hot)
    sizes = np.bincount(labels.ravel(), minlength=count + 1)
    return hot & (sizes[labels] >= LEAST_CELLS), middle


def labelled(hot: NDArray[np.bool_]) -> tuple[NDArray[np.int64], int]:
    """Number groups of cells that touch, also by a corner; 0 is none."""
    labels = np.zeros(hot.shape, np.int64)
    count = 0
    for start in map(tuple, np.argwhere(hot)):
        if labels[start]:
            continue
        count += 1
        labels[start] = count
        waiting = [start]
        while waiting:
            row, column = waiting.pop()
            for near in ((row + up, column + right) for up in (-1, 0, 1) for right in (-1, 0, 1)):
                if (0 <= near[0] < hot.shape[0] and 0 <= near[1] < hot.shape[1] and hot[near]
                    and not labels[near]):
                    labels[near] = count
                    waiting.append(near)
    return labels, count


def hot_spots(grid: Grid, rings: Sequence[Floats], middles: Floats, headings: Floats,
              measured: bool = True) -> list[Spot]:
    """Return the hot spots of a field, the one with most extra spray first.

    Parameters
    ----------
    grid : Grid
        Cells of `SIDE`.
    rings : sequence of array
        Boundary [m].
    middles, headings : array
        Middles [m] and headings [deg] of the strips that were driven.
    measured : bool
        Whether the log measures shares; else it tells where, not how much.
    """
    hot, middle = hot_cells(grid)
    labels, count = labelled(hot)
    if not count:
        return []
    z, stands_out = second_opinion(grid)
    found = []
    for cells in joined([np.argwhere(labels == number + 1) for number in range(count)]):
        rows, columns = cells.T
        weight = grid.driven[rows, columns]
        x = grid.x + float(np.average(columns + 0.5, weights=weight)) * grid.side
        y = grid.y + float(np.average(rows + 0.5, weights=weight)) * grid.side
        long, wide, bearing = extent(cells.astype(float))
        # The usual direction of the runs about some cells [deg, 0 to 180], turns left to the many straight
        # rows.
        low = (cells.min(axis=0)[::-1] - 1) * grid.side + (grid.x, grid.y)
        high = (cells.max(axis=0)[::-1] + 2) * grid.side + (grid.x, grid.y)
        near = ((middles >= low) & (middles <= high)).all(axis=1)
        twice = np.radians(2 * (headings[near] if near.any() else headings))
        # The angle between two directions in which both ends are alike [deg, 0 to 90].
        apart = abs(bearing - float(np.degrees(np.arctan2(np.sin(twice).sum(), np.cos(twice).sum()))
                                    / 2 % 180)) % 180
        to_runs = min(apart, 180 - apart)
        edge = to_boundary(x, y, rings)
        found.append(Spot(
            cells, x, y, float(grid.area[rows, columns].sum()), float(grid.amount[rows, columns].sum()),
            middle, edge, long / wide, to_runs,
            float(z[rows, columns].max()), bool(stands_out[rows, columns].mean() >= 0.5),
        ))
    found.sort(key=lambda spot: -spot.extra)
    if not measured:
        # On and off tell where, and never how much.
        found = [replace(spot, sprayed=float("nan"), background=float("nan")) for spot in found]
    return found[:MOST_SPOTS]


def second_opinion(grid: Grid) -> tuple[Floats, NDArray[np.bool_]]:
    """Return Gi* of each cell with its eight neighbours, and whether it passes 5 % with Benjamini-Hochberg.
    """
    valid, share = cell_shares(grid)
    near = boxed(valid.astype(float))
    z = np.zeros(valid.shape)
    if valid.sum() > 2:
        z[valid] = local_g(share[valid], boxed(share)[valid], near[valid], near[valid])
    passes = np.zeros(valid.shape, bool)
    if valid.any():
        passes[valid] = adjusted(normal_tail(z[valid])) < 0.05
    return z, passes


def joined(pieces: list[NDArray[np.int64]]) -> list[NDArray[np.int64]]:
    """Join pieces that lie in one line with small gaps, until none are left."""
    pieces = list(pieces)
    at = 0
    while at < len(pieces):
        for other in range(at + 1, len(pieces)):
            if _in_line(pieces[at], pieces[other]):
                pieces[at] = np.vstack([pieces[at], pieces.pop(other)])
                at = -1
                break
        at += 1
    return pieces


def _in_line(one: NDArray[np.int64], other: NDArray[np.int64]) -> bool:
    apart = np.abs(one[:, None, :] - other[None, :, :]).max(axis=2).min()
    if apart > GAP_CELLS + 1:
        return False
    long, wide, _ = extent(np.vstack([one, other]).astype(float))
    # Neither piece is much wider than the line.
    return bool(long >= STRIP * wide and wide <= 3.5)


def extent(points: Floats) -> tuple[float, float, float]:
    """Return length and width of cells as those of a rectangle alike,
    and its bearing [deg clockwise from north].

    Parameters
    ----------
    points : array
        Rows and columns.
    """
    about = points - points.mean(axis=0)
    # A single cell is one long and one wide: the variance of a side of length 1 is 1/12.
    values, vectors = np.linalg.eigh(about.T @ about / len(points) + np.eye(2) / 12)
    long, wide = np.sqrt(12 * values[1]), np.sqrt(12 * values[0])
    return float(long), float(wide), float(np.degrees(np.arctan2(vectors[1, 1], vectors[0, 1])) % 180)


def to_boundary(x: float, y: float, rings: Sequence[Floats]) -> float:
    """Return the distance from a place to the nearest boundary [m]."""
    nearest = np.inf
    for ring in rings:
        start, way = ring, np.roll(ring, -1, axis=0) - ring
        part = np.clip(np.sum(((x, y) - start) * way, axis=1) / np.maximum(np.square(way).sum(axis=1), 1e-12),
                       0, 1)
        close = start + part[:, None] * way
        nearest = min(nearest, float(np.hypot(close[:, 0] - x, close[:, 1] - y).min()))
    return nearest
