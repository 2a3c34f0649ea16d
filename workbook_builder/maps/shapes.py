"""Field boundaries and overlays: GeoJSON, KML and zipped shapefiles of polygons in WGS84,
refused when they are made to do harm.
"""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path, PurePosixPath
from typing import Any
from xml.etree import ElementTree

import numpy as np

from workbook_builder.check.problems import WARNING, Problem
from workbook_builder.maps.plane import Floats, Plane, ring_area
from workbook_builder.read.safety import LARGEST_UNPACKED, TYPE_DECLARATION, packed_tightly
from workbook_builder.read.text_files import ZIP_MARK, BadFile, decode, read_bytes

_WGS84 = "Export it in latitude and longitude (WGS84, EPSG:4326)"
#: Names by which GeoJSON of before 2016 called the one system that it has today.
_SAME_SYSTEM = ("4326", "crs84", "wgs84", "wgs 84")


@dataclass(frozen=True)
class Shape:
    """A polygon with holes, or several, with what is said about it."""

    name: str
    #: Longitude and latitude [deg] of every ring, two columns; what lies inside an odd number of rings is
    #: inside
    rings: tuple[Floats, ...]
    said: Mapping[str, Any] = field(default_factory=dict)  # Properties, keys in small letters

    @property
    def middle(self) -> tuple[float, float]:
        """Return latitude and longitude in the middle of the extent [deg]."""
        points = np.vstack(self.rings)
        low, high = points.min(axis=0), points.max(axis=0)
        return float(low[1] + high[1]) / 2, float(low[0] + high[0]) / 2

    def on(self, plane: Plane) -> tuple[Floats, ...]:
        """Return the rings as x, y [m], two columns each."""
        return tuple(np.column_stack(plane.forward(ring[:, 1], ring[:, 0])) for ring in self.rings)


def read_shapes(path: Path) -> tuple[list[Shape], list[Problem]]:
    """Return the polygons of a file and what is doubtful about them.

    Raises
    ------
    BadFile
        When the file is none of the three kinds, is damaged, or counts in another system than WGS84.
    """
    data = read_bytes(path)
    if data.startswith(ZIP_MARK):
        found = list(_of_shapefile(path, data))
    elif opening(data).startswith(b"<"):
        found = list(_of_kml(read_xml(path, data)))
    else:
        found = list(_of_geojson(path, parsed_json(path, data)))
    shapes, problems = [], []
    for at, (name, rings, said) in enumerate(found, 1):
        # The last point of a ring repeats the first.
        opened = (ring[:-1] if len(ring) > 1 and (ring[0] == ring[-1]).all() else ring for ring in rings)
        sound = tuple(ring for ring in opened if len(ring) >= 3
                      and (abs(ring_area(ring[:, 0], ring[:, 1])) > 0))
        if len(sound) < len(rings):
            message = (f"{len(rings) - len(sound)} of {len(rings)} rings of polygon {at} "
                       f"({name or 'no name'}) enclose nothing and are left out")
            problems.append(Problem("map-shape", message, path.name, severity=WARNING,
                                    fix="Draw the boundary again"))
        if sound:
            # Refuse coordinates that are no degrees.
            points = np.vstack(sound)
            if not np.isfinite(points).all():
                raise BadFile(Problem("map-file", "a coordinate is no number", path.name,
                                      fix="Export it again"))
            if (np.abs(points[:, 0]) > 360).any() or (np.abs(points[:, 1]) > 90).any():
                worst = points[np.abs(points).max(axis=1).argmax()]
                message = f"coordinates such as {worst[0]:.0f}, {worst[1]:.0f} are no longitude and latitude"
                raise BadFile(Problem("map-projected", message, path.name, fix=_WGS84))
            shapes.append(Shape(name, sound, {str(key).casefold(): value for key, value in said.items()}))
    if not shapes:
        raise BadFile(Problem("map-file", "the file holds no polygon", path.name,
                              fix="Give boundaries as GeoJSON, KML or a zipped shapefile"))
    return shapes, problems


Found = tuple[str, list[Any], dict[str, Any]]


def parsed_json(path: Path, data: bytes) -> dict[str, Any]:
    """Return the object of a GeoJSON file in WGS84.

    Raises
    ------
    BadFile
    """
    try:
        text, _ = decode(data)
        content = json.loads(text)
    except (ValueError, RecursionError) as error:
        fix = "Give GeoJSON, KML or a zipped shapefile"
        raise BadFile(Problem("map-file", "the file is no sound JSON", path.name, fix=fix)) from error
    if not isinstance(content, dict):
        raise BadFile(Problem("map-file", "the file is JSON, but no GeoJSON", path.name,
                              fix="Export it again"))
    system = json.dumps(content.get("crs") or "4326").casefold()
    if not any(name in system for name in _SAME_SYSTEM):
        raise BadFile(Problem("map-projected", "the file counts in another system than WGS84",
                              path.name, fix=_WGS84))
    return content


def features(path: Path, content: dict[str, Any]) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """Yield geometry and properties of every feature of GeoJSON (RFC 7946)."""
    given = content.get("features", []) if content.get("type") == "FeatureCollection" else [content]
    if not isinstance(given, list):
        raise BadFile(Problem("map-file", "the features of the file are no list", path.name,
                              fix="Export it again"))
    for feature in given:
        if not isinstance(feature, dict):
            raise BadFile(Problem("map-file", "a feature of the file is no object", path.name,
                                  fix="Export it again"))
        geometry = feature.get("geometry") if feature.get("type") == "Feature" else feature
        said = feature.get("properties")
        if isinstance(geometry, dict):
            yield geometry, said if isinstance(said, dict) else {}


def _of_geojson(path: Path, content: dict[str, Any]) -> Iterator[Found]:
    for geometry, said in features(path, content):
        kind, places = geometry.get("type"), geometry.get("coordinates")
        parts = [places] if kind == "Polygon" else places if kind == "MultiPolygon" else []
        try:
            rings = [np.array([point[:2] for point in ring], float).reshape(-1, 2)
                     for part in parts for ring in part]  # type: ignore[union-attr]
        except (TypeError, ValueError, IndexError) as error:
            raise BadFile(Problem("map-file", "the coordinates of a polygon cannot be read", path.name,
                                  fix="Export it again")) from error
        if rings:
            yield _name(said), rings, said


def _of_kml(root: ElementTree.Element) -> Iterator[Found]:
    """Yield polygons of KML (OGC 07-147r2): a placemark with its name and extended data."""
    for mark in (element for element in root.iter() if local(element) == "Placemark"):
        said = {local(child): (child.text or "").strip() for child in mark
                if local(child) in ("name", "description")}
        for data in (element for element in mark.iter() if local(element) in ("Data", "SimpleData")):
            value = next((child.text for child in data if local(child) == "value"), data.text)
            said[data.get("name", "")] = (value or "").strip()
        rings = [_kml_ring(each.text or "") for ring in mark.iter() if local(ring) == "LinearRing"
                 for each in ring if local(each) == "coordinates"]
        if rings:
            yield _name(said), rings, said


def _kml_ring(text: str) -> Floats:
    try:
        return np.array([[float(number) for number in point.split(",")[:2]] for point in text.split()],
                        float).reshape(-1, 2)
    except ValueError:
        return np.empty((0, 2))


def _of_shapefile(path: Path, data: bytes) -> Iterator[Found]:
    for record in shapefile_records(path, data):
        if record.shape.shapeType in (5, 15, 25):
            ends = [*record.shape.parts, len(record.shape.points)]
            points = np.array([point[:2] for point in record.shape.points], float).reshape(-1, 2)
            said = record.record.as_dict()
            yield _name(said), [points[start:end] for start, end in pairwise(ends)], said


def shapefile_records(path: Path, data: bytes) -> list[Any]:
    """Return the shapes and records of a zipped shapefile in WGS84.

    Raises
    ------
    BadFile
    """
    import shapefile

    parts = shapefile_parts(path, data)
    system = parts.get("prj", b"").decode("utf-8", "replace").upper()
    if "PROJCS" in system or "PROJCRS" in system:
        raise BadFile(Problem("map-projected", "the shapefile counts in a projected system",
                              path.name, fix=_WGS84))
    encoding = parts.get("cpg", b"utf-8").decode("ascii", "replace").strip() or "utf-8"
    try:
        streams = {ending: io.BytesIO(parts[ending]) for ending in ("shp", "dbf") if ending in parts}
        with shapefile.Reader(**streams, encoding=encoding, encodingErrors="replace") as reader:
            return list(reader.iterShapeRecords())
    except Exception as error:  # a damaged shapefile raises whatever its reader stumbles over
        raise BadFile(Problem("map-file", "the shapefile cannot be read", path.name,
                              fix="Export it again")) from error


def _name(said: Mapping[str, Any]) -> str:
    plain = {str(key).casefold(): value for key, value in said.items()}
    return next((str(plain[key]).strip() for key in ("field", "name") if plain.get(key) not in (None, "")),
                "")


#: A shapefile has four parts that matter; an archive of one holds few more.
MOST_PARTS = 100
_FRESH = "Export the shapefile again, alone in its archive"


def shapefile_parts(path: Path, data: bytes) -> dict[str, bytes]:
    """Return the parts of the one shapefile in an archive by their ending: shp, dbf, prj, cpg.

    Raises
    ------
    BadFile
        When the archive is damaged, made to flood memory, leads out of its folder,
        or holds no or several shapefiles.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
            reason = ""
            if len(parts) > MOST_PARTS:
                reason = f"it holds {len(parts):,} parts"
            elif sum(part.file_size for part in parts) > LARGEST_UNPACKED or packed_tightly(parts):
                reason = "it could flood memory"
            elif any(_leads_out(part.filename) for part in parts):
                reason = "a name in it leads out of its folder"
            elif any(part.flag_bits & 1 for part in parts):
                reason = "it is locked with a password"
            if reason:
                raise BadFile(Problem("suspicious-file", f"the archive is left unopened: {reason}",
                                      path.name, fix=_FRESH))
            shapes = [part for part in parts if part.filename.lower().endswith(".shp")]
            if len(shapes) != 1:
                message = f"the archive holds {len(shapes)} shapefiles, and one is read"
                raise BadFile(Problem("map-file", message, path.name, fix=_FRESH))
            stem = shapes[0].filename[:-4]
            wanted = {part.filename[len(stem) + 1 :].lower(): part for part in parts
                      if part.filename.startswith(f"{stem}.")}
            return {ending: archive.read(part) for ending, part in wanted.items()
                    if ending in ("shp", "dbf", "prj", "cpg")}
    except BadFile:
        raise
    except Exception as error:  # a damaged zip raises whatever its reader stumbles over
        raise BadFile(Problem("map-file", "the archive is damaged", path.name, fix=_FRESH)) from error


def _leads_out(name: str) -> bool:
    plain = name.replace("\\", "/")
    return plain.startswith("/") or ":" in plain.split("/")[0] or ".." in PurePosixPath(plain).parts


def read_xml(path: Path, data: bytes) -> ElementTree.Element:
    """Return the root of an XML file.

    Raises
    ------
    BadFile
        When it declares a document type (GPX and KML never need one) or is no XML.
    """
    # UTF-16 puts a zero byte beside every letter; without them both encodings read alike.
    if TYPE_DECLARATION.search(data.replace(b"\0", b"")):
        message = "the file declares a document type, which GPX and KML never need"
        raise BadFile(Problem("suspicious-file", message, path.name,
                              fix="Export it again from the program it comes from"))
    try:
        return ElementTree.fromstring(data)
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        raise BadFile(Problem("map-file", f"the file is no sound XML ({error})", path.name,
                              fix="Export it again")) from error


def opening(data: bytes) -> bytes:
    """Return the first signs of a text file, without marks of its encoding and blanks."""
    return data[:400].replace(b"\0", b"").lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n")


def local(element: ElementTree.Element) -> str:
    """Return the name of an element without its namespace."""
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""
