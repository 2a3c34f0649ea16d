"""Spot sheets: the next fill and what goes into it, where to stop, tables to read the share from,
and the log.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from workbook_builder.core.draft import Cells, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import STEP_DIGITS, rounded
from workbook_builder.planning import Plan
from workbook_builder.printing.cards import Place, logged, place_of, points_of
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.codes import Code, code_of, picture
from workbook_builder.printing.pages import render
from workbook_builder.printing.pouring import Fill, Line, Pourer, WorkOrder, work_order
from workbook_builder.theme import DEFAULT_THEME, Theme

#: Blank log lines on a sheet.
LOG_LINES = 4
#: Shares of the reading tables.
SHARES = (0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.75, 1.0)
#: Parts of a full tank whose amounts are given, and of the ground still to cover in the table of last fills.
PARTS = (1 / 4, 1 / 2, 3 / 4, 1)


@dataclass(frozen=True)
class Level:
    """A mark on the tank and what to do there."""

    mark: str
    what: str


@dataclass(frozen=True)
class SpotSheet:
    """One spot pass on one field, ready to print."""

    title: str
    place: Place
    state: Cells
    lines: tuple[Line, ...]
    fill: Fill | None
    amounts: tuple[tuple[str, list[str]], ...]
    levels: tuple[Level, ...]
    readings: tuple[tuple[str, str, str], ...]
    last_fills: tuple[tuple[str, list[str]], ...]
    log: tuple[Cells, ...]
    points: tuple[tuple[Cells, str], ...]
    more_points: int
    alarm: str
    order: WorkOrder
    code: Code

    @property
    def typed(self) -> Cells:
        """The pass as typed."""
        return self.place.typed

    @property
    def picture(self) -> str:
        """The code to scan: it names the next row of the load log."""
        return picture(f"{self.code} {self.typed['pass']}, {self.typed['field']}, load {self.next_no}"[:110])

    @property
    def next_no(self) -> int:
        """Number of the next load: one more than the highest logged."""
        return 1 + max((int(line["load"]) for line in self.log if line["load"] != ""), default=0)


def spot_rows(plan: Plan, choice: Choice) -> list[int]:
    """Return the rows of the chosen passes that are spot passes."""
    return [row for row in choice.rows(plan) if folded(plan.tables["passes"][row]["method"]) == "spot"]


def spot_sheets(plan: Plan, choice: Choice, theme: Theme = DEFAULT_THEME) -> str:
    """Return one sheet a spot pass and field as HTML; blank when there is no spot pass."""
    made = sheets(plan, choice)
    return (render("spot_sheet.html", plan, "Spot sheets", theme, choice.printed, pages=made,
                   log_lines=LOG_LINES) if made else "")


def sheets(plan: Plan, choice: Choice) -> list[SpotSheet]:
    """Return the spot sheets of the chosen passes, in sheet order."""
    pourer = Pourer(plan)
    return [_sheet(pourer, row) for row in spot_rows(plan, choice)]


def _sheet(pourer: Pourer, row: int) -> SpotSheet:
    plan, w = pourer.plan, pourer.wording
    typed, volume = plan.tables["passes"][row], plan.tables["pass_volumes"][row]
    state = next((line for line in plan.tables["spot_passes"] if line["row"] == row + 1), Cells())
    lines, carrier, tank = pourer.lines([row]), number(typed["carrier"]), number(volume["tank"])
    fill = (pourer.fill(lines, number(state["in_tank"]), state["next_fill"], carrier)
            if number(state["next_fill"]) > 0 and carrier else None)
    step = pourer.water_step
    volumes = (list(dict.fromkeys(max(step, rounded(part * tank / step) * step) for part in PARTS))
               if tank else [])
    settings, told = (plan.tables["assumptions"][0],
                      (("read_at", "read the share, log it"), ("decide_at", "decide the next fill")))
    between = sorted(((tank * number(settings[key]), what) for key, what in told), reverse=True)
    stops = ((tank, "full"), *between, (number(volume["unusable"]), "stop, pump may suck air"))
    levels = tuple(Level(w.measure("volume", mark, 0), what) for mark, what in stops) if tank else ()
    log = tuple(logged(plan, row))
    points, more, alarm = points_of(plan, [row])
    amounts = tuple((w.measure("volume", part, 1), pourer.amounts(lines, part)) for part in volumes)
    code = code_of([typed["pass"], typed["field"]], [carrier, typed["mix"], state["next_fill"],
                                                     [(line.product, line.rate) for line in lines], amounts])
    # Share, volume per hundred units of area covered, and area that a full tank covers.
    usable = number(volume["usable"])
    readings = tuple((w.measure("share", share), w.number(share * carrier * 100, 0),
                      w.number(usable / (share * carrier), 0))
                     for share in SHARES) if carrier > 0 and usable > 0 else ()
    return SpotSheet(
        f"{typed['pass']}: {typed['field']}", place_of(plan, row), state, lines, fill, amounts, levels,
        readings,
        tuple(_last_fills(pourer, carrier, tank, number(volume["unusable"]), number(state["remaining_area"]),
                          step)), log, points, more, alarm,
        work_order(plan, [row]), code,
    )


def _last_fills(pourer: Pourer, carrier: float, tank: float, unusable: float, remaining: float,
                step: float) -> Iterator[tuple[str, list[str]]]:
    """Give the mark to fill to for some areas still to cover, for each share read:
    up to the next step of the gauge, or full.
    """
    if carrier <= 0 or tank <= 0 or remaining <= 0:
        return
    for area in dict.fromkeys(max(1, round(remaining * part)) for part in PARTS):
        marks = [math.ceil(rounded((area * share * carrier + unusable) / step, STEP_DIGITS)) * step
                 for share in SHARES]
        yield (pourer.wording.measure("area", area, 0),
               ["full" if mark >= tank else pourer.wording.number(mark, 0) for mark in marks])
