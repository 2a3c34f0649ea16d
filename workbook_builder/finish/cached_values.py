"""Insert the value of every formula cell beside its formula.

The workbook library writes ``<f>`` and an empty ``<v/>``: right for a program that
calculates, blank for a phone preview, a protected view or a data reader.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from typing import SupportsFloat

from workbook_builder.finish.parts import Parts, UnknownSheet, sheet_parts

#: Sheet title -> cell reference -> value.
Values = Mapping[str, Mapping[str, object]]

LONGEST_TEXT = 32767

_EMPTY_FORMULA_CELL = re.compile(
    r'(<c r="([A-Z]+[0-9]+)"(?: s="[0-9]+")?)(?: t="[a-zA-Z]+")?>(<f(?: [^>]*)?>[^<]*</f>)<v ?(?:/>|></v>)</c>'
)
#: A styled blank cell typed as a number: IronCalc would read it as 0, so the type goes.
_BLANK_NUMBER_CELL = re.compile(r'(<c r="[A-Z]+[0-9]+"(?: s="[0-9]+")?) t="n" ?(?:/>|></c>|><v ?/></c>)')
_ANY_FORMULA = re.compile(r"<f[ />]")
_NOT_ALLOWED_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


class UnfilledFormula(KeyError):
    """A formula cell for which no value was given.

    Parameters
    ----------
    sheet : str
        Title of the sheet.
    reference : str
        The cell, such as ``B7``; blank when its formula could not be read.
    """

    def __init__(self, sheet: str, reference: str) -> None:
        self.sheet = sheet
        self.reference = reference
        super().__init__(sheet, reference)

    def __str__(self) -> str:
        """Name the sheet and the cell."""
        if not self.reference:
            return f"sheet {self.sheet!r} has a formula cell of a kind that cannot carry a cached value"
        return f"sheet {self.sheet!r}, cell {self.reference}: the formula has no value to go with it"


class UnwritableValue(ValueError):
    """A value that no cell can hold.

    Parameters
    ----------
    sheet, reference : str
        Where it was to go.
    value : object
        The value.
    reason : str
        What is wrong with it.
    """

    def __init__(self, sheet: str, reference: str, value: object, reason: str) -> None:
        self.sheet = sheet
        self.reference = reference
        self.value = value
        self.reason = reason
        super().__init__(sheet, reference, value, reason)

    def __str__(self) -> str:
        """Name the place, the value and the reason."""
        shown = repr(self.value)
        return f"sheet {self.sheet!r}, cell {self.reference}: {shown[:60]} {self.reason}"


def insert_cached_values(parts: Parts, values: Values) -> Parts:
    """Return the parts with a value in every formula cell.

    Parameters
    ----------
    parts : dict of str to bytes
        The workbook as its library wrote it.
    values : mapping
        Sheet title -> cell reference (``"B7"``) -> number, text or truth value.  Values
        for cells without a formula are ignored.

    Raises
    ------
    UnfilledFormula
        A formula cell has no value.
    UnwritableValue
        A value is not finite, too long or of another kind.
    UnknownSheet
        Values are given for a sheet that does not exist.
    """
    titles = sheet_parts(parts)
    for title in values:
        if title not in titles:
            raise UnknownSheet(title)
    filled = dict(parts)
    del parts  # each sheet as it was goes as soon as the filled one is there
    for title, part in titles.items():
        filled[part] = _fill_sheet(title, filled[part].decode("utf-8"), values.get(title, {})).encode("utf-8")
    return filled


def _fill_sheet(title: str, xml: str, values: Mapping[str, object]) -> str:
    """Return one sheet part with its formula cells filled."""

    def filled(match: re.Match[str]) -> str:
        opening, reference, formula = match.groups()
        try:
            value = values[reference]
        except KeyError:
            raise UnfilledFormula(title, reference) from None
        try:
            kind, text = stored_form(value)
        except ValueError as problem:
            raise UnwritableValue(title, reference, value, str(problem)) from None
        return f"{opening}{kind}>{formula}<v>{text}</v></c>"

    result, count = _EMPTY_FORMULA_CELL.subn(filled, xml)
    if count != len(_ANY_FORMULA.findall(xml)):
        raise UnfilledFormula(title, "")
    return _BLANK_NUMBER_CELL.sub(r"\1/>", result)


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


def _text_form(value: object) -> tuple[str, str]:
    """Return text, escaped."""
    return ' t="str"', escaped(str(value))


def _truth_form(value: object) -> tuple[str, str]:
    """Return true or false as 1 or 0."""
    return ' t="b"', "1" if value else "0"


_FORMS: dict[type, Callable[..., tuple[str, str]]] = {
    float: _number_form,
    int: _number_form,
    str: _text_form,
    bool: _truth_form,
}
