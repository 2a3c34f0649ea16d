"""Put the parts together again so that the same input always gives the same bytes."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from workbook_builder.finish.chart_cache import insert_chart_points
from workbook_builder.finish.order import as_usual, order_fonts, order_names
from workbook_builder.finish.parts import WORKBOOK_LINKS_PART, WORKBOOK_PART, UnknownSheet, read_parts
from workbook_builder.finish.stored import Values

if TYPE_CHECKING:
    from openpyxl import Workbook

    from workbook_builder.finish.sheet_data import TakenCells

CREATOR = "workbook_builder"

#: LibreOffice trusts cached values only from a program whose name begins so; the second
#: half says who wrote the file.  No library version: it would change the bytes.
APPLICATION = "Microsoft Excel Compatible / workbook_builder"

CORE_PART = "docProps/core.xml"
APP_PART = "docProps/app.xml"

#: Programs that guess a file's kind from its first entries look for these.
_FIRST_PARTS = ("[Content_Types].xml", "_rels/.rels", WORKBOOK_PART, WORKBOOK_LINKS_PART)

_EARLIEST = (1980, 1, 1, 0, 0, 0)
_UNIX = 3
_PLAIN_FILE = 0o100644 << 16

_NAMES = {
    "cp": "http://schemas.openxmlformats.org/package/2006/metadata/core-properties",
    "dc": "http://purl.org/dc/elements/1.1/", "dcterms": "http://purl.org/dc/terms/",
    "xsi": "http://www.w3.org/2001/XMLSchema-instance",
}


def finish(book: Workbook, values: Values, moment: datetime, taken: TakenCells | None = None) -> bytes:
    """Return the finished workbook file.

    Parameters
    ----------
    book : Workbook
        The workbook as it was laid out; its cells are gone afterwards.
    values : mapping
        Sheet title -> cell reference -> value of the formula there.
    moment : datetime
        The time to state as created and changed; without a time zone it is taken as UTC.
    taken : TakenCells, optional
        Cells that were taken from their sheets already.

    Returns
    -------
    bytes
        The same for the same arguments, whenever and wherever it runs (with the same
        version of the compression library).

    Raises
    ------
    UnknownSheet
        Values are given for a sheet that does not exist.
    UnfilledFormula, UnwritableValue
        A formula cell has no value, or one that a cell cannot hold.
    """
    from workbook_builder.finish.sheet_data import TakenCells
    from workbook_builder.finish.whole_book import written_whole

    taken = TakenCells() if taken is None else taken
    for title in values:
        if title not in book.sheetnames:
            raise UnknownSheet(title)
    for sheet in book.worksheets:
        if sheet.title not in taken:
            taken.take(sheet, values.get(sheet.title, {}))
    parts = taken.put_into(read_parts(written_whole(book)))
    parts = as_usual(order_names(order_fonts(insert_chart_points(parts))))
    # The document properties with the creator and both times pinned.
    for prefix, address in _NAMES.items():
        ElementTree.register_namespace(prefix, address)
    root = ElementTree.fromstring(parts[CORE_PART])
    aware = moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)
    stamp = aware.strftime("%Y-%m-%dT%H:%M:%SZ")
    _set_text(root, f"{{{_NAMES['dc']}}}creator", CREATOR)
    for name in ("created", "modified"):
        element = _set_text(root, f"{{{_NAMES['dcterms']}}}{name}", stamp)
        element.set(f"{{{_NAMES['xsi']}}}type", "dcterms:W3CDTF")
    written: bytes = ElementTree.tostring(root, encoding="utf-8", xml_declaration=True)
    parts[CORE_PART] = written
    # The part that names the writing program.
    space = "http://schemas.openxmlformats.org/officeDocument/2006/extended-properties"
    text = f'<Properties xmlns="{space}"><Application>{APPLICATION}</Application></Properties>'
    parts[APP_PART] = text.encode("utf-8")
    return pack(parts)


def pack(parts: Mapping[str, bytes], level: int = 6) -> bytes:
    """Return the parts as a zip with a fixed order, date, system and permissions.

    Parameters
    ----------
    parts : mapping of str to bytes
        Part name -> content.
    level : int
        Compression level, 0 to 9.
    """
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=level) as package:
        # Part names: the ones that tell the kind of file first, then the book, then the rest.
        first = [name for name in _FIRST_PARTS if name in parts]
        rest = sorted((not name.startswith("xl/"), name) for name in parts if name not in _FIRST_PARTS)
        for name in first + [name for _outside, name in rest]:
            # A zip entry that tells nothing of the machine or the hour.
            entry = zipfile.ZipInfo(name, _EARLIEST)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = _UNIX
            entry.external_attr = _PLAIN_FILE
            package.writestr(entry, parts[name], compresslevel=level)
    return target.getvalue()


def _set_text(root: ElementTree.Element, tag: str, text: str) -> ElementTree.Element:
    """Set the text of a child element, made when it is missing."""
    found = root.find(tag)
    element = ElementTree.SubElement(root, tag) if found is None else found
    element.text = text
    return element
