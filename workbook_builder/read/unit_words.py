"""Words for units as people write them, what one unit is in another, and units in number formats:
``hectares``, ``L ha-1``, ``gal. per acre``, ``°C``.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import islice, product
from math import isfinite, prod
from typing import Any

from workbook_builder.core.units import AMOUNT_UNITS, FIELD_UNITS, registry
from workbook_builder.read.numbers import BadCell, percent_from_text, refuse_other_money

LONGEST_UNIT = 60
MOST_READINGS = 64
#: Digits kept of a converted number: more than anybody types, fewer than a conversion leaves behind.
DIGITS = 12

#: Spelling -> pint expression, where pint knows none or, in a field, another one.
SPELLINGS: dict[str, str] = {
    **{label.casefold(): name for label, (name, _) in AMOUNT_UNITS.items()},
    **{label.casefold(): name for label, name in FIELD_UNITS.items()},
    **dict.fromkeys(("acre", "acres", "acs"), "field_acre"),
    **dict.fromkeys(("gallon", "gallons", "gals", "us gal", "us gallon", "us gallons"), "us_gallon"),
    **dict.fromkeys(("imp gal", "imp gallon", "imp gallons", "imperial gal", "imperial gallon",
                     "imperial gallons", "uk gal", "uk gallon"), "imperial_gallon"),
    **dict.fromkeys(("floz", "oz fl", "fl ounce", "fl ounces", "fluid oz", "fluid ounce", "fluid ounces",
                     "us fl oz"), "us_fl_oz"),
    **dict.fromkeys(("pint", "pints", "pts"), "us_pint"),
    **dict.fromkeys(("quart", "quarts", "qts"), "us_quart"),
    **dict.fromkeys(("lbs", "pound", "pounds"), "avdp_lb"),
    **dict.fromkeys(("ozs", "ounce", "ounces", "dry oz"), "avdp_oz"),
    **dict.fromkeys(("ltr", "ltrs"), "liter"), **dict.fromkeys(("kilo", "kilos", "kgs"), "kilogram"),
    **dict.fromkeys(("sqft", "sf"), "foot ** 2"), "sqm": "meter ** 2", "sqyd": "yard ** 2",
    **dict.fromkeys(("ft", "'"), "foot"), **dict.fromkeys(("ins", '"', "''"), "inch"),
    **dict.fromkeys(("kmh", "kmph"), "kilometer / hour"), "fpm": "foot / minute",
    "gpa": "us_gallon / field_acre", "gpm": "us_gallon / minute", "gph": "us_gallon / hour",
    "lpm": "liter / minute", "lph": "liter / hour",
    **dict.fromkeys(("wk", "wks"), "week"), **dict.fromkeys(("mo", "mos", "mth", "mths"), "month"),
    **dict.fromkeys(("y", "yrs"), "year"),
    **dict.fromkeys(("°c", "c", "deg c", "degrees c", "celsius", "deg celsius", "degrees celsius",
                     "centigrade"), "degC"),
    **dict.fromkeys(("°f", "f", "deg f", "degrees f", "fahrenheit", "deg fahrenheit", "degrees fahrenheit"),
                    "degF"),
    **dict.fromkeys(("pct", "per cent"), "percent"),
    **dict.fromkeys(("share", "fraction", "decimal", "0-1", "0 to 1"), "dimensionless"),
    **dict.fromkeys(("°", "deg", "degs", "decimal degrees", "degrees decimal"), "degree"),
    **{f"{word}{mark}": "degree" for word in ("°", "° ", "deg ", "degrees ")
       for mark in ("n", "e", "north", "east")},
    **{f"{word}{mark}": "-degree" for word in ("°", "° ", "deg ", "degrees ")
       for mark in ("s", "w", "south", "west")},
}
_LONGEST_PHRASE = 3
_POWERS = {"sq": 2, "square": 2, "cu": 3, "cubic": 3}
_NUMBER = re.compile(r"\d{1,7}(\.\d{1,4})?", re.ASCII)
_RAISED = re.compile(r"(?P<word>[^\d\s^*-]+)(?:\^|\*\*)?(?P<power>-?[1-4])", re.ASCII)


@dataclass(frozen=True)
class Unit:
    """One reading of a text as a unit: so many of a pint unit."""

    scale: float  # For instance 0.01 for `lb/100 gal`; negative for degrees south and west
    unit: Any

    def __mul__(self, other: Unit) -> Unit:
        """Return the product of two units."""
        return Unit(self.scale * other.scale, self.unit * other.unit)

    def __pow__(self, power: int) -> Unit:
        """Return a unit raised to a power."""
        return Unit(self.scale**power, self.unit**power)


@dataclass(frozen=True)
class Conversion:
    """From one unit to another: times `factor`, plus `offset`."""

    factor: float
    offset: float = 0.0

    def __call__(self, value: float) -> float:
        """Return a number in the other unit."""
        return float(f"{value * self.factor + self.offset:.{DIGITS}g}")

    @property
    def changes_nothing(self) -> bool:
        """Whether both units are the same, give or take the last digits of a conversion."""
        return abs(self.factor - 1) < 1e-9 and self.offset == 0


def conversion(written: str, own: str, of_differences: bool = False) -> Conversion | None:
    """Return how numbers in the unit `written` become numbers in the unit `own`.

    Parameters
    ----------
    written, own : str
        Texts for units.
    of_differences : bool
        Temperatures are differences, whose zero is the same everywhere.

    Returns
    -------
    Conversion or None
        None when no reading of the text measures what `own` measures.
    """
    target = unit_readings(own)[0]
    for unit in unit_readings(written):
        if _measures(unit) != _measures(target):
            continue
        try:
            zero, one, two = (registry().Quantity(value * unit.scale, unit.unit).to(target.unit).magnitude
                              / target.scale for value in (0.0, 1.0, 2.0))
        except Exception:  # a unit that pint converts under conditions only
            continue
        factor = one - zero
        # Decibels and their like do not run along a straight line.
        if isfinite(factor) and factor and abs(two - one - factor) <= 1e-9 * abs(factor):
            return Conversion(factor, 0.0 if of_differences else zero)
    return None


def _measures(unit: Unit) -> Any:
    """Return the root units, in which an angle differs from a share, as their dimensions do not."""
    return registry().get_root_units(unit.unit)[1]


@lru_cache(512)
def unit_readings(text: str) -> tuple[Unit, ...]:
    """Return the units a text may stand for, the likeliest first; none when it names no unit."""
    tidy = unicodedata.normalize("NFKC", text).replace("\u2212", "-").replace("\u2044", "/")
    tidy = " ".join(re.sub(r"(?<=[^\W\d])\.", " ", tidy).split())
    return tuple(islice(_units(tidy), MOST_READINGS)) if 0 < len(tidy) <= LONGEST_UNIT else ()


def _units(text: str) -> Iterator[Unit]:
    whole = SPELLINGS.get(text.casefold())
    if whole:
        yield _declared(whole)
    first, *others = (_factors(side.strip())
                      for side in re.split(r"/|(?:^|\s)per\s", text, flags=re.IGNORECASE))
    below = [factor for side in others for factor in side or [[]]]
    if first is None or not (first or below):
        return
    above = [*first, *([unit**-1 for unit in factor] for factor in below)]
    for chosen in product(*above):
        yield prod(chosen, start=Unit(1.0, registry().Unit("")))


def _factors(side: str) -> list[list[Unit]] | None:
    """Return the factors of one side of a fraction, each with its readings; None when a word is no unit."""
    words = re.split(r"[\s*\u00b7\u22c5\u00d7]+", side) if side else []
    factors: list[list[Unit]] = []
    at = 0
    while at < len(words):
        length, found = _next(words[at:])
        if not found:
            return None
        factors.append(found)
        at += length
    return factors


def _next(words: list[str]) -> tuple[int, list[Unit]]:
    """Return how many words make the next factor, and what it may be."""
    for length in range(min(_LONGEST_PHRASE, len(words)), 1, -1):
        phrase = SPELLINGS.get(" ".join(words[:length]).casefold())
        if phrase:
            return length, [_declared(phrase)]
    power = _POWERS.get(words[0].casefold())
    if power and len(words) > 1:
        return 2, [unit**power for unit in _named(words[1])]
    if _NUMBER.fullmatch(words[0]):
        return 1, [Unit(float(words[0]), registry().Unit(""))] if float(words[0]) else []
    return 1, _named(words[0])


def _named(word: str) -> list[Unit]:
    """Return the units one word may name: ours, pint's, else pint's in small letters,
    or one of these raised to a power.
    """
    ours = SPELLINGS.get(word.casefold())
    found = [*([_declared(ours)] if ours else []), *_known(word)] or [*_known(word.casefold())]
    raised = _RAISED.fullmatch(word)
    if not found and raised:
        return [unit ** int(raised["power"]) for unit in _named(raised["word"])]
    return found


@cache
def _declared(text: str) -> Unit:
    name = text.removeprefix("-")
    return Unit(1.0 if name == text else -1.0, registry().parse_units(name))


@lru_cache(512)
def _known(word: str) -> tuple[Unit, ...]:
    """Return pint's unit of this name; only whole names reach pint, never sums to work out."""
    if not (word.isidentifier() or word in ("%", "\u2030")) or word.startswith("delta_"):
        return ()
    try:
        return (Unit(1.0, registry().parse_units(word)),)
    except Exception:  # pint's own errors, and whatever its parser stumbles over
        return ()


#: Formats below this number are the program's own; their currency is that of the computer that shows them.
FIRST_GIVEN = 164

#: Quoted words, one escaped sign, a currency with its place, other brackets, padding, a percent sign,
#: thousands left out.
_PIECE = re.compile(
    r'"(?P<words>[^"]*)"|\\(?P<sign>.)|\[\$(?P<money>[^\]-]*)[^\]]*\]|\[[^\]]*\]|[_*].|(?P<percent>%)|'
    r'(?<=[0#?])(?P<scale>,+)(?![0#?,])|(?P<end>;)|(?P<bare>[$\u20a0-\u20cf\u00a3\u00a5])'
)


@dataclass(frozen=True)
class Shown:
    """What a cell adds to its number."""

    percent: bool = False  # The number is shown a hundredfold, with a percent sign
    words: str = ""  # Words and signs of the format, such as `ha`
    money: str = ""  # Sign or code of a currency

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
    """How a column counts."""

    #: Form of its quantity kind, and its unit
    form: str
    own: str
    currency: str  # The farm's
    in_percent: bool = False  # A number of 30 stands for 30 %
    conversion: Conversion | None = None  # From the unit of its header
    decimal_comma: bool | None = False  # As in :class:`workbook_builder.read.grid.Grid`


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
        raise BadCell("percent-shown", f"the cell shows {shown:g} %, and the column takes a plain number",
                      fix)
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
        message = (f"the cell shows {raw.plain:g} {words}, and the column counts in "
                   f"{column.own or 'plain numbers'}")
        raise BadCell("unit-mismatch", message,
                      "Type the number again, in a cell without words in its format")
