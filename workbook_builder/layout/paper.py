"""Which way up and on how many pages a sheet prints best: few pages, none of them nearly empty, all legible."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

#: Width of a digit and height of a usual row [points].
DIGIT, ROW = 5.25, 15.0
#: Edges left free: left and right, and top and bottom together [inches].
SIDES, ENDS = 0.8, 1.05
#: Width and height upright [inches].
SIZES = {"us": (8.5, 11.0), "metric": (8.27, 11.69)}
#: What programs lose by their own rounding of rows and columns.
LOST = 0.97
#: A table that would shrink below this goes on several pages side by side instead.
LEAST_SCALE = 0.57
#: A last page is saved where the others shrink by no more than this.
SQUEEZE = 0.86
MOST_ACROSS = 4
#: Programs count rows a little differently; a table this much of a page stands on one in all of them.
SURE = 0.9


@dataclass(frozen=True)
class Body:
    """What is to be printed.

    Parameters
    ----------
    width, keys : float
        Width of all printed columns and of those repeated on every page [digits].
    height, head : float
        Height of all printed rows and of those repeated on every page [points].
    """

    width: float
    keys: float
    height: float
    head: float


@dataclass(frozen=True)
class Pages:
    """How a sheet prints.

    Parameters
    ----------
    upright : bool
    across : int
        Pages side by side.
    down : int
        Pages below each other.
    scale : float
    squeezed : bool
        Whether the pages below each other must be held to `down`, or a nearly empty one would follow.
    """

    upright: bool
    across: int
    down: int
    scale: float
    squeezed: bool = False


def best_pages(body: Body, system: str, most_across: int = MOST_ACROSS) -> Pages:
    """Return the way of printing with the fewest pages side by side, then below each other; between equals, the largest type.

    What must not be split, a form say, is given `most_across` 1 and shrinks instead.
    """
    return min(_ways(body, system, most_across), key=_order)


def surely_one_down(body: Body, system: str, way: Pages) -> bool:
    """Return whether no page follows below the first, whichever program prints."""
    if way.squeezed:
        return way.down == 1
    return body.height <= SURE * room(system, way.upright)[1] / way.scale


def _order(way: Pages) -> tuple[bool, int, int, float, bool]:
    small = way.scale < LEAST_SCALE
    return small, way.across, 0 if small else way.down, -round(way.scale, 2), way.upright


def _ways(body: Body, system: str, most_across: int) -> Iterator[Pages]:
    for upright in (False, True):
        width, height = room(system, upright)
        across = next((n for n in range(1, most_across) if _scale(body, width, n) >= LEAST_SCALE), most_across)
        yield _squeezed(body, height, Pages(upright, across, 0, _scale(body, width, across)))


def room(system: str, upright: bool) -> tuple[float, float]:
    """Return width [digits] and height [points] of the printed part of a page."""
    width, height = SIZES[system] if upright else SIZES[system][::-1]
    return (width - SIDES) * 72 / DIGIT * LOST, (height - ENDS) * 72 * LOST


def _scale(body: Body, width: float, across: int) -> float:
    return min(1.0, across * width / (body.width + (across - 1) * body.keys))


def _squeezed(body: Body, height: float, way: Pages) -> Pages:
    """Count the pages below each other, and save the last one where little would stand on it."""
    down = _down(body, height, way.scale)
    for scale in (way.scale * step / 100 for step in range(99, round(SQUEEZE * 100) - 1, -1)):
        if scale >= LEAST_SCALE and down > 1 and _down(body, height, scale) < down:
            return Pages(way.upright, way.across, down - 1, scale, True)
    return Pages(way.upright, way.across, down, way.scale)


def _down(body: Body, height: float, scale: float) -> int:
    rows = height / scale - body.head
    return max(1, math.ceil((body.height - body.head) / rows)) if rows > 0 else 1
