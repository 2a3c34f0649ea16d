"""What a workbook says of itself in its file properties: its format, and the room its tables were given.

Without it nobody could tell a table's spare rows from the rows below it, and a workbook
with typed-in spare rows could not be laid out again alike for comparison.
"""

from __future__ import annotations

import json
from collections.abc import Sequence

from openpyxl import Workbook
from openpyxl.packaging.custom import StringProperty

from workbook_builder.core.room import Room
from workbook_builder.file_format import ROOM, properties_in, state_format
from workbook_builder.finish.parts import read_parts


def mark(book: Workbook, room: Room, sheets: Sequence[str]) -> None:
    """Write the room, the format and the titles of sheets that nobody types into among the properties of a
    workbook.
    """
    said = {"rows": dict(sorted(room.rows.items())), "slots": dict(sorted(room.slots.items())),
            "resting": sorted(room.resting)}
    text = json.dumps(said, separators=(",", ":"))
    book.custom_doc_props.append(StringProperty(name=ROOM, value=text))
    state_format(book, sheets)


def marked_room(data: bytes) -> Room | None:
    """Return the room a workbook says it was given, or None when it does not say."""
    text = properties_in(read_parts(data)).get(ROOM, "")
    try:
        content = json.loads(text)
        rows, slots = ({str(key): int(value) for key, value in content[part].items()}
                       for part in ("rows", "slots"))
        return Room(rows, slots, frozenset(map(str, content.get("resting", ()))))
    except (ValueError, KeyError, TypeError, AttributeError):
        return None
