"""What a workbook says of itself in its file properties: the room its tables were given.

Without it nobody could tell a table's spare rows from the rows below it, and a workbook
with typed-in spare rows could not be laid out again alike for comparison.
"""

from __future__ import annotations

import json
from xml.etree import ElementTree

from openpyxl import Workbook
from openpyxl.packaging.custom import StringProperty

from workbook_builder.finish.parts import read_parts
from workbook_builder.room import Room

ROOM = "workbook_builder room"
CUSTOM_PART = "docProps/custom.xml"


def mark(book: Workbook, room: Room) -> None:
    """Write the room into the properties of a workbook."""
    text = json.dumps({"rows": dict(sorted(room.rows.items())), "slots": dict(sorted(room.slots.items()))}, separators=(",", ":"))
    book.custom_doc_props.append(StringProperty(name=ROOM, value=text))


def marked_room(data: bytes) -> Room | None:
    """Return the room a workbook says it was given, or None when it does not say."""
    part = read_parts(data).get(CUSTOM_PART)
    if part is None:
        return None
    for item in ElementTree.fromstring(part):
        if item.get("name") == ROOM:
            return _room("".join(item.itertext()))
    return None


def _room(text: str) -> Room | None:
    try:
        content = json.loads(text)
        return Room({str(k): int(v) for k, v in content["rows"].items()}, {str(k): int(v) for k, v in content["slots"].items()})
    except (ValueError, KeyError, TypeError, AttributeError):
        return None
