"""What the logs tell as rows in the units of the farm: the tables of the JSON and of every page."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import moment
from workbook_builder.core.units import area_unit, factor, length_unit, volume_unit
from workbook_builder.maps.analysis import Analysis, FieldPass, OverlayTest
from workbook_builder.maps.hot_spots import Spot
from workbook_builder.maps.logs import BOOM, MEASURES_SHARE, POSITIONS

Row = dict[str, Any]

#: More of a field than this not driven, or driven twice, is a finding; common practice, no source.
NOT_DRIVEN, DRIVEN_TWICE = 0.03, 0.05
#: Volume and area of the log may differ from the loads typed by this part.
LOADS_DIFFER = 0.05


@dataclass(frozen=True)
class Expected:
    """What the plan holds about a pass on a field, in the units of the farm.

    Attributes
    ----------
    share, low, high : float or None
        Share planned, and the range that 9 of 10 such fields fall into.
    cost : float or None
        Of the mixture on one sprayed area.
    loads_area, loads_volume : float or None
        Sums of the load log.
    opens : str
        When people may go back in by the plan, in words; blank where nothing is planned.
    back_in : float or None
        The same as a day number; None where it is not known.
    """

    share: float | None = None
    low: float | None = None
    high: float | None = None
    cost: float | None = None
    loads_area: float | None = None
    loads_volume: float | None = None
    opens: str = ""
    back_in: float | None = None


@dataclass(frozen=True)
class Told:
    """The rows of one analysis.

    Parameters
    ----------
    analysis : Analysis
    system : str
        Unit system.
    expected : mapping
        (pass, field) -> what the plan holds.
    drift : float or None
        Of the receiver [m].
    look_days : int
        A spot is looked at again so many days after the pass.
    """

    analysis: Analysis
    system: str
    expected: dict[tuple[str, str], Expected]
    drift: float | None = None
    look_days: int = 3

    @property
    def area_unit(self) -> str:
        """Return the unit of areas."""
        return area_unit(self.system)

    def area(self, square_metres: float, digits: int = 3) -> float | None:
        """Return an area in the unit of the farm."""
        return _known(square_metres * factor("m2", area_unit(self.system)), digits)

    def length(self, metres: float) -> float | None:
        """Return a length in the unit of the farm."""
        return _known(metres * factor("m", length_unit(self.system)), 1)

    def volume(self, litres: float) -> float | None:
        """Return a volume in the unit of the farm."""
        return _known(litres * factor("L", volume_unit(self.system)), 2)

    def of(self, made: FieldPass) -> Expected:
        """Return what the plan holds about a pass."""
        return self.expected.get((made.planned.passed, made.shape.name), Expected())

    def sprayed(self, made: FieldPass) -> tuple[float, str]:
        """Return the sprayed area [m2] and what it rests on: the log, or the volume of the load log over the carrier."""
        loads = self.of(made).loads_volume
        if math.isfinite(made.sprayed):
            return made.sprayed, "log"
        if loads and made.planned.carrier:
            return loads * factor(volume_unit(self.system), "L") / made.planned.carrier, "load log"
        return float("nan"), ""

    def map_passes(self) -> list[Row]:
        """Return one row a pass and field."""
        return [self.pass_row(made) for made in self.analysis.passes]

    def pass_row(self, made: FieldPass) -> Row:
        """Return the row of one pass and field."""
        sprayed, rests_on = self.sprayed(made)
        share = sprayed / made.drawn
        wrong = made.error(self.drift)
        status, finding = self.judged(made)
        return {
            "pass": made.planned.passed, "field": made.shape.name, "machine": made.machine or None, "day": made.day,
            "field_area_drawn": self.area(made.drawn), "area_driven": self.area(made.driven), "area_overlap": self.area(made.overlap),
            "volume_logged": self.volume(made.volume), "sprayed_logged": self.area(made.sprayed), "log_kind": made.kind,
            "rows_read": made.rows_read, "rows_used": made.rows_used, "drift": None if self.drift is None else self.length(self.drift),
            "sprayed_area": self.area(sprayed), "rests_on": rests_on or None, "share": _known(share, 5),
            "share_low": _known(share * (1 - wrong), 5), "share_high": _known(min(1.0, share * (1 + wrong)), 5),
            "planned_share": self.of(made).share, "not_driven": self.area(made.drawn - made.driven), "clumping": _known(made.clumping(), 3),
            "dead_sections": ", ".join(made.dead) or None, "status": status, "finding": "; ".join(finding) or None,
        }

    def judged(self, made: FieldPass) -> tuple[str, list[str]]:
        """Return the status of a pass, and what there is to look at."""
        unit, expected, found = area_unit(self.system), self.of(made), []
        sprayed, rests_on = self.sprayed(made)
        missing = not rests_on
        if missing and made.kind in MEASURES_SHARE:
            found.append("the share needs the carrier of the pass")
        elif missing:
            found.append("the log tells no share: enter the volume sprayed in the load log")
        if made.dead:
            found.append(f"section {', '.join(made.dead)} sprayed next to nothing: check its nozzles and valve")
        not_driven = made.drawn - made.driven
        if not_driven > NOT_DRIVEN * made.drawn:
            found.append(f"{self.area(not_driven, 1)} {unit} ({not_driven / made.drawn:.0%}) not driven")
        if made.overlap > DRIVEN_TWICE * made.driven:
            found.append(f"{self.area(made.overlap, 1)} {unit} ({made.overlap / max(made.driven, 1):.0%}) driven twice")
        if made.blind > NOT_DRIVEN * made.drawn:
            found.append(f"on {self.area(made.blind, 1)} {unit} the log says nothing about spraying")
        share = sprayed / made.drawn
        if rests_on and expected.low is not None and expected.high is not None and not expected.low <= share <= expected.high:
            found.append(f"{share:.1%} sprayed, where {expected.low:.0%} to {expected.high:.0%} was expected")
        found += self._against_loads(made)
        return NOT_ENTERED if missing else LOOK if found else OK, found

    def _against_loads(self, made: FieldPass) -> list[str]:
        """Compare log and typed loads; they are never added."""
        expected, found = self.of(made), []
        pairs = (
            ("driven", self.area(made.driven, 1), expected.loads_area, area_unit(self.system)),
            ("sprayed", self.volume(made.volume), expected.loads_volume, volume_unit(self.system)),
        )
        for word, logged, typed, unit in pairs:
            if logged is not None and typed and abs(logged - typed) > LOADS_DIFFER * typed:
                found.append(f"{logged:,.0f} {unit} {word} by the log, {typed:,.0f} by the loads typed")
        return found

    def scouted(self, made: FieldPass) -> tuple[date, str]:
        """Return the day on which to look again, never before people may go back in, and when they may in words."""
        sprayed, expected = date.fromisoformat(made.day), self.of(made)
        wanted = sprayed + timedelta(days=self.look_days)
        if not expected.opens or made.planned.day != sprayed:
            return wanted, f"The plan does not have this pass on {made.day}: read its labels before anybody goes in."
        opened = wanted if expected.back_in is None else moment(math.ceil(round(expected.back_in, 6))).date()
        return max(wanted, opened), f"Back in, by the plan: {expected.opens}."

    def loads(self) -> list[Row]:
        """Return rows for the load log of passes that have none typed: area driven and volume by the log."""
        rows = []
        for made in self.analysis.passes:
            carrier, sprayed = made.planned.carrier, made.sprayed
            litres = made.volume if math.isfinite(made.volume) else sprayed * carrier if carrier else math.nan
            if self.of(made).loads_area is None and made.planned.day and math.isfinite(litres):
                rows.append({"pass": made.planned.passed, "field": made.shape.name, "load": 1, "area_covered": self.area(made.driven),
                             "volume_sprayed": self.volume(litres)})
        return rows

    def loads_text(self) -> str:
        """Return these rows as CSV, as the table reads them; blank when there are none."""
        rows, held = self.loads(), io.StringIO()
        if not rows:
            return ""
        writer = csv.DictWriter(held, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
        return held.getvalue()

    def hot_spots(self) -> list[Row]:
        """Return one row a hot spot, by field, pass and rank."""
        return [row for made in self.analysis.passes for row in self.spot_rows(made)]

    def spot_rows(self, made: FieldPass) -> list[Row]:
        """Return one row a hot spot of a pass and field, by rank."""
        total = sum(max(spot.extra, 0.0) for spot in made.spots)
        return [self._spot(made, rank, spot, max(spot.extra, 0.0) / total if total > 0 else float("nan")) for rank, spot in enumerate(made.spots, 1)]

    def _spot(self, made: FieldPass, rank: int, spot: Spot, part: float) -> Row:
        lat, lon = (float(value) for value in made.plane.back(np.array(spot.x), np.array(spot.y)))
        extra, cost = self.area(spot.extra), self.of(made).cost
        layer, covered = made.spot_cover.get(rank, ("", float("nan")))
        return {
            "pass": made.planned.passed, "field": made.shape.name, "rank": rank, "area": self.area(spot.area), "sprayed_area": self.area(spot.sprayed),
            "background_share": _known(spot.background, 4), "extra_sprayed": extra, "cost": None if extra is None or cost is None else round(extra * cost, 2),
            "share_of_extra": _known(part, 4), "lat": round(lat, 6), "lon": round(lon, 6), "to_edge": self.length(spot.to_edge),
            "length_over_width": _known(spot.length_over_width, 1), "bearing_to_runs": _known(spot.bearing_to_runs, 0), "lies": spot.lies,
            "z": _known(spot.z, 2), "stands_out": "yes" if spot.stands_out else "no", "seen_before": made.seen.get(rank), "overlay": layer or None,
            "overlay_cover": _known(covered, 3), "scout_on": str(self.scouted(made)[0]),
            "cause": None, "looked_on": None, "found": None,
        }

    def map_overlays(self) -> list[Row]:
        """Return one row a pass, field and layer."""
        return [row for made in self.analysis.passes for row in self.overlay_rows(made)]

    def overlay_rows(self, made: FieldPass) -> list[Row]:
        """Return one row a layer of a pass and field."""
        return [self._overlay(made, test) for test in made.overlays]

    def _overlay(self, made: FieldPass, test: OverlayTest) -> Row:
        measures = made.kind in MEASURES_SHARE
        return {
            "pass": made.planned.passed, "field": made.shape.name, "layer": test.layer,
            "share_inside": _known(test.share_inside, 4) if measures else None, "share_outside": _known(test.share_outside, 4) if measures else None,
            "area_inside": self.area(test.area_inside), "r": _known(test.r, 4), "effective_n": _known(test.effective_n, 1), "p": _small(test.p),
            "p_adjusted": _small(test.p_adjusted), "says": test.word,
        }

    def map_recurrence(self) -> list[Row]:
        """Return one row a field and pair of passes."""
        return [
            {"field": again.field, "first": again.first, "second": again.second, "jaccard": _known(again.jaccard, 3), "r": _known(again.r, 4),
             "effective_n": _known(again.effective_n, 1), "p": _small(again.p), "hot_in_both": self.area(again.hot_both)}
            for again in self.analysis.again
        ]

    def tables(self) -> dict[str, list[Row]]:
        """Return every table by its name in the JSON."""
        return {name: getattr(self, name)() for name in ("map_passes", "hot_spots", "map_overlays", "map_recurrence")}


def _known(value: float, digits: int) -> float | None:
    return round(float(value), digits) if math.isfinite(value) else None


def _small(value: float) -> float | None:
    return float(f"{value:.3g}") if math.isfinite(value) else None


def in_words(told: Told, made: FieldPass) -> str:
    """Return what the log says of one pass and field, as a sentence without its full stop."""
    unit = area_unit(told.system)
    sprayed, rests_on = told.sprayed(made)
    field = f"{made.shape.name}, {made.name}"
    drawn = told.area(made.drawn, 1)
    if rests_on:
        where = "" if not made.spots else f", {len(made.spots)} hot spot{'' if len(made.spots) == 1 else 's'}"
        return f"{field}: sprayed {told.area(sprayed, 1)} of {drawn} {unit}, {sprayed / made.drawn:.1%}{where}"
    driven = f"{field}: driven {told.area(made.driven, 1)} of {drawn} {unit}; share {NOT_ENTERED}"
    if made.kind == POSITIONS:
        return f"{driven}, as the log holds positions only"
    return f"{driven}, as {'the boom' if made.kind == BOOM else 'sections'} on or off tells no share"
