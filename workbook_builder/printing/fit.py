"""How high a paragraph stands on paper: an estimate from text lengths, for programs that do not make room by themselves."""

from __future__ import annotations

from workbook_builder.text_widths import BOLD, lines_in

LEADING = 1.25
#: Width of a digit where a font of wide letters steps in for the page's own [ems].
DIGIT = 0.61


def text_height(text: str, width: float, size: float, bold: bool = False) -> float:
    """Return the height of a paragraph [points].

    Parameters
    ----------
    text : str
    width : float
        Width it is set in [points].
    size : float
        Type size [points].
    bold : bool
    """
    lines = lines_in(text, max(2.0, width / (size * DIGIT * (BOLD if bold else 1))))
    return lines * size * LEADING
