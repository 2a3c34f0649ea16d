"""Spot sheets: how much to mix, and a log to fill load by load, with a small table to read the share from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from workbook_builder.core.draft import Cells
from workbook_builder.core.room import folded
from workbook_builder.planning import Plan
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.fit import scale_for, text_height
from workbook_builder.printing.pages import render
from workbook_builder.printing.wording import Wording
from workbook_builder.theme import DEFAULT_THEME, Theme

#: Blank log lines on a sheet.
LOG_LINES = 6
#: Shares of the reading table.
SHARES = (0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.75, 1.0)
#: Estimates printed: heading, columns of share and volume, and the choice whose chance of running short it has.
GUESSES = (
    ("Mean", "mean", "Mean share"),
    ("Enough 5 in 10", "p50", ""),
    ("Enough 8 in 10", "p80", "Enough 8 times in 10"),
    ("Enough 19 in 20", "p95", "Enough 19 times in 20"),
)


@dataclass(frozen=True)
class Guess:
    """One volume to choose from, ready to print."""

    name: str
    share: str
    volume: str
    short: str


@dataclass(frozen=True)
class SpotPage:
    """One spot pass on one field, ready to print."""

    typed: Cells
    volume: Cells
    carrier: str
    readings: tuple[tuple[str, str, str], ...]
    state: str = ""
    logged: int = 0
    guesses: tuple[Guess, ...] = ()
    doubt: str = ""

    @property
    def scale(self) -> float:
        """Scale at which the log stays on one page."""
        return scale_for(self._height)

    def _height(self, width: float) -> float:
        # Everything but the texts that people name: figures, log, reading table, rules, blanks, foot.
        doubt = text_height(self.doubt, width, 11) + 12 if self.doubt else 0.0
        total = 632 + (84 if self.guesses else 0) + doubt + text_height(f"Spot log: {self.typed['pass']}", width * 0.55, 21, True)
        facts = max(text_height(str(self.typed[key]), width / 4 - 12, 11.5, True) for key in ("mix", "sprayer"))
        return total + facts + max(0.0, text_height(str(self.typed["field"]), width * 0.35, 21, True) - 26)


def spot_rows(plan: Plan, choice: Choice) -> list[int]:
    """Return the rows of the chosen passes that are spot passes."""
    return [row for row in choice.rows(plan) if folded(plan.tables["passes"][row]["method"]) == "spot"]


def spot_sheets(plan: Plan, choice: Choice, theme: Theme = DEFAULT_THEME) -> str:
    """Return one log sheet a spot pass and field as HTML; blank when there is no spot pass."""
    pages = [_page(plan, row) for row in spot_rows(plan, choice)]
    return render("spot_sheet.html", plan, "Spot log sheets", theme, pages=pages, log_lines=LOG_LINES) if pages else ""


def _page(plan: Plan, row: int) -> SpotPage:
    typed, volume = plan.tables["passes"][row], plan.tables["pass_volumes"][row]
    wording, estimate = Wording.of(plan), plan.tables["share_estimates"][row]
    carrier, readings = wording.measure("carrier", typed["carrier"]), _readings(volume, typed, wording)
    if not isinstance(estimate["share_mean"], (int, float)):
        return SpotPage(typed, volume, carrier, readings)
    loads = estimate["loads_logged"]
    state = f"{wording.measure('area', estimate['remaining_area'])} remain; {wording.number(loads, 0) or 0} load{'' if loads == 1 else 's'} logged"
    return SpotPage(typed, volume, carrier, readings, state, int(loads or 0), tuple(_guesses(plan, row, estimate, wording)), str(estimate["finding"]))


def _guesses(plan: Plan, row: int, estimate: Cells, wording: Wording) -> Iterator[Guess]:
    """Give the mean, the quantiles and the advised volume, each with the chance that it runs short."""
    choices = _choices(plan, row)
    short = {str(line["choice"]): line["chance_short"] for line in choices}
    for name, key, choice in GUESSES:
        share, volume = estimate[f"share_{key}"], estimate[f"volume_{key}"]
        yield _guess(name, share, volume, short.get(choice, "") if choice else 0.5, wording)
    for line in choices:
        if line["advised"] == "yes":
            name = str(line["choice"])
            name = name if name.startswith("P") else name[:1].lower() + name[1:]
            yield _guess(f"Advised: {name}", line["at_share"], line["volume"], line["chance_short"], wording)


def _guess(name: str, share: object, volume: object, short: object, wording: Wording) -> Guess:
    chance = wording.measure("share", short) if isinstance(short, (int, float)) else "not known"
    return Guess(name, wording.measure("share", share), wording.measure("volume", volume), chance)


def _choices(plan: Plan, row: int) -> list[Cells]:
    """Return the volume choices of the pass in that row."""
    count = plan.room.slots["choices"]
    for place, spot in enumerate(plan.tables["spot_passes"]):
        if spot["row"] == row + 1:
            return list(plan.tables["volume_choices"][place * count : (place + 1) * count])
    return []


def _readings(volume: Cells, typed: Cells, wording: Wording) -> tuple[tuple[str, str, str], ...]:
    """Return share, volume per hundred units of area covered, and area that a full tank covers."""
    carrier, usable = typed["carrier"], volume["usable"]
    if not isinstance(carrier, (int, float)) or not isinstance(usable, (int, float)) or carrier <= 0:
        return ()
    return tuple(
        (wording.measure("share", share), wording.measure("volume", share * carrier * 100), wording.measure("area", usable / (share * carrier), 1))
        for share in SHARES
    )
