"""Find the number format of a cell, so that a chart shows dates as dates and shares as %."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from xml.etree import ElementTree

from workbook_builder.finish.order import STYLES_PART
from workbook_builder.finish.parts import sheet_parts

GENERAL = "General"

#: Formats that files name by number only.
BUILT_IN = {
    1: "0",
    2: "0.00",
    3: "#,##0",
    4: "#,##0.00",
    9: "0%",
    10: "0.00%",
    14: "mm-dd-yy",
    20: "h:mm",
    21: "h:mm:ss",
    22: "m/d/yy h:mm",
}
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


def format_finder(parts: Mapping[str, bytes]) -> Callable[[str, str], str]:
    """Return a function of sheet title and cell reference that gives the number format.

    Parameters
    ----------
    parts : mapping of str to bytes
        The workbook.
    """
    titles = sheet_parts(parts)
    styles = _style_formats(parts.get(STYLES_PART, b""))

    def number_format(title: str, reference: str) -> str:
        if title not in titles:
            return GENERAL
        match = re.search(rb'<c r="%s" s="([0-9]+)"' % reference.encode(), parts[titles[title]])
        style = int(match[1]) if match else 0
        return styles[style] if style < len(styles) else GENERAL

    return number_format


def _style_formats(xml: bytes) -> list[str]:
    """Return the number format of every cell style, in order."""
    if not xml:
        return []
    root = ElementTree.fromstring(xml)
    own = {int(one.attrib["numFmtId"]): one.attrib["formatCode"] for one in root.iterfind(f"{_MAIN}numFmts/*")}
    numbers = [int(one.attrib.get("numFmtId", 0)) for one in root.iterfind(f"{_MAIN}cellXfs/*")]
    return [own.get(number) or BUILT_IN.get(number, GENERAL) for number in numbers]
