"""Rounding as spreadsheets do it, and steps to whole loads and packages.

Python's ``round`` rounds half to even on the binary value; spreadsheets round half away
from zero on the decimal value a person sees.  Both witnesses round to six digits before
stepping to whole numbers, so that 4.000000000000001 loads are 4 loads.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal

STEP_DIGITS = 6
_POWERS = tuple(10.0**digits for digits in range(STEP_DIGITS + 1))
#: Up to here the last bits of a float are far less than a thousandth.
_CLEAR = 1e12


def rounded(value: float, digits: int = 0) -> float:
    """Round half away from zero on the decimal value.

    Parameters
    ----------
    value : float
    digits : int
        Decimal places, 0 or more.
    """
    if not math.isfinite(value):
        raise ValueError(f"cannot round {value}")
    if abs(value) >= 1e15:
        return float(value)
    if 0 <= digits <= STEP_DIGITS and (scaled := abs(value) * _POWERS[digits]) < _CLEAR:
        below = int(scaled)
        part = scaled - below
        if not 0.499 < part < 0.501:
            # Binary dust does not reach the tie, and a quotient of two whole numbers is the float nearest to
            # the decimal number.
            return math.copysign((below + (part > 0.5)) / _POWERS[digits], value)
    return by_decimals(value, digits)


def by_decimals(value: float, digits: int) -> float:
    """Round half away from zero on the decimal value, whatever the value.

    Slower than :func:`rounded`, and always the same.
    """
    return float(Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP))


def shown(value: float, digits: int) -> float:
    """Round for display: first to six digits, so that 0.25 worked out as 0.2499999999 shows as 0.3 in every
    engine.

    Parameters
    ----------
    value : float
    digits : int
        Decimal places, fewer than six.
    """
    return rounded(rounded(value, STEP_DIGITS), digits)


def leftover(value: float) -> float:
    """Round what is left over to a ten-thousandth.

    First to seven digits, so that a tie falls the same way in every engine.

    It is the small difference of two amounts that may be large:
    of 600,000 mL the tenth decimal is not certain.
    """
    return rounded(rounded(value, 7), 4)


def gained(value: float) -> float:
    """Round a gain to a ten-thousandth: where nothing is gained,
    what is left of two large sums is nothing in every engine.
    """
    return shown(value, 4)


def whole_below(value: float, digits: int = STEP_DIGITS) -> int:
    """Return the whole number at or below `value`, after rounding to six digits, and from there to fewer."""
    return math.floor(shown(value, digits))


def whole_above(value: float, digits: int = STEP_DIGITS) -> int:
    """Return the whole number at or above `value`, after rounding to six digits, and from there to fewer."""
    return math.ceil(shown(value, digits))


def with_commas(whole: float) -> str:
    """Return a whole number with a comma before every three digits, for a sentence."""
    return f"{whole:,.0f}"


def number_text(value: float) -> str:
    """Return a number as a spreadsheet joins it into text (up to 15 digits, no trailing zeros)."""
    if float(value).is_integer() and abs(value) < 1e15:
        return str(int(value))
    return f"{value:.15g}"
