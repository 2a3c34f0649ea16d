"""Write the cells of a workbook: every formula with its value, texts shared, blanks plain.

The workbook library writes a formula without a value (blank for a phone preview, a
protected view or a data reader), every text inside its cell, and a blank cell as a number
(which one engine reads as 0).  Cells are nearly all of a file, so they are written here in
one pass, and the library writes everything around them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import to_excel
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.finish.parts import SHARED_STRINGS_PART, WORKBOOK_LINKS_PART, Parts, sheet_parts
from workbook_builder.finish.stored import UnfilledFormula, UnwritableValue, escaped, stored_form

if TYPE_CHECKING:
    from workbook_builder.core.formulas import FormulaColumn

ERROR_KIND = ' t="e"'
_SHEET_DATA = re.compile(rb"<sheetData ?(?:/>|>.*?</sheetData>)", re.DOTALL)
_EXTENT = re.compile(rb'<dimension ref="[^"]*"')


@dataclass(frozen=True)
class SheetData:
    """The cells of one sheet as they stand in the file."""

    extent: str  # First and last cell, such as `A1:F20`
    rows: bytes  # The rows as XML


class TakenCells:
    """The cells of a workbook, taken from its sheets one after the other so that the library need not keep or
    write them.

    Cells fill most of the memory of a large workbook: taken as soon as a sheet is
    done, only one sheet's are there at a time.
    """

    def __init__(self) -> None:
        self.texts = SharedTexts()
        self._sheets: dict[str, SheetData] = {}

    def __contains__(self, title: str) -> bool:
        """Tell whether the cells of a sheet were taken."""
        return title in self._sheets

    def take(self, sheet: Worksheet, values: Mapping[str, object],
             columns: Sequence[FormulaColumn] = ()) -> None:
        """Take the cells of a sheet; they are gone from it afterwards.

        Parameters
        ----------
        sheet : Worksheet
        values : mapping
            Cell reference (``"B7"``) -> number, text or truth value.  Values for cells
            without a formula are ignored.
        columns : sequence of FormulaColumn
            Formulas that are no cells of the sheet, each with its values.

        Raises
        ------
        UnfilledFormula
            A formula cell has no value.
        UnwritableValue
            A value is not finite, too long or of another kind.
        """
        self._sheets[sheet.title] = _SheetWriter(sheet, values, self.texts).written(columns)
        # Links and notes hang on their cells, and the library writes them elsewhere, so those cells stay.
        sheet._cells = {place: cell for place, cell in sheet._cells.items() if cell.hyperlink or cell.comment}
        sheet.row_dimensions.clear()

    def put_into(self, parts: Parts) -> Parts:
        """Return the parts of the workbook with the cells in their places; they are given up here."""
        filled = dict(parts)
        for title, part in sheet_parts(parts).items():
            data = self._sheets.pop(title)
            before, after = _SHEET_DATA.split(filled[part], maxsplit=1)
            before = _EXTENT.sub(b'<dimension ref="' + data.extent.encode() + b'"', before, count=1)
            filled[part] = b"".join((before, b"<sheetData>", data.rows, b"</sheetData>", after))
        self.texts.add_to(filled)
        return filled


class _SheetWriter:
    """Writes the cells of one sheet, formulas with the value that stands under their reference."""

    def __init__(self, sheet: Worksheet, values: Mapping[str, object], texts: SharedTexts) -> None:
        self.sheet, self.values, self.texts = sheet, values, texts
        self._styles: dict[int, str] = {}

    def written(self, columns: Sequence[FormulaColumn]) -> SheetData:
        """Return all rows, those too that only have a height, and what they reach."""
        cells = {place: self._cell(cell, f"{get_column_letter(place[1])}{place[0]}")
                 for place, cell in self.sheet._cells.items()}
        for column in columns:
            cells.update(self._column(column))
        rows: dict[int, list[str]] = {row: [] for row in self.sheet.row_dimensions}
        for (row, _), cell in sorted(cells.items()):
            rows.setdefault(row, []).append(cell)
        used = [number for _, number in cells] or [1]
        lines = [row for row, _ in cells] or [1]
        extent = f"{get_column_letter(min(used))}{min(lines)}:{get_column_letter(max(used))}{max(lines)}"
        data = []
        for row, texts in sorted(rows.items()):
            more = "".join(f' {name}="{value}"' for name, value in self.sheet.row_dimensions.get(row, ()))
            data.append(f'<row r="{row}"{more}>{"".join(texts)}</row>')
        return SheetData(extent, "".join(data).encode("utf-8"))

    def _column(self, column: FormulaColumn) -> Iterator[tuple[tuple[int, int], str]]:
        """Yield place and text of each cell of a column of formulas."""
        letter, style, row, value = (get_column_letter(column.number), self._style(column.style),
                                     column.first, None)
        try:
            for row, (formula, value) in enumerate(zip(column.formulas(escaped), column.values, strict=True),
                                                   column.first):
                kind, text = stored_form(value)
                yield ((row, column.number),
                       f'<c r="{letter}{row}"{style}{kind}><f>{formula}</f><v>{text}</v></c>')
        except ValueError as problem:
            raise UnwritableValue(self.sheet.title, f"{letter}{row}", value, str(problem)) from None

    def _cell(self, cell: Any, reference: str) -> str:
        """Return one cell; blank when neither content nor format is there."""
        style, value = self._style(cell._style), cell._value
        opening = f'<c r="{reference}"{style}'
        if value is None or value == "":
            return opening + "/>" if style else ""
        if cell.data_type == "f":
            return f"{opening}{self._formula(reference, value)}</c>"
        try:
            if cell.data_type == "s":
                if not isinstance(value, str):
                    raise ValueError("is text of several styles, which is not written here")
                return f'{opening} t="s"><v>{self.texts.place(value)}</v></c>'
            kind, text = stored_form(to_excel(value, self.sheet.parent.epoch) if cell.data_type == "d"
                                     else value)
            return f"{opening}{ERROR_KIND if cell.data_type == 'e' else kind}><v>{text}</v></c>"
        except ValueError as problem:
            raise UnwritableValue(self.sheet.title, reference, value, str(problem)) from None

    def _style(self, style: Any) -> str:
        """Return the style attribute; cells share style objects, and finding a style's number is slow."""
        known = self._styles.get(id(style))
        if known is None:
            plain = not style or not any(style)
            known = "" if plain else f' s="{self.sheet.parent._cell_styles.add(style)}"'
            self._styles[id(style)] = known
        return known

    def _formula(self, reference: str, formula: object) -> str:
        if not isinstance(formula, str):
            raise UnfilledFormula(self.sheet.title, "")
        if reference not in self.values:
            raise UnfilledFormula(self.sheet.title, reference)
        value = self.values[reference]
        try:
            kind, text = stored_form(value)
        except ValueError as problem:
            raise UnwritableValue(self.sheet.title, reference, value, str(problem)) from None
        return f"{kind}><f>{escaped(formula[1:])}</f><v>{text}</v>"


_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_LINK_KIND = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings"
_CONTENT_KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"
_TYPES_PART = "[Content_Types].xml"


class SharedTexts:
    """Texts in the order they were first met, each once."""

    def __init__(self) -> None:
        self._places: dict[str, int] = {}
        self._used = 0

    def place(self, text: str) -> int:
        """Return where a text stands in the list, counted from 0.

        Raises
        ------
        ValueError
            The text is too long for a cell or has a character XML does not allow.
        """
        self._used += 1
        found = self._places.get(text)
        if found is None:
            escaped(text)
            found = self._places[text] = len(self._places)
        return found

    def add_to(self, parts: Parts) -> None:
        """Write the list into a workbook and tell of it where the file lists its parts."""
        if not self._places:
            return
        # Spaces at the ends of a text count.
        kept = ((text, ' xml:space="preserve"' if text != text.strip() else "") for text in self._places)
        items = "".join(f"<si><t{mark}>{escaped(text)}</t></si>" for text, mark in kept)
        parts[SHARED_STRINGS_PART] = (f'<sst xmlns="{_MAIN}" count="{self._used}" '
                                      f'uniqueCount="{len(self._places)}">{items}</sst>').encode()
        for part, child in (
            (WORKBOOK_LINKS_PART,
             f'<Relationship Type="{_LINK_KIND}" Target="sharedStrings.xml" Id="rIdSharedTexts"/>'),
            (_TYPES_PART, f'<Override PartName="/{SHARED_STRINGS_PART}" ContentType="{_CONTENT_KIND}"/>'),
        ):
            before, closing, name = parts[part].rpartition(b"</")
            parts[part] = before + child.encode() + closing + name.rstrip()
