"""Parts of styles, each made once: openpyxl takes longer to make a font than to write a cell.

A part is never changed after it is made, so cells, sheets and workbooks may share it.
"""

from __future__ import annotations

from functools import cache

from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side
from openpyxl.styles.differential import DifferentialStyle

FONT = "Calibri"
INK = "22282E"
RULE = "DDE0E4"
#: Ink that does not show.
PAPER = "FFFFFF"


@cache
def font(size: int, bold: bool = False, color: str = INK, italic: bool = False,
         underline: str | None = None) -> Font:
    """Return a font of the workbook's own face; size in [points]."""
    return Font(FONT, size, bold=bold, color=color, italic=italic, underline=underline)


@cache
def fill(color: str) -> PatternFill:
    """Return a plain fill."""
    return PatternFill("solid", start_color=color)


@cache
def alignment(horizontal: str | None = None, vertical: str | None = None, wrap: bool = False,
              indent: float = 0, shrink: bool = False) -> Alignment:
    """Return how text stands in its cell."""
    return Alignment(horizontal=horizontal, vertical=vertical, wrap_text=wrap or None, indent=indent,
                     shrink_to_fit=shrink or None)


@cache
def border(sides: bool = False) -> Border:
    """Return the thin rule under a cell, and at its sides where people type."""
    line = Side(style="thin", color=RULE)
    return Border(left=line, right=line, bottom=line) if sides else Border(bottom=line)


@cache
def underlined(color: str) -> Border:
    """Return the line under a header."""
    return Border(bottom=Side(style="thin", color=color))


@cache
def unlocked() -> Protection:
    """Return the protection of cells that people may type into."""
    return Protection(locked=False)


@cache
def marking(ink: str, back: str = "", bold: bool | None = True) -> DifferentialStyle:
    """Return what a rule changes about a cell: ink, weight and, where given, fill."""
    return DifferentialStyle(font=Font(color=ink, bold=bold),
                             fill=PatternFill("solid", bgColor=back, fgColor=back) if back else None)


@cache
def unruled() -> DifferentialStyle:
    """Return what takes the rule away from under a cell."""
    return DifferentialStyle(border=Border(bottom=Side("thin", color=PAPER)))


@cache
def quiet() -> DifferentialStyle:
    """Return what lets neither the text of a cell nor its rule show.

    Some programs follow the first rule of a cell alone.
    """
    return DifferentialStyle(font=Font(color=PAPER), border=Border(bottom=Side("thin", color=PAPER)))
