"""Put the properties of every font in the order the format asks for."""

from __future__ import annotations

import re

from workbook_builder.finish.parts import Parts

STYLES_PART = "xl/styles.xml"

#: The order of the standard's schema; the workbook library writes the name first.
ORDER = (
    "b",
    "i",
    "strike",
    "condense",
    "extend",
    "outline",
    "shadow",
    "u",
    "vertAlign",
    "sz",
    "color",
    "name",
    "family",
    "charset",
    "scheme",
)
_FONT = re.compile(r"<font>(.*?)</font>", re.DOTALL)
_PROPERTY = re.compile(r"<([A-Za-z]+)(?:\s[^>]*)?(?:/>|></\1>)")


def order_fonts(parts: Parts) -> Parts:
    """Return the parts with the font properties of the style part in standard order."""
    if STYLES_PART not in parts:
        return parts
    xml = _FONT.sub(_ordered, parts[STYLES_PART].decode("utf-8"))
    return {**parts, STYLES_PART: xml.encode("utf-8")}


def _ordered(match: re.Match[str]) -> str:
    """Return one font with its properties in order, or as it is when it holds anything else."""
    properties = {found[1]: found[0] for found in _PROPERTY.finditer(match[1])}
    if "".join(properties.values()) != match[1] or not set(properties) <= set(ORDER):
        return match[0]
    return "<font>" + "".join(properties[name] for name in ORDER if name in properties) + "</font>"
