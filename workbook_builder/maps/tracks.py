"""From rows of a log to the strips of ground that were driven: what cannot be is left out, and counted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from workbook_builder.check.problems import WARNING, Problem
from workbook_builder.maps.logs import Log
from workbook_builder.maps.plane import Floats, Plane
from workbook_builder.read.text_files import BadFile

#: Longer without a row and nothing is drawn across [s].
GAP = 10.0
#: Gaps that are told of one by one.
GAPS_TOLD = 3
#: Faster than this no sprayer drives [m/s], common practice, no source.
SPIKE, IMPOSSIBLE = 12.0, 40.0
#: Slower [m/s] and shorter [m] steps than these are a parked machine's.
PARKED_SPEED, PARKED_STEP = 0.3, 0.5
#: Turning further than this [deg] within this way [m] begins another run.
TURN, TURN_WAY = 60.0, 30.0
#: Heading is that of the chord this far before and behind [m], so that jitter of the receiver does not swing
#: the boom.
CHORD = 6.0


@dataclass(frozen=True)
class Swaths:
    """Strips of ground, each what one row drove since the row before."""

    #: array of shape (n, 4, 2): Corners [m] on the plane: left and right at the row before, right and left at
    #: the row
    quads: Floats
    value: Floats  # Share that sprayed, 0 to 1, NaN where it is not known
    volume: Floats  # What was sprayed [L], NaN where it is not known
    run: NDArray[np.int64]  # Number of the run; a gap, or a turn over 60 degrees, begins another
    #: Moment [s since 1970], width [m], direction driven [deg]
    seconds: Floats
    width: Floats
    heading: Floats
    turning: NDArray[np.bool_]  # Where it turned over 60 degrees within 30 m
    #: Places in `names`
    section: NDArray[np.int64]
    passed: NDArray[np.int64]
    names: dict[str, list[str]]  # `section`, `machine` and `pass` -> names
    kind: str  # Kind of log

    @property
    def middles(self) -> Floats:
        """Return the middles of the strips [m], two columns."""
        return np.asarray(self.quads.mean(axis=1))

    def only(self, chosen: NDArray[Any]) -> Swaths:
        """Return some of the strips."""
        parts = ("quads", "value", "volume", "run", "seconds", "width", "heading", "turning",
                 "section", "passed")
        return replace(self, **{part: getattr(self, part)[chosen] for part in parts})


@dataclass(frozen=True)
class Cleaned:
    """Rows of a log that can be used, in order of time, and what was left out."""

    rows: pd.DataFrame  # As in :class:`~workbook_builder.maps.logs.Log`, with `track`
    problems: tuple[Problem, ...]
    counts: dict[str, int]  # Reason -> rows left out


def cleaned(log: Log, plane: Plane) -> Cleaned:
    """Leave out rows that say nothing, bring the rest in order and merge those of a parked machine.

    Raises
    ------
    BadFile
        When no row is left, or two machines are mixed.
    """
    rows, counts, problems = log.rows, {}, list(log.problems)

    def drop(reason: str, keep: Any) -> None:
        nonlocal rows
        left_out = int((~keep).sum())
        if left_out:
            counts[reason] = left_out
            rows = rows[keep]

    drop("without position", rows["lat"].notna() & rows["lon"].notna())
    drop("at 0, 0", ~((rows["lat"].abs() < 1e-6) & (rows["lon"].abs() < 1e-6)))
    drop("beyond the earth", rows["lat"].abs().le(90) & rows["lon"].abs().le(360))
    drop("without time", rows["seconds"].notna())
    drop("standing twice", ~rows.duplicated(["machine", "section", "seconds", "lat", "lon"]))
    if not len(rows):
        raise BadFile(Problem("map-file", f"no row of the log can be used ({_worded(counts)})", log.name,
                              fix="Export it again"))
    rows = rows.assign(track=rows.groupby(["machine", "section"], sort=True).ngroup())
    backwards = int((rows.groupby("track")["seconds"].diff() < 0).sum())
    rows = rows.sort_values(["track", "seconds"], kind="stable", ignore_index=True)
    rows["x"], rows["y"] = plane.forward(rows["lat"].to_numpy(), rows["lon"].to_numpy())
    if backwards:
        message = f"time runs backwards {backwards:,} times; the rows are sorted by time"
        problems.append(Problem("log-order", message, log.name, severity=WARNING))
    far, late = _steps(rows)
    steps = np.isfinite(far) & (late <= GAP)
    fast = steps & (far > np.maximum(late, 0.1) * IMPOSSIBLE) & (far > 50)
    if fast.sum() > max(10, 0.05 * steps.sum()):
        message = (f"{int(fast.sum()):,} of {int(steps.sum()):,} steps are faster than {IMPOSSIBLE:.0f} m/s, "
                   f"as when two machines are mixed")
        raise BadFile(Problem("log-machines", message, log.name,
                              fix="Add a column machine that tells them apart"))
    # From and to such a row the way is both longer than half a boom and faster than a sprayer.
    jumps = (far > rows["width"].to_numpy() / 2) & (far > np.maximum(late, 0.05) * SPIKE) & (far > 5)
    drop("jumping away and back", pd.Series(~(jumps & np.concatenate([jumps[1:], [False]])),
                                            index=rows.index))
    rows = rows.reset_index(drop=True)
    far, late = _steps(rows)
    parked = np.asarray((far < PARKED_STEP) & (far < np.maximum(late, 0) * PARKED_SPEED + 1e-9))
    if parked.any():
        counts["parked"] = int(parked.sum())
        # What was sprayed while parked counts with the next row that moves.
        moved = np.concatenate([[0], np.cumsum(~parked)[:-1]])
        total = rows.groupby([rows["track"], moved])["volume"].transform("sum", min_count=1)
        rows = rows.assign(volume=total)[~parked].reset_index(drop=True)
    if counts:
        message = f"{sum(counts.values()):,} of {len(log.rows):,} rows are not used: {_worded(counts)}"
        problems.append(Problem("log-rows", message, log.name, severity=WARNING))
    gaps = _gaps(rows)
    if len(gaps):
        many = "1 gap" if len(gaps) == 1 else f"{len(gaps):,} gaps"
        longest = ", ".join(f"{late / 60:.1f} min until {pd.Timestamp(end, unit='s'):%Y-%m-%d %H:%M} UTC"
                            for end, late in gaps[:GAPS_TOLD])
        message = f"{many} of more than {GAP:.0f} s, the longest {longest}; nothing is drawn across"
        problems.append(Problem("log-gaps", message, log.name, severity=WARNING))
    return Cleaned(rows, tuple(problems), counts)


def _worded(counts: dict[str, int]) -> str:
    return ", ".join(f"{number:,} {reason}" for reason, number in counts.items())


def _steps(rows: pd.DataFrame) -> tuple[Floats, Floats]:
    """Return metres and seconds since the row before on the same track, NaN for the first."""
    first = rows["track"].to_numpy()[1:] != rows["track"].to_numpy()[:-1]
    far = np.hypot(np.diff(rows["x"]), np.diff(rows["y"]))
    late = np.diff(rows["seconds"])
    return (np.concatenate([[np.nan], np.where(first, np.nan, far)]),
            np.concatenate([[np.nan], np.where(first, np.nan, late)]))


def _gaps(rows: pd.DataFrame) -> list[tuple[float, float]]:
    """Return the end of every gap [s since 1970] and how long it was [s], the longest first,
    one for all sections of a machine.
    """
    times = rows[["machine", "seconds"]].drop_duplicates().sort_values(["machine", "seconds"])
    late = times.groupby("machine")["seconds"].diff().to_numpy()
    return sorted(zip(times["seconds"].to_numpy()[late > GAP], late[late > GAP], strict=True),
                  key=lambda gap: -gap[1])


def swaths(rows: pd.DataFrame, kind: str, behind: float = 0.0) -> Swaths:
    """Return the strips between rows that follow one another.

    Parameters
    ----------
    rows : DataFrame
        From :func:`cleaned`.
    kind : str
        Kind of log.
    behind : float
        How far the boom is behind the position [m].
    """
    track = rows["track"].to_numpy()
    x, y, seconds = (rows[key].to_numpy(float) for key in ("x", "y", "seconds"))
    _, late = _steps(rows)
    broken = ~(late <= GAP)
    # Sine and cosine of the heading [rad clockwise from north] at every row.
    logged = rows["heading"].to_numpy(float)
    way, low, high = _about(x, y, broken, CHORD)
    dx, dy = (np.interp(high, way, line) - np.interp(low, way, line) for line in (x, y))
    length = np.hypot(dx, dy)
    use = np.isfinite(logged)
    angle = np.where(use, np.radians(np.where(use, logged, 0.0)),
                     np.arctan2(dx, np.where(length > 0, dy, 1.0)))
    sin, cos = np.sin(angle), np.cos(angle)
    offset, half = rows["offset"].to_numpy(float), rows["width"].to_numpy(float) / 2
    x, y = x - behind * sin, y - behind * cos
    # Right of the way is (cos, -sin) when the way is (sin, cos).
    left = np.column_stack([x + (offset - half) * cos, y - (offset - half) * sin])
    right = np.column_stack([x + (offset + half) * cos, y - (offset + half) * sin])
    at = np.flatnonzero(~broken)
    names = {key: sorted(rows[key].unique()) for key in ("section", "machine", "pass")}
    codes = {key: np.searchsorted(np.array(names[key], object), rows[key].to_numpy(object)) for key in names}
    turned = _turned(broken, sin, cos, x, y)
    # The number of the run of every row: all sections of a machine share those of its longest track.
    machine = codes["machine"]
    run = np.zeros(len(track), np.int64)
    before = 0
    for each in np.unique(machine):
        mine = machine == each
        lead = np.flatnonzero(track == np.bincount(track[mine]).argmax())
        moments = np.unique(seconds[lead][_starts(broken[lead], turned[lead])])
        run[mine] = before + np.searchsorted(moments, seconds[mine], side="right")
        before = int(run[mine].max()) + 1
    found = Swaths(
        np.stack([left[at - 1], right[at - 1], right[at], left[at]], axis=1),
        rows["value"].to_numpy(float)[at], rows["volume"].to_numpy(float)[at],
        run[at], seconds[at], rows["width"].to_numpy(float)[at],
        np.degrees(np.arctan2(sin, cos))[at], turned[at] > np.radians(TURN), codes["section"][at],
        codes["pass"][at], names, kind,
    )
    return found.only(np.argsort(found.run, kind="stable"))


def _about(x: Floats, y: Floats, broken: NDArray[np.bool_], reach: float) -> tuple[Floats, Floats, Floats]:
    """Return the way to every row [m], and the places so far before and behind it that lie in its own
    stretch.
    """
    step, piece = np.where(broken, 0.0,
                           np.hypot(np.diff(x, prepend=x[0]), np.diff(y, prepend=y[0]))), np.cumsum(broken)
    # Stretches lie far apart on one long way, so that nothing reaches from one into the next.
    way = np.cumsum(step) + piece * 4 * reach
    starts = np.flatnonzero(broken)
    ends = np.concatenate([starts[1:] - 1, [len(x) - 1]])
    low, high = (np.clip(way + sign * reach, way[starts][piece - 1], way[ends][piece - 1])
                 for sign in (-1, 1))
    return way, low, high


def _turned(broken: NDArray[np.bool_], sin: Floats, cos: Floats, x: Floats, y: Floats) -> Floats:
    """Return by how much the heading changes around every row, within the way of a turn [rad]."""
    way, low, high = _about(x, y, broken, TURN_WAY / 2)
    angle = np.unwrap(np.arctan2(sin, cos))
    return np.asarray(np.abs(np.interp(high, way, angle) - np.interp(low, way, angle)))


def _starts(broken: NDArray[np.bool_], turned: Floats) -> NDArray[np.bool_]:
    """Return rows at which a run starts: after a gap, and at the sharpest place of a turn."""
    starts = broken.copy()
    turning = (turned > np.radians(TURN)) & ~broken
    edges = np.flatnonzero(np.diff(np.concatenate([[False], turning, [False]]).astype(int)))
    for first, last in zip(edges[::2], edges[1::2], strict=True):
        starts[first + int(turned[first:last].argmax())] = True
    return starts


def merged(many: Sequence[Swaths]) -> Swaths:
    """Return the strips of several logs as one, runs and names kept apart."""
    if len(many) == 1:
        return many[0]
    names = {key: sorted({name for each in many for name in each.names[key]}) for key in many[0].names}
    runs, before = [], 0
    for each in many:
        runs.append(each.run + before)
        before = int(runs[-1].max(initial=before - 1)) + 1
    places: dict[str, Any] = {
        part: np.concatenate([np.searchsorted(names[key], each.names[key])[getattr(each, part)]
                              for each in many])
        for part, key in (("section", "section"), ("passed", "pass"))
    }
    parts = ("quads", "value", "volume", "seconds", "width", "heading", "turning")
    joined: dict[str, Any] = {part: np.concatenate([getattr(each, part) for each in many]) for part in parts}
    return replace(many[0], **joined, **places, run=np.concatenate(runs), names=names)
