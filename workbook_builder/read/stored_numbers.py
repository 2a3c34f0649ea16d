"""Cells that store as a number what is none: NaN, infinity, words.

No spreadsheet program writes them, but other programs do.  The workbook library gives up
on the whole file at the first such cell; marked as errors they are told by their place.
"""

from __future__ import annotations

import io
import re
import zipfile
from math import isfinite

#: The attributes of a cell, or the text of its value; one walk over the sheet finds both in turn.
_TAG = re.compile(rb"<(?:[\w.-]+:)?(?:c(?=[\s/>])(?P<cell>[^<>]*)|v(?:\s[^<>]*)?>(?P<value>[^<]*)<)")
_TYPE = re.compile(rb"""\st\s*=\s*["'](\w+)["']""")
#: Enough of the text to recognise it by.
LONGEST_SHOWN = 40


def marked_as_errors(data: bytes) -> bytes:
    """Return a workbook whose unreadable numbers are error cells, other parts as they are.

    Parameters
    ----------
    data : bytes
        The workbook; `refuse_unsafe` has let it pass.
    """
    target = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as archive, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as copy:
        for name in dict.fromkeys(archive.namelist()):
            content = archive.read(name)
            copy.writestr(name, _marked(content) if b"sheetData" in content else content)
    return target.getvalue()


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
