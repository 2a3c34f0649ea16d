"""How a value stands in a file, and what is wrong when it cannot stand there."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from typing import SupportsFloat

#: Sheet title -> cell reference -> value.
Values = Mapping[str, Mapping[str, object]]

LONGEST_TEXT = 32767

_NOT_ALLOWED_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


class UnfilledFormula(KeyError):
    """A formula cell for which no value was given.

    Its reference is blank when its formula could not be read.
    """

    def __init__(self, sheet: str, reference: str) -> None:
        self.sheet, self.reference = sheet, reference
        super().__init__(sheet, reference)

    def __str__(self) -> str:
        if not self.reference:
            return f"sheet {self.sheet!r} has a formula cell of a kind that cannot carry a cached value"
        return f"sheet {self.sheet!r}, cell {self.reference}: the formula has no value to go with it"


class UnwritableValue(ValueError):
    """A value that no cell can hold, where it was to go, and what is wrong with it."""

    def __init__(self, sheet: str, reference: str, value: object, reason: str) -> None:
        self.sheet, self.reference, self.value, self.reason = sheet, reference, value, reason
        super().__init__(sheet, reference, value, reason)

    def __str__(self) -> str:
        shown = repr(self.value)
        return f"sheet {self.sheet!r}, cell {self.reference}: {shown[:60]} {self.reason}"


def stored_form(value: object) -> tuple[str, str]:
    """Return the type attribute (with a leading space, or blank) and the text a cell stores.

    Raises
    ------
    ValueError
        No cell can hold the value; the message says why.
    """
    form = _FORMS.get(type(value))
    if form is not None:
        return form(value)
    plain = value.item() if hasattr(value, "item") else value
    form = next((_FORMS[kind] for kind in (bool, int, float, str) if isinstance(plain, kind)), None)
    if form is None:
        raise ValueError("is neither a number nor text nor true or false")
    return form(plain)


def escaped(text: str) -> str:
    """Return text as it stands between XML tags.

    Raises
    ------
    ValueError
        The text is too long for a cell or has a character XML does not allow.
    """
    if len(text) > LONGEST_TEXT:
        raise ValueError(f"has {len(text)} characters; a cell holds {LONGEST_TEXT}")
    if not text or text.isalnum():
        return text
    if _NOT_ALLOWED_IN_XML.search(text):
        raise ValueError("has a control character that no workbook can hold")
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace("\r", "&#13;")


def _number_form(value: SupportsFloat) -> tuple[str, str]:
    """Return a number in the shortest text that gives the same number again."""
    number = float(value)
    if not math.isfinite(number):
        raise ValueError("is not a finite number")
    text = repr(number)
    if text.endswith(".0"):
        text = text[:-2]
    return "", "0" if text == "-0" else text


_FORMS: dict[type, Callable[..., tuple[str, str]]] = {
    float: _number_form, int: _number_form, str: lambda text: (' t="str"', escaped(str(text))),
    bool: lambda truth: (' t="b"', "1" if truth else "0"),
}
