"""Move texts from the cells into the workbook's list of shared texts.

The workbook library writes each text inside its cell.  Spreadsheet programs write a list
and refer to it; simple viewers know only that form, and the file gets smaller.
"""

from __future__ import annotations

import re

from workbook_builder.finish.parts import SHARED_STRINGS_PART, WORKBOOK_LINKS_PART, Parts, sheet_parts

_INLINE_CELL = re.compile(r'(<c r="[A-Z]+[0-9]+"(?: s="[0-9]+")?) t="inlineStr"><is>(.*?)</is></c>', re.DOTALL)
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_LINK_KIND = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings"
_CONTENT_KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"
_TYPES_PART = "[Content_Types].xml"


def share_texts(parts: Parts) -> Parts:
    """Return the parts with every inline text moved to the list of shared texts.

    Parameters
    ----------
    parts : dict of str to bytes
        The workbook.  One that has such a list already is returned as it is.
    """
    if SHARED_STRINGS_PART in parts:
        return parts
    places: dict[str, int] = {}
    shared = dict(parts)
    del parts  # see insert_cached_values
    count = 0

    def moved(match: re.Match[str]) -> str:
        place = places.setdefault(match[2], len(places))
        return f'{match[1]} t="s"><v>{place}</v></c>'

    for part in sheet_parts(shared).values():
        xml, found = _INLINE_CELL.subn(moved, shared[part].decode("utf-8"))
        shared[part] = xml.encode("utf-8")
        count += found
    if not places:
        return shared
    shared[SHARED_STRINGS_PART] = _list_part(list(places), count)
    shared[WORKBOOK_LINKS_PART] = _with_child(
        shared[WORKBOOK_LINKS_PART],
        f'<Relationship Type="{_LINK_KIND}" Target="sharedStrings.xml" Id="rIdSharedTexts"/></Relationships>',
    )
    shared[_TYPES_PART] = _with_child(
        shared[_TYPES_PART], f'<Override PartName="/{SHARED_STRINGS_PART}" ContentType="{_CONTENT_KIND}"/></Types>'
    )
    return shared


def _list_part(texts: list[str], count: int) -> bytes:
    """Return the part that lists the texts; `count` is how often they are used."""
    items = "".join(f"<si>{text}</si>" for text in texts)
    return f'<sst xmlns="{_MAIN}" count="{count}" uniqueCount="{len(texts)}">{items}</sst>'.encode()


def _with_child(xml: bytes, ending: str) -> bytes:
    """Return a part whose closing tag is replaced by a new last child and the closing tag."""
    text = xml.decode("utf-8").rstrip()
    return (text[: text.rindex("</")] + ending).encode("utf-8")
