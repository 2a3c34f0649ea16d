"""Put the properties of every font in the order the format asks for, names in the order that opens fastest,
and tags and links as most programs write them.
"""

from __future__ import annotations

import posixpath
import re

from workbook_builder.finish.parts import WORKBOOK_PART, Parts

STYLES_PART = "xl/styles.xml"

#: The order of the standard's schema; the workbook library writes the name first.
ORDER = (
    "b", "i", "strike", "condense", "extend", "outline", "shadow", "u", "vertAlign", "sz", "color", "name",
    "family", "charset", "scheme",
)
_FONT = re.compile(r"<font>(.*?)</font>", re.DOTALL)
_PROPERTY = re.compile(r"<([A-Za-z]+)(?:\s[^>]*)?(?:/>|></\1>)")
_NAME = re.compile(rb"<definedName [^>]*>[^<]*</definedName>")
_NAMES = re.compile(rb"(?<=<definedNames>)(?:" + _NAME.pattern + rb")+(?=</definedNames>)")
#: The standard's own names for what prints and what is repeated; all others stay before them.
_ON_PAPER = (b'name="_xlnm.Print_Area"', b'name="_xlnm.Print_Titles"')


def order_fonts(parts: Parts) -> Parts:
    """Return the parts with the font properties of the style part in standard order."""
    if STYLES_PART not in parts:
        return parts
    xml = _FONT.sub(_ordered, parts[STYLES_PART].decode("utf-8"))
    return {**parts, STYLES_PART: xml.encode("utf-8")}


def order_names(parts: Parts) -> Parts:
    """Return the parts with the print areas of all sheets after other names,
    and repeated rows and columns after those.

    For each repeated row LibreOffice breaks every sheet into pages again, and a sheet whose area it
    does not know yet is a million rows long.  The standard asks for no order.
    """
    def on_paper(name: bytes) -> int:
        return next((place for place, mark in enumerate(_ON_PAPER, 1) if mark in name), 0)

    def ordered(match: re.Match[bytes]) -> bytes:
        names: list[bytes] = _NAME.findall(match[0])
        names.sort(key=on_paper)
        return b"".join(names)

    return {**parts, WORKBOOK_PART: _NAMES.sub(ordered, parts[WORKBOOK_PART])}


def without_repeats(parts: Parts) -> Parts:
    """Return the parts without the names of rows and columns repeated on paper."""
    return {**parts, WORKBOOK_PART: _NAME.sub(lambda found: b"" if _ON_PAPER[1] in found[0] else found[0],
                                              parts[WORKBOOK_PART])}


def _ordered(match: re.Match[str]) -> str:
    """Return one font with its properties in order, or as it is when it holds anything else."""
    properties = {found[1]: found[0] for found in _PROPERTY.finditer(match[1])}
    if "".join(properties.values()) != match[1] or not set(properties) <= set(ORDER):
        return match[0]
    return "<font>" + "".join(properties[name] for name in ORDER if name in properties) + "</font>"


#: Folder of the parts -> prefix of their tags.
PREFIXES = {"xl/drawings/": b"xdr", "xl/charts/": b"c"}
_BARE = re.compile(rb"<(/?)(?=[A-Za-z]\w*[\s/>])")
_DEFAULT = re.compile(rb'\sxmlns="')
_FROM_ROOT = re.compile(r'(?<=\sTarget=")/([^"]*)')


def as_usual(parts: Parts) -> Parts:
    """Return the parts with prefixed drawings and charts, and with relative targets."""
    found = dict(parts)
    for name, part in parts.items():
        prefix = next((prefix for folder, prefix in PREFIXES.items() if name.startswith(folder)
                       and name.endswith(".xml")), None)
        if name.endswith(".rels"):
            found[name] = _from_here(name, part)
        elif prefix is not None and len(_DEFAULT.findall(part)) == 1:
            # With one default namespace, that of the root, every tag without a prefix belongs to it.
            found[name] = _BARE.sub(rb"<\1" + prefix + b":",
                                    _DEFAULT.sub(b" xmlns:" + prefix + b'="', part))
    return found


def _from_here(name: str, part: bytes) -> bytes:
    # Links of a/b.xml stand in a/_rels/b.xml.rels and count from a.
    folder = posixpath.dirname(posixpath.dirname(name))
    return _FROM_ROOT.sub(lambda found: posixpath.relpath(found[1], folder or "."),
                          part.decode("utf-8")).encode("utf-8")
