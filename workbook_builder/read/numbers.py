"""Numbers written as text: decimal signs, thousands separators, percent and currency signs."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from decimal import Decimal
from math import isfinite
from typing import Any

_PLAIN = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,4})?", re.ASCII)
_GROUPS = {
    # A leading zero never starts a grouped number, so 0,500 is a decimal comma.
    ",": re.compile(r"[+-]?[1-9]\d{0,2}(,\d{3})+(\.\d*)?", re.ASCII),
    ".": re.compile(r"[+-]?[1-9]\d{0,2}(\.\d{3})+(,\d*)?", re.ASCII),
    " ": re.compile(r"[+-]?[1-9]\d{0,2}( \d{3})+([.,]\d*)?", re.ASCII),
}
_COMMA = re.compile(r"[+-]?(\d+,\d*|,\d+)([eE][+-]?\d{1,4})?", re.ASCII)
_RANGE = re.compile(r"\s*(?:-|\u2013|\u2014|\.\.\.?|\bto\b|\band\b|\bor\b)\s*")
#: A sign before one, two or more than three digits, or behind a nought, can only be that of decimals.
_DECIMALS = re.compile(r"[+-]?(?:\d*([.,])(?:\d{1,2}|\d{4,})|0([.,])\d+)\s?%?", re.ASCII)
_BEGINNINGS = frozenset("0123456789+-.,")
_ONE_GROUP = re.compile(r"[+-]?[1-9]\d{0,2}\.\d{3}", re.ASCII)


class BadCell(ValueError):
    """A cell that cannot be read, with a problem code, what is wrong and what would be right."""

    def __init__(self, code: str, message: str, fix: str = "") -> None:
        super().__init__(code, message, fix)
        self.code = code
        self.message = message
        self.fix = fix

    def __str__(self) -> str:
        return self.message


def brief(text: str) -> str:
    """Return the start of a text, short enough for a message."""
    return text if len(text) <= 60 else text[:57] + "..."


def number_from_text(text: str, decimal_comma: bool | None = False) -> int | float:
    """Return the number a text stands for.

    Parameters
    ----------
    text : str
        For instance ``12``, ``1,250.5``, ``-3``, ``1E+05``; with a decimal comma ``1.250,5``.
    decimal_comma : bool or None
        Whether the file writes numbers with a decimal comma; None when nothing in it says so.

    Raises
    ------
    BadCell
        When the text is no number, or may be read as two different ones.
    """
    # Programs write a true minus sign and narrow or unbreakable spaces; keyboards do not.
    words = " ".join(text.replace("\u2212", "-").split())
    if decimal_comma is None and _ONE_GROUP.fullmatch(words.replace(",", ".")):
        raise _two_readings(words, ".")
    if decimal_comma:
        if _ONE_GROUP.fullmatch(words):
            raise _two_readings(words, ",")
        if _GROUPS["."].fullmatch(words) or _GROUPS[" "].fullmatch(words):
            words = words.replace(".", "").replace(" ", "").replace(",", ".")
        elif _COMMA.fullmatch(words):
            words = words.replace(",", ".")
    elif _COMMA.fullmatch(words) and not _GROUPS[","].fullmatch(words):
        point = words.replace(",", ".")
        raise BadCell("ambiguous-number", f"{brief(text)!r} has a comma where a decimal point belongs",
                      f"Type {brief(point)}")
    elif _GROUPS[","].fullmatch(words):
        words = words.replace(",", "")
    elif _GROUPS[" "].fullmatch(words) and "," not in words:
        words = words.replace(" ", "")
    if not _PLAIN.fullmatch(words):
        raise BadCell("not-a-number", f"{brief(text)!r} is not a number",
                      "Type the number alone, without a unit or words")
    if re.fullmatch(r"[+-]?\d{1,15}", words, re.ASCII):
        return int(words)
    value = float(words)
    if not isfinite(value):
        raise BadCell("not-finite", f"{brief(words)} is too large", "Type a smaller number")
    return value


def _two_readings(words: str, sign: str) -> BadCell:
    """Return what to say of three digits behind one sign, which may part thousands or decimals."""
    whole, part = re.split("[.,]", words)
    readings = f"{whole}{part} or {whole}{sign}{part.rstrip('0') or '0'}"
    return BadCell("ambiguous-number", f"{words!r} may mean {readings}", f"Type {readings}")


def decimal_sign(cells: Iterable[Any]) -> bool | None:
    """Return whether numbers written as text have a decimal comma (True), a point (False),
    or nothing that says so (None).
    """
    signs = {match[1] or match[2] for cell in cells if isinstance(cell, str) and cell[:1] in _BEGINNINGS
             and (match := _DECIMALS.fullmatch(cell.strip()))}
    return signs == {","} if len(signs) == 1 else None


def percent_from_text(text: str, decimal_comma: bool | None = False) -> float | None:
    """Return ``0.3`` for ``30 %``, or None when the text has no percent sign."""
    words = text.strip()
    if not words.endswith(("%", "\uff05")):
        return None
    number = number_from_text(words[:-1], decimal_comma)
    return float(Decimal(str(number)) / 100)


def ends_of_range(text: str, decimal_comma: bool | None = False) -> tuple[float, float] | None:
    """Return the ends of a range of shares such as ``20-30 %``, ``20 to 30`` or ``0.2 - 0.3``,
    the lower first; None when the text is none.
    """
    parts = _RANGE.split(text.strip().strip("~<>"))
    if len(parts) != 2:
        return None
    try:
        percents = [percent_from_text(part, decimal_comma) for part in parts]
        ends = [number_from_text(part, decimal_comma) if percent is None else percent
                for part, percent in zip(parts, percents, strict=True)]
    except BadCell:
        return None
    # A sign behind the second number holds for both, and a number above 1 can only mean percent.
    ends = [end / 100 if percent is None and (end > 1 or percents[1] is not None) else end
            for end, percent in zip(ends, percents, strict=True)]
    return (min(ends), max(ends)) if min(ends) >= 0 and max(ends) <= 1 else None


def split_currency(text: str, currency: str) -> tuple[str, str]:
    """Split money written as text into the number's text and the currency sign.

    Parameters
    ----------
    text : str
        For instance ``$1,250.00`` or ``12,50 EUR``.
    currency : str
        The farm's sign, which may be several letters.

    Returns
    -------
    (number, sign) : tuple of str
        The sign is blank when none was written.
    """
    words, minus = text.strip(), ""
    if words.startswith(("-", "\u2212")):
        words, minus = words[1:].strip(), "-"
    codes = re.findall(r"^[A-Z]{3}(?=[\s\d])|(?<=[\s\d])[A-Z]{3}$", words)
    symbols = [character for character in words if unicodedata.category(character) == "Sc"]
    for sign in [sign for sign in (currency, *codes, *symbols) if sign]:
        if words.startswith(sign):
            return minus + words[len(sign):].strip(), sign
        if words.endswith(sign):
            return minus + words[: -len(sign)].strip(), sign
    return minus + words, ""


#: Signs and codes of one currency.
_SAME_MONEY = ({"\u20ac", "eur"},)


def same_money(sign: str, currency: str) -> bool:
    """Return whether two signs or codes name one currency."""
    both = {sign.casefold(), currency.casefold()}
    return len(both) == 1 or both in _SAME_MONEY


def refuse_other_money(sign: str, currency: str) -> None:
    """Refuse an amount in a currency that is not the farm's; no rate of exchange is known here.

    Raises
    ------
    BadCell
        When a sign is given and is another currency's.
    """
    if sign and not same_money(sign, currency):
        raise BadCell("currency-mismatch", f"the money is in {sign}, the farm counts in {currency}",
                      f"Type the amount in {currency}")
