"""The ``--theme`` option: a theme file, or the plain look."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from workbook_builder.commands.exits import Misused

if TYPE_CHECKING:
    from workbook_builder.theme import Theme


def chosen_theme(path: Path | None) -> Theme:
    """Return the theme of a file, or the plain one.

    Raises
    ------
    Misused
        When the file cannot be used.
    """
    from workbook_builder.theme import DEFAULT_THEME, ThemeRefused, read_theme

    if path is None:
        return DEFAULT_THEME
    try:
        return read_theme(path)
    except ThemeRefused as refused:
        raise Misused.of(refused) from refused
