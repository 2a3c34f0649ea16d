"""Templates into self-contained HTML pages: everything escaped, nothing loaded from elsewhere."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import BaseLoader, DictLoader, Environment, FileSystemLoader, StrictUndefined
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


def _loader() -> BaseLoader:
    """Find the templates in the installed package, or beside it in a working copy."""
    installed = files("workbook_builder").joinpath("templates")
    if installed.is_dir():
        texts = {each.name: each.read_text(encoding="utf-8") for each in installed.iterdir() if each.is_file()}
        return DictLoader(texts)
    return FileSystemLoader(Path(__file__).parents[2] / "templates")


def part_text(name: str) -> str:
    """Return a file of the templates as it is, with the line ends of the page."""
    loader = _loader()
    return loader.get_source(Environment(autoescape=True), name)[0].replace("\r\n", "\n")


def environment() -> Environment:
    """Return the template environment: escaping always on, a misspelt name is an error."""
    made = Environment(loader=_loader(), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    made.filters["rules"] = lambda count: range(count)
    made.filters["css"] = in_css
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
