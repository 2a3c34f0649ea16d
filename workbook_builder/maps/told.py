"""What logs tell, with all that follows from them by the plan: the tables of the JSON and of every page."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from workbook_builder.check.problems import Problem
from workbook_builder.core.columns import NOT_ENTERED
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.units import area_unit
from workbook_builder.features import VIEWS
from workbook_builder.maps.into_book import Row, Units, load_rows, recurrence_row, with_map
from workbook_builder.maps.logs import BOOM, POSITIONS
from workbook_builder.maps.passes import Analysis, FieldPass
from workbook_builder.planning import Plan, make_plan
from workbook_builder.printing.pages import Wording


@dataclass(frozen=True)
class Told:
    """The rows of one analysis, as the plan works them out."""

    analysis: Analysis
    before: Plan  # Of the farm without the maps
    drift: float | None = None  # Of the receiver [m]

    @property
    def system(self) -> str:
        """Return the unit system."""
        return self.before.system

    @property
    def area_unit(self) -> str:
        """Return the unit of areas."""
        return area_unit(self.system)

    @property
    def units(self) -> Units:
        """Return what turns figures into the units of the farm."""
        return Units(self.system)

    @cached_property
    def merged(self) -> tuple[Inputs, list[Problem]]:
        """The inputs of the farm with these maps, and what is to be said about them."""
        return with_map(self.before.inputs, self.analysis, self.drift)

    @cached_property
    def plan(self) -> Plan:
        """The plan with these maps."""
        return make_plan(self.merged[0])

    @cached_property
    def _rows(self) -> dict[str, list[Row]]:
        return {name: VIEWS[name](self.plan)
                for name in ("map_passes", "hot_spots", "map_overlays", "map_recurrence")}

    def _of(self, table: str, made: FieldPass) -> list[Row]:
        name = [made.planned.passed, made.shape.name, made.kind]
        return [row for row in self._rows[table] if [row["pass"], row["field"], row["log_kind"]] == name]

    def pass_row(self, made: FieldPass) -> Row:
        """Return the row of one pass and field."""
        return self._of("map_passes", made)[0]

    def spot_rows(self, made: FieldPass) -> list[Row]:
        """Return one row a hot spot of a pass and field, by rank."""
        return [row for row in self._of("hot_spots", made) if row["rank"] is not None]

    def overlay_rows(self, made: FieldPass) -> list[Row]:
        """Return one row a layer of a pass and field."""
        return self._of("map_overlays", made)

    def map_recurrence(self) -> list[Row]:
        """Return one row a field and pair of passes."""
        wanted = [[row[key] for key in ("field", "first", "second")]
                  for row in (recurrence_row(again, self.units) for again in self.analysis.again)]
        return [row for row in self._rows["map_recurrence"]
                if [row["field"], row["first"], row["second"]] in wanted]

    def tables(self) -> dict[str, list[Row]]:
        """Return the rows of these logs by the name of their table in the JSON."""
        made = self.analysis.passes
        return {
            "map_passes": [self.pass_row(each) for each in made],
            "hot_spots": [row for each in made for row in self.spot_rows(each)],
            "map_overlays": [row for each in made for row in self.overlay_rows(each)],
            "map_recurrence": self.map_recurrence(),
        }

    def opens(self, made: FieldPass) -> str:
        """Return when people may go back in, in words: by the plan,
        where it has the pass on the day of the log.
        """
        for place, (row, interval) in enumerate(zip(self.plan.tables["passes"], self.plan.tables["intervals"],
                                                    strict=True)):
            if ([row["pass"], row["field"]] == [made.planned.passed, made.shape.name]
                and str(made.planned.day) == made.day):
                opens = Wording.of(self.plan).opens(interval, self.plan.tables["passes"][place]["pass"])
                return f"Back in, by the plan: {opens}."
        return f"The plan does not have this pass on {made.day}: read its labels before anybody goes in."

    def loads_text(self) -> str:
        """Return rows for the load log of passes that have none typed as CSV, as the table reads them.

        Blank when there are none.
        """
        rows, held = load_rows(self.before.inputs, self.analysis.passes), io.StringIO()
        if not rows:
            return ""
        writer = csv.DictWriter(held, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
        return held.getvalue()

    def in_words(self, made: FieldPass) -> str:
        """Return what the log says of one pass and field, as a sentence without its full stop."""
        row: dict[str, Any] = self.pass_row(made)
        unit, drawn, field = self.area_unit, self.units.area(made.drawn, 1), f"{made.shape.name}, {made.name}"
        if row["sprayed_area"] is not None:
            where = ("" if not made.spots
                     else f", {len(made.spots)} hot spot{'' if len(made.spots) == 1 else 's'}")
            return f"{field}: sprayed {row['sprayed_area']:.1f} of {drawn} {unit}, {row['share']:.1%}{where}"
        driven = f"{field}: driven {self.units.area(made.driven, 1)} of {drawn} {unit}; share {NOT_ENTERED}"
        if made.kind == POSITIONS:
            return f"{driven}, as the log holds positions only"
        return f"{driven}, as {'the boom' if made.kind == BOOM else 'sections'} on or off tells no share"
