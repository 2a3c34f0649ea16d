"""How wide texts are set and how many lines they take, for sheets and printed pages alike.

Widths are counted in digits, as spreadsheet programs do.  Where the font asked for is missing
another one steps in: a letter counts as wide as it is in the wider of the two.
"""

from __future__ import annotations

import math
from functools import lru_cache

#: Width of letters against a digit, in Calibri or DejaVu Sans, whichever is wider [digits].
LETTERS = {
    0.5: " Iijl'|.,:;!", 0.72: "ft()[]-r/\\\"", 0.97: "aceksvxyzgJ*?_", 1.0: "0123456789",
    1.22: "ABCDEFGHKLNOPQRSTUVXYZ",
    1.62: "mw", 1.75: "MW@%&",
}
LETTER_WIDTHS = {letter: width for width, letters in LETTERS.items() for letter in letters}
#: Other small letters, and letters of scripts that write wide.
USUAL_LETTER, WIDE_LETTER, WIDE_FROM = 1.04, 2.0, 0x2E80
#: Bold letters are a little wider.
BOLD = 1.1
#: A text made to fit may miss by the last digits of a sum [digits].
HAIR = 1e-6


@lru_cache(maxsize=50_000)
def text_width(text: str) -> float:
    """Return how wide a text is set [digits]."""
    # Sums of fractions differ in their last digits from one version of Python to another; an exact one does
    # not.
    return math.fsum(LETTER_WIDTHS.get(letter, WIDE_LETTER if ord(letter) >= WIDE_FROM else USUAL_LETTER)
                     for letter in text)


@lru_cache(maxsize=50_000)
def lines_in(text: str, room: float) -> int:
    """Return how many lines a text takes.

    Words go to the next line whole; one that is longer than a line is broken wherever the line ends.

    Parameters
    ----------
    text : str
    room : float
        Width of a line [digits].
    """
    lines, left = 1, room
    for word in text.split():
        need = text_width(word)
        if need > left + HAIR and left < room:
            lines, left = lines + 1, room
        if need > room + HAIR:
            more = math.ceil(need / room) - 1
            lines, need = lines + more, need - more * room
        left -= need + LETTER_WIDTHS[" "]
    return lines
