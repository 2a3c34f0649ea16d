"""The theme: a consultant's name, colours, logo and footer, for the workbook and for paper.

A theme file is TOML::

    name = "Invented Advice"
    footer = "Ask before you mix"
    logo = "logo.png"            # PNG or SVG, beside the theme file
    workbook_logo = "logo.png"   # only needed when the logo is an SVG

    [colours]
    main = "#37424D"             # titles, headers and tabs of results
    input = "#7A4A2B"            # headers and tabs of what people type
    working = "#5A646D"          # headers of folded workings
    link = "#1F5F8B"

Every colour carries white text or stands on white paper, so each must reach a contrast of
4.5 to 1 against white (WCAG 2.2, success criterion 1.4.3).
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any

from workbook_builder.logo import Logo, LogoRefused, read_logo

#: Contrast every theme colour must reach against white.
LEAST_CONTRAST = 4.5
LONGEST_LINE = 120
LARGEST_THEME = 100_000
_COLOUR = re.compile(r"#?([0-9A-Fa-f]{6})")
_TOP_KEYS = ("name", "footer", "logo", "workbook_logo", "colours")

#: Lowest share, fill and ink of each class of a map; the fills keep their order in grey.
MAP_SHADES = (
    (0.0, "F6F8F8", "5F686C"), (0.05, "E1E9E9", "2F3B3F"), (0.25, "BFCDCD", "1D2629"),
    (0.5, "86A0A1", "000000"), (0.75, "2F4A50", "FFFFFF"),
)


class ThemeRefused(ValueError):
    """The theme file cannot be used; the text says why and what would be right."""


@dataclass(frozen=True)
class Colours:
    """Colours as six hexadecimal digits, the present palette unless a theme says otherwise."""

    main: str = "37424D"
    input: str = "7A4A2B"
    working: str = "5A646D"
    link: str = "1F5F8B"


@dataclass(frozen=True)
class Theme:
    """How a consultant's workbooks and printed sheets look."""

    name: str = ""  # Consultant or company, printed on every sheet; blank for none
    footer: str = ""  # Line at the foot of printed pages; blank for none
    colours: Colours = field(default_factory=Colours)
    logo: Logo | None = None  # For printed sheets
    workbook_logo: Logo | None = None  # For the workbook; PNG only


DEFAULT_THEME = Theme()


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour, 0 for black to 1 for white.

    References
    ----------
    WCAG 2.2, definition of relative luminance (sRGB).
    """
    parts = [int(colour[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
                        for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(first: str, second: str) -> float:
    """Return the contrast ratio of two colours, 1 to 21."""
    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def read_theme(path: Path) -> Theme:
    """Read a theme file.

    Raises
    ------
    ThemeRefused
        When the file cannot be read, holds something unknown, a colour is too pale or the
        logo is not a safe PNG or SVG.
    """
    try:
        if path.exists() and (not path.is_file() or path.stat().st_size > LARGEST_THEME):
            raise ThemeRefused(f"{path.name}: this is no theme file of a few lines. Give a text file below "
                               f"{LARGEST_THEME // 1000} kB")
        given = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise ThemeRefused(f"{path.name}: the theme file cannot be opened. Check the path") from error
    except RecursionError as error:
        raise ThemeRefused(f"{path.name}: its brackets are nested without end. Write lines such as name = "
                           f"\"...\"") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise ThemeRefused(f"{path.name}: this is not a TOML file ({error}). Write lines such as name = "
                           f"\"...\"") from error
    _only_known(path.name, given, _TOP_KEYS)
    logo = _logo(path, given, "logo")
    workbook_logo = _logo(path, given, "workbook_logo") or (logo if logo and logo.kind == "png" else None)
    if workbook_logo and workbook_logo.kind != "png":
        raise ThemeRefused(f"{path.name}: workbook_logo must be a PNG file")
    lines = {key: _line(path.name, given, key) for key in ("name", "footer")}
    return Theme(**lines, colours=_colours(path.name, given.get("colours", {})), logo=logo,
                 workbook_logo=workbook_logo)


def _only_known(file: str, given: dict[str, Any], known: tuple[str, ...]) -> None:
    for key in given:
        if key not in known:
            raise ThemeRefused(f"{file}: {key!r} is not known in a theme. Use {', '.join(known)}")


def _line(file: str, given: dict[str, Any], key: str) -> str:
    text = given.get(key, "")
    if not isinstance(text, str) or len(text) > LONGEST_LINE or not text.isprintable():
        raise ThemeRefused(f"{file}: {key} must be one line of at most {LONGEST_LINE} characters")
    return text.strip()


def _colours(file: str, given: object) -> Colours:
    if not isinstance(given, dict):
        raise ThemeRefused(f"{file}: colours must be a section, [colours]")
    names = tuple(each.name for each in fields(Colours))
    _only_known(file, given, names)
    colours = {}
    for name in (name for name in names if name in given):
        match = _COLOUR.fullmatch(given[name]) if isinstance(given[name], str) else None
        if match is None:
            raise ThemeRefused(f'{file}: colour {name} must read like "#37424D"')
        colour = colours[name] = match.group(1).upper()
        ratio = contrast(colour, "FFFFFF")
        if ratio < LEAST_CONTRAST:
            message = f"{file}: colour {name} #{colour} is too pale: contrast with white is {ratio:.1f}"
            raise ThemeRefused(f"{message}. Choose a darker one, at least {LEAST_CONTRAST}")
    return Colours(**colours)


def _logo(path: Path, given: dict[str, Any], key: str) -> Logo | None:
    name = given.get(key)
    if name is None:
        return None
    if not isinstance(name, str):
        raise ThemeRefused(f"{path.name}: {key} must be a file name in quotes")
    try:
        return read_logo(path.parent / name)
    except LogoRefused as error:
        raise ThemeRefused(f"{path.name}: {error}") from error
