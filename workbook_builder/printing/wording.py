"""Numbers, dates and units as they stand on paper."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from workbook_builder.core.columns import NOT_ENTERED
from workbook_builder.core.draft import moment
from workbook_builder.core.quantities import quantity
from workbook_builder.core.rounding import rounded
from workbook_builder.planning import Plan

BLANK_LINE = "not entered"
#: Of the pages' own language, whatever the machine's.
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True)
class Wording:
    """Writes values in one farm's units.

    Parameters
    ----------
    system, currency : str
    """

    system: str
    currency: str

    @classmethod
    def of(cls, plan: Plan) -> Wording:
        """Return the wording of a plan's farm."""
        return cls(plan.system, plan.inputs.currency)

    def unit(self, kind: str) -> str:
        """Return the unit of a quantity kind."""
        return quantity(kind).unit(self.system, self.currency)

    def number(self, value: object, digits: int) -> str:
        """Return a number with thousands set apart and no idle zeros; blank for blank."""
        if not isinstance(value, (int, float)):
            return ""
        text = f"{rounded(float(value), digits):,.{digits}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
        return "0" if text == "-0" else text

    def measure(self, kind: str, value: object, digits: int | None = None) -> str:
        """Return a number with its unit, for instance ``1,200 gal``."""
        if not isinstance(value, (int, float)):
            return BLANK_LINE
        if kind == "share":
            return f"{self.number(value * 100, 0)} %"
        number = self.number(value, quantity(kind).digits if digits is None else digits)
        return f"{number} {self.unit(kind)}".strip()

    def money(self, value: object, kind: str = "money") -> str:
        """Return money with two digits, and what it is counted per."""
        if not isinstance(value, (int, float)):
            return BLANK_LINE
        unit = self.unit(kind)
        per = unit[len(self.currency) :].replace("/", " per ", 1)
        return f"{self.currency}{rounded(value, 2):,.2f}{per}"

    def day(self, value: object) -> str:
        """Return a date with its weekday."""
        if not isinstance(value, (int, float)):
            return ""
        day = moment(value).date()
        return f"{WEEKDAYS[day.weekday()]} {day.isoformat()}"

    def time(self, value: object) -> str:
        """Return the time of day of a moment."""
        return moment(value).strftime("%H:%M") if isinstance(value, (int, float)) else ""

    def opens(self, interval: Mapping[str, Any], own: object) -> str:
        """Return when a field may be entered again as of a pass, and the other pass that decides it."""
        because = interval["because_of_pass"]
        if interval["reentry_status"] == NOT_ENTERED:
            return "not known: read the labels" + ("" if because in ("", own) else f" of {because}")
        by = "" if because in ("", own) else f", by {because}"
        return f"{self.moment(interval['reentry_at'])}{by}" if interval["reentry_at"] != "" else "not known"

    def moment(self, value: object) -> str:
        """Return a date with its weekday and the time of day."""
        return f"{self.day(value)} {self.time(value)}".strip()
