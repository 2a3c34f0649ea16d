"""The code of a sheet: which one it is and what it said when it was printed.

And the same as a picture to scan.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass

import segno

#: Digits and letters that are not mistaken for one another in handwriting (Crockford's base 32).
SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_SHAPE = re.compile(rf"\b([{SIGNS}]{{4}})-([{SIGNS}]{{5}})\b")
#: Letters people write for digits.
_MEANT = str.maketrans("OIL", "011")


@dataclass(frozen=True)
class Code:
    """Which sheet it is, and what stands on it."""

    #: Four and five signs
    sheet: str
    content: str

    def __str__(self) -> str:
        return f"{self.sheet}-{self.content}"


def code_of(named: Iterable[object], says: Iterable[object]) -> Code:
    """Return the code of a sheet.

    Parameters
    ----------
    named : iterable
        What makes it this sheet and no other: its passes and fields.
    says : iterable
        Everything that is mixed by it.
    """
    return Code(_signs(named, 4), _signs(says, 5))


def _signs(parts: Iterable[object], count: int) -> str:
    number = int.from_bytes(hashlib.sha256("\x1f".join(map(str, parts)).encode("utf-8", "replace")).digest(),
                            "big")
    return "".join(SIGNS[number >> 5 * place & 31] for place in range(count))


def code_in(text: str) -> Code | None:
    """Return the first code in what was typed or scanned; None where there is none."""
    plain = text.strip().upper().translate(_MEANT)
    found = _SHAPE.search(plain if "-" in plain else f"{plain[:4]}-{plain[4:]}")
    return Code(found[1], found[2]) if found else None


def picture(text: str) -> str:
    """Return a text as a QR code, drawn in SVG of its own for a page that loads nothing.

    References
    ----------
    ISO/IEC 18004, through the library segno; error correction level M, a quiet zone of four modules.
    """
    return segno.make(text, error="m", micro=False).svg_inline(border=4, omitsize=True, svgclass=None,
                                                               lineclass=None)
