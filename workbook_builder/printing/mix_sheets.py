"""Mix sheets: one page a load, with what goes into the tank, in order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from workbook_builder.core.columns import OK, OPEN_STATUSES
from workbook_builder.core.draft import Cells, at
from workbook_builder.core.room import folded
from workbook_builder.features.checks import CHECK_KINDS
from workbook_builder.planning import Plan
from workbook_builder.printing.choice import Choice, NothingToPrint
from workbook_builder.printing.fit import scale_for, text_height
from workbook_builder.printing.pages import render
from workbook_builder.printing.planned_loads import PlannedLoad, PlannedLoads
from workbook_builder.printing.wording import Wording
from workbook_builder.theme import DEFAULT_THEME, Theme

#: To fix printed in full on a mix sheet; the rest are counted.
MOST_POINTS = 4
RULES = ("Label order wins over this list; check every amount against the label.", "Gloves, eye protection and all else the label requires on.")


@dataclass(frozen=True)
class Step:
    """One product on a mix sheet, ready to print."""

    number: int
    product: str
    amount: str
    unit: str
    pour: str
    in_all: str
    why: str
    pause: str
    differ: str
    restricted: bool

    @property
    def title(self) -> str:
        """Place and product, restricted use told in words."""
        return f"{self.number}. {self.product}{' (restricted use)' if self.restricted else ''}"

    @property
    def note(self) -> str:
        """Why the product stands here, its pause, where guides differ, and the whole pass."""
        texts = (self.why, self.pause, self.differ, f"whole pass {self.in_all}")
        return "; ".join(text.rstrip(".") for text in texts if text)


@dataclass(frozen=True)
class MixPage:
    """One load, ready to print."""

    load: int
    loads: int
    typed: Cells
    crop: str
    figures: tuple[tuple[str, str], ...]
    in_tank: str
    first_fill: str
    volume: str
    top_up: str
    sum_line: str
    shared: str
    tank_first: str
    steps: tuple[Step, ...]
    intervals: Cells
    points: tuple[Cells, ...]
    more_points: int
    not_allowed: int

    @property
    def restricted(self) -> str:
        """Names of the restricted-use products."""
        return ", ".join(step.product for step in self.steps if step.restricted)

    @property
    def scale(self) -> float:
        """Scale at which the load stays on one page."""
        return scale_for(self._height)

    def _height(self, width: float) -> float:
        facts = ("field", "date", "method"), ("mix", "sprayer", "")
        # Everything that does not depend on the texts: gaps, figures, water lines, blanks, foot.
        total = 335 + text_height(f"Mix sheet: {self.typed['pass']}", width - 150, 21, True)
        total += sum(12 + max(text_height(str(self.typed[key]), width / 4 - 12, 11.5, True) for key in row) for row in facts)
        total += 35 * bool(self.in_tank) + 40 * bool(self.not_allowed) + 24 * bool(self.shared)
        # What the figures leave of the table's width is the product's (page.css, .steps).
        left = width - 350
        for step in self.steps:
            what = text_height(step.title, left, 16, True) + text_height(step.note, left, 9)
            total += 13 + max(what, 27)
        # What is said of the time after spraying takes up to twelve lines beside the notes.
        return total + max(165, self._notes_height(width / 2 - 28))

    def _notes_height(self, width: float) -> float:
        notes = [*RULES, f"Tank before the first load: {self.tank_first}", f"Restricted use, licensed people only: {self.restricted}"]
        notes += [f"{point['status']}: {point['check']}. {point['finding']}" for point in self.points]
        return 30 + sum(text_height(note, width, 9) for note in notes)


def mix_sheets(plan: Plan, choice: Choice, theme: Theme = DEFAULT_THEME) -> str:
    """Return the mix sheets of the chosen loads as one HTML document.

    Raises
    ------
    NothingToPrint
        When no chosen pass has a load that can be worked out.
    """
    return render("mix_sheets.html", plan, "Mix sheets", theme, pages=mix_pages(plan, choice), rules=RULES)


def mix_pages(plan: Plan, choice: Choice) -> list[MixPage]:
    """Return one page for every chosen load, in sheet order."""
    chosen = [(row, load) for row in choice.rows(plan) for load in choice.loads(plan, row)]
    if not chosen:
        which = f"load {choice.load}" if choice.load else "load that can be worked out"
        raise NothingToPrint(f"the chosen passes have no {which}")
    wording = Wording.of(plan)
    loads = PlannedLoads(plan)
    return [_page(plan, loads.load(row, load), wording) for row, load in chosen]


def _page(plan: Plan, planned: PlannedLoad, wording: Wording) -> MixPage:
    volume, sheet = plan.tables["pass_volumes"][planned.row], planned.sheet
    typed = plan.tables["passes"][planned.row]
    points, more, not_allowed = open_points_of(plan, planned.row, MOST_POINTS)
    measure = wording.measure
    figures = (
        ("Volume to add", measure("volume", sheet["volume"])),
        ("Area it covers", measure("area", sheet["area"])),
        ("Water in this load", measure("volume", sheet["water"])),
        ("Carrier rate", measure("carrier", typed["carrier"])),
    )
    return MixPage(
        planned.load, int(volume["loads"]), typed, str(volume["crop"]), figures,
        measure("volume", sheet["in_tank"]) if sheet["in_tank"] else "",
        measure("volume", sheet["first_fill"]), measure("volume", sheet["full_volume"]), measure("volume", planned.top_up),
        _sum_line(measure, planned),
        _shared(plan, planned.row), str(sheet["tank_first"]), tuple(_step(plan, line, n, wording) for n, line in enumerate(planned.lines, 1)),
        plan.tables["intervals"][planned.row], points, more, not_allowed,
    )


def _sum_line(measure: Callable[[str, object], str], planned: PlannedLoad) -> str:
    """Say what fills the load; a density that is missing leaves the water unknown, and that is said."""
    volume = measure("volume", planned.sheet["volume"])
    if planned.liquid == "":
        return f"Not entered: a density, so the water in {volume} is not known; fill by the gauge of the tank"
    return f"{measure('volume', planned.sheet['water'])} water + {measure('volume', planned.liquid)} liquid products = {volume}"


def _step(plan: Plan, line: Cells, number: int, wording: Wording) -> Step:
    adding, amounts = line["adding"], line["amounts"]
    pause = f"then agitate {wording.number(line['pause'], 0)} min" if line["pause"] else ""
    total = wording.number(amounts["amount_total"], 2)
    return Step(
        number, str(line["product"]), wording.number(line["amount"], 2) or "not entered", str(line["unit"]) if line["amount"] != "" else "",
        str(line["pour"]), f"{total} {line['unit']}" if total else "not entered", str(line["why"]), pause,
        str(adding["guides_differ"]), folded(at(plan.tables["products"], amounts["product_row"], "restricted_use")) == "yes",
    )


def _shared(plan: Plan, row: int) -> str:
    """Say when other fields could share this pass's loads."""
    run: Any = plan.tables["pass_runs"][row]
    if run["run"] == "" or run["fields_in_run"] < 2 or run["loads_saved"] <= 0:
        return ""
    fields, saved = int(run["fields_in_run"]), int(run["loads_saved"])
    advice = f". {run['advice']}" if run["advice"] else ""
    return f"{fields} fields get this mix on this day: sharing loads saves {saved} fill{'s' if saved > 1 else ''}{advice}"


def open_points_of(plan: Plan, row: int, most: int) -> tuple[tuple[Cells, ...], int, int]:
    """Return the points to fix of one pass, worst first.

    Returns
    -------
    (points, more, not_allowed) : tuple
        At most `most` points, how many more there are, and how many are not allowed.
    """
    checks = plan.tables["all_checks"][row * len(CHECK_KINDS) : (row + 1) * len(CHECK_KINDS)]
    opened = [check for check in checks if check["status"] not in ("", OK)]
    opened.sort(key=lambda check: OPEN_STATUSES.index(check["status"]))
    return tuple(opened[:most]), max(0, len(opened) - most), sum(check["status"] == OPEN_STATUSES[0] for check in opened)
