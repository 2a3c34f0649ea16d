"""The map as a drawing: SVG that needs no script, no tiles and no colour."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from zlib import crc32

import numpy as np
from markupsafe import Markup, escape

from workbook_builder.maps.hot_spots import LEAST_DRIVEN
from workbook_builder.maps.outlines import outline
from workbook_builder.maps.passes import FieldPass
from workbook_builder.maps.plane import Floats
from workbook_builder.maps.raster import Grid
from workbook_builder.theme import MAP_SHADES

#: Lowest share, fill and ink of each class.
CLASSES = tuple((low, f"#{fill}", f"#{ink}") for low, fill, ink in MAP_SHADES)
WORDS = ("under 5 %", "5 to 25 %", "25 to 50 %", "50 to 75 %", "75 % and more")
_SPOT, _LAYER = "#8a2f16", "#1f5f8b"
#: Room around the field, part of the longer side.
_MARGIN = 0.035


def class_of(share: float) -> int:
    """Return the number of the class of a share, from 0."""
    return max(at for at, (low, _, _) in enumerate(CLASSES) if round(share, 6) >= low)


@dataclass(frozen=True)
class _Paper:
    """Where places of the field come on the drawing."""

    low: Floats
    high: Floats
    scale: float

    def x(self, metres: float) -> str:
        return f"{(metres - self.low[0]) * self.scale:.1f}"

    def y(self, metres: float) -> str:
        return f"{(self.high[1] - metres) * self.scale:.1f}"

    def path(self, rings: Iterable[Floats]) -> str:
        return " ".join("M" + " L".join(f"{self.x(x)},{self.y(y)}" for x, y in ring) + " Z" for ring in rings)


def drawing(made: FieldPass, layers: Sequence[tuple[str, Sequence[Floats]]], wide: float, high: float, most: int = 20, feet: bool = False) -> Markup:
    """Return the map of a pass as SVG.

    Parameters
    ----------
    made : FieldPass
    layers : sequence of (name, rings)
        Overlays [m].
    wide, high : float
        Largest size [px].
    most : int
        How many spots are drawn.
    feet : bool
        Whether the scale is in feet.
    """
    grid, points = made.eye, np.vstack(made.rings)
    margin = _MARGIN * float((points.max(axis=0) - points.min(axis=0)).max())
    low, top = points.min(axis=0) - margin, points.max(axis=0) + margin
    size = top - low
    paper = _Paper(low, top, float(min(wide / size[0], high / size[1])))
    width, height = max(float(size[0]) * paper.scale, 110.0), float(size[1]) * paper.scale
    outline_path = paper.path(made.rings)
    # Squares reach beyond the boundary; a page may hold many maps, so each boundary has a name of its own.
    name = f"field-{crc32(f'{made.shape.name} {made.name} {wide}'.encode()):08x}"
    parts = [
        f'<clipPath id="{name}"><path clip-rule="evenodd" d="{outline_path}"/></clipPath><g clip-path="url(#{name})">{_cells(grid, paper)}</g>',
        f'<path d="{outline_path}" fill="none" stroke="#000" stroke-width="1.6"/>',
    ]
    for layer, rings in layers:
        line = f'fill="none" stroke="{_LAYER}" stroke-width="1.6" stroke-dasharray="5 3"'
        parts.append(f'<path d="{paper.path(rings)}" {line}><title>{escape(layer)}</title></path>')
    parts += [_spot(made, rank, paper) for rank in range(1, min(most, len(made.spots)) + 1)]
    label = f"Map of {made.shape.name}, north up: share of each square that was sprayed, in percent"
    return Markup(
        f'<svg class="map" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height + 24:.0f}" width="{width:.0f}" height="{height + 24:.0f}" '
        f'role="img" aria-label="{escape(label)}"><g>{"".join(parts)}</g>{_foot(paper, width, height, feet)}</svg>'
    )


def _cells(grid: Grid, paper: _Paper) -> str:
    side = grid.side * paper.scale
    size = min(11.0, side * 0.55)
    found = []
    for row, column in np.argwhere(grid.driven > 0.02 * grid.side**2):
        share = float(grid.amount[row, column] / grid.driven[row, column])
        _, fill, ink = CLASSES[class_of(share)]
        x, y = grid.x + column * grid.side, grid.y + (row + 1) * grid.side
        found.append(f'<rect x="{paper.x(x)}" y="{paper.y(y)}" width="{side:.1f}" height="{side:.1f}" fill="{fill}" stroke="#fff" stroke-width=".6"/>')
        if grid.area[row, column] >= LEAST_DRIVEN / 2 * grid.side**2 and size >= 5:
            middle = paper.x(x + grid.side / 2), paper.y(y - grid.side / 2)
            found.append(f'<text x="{middle[0]}" y="{middle[1]}" font-size="{size:.1f}" fill="{ink}" text-anchor="middle" dominant-baseline="central">'
                         f"{share * 100:.0f}</text>")
    return "".join(found)


def _spot(made: FieldPass, rank: int, paper: _Paper) -> str:
    spot, grid = made.spots[rank - 1], made.grid
    rings = [ring * grid.side + (grid.x, grid.y) for polygon in outline(spot.cells) for ring in polygon]
    # The number stands on the cell of the spot nearest its middle, so that it never stands beside a bent one.
    places = (spot.cells[:, ::-1] + 0.5) * grid.side + (grid.x, grid.y)
    x, y = places[int(np.hypot(*(places - (spot.x, spot.y)).T).argmin())]
    path = f'<path d="{paper.path(rings)}" fill="none" '
    return (
        f'{path}stroke="#fff" stroke-width="4"/>{path}stroke="{_SPOT}" stroke-width="2"/>'
        f'<circle cx="{paper.x(x)}" cy="{paper.y(y)}" r="9" fill="{_SPOT}" stroke="#fff" stroke-width="1.5"/>'
        f'<text x="{paper.x(x)}" y="{paper.y(y)}" font-size="11" font-weight="bold" fill="#fff" text-anchor="middle" dominant-baseline="central">{rank}</text>'
    )


def _foot(paper: _Paper, width: float, height: float, feet: bool) -> str:
    """Return north arrow and scale bar under the map."""
    unit = 0.3048 if feet else 1.0
    wanted = max(width * 0.35, 40) / paper.scale / unit
    long = max((step * 10**power for power in range(6) for step in (1, 2, 5) if step * 10**power <= wanted), default=1)
    y, end = height + 12, 34 + long * unit * paper.scale
    return (
        f'<path d="M8,{y + 7:.0f} v-16 m-4,6 l4,-6 l4,6" stroke="#000" fill="none" stroke-width="1.4"/>'
        f'<text x="15" y="{y:.0f}" font-size="10" dominant-baseline="central">N</text>'
        f'<path d="M34,{y - 4:.0f} v8 M34,{y:.0f} H{end:.1f} M{end:.1f},{y - 4:.0f} v8" stroke="#000" fill="none"/>'
        f'<text x="{end + 6:.1f}" y="{y:.0f}" font-size="10" dominant-baseline="central">{long:,} {"ft" if feet else "m"}</text>'
    )
