"""What a workbook says of itself in its file properties: its format, and the room its tables were given.

Without it nobody could tell a table's spare rows from the rows below it, and a workbook
with typed-in spare rows could not be laid out again alike for comparison.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from xml.etree import ElementTree

from openpyxl import Workbook
from openpyxl.packaging.custom import StringProperty

from workbook_builder.core.room import Room
from workbook_builder.file_format import ROOM, state_format
from workbook_builder.finish.parts import read_parts

CUSTOM_PART = "docProps/custom.xml"


def mark(book: Workbook, room: Room, sheets: Sequence[str]) -> None:
    """Write the room, the format and the titles of sheets that nobody types into among the properties of a workbook."""
    said = {"rows": dict(sorted(room.rows.items())), "slots": dict(sorted(room.slots.items())), "resting": sorted(room.resting)}
    text = json.dumps(said, separators=(",", ":"))
    book.custom_doc_props.append(StringProperty(name=ROOM, value=text))
    state_format(book, sheets)


def properties_in(parts: Mapping[str, bytes]) -> dict[str, str]:
    """Return what a workbook says of itself, from its parts: name of a property -> its text."""
    part = parts.get(CUSTOM_PART, b"<Properties/>")
    return {item.get("name", ""): "".join(item.itertext()) for item in ElementTree.fromstring(part)}


def marked_room(data: bytes) -> Room | None:
    """Return the room a workbook says it was given, or None when it does not say."""
    text = properties_in(read_parts(data)).get(ROOM, "")
    try:
        content = json.loads(text)
        rows, slots = ({str(key): int(value) for key, value in content[part].items()} for part in ("rows", "slots"))
        return Room(rows, slots, frozenset(map(str, content.get("resting", ()))))
    except (ValueError, KeyError, TypeError, AttributeError):
        return None
