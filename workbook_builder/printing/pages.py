"""Templates into self-contained HTML pages: everything escaped, nothing loaded from elsewhere."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import Environment, FunctionLoader, StrictUndefined
from markupsafe import Markup

from workbook_builder.planning import Plan
from workbook_builder.printing.wording import Wording
from workbook_builder.theme import DEFAULT_THEME, Theme

SAFETY = (
    "The label is the law; local rules and licensed practice come first.",
    "Wear what the label requires.",
    "Check wind, inversion and downwind neighbours.",
    "Never mix without a jar test when unsure.",
    "The figures are planning aids typed in by people.",
)


def part_text(name: str) -> str:
    """Return a file of the templates as it is, from the installed package or from beside it in a working copy."""
    installed = files("workbook_builder").joinpath("templates")
    folder = installed if installed.is_dir() else Path(__file__).parents[2] / "templates"
    return folder.joinpath(name).read_text(encoding="utf-8")


@cache
def environment() -> Environment:
    """Return the template environment, one for all pages: escaping always on, a misspelt name is an error."""
    made = Environment(loader=FunctionLoader(part_text), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    made.filters["rules"] = lambda count: range(count)
    made.filters["css"] = in_css
    made.filters["sentence"] = lambda text: f"{text[:1].upper()}{text[1:]}"
    # No line ends between a number and its unit.
    made.filters["units"] = lambda text: re.sub(r" (?=[a-zA-Z])", "\N{NO-BREAK SPACE}", text)
    return made


def in_css(text: object) -> Markup:
    """Return a text for between the quotes of a style sheet: every sign but plain letters, digits and spaces by its number."""
    plain = " ".join(str(text).split())
    return Markup("".join(sign if sign == " " or (sign.isascii() and sign.isalnum()) else f"\\{ord(sign):x} " for sign in plain))


def render(template: str, plan: Plan, title: str, theme: Theme = DEFAULT_THEME, printed: str = "", **parts: Any) -> str:
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
