"""The map as pages, one to read at the desk and one to walk with: a drawing in SVG that needs no script,
no tiles and no colour.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from zlib import crc32

import numpy as np
from markupsafe import Markup, escape

from workbook_builder.core.columns import NOT_ENTERED
from workbook_builder.maps.hot_spots import LEAST_DRIVEN, cell_shares
from workbook_builder.maps.into_book import Row
from workbook_builder.maps.logs import MEASURES_SHARE
from workbook_builder.maps.passes import FieldPass
from workbook_builder.maps.plane import Floats, outline
from workbook_builder.maps.raster import Grid
from workbook_builder.maps.shapes import Shape
from workbook_builder.maps.told import Told
from workbook_builder.printing.pages import render
from workbook_builder.theme import DEFAULT_THEME, MAP_SHADES, Theme

#: Spots on the page to walk with.
WALKED = 10
#: A quarter of the field with this much more of the spray than its ground is named in the title.
UNEVEN = 1.25
#: What stands under the title of a map whose log does not measure shares, and of one whose does.
LEADS = (
    "Each number is how much of its square was driven with something on, in percent: it shows where, and "
    "never how much. North is up.",
    "Each number is the share of its square that was sprayed, in percent; north is up.",
)


@dataclass(frozen=True)
class Part:
    """A line of acres by class, or of a quarter of the field."""

    word: str
    area: float
    share: float
    fill: str = ""


@dataclass(frozen=True)
class Page:
    """One pass on one field, ready to show."""

    heading: str
    title: str
    lead: str
    drawing: Markup
    row: Row
    classes: tuple[Part, ...]
    quarters: tuple[Part, ...]
    spots: tuple[Row, ...]
    overlays: tuple[Row, ...]
    again: tuple[Row, ...]
    layers: tuple[str, ...]
    way: str = ""
    opens: str = ""


def map_page(told: Told, overlays: Sequence[Shape] = (), theme: Theme = DEFAULT_THEME) -> str:
    """Return the map of every pass and field as one HTML document."""
    pages = [_page(told, made, overlays, 400, 400, 20) for made in told.analysis.passes]
    return render("spray_map.html", told.plan, "Spray map", theme, pages=pages)


def scouting_page(told: Told, overlays: Sequence[Shape] = (), gate: tuple[float, float] | None = None,
                  theme: Theme = DEFAULT_THEME) -> str:
    """Return one page a pass with hot spots, to walk with; blank when there is none.

    Parameters
    ----------
    gate : (latitude, longitude), optional
        Where the walk begins; where the sprayer came in when left out.
    """
    pages = [_walk(told, made, overlays, gate) for made in told.analysis.passes if made.spots]
    return render("spray_scouting.html", told.plan, "Scouting page", theme, pages=pages) if pages else ""


def _page(told: Told, made: FieldPass, overlays: Sequence[Shape], wide: float, high: float,
          most: int) -> Page:
    row = told.pass_row(made)
    layers = _layers(made, overlays)
    quarters = _quarters(told, made)
    # By how much a map may be higher: a long narrow field would be too small otherwise.
    rows, columns = made.grid.area.shape
    picture = drawing(made, layers, wide, high * float(min(1.6, max(1.0, 0.6 * rows / columns))), most,
                      told.system == "us")
    again = tuple(each for each in told.map_recurrence() if each["field"] == row["field"]
                  and each["second"] == made.name)
    return Page(
        f"{made.shape.name}, {made.name}", _title(told, made, row, quarters),
        LEADS[made.kind in MEASURES_SHARE], picture, row, _classes(told, made),
        quarters, tuple(told.spot_rows(made)),
        tuple(told.overlay_rows(made)), again, tuple(name for name, _ in layers),
    )


def _layers(made: FieldPass, overlays: Sequence[Shape]) -> list[tuple[str, Sequence[Floats]]]:
    low, high = np.vstack(made.rings).min(axis=0), np.vstack(made.rings).max(axis=0)
    found: list[tuple[str, Sequence[Floats]]] = []
    for shape in overlays:
        rings = shape.on(made.plane)
        points = np.vstack(rings)
        if (points.max(axis=0) > low).all() and (points.min(axis=0) < high).all():
            name = f"{shape.said.get('layer', '')}: {shape.name}".strip(": ")
            found.append((name, rings))
    return found


def _title(told: Told, made: FieldPass, row: Row, quarters: Sequence[Part]) -> str:
    unit, drawn = told.area_unit, told.units.area(made.drawn, 0) or 0
    if row["share"] is None:
        return f"Share {NOT_ENTERED}: driven {told.units.area(made.driven, 0):,.0f} of {drawn:,.0f} {unit}"
    said = f"Sprayed {row['share']:.0%} of {drawn:,.0f} {unit}"
    most = max(quarters, key=lambda part: part.share * part.area, default=None)
    total = sum(part.share * part.area for part in quarters)
    if (most and total > 0 and most.share * most.area / total > UNEVEN * most.area
        / sum(part.area for part in quarters)):
        return f"{said}, most in the {most.word}"
    return said


def _classes(told: Told, made: FieldPass) -> tuple[Part, ...]:
    valid, share = cell_shares(made.grid)
    number = np.array([class_of(float(each)) for each in share[valid]], int)
    areas = np.bincount(number, made.grid.area[valid], minlength=len(CLASSES))
    total = max(float(areas.sum()), 1e-9)
    lines = zip(WORDS, areas, CLASSES, strict=True)
    return tuple(Part(word, told.units.area(float(area), 1) or 0.0, float(area) / total, fill)
                 for word, area, (_, fill, _) in lines)


def _quarters(told: Told, made: FieldPass) -> tuple[Part, ...]:
    grid, points = made.grid, np.vstack(made.rings)
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    rows, columns = np.indices(grid.area.shape)
    north, east = (grid.y + (rows + 0.5) * grid.side > middle[1],
                   grid.x + (columns + 0.5) * grid.side > middle[0])
    found = []
    for word, up, right in (("north-west", True, False), ("north-east", True, True),
                            ("south-west", False, False), ("south-east", False, True)):
        here = (north == up) & (east == right)
        driven = float(grid.driven[here].sum())
        if driven > 0:
            found.append(Part(word, told.units.area(float(grid.area[here].sum()), 1) or 0.0,
                              float(grid.amount[here].sum()) / driven))
    return tuple(found)


def _walk(told: Told, made: FieldPass, overlays: Sequence[Shape], gate: tuple[float, float] | None) -> Page:
    page = _page(told, made, overlays, 400, 290, WALKED)
    if gate is not None:
        x, y = (float(part[0]) for part in made.plane.forward(np.array([gate[0]]), np.array([gate[1]])))
        start = (x, y)
    else:
        start = made.start
    order, long = walking_order(start, [(spot.x, spot.y) for spot in made.spots[:WALKED]])
    from_start = "the gate" if gate is not None else "where the sprayer came in"
    far = f"{long / 1609.344:.1f} miles" if told.system == "us" else f"{long / 1000:.1f} km"
    way = f"In this order from {from_start} and back: {far}."
    return replace(page, spots=tuple(page.spots[at] for at in order), way=way, opens=told.opens(made))


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


def drawing(made: FieldPass, layers: Sequence[tuple[str, Sequence[Floats]]], wide: float, high: float,
            most: int = 20, feet: bool = False) -> Markup:
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
        f'<clipPath id="{name}"><path clip-rule="evenodd" d="{outline_path}"/></clipPath><g '
        f'clip-path="url(#{name})">{_cells(grid, paper)}</g>',
        f'<path d="{outline_path}" fill="none" stroke="#000" stroke-width="1.6"/>',
    ]
    for layer, rings in layers:
        line = f'fill="none" stroke="{_LAYER}" stroke-width="1.6" stroke-dasharray="5 3"'
        parts.append(f'<path d="{paper.path(rings)}" {line}><title>{escape(layer)}</title></path>')
    parts += [_spot(made, rank, paper) for rank in range(1, min(most, len(made.spots)) + 1)]
    label = f"Map of {made.shape.name}, north up: share of each square that was sprayed, in percent"
    return Markup(
        f'<svg class="map" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height + 24:.0f}" '
        f'width="{width:.0f}" height="{height + 24:.0f}" '
        f'role="img" aria-label="{escape(label)}"><g>{"".join(parts)}</g>{_foot(paper, width, height, feet)}'
        f'</svg>'
    )


def _cells(grid: Grid, paper: _Paper) -> str:
    side = grid.side * paper.scale
    size = min(11.0, side * 0.55)
    found = []
    for row, column in np.argwhere(grid.driven > 0.02 * grid.side**2):
        share = float(grid.amount[row, column] / grid.driven[row, column])
        _, fill, ink = CLASSES[class_of(share)]
        x, y = grid.x + column * grid.side, grid.y + (row + 1) * grid.side
        found.append(f'<rect x="{paper.x(x)}" y="{paper.y(y)}" width="{side:.1f}" height="{side:.1f}" '
                     f'fill="{fill}" stroke="#fff" stroke-width=".6"/>')
        if grid.area[row, column] >= LEAST_DRIVEN / 2 * grid.side**2 and size >= 5:
            middle = paper.x(x + grid.side / 2), paper.y(y - grid.side / 2)
            found.append(f'<text x="{middle[0]}" y="{middle[1]}" font-size="{size:.1f}" fill="{ink}" '
                         f'text-anchor="middle" dominant-baseline="central">'
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
        f'<text x="{paper.x(x)}" y="{paper.y(y)}" font-size="11" font-weight="bold" fill="#fff" '
        f'text-anchor="middle" dominant-baseline="central">{rank}</text>'
    )


def _foot(paper: _Paper, width: float, height: float, feet: bool) -> str:
    """Return north arrow and scale bar under the map."""
    unit = 0.3048 if feet else 1.0
    wanted = max(width * 0.35, 40) / paper.scale / unit
    long = max((step * 10**power for power in range(6) for step in (1, 2, 5) if step * 10**power <= wanted),
               default=1)
    y, end = height + 12, 34 + long * unit * paper.scale
    return (
        f'<path d="M8,{y + 7:.0f} v-16 m-4,6 l4,-6 l4,6" stroke="#000" fill="none" stroke-width="1.4"/>'
        f'<text x="15" y="{y:.0f}" font-size="10" dominant-baseline="central">N</text>'
        f'<path d="M34,{y - 4:.0f} v8 M34,{y:.0f} H{end:.1f} M{end:.1f},{y - 4:.0f} v8" stroke="#000" '
        f'fill="none"/>'
        f'<text x="{end + 6:.1f}" y="{y:.0f}" font-size="10" dominant-baseline="central">{long:,} '
        f'{"ft" if feet else "m"}</text>'
    )


Place = tuple[float, float]


def walking_order(start: Place, places: Sequence[Place]) -> tuple[list[int], float]:
    """Return the order in which to walk to places and back, and how long the way is [m].

    Parameters
    ----------
    start : (x, y)
        The gate [m].
    places : sequence of (x, y)
        [m]

    Notes
    -----
    Nearest neighbour first, then parts of the way are turned round as long as that shortens it (2-opt;
    G. A. Croes, 1958, A method for solving traveling-salesman problems, Operations Research 6:791-812).
    """
    if not places:
        return [], 0.0
    points = np.array([start, *places], float)
    far = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    order, left = [0], set(range(1, len(points)))
    while left:
        order.append(min(left, key=lambda each: (far[order[-1], each], each)))
        left.remove(order[-1])
    order.append(0)
    shorter = True
    while shorter:
        shorter = False
        for first in range(1, len(order) - 2):
            for last in range(first + 1, len(order) - 1):
                a, b, c, d = order[first - 1], order[first], order[last], order[last + 1]
                if far[a, c] + far[b, d] < far[a, b] + far[c, d] - 1e-9:
                    order[first : last + 1] = order[first : last + 1][::-1]
                    shorter = True
    length = sum(float(far[one, other]) for one, other in pairwise(order))
    return [each - 1 for each in order[1:-1]], length
