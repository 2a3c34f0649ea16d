"""The colours are our own: neutral slate and warm brown, no green and no golden yellow,
tabs in the colours of the theme.
"""

from __future__ import annotations

import colorsys
import re
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

from farms_strategy import build_small
from openpyxl import load_workbook
from small_farm import small_farm

from workbook_builder.build import Built
from workbook_builder.theme import DEFAULT_THEME, Colours, Theme

TEMPLATES = Path(__file__).parents[1] / "templates"
_PALETTE = re.compile(r"<indexedColors>.*?</indexedColors>", re.DOTALL)
_COLOUR = re.compile(r'(?:rgb="[0-9A-F]{2}|srgbClr val="|#)([0-9A-Fa-f]{6})\b')


def colours_in(text: str) -> set[str]:
    """Return the colours named in markup or in a style sheet,
    the numbered palette that nothing points to left out.
    """
    return {colour.upper() for colour in _COLOUR.findall(_PALETTE.sub("", text))}


def colours_of(data: bytes) -> set[str]:
    """Return the colours of the cells, tabs and charts of a workbook."""
    with ZipFile(BytesIO(data)) as parts:
        names = [name for name in parts.namelist()
                 if name.startswith(("xl/styles", "xl/worksheets/sheet", "xl/charts/chart"))]
        return set().union(*(colours_in(parts.read(name).decode("utf-8")) for name in names))


def hue(colour: str) -> tuple[float, float]:
    """Return hue [degrees] and strength (chroma, 0 to 1)."""
    red, green, blue = (int(colour[place : place + 2], 16) / 255 for place in (0, 2, 4))
    return colorsys.rgb_to_hsv(red, green, blue)[0] * 360, max(red, green, blue) - min(red, green, blue)


def is_green(colour: str) -> bool:
    """Whether a person would call it green."""
    angle, strength = hue(colour)
    return 70 <= angle <= 170 and strength > 0.03


def is_golden(colour: str) -> bool:
    """Whether a person would call it golden yellow."""
    angle, strength = hue(colour)
    return 38 <= angle < 70 and strength > 0.15


def test_green_and_golden_yellow_are_told_apart_from_others() -> None:
    """The two judges know a green, a gold, a slate and a brown when they see one."""
    assert ([is_green(colour) for colour in ("2F6B5B", "E5F0E6", "37424D", "1F5F8B", "7A4A2B")]
            == [True, True, False, False, False])
    assert ([is_golden(colour) for colour in ("D9B44A", "FBE8BF", "7A4A2B", "FBF0E3", "37424D")]
            == [True, True, False, False, False])


def test_no_green_and_no_golden_yellow_in_workbook_charts_and_pages(farm: Built) -> None:
    """Nothing that is shown or printed is green or golden yellow."""
    shown = colours_of(farm.data) | colours_in((TEMPLATES / "page.css").read_text("utf-8"))

    assert len(shown) > 20
    assert {colour for colour in shown if is_green(colour)} == set()
    assert {colour for colour in shown if is_golden(colour)} == set()


def test_tabs_wear_the_colours_of_the_theme(metric_book: Any) -> None:
    """Typed tabs are brown and results slate unless a theme file says otherwise."""
    own = Theme(colours=Colours(main="123456", input="654321"))
    for theme, book in ((DEFAULT_THEME, metric_book),
                        (own, load_workbook(BytesIO(build_small(small_farm(), theme=own).data),
                                            data_only=True))):
        assert book["Farm"].sheet_properties.tabColor.rgb == f"00{theme.colours.input}"
        assert book["Season"].sheet_properties.tabColor.rgb == f"00{theme.colours.main}"
