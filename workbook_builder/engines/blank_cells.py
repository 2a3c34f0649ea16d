"""Make blank cells plain, so that every engine takes them for blank.

The workbook library marks a formatted blank cell as a number without a value
(``<c r="B2" s="1" t="n"></c>``).  IronCalc reads that as the number 0, so that
``B2=""`` is false there; without the mark all engines agree.
"""

from __future__ import annotations

import re

from workbook_builder.finish.parts import Parts, sheet_parts

_BLANK_NUMBER = re.compile(r'<c((?:\s[a-z]+="[^"]*")*?)\st="n"((?:\s[a-z]+="[^"]*")*)\s*(?:/>|></c>)')


def plain_blanks(parts: Parts) -> Parts:
    """Return the parts with no blank cell marked as a number."""
    plain = dict(parts)
    for part in sheet_parts(plain).values():
        plain[part] = _BLANK_NUMBER.sub(r"<c\1\2/>", plain[part].decode("utf-8")).encode("utf-8")
    return plain
