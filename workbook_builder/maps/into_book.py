"""Maps and the book of a farm: what it says that a log does not, rows written anew,
and what people typed about a hot spot kept.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np

from workbook_builder.check.problems import WARNING, Problem, folded
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.units import area_unit, factor, length_unit, volume_unit
from workbook_builder.features.spray_map.inputs import NOTED, OF_A_LOG
from workbook_builder.maps.analysis import SQUARES
from workbook_builder.maps.hot_spots import SIDE
from workbook_builder.maps.logs import MEASURES_SHARE, NOZZLES, POSITIONS, VOLUME
from workbook_builder.maps.passes import Again, Analysis, FieldPass, Planned
from workbook_builder.planning import Plan

#: Two middles of one hot spot are no further apart than this, or than its own size [m].
SAME_SPOT = 2 * SIDE
#: A degree of latitude [m].
DEGREE = 111_000.0


def with_map(inputs: Inputs, analysis: Analysis, drift: float | None = None) -> tuple[Inputs, list[Problem]]:
    """Return the inputs with the rows of an analysis, and what is to be said about them.

    Rows of the same pass, field and kind of log are replaced; those of other maps stay.
     A pass for which no load is typed
    gets one in the load log, where loads are typed they are left alone;
    a pass of an earlier season goes to the history
    unless it is there.

    Parameters
    ----------
    inputs : Inputs
        As read and checked.
    analysis : Analysis
    drift : float or None
        Of the receiver [m].
    """
    units, made = Units(inputs.system), analysis.passes
    new: dict[str, list[Row]] = {
        "map_passes": [pass_row(each, units, drift) for each in made],
        **{table: [row for each in made for row in rows(each, units)]
           for table, rows in (("map_rows", square_rows), ("hot_spots", spot_rows),
                               ("map_overlays", overlay_rows))},
    }
    taken = {_place(row) for row in new["map_passes"]}
    tables = {table: [*(row for _, row in inputs.filled(table) if _place(row) not in taken), *new[table]]
              for table in OF_A_LOG}
    noted = [row for _, row in inputs.filled("hot_spots") if _place(row) in taken
             and any(row.get(key) is not None for key in NOTED)]
    # Give each note to the nearest spot of its map that can be the same; return the rows of those that find
    # none, with what was typed.
    gone = []
    for old in noted:
        near = min((each for each in new["hot_spots"] if _place(each) == _place(old)),
                   key=lambda each: _apart(each, old), default=None)
        size = math.sqrt(float(old.get("area") or 0) * factor(area_unit(units.system), "m2") / math.pi)
        if near is None or not _apart(near, old) <= max(SAME_SPOT, size):
            blank = {key: value for key, value in old.items()
                     if key in ("pass", "field", "log_kind", "lat", "lon", "area", *NOTED)}
            gone.append(blank)
            continue
        for key in NOTED:
            near[key] = _both(near.get(key), old.get(key))
    tables["hot_spots"] += gone
    tables["map_recurrence"] = _with_recurrence(inputs,
                                                [recurrence_row(each, units) for each in analysis.again])
    for table, rows in (("load_log", load_rows(inputs, made)),
                        ("spot_history", history_rows(inputs, analysis.earlier))):
        if rows:
            tables[table] = [*(row for _, row in inputs.filled(table)), *rows]
    return replace(inputs, tables={**inputs.tables, **tables}), [_told_gone(row) for row in gone]


def _place(row: Row) -> tuple[str, ...]:
    return tuple(folded(row.get(key) or "") for key in ("pass", "field", "log_kind"))


def _both(one: Any, other: Any) -> Any:
    """Return both notes where two spots became one; of two days the later."""
    if one is None or other is None or one == other:
        return other if one is None else one
    return f"{one}; {other}" if isinstance(one, str) else max(one, other)


def _apart(one: Row, other: Row) -> float:
    """Return how far apart two spots are [m]; infinitely where one has no place."""
    if None in (one.get("lat"), one.get("lon"), other.get("lat"), other.get("lon")):
        return math.inf
    north, east = float(one["lat"]) - float(other["lat"]), float(one["lon"]) - float(other["lon"])
    return math.hypot(north, east * math.cos(math.radians(float(one["lat"])))) * DEGREE


def _told_gone(row: Row) -> Problem:
    note = "; ".join(str(row[key]) for key in NOTED if row.get(key) is not None)
    text = (f"{row['pass']} on {row['field']}: no hot spot lies where {note!r} was noted; its row is kept "
            f"without a rank")
    return Problem("map-spot-gone", text, severity=WARNING, fix="Delete the row when it is of no use")


def _with_recurrence(inputs: Inputs, rows: list[Row]) -> list[Row]:
    def pair(row: Row) -> tuple[str, ...]:
        return tuple(folded(row.get(key) or "") for key in ("field", "first", "second"))

    taken = {pair(row) for row in rows}
    return [*(row for _, row in inputs.filled("map_recurrence") if pair(row) not in taken), *rows]


def load_rows(inputs: Inputs, made: Iterable[FieldPass]) -> list[Row]:
    """Return rows for the load log of planned spot passes that have none typed:
    area driven and volume by the log.
    """
    units = Units(inputs.system)
    typed = {_place(row)[:2] for _, row in inputs.filled("load_log")}
    spot = {_place(row)[:2] for _, row in inputs.filled("passes")
            if str(row.get("method")).casefold() == "spot"}
    by_pass: dict[tuple[str, ...], list[FieldPass]] = {}
    for each in made:
        by_pass.setdefault((folded(each.planned.passed), folded(each.shape.name)), []).append(each)
    rows = []
    for place, logs in by_pass.items():
        volume = sum(_litres(each) for each in logs)
        if place in spot - typed and math.isfinite(volume):
            area = sum(each.driven for each in logs)
            name = {"pass": logs[0].planned.passed, "field": logs[0].shape.name}
            rows.append({**name, "load": 1, "area_covered": units.area(area),
                         "volume_sprayed": units.volume(volume)})
    return rows


def _litres(made: FieldPass) -> float:
    """Return the volume that a log tells, metered or by its nozzles and the carrier [L]."""
    return made.volume if math.isfinite(made.volume) else made.sprayed * (made.planned.carrier or math.nan)


def history_rows(inputs: Inputs, earlier: Iterable[FieldPass]) -> list[Row]:
    """Return rows for the history of earlier seasons' logs that tell a share and are not there yet."""
    units, season = Units(inputs.system), inputs.form("farm").get("season")
    there = {(row.get("season"), *_place(row)[:2]) for _, row in inputs.filled("spot_history")}
    rows = []
    for each in earlier:
        year = int(each.day[:4])
        if (year != season and np.isfinite(each.share)
            and (year, folded(each.planned.passed), folded(each.shape.name)) not in there):
            rows.append({
                "season": year, "field": each.shape.name, "pass": each.planned.passed,
                "share": round(min(1.0, each.share), 4),
                "volume": units.volume(_litres(each)), "area_driven": units.area(each.driven),
                "area_sprayed": units.area(each.sprayed),
            })
    return rows


Row = dict[str, Any]


@dataclass(frozen=True)
class Units:
    """Figures of a log in the units of a farm."""

    system: str  # Unit system

    def area(self, square_metres: float, digits: int = 3) -> float | None:
        """Return an area in the unit of the farm."""
        return known(square_metres * factor("m2", area_unit(self.system)), digits)

    def length(self, metres: float) -> float | None:
        """Return a length in the unit of the farm."""
        return known(metres * factor("m", length_unit(self.system)), 1)

    def volume(self, litres: float) -> float | None:
        """Return a volume in the unit of the farm."""
        return known(litres * factor("L", volume_unit(self.system)), 2)


def known(value: float, digits: int) -> float | None:
    """Return a number to some digits, nothing for one that is not known."""
    return round(float(value), digits) if math.isfinite(value) else None


def _small(value: float) -> float | None:
    # Less than one in a thousand million says no more than nought.
    return round(float(f"{value:.3g}"), 9) if math.isfinite(value) else None


def _name(made: FieldPass) -> Row:
    return {"pass": made.planned.passed, "field": made.shape.name, "log_kind": made.kind}


def pass_row(made: FieldPass, units: Units, drift: float | None) -> Row:
    """Return the row of `map_passes`.

    Parameters
    ----------
    made : FieldPass
    units : Units
    drift : float or None
        Of the receiver [m].
    """
    return {
        **_name(made), "day": date.fromisoformat(made.day), "machine": made.machine or None,
        "field_area_drawn": units.area(made.drawn), "area_driven": units.area(made.driven),
        "area_overlap": units.area(made.overlap),
        "area_unknown": units.area(made.blind), "volume_logged": units.volume(made.volume),
        "sprayed_logged": units.area(made.sprayed) if made.kind == NOZZLES else None,
        "share_error": known(made.error(drift), 5), "clumping": known(made.clumping(), 3),
        "dead_sections": ", ".join(made.dead) or None,
        "square_area": units.area(made.squares.side**2, 4),
        # The middle of a spot is known to half a cell.
        "edge_zone": units.length((made.boom + SIDE) / 2),
        "rows_read": made.rows_read, "rows_used": made.rows_used, "drift": None if drift is None
        else units.length(drift),
    }


def square_rows(made: FieldPass, units: Units) -> Iterator[Row]:
    """Yield the rows of `map_rows`, the northernmost first, the field in the middle of its columns."""
    grid = made.squares
    tells = made.kind != POSITIONS and (made.kind != VOLUME or bool(made.planned.carrier))
    left = left_of(made)
    for number, (driven, sprayed) in enumerate(zip(grid.driven[::-1], grid.amount[::-1], strict=True), 1):
        row: Row = {**_name(made), "row": number}
        for column, (ground, spray) in enumerate(zip(driven, sprayed, strict=True), left + 1):
            if ground > 0:
                row[f"driven_{column:02d}"] = units.area(float(ground), 5)
                row[f"sprayed_{column:02d}"] = units.area(float(spray), 5) if tells else None
        yield row


def left_of(made: FieldPass) -> int:
    """Return how many columns of squares stay free left of the field."""
    return int((SQUARES - made.squares.area.shape[1]) // 2)


def spot_rows(made: FieldPass, units: Units) -> Iterator[Row]:
    """Yield the rows of `hot_spots`, by rank."""
    for rank, spot in enumerate(made.spots, 1):
        lat, lon = (float(value) for value in made.plane.back(np.array(spot.x), np.array(spot.y)))
        layer, covered = made.spot_cover.get(rank, ("", math.nan))
        grid = made.squares
        row, column = int((spot.y - grid.y) // grid.side), int((spot.x - grid.x) // grid.side)
        yield {
            **_name(made), "rank": rank, "area": units.area(spot.area),
            "sprayed_area": units.area(spot.sprayed),
            "background_share": known(spot.background, 4), "map_row": grid.area.shape[0] - row,
            "map_column": left_of(made) + 1 + column,
            "lat": round(lat, 6), "lon": round(lon, 6), "to_edge": units.length(spot.to_edge),
            "length_over_width": known(spot.length_over_width, 1),
            "bearing_to_runs": known(spot.bearing_to_runs, 0), "z": known(spot.z, 2),
            "stands_out": "yes" if spot.stands_out else "no", "seen_before": made.seen.get(rank),
            "overlay": layer or None, "overlay_cover": known(covered, 3),
        }


def overlay_rows(made: FieldPass, units: Units) -> Iterator[Row]:
    """Yield the rows of `map_overlays`."""
    for test in made.overlays:
        inside, outside = (known(share, 4) if made.kind in MEASURES_SHARE else None
                           for share in (test.share_inside, test.share_outside))
        yield {
            **_name(made), "layer": test.layer, "share_inside": inside, "share_outside": outside,
            "area_inside": units.area(test.area_inside),
            "r": known(test.r, 4), "effective_n": known(test.effective_n, 1), "p": _small(test.p),
            "p_adjusted": _small(test.p_adjusted),
        }


def recurrence_row(again: Again, units: Units) -> Row:
    """Return the row of `map_recurrence`."""
    return {
        "field": again.field, "first": again.first, "second": again.second,
        "jaccard": known(again.jaccard, 3), "r": known(again.r, 4),
        "effective_n": known(again.effective_n, 1), "p": _small(again.p),
        "hot_in_both": units.area(again.hot_both),
    }


@dataclass(frozen=True)
class Book:
    """The parts of a plan that a map needs."""

    plan: Plan
    zone: str  # Time zone of the farm
    planned: tuple[Planned, ...]  # Every pass on every field

    @property
    def boom(self) -> float | None:
        """Return the boom of all spot passes [m]; none where they differ."""
        spot = {row["pass"] for _, row in self.plan.inputs.filled("passes")
                if str(row.get("method")).casefold() == "spot"}
        widths = {each.boom for each in self.planned if each.passed in spot and each.boom}
        return widths.pop() if len(widths) == 1 else None


def book_of(plan: Plan) -> Book:
    """Return what a map needs of a plan."""
    inputs, system = plan.inputs, plan.system
    length = factor(length_unit(system), "m")
    carrier = factor(f"{volume_unit(system)}/{area_unit(system)}", "L/m2")
    sprayers = {str(row.get("sprayer")).casefold(): row for _, row in inputs.filled("sprayers")}
    planned, fields = [], set()
    for _, row in inputs.filled("passes"):
        sprayer, rate, day = (sprayers.get(str(row.get("sprayer")).casefold(), {}), row.get("carrier"),
                              row.get("date"))
        boom, behind = (None if sprayer.get(key) is None else float(sprayer[key]) * length
                        for key in ("boom_width", "antenna_to_boom"))
        planned.append(Planned(
            str(row["pass"]), str(row["field"]), day if isinstance(day, date) else None, float(rate) * carrier
            if rate else None,
            boom, behind,
        ))
        fields.add(str(row["field"]))
    # Fields without a pass are known too, so that a log of them is not taken for a stranger's.
    planned += [Planned("", str(row["field"])) for _, row in inputs.filled("fields") if row.get("field")
                and str(row["field"]) not in fields]
    farm = inputs.form("farm")
    return Book(plan, str(farm.get("time_zone") or ""), tuple(planned))
