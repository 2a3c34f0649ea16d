"""Ground as small cells: which lie in a field, which a strip covers, how often, with how much."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from workbook_builder.maps.plane import Floats
from workbook_builder.maps.tracks import Swaths

Ints = NDArray[np.int64]

#: Side of a cell [m], and the most cells a field is cut into; a larger field gets larger cells.
SIDE, MOST_CELLS = 0.5, 12_000_000
#: Cells filled at a time: enough to be quick, few enough to be small.
AT_A_TIME = 4_000_000


@dataclass
class Ground:
    """Cells of one field; row 0 is the southernmost."""

    #: South-west corner [m]
    x: float
    y: float
    side: float  # Side of a cell [m]
    inside: NDArray[np.bool_]  # Cells whose middle lies in the field
    times: NDArray[np.uint16]  # In how many runs the cell was driven over
    #: Sum and largest over those runs of the share that sprayed (0 to 1), or of the volume [L/m2]
    amount: NDArray[np.float32]
    most: NDArray[np.float32]

    @property
    def cell_area(self) -> float:
        """Return the area of a cell [m2]."""
        return self.side**2


def ground_of(rings: Sequence[Floats]) -> Ground:
    """Return the empty ground of a field.

    Parameters
    ----------
    rings : sequence of array
        x, y [m], two columns; what lies inside an odd number of rings is in the field.
    """
    points = np.vstack(rings)
    low, high = points.min(axis=0), points.max(axis=0)
    side = max(SIDE, float(np.sqrt(np.prod(high - low) / MOST_CELLS)))
    columns, rows = (int(number) for number in np.ceil((high - low) / side).astype(int) + 1)
    inside = inside_of([(ring - low) / side for ring in rings], (rows, columns))
    blank = [np.zeros((rows, columns), kind) for kind in (np.uint16, np.float32, np.float32)]
    return Ground(float(low[0]), float(low[1]), side, inside, *blank)


def inside_of(rings: Sequence[Floats], shape: tuple[int, int]) -> NDArray[np.bool_]:
    """Return the cells whose middle lies inside an odd number of rings.

    Parameters
    ----------
    rings : sequence of array
        Corners counted in cells.
    shape : (rows, columns)
    """
    toggles = np.zeros((shape[0], shape[1] + 1), np.int32)
    for ring in rings:
        start, end = ring, np.roll(ring, -1, axis=0)
        low, high = np.minimum(start[:, 1], end[:, 1]), np.maximum(start[:, 1], end[:, 1])
        first = np.clip(np.ceil(low - 0.5), 0, shape[0]).astype(int)
        count = np.maximum(np.clip(np.ceil(high - 0.5), 0, shape[0]).astype(int) - first, 0)
        edge, row = np.repeat(np.arange(len(ring)), count), _counting(first, count)
        part = (row + 0.5 - start[edge, 1]) / (end[edge, 1] - start[edge, 1])
        x = start[edge, 0] + part * (end[edge, 0] - start[edge, 0])
        np.add.at(toggles, (row, np.clip(np.ceil(x - 0.5), 0, shape[1]).astype(int)), 1)
    return np.asarray(np.cumsum(toggles, axis=1)[:, :-1] % 2 == 1)


def _counting(first: Ints, count: Ints) -> Ints:
    """Return first, first + 1, ... count times each, one after the other."""
    ends = np.cumsum(count)
    return np.arange(ends[-1] if len(ends) else 0) - np.repeat(ends - count, count) + np.repeat(first, count)


def covered(quads: Floats, shape: tuple[int, int]) -> tuple[Ints, Ints]:
    """Return which strip covers the middle of which cell: numbers of strips, and of cells counted row by row.

    Parameters
    ----------
    quads : array of shape (n, 4, 2)
        Corners counted in cells, in order around.
    shape : (rows, columns)

    Notes
    -----
    A cell counts only when its middle is inside, from the left edge up to but not including the right one,
    so strips that share an edge share no cell.
    """
    y = quads[:, :, 1]
    first = np.clip(np.ceil(y.min(axis=1) - 0.5), 0, shape[0]).astype(np.int64)
    count = np.maximum(np.clip(np.ceil(y.max(axis=1) - 0.5), 0, shape[0]).astype(np.int64) - first, 0)
    quad, row = np.repeat(np.arange(len(quads)), count), _counting(first, count)
    middle = row + 0.5
    left, right = np.full(len(quad), np.inf), np.full(len(quad), -np.inf)
    for corner in range(4):
        x0, y0 = quads[quad, corner].T
        x1, y1 = quads[quad, (corner + 1) % 4].T
        crosses = (y0 <= middle) != (y1 <= middle)
        x = x0 + (middle - y0) * (x1 - x0) / np.where(crosses, y1 - y0, 1.0)
        left, right = np.where(crosses & (x < left), x, left), np.where(crosses & (x > right), x, right)
    crossed = np.isfinite(left)
    start = np.clip(np.ceil(np.where(crossed, left, 0.0) - 0.5), 0, shape[1]).astype(np.int64)
    length = np.clip(np.ceil(np.where(crossed, right, 0.0) - 0.5), 0, shape[1]).astype(np.int64) - start
    length = np.maximum(length, 0)
    return np.repeat(quad, length), _counting(row * shape[1] + start, length)


def strip_area(quads: Floats) -> Floats:
    """Return the area of each strip, in squares of the unit of its corners."""
    x, y = quads[:, :, 0], quads[:, :, 1]
    return np.asarray(np.abs(np.sum(x * np.roll(y, -1, axis=1) - y * np.roll(x, -1, axis=1), axis=1)) / 2)


def reach(ground: Ground, strips: Swaths) -> Floats:
    """Return how much of each strip lies in the field [m2]."""
    quads = (strips.quads - (ground.x, ground.y)) / ground.side
    within = np.zeros(len(quads))
    for first, end in _batches(strip_area(quads)):
        quad, cell = covered(quads[first:end], ground.inside.shape)
        within[first:end] = np.bincount(quad[ground.inside.reshape(-1)[cell]], minlength=end - first)
    return within * ground.cell_area


def spread(ground: Ground, strips: Swaths, told: Floats) -> None:
    """Lay strips on the ground.

    Parameters
    ----------
    ground : Ground
        Changed in place.
    strips : Swaths
        In the order of their runs.
    told : array
        Share of each that sprayed, or volume on it [L/m2]; 0 where it is not known.

    Notes
    -----
    Within a run a cell counts once, however sharp the bend.  Turns in which nothing was sprayed are laid
    last and only on ground that nothing else covers: there the boom was off,
    and the ground was not driven twice.
    """
    quads = (strips.quads - (ground.x, ground.y)) / ground.side
    idle = strips.turning & (told == 0)
    last = np.full(ground.inside.size, -1, np.int32)
    for chosen, only_new in ((np.flatnonzero(~idle), False), (np.flatnonzero(idle), True)):
        for first, end in _batches(strip_area(quads[chosen])):
            part = chosen[first:end]
            quad, cell = covered(quads[part], ground.inside.shape)
            hit = ground.inside.reshape(-1)[cell]
            _lay(ground, last, strips.run[part], told[part], quad[hit], cell[hit], only_new)


def _lay(ground: Ground, last: NDArray[np.int32], run: Ints, told: Floats, quad: Ints, cell: Ints,
         only_new: bool) -> None:
    """Count the cells of some strips, run by run; `last` holds the run that covered a cell last."""
    times, amount, most = (part.reshape(-1) for part in (ground.times, ground.amount, ground.most))
    if only_new:
        times[cell[times[cell] == 0]] = 1
        return
    ends = np.flatnonzero(np.diff(run[quad])) + 1
    for start, end in zip([0, *ends], [*ends, len(quad)], strict=True):
        here = cell[start:end]
        fresh = last[here] != run[quad[start]] if end > start else np.zeros(0, bool)
        here, value = here[fresh], told[quad[start:end][fresh]].astype(np.float32)
        # Of a cell that two strips of the run cover, the later one stays.
        last[here] = np.arange(len(here), dtype=np.int32)
        once = last[here] == np.arange(len(here))
        here, value = here[once], value[once]
        last[here] = run[quad[start]] if end > start else 0
        times[here] += 1
        amount[here] += value
        most[here] = np.maximum(most[here], value)


def _batches(size: Floats) -> Iterator[tuple[int, int]]:
    """Yield first and end of groups of strips that fill about as many cells as may be filled at a time."""
    total = np.cumsum(size + 4)
    bounds = np.searchsorted(total, np.arange(AT_A_TIME, total[-1] if len(total) else 0, AT_A_TIME))
    edges = np.unique(np.concatenate([[0], bounds, [len(size)]]))
    return ((int(first), int(last)) for first, last in pairwise(edges) if last > first)


@dataclass(frozen=True)
class Grid:
    """The ground in larger cells."""

    side: float  # Side of a cell [m]
    #: South-west corner [m]
    x: float
    y: float
    area: Floats  # Area of the field in every cell [m2]; row 0 is the southernmost
    driven: Floats  # Area driven over at least once [m2]
    amount: Floats  # Area sprayed [m2], each piece of ground once, or the volume on it [L]


def gridded(ground: Ground, side: float) -> Grid:
    """Return the ground summed up in square cells of another side [m]."""
    rows, columns = ground.inside.shape
    row = ((np.arange(rows) + 0.5) * ground.side // side).astype(int)
    column = ((np.arange(columns) + 0.5) * ground.side // side).astype(int)
    shape = (row[-1] + 1, column[-1] + 1)

    def summed(part: NDArray[np.generic]) -> Floats:
        by_row = np.add.reduceat(part.astype(float), np.unique(row, return_index=True)[1], axis=0)
        return np.asarray(np.add.reduceat(by_row, np.unique(column, return_index=True)[1],
                                          axis=1)) * ground.cell_area

    sums = [summed(part) for part in (ground.inside, ground.times > 0, ground.most)]
    assert sums[0].shape == shape
    return Grid(side, ground.x, ground.y, *sums)


def cover(rings: Sequence[Floats], grid: Grid, ground: Ground) -> Floats:
    """Return which fraction of the field in every cell of a grid lies inside rings [m]."""
    origin = np.array([ground.x, ground.y])
    hit = inside_of([(ring - origin) / ground.side for ring in rings], ground.inside.shape) & ground.inside
    part = gridded(replace(ground, inside=hit), grid.side).area
    return np.asarray(part / np.maximum(grid.area, 1e-9))
