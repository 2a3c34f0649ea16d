"""Spot sheets: a log to fill load by load while spot-spraying, with a small table to read the share from."""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.planning.draft import Cells
from workbook_builder.planning.plan import Plan
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.fit import scale_for, text_height
from workbook_builder.printing.pages import render
from workbook_builder.printing.wording import Wording
from workbook_builder.room import folded
from workbook_builder.theme import DEFAULT_THEME, Theme

#: Blank log lines on a sheet.
LOG_LINES = 9
#: Shares of the reading table.
SHARES = (0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.75, 1.0)


@dataclass(frozen=True)
class SpotPage:
    """One spot pass on one field, ready to print."""

    typed: Cells
    volume: Cells
    carrier: str
    readings: tuple[tuple[str, str, str], ...]

    @property
    def scale(self) -> float:
        """Scale at which the log stays on one page."""
        return scale_for(self._height)

    def _height(self, width: float) -> float:
        # Everything but the texts that people name: figures, log, reading table, rules, blanks, foot.
        total = 640 + text_height(f"Spot log: {self.typed['pass']}", width * 0.55, 21, True)
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
    wording = Wording.of(plan)
    return SpotPage(typed, volume, wording.measure("carrier", typed["carrier"]), _readings(volume, typed, wording))


def _readings(volume: Cells, typed: Cells, wording: Wording) -> tuple[tuple[str, str, str], ...]:
    """Return share, volume per hundred units of area covered, and area that a full tank covers."""
    carrier, usable = typed["carrier"], volume["usable"]
    if not isinstance(carrier, (int, float)) or not isinstance(usable, (int, float)) or carrier <= 0:
        return ()
    return tuple(
        (wording.measure("share", share), wording.measure("volume", share * carrier * 100), wording.measure("area", usable / (share * carrier), 1))
        for share in SHARES
    )
