"""Looking a workbook over before it is opened: size, packing, markup that honest ones lack,
and how much it would unfold to.

A few bytes can ask a workbook library for billions of cells: one merged range over a whole
sheet, or one link on it.  So the markup is first read once as a stream, which holds nothing.
"""

from __future__ import annotations

import io
import posixpath
import re
import sys
import zipfile
from collections.abc import Collection, Iterable
from typing import IO
from xml.etree import ElementTree
from xml.parsers import expat

from openpyxl.utils.cell import range_boundaries

from workbook_builder.check.problems import Problem
from workbook_builder.file_format import CUSTOM_PART, properties_in, stated_format
from workbook_builder.read.grid import MOST_ROWS
from workbook_builder.read.text_files import BadFile

LARGEST_UNPACKED = 1024 * 1024 * 1024
MOST_PARTS = 10_000
#: Packed this tightly, a part of more than `SMALL_PART` bytes is made to flood memory.
HIGHEST_RATIO = 300
SMALL_PART = 10 * 1024 * 1024
_OLD_BINARY_MARK = b"\xd0\xcf\x11\xe0"
_OPEN_DOCUMENT = b"mimetypeapplication/vnd.oasis.opendocument"
_FRESH = "Copy the input tables into a fresh workbook"
_MARKS = b"\xef\xbb\xbf\xff\xfe\0 \t\r\n"
_PROLOG = 64 * 1024
_BOOK, _LINKS = "xl/workbook.xml", "xl/_rels/workbook.xml.rels"
_ROOT = re.compile(rb"<[A-Za-z_:\x80-\xff]")
TYPE_DECLARATION = re.compile(rb"<!\s*(DOCTYPE|ENTITY)", re.IGNORECASE)


def refuse_unsafe(name: str, data: bytes, results: Collection[str] = ()) -> None:
    """Refuse a file that is no workbook, or one that should not be opened.

    Parameters
    ----------
    name : str
        File name, for the message.
    data : bytes
        The whole file.
    results : collection of str
        Titles of sheets that may be longer than any table, since nobody reads them.

    Raises
    ------
    BadFile
        With the problem that says why.
    """
    if data.startswith(_OLD_BINARY_MARK):
        message = "the workbook is locked with a password, or of the old .xls kind"
        raise BadFile(Problem("locked-file", message, name, fix="Save it as .xlsx without a password"))
    if _OPEN_DOCUMENT in data[:200]:
        fix = "Open it in the program that made it, and save it as an Excel workbook (.xlsx)"
        raise BadFile(Problem("not-a-workbook", "it is an OpenDocument file (.ods), which is not read",
                              name, fix=fix))
    extent, title, long = Extent(), None, {each.casefold() for each in results}
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
            unpacked = sum(part.file_size for part in parts)
            if unpacked > LARGEST_UNPACKED:
                message = f"the workbook unpacks to {unpacked / 1e6:.0f} MB"
                raise BadFile(Problem("file-too-large", message, name, fix="Keep inputs below 1 GB unpacked"))
            if packed_tightly(parts) or len(parts) > MOST_PARTS:
                message = "the workbook is packed in a way that could flood memory"
                raise BadFile(Problem("suspicious-file", message, name, fix=_FRESH))
            if any(part.flag_bits & 1 for part in parts):
                message = "the workbook is locked with a password"
                raise BadFile(Problem("locked-file", message, name, fix="Save it without a password"))
            markup = [part for part in archive.infolist() if _is_harmless_markup(name, archive, part)]
            titles, unread = _titles(archive), unread_parts(archive)
            for part in markup:
                if part.filename in unread:
                    continue
                title = titles.get(part.filename)
                is_sheet = title is not None or "worksheets/" in part.filename
                with archive.open(part) as opened:
                    extent.add(opened, MOST_ROWS if is_sheet and (title or "").casefold() not in long
                               else sys.maxsize)
    except BadFile:
        raise
    except TooManyRows as error:
        message = f"the sheet has cells below row {MOST_ROWS}"
        raise BadFile(Problem("too-many-rows", message, name, title or "", error.row,
                              fix="Delete what stands further down")) from error
    except Unbounded as error:
        message = f"the workbook could flood memory: {error}"
        raise BadFile(Problem("suspicious-file", message, name, fix=_FRESH)) from error
    except Exception as error:  # a damaged zip raises whatever its reader stumbles over
        raise BadFile(damaged(name)) from error


def _is_harmless_markup(name: str, archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> bool:
    """Return whether a part is markup; it may go by any name."""
    with archive.open(part) as opened:
        head = opened.read(_PROLOG)
    if head.lstrip(_MARKS).startswith(b"<"):
        # UTF-16 puts a zero byte beside every letter; without them both encodings read alike.
        letters = head.replace(b"\0", b"")
        root = _ROOT.search(letters)
        prolog = letters[: root.start()] if root else letters
        if TYPE_DECLARATION.search(prolog) or (root is None and len(head) == _PROLOG):
            message = f"the part {part.filename} declares a document type, which workbooks never do"
            raise BadFile(Problem("suspicious-file", message, name, fix=_FRESH))
        return True
    return False


def unread_parts(archive: zipfile.ZipFile) -> set[str]:
    """Return the sheets of a workbook of ours that it says nobody types into: nine cells of ten stand there,
    and no reader asks for one.
    """
    try:
        _, results = stated_format(properties_in({CUSTOM_PART: archive.read(CUSTOM_PART)}))
    except (KeyError, ElementTree.ParseError):
        return set()
    return {part for part, title in _titles(archive).items() if title in results}


def _titles(archive: zipfile.ZipFile) -> dict[str, str]:
    """Return part name -> title of the sheets, as far as the book tells them in the usual way."""
    try:
        links = {link.get("Id"): link.get("Target", "")
                 for link in ElementTree.fromstring(archive.read(_LINKS)).iter()}
        sheets = [sheet for sheet in ElementTree.fromstring(archive.read(_BOOK)).iter()
                  if sheet.tag.rpartition("}")[2] == "sheet"]
    except (KeyError, ElementTree.ParseError):
        return {}
    places = [(links.get(next((value for key, value in sheet.attrib.items() if key.endswith("}id")), None)),
               sheet.get("name", "")) for sheet in sheets]
    return {posixpath.normpath(posixpath.join("/xl", place)).lstrip("/"): title
            for place, title in places if place}


def damaged(name: str) -> Problem:
    """Return the problem of a file that is not a workbook, or is damaged."""
    fix = "Open it in a spreadsheet program and save it again as .xlsx"
    return Problem("not-a-workbook", "the file is not an .xlsx workbook, or it is damaged", name, fix=fix)


def packed_tightly(parts: Iterable[zipfile.ZipInfo]) -> bool:
    """Return whether a part of an archive is packed so tightly that it is made to flood memory."""
    return any(part.file_size > SMALL_PART and part.file_size > HIGHEST_RATIO * max(part.compress_size, 1)
               for part in parts)


#: Cells, rows, texts and all else a workbook may hold; 2,500 passes need 14 million.
MOST_ELEMENTS = 20_000_000
#: Cells that merged ranges, links and notes may cover together; each is unfolded to single cells.
MOST_COVERED = 500_000
#: Cells without contents below the last row that is read; a touched row holds some, a million rows too many
#: to hold.
MOST_FAR = 100_000
#: Markup nested deeper than any workbook's could exhaust what reads it.
DEEPEST = 100
#: A cell, and what it may hold.
_OF_CELLS = {"c", "v", "f", "is"}
_UNFOLDED = {"mergeCell", "hyperlink", "comment"}
_CHUNK = 256 * 1024


class Unbounded(ValueError):
    """The markup unfolds to more than can be held; the message says to what."""


class TooManyRows(ValueError):
    """A sheet holds cells below the last row that is read.

    Parameters
    ----------
    row : int
        The first of them.
    """

    def __init__(self, row: int) -> None:
        self.row = row
        super().__init__(row)


class Extent:
    """Counts what the parts of one workbook unfold to.

    Raises
    ------
    Unbounded
        From `add`, as soon as a limit is passed.
    """

    def __init__(self) -> None:
        self.elements = 0
        self.covered = 0
        self._depth = self._row = self._far = 0
        self._last_row = sys.maxsize
        self._local: dict[str, str] = {}

    def add(self, part: IO[bytes], last_row: int = sys.maxsize) -> None:
        """Count one part; markup that cannot be read is left to who needs the part.

        Parameters
        ----------
        part : binary stream
        last_row : int
            Last row of a sheet that may hold cells.

        Raises
        ------
        TooManyRows
            At the first cell further down.
        """
        self._depth = self._row = self._far = 0
        self._last_row = last_row
        parser = expat.ParserCreate()
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        try:
            while chunk := part.read(_CHUNK):
                parser.Parse(chunk, False)
            parser.Parse(b"", True)
        except (expat.ExpatError, LookupError):
            return

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self.elements += 1
        self._depth += 1
        if self._depth > DEEPEST:
            raise Unbounded("markup is nested without end")
        if self.elements > MOST_ELEMENTS:
            raise Unbounded("it holds more cells than any farm needs")
        local = self._local.get(name) or self._local.setdefault(name, name.rpartition(":")[2])
        if local == "row":
            told = attributes.get("r", "")
            self._row = int(told) if told.isdecimal() and len(told) < 9 else self._row + 1
        elif self._row > self._last_row and local in _OF_CELLS:
            self._far += 1
            if local != "c" or self._far > MOST_FAR:
                raise TooManyRows(self._row)
        elif local in _UNFOLDED:
            self.covered += _area(attributes.get("ref", ""))
            if self.covered > MOST_COVERED:
                raise Unbounded("merged cells, links or notes cover whole sheets")

    def _end(self, _name: str) -> None:
        self._depth -= 1


def _area(reference: str) -> int:
    """Return how many cells a reference covers; whole rows and columns cover a whole sheet's worth."""
    try:
        left, top, right, bottom = range_boundaries(reference)
    except (ValueError, TypeError):
        return 0
    if None in (left, top, right, bottom):
        return MOST_COVERED + 1
    return int(abs(right - left) + 1) * int(abs(bottom - top) + 1)
