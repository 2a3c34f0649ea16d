"""Words for units as people write them, and what one unit is in another: ``hectares``, ``L ha-1``, ``gal. per acre``, ``°C``."""

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
    **dict.fromkeys(("imp gal", "imp gallon", "imp gallons", "imperial gal", "imperial gallon", "imperial gallons", "uk gal", "uk gallon"), "imperial_gallon"),
    **dict.fromkeys(("floz", "oz fl", "fl ounce", "fl ounces", "fluid oz", "fluid ounce", "fluid ounces", "us fl oz"), "us_fl_oz"),
    **dict.fromkeys(("pint", "pints", "pts"), "us_pint"), **dict.fromkeys(("quart", "quarts", "qts"), "us_quart"),
    **dict.fromkeys(("lbs", "pound", "pounds"), "avdp_lb"), **dict.fromkeys(("ozs", "ounce", "ounces", "dry oz"), "avdp_oz"),
    **dict.fromkeys(("ltr", "ltrs"), "liter"), **dict.fromkeys(("kilo", "kilos", "kgs"), "kilogram"),
    **dict.fromkeys(("sqft", "sf"), "foot ** 2"), "sqm": "meter ** 2", "sqyd": "yard ** 2",
    **dict.fromkeys(("ft", "'"), "foot"), **dict.fromkeys(("ins", '"', "''"), "inch"),
    **dict.fromkeys(("kmh", "kmph"), "kilometer / hour"), "fpm": "foot / minute",
    "gpa": "us_gallon / field_acre", "gpm": "us_gallon / minute", "gph": "us_gallon / hour", "lpm": "liter / minute", "lph": "liter / hour",
    **dict.fromkeys(("wk", "wks"), "week"), **dict.fromkeys(("mo", "mos", "mth", "mths"), "month"), **dict.fromkeys(("y", "yrs"), "year"),
    **dict.fromkeys(("°c", "c", "deg c", "degrees c", "celsius", "deg celsius", "degrees celsius", "centigrade"), "degC"),
    **dict.fromkeys(("°f", "f", "deg f", "degrees f", "fahrenheit", "deg fahrenheit", "degrees fahrenheit"), "degF"),
    **dict.fromkeys(("pct", "per cent"), "percent"), **dict.fromkeys(("share", "fraction", "decimal", "0-1", "0 to 1"), "dimensionless"),
    **dict.fromkeys(("°", "deg", "degs", "decimal degrees", "degrees decimal"), "degree"),
    **{f"{word}{mark}": "degree" for word in ("°", "° ", "deg ", "degrees ") for mark in ("n", "e", "north", "east")},
    **{f"{word}{mark}": "-degree" for word in ("°", "° ", "deg ", "degrees ") for mark in ("s", "w", "south", "west")},
}
_LONGEST_PHRASE = 3
_POWERS = {"sq": 2, "square": 2, "cu": 3, "cubic": 3}
_NUMBER = re.compile(r"\d{1,7}(\.\d{1,4})?", re.ASCII)
_RAISED = re.compile(r"(?P<word>[^\d\s^*-]+)(?:\^|\*\*)?(?P<power>-?[1-4])", re.ASCII)


@dataclass(frozen=True)
class Unit:
    """One reading of a text as a unit: so many of a pint unit.

    Parameters
    ----------
    scale : float
        For instance 0.01 for ``lb/100 gal``; negative for degrees south and west.
    unit : pint.Unit
    """

    scale: float
    unit: Any

    def __mul__(self, other: Unit) -> Unit:
        """Return the product of two units."""
        return Unit(self.scale * other.scale, self.unit * other.unit)

    def __pow__(self, power: int) -> Unit:
        """Return a unit raised to a power."""
        return Unit(self.scale**power, self.unit**power)


@dataclass(frozen=True)
class Conversion:
    """From one unit to another: times `factor`, plus `offset`.

    Parameters
    ----------
    factor, offset : float
    """

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
            zero, one, two = (registry().Quantity(value * unit.scale, unit.unit).to(target.unit).magnitude / target.scale for value in (0.0, 1.0, 2.0))
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
    first, *others = (_factors(side.strip()) for side in re.split(r"/|(?:^|\s)per\s", text, flags=re.IGNORECASE))
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
    """Return the units one word may name: ours, pint's, else pint's in small letters, or one of these raised to a power."""
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
