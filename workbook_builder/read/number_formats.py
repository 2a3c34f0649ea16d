"""What a number format adds to a number when it is shown: a percent sign, a currency, words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from workbook_builder.read.numbers import BadCell, percent_from_text, refuse_other_money
from workbook_builder.read.unit_words import Conversion, conversion, unit_readings

#: Formats below this number are the program's own; their currency is that of the computer that shows them.
FIRST_GIVEN = 164

#: Quoted words, one escaped sign, a currency with its place, other brackets, padding, a percent sign, thousands left out.
_PIECE = re.compile(
    r'"(?P<words>[^"]*)"|\\(?P<sign>.)|\[\$(?P<money>[^\]-]*)[^\]]*\]|\[[^\]]*\]|[_*].|(?P<percent>%)|(?<=[0#?])(?P<scale>,+)(?![0#?,])|(?P<end>;)|(?P<bare>[$\u20a0-\u20cf\u00a3\u00a5])'
)


@dataclass(frozen=True)
class Shown:
    """What a cell adds to its number.

    Parameters
    ----------
    percent : bool
        The number is shown a hundredfold, with a percent sign.
    words : str
        Words and signs of the format, such as ``ha``.
    money : str
        Sign or code of a currency.
    """

    percent: bool = False
    words: str = ""
    money: str = ""

    def __bool__(self) -> bool:
        """Whether anything is added at all."""
        return bool(self.percent or self.words or self.money)


class ShownNumber(float):
    """A number whose cell shows more than the number.

    Parameters
    ----------
    value : int or float
        As stored.
    shown : Shown
    """

    plain: int | float
    shown: Shown

    def __new__(cls, value: int | float, shown: Shown) -> ShownNumber:
        """Return the number with what its cell adds."""
        number = super().__new__(cls, value)
        number.plain, number.shown = value, shown
        return number


def shown_by(number_format: str) -> Shown:
    """Return what a number format adds to a positive number.

    Examples
    --------
    >>> shown_by('0.00%')
    Shown(percent=True, words='', money='')
    >>> shown_by('#,##0" ha"').words
    'ha'
    """
    percent, words, money = False, "", ""
    for piece in _PIECE.finditer(number_format):
        if piece["end"]:
            break
        percent = percent or bool(piece["percent"])
        money += (piece["money"] or piece["bare"] or "").strip()
        words += piece["words"] or piece["sign"] or ""
        words += " 1000" * len(piece["scale"] or "")
    return Shown(percent, words.strip(" -()"), money)


@dataclass(frozen=True)
class Counting:
    """How a column counts.

    Parameters
    ----------
    form, own : str
        Form of its quantity kind, and its unit.
    currency : str
        The farm's.
    in_percent : bool
        A number of 30 stands for 30 %.
    conversion : Conversion, optional
        From the unit of its header.
    decimal_comma : bool or None
        As in :class:`workbook_builder.read.grid.Grid`.
    """

    form: str
    own: str
    currency: str
    in_percent: bool = False
    conversion: Conversion | None = None
    decimal_comma: bool | None = False


def as_counted(raw: Any, column: Counting) -> tuple[Any, str]:
    """Return a cell as its column counts, and a sentence when that is not what the cell stores.

    Raises
    ------
    BadCell
        When the cell shows its number in something else than the column counts in.
    """
    if isinstance(raw, str) and column.in_percent and raw.strip().endswith("%"):
        return (percent_from_text(raw, column.decimal_comma) or 0.0) * 100, ""
    if not isinstance(raw, ShownNumber):
        return raw, ""
    if raw.shown.percent and column.form not in ("share", "text", "name", "code"):
        shown = float(f"{raw.plain * 100:.12g}")
        if column.in_percent:
            return shown, f"the cell stores {raw.plain:g} and shows {shown:g} %; {shown:g} is read"
        fix = "Type the number again in a cell without a percent format"
        raise BadCell("percent-shown", f"the cell shows {shown:g} %, and the column takes a plain number", fix)
    if column.form == "money":
        sign = raw.shown.money or raw.shown.words
        refuse_other_money(sign if not unit_readings(sign) else "", column.currency)
    elif column.form in ("number", "whole"):
        _refuse_other_unit(raw, column)
    return raw.plain, ""


def _refuse_other_unit(raw: ShownNumber, column: Counting) -> None:
    """Refuse a number that its cell shows in a known unit other than the column's."""
    words = raw.shown.words
    if not words or not unit_readings(words):
        return
    found = conversion(words, column.own) if column.own else None
    factor = column.conversion.factor if column.conversion else 1.0
    if found is None or abs(found.factor / factor - 1) > 1e-9:
        message = f"the cell shows {raw.plain:g} {words}, and the column counts in {column.own or 'plain numbers'}"
        raise BadCell("unit-mismatch", message, "Type the number again, in a cell without words in its format")
