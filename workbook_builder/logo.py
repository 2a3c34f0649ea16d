"""Logos: small PNG or SVG pictures, checked before they are embedded anywhere."""

from __future__ import annotations

import base64
import re
import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

MOST_BYTES = 200_000
MOST_PIXELS = 4_000
#: Elements a drawing may hold once every repetition in it is drawn.
MOST_ELEMENTS = 5_000
#: Samples of a pixel by the colour type of a PNG, and the bits a sample may have.
_SAMPLES = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
_PNG_START = b"\x89PNG\r\n\x1a\n"
_SVG_SPACE = "{http://www.w3.org/2000/svg}"
#: Elements a drawing needs; everything that can run, load or embed is left out.
_SVG_ELEMENTS = frozenset(
    (
        "svg", "g", "defs", "title", "desc", "path", "rect", "circle", "ellipse", "line", "polyline",
        "polygon", "text", "tspan",
        "linearGradient", "radialGradient", "stop", "clipPath", "mask", "symbol", "use",
        "pattern", "metadata",
    )
)
_INSIDE = re.compile(r"^#(\S+)$|url\(\s*['\"]?#([^)'\"\s]+)")
_OUTSIDE = re.compile(r"url\s*\(\s*['\"]?\s*(?!#)|@import|expression|javascript\s*:|data\s*:|\\",
                      re.IGNORECASE)


class LogoRefused(ValueError):
    """The logo file cannot be used; the text says why."""


@dataclass(frozen=True)
class Logo:
    """A checked picture."""

    kind: str  # `png` or `svg`
    data: bytes
    #: Pixels; 0 for a drawing without a size of its own
    width: int = 0
    height: int = 0

    @property
    def data_uri(self) -> str:
        """Return the picture as a ``data:`` address, so that a page needs no other file."""
        media = "image/png" if self.kind == "png" else "image/svg+xml"
        return f"data:{media};base64,{base64.b64encode(self.data).decode('ascii')}"


def logo_of(address: str) -> Logo | None:
    """Return the PNG that a ``data:`` address of ours holds, or None for any other picture."""
    head, _, body = address.partition(",")
    if head != "data:image/png;base64":
        return None
    return _png("logo", base64.b64decode(body))


def read_logo(path: Path) -> Logo:
    """Read and check a logo.

    Raises
    ------
    LogoRefused
        When the file is missing, too large, neither PNG nor SVG, or an SVG that holds more
        than a drawing.
    """
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise LogoRefused(f"the logo {path.name} cannot be opened. Check the path") from error
    if len(data) > MOST_BYTES:
        raise LogoRefused(f"the logo {path.name} is larger than {MOST_BYTES // 1000} kB. Save it smaller")
    if data.startswith(_PNG_START):
        return _png(path.name, data)
    if b"<svg" in data[:4096]:
        return _svg(path.name, data)
    raise LogoRefused(f"the logo {path.name} is neither a PNG nor an SVG picture")


def _png(name: str, data: bytes) -> Logo:
    if len(data) < 33 or data[12:16] != b"IHDR" or b"IEND" not in data[-12:]:
        raise LogoRefused(f"the logo {name} is a damaged PNG. Save it again")
    width, height = struct.unpack(">II", data[16:24])
    if not (0 < width <= MOST_PIXELS and 0 < height <= MOST_PIXELS):
        raise LogoRefused(f"the logo {name} is larger than {MOST_PIXELS} pixels a side. Save it smaller")
    if not _is_whole(data, width, height):
        raise LogoRefused(f"the logo {name} is a damaged PNG. Save it again")
    return Logo("png", data, width, height)


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Give the chunks of a PNG; one whose check sum does not fit ends them.

    References
    ----------
    ISO/IEC 15948, clause 5.3: length, type, data, CRC of type and data.
    """
    at = len(_PNG_START)
    while at + 12 <= len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        kind, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        if data[at + 8 + length : at + 12 + length] != struct.pack(">I", zlib.crc32(kind + body)):
            return
        yield kind, body
        at += 12 + length


def _is_whole(data: bytes, width: int, height: int) -> bool:
    """Return whether a PNG ends as it should and its picture unpacks to just the bytes its size asks for."""
    chunks = list(_chunks(data))
    if not chunks or chunks[0][0] != b"IHDR" or chunks[-1][0] != b"IEND" or len(chunks[0][1]) != 13:
        return False
    depth, colour, _, _, interlaced = chunks[0][1][8:]
    wanted = ((width * _SAMPLES.get(colour, 0) * depth + 7) // 8 + 1) * height
    unpacker = zlib.decompressobj()
    try:
        # A little more than wanted is asked for: an interlaced picture takes a few bytes a row more, a bomb
        # far more.
        found = len(unpacker.decompress(b"".join(body for kind, body in chunks if kind == b"IDAT"),
                                        wanted * 2 + 100))
    except zlib.error:
        return False
    return wanted > height and (wanted <= found <= wanted * 2 if interlaced else found == wanted)


def _svg(name: str, data: bytes) -> Logo:
    # Entities are refused unread: expanding them is how small files become large ones.
    if b"<!DOCTYPE" in data.upper() or b"<!ENTITY" in data.upper() or b"<?XML-STYLESHEET" in data.upper():
        raise LogoRefused(f"the logo {name} holds a document type or style sheet. Save it as a plain SVG")
    try:
        root = ElementTree.fromstring(data)
    except (ElementTree.ParseError, ValueError) as error:
        raise LogoRefused(f"the logo {name} is a damaged SVG. Save it again") from error
    for element in root.iter():
        tag = element.tag.removeprefix(_SVG_SPACE) if isinstance(element.tag, str) else ""
        if tag not in _SVG_ELEMENTS:
            raise LogoRefused(f"the logo {name} holds <{tag.rpartition('}')[2]}>, which a drawing does not "
                              f"need. Save it as a plain SVG")
        for key, text in element.attrib.items():
            key = key.rpartition("}")[2].lower()
            outside = key == "href" and not text.startswith("#")
            if key.startswith("on") or outside or _OUTSIDE.search(text):
                raise LogoRefused(f"the logo {name} runs or loads something ({key}). Save it as a plain SVG")
    if _drawn(root, root, {}, 0) > MOST_ELEMENTS:
        raise LogoRefused(f"the logo {name} draws more than {MOST_ELEMENTS} elements, or itself. Save it as "
                          f"a plain SVG")
    return Logo("svg", data)


def _drawn(root: ElementTree.Element, element: ElementTree.Element, known: dict[str, int], depth: int) -> int:
    """Return how many elements a drawing comes to when every repetition (``use``, patterns, masks) is drawn.

    Too many for one that holds itself.
    """
    if depth > 40:
        return MOST_ELEMENTS + 1
    count = 1 + sum(_drawn(root, child, known, depth + 1) for child in element)
    for text in element.attrib.values():
        for mark in (one or other for one, other in _INSIDE.findall(text)):
            if mark not in known:
                known[mark] = MOST_ELEMENTS + 1
                known[mark] = sum(_drawn(root, each, known, depth + 1) for each in root.iter()
                                  if each.get("id") == mark)
            count += known[mark]
    return count
