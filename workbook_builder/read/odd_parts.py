"""What some programs write in a way the workbook library gives up on, put right before the book is opened.

Parts beside the cells are put right and told.  Cells that store as a number what is none (NaN, infinity,
words)
are marked as errors, so that they are told by their place.
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from collections.abc import Mapping
from math import isfinite

STRICT = "it is saved as Strict Open XML"
DANGLING = "it names drawings or other parts that are not in it"
COLUMNS = "it marks columns in a way the format does not know"

_STRICT = re.compile(rb"http://purl\.oclc\.org/ooxml/(\w+)/")
_LINK = re.compile(r"<(?:\w+:)?Relationship\s[^>]*?/>")
_ATTRIBUTE = re.compile(r'\s([\w:]+)\s*=\s*"([^"]*)"')
#: Parts of a sheet that show what stands in another part.
_SHOWING = re.compile(rb'<(?:\w+:)?(?:drawing|legacyDrawing|legacyDrawingHF|picture|tablePart)\s[^>]*?\w'
                      rb'+:id="([^"]*)"[^>]*?(?:/>|>\s*</[^>]*>)')
_COLUMN = re.compile(rb"<(?:\w+:)?col\s[^>]*>")
_UNKNOWN_OF_COLUMN = re.compile(rb'\s(?!(?:min|max|width|style|hidden|bestFit|customWidth|phonetic|'
                                rb'outlineLevel|collapsed)=)[\w:]+="[^"]*"')


def put_right(data: bytes) -> tuple[bytes, list[str]]:
    """Return a workbook with odd parts put right and false numbers made error cells,
    and what was odd about its parts.

    Parameters
    ----------
    data : bytes
        The workbook; `refuse_unsafe` has let it pass.
    """
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        parts = {name: archive.read(name) for name in dict.fromkeys(archive.namelist())}
    found: list[str] = []
    if any(_STRICT.search(part[:4000]) for part in parts.values()):
        found.append(STRICT)
        parts = {name: _STRICT.sub(rb"http://schemas.openxmlformats.org/\1/2006/", part)
                 for name, part in parts.items()}
    for name, part in parts.items():
        if name.endswith(".rels"):
            parts[name], missing = _without_dangling(name, part, parts)
            owner = posixpath.join(posixpath.dirname(posixpath.dirname(name)),
                                   posixpath.basename(name).removesuffix(".rels"))
            if missing and owner in parts:
                parts[owner] = _SHOWING.sub(
                    lambda shown, gone=missing: b"" if shown[1].decode() in gone  # type: ignore[misc]
                    else shown[0], parts[owner])
            found += [DANGLING] * bool(missing)
    for name, part in parts.items():
        if b"<sheetData" in part or b":sheetData" in part:
            sheet = _COLUMN.sub(lambda column: _UNKNOWN_OF_COLUMN.sub(b"", column[0]), part)
            found += [COLUMNS] * (sheet != part)
            parts[name] = _marked(sheet)
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as copy:
        for name, part in parts.items():
            copy.writestr(name, part)
    return target.getvalue(), list(dict.fromkeys(found))


def _without_dangling(name: str, part: bytes, parts: Mapping[str, bytes]) -> tuple[bytes, set[str]]:
    """Return the links of a part without those to parts that are not there, and their marks."""
    folder, gone = posixpath.dirname(posixpath.dirname(name)), set()

    def kept(link: re.Match[str]) -> str:
        told = dict(_ATTRIBUTE.findall(link[0]))
        place = posixpath.normpath(posixpath.join("/", folder, told.get("Target", ""))).lstrip("/")
        # Sheets stay: a missing one is a table that is lost, and must be told as such.
        if (told.get("TargetMode") == "External" or place in parts
            or told.get("Type", "").endswith(("/worksheet", "/officeDocument"))):
            return link[0]
        gone.add(told.get("Id", ""))
        return ""

    return _LINK.sub(kept, part.decode("utf-8", "replace")).encode("utf-8"), gone


#: The attributes of a cell, or the text of its value; one walk over the sheet finds both in turn.
_TAG = re.compile(rb"<(?:[\w.-]+:)?(?:c(?=[\s/>])(?P<cell>[^<>]*)|v(?:\s[^<>]*)?>(?P<value>[^<]*)<)")
_TYPE = re.compile(rb"""\st\s*=\s*["'](\w+)["']""")
#: Enough of the text to recognise it by.
LONGEST_SHOWN = 40


def _marked(content: bytes) -> bytes:
    """Return a sheet in which each false number is a short error text."""
    pieces, done, cell = [], 0, None
    for tag in _TAG.finditer(content):
        if tag["cell"] is not None:
            cell = tag
            continue
        kind = _TYPE.search(cell["cell"]) if cell else None
        if cell is None or (kind and kind[1] != b"n") or is_number(tag["value"]):
            continue
        pieces += [content[done : cell.start("cell")], b' t="e"', _TYPE.sub(b"", cell["cell"])]
        pieces += [content[cell.end("cell") : tag.start("value")], tag["value"].strip()[:LONGEST_SHOWN]]
        done, cell = tag.end("value"), None
    return b"".join([*pieces, content[done:]])


def is_number(text: bytes) -> bool:
    """Return whether a stored text can be calculated with as a number; no text at all is a blank cell."""
    try:
        return not text.strip() or isfinite(float(text))
    except ValueError:
        return False
