"""Insert the points of every chart, so that a preview draws it without calculating.

The workbook library writes only where a series lives; the points themselves come from
the cells of the sheets, with their number formats, so that dates show as dates and shares as %.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Mapping
from xml.etree import ElementTree

from workbook_builder.finish.order import STYLES_PART
from workbook_builder.finish.parts import Parts, sheet_parts
from workbook_builder.finish.sheet_cells import CellError, cell_values, shared_strings
from workbook_builder.finish.stored import escaped, stored_form

#: (sheet title, cell reference) -> value or None when blank.
Lookup = Callable[[str, str], object]
#: (sheet title, cell reference) -> number format.
FormatFinder = Callable[[str, str], str]

_CHART_PART = re.compile(r"xl/charts/chart[0-9]+\.xml")
_REFERENCE = re.compile(
    r"(?P<category><(?P<prefix>[a-z]+:)?cat>)?<(?P<inner>[a-z]+:)?(?P<kind>num|str)Ref>"
    r"<(?:[a-z]+:)?f>(?P<place>[^<]*)</(?:[a-z]+:)?f>"
    r"(?:<(?:[a-z]+:)?(?:num|str)Cache>.*?</(?:[a-z]+:)?(?:num|str)Cache>)?</(?:[a-z]+:)?(?:num|str)Ref>",
    re.DOTALL,
)
#: The format of labels, which the library writes without saying that it is theirs; some programs then take
#: that of the cells.
_FORMAT = re.compile(r'(<(?:[a-z]+:)?numFmt formatCode="[^"]*")\s*/>')
_RANGE = re.compile(r"(?:'((?:[^']|'')+)'|([^'!,()]+))!(\$?[A-Z]{1,3}\$?[0-9]+(?::\$?[A-Z]{1,3}\$?[0-9]+)?)")


def insert_chart_points(parts: Parts) -> Parts:
    """Return the parts with a cache of points in every chart series.

    Parameters
    ----------
    parts : dict of str to bytes
        The workbook, its formulas with their values.

    Notes
    -----
    Blank and text cells in a run of numbers are missing points.  Categories that hold
    text are turned from a number reference into a text reference, or a preview would
    number them 1, 2, 3.  A place that is not one plain range is left as it is.
    """
    charts = [name for name in parts if _CHART_PART.fullmatch(name)]
    if not charts:
        return parts
    lookup, number_format = _cell_lookup(parts), format_finder(parts)
    filled = dict(parts)
    for name in charts:
        xml = parts[name].decode("utf-8")
        xml = _FORMAT.sub(r'\1 sourceLinked="0"/>', xml)
        filled[name] = _REFERENCE.sub(lambda match: _with_points(match, lookup, number_format),
                                      xml).encode("utf-8")
    return filled


def cells_of_range(place: str) -> tuple[str, list[str]] | None:
    """Return the sheet title and the cell references of a range, row by row.

    Parameters
    ----------
    place : str
        Such as ``'Sheet name'!$B$5:$B$20``.

    Returns
    -------
    tuple or None
        None when the text is not one plain range.
    """
    match = _RANGE.fullmatch(place)
    if match is None:
        return None
    from openpyxl.utils import rows_from_range

    title = match[1].replace("''", "'") if match[1] else match[2]
    return title, [reference for row in rows_from_range(match[3].replace("$", "")) for reference in row]


def _cell_lookup(parts: Parts) -> Lookup:
    """Return a function that finds the value of a cell, reading each sheet once."""
    titles = sheet_parts(parts)
    read: dict[str, Mapping[str, object]] = {}
    strings = shared_strings(parts)

    def lookup(title: str, reference: str) -> object:
        if title not in read:
            xml = parts[titles[title]].decode("utf-8") if title in titles else ""
            read[title] = cell_values(xml, strings)
        return read[title].get(reference)

    return lookup


def _with_points(match: re.Match[str], lookup: Lookup, number_format: FormatFinder) -> str:
    """Return one reference of a chart with its points; one that is None is missing.

    Numbers come with the code of their format; without one the points are texts.
    """
    found = cells_of_range(html.unescape(match["place"]))
    if found is None:
        return match[0]
    title, references = found
    cells = [lookup(title, reference) for reference in references]
    kind = match["kind"]
    if match["category"] and any(isinstance(cell, str) and cell for cell in cells):
        kind = "str"
    if kind == "num":
        points = [None if cell is None or isinstance(cell, str) else stored_form(cell)[1] for cell in cells]
    else:
        points = [_text_point(cell) for cell in cells]
    code = number_format(title, references[0]) if kind == "num" and references else ""
    kind = "num" if code else "str"
    tag, end = f"<{match['inner'] or ''}", f"</{match['inner'] or ''}"
    inner = f"{tag}formatCode>{escaped(code)}{end}formatCode>" if code else ""
    inner += f'{tag}ptCount val="{len(points)}"/>'
    inner += "".join(f'{tag}pt idx="{index}">{tag}v>{text}{end}v>{end}pt>'
                     for index, text in enumerate(points) if text is not None)
    return (f"{match['category'] or ''}{tag}{kind}Ref>{tag}f>{match['place']}{end}f>"
            f"{tag}{kind}Cache>{inner}{end}{kind}Cache>{end}{kind}Ref>")


def _text_point(value: object) -> str | None:
    """Return a text as a point, None for a blank."""
    if value is None or value == "" or isinstance(value, CellError):
        return None
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    return escaped(value) if isinstance(value, str) else stored_form(value)[1]


GENERAL = "General"

#: Formats that files name by number only.
BUILT_IN = {
    1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%", 14: "mm-dd-yy", 20: "h:mm",
    21: "h:mm:ss", 22: "m/d/yy h:mm",
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
    # The number format of every cell style, in order.
    root = ElementTree.fromstring(parts.get(STYLES_PART, b"<styleSheet/>"))
    own = {int(one.attrib["numFmtId"]): one.attrib["formatCode"]
           for one in root.iterfind(f"{_MAIN}numFmts/*")}
    numbers = [int(one.attrib.get("numFmtId", 0)) for one in root.iterfind(f"{_MAIN}cellXfs/*")]
    styles = [own.get(number) or BUILT_IN.get(number, GENERAL) for number in numbers]

    def number_format(title: str, reference: str) -> str:
        if title not in titles:
            return GENERAL
        match = re.search(rb'<c r="%s" s="([0-9]+)"' % reference.encode(), parts[titles[title]])
        style = int(match[1]) if match else 0
        return styles[style] if style < len(styles) else GENERAL

    return number_format
