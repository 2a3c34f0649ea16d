"""Templates into self-contained HTML pages: everything escaped, nothing loaded from elsewhere,
plan values in words.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined
from markupsafe import Markup

from workbook_builder.core.columns import NOT_ENTERED
from workbook_builder.core.draft import moment
from workbook_builder.core.quantities import quantity
from workbook_builder.core.rounding import rounded
from workbook_builder.planning import Plan
from workbook_builder.theme import DEFAULT_THEME, Theme

SAFETY = (
    "The label is the law; local rules and licensed practice come first.", "Wear what the label requires.",
    "Check wind, inversion and downwind neighbours.", "Never mix without a jar test when unsure.",
    "The figures are planning aids typed in by people.",
)


def part_text(name: str) -> str:
    """Return a file of the templates as it is, from the installed package or from beside it in a working
    copy.
    """
    installed = files("workbook_builder").joinpath("templates")
    folder = installed if installed.is_dir() else Path(__file__).parents[2] / "templates"
    return folder.joinpath(name).read_text(encoding="utf-8")


@cache
def environment() -> Environment:
    """Return the template environment, one for all pages: escaping always on, a misspelt name is an error."""
    made = Environment(loader=FunctionLoader(part_text), autoescape=True, undefined=StrictUndefined,
                       trim_blocks=True, lstrip_blocks=True)
    made.filters["rules"] = lambda count: range(count)
    made.filters["css"] = in_css
    made.filters["sentence"] = lambda text: f"{text[:1].upper()}{text[1:]}"
    # No line ends between a number and its unit.
    made.filters["units"] = lambda text: re.sub(r" (?=[a-zA-Z])", "\N{NO-BREAK SPACE}", text)
    return made


def in_css(text: object) -> Markup:
    """Return a text for between the quotes of a style sheet: every sign but plain letters,
    digits and spaces by its number.
    """
    plain = " ".join(str(text).split())
    return Markup("".join(sign if sign == " " or (sign.isascii() and sign.isalnum()) else f"\\{ord(sign):x} "
                          for sign in plain))


def render(template: str, plan: Plan, title: str, theme: Theme = DEFAULT_THEME, printed: str = "",
           **parts: Any) -> str:
    """Return one HTML document.

    Parameters
    ----------
    template : str
        File name of the template.
    plan : Plan
    title : str
        Title of the document.
    theme : Theme
    printed : str
        When; blank leaves it out.
    **parts
        What the template shows.
    """
    farm = plan.tables["farm"][0]
    return environment().get_template(template).render(
        title=title, theme=theme, paper="letter" if plan.system == "us" else "A4", farm=farm,
        w=Wording.of(plan), safety=SAFETY, printed=printed, **parts,
    )


BLANK_LINE = "not entered"
#: Of the pages' own language, whatever the machine's.
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True)
class Wording:
    """Writes values in one farm's units."""

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
