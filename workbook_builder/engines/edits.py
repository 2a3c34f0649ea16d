"""Change input cells in a workbook file and leave everything else in it untouched.

The sheet parts are edited in place.  Loading and saving the file through a workbook
library would be ten times slower, and would drop whatever that library does not know.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence
from pathlib import Path

from workbook_builder.engines.base import Edit
from workbook_builder.finish.package import pack
from workbook_builder.finish.parts import Parts, UnknownSheet, read_parts, sheet_parts
from workbook_builder.finish.stored import UnwritableValue, stored_form

_PLACE = re.compile(r"([A-Z]{1,3})([1-9][0-9]*)")
_ROW = re.compile(r'<row\s(?:[^>]*?\s)?r="([0-9]+)"[^>]*?(?:/>|>.*?</row>)', re.DOTALL)
_ROW_CELL = re.compile(r'<c\s(?:[^>]*?\s)?r="([A-Z]+)[0-9]+"[^>]*?(?:/>|>.*?</c>)', re.DOTALL)
_STYLE = re.compile(r'\ss="[0-9]+"')
_SHEET_DATA = re.compile(r"(<sheetData)\s*/>|(<sheetData[^>]*>)(.*)</sheetData>", re.DOTALL)


def apply_edits(path: Path, edits: Sequence[Edit], out: Path) -> None:
    """Write a copy of a workbook with some cells changed.

    Parameters
    ----------
    path, out : Path
        The workbook and the copy.
    edits : sequence of Edit
        The changes; of two for the same cell the last one counts.

    Notes
    -----
    Formats stay.  The copy's cached values are those of the file before the changes.
    """
    out.write_bytes(pack(edited_parts(read_parts(path), edits), level=1))


def edited_parts(parts: Parts, edits: Sequence[Edit]) -> Parts:
    """Return the parts of a workbook with some cells changed."""
    titles = sheet_parts(parts)
    by_sheet: dict[str, dict[int, dict[str, Edit]]] = {}
    for edit in edits:
        match = _PLACE.fullmatch(edit.reference)
        if edit.sheet not in titles:
            raise UnknownSheet(edit.sheet)
        if match is None:
            raise ValueError(f"{edit.reference!r} is not a cell reference such as B7")
        by_sheet.setdefault(edit.sheet, {}).setdefault(int(match[2]), {})[match[1]] = edit
    edited = dict(parts)
    for title, rows in by_sheet.items():
        xml = parts[titles[title]].decode("utf-8")
        # A sheet part with the edited rows rewritten or put in at their place.
        data = _SHEET_DATA.search(xml)
        if data is None:
            raise ValueError("the sheet part has no cell data")
        body = data[3] or ""
        spans = [(int(match[1]), match.start(), match.end()) for match in _ROW.finditer(body)]
        pieces, done = [], 0
        for number in sorted(rows):
            at = bisect_left(spans, (number, 0, 0))
            here = at < len(spans) and spans[at][0] == number
            start = spans[at][1] if at < len(spans) else len(body)
            end = spans[at][2] if here else start
            pieces += [body[done:start], _edit_row(body[start:end] or f'<row r="{number}"/>', rows[number])]
            done = end
        opening = f"{data[1]}>" if data[1] else data[2]
        edited[titles[title]] = (f"{xml[: data.start()]}{opening}{''.join(pieces)}{body[done:]}</sheetData"
                                 f">{xml[data.end() :]}").encode()
    return edited


def _edit_row(xml: str, edits: dict[str, Edit]) -> str:
    """Return one row with its edited cells, cells in column order."""
    opening = xml[: xml.index(">") + 1]
    if opening.endswith("/>"):
        opening = opening[:-2] + ">"
    cells = {match[1]: match[0] for match in _ROW_CELL.finditer(xml)}
    for letters, edit in edits.items():
        # The new content in the old format.
        before = cells.get(letters, "")
        style = _STYLE.search(before[: before.index(">") + 1]) if before else None
        start = f'<c r="{edit.reference}"{style[0] if style else ""}'
        if edit.value is None:
            cells[letters] = start + "/>"
            continue
        try:
            kind, text = stored_form(edit.value)
        except ValueError as problem:
            raise UnwritableValue(edit.sheet, edit.reference, edit.value, str(problem)) from None
        cells[letters] = (f'{start} t="inlineStr"><is><t xml:space="preserve">{text}</t></is></c>'
                          if isinstance(edit.value, str) else f"{start}{kind}><v>{text}</v></c>")
    ordered = sorted(cells, key=lambda letters: (len(letters), letters))
    return opening + "".join(cells[letters] for letters in ordered) + "</row>"
