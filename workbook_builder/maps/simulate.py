"""Simulated spot passes over fields whose weeds are known: for the demo,
and for measuring what a log can tell.

Nothing here is measured on real ground: weeds are drawn cell by cell, nozzles fire over weedy cells, and the
receiver drifts slowly about the true way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from workbook_builder.maps.plane import Floats, Plane
from workbook_builder.maps.raster import inside_of

#: Side of the cells in which weeds are drawn, and spacing of nozzles [m].
CELL = 0.5


@dataclass(frozen=True)
class Patch:
    """An ellipse of ground with many weeds."""

    #: Middle [m]
    x: float
    y: float
    #: Half axes [m]
    long: float
    wide: float
    turned: float  # Direction of the long one [deg clockwise from north]
    share: float  # Share of its cells with weeds


@dataclass(frozen=True)
class World:
    """A field with its weeds."""

    #: South-west corner of its cells [m]
    x: float
    y: float
    #: Cells of the field, and those of them with weeds
    inside: NDArray[np.bool_]
    weedy: NDArray[np.bool_]
    rings: tuple[Floats, ...]  # Boundary [m]

    def at(self, x: Floats, y: Floats) -> NDArray[np.bool_]:
        """Return whether there are weeds at some places [m]."""
        column, row = np.floor((x - self.x) / CELL).astype(int), np.floor((y - self.y) / CELL).astype(int)
        on = (column >= 0) & (row >= 0) & (column < self.weedy.shape[1]) & (row < self.weedy.shape[0])
        found = np.zeros(x.shape, bool)
        found[on] = self.weedy[row[on], column[on]]
        return found


@dataclass(frozen=True)
class Machine:
    """A sprayer and how it drives."""

    #: Widths [m]
    boom: float = 36.0
    section: float = 3.0
    speed: float = 5.0  # [m/s]
    every: float = 1.0  # Time between rows of the log [s]
    overlap: float = 0.5  # By how much neighbouring runs overlap [m]
    direction: float = 0.0  # Of the runs [deg clockwise from north]
    bend: float = 0.0  # How far runs swing to either side [m]; nought drives straight
    headland: bool = False  # Whether the edge is driven round first
    drift: float = 0.5  # Standard deviation of the receiver's slow drift [m]
    dead: tuple[int, ...] = ()  # Sections that never spray, counted from 0 at the left


@dataclass(frozen=True)
class Sprayed:
    """What was done, and what is known of it."""

    #: One row a section and moment: `seconds`, `x`, `y` [m] of the middle of the section as logged, `width`
    #: [m], `section`,
    #: `nozzle_share`, `volume` for a carrier of 1 L/m2 [L]
    log: pd.DataFrame
    emitted: float  # Area that nozzles sprayed, ground sprayed twice counting twice [m2]
    ground: float  # Area of ground sprayed at least once [m2]


def make_world(rings: Sequence[Floats], background: float, patches: Sequence[Patch],
               chance: np.random.Generator, clump: float = 0.0) -> World:
    """Draw the weeds of a field.

    Parameters
    ----------
    rings : sequence of array
        Boundary [m].
    background : float
        Share of cells with weeds outside the patches.
    patches : sequence of Patch
    chance : Generator
    clump : float
        Size of clumps in which the weeds of the background stand [m]; nought draws every cell by itself.
    """
    points = np.vstack(rings)
    low, high = points.min(axis=0), points.max(axis=0)
    columns, rows = (int(number) for number in np.ceil((high - low) / CELL).astype(int) + 1)
    inside = inside_of([(ring - low) / CELL for ring in rings], (rows, columns))
    x, y = np.meshgrid(low[0] + (np.arange(columns) + 0.5) * CELL, low[1] + (np.arange(rows) + 0.5) * CELL)
    share = np.full(x.shape, background)
    for patch in patches:
        sin, cos = np.sin(np.radians(patch.turned)), np.cos(np.radians(patch.turned))
        along, across = (x - patch.x) * sin + (y - patch.y) * cos, (x - patch.x) * cos - (y - patch.y) * sin
        share = np.where((along / patch.long) ** 2 + (across / patch.wide) ** 2 <= 1,
                         np.maximum(share, patch.share), share)
    block = max(1, round(clump / CELL))
    drawn = chance.random((rows // block + 1, columns // block + 1))
    drawn = np.repeat(np.repeat(drawn, block, axis=0), block, axis=1)[:rows, :columns]
    return World(float(low[0]), float(low[1]), inside, inside & (drawn < share), tuple(rings))


def way_over(world: World, machine: Machine) -> Floats:
    """Return the true way of the middle of the boom, a point every step of the log [m], two columns."""
    ring, field = world.rings[0], replace(world, weedy=world.inside)
    turn = np.radians(machine.direction)
    frame = np.array([[np.sin(turn), np.cos(turn)], [np.cos(turn), -np.sin(turn)]])
    # Columns: along the runs, and across them to the right.
    flat = ring @ frame.T
    low, high = flat.min(axis=0), flat.max(axis=0)
    apart = machine.boom - machine.overlap
    margin = machine.boom if machine.headland else 0.0
    step = machine.speed * machine.every
    pieces = [_headland(ring, machine, step)] if machine.headland else []
    first = low[1] + margin + machine.boom / 2
    for number, across in enumerate(np.arange(first, high[1] - margin + machine.boom / 2 + 1e-9, apart)):
        along = np.arange(low[0] - step, high[0] + step, step)
        line = np.column_stack([along, across + machine.bend * np.sin(along / 120)])
        xy = line @ frame
        # Points of the run at which any part of the boom is over the field.
        over = np.zeros(len(xy), bool)
        for part in np.linspace(-0.5, 0.5, 9) * machine.boom * 0.98:
            over |= field.at(xy[:, 0] + part * np.cos(turn), xy[:, 1] - part * np.sin(turn))
        keep = np.flatnonzero(over)
        if margin and len(keep):
            keep = keep[(along[keep] > along[keep[0]] + margin - step)
                        & (along[keep] < along[keep[-1]] - margin + step)]
        if len(keep):
            run = xy[max(0, keep[0] - 1) : keep[-1] + 2]
            pieces.append(run[::-1] if number % 2 else run)
    return np.vstack(pieces)


def _headland(ring: Floats, machine: Machine, step: float) -> Floats:
    """Return one round half a boom inside the edge, for a boundary drawn in either direction around its
    middle.
    """
    middle = ring.mean(axis=0)
    closed = np.vstack([ring, ring[:1]])
    far = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    at = np.arange(0, far[-1], step)
    edge = np.column_stack([np.interp(at, far, closed[:, part]) for part in (0, 1)])
    inwards = middle - edge
    along = np.gradient(edge, axis=0)
    normal = np.column_stack([-along[:, 1], along[:, 0]]) / np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    normal *= np.sign(np.sum(normal * inwards, axis=1))[:, None]
    return np.asarray(edge + normal * machine.boom / 2)


def spray(world: World, machine: Machine, chance: np.random.Generator) -> Sprayed:
    """Drive over a field and write the log."""
    way = way_over(world, machine)
    ahead = np.diff(way, axis=0, append=2 * way[-1:] - way[-2:-1])
    far = np.hypot(*ahead.T)
    joins = far > 3 * machine.speed * machine.every
    unit = ahead / np.maximum(far, 1e-9)[:, None]
    unit[joins] = unit[np.flatnonzero(joins) - 1]
    count = max(1, round(machine.boom / machine.section))
    number = count * max(1, round(machine.boom / count / CELL))
    apart = machine.boom / number
    nozzles = (np.arange(number) + 0.5) * apart - machine.boom / 2
    parts = max(2, round(machine.speed * machine.every / CELL))
    rows, was = np.flatnonzero(~joins[:-1]), np.zeros(world.weedy.shape, bool)
    share, emitted = np.zeros((len(rows), count)), 0.0
    for part in range(parts):
        place = way[rows] + ahead[rows] * (part + 0.5) / parts
        x = place[:, :1] + nozzles * unit[rows, 1:]
        y = place[:, 1:] - nozzles * unit[rows, :1]
        fires = world.at(x, y).reshape(len(rows), count, -1)
        fires[:, list(machine.dead)] = False
        share += fires.mean(axis=2) / parts
        emitted += float((fires.sum(axis=(1, 2)) * apart * far[rows] / parts).sum())
        hit = fires.reshape(len(rows), -1)
        was[np.floor((y[hit] - world.y) / CELL).astype(int),
            np.floor((x[hit] - world.x) / CELL).astype(int)] = True
    # Turns between runs take time, and are longer than a row: the log shows a gap, as where the boom is
    # folded.
    seconds = np.concatenate([[0.0], np.cumsum(np.where(joins[:-1], 15.0, machine.every))])
    # A wandering of standard deviation 1 in both directions that forgets itself over some minutes.
    steps = np.diff(seconds, prepend=seconds[0] - 3 * 300.0)
    keep = np.exp(-steps / 300.0)
    # Twelve uniform numbers less six: near enough to a normal one, and the same in every release.
    noise = chance.random((len(seconds), 2, 12)).sum(axis=2) - 6
    found, now = np.empty((len(seconds), 2)), np.zeros(2)
    for at in range(len(seconds)):
        now = keep[at] * now + np.sqrt(1 - keep[at] ** 2) * noise[at]
        found[at] = now
    drift = machine.drift * found
    seen = way + drift + 0.02 * (chance.random(way.shape) - 0.5)
    middles = (np.arange(count) + 0.5) * machine.boom / count - machine.boom / 2
    starts = np.concatenate([[0], np.flatnonzero(joins) + 1])
    starts = starts[starts < len(way)]
    told = np.zeros((len(way), count))
    told[rows + 1] = share
    length = np.zeros(len(way))
    length[rows + 1] = far[rows]
    facing = np.vstack([unit[:1], unit[:-1]])
    facing[starts] = unit[starts]
    width = machine.boom / count
    log = pd.DataFrame({
        "seconds": np.repeat(seconds, count),
        "x": (seen[:, :1] + middles * facing[:, 1:]).ravel(),
        "y": (seen[:, 1:] - middles * facing[:, :1]).ravel(),
        "width": width, "section": np.tile(np.arange(1, count + 1), len(way)), "nozzle_share": told.ravel(),
        "volume": (told * width * length[:, None]).ravel(),
    })
    return Sprayed(log, emitted, float(was.sum()) * CELL**2)


def placed(log: pd.DataFrame, plane: Plane, started: str, zone: str) -> pd.DataFrame:
    """Return a log with latitude, longitude and local times with their offset, as it would be exported."""
    lat, lon = plane.back(log["x"].to_numpy(), log["y"].to_numpy())
    # All sections are logged at the same moment, which is written once.
    seconds, which = np.unique(log["seconds"].to_numpy(), return_inverse=True)
    moments = pd.Timestamp(started, tz=zone) + pd.to_timedelta(seconds, unit="s")
    texts = [moment.isoformat(timespec="milliseconds") if moment.microsecond else moment.isoformat()
             for moment in moments]
    return log.assign(time=np.array(texts, dtype=object)[which], lat=np.round(lat, 7), lon=np.round(lon, 7))
