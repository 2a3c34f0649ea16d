"""Maps into the inputs of a farm: rows written anew, and what people typed about a hot spot kept."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from workbook_builder.check.names import folded
from workbook_builder.check.problems import WARNING, Problem
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.units import area_unit, factor
from workbook_builder.features.spray_map.inputs import NOTED, OF_A_LOG
from workbook_builder.maps.hot_spots import SIDE
from workbook_builder.maps.passes import Analysis, FieldPass
from workbook_builder.maps.rows import Row, Units, overlay_rows, pass_row, recurrence_row, spot_rows, square_rows

#: Two middles of one hot spot are no further apart than this, or than its own size [m].
SAME_SPOT = 2 * SIDE
#: A degree of latitude [m].
DEGREE = 111_000.0


def with_map(inputs: Inputs, analysis: Analysis, drift: float | None = None) -> tuple[Inputs, list[Problem]]:
    """Return the inputs with the rows of an analysis, and what is to be said about them.

    Rows of the same pass, field and kind of log are replaced; those of other maps stay.  A pass for which no load is typed
    gets one in the load log, where loads are typed they are left alone; a pass of an earlier season goes to the history
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
           for table, rows in (("map_rows", square_rows), ("hot_spots", spot_rows), ("map_overlays", overlay_rows))},
    }
    taken = {_place(row) for row in new["map_passes"]}
    tables = {table: [*(row for _, row in inputs.filled(table) if _place(row) not in taken), *new[table]] for table in OF_A_LOG}
    noted = [row for _, row in inputs.filled("hot_spots") if _place(row) in taken and any(row.get(key) is not None for key in NOTED)]
    gone = _keep_notes(noted, new["hot_spots"], units)
    tables["hot_spots"] += gone
    tables["map_recurrence"] = _with_recurrence(inputs, [recurrence_row(each, units) for each in analysis.again])
    for table, rows in (("load_log", load_rows(inputs, made)), ("spot_history", history_rows(inputs, analysis.earlier))):
        if rows:
            tables[table] = [*(row for _, row in inputs.filled(table)), *rows]
    return replace(inputs, tables={**inputs.tables, **tables}), [_told_gone(row) for row in gone]


def _place(row: Row) -> tuple[str, ...]:
    return tuple(folded(row.get(key) or "") for key in ("pass", "field", "log_kind"))


def _keep_notes(noted: Iterable[Row], spots: Sequence[Row], units: Units) -> list[Row]:
    """Give each note to the nearest spot of its map that can be the same; return the rows of those that find none, with what was typed."""
    gone = []
    for old in noted:
        near = min((each for each in spots if _place(each) == _place(old)), key=lambda each: _apart(each, old), default=None)
        size = math.sqrt(float(old.get("area") or 0) * factor(area_unit(units.system), "m2") / math.pi)
        if near is None or not _apart(near, old) <= max(SAME_SPOT, size):
            blank = {key: value for key, value in old.items() if key in ("pass", "field", "log_kind", "lat", "lon", "area", *NOTED)}
            gone.append(blank)
            continue
        for key in NOTED:
            near[key] = _both(near.get(key), old.get(key))
    return gone


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
    text = f"{row['pass']} on {row['field']}: no hot spot lies where {note!r} was noted; its row is kept without a rank"
    return Problem("map-spot-gone", text, severity=WARNING, fix="Delete the row when it is of no use")


def _with_recurrence(inputs: Inputs, rows: list[Row]) -> list[Row]:
    def pair(row: Row) -> tuple[str, ...]:
        return tuple(folded(row.get(key) or "") for key in ("field", "first", "second"))

    taken = {pair(row) for row in rows}
    return [*(row for _, row in inputs.filled("map_recurrence") if pair(row) not in taken), *rows]


def load_rows(inputs: Inputs, made: Iterable[FieldPass]) -> list[Row]:
    """Return rows for the load log of planned spot passes that have none typed: area driven and volume by the log."""
    units = Units(inputs.system)
    typed = {_place(row)[:2] for _, row in inputs.filled("load_log")}
    spot = {_place(row)[:2] for _, row in inputs.filled("passes") if str(row.get("method")).casefold() == "spot"}
    by_pass: dict[tuple[str, ...], list[FieldPass]] = {}
    for each in made:
        by_pass.setdefault((folded(each.planned.passed), folded(each.shape.name)), []).append(each)
    rows = []
    for place, logs in by_pass.items():
        volume = sum(_litres(each) for each in logs)
        if place in spot - typed and math.isfinite(volume):
            area = sum(each.driven for each in logs)
            name = {"pass": logs[0].planned.passed, "field": logs[0].shape.name}
            rows.append({**name, "load": 1, "area_covered": units.area(area), "volume_sprayed": units.volume(volume)})
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
        if year != season and np.isfinite(each.share) and (year, folded(each.planned.passed), folded(each.shape.name)) not in there:
            rows.append({
                "season": year, "field": each.shape.name, "pass": each.planned.passed, "share": round(min(1.0, each.share), 4),
                "volume": units.volume(_litres(each)), "area_driven": units.area(each.driven), "area_sprayed": units.area(each.sprayed),
            })
    return rows
