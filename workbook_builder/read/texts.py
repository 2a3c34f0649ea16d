"""Names and other text: tidied, and refused where a cell or a lookup could not hold them."""

from __future__ import annotations

import unicodedata
from datetime import date, time, timedelta
from typing import Any

from workbook_builder.read.numbers import BadCell

#: A lookup finds no text of more than 255 characters, and some lookups join two names.
LONGEST_NAME = 120
LONGEST_LINE = 255
LONGEST_TEXT = 32_767
WILDCARDS = "*?~|"
FORMULA_STARTS = "=+-@"

_DATES = (date, time, timedelta)


def read_text(raw: Any, longest: int = LONGEST_LINE, keep_lines: bool = False) -> str:
    """Return the text of a cell, stripped and with inner spacing collapsed.

    Parameters
    ----------
    raw : object
        Text, or a number typed where text belongs.
    longest : int
        Most characters allowed.
    keep_lines : bool
        Whether line breaks stay.

    Raises
    ------
    BadCell
        For dates and truth values, hidden characters and text that is too long.
    """
    text = _as_text(raw)
    _refuse_hidden(text)
    lines = [" ".join(line.split()) for line in text.splitlines()]
    tidy = unicodedata.normalize("NFC", ("\n" if keep_lines else " ").join(lines).strip())
    if cell_length(tidy) > longest:
        raise BadCell("too-long", f"the text is {cell_length(tidy)} characters long", f"Use at most {longest} characters")
    return tidy


def cell_length(text: str) -> int:
    """Return the length of a text as spreadsheet programs count it: signs beyond the basic plane count twice."""
    return len(text) + sum(character > "\uffff" for character in text)


def _as_text(raw: Any) -> str:
    if isinstance(raw, bool):
        message = f"the cell holds {str(raw).upper()}, not text"
        raise BadCell("not-text", message, "Type the text, for instance yes or no")
    if isinstance(raw, _DATES):
        message = f"the cell holds a date or time ({raw}), not text; spreadsheets turn names such as 1-2 into dates"
        raise BadCell("not-text", message, "Format the cell as text and type the name again")
    if isinstance(raw, float) and raw.is_integer():
        return str(int(raw))
    return str(raw)


def _refuse_hidden(text: str) -> None:
    for character in text:
        # Cc: control; Cs: half a surrogate pair, which no file can hold.
        if character in "\t\n\r":
            continue
        if unicodedata.category(character) in ("Cc", "Cs") or character in "\ufffe\uffff":
            code = f"U+{ord(character):04X}"
            raise BadCell("control-character", f"the text holds the hidden character {code}", "Type the text again")


def read_name(raw: Any) -> str:
    """Return a name: text that lookups and drop-downs can find again.

    Raises
    ------
    BadCell
        For what `read_text` refuses, and for characters that lookups would misread.
    """
    name = " ".join(read_text(raw, LONGEST_NAME).split())
    for character in name:
        if character in WILDCARDS:
            fix = f"Use a name without {' '.join(WILDCARDS)}"
            raise BadCell("wildcard-in-name", f"the name {name!r} holds {character!r}", fix)
        if unicodedata.category(character) == "Cf":
            message = f"the name {name!r} holds the hidden character U+{ord(character):04X}"
            raise BadCell("control-character", message, "Type the name again")
    return name


def like(text: Any) -> str:
    """Return text as it is compared with other text: no case, single spaces."""
    return " ".join(str(text).split()).casefold()


def read_choice(raw: Any, choices: tuple[str, ...], also: tuple[tuple[str, str], ...] = ()) -> str | None:
    """Return the canonical spelling of a choice, or None when the text is none of them.

    Parameters
    ----------
    raw : object
    choices : tuple of str
    also : tuple of (str, str)
        Further words, each with the choice it stands for.
    """
    if isinstance(raw, bool) and {"yes", "no"} <= set(choices):
        return "yes" if raw else "no"
    text = read_text(raw)
    by_spelling = {like(word): choice for word, choice in also} | {like(choice): choice for choice in choices}
    # A second look without any spaces, so that %w/w finds % w/w.
    by_letters = {like(choice).replace(" ", ""): choice for choice in choices}
    return by_spelling.get(like(text)) or by_letters.get(like(text).replace(" ", ""))


#: Encodings in which programs open what was saved as UTF-8.
_MISTAKEN = ("cp1252", "latin-1", "cp850", "cp437", "mac_roman")
_LOST = "\ufffd"


def is_garbled(text: str) -> bool:
    """Return whether letters of a text were lost or changed on its way through programs."""
    return _LOST in text or mended_letters(text) != ""


def mended_letters(text: str) -> str:
    """Return what a text said before it was opened in a wrong encoding, blank when it was not.

    Examples
    --------
    >>> mended_letters("Ca\u00c3\u00b1ada")
    'Ca\u00f1ada'
    """
    for encoding in _MISTAKEN:
        try:
            mended = text.encode(encoding).decode("utf-8")
        except UnicodeError:
            continue
        return mended if mended != text else ""
    return ""
