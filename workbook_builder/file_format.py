"""The format of our workbooks: its number, and which sheets of a file the program alone wrote.

Titles of tabs and headers are the format.  1 was written before files said their number; a file
of an earlier format is read by the earlier titles that tables and columns declare.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any
from xml.etree import ElementTree

#: Raised with the release that gives a tab or a header another title.
FORMAT = 3
ROOM, NUMBER, SHEETS = (f"workbook_builder {what}" for what in ("room", "format", "sheets"))
CUSTOM_PART = "docProps/custom.xml"


def state_format(book: Any, sheets: Sequence[str]) -> None:
    """Write the format, and titles of the sheets that nobody types into, among the properties of a workbook.
    """
    from openpyxl.packaging.custom import StringProperty

    for name, text in ((NUMBER, str(FORMAT)),
                       (SHEETS, json.dumps(list(sheets), ensure_ascii=False, separators=(",", ":")))):
        book.custom_doc_props.append(StringProperty(name=name, value=text))


def properties_in(parts: Mapping[str, bytes]) -> dict[str, str]:
    """Return what a workbook says of itself, from its parts: name of a property -> its text."""
    part = parts.get(CUSTOM_PART, b"<Properties/>")
    return {item.get("name", ""): "".join(item.itertext()) for item in ElementTree.fromstring(part)}


def stated_format(said: Mapping[str, str]) -> tuple[int | None, list[str]]:
    """Return the format a workbook has by its properties, None when it does not say,
    and the sheets that nobody types into.
    """
    number = said.get(NUMBER, "1" if ROOM in said else "")
    try:
        titles = [str(title) for title in json.loads(said.get(SHEETS, "[]"))]
    except (ValueError, TypeError):
        titles = []
    return (int(number) if number.isdecimal() and len(number) < 9 else None), titles
