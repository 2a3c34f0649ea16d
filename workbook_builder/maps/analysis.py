"""From logs and boundaries to what was sprayed: by field and pass, where, with what,
and whether it comes back.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from workbook_builder.check.problems import WARNING, Problem
from workbook_builder.maps import hot_spots as spots
from workbook_builder.maps.fields import elsewhere, put_right, rows_near
from workbook_builder.maps.logs import BOOM, MEASURES_SHARE, NOZZLES, POSITIONS, VOLUME, Log
from workbook_builder.maps.passes import Again, Analysis, Farm, FieldPass, OverlayTest, Planned
from workbook_builder.maps.plane import Floats, Plane, in_rings
from workbook_builder.maps.raster import Ground, cover, gridded, ground_of, reach, spread, strip_area
from workbook_builder.maps.shapes import Shape
from workbook_builder.maps.statistics import adjusted, correlation
from workbook_builder.maps.tracks import GAP, Swaths, cleaned, merged, swaths
from workbook_builder.read.text_files import BadFile

#: A section sprays nothing when it did less than this of the median of the others, over this much ground
#: [m2].
DEAD, DEAD_GROUND = 0.15, 5000.0
#: Cells of the map along the side of a square as large as the field.
ACROSS = 21
#: Most squares along each side of the map in a workbook.
SQUARES = 24
#: Places across a strip at which it is told whether it lies in a field.
SAMPLES = 12
#: Rows that sprayed outside every field are told of when they are more than this of those that sprayed: a
#: boundary is not drawn to the foot.
ASTRAY = 0.01
#: A spot was seen before when this much of it was hot then, too.
SEEN = 0.3


def passes_of(logs: Iterable[tuple[Log, bool]], farm: Farm) -> tuple[list[FieldPass], list[Problem]]:
    """Return what logs tell of each field and pass, and what is doubtful.

    Each log with whether it is an earlier one.
    """
    found: list[_Part] = []
    problems: list[Problem] = []
    for each, old in logs:
        parts, more = _of_log(put_right(each, farm.fields), farm, old)
        found += parts
        problems += more
    # Parts by field, pass, kind of log and for earlier ones the year, in the order of fields and days.
    groups: dict[tuple[str, ...], list[_Part]] = {}
    for part in found:
        groups.setdefault((part.shape.name, part.planned.passed, part.strips.kind,
                           part.day[:4] if part.earlier else ""), []).append(part)
    ordered = sorted(groups.values(),
                     key=lambda group: (group[0].shape.name, min(part.day for part in group)))
    return [_finished(group, farm) for group in ordered], problems


def beside_one_another(made: Iterable[FieldPass], problems: Sequence[Problem]) -> Analysis:
    """Return the analysis of passes: chances adjusted for all layers, spots seen before, what comes back."""
    ordered = sorted(made, key=lambda each: (each.shape.name, each.day, each.planned.passed))
    compared = _with_seen(_with_adjusted(ordered))
    now, then = (tuple(each for each in compared if each.earlier == earlier) for earlier in (False, True))
    found = []
    for one, other in _pairs(compared):
        hot = _hot(one), _hot(other)
        both, either = hot[0] & hot[1], hot[0] | hot[1]
        (counted, share), (counted_too,
                           share_too) = spots.cell_shares(one.grid), spots.cell_shares(other.grid)
        jaccard = float(both.sum() / either.sum()) if either.any() else float("nan")
        found.append(Again(one.shape.name, one.name, other.name, jaccard,
                           *correlation(share, share_too, counted & counted_too),
                           float(one.grid.area[both].sum())))
    return Analysis(now, tuple(found), tuple(problems), then)


@dataclass(frozen=True)
class _Part:
    """The strips of one log in one field and pass."""

    shape: Shape
    plane: Plane
    planned: Planned
    day: str
    strips: Swaths
    rows_read: int
    earlier: bool


def _of_log(log: Log, farm: Farm, earlier: bool) -> tuple[list[_Part], list[Problem]]:
    lat, lon = (float(np.nanmedian(log.rows[key])) for key in ("lat", "lon"))
    clean = cleaned(log, Plane(lat, lon))
    problems, parts, rows_in = list(clean.problems), [], dict[str, int]()
    nowhere = np.ones(len(clean.rows), bool)
    for shape in farm.fields:
        near = rows_near(clean.rows, shape)
        here = in_rings(near["lon"].to_numpy(), near["lat"].to_numpy(), shape.rings)
        nowhere[near.index[here]] = False
        rows_in[shape.name] = int(here.sum())
        if len(near) < 2:
            continue
        plane = Plane(*shape.middle)
        x, y = plane.forward(near["lat"].to_numpy(), near["lon"].to_numpy())
        near = near.assign(x=x, y=y)
        strips = swaths(near, log.kind, farm.behind or 0.0)
        middles = strips.middles
        inside = in_rings(middles[:, 0], middles[:, 1], shape.on(plane))
        for number in np.unique(strips.passed[inside]):
            name, mine = strips.names["pass"][number], strips.passed == number
            moment = pd.Timestamp(float(strips.seconds[inside & mine].min()), unit="s",
                                  tz="UTC").tz_convert(farm.zone or "UTC")
            day = str(moment.date())
            planned, told = _planned(name or farm.passed, shape.name, day, farm.plan, log.name, earlier)
            problems += told
            shifted = farm.behind is None and planned.behind
            own = (swaths(near[near["pass"] == name], log.kind, planned.behind or 0.0) if shifted
                   else strips.only(mine))
            parts.append(_Part(shape, plane, planned, day, own, len(log.rows), earlier))
    if farm.behind is None and any(part.planned.carrier and part.planned.behind is None for part in parts):
        text = ("Antenna to boom of the sprayer is blank and counts as 0: runs up and down the field lie "
                "apart by twice the distance")
        problems.append(Problem("log-antenna", text, log.name, severity=WARNING,
                                fix="Type it on the tab Farm, or give --behind"))
    if not parts:
        message = f"nothing can be drawn: in no field do two rows follow one another within {GAP:.0f} s"
        raise BadFile(elsewhere(log, farm.fields) if nowhere.all()
                      else Problem("map-file", message, log.name, fix="Log a row every second or two"))
    # The way to the first row of a run may begin outside and still lie in the field.
    sprayed = clean.rows[["value", "volume"]].max(axis=1).to_numpy() > 0
    astray = nowhere & np.roll(nowhere, 1) & sprayed
    if astray.sum() > ASTRAY * sprayed.sum():
        message = (f"{int(astray.sum()):,} of {len(astray):,} rows sprayed outside every field and count "
                   f"nowhere")
        problems.append(Problem("log-outside", message, log.name, severity=WARNING,
                                fix="Check the boundaries, or add the one that is missing"))
    fields_met = sorted({part.shape.name for part in parts})
    if len(fields_met) > 1:
        counted = ", ".join(f"{name} ({rows_in[name]:,} rows)" for name in fields_met)
        message = f"the log covers {len(fields_met)} fields and is split by their boundaries: {counted}"
        problems.append(Problem("log-split", message, log.name, severity=WARNING))
    return parts, problems


#: A log belongs to the pass of its field that is planned within so many days.
DAYS = 10


def _planned(name: str, field_name: str, day: str, plan: Sequence[Planned], file: str,
             earlier: bool) -> tuple[Planned, list[Problem]]:
    """Return the pass of the book that a log is of, and what is doubtful about that."""
    here = [each for each in plan if each.field == field_name]
    if name:
        known = next((each for each in here if each.passed.casefold() == name.casefold()), None)
        if known:
            return known, []
        text, fix = (f"the pass {name!r} on {field_name} is not planned",
                     f"Passes there: {', '.join(each.passed for each in here) or 'none'}")
        return (Planned(name, field_name),
                [] if earlier else [Problem("log-pass", text, file, severity=WARNING, fix=fix)])
    apart = {each: abs((each.day - date.fromisoformat(day)).days) for each in here if each.day}
    close = sorted((each for each in apart if apart[each] <= DAYS), key=lambda each: apart[each])
    if close and not (len(close) > 1 and apart[close[0]] == apart[close[1]]):
        return close[0], []
    text = f"no single pass on {field_name} is planned within {DAYS} days of {day}"
    problem = Problem("log-pass", text, file, severity=WARNING,
                      fix="Say which it is with --pass, or a column pass")
    return Planned(f"Log of {day}", field_name), [] if earlier else [problem]


def _finished(parts: list[_Part], farm: Farm) -> FieldPass:
    first = parts[0]
    strips, rings = merged([part.strips for part in parts]), first.shape.on(first.plane)
    ground = ground_of(rings)
    within = reach(ground, strips)
    used, cell, inside = within > 0, ground.cell_area, ground.inside
    # The area of each strip that lies in any field [m2]: there its volume went, as nozzles beyond the
    # boundary are off.
    size = strip_area(strips.quads)
    crossing = np.flatnonzero((within > 0) & (within < 0.98 * size))
    left, right = (strips.quads[crossing][:, [0, 3]].mean(axis=1),
                   strips.quads[crossing][:, [1, 2]].mean(axis=1))
    hits = np.zeros(len(crossing))
    for part in (np.arange(SAMPLES) + 0.5) / SAMPLES:
        x, y = (left + part * (right - left)).T
        hits += (np.any([in_rings(x, y, shape.on(first.plane)) for shape in farm.fields], axis=0)
                 if len(crossing) else 0)
    sprayable = size.copy()
    # What was counted in this field is the least there is.
    sprayable[crossing] = np.maximum(size[crossing] * hits / SAMPLES, within[crossing])
    density = strips.volume / np.maximum(sprayable, 1e-9)
    told = density if strips.kind == VOLUME else strips.value
    spread(ground, strips, np.nan_to_num(told))
    volume = float(np.nansum(density * within)) if np.isfinite(density[used]).any() else float("nan")
    carrier = first.planned.carrier
    sprayed = float("nan")
    if strips.kind == NOZZLES:
        sprayed = float(ground.amount.sum(dtype=float)) * cell
    elif strips.kind == VOLUME and carrier:
        sprayed = volume / carrier
    wide, drawn = float(np.median(strips.width)), float(inside.sum()) * cell
    grids = [gridded(ground, side) for side in (spots.SIDE, max(float(np.sqrt(drawn)) / ACROSS, wide))]
    # Two cells of the ground more, so that its rounded edges make no square beyond the last one.
    across = max((float(np.ptp(np.vstack(rings), axis=0).max()) + 2 * ground.side) / SQUARES, wide)
    grids.append(gridded(replace(ground, most=ground.amount), across))
    if strips.kind == VOLUME and carrier:
        grids = [replace(grid, amount=grid.amount / carrier) for grid in grids]
    start = strips.middles[used][int(np.argmin(strips.seconds[used]))] if used.any() else np.zeros(2)
    times, told_nothing = ground.times[inside].astype(int), ~np.isfinite(told)
    made = FieldPass(
        first.shape, first.plane, rings, first.planned, min(each.day for each in parts),
        " + ".join(name for name in strips.names["machine"] if name),
        strips.kind, grids[0], grids[1], grids[2], first.planned.boom
        or wide * max(1, len(strips.names["section"])), (float(start[0]), float(start[1])), drawn,
        driven=float((times > 0).sum()) * cell, overlap=float(np.maximum(times - 1, 0).sum()) * cell,
        blind=float(within[told_nothing].sum()) if strips.kind != POSITIONS else 0.0,
        volume=volume, sprayed=sprayed, rows_read=sum(each.rows_read for each in parts),
        rows_used=int(used.sum()), earlier=first.earlier,
    )
    made = replace(made, dead=dead_sections(strips, within))
    if tells_where(made):
        found = spots.hot_spots(made.grid, rings, strips.middles, strips.heading, made.kind in MEASURES_SHARE)
        made = replace(made, spots=tuple(found))
    return _with_overlays(made, ground, farm.overlays)


def tells_where(made: FieldPass) -> bool:
    """Return whether a log tells places apart: not by the boom as a whole going on and off,
    nor by volume without a carrier.
    """
    return made.kind not in (BOOM, POSITIONS) and (made.kind != VOLUME or bool(made.planned.carrier))


def dead_sections(strips: Swaths, within: Floats) -> tuple[str, ...]:
    """Return sections that sprayed next to nothing while the others did.

    Parameters
    ----------
    strips : Swaths
    within : array
        Area of each strip in the field [m2].
    """
    names = strips.names["section"]
    if len(names) < 4 or strips.kind == POSITIONS:
        return ()
    told = np.nan_to_num(strips.volume if strips.kind == VOLUME else strips.value * within)
    ground = np.bincount(strips.section, within, minlength=len(names))
    rate = np.bincount(strips.section, told, minlength=len(names)) / np.maximum(ground, 1e-9)
    usual = float(np.median(rate[ground > 0])) if (ground > 0).any() else 0.0
    if usual <= 0:
        return ()
    return tuple(name for at, name in enumerate(names) if ground[at] > DEAD_GROUND
                 and rate[at] < DEAD * usual)


def _with_overlays(made: FieldPass, ground: Ground, overlays: Sequence[Shape]) -> FieldPass:
    """Test every layer, and note which covers most of each spot."""
    layers: dict[str, list[Floats]] = {}
    for shape in overlays:
        layers.setdefault(str(shape.said.get("layer") or shape.name or "overlay"),
                          []).extend(shape.on(made.plane))
    if not layers or not tells_where(made):
        return made
    valid, share = spots.cell_shares(made.grid)
    tests, covers = [], {}
    for layer, rings in layers.items():
        part = cover(rings, made.grid, ground)
        if not (part[valid] > 0).any():
            continue
        covers[layer] = part
        r, effective, p = correlation(share, part, valid)
        within, without = (
            float((made.grid.amount * weight)[valid].sum()
                  / max(float((made.grid.driven * weight)[valid].sum()), 1e-9)) for weight in (part, 1 - part)
        )
        tests.append(OverlayTest(layer, within, without, float((made.grid.area * part).sum()), r,
                                 effective, p))
    found = {}
    for rank, spot in enumerate(made.spots, 1):
        rows, columns = spot.cells.T
        parts = {layer: float(np.average(part[rows, columns], weights=made.grid.area[rows, columns] + 1e-9))
                 for layer, part in covers.items()}
        layer = max(parts, key=lambda each: parts[each], default="")
        if layer and parts[layer] > 0.005:
            found[rank] = (layer, parts[layer])
    return replace(made, overlays=tuple(tests), spot_cover=found)


def _with_adjusted(made: list[FieldPass]) -> list[FieldPass]:
    """Adjust the chances of all layers tested at once."""
    tests = [test for each in made if not each.earlier for test in each.overlays]
    if not tests:
        return made
    chances = iter(adjusted(np.array([test.p for test in tests])))
    return [
        each if each.earlier else replace(each,
                                          overlays=tuple(replace(test, p_adjusted=float(next(chances)))
                                                         for test in each.overlays)) for each in made
    ]


def _hot(made: FieldPass) -> NDArray[np.bool_]:
    found = np.zeros(made.grid.area.shape, bool)
    for spot in made.spots:
        found[spot.cells[:, 0], spot.cells[:, 1]] = True
    return found


def _pairs(made: Sequence[FieldPass]) -> list[tuple[FieldPass, FieldPass]]:
    """Return passes of one field after one another, those that tell where only."""
    telling = [each for each in made if tells_where(each)]
    return [(one, other) for at, one in enumerate(telling) for other in telling[at + 1 :]
            if one.shape.name == other.shape.name and one.day <= other.day]


def _with_seen(made: list[FieldPass]) -> list[FieldPass]:
    """Note spots that were hot in an earlier pass, the latest one first."""
    seen: dict[int, dict[int, str]] = {}
    for one, other in _pairs(made):
        before = _hot(one)
        for rank, spot in enumerate(other.spots, 1):
            if before[spot.cells[:, 0], spot.cells[:, 1]].mean() >= SEEN:
                seen.setdefault(id(other), {})[rank] = one.name
    return [replace(each, seen=seen.get(id(each), {})) for each in made]
