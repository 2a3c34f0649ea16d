"""The map as pages: one to read at the desk, one to walk with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from markupsafe import Markup

from workbook_builder.core.columns import NOT_ENTERED
from workbook_builder.maps.drawing import CLASSES, WORDS, class_of, drawing
from workbook_builder.maps.hot_spots import cell_shares
from workbook_builder.maps.logs import MEASURES_SHARE
from workbook_builder.maps.passes import FieldPass
from workbook_builder.maps.plane import Floats
from workbook_builder.maps.rows import Row
from workbook_builder.maps.shapes import Shape
from workbook_builder.maps.told import Told
from workbook_builder.maps.walk import walking_order
from workbook_builder.printing.pages import render
from workbook_builder.theme import DEFAULT_THEME, Theme

#: Spots on the page to walk with.
WALKED = 10
#: A quarter of the field with this much more of the spray than its ground is named in the title.
UNEVEN = 1.25


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


def scouting_page(told: Told, overlays: Sequence[Shape] = (), gate: tuple[float, float] | None = None, theme: Theme = DEFAULT_THEME) -> str:
    """Return one page a pass with hot spots, to walk with; blank when there is none.

    Parameters
    ----------
    gate : (latitude, longitude), optional
        Where the walk begins; where the sprayer came in when left out.
    """
    pages = [_walk(told, made, overlays, gate) for made in told.analysis.passes if made.spots]
    return render("spray_scouting.html", told.plan, "Scouting page", theme, pages=pages) if pages else ""


def _page(told: Told, made: FieldPass, overlays: Sequence[Shape], wide: float, high: float, most: int) -> Page:
    row = told.pass_row(made)
    layers = _layers(made, overlays)
    quarters = _quarters(told, made)
    picture = drawing(made, layers, wide, high * _upright(made), most, told.system == "us")
    again = tuple(each for each in told.map_recurrence() if each["field"] == row["field"] and each["second"] == made.name)
    return Page(
        f"{made.shape.name}, {made.name}", _title(told, made, row, quarters), _lead(made), picture, row, _classes(told, made),
        quarters, tuple(told.spot_rows(made)),
        tuple(told.overlay_rows(made)), again, tuple(name for name, _ in layers),
    )


def _upright(made: FieldPass) -> float:
    """Return by how much a map may be higher: a long narrow field would be too small otherwise."""
    rows, columns = made.grid.area.shape
    return float(min(1.6, max(1.0, 0.6 * rows / columns)))


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
    if most and total > 0 and most.share * most.area / total > UNEVEN * most.area / sum(part.area for part in quarters):
        return f"{said}, most in the {most.word}"
    return said


def _lead(made: FieldPass) -> str:
    if made.kind in MEASURES_SHARE:
        return "Each number is the share of its square that was sprayed, in percent; north is up."
    return "Each number is how much of its square was driven with something on, in percent: it shows where, and never how much. North is up."


def _classes(told: Told, made: FieldPass) -> tuple[Part, ...]:
    valid, share = cell_shares(made.grid)
    number = np.array([class_of(float(each)) for each in share[valid]], int)
    areas = np.bincount(number, made.grid.area[valid], minlength=len(CLASSES))
    total = max(float(areas.sum()), 1e-9)
    lines = zip(WORDS, areas, CLASSES, strict=True)
    return tuple(Part(word, told.units.area(float(area), 1) or 0.0, float(area) / total, fill) for word, area, (_, fill, _) in lines)


def _quarters(told: Told, made: FieldPass) -> tuple[Part, ...]:
    grid, points = made.grid, np.vstack(made.rings)
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    rows, columns = np.indices(grid.area.shape)
    north, east = grid.y + (rows + 0.5) * grid.side > middle[1], grid.x + (columns + 0.5) * grid.side > middle[0]
    found = []
    for word, up, right in (("north-west", True, False), ("north-east", True, True), ("south-west", False, False), ("south-east", False, True)):
        here = (north == up) & (east == right)
        driven = float(grid.driven[here].sum())
        if driven > 0:
            found.append(Part(word, told.units.area(float(grid.area[here].sum()), 1) or 0.0, float(grid.amount[here].sum()) / driven))
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

