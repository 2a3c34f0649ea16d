"""How small a page must be set so that nothing runs over: an estimate from text lengths.

Browsers do not shrink a page to fit its paper, so the scale is worked out here.  Widths and
sizes are those of ``page.css`` in points; the estimate leans to the small side.
"""

from __future__ import annotations

from collections.abc import Callable

from workbook_builder.text_widths import BOLD, lines_in

#: Height of a letter page between its margins [points], less some room for what the estimate misses; A4 is taller.
PAGE_HEIGHT = 690.0
PAGE_WIDTH = 548.0
LEADING = 1.25
#: Width of a digit where a font of wide letters steps in for the page's own [ems].
DIGIT = 0.61
SMALLEST = 0.3


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


def scale_for(height: Callable[[float], float]) -> float:
    """Return the largest scale, in steps of 0.05, at which a page fits.

    Parameters
    ----------
    height : callable
        Height of the page's content [points] when the page is so wide [points]; at half
        the scale a page is twice as wide and twice as high.
    """
    scale = 1.0
    while scale > SMALLEST and height(PAGE_WIDTH / scale) > PAGE_HEIGHT / scale:
        scale = round(scale - 0.05, 2)
    return scale


def one_page_scale(height: Callable[[float], float], least: float) -> float:
    """Return the scale at which a list takes one page, or 1 where it would be too small to read.

    A list that does not fit at the least scale breaks over pages, its header row repeated.
    """
    scale = scale_for(height)
    return scale if scale >= least else 1.0
