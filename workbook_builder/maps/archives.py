"""Archives and XML from outside, refused when they are made to do harm."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path, PurePosixPath
from xml.etree import ElementTree

from workbook_builder.check.problems import Problem
from workbook_builder.read.safety import LARGEST_UNPACKED, TYPE_DECLARATION, packed_tightly
from workbook_builder.read.text_files import BadFile

#: A shapefile has four parts that matter; an archive of one holds few more.
MOST_PARTS = 100
_FRESH = "Export the shapefile again, alone in its archive"


def shapefile_parts(path: Path, data: bytes) -> dict[str, bytes]:
    """Return the parts of the one shapefile in an archive by their ending: shp, dbf, prj, cpg.

    Raises
    ------
    BadFile
        When the archive is damaged, made to flood memory, leads out of its folder, or holds no or several shapefiles.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
            _refuse(path, parts)
            shapes = [part for part in parts if part.filename.lower().endswith(".shp")]
            if len(shapes) != 1:
                message = f"the archive holds {len(shapes)} shapefiles, and one is read"
                raise BadFile(Problem("map-file", message, path.name, fix=_FRESH))
            stem = shapes[0].filename[:-4]
            wanted = {part.filename[len(stem) + 1 :].lower(): part for part in parts if part.filename.startswith(f"{stem}.")}
            return {ending: archive.read(part) for ending, part in wanted.items() if ending in ("shp", "dbf", "prj", "cpg")}
    except BadFile:
        raise
    except Exception as error:  # a damaged zip raises whatever its reader stumbles over
        raise BadFile(Problem("map-file", "the archive is damaged", path.name, fix=_FRESH)) from error


def _refuse(path: Path, parts: list[zipfile.ZipInfo]) -> None:
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
        raise BadFile(Problem("suspicious-file", f"the archive is left unopened: {reason}", path.name, fix=_FRESH))


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
        raise BadFile(Problem("suspicious-file", message, path.name, fix="Export it again from the program it comes from"))
    try:
        return ElementTree.fromstring(data)
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        raise BadFile(Problem("map-file", f"the file is no sound XML ({error})", path.name, fix="Export it again")) from error


def opening(data: bytes) -> bytes:
    """Return the first signs of a text file, without marks of its encoding and blanks."""
    return data[:400].replace(b"\0", b"").lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n")


def local(element: ElementTree.Element) -> str:
    """Return the name of an element without its namespace."""
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""
