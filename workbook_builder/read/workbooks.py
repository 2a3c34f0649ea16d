"""Workbooks: every sheet as a grid of cells, formulas and error values told apart."""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Collection
from datetime import datetime
from functools import cached_property
from math import isfinite
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from openpyxl import load_workbook
from openpyxl.utils import get_column_letter

from workbook_builder.check.problems import Problem
from workbook_builder.file_format import stated_format
from workbook_builder.read.grid import MOST_COLUMNS, MOST_ROWS, ErrorCell, FormulaCell, Grid, is_blank
from workbook_builder.read.numbers import decimal_sign
from workbook_builder.read.odd_parts import put_right
from workbook_builder.read.safety import damaged, refuse_unsafe, unread_parts
from workbook_builder.read.text_files import BadFile, read_bytes
from workbook_builder.read.unit_words import FIRST_GIVEN, Shown, ShownNumber, shown_by

#: Control characters in text are written by their codes: _x000D_ is a line break that was pasted.
_CODED = re.compile("_x00([01][0-9A-Fa-f])_")

_NO_CELLS = ('<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData'
             '/></worksheet>')


class Book:
    """A workbook file, opened for reading.

    Parameters
    ----------
    path : Path
    results : collection of str
        Titles of sheets of ours that nobody types into.

    Raises
    ------
    BadFile
        When the file cannot be opened as a workbook.
    """

    def __init__(self, path: Path, results: Collection[str] = ()) -> None:
        self.name = path.name
        self._data = read_bytes(path)
        #: What was odd about its parts and was put right.
        self.odd: list[str] = []
        refuse_unsafe(self.name, self._data, results)
        self._data = _without_results(self._data)
        self._book = self._load(data_only=False)
        # Refuse two sheets of one name: the library would call the second by another, and its rows would be
        # lost.
        with zipfile.ZipFile(io.BytesIO(self._data)) as archive:
            book = next((archive.read(name) for name in archive.namelist()
                         if name.lower() == "xl/workbook.xml"), b"<workbook/>")
        names = [sheet.get("name", "").casefold() for sheet in ElementTree.fromstring(book).iter()
                 if sheet.tag.endswith("}sheet")]
        twin = next((name for at, name in enumerate(names) if name in names[:at]), None)
        if twin is not None:
            message = f"two of its sheets are called {twin!r}"
            raise BadFile(Problem("duplicate-table", message, self.name,
                                  fix="Give one of them another name in a spreadsheet program"))
        self._shown: dict[int, Shown] = {}

    def _load(self, data_only: bool) -> Any:
        try:
            try:
                book = _opened(self._data, data_only)
                if book.worksheets:
                    return book
                raise ValueError("no sheet is known by its name in this format")
            except Exception:
                # One false number, or one odd part beside the cells, keeps the library from opening the file
                # at all.
                self._data, self.odd = put_right(self._data)
                return _opened(self._data, data_only)
        except Exception as error:  # openpyxl raises whatever its XML reading stumbles over
            raise BadFile(damaged(self.name)) from error

    @cached_property
    def _results(self) -> Any:
        # Loaded only when an input cell holds a formula, which is rare.
        return self._load(data_only=True)

    def result(self, sheet: str, row: int, column: int) -> Any:
        """Return the stored result of a formula cell, or None when there is none."""
        cell = self._results[sheet].cell(row, column)
        # A formula that shows nothing has a stored result: text without letters.
        return "" if cell.value is None and cell.data_type == "str" else self._as_shown(cell)

    def _as_shown(self, cell: Any) -> Any:
        """Return the value of a cell, a number with what its format adds."""
        value = stored_value(cell)
        if type(value) not in (int, float):
            return value
        number = cell._style.numFmtId
        shown = self._shown.get(number)
        if shown is None:
            shown = shown_by(cell.number_format)
            if number < FIRST_GIVEN:
                # The signs of these are the computer's own, whatever the library calls them.
                shown = Shown(shown.percent)
            self._shown[number] = shown
        return ShownNumber(value, shown) if shown else value

    def stated_format(self) -> tuple[int | None, list[str]]:
        """Return the format of a workbook of ours, and the titles of its sheets that nobody types into."""
        return stated_format({found.name: str(found.value) for found in self._book.custom_doc_props.props})

    def titles(self) -> list[str]:
        """Return the titles of all sheets that hold cells."""
        return [sheet.title for sheet in self._book.worksheets]

    def sheets(self) -> list[Any]:
        """Return all sheets that hold cells."""
        return list(self._book.worksheets)

    def sheet(self, title: str) -> Any:
        """Return one sheet as the workbook library holds it."""
        return self._book[title]

    def grid(self, title: str) -> tuple[Grid, list[Problem]]:
        """Return the cells of one sheet, and a problem when it has too many rows."""
        sheet = self._book[title]
        # The private store holds only cells that exist; the public iteration would make a
        # million blank ones for a sheet whose last row was touched by accident.
        stored = {place: cell for place, cell in sheet._cells.items() if not is_blank(cell.value)}
        last = max((row for row, _ in stored), default=0)
        problems = []
        if last > MOST_ROWS:
            message = f"the sheet has cells below row {MOST_ROWS}"
            problems.append(Problem("too-many-rows", message, self.name, title, MOST_ROWS + 1,
                                    fix="Delete what stands further down"))
        wide = next((row for row, column in sorted(stored) if column > MOST_COLUMNS and row <= MOST_ROWS),
                    None)
        if wide:
            message = f"the sheet has cells to the right of column {get_column_letter(MOST_COLUMNS)}"
            problems.append(Problem("too-many-columns", message, self.name, title, wide,
                                    fix="Delete what stands further right"))
        cells: list[list[Any]] = [[] for _ in range(min(last, MOST_ROWS))]
        for row, column in sorted(stored):
            if row <= MOST_ROWS and column <= MOST_COLUMNS:
                line = cells[row - 1]
                line.extend([None] * (column - 1 - len(line)))
                line.append(self._raw(title, stored[row, column]))
        epoch: datetime = self._book.epoch
        rows = list(range(1, len(cells) + 1))
        decimal_comma = decimal_sign(cell.value for cell in stored.values())
        return Grid(self.name, title, cells, rows, from_workbook=True, decimal_comma=decimal_comma,
                    epoch=epoch), problems

    def _raw(self, title: str, cell: Any) -> Any:
        if cell.data_type == "f":
            row, column = cell.row, cell.column
            # Array formulas come as objects that carry their text.
            text = str(getattr(cell.value, "text", None) or cell.value)
            return FormulaCell(text, lambda: self.result(title, row, column))
        value = self._as_shown(cell)
        return _CODED.sub(lambda code: chr(int(code[1], 16)), value) if isinstance(value, str) else value


def _without_results(data: bytes) -> bytes:
    """Return a workbook with no cell on the sheets that nobody reads."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        unread, held = unread_parts(archive), io.BytesIO()
        if not unread:
            return data
        with zipfile.ZipFile(held, "w") as copy:
            for name in dict.fromkeys(archive.namelist()):
                copy.writestr(name, _NO_CELLS if name in unread else archive.read(name))
    return held.getvalue()


def _opened(data: bytes, data_only: bool) -> Any:
    with warnings.catch_warnings():
        # Parts that reading has no use for (charts, extensions) are not worth a word.
        warnings.simplefilter("ignore")
        return load_workbook(io.BytesIO(data), data_only=data_only)


def stored_value(cell: Any) -> Any:
    """Return the value of a cell without a formula; errors and numbers beyond all measure as `ErrorCell`."""
    endless = isinstance(cell.value, float) and not isfinite(cell.value)
    return ErrorCell(str(cell.value)) if cell.data_type == "e" or endless else cell.value
