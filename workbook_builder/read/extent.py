"""How much a workbook would unfold to, counted part by part before any of it is held in memory.

A few bytes can ask a workbook library for billions of cells: one merged range over a whole
sheet, or one link on it.  So the markup is first read once as a stream, which holds nothing.
"""

from __future__ import annotations

from typing import IO
from xml.parsers import expat

from openpyxl.utils.cell import range_boundaries

#: Cells, rows, texts and all else a workbook may hold; 2,500 passes need 14 million.
MOST_ELEMENTS = 20_000_000
#: Cells that merged ranges, links and notes may cover together; each is unfolded to single cells.
MOST_COVERED = 500_000
#: Markup nested deeper than any workbook's could exhaust what reads it.
DEEPEST = 100
_UNFOLDED = {"mergeCell", "hyperlink", "comment"}
_CHUNK = 256 * 1024


class Unbounded(ValueError):
    """The markup unfolds to more than can be held; the message says to what."""


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
        self._depth = 0

    def add(self, part: IO[bytes]) -> None:
        """Count one part; markup that cannot be read is left to who needs the part."""
        self._depth = 0
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
        if name.rpartition(":")[2] in _UNFOLDED:
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
