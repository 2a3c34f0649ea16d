"""The parts of a workbook file: a zip of XML parts held as a dictionary."""

from __future__ import annotations

import codecs
import io
import posixpath
import re
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path
from xml.etree import ElementTree

#: Part name (``xl/worksheets/sheet1.xml``) -> its bytes.
Parts = dict[str, bytes]

WORKBOOK_PART = "xl/workbook.xml"
WORKBOOK_LINKS_PART = "xl/_rels/workbook.xml.rels"
SHARED_STRINGS_PART = "xl/sharedStrings.xml"

_DECLARATION = re.compile(r"^\s*<\?xml[^>]*\?>")
_LINK_ID = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_RELATIONSHIP = "{http://schemas.openxmlformats.org/package/2006/relationships}Relationship"
_SHEET = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}sheet"


class UnknownSheet(KeyError):
    """A sheet title that the workbook does not have."""

    def __init__(self, title: str) -> None:
        self.title = title
        super().__init__(title)

    def __str__(self) -> str:
        return f"the workbook has no sheet {self.title!r}"


class NotAWorkbook(ValueError):
    """A file that is not an ``.xlsx`` workbook, or only half of one.

    Its name is blank when it came as bytes.
    """

    def __init__(self, name: str) -> None:
        self.name = name
        super().__init__(name)

    def __str__(self) -> str:
        return f"{self.name or 'the data'} is not an .xlsx workbook, or it is damaged"


def read_parts(workbook: bytes | Path) -> Parts:
    """Return all parts of a workbook, in the order of the file.

    Parameters
    ----------
    workbook : bytes or Path
        The file itself or where it is.

    Raises
    ------
    NotAWorkbook
        It is no zip of parts, is damaged, or holds no workbook.
    """
    name = "" if isinstance(workbook, bytes) else str(workbook)
    try:
        with zipfile.ZipFile(io.BytesIO(workbook) if isinstance(workbook, bytes) else workbook) as package:
            parts = {entry.filename: in_utf8(package.read(entry)) for entry in package.infolist()
                     if not entry.is_dir()}
    except (zipfile.BadZipFile, zlib.error) as problem:
        raise NotAWorkbook(name) from problem
    if WORKBOOK_PART not in parts:
        raise NotAWorkbook(name)
    return parts


def in_utf8(part: bytes) -> bytes:
    """Return a part in UTF-8; programs may write markup in 16-bit letters as well."""
    if not part.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return part
    try:
        text = part.decode("utf-16")
    except UnicodeDecodeError:
        return part
    return _DECLARATION.sub("", text, count=1).encode("utf-8")


def sheet_parts(parts: Mapping[str, bytes]) -> dict[str, str]:
    """Return sheet title -> part name, in tab order (chart sheets left out).

    The way goes through the workbook part and its relationships, because the number in
    a part's name says nothing about the order or the title of its sheet.
    """
    links = {
        link.attrib["Id"]: link.attrib["Target"]
        for link in ElementTree.fromstring(parts[WORKBOOK_LINKS_PART]).iter(_RELATIONSHIP)
        if link.attrib["Type"].endswith("/worksheet")
    }
    sheets = ElementTree.fromstring(parts[WORKBOOK_PART]).iter(_SHEET)
    return {
        sheet.attrib["name"]: posixpath.normpath(posixpath.join("/xl",
                                                                links[sheet.attrib[_LINK_ID]])).lstrip("/")
        for sheet in sheets
        if sheet.attrib[_LINK_ID] in links
    }
