"""How much a workbook would unfold to, counted part by part before any of it is held in memory.

A few bytes can ask a workbook library for billions of cells: one merged range over a whole
sheet, or one link on it.  So the markup is first read once as a stream, which holds nothing.
"""

from __future__ import annotations

import sys
from typing import IO
from xml.parsers import expat

from openpyxl.utils.cell import range_boundaries

#: Cells, rows, texts and all else a workbook may hold; 2,500 passes need 14 million.
MOST_ELEMENTS = 20_000_000
#: Cells that merged ranges, links and notes may cover together; each is unfolded to single cells.
MOST_COVERED = 500_000
#: Cells without contents below the last row that is read; a touched row holds some, a million rows too many to hold.
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
