"""The workbook's list of shared texts.

The workbook library would write each text inside its cell.  Spreadsheet programs write a
list and refer to it; simple viewers know only that form, and the file gets smaller.
"""

from __future__ import annotations

from workbook_builder.finish.parts import SHARED_STRINGS_PART, WORKBOOK_LINKS_PART, Parts
from workbook_builder.finish.stored import escaped

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
        parts[SHARED_STRINGS_PART] = self._part()
        parts[WORKBOOK_LINKS_PART] = _with_child(
            parts[WORKBOOK_LINKS_PART],
            f'<Relationship Type="{_LINK_KIND}" Target="sharedStrings.xml" Id="rIdSharedTexts"/></Relationships>',
        )
        parts[_TYPES_PART] = _with_child(
            parts[_TYPES_PART], f'<Override PartName="/{SHARED_STRINGS_PART}" ContentType="{_CONTENT_KIND}"/></Types>'
        )

    def _part(self) -> bytes:
        items = "".join(f"<si>{_item(text)}</si>" for text in self._places)
        return f'<sst xmlns="{_MAIN}" count="{self._used}" uniqueCount="{len(self._places)}">{items}</sst>'.encode()


def _item(text: str) -> str:
    """Return a text as an element; spaces at its ends count."""
    kept = ' xml:space="preserve"' if text != text.strip() else ""
    return f"<t{kept}>{escaped(text)}</t>"


def _with_child(xml: bytes, ending: str) -> bytes:
    """Return a part whose closing tag is replaced by a new last child and the closing tag."""
    text = xml.decode("utf-8").rstrip()
    return (text[: text.rindex("</")] + ending).encode("utf-8")
