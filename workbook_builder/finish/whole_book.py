"""A laid out workbook written by the workbook library without a file for each sheet,
and without packing what is packed later.
"""

from __future__ import annotations

import io
import zipfile
from typing import Any

from openpyxl import Workbook
from openpyxl.drawing.spreadsheet_drawing import SpreadsheetDrawing
from openpyxl.worksheet._writer import WorksheetWriter
from openpyxl.writer.excel import ExcelWriter


def written_whole(book: Workbook) -> bytes:
    """Return a workbook as a zip of parts that are not packed.

    Parameters
    ----------
    book : Workbook
        Neither read-only nor write-only.
    """
    target = io.BytesIO()
    _Writer(book, zipfile.ZipFile(target, "w")).save()
    return target.getvalue()


class _Writer(ExcelWriter):  # type: ignore[misc]
    """Keeps in memory what the library puts into temporary files."""

    def write_worksheet(self, ws: Any) -> None:
        """Write one sheet."""
        ws._drawing = SpreadsheetDrawing()
        ws._drawing.charts, ws._drawing.images = ws._charts, ws._images
        written = io.BytesIO()
        writer = WorksheetWriter(ws, written)
        writer.write()
        ws._rels = writer._rels
        self._archive.writestr(ws.path[1:], written.getvalue())
        self.manifest.append(ws)
