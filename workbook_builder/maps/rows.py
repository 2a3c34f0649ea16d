"""What logs tell as rows of the typed tables, in the units of the farm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from workbook_builder.core.units import area_unit, factor, length_unit, volume_unit
from workbook_builder.maps.analysis import SQUARES
from workbook_builder.maps.hot_spots import SIDE, Spot
from workbook_builder.maps.logs import MEASURES_SHARE, NOZZLES, POSITIONS, VOLUME
from workbook_builder.maps.passes import Again, FieldPass, OverlayTest

Row = dict[str, Any]


@dataclass(frozen=True)
class Units:
    """Figures of a log in the units of a farm.

    Parameters
    ----------
    system : str
        Unit system.
    """

    system: str

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
        "field_area_drawn": units.area(made.drawn), "area_driven": units.area(made.driven), "area_overlap": units.area(made.overlap),
        "area_unknown": units.area(made.blind), "volume_logged": units.volume(made.volume),
        "sprayed_logged": units.area(made.sprayed) if made.kind == NOZZLES else None,
        "share_error": known(made.error(drift), 5), "clumping": known(made.clumping(), 3), "dead_sections": ", ".join(made.dead) or None,
        "square_area": units.area(made.squares.side**2, 4),
        # The middle of a spot is known to half a cell.
        "edge_zone": units.length((made.boom + SIDE) / 2),
        "rows_read": made.rows_read, "rows_used": made.rows_used, "drift": None if drift is None else units.length(drift),
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
        yield _spot(made, rank, spot, units)


def _spot(made: FieldPass, rank: int, spot: Spot, units: Units) -> Row:
    lat, lon = (float(value) for value in made.plane.back(np.array(spot.x), np.array(spot.y)))
    layer, covered = made.spot_cover.get(rank, ("", math.nan))
    grid = made.squares
    row, column = int((spot.y - grid.y) // grid.side), int((spot.x - grid.x) // grid.side)
    return {
        **_name(made), "rank": rank, "area": units.area(spot.area), "sprayed_area": units.area(spot.sprayed),
        "background_share": known(spot.background, 4), "map_row": grid.area.shape[0] - row, "map_column": left_of(made) + 1 + column,
        "lat": round(lat, 6), "lon": round(lon, 6), "to_edge": units.length(spot.to_edge),
        "length_over_width": known(spot.length_over_width, 1), "bearing_to_runs": known(spot.bearing_to_runs, 0), "z": known(spot.z, 2),
        "stands_out": "yes" if spot.stands_out else "no", "seen_before": made.seen.get(rank), "overlay": layer or None, "overlay_cover": known(covered, 3),
    }


def overlay_rows(made: FieldPass, units: Units) -> Iterator[Row]:
    """Yield the rows of `map_overlays`."""
    for test in made.overlays:
        yield {**_name(made), **_overlay(test, units, made.kind in MEASURES_SHARE)}


def _overlay(test: OverlayTest, units: Units, measures: bool) -> Row:
    return {
        "layer": test.layer, "share_inside": known(test.share_inside, 4) if measures else None,
        "share_outside": known(test.share_outside, 4) if measures else None, "area_inside": units.area(test.area_inside), "r": known(test.r, 4),
        "effective_n": known(test.effective_n, 1), "p": _small(test.p), "p_adjusted": _small(test.p_adjusted),
    }


def recurrence_row(again: Again, units: Units) -> Row:
    """Return the row of `map_recurrence`."""
    return {
        "field": again.field, "first": again.first, "second": again.second, "jaccard": known(again.jaccard, 3), "r": known(again.r, 4),
        "effective_n": known(again.effective_n, 1), "p": _small(again.p), "hot_in_both": units.area(again.hot_both),
    }
