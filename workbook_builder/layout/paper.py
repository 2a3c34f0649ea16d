"""Which way up and on how many pages a sheet prints best: few pages, all legible."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

#: Width of a digit of 11 pt on paper [points]; screens round it down to 5.25.
DIGIT = 5.57
#: Edges left free: left and right, and top and bottom together [inches].
SIDES, ENDS = 0.5, 1.05
#: Width and height upright [inches].
SIZES = {"us": (8.5, 11.0), "metric": (8.27, 11.69)}
#: What programs lose by their own rounding of rows, columns and the scale.
LOST = 0.99
#: Type of 11 pt prints at 8 pt, the least that reads well at arm's length.
LEAST_SCALE = 0.728
#: Notes of a form are set in 10 pt.
LEAST_WITH_NOTES = 0.8


@dataclass(frozen=True)
class Way:
    """How a sheet prints: upright or not, pages side by side and below each other,
    and the scale that follows.
    """

    upright: bool
    across: int
    down: int
    scale: float


def best_way(width: float, height: float, system: str, one_page: bool = False, repeated: float = 0.0,
             least: float = LEAST_SCALE) -> Way:
    """Return the way of printing with the fewest pages.

    Between equals the one that cuts no line in two, then the largest type.

    Parameters
    ----------
    width, height : float
        Of all that prints [digits, points].
    system : str
        ``us`` or ``metric``: letter or A4.
    one_page : bool
        Whether it must go on one page, whatever the type shrinks to.
    repeated : float
        Width of the columns that every page but the first shows once more [digits].
    least : float
        Scale at which the smallest type on it is still legible.
    """
    return min(_ways(width, height, system, one_page, repeated, least),
               key=lambda way: (way.across * way.down, way.across, -round(way.scale, 2), way.upright))


def _ways(width: float, height: float, system: str, one_page: bool, repeated: float,
          least: float) -> Iterator[Way]:
    for upright in (False, True):
        wide, tall = room(system, upright)
        if one_page:
            yield Way(upright, 1, 1, min(1.0, wide / width, tall / height))
            continue
        across = max(1, math.ceil((width - repeated) / max(1.0, wide / least - repeated)))
        scale = min(1.0, across * wide / (width + (across - 1) * repeated))
        down = max(1, math.ceil(height * scale / tall))
        # A last page on which little would stand is saved where the type stays legible.
        closer = (down - 1) * tall / height if down > 1 else 0.0
        yield Way(upright, across, down - 1, closer) if closer >= least else Way(upright, across, down, scale)


def room(system: str, upright: bool) -> tuple[float, float]:
    """Return width [digits] and height [points] of the printed part of a page."""
    width, height = SIZES[system] if upright else SIZES[system][::-1]
    return (width - SIDES) * 72 / DIGIT * LOST, (height - ENDS) * 72 * LOST
