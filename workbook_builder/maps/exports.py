"""Boundaries and hot spots for other programs: GeoJSON (RFC 7946) and KML (OGC 07-147r2)."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from workbook_builder.maps.hot_spots import Spot
from workbook_builder.maps.into_book import Row
from workbook_builder.maps.passes import FieldPass
from workbook_builder.maps.plane import Floats, in_rings, outline, ring_area
from workbook_builder.maps.told import Told

Polygons = list[list[list[list[float]]]]


def spot_polygons(made: FieldPass, spot: Spot) -> Polygons:
    """Return the outline of a spot in longitude and latitude, closed, outer rings counterclockwise."""
    grid = made.grid
    found = []
    for polygon in outline(spot.cells):
        rings = []
        for ring in polygon:
            lat, lon = made.plane.back(grid.x + ring[:, 0] * grid.side, grid.y + ring[:, 1] * grid.side)
            rings.append(_closed(lon, lat))
        found.append(rings)
    return found


def boundary_polygons(made: FieldPass) -> Polygons:
    """Return the boundary of a field as it was given: outer rings counterclockwise,
    holes after the ring they lie in.
    """
    rings = list(made.shape.rings)
    depth = [sum(bool(in_rings(ring[:1, 0], ring[:1, 1], [other])[0]) for other in rings if other is not ring)
             for ring in rings]
    found: Polygons = []
    outers: list[Floats] = []
    for ring, deep in sorted(zip(rings, depth, strict=True), key=lambda pair: pair[1]):
        turned = ring if (ring_area(ring[:, 0], ring[:, 1]) > 0) == (deep % 2 == 0) else ring[::-1]
        closed = _closed(turned[:, 0], turned[:, 1])
        home = next((at for at, outer in enumerate(outers) if deep % 2
                     and in_rings(ring[:1, 0], ring[:1, 1], [outer])[0]), None)
        if home is None:
            outers.append(ring)
            found.append([closed])
        else:
            found[home].append(closed)
    return found


def _closed(lon: Floats, lat: Floats) -> list[list[float]]:
    points = [[round(float(x), 7), round(float(y), 7)] for x, y in zip(lon, lat, strict=True)]
    return [*points, points[0]]


def _features(told: Told) -> Iterator[tuple[str, str, Row, Polygons]]:
    """Yield kind, name, row and polygons of every pass and every spot."""
    for made in told.analysis.passes:
        yield "pass", f"{made.shape.name}, {made.name}", told.pass_row(made), boundary_polygons(made)
        for spot, found in zip(made.spots, told.spot_rows(made), strict=True):
            yield ("hot spot", f"{made.shape.name}, {made.planned.passed}, spot {found['rank']}", found,
                   spot_polygons(made, spot))


def as_geojson(told: Told) -> str:
    """Return passes and hot spots as GeoJSON, with the columns of their tables as properties."""
    lines = []
    for kind, name, row, polygons in _features(told):
        geometry: dict[str, Any] = ({"type": "Polygon", "coordinates": polygons[0]} if len(polygons) == 1
                                    else {"type": "MultiPolygon", "coordinates": polygons})
        properties = {"kind": kind, "name": name, "area_unit": told.area_unit, **row}
        lines.append(json.dumps({"type": "Feature", "properties": properties, "geometry": geometry},
                                ensure_ascii=False))
    return '{"type": "FeatureCollection", "features": [\n' + ",\n".join(lines) + "\n]}\n"


#: Colours of KML are alpha, blue, green, red.
_STYLES = {"pass": ("ff4d4237", "00000000"), "hot spot": ("ff2b4a7a", "992b4a7a")}


def as_kml(told: Told) -> str:
    """Return passes and hot spots as KML, one folder a pass."""
    styles = "".join(
        f'<Style id={quoteattr(kind.replace(" ", "-"))}><LineStyle><color>{line}</color><width>2</width'
        f'></LineStyle>'
        f"<PolyStyle><color>{fill}</color></PolyStyle></Style>\n"
        for kind, (line, fill) in _STYLES.items()
    )
    marks = ""
    for kind, name, row, polygons in _features(told):
        said = "".join(f"<Data name={quoteattr(key)}><value>{escape(str(value))}</value></Data>"
                       for key, value in row.items() if value is not None)
        shapes = "".join(
            f"<Polygon><outerBoundaryIs>{_ring(rings[0])}</outerBoundaryIs>"
            + "".join(f"<innerBoundaryIs>{_ring(ring)}</innerBoundaryIs>" for ring in rings[1:])
            + "</Polygon>" for rings in polygons
        )
        marks += (f"<Placemark><name>{escape(name)}</name><styleUrl>#{kind.replace(' ', '-')}</styleUrl>"
                  f"<ExtendedData>{said}</ExtendedData><MultiGeometry>{shapes}</MultiGeometry></Placemark>\n")
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2">\n<Document'
        '>\n<name>Spray map</name>\n'
        f"{styles}{marks}</Document>\n</kml>\n"
    )


def _ring(ring: list[list[float]]) -> str:
    return ("<LinearRing><coordinates>" + " ".join(f"{lon:.7f},{lat:.7f}" for lon, lat in np.array(ring))
            + "</coordinates></LinearRing>")
