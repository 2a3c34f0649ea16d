"""The beta distribution: the share of a field that will be sprayed, as a spread and not as one number."""

from __future__ import annotations

import math

MOST_STEPS = 1000
TINY = 1e-300
CLOSE = 1e-15
#: Nearest a quantile of the share of the field sprayed comes to none or all of a field.
LEAST_SHARE = 1e-3
#: From here on a volume is enough for all of a field.
WHOLE_FIELD = 1 - LEAST_SHARE / 2
#: An uncertain chance is told as this at most, and as the rest to 1 at least.
MOST_TOLD = 0.99


def beta_chance(x: float, a: float, b: float) -> float:
    """Return the chance that a beta-distributed share is at most `x`.

    Parameters
    ----------
    x : float
        Share, 0 to 1; values outside give 0 or 1.
    a, b : float
        Shape, both above 0 [patches].

    References
    ----------
    Abramowitz & Stegun 26.5.8, continued fraction of the regularised incomplete beta function,
    summed by the modified Lentz method.
    """
    if x <= 0:
        return 0.0
    if x >= 1:
        return 1.0
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x)
                     + b * math.log1p(-x))
    if x < (a + 1) / (a + b + 2):
        return front * _fraction(x, a, b) / a
    return 1.0 - front * _fraction(1 - x, b, a) / b


def _fraction(x: float, a: float, b: float) -> float:
    """Return the continued fraction of the incomplete beta function."""
    c, d = 1.0, 1.0 / _not_zero(1 - (a + b) * x / (a + 1))
    result = d
    for m in range(1, MOST_STEPS):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        d, c = 1.0 / _not_zero(1 + even * d), _not_zero(1 + even / c)
        result *= d * c
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        d, c = 1.0 / _not_zero(1 + odd * d), _not_zero(1 + odd / c)
        step = d * c
        result *= step
        if abs(step - 1) < CLOSE:
            break
    return result


def _not_zero(value: float) -> float:
    return value if abs(value) > TINY else TINY


def beta_density(x: float, a: float, b: float) -> float:
    """Return the density of the beta distribution at `x`, 0 outside 0 to 1."""
    if x <= 0 or x >= 1:
        return 0.0
    return math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + (a - 1) * math.log(x)
        + (b - 1) * math.log1p(-x)
    )


def beta_quantile(chance: float, a: float, b: float) -> float:
    """Return the share that is not exceeded with the given chance.

    Parameters
    ----------
    chance : float
        Between 0 and 1.
    a, b : float
        Shape, both above 0 [patches].

    Notes
    -----
    Newton steps, kept inside a bracket that shrinks with every step.
    """
    if not 0 < chance < 1:
        raise ValueError(f"a chance must be between 0 and 1, not {chance}")
    low, high = 0.0, 1.0
    x = a / (a + b)
    for _ in range(MOST_STEPS):
        gap = beta_chance(x, a, b) - chance
        if gap > 0:
            high = x
        else:
            low = x
        slope = beta_density(x, a, b)
        better = x - gap / slope if slope > 0 else low
        if not low < better < high:
            better = (low + high) / 2
        if abs(better - x) <= CLOSE * max(x, 1e-6):
            return better
        x = better
    return x


def share_quantile(chance: float, a: float, b: float) -> float:
    """Return the share of the field sprayed that is not exceeded with the given chance,
    between 0.1 % and 99.9 %.

    A share nearer to nothing or to all than that cannot be told apart in a field, and no
    spreadsheet program finds such a quantile exactly.

    Parameters
    ----------
    chance : float
        Between 0 and 1.
    a, b : float
        Shape, both above 0 [patches].
    """
    return max(LEAST_SHARE, min(1 - LEAST_SHARE, beta_quantile(chance, a, b)))


def share_chance(share: float, a: float, b: float) -> float:
    """Return the chance that no more than `share` is sprayed.

    Certain from 99.95 %, which counts as the whole field.

    Parameters
    ----------
    share : float
    a, b : float
        Shape, both above 0 [patches].
    """
    return 1.0 if share >= WHOLE_FIELD else beta_chance(share, a, b)


def told_chance(share: float, a: float, b: float, most: float = MOST_TOLD) -> float:
    """Return the chance that no more than `share` is sprayed as it is told: never certain before it is,
    nor impossible.

    Parameters
    ----------
    share : float
    a, b : float
        Shape, both above 0 [patches].
    most : float
        Most that an uncertain chance is told as; a printed 99.6 % would read 100 %.
    """
    chance = share_chance(share, a, b)
    return chance if share <= 0 or share >= WHOLE_FIELD else min(most, max(1 - most, chance))


def quantile_formula(chance: str, shape: str = "{a},{b}") -> str:
    """Return the formula of the share of the field sprayed that is not exceeded with the given chance,
    as `share_quantile` holds it.
    """
    return f"MAX({LEAST_SHARE},MIN({1 - LEAST_SHARE},BETAINV({chance},{shape})))"


def chance_formula(share: str, shape: str = "{a},{b}") -> str:
    """Return the formula of the chance that no more than a share is sprayed,
    certain for the whole field as in `share_chance`.
    """
    return f"IF({share}>={WHOLE_FIELD},1,IF({share}<=0,0,BETADIST({share},{shape})))"


def told_formula(share: str, shape: str = "{a},{b}", most: float = MOST_TOLD) -> str:
    """Return the formula of a chance as `told_chance` tells it."""
    return (f"MIN(IF({share}>={WHOLE_FIELD},1,{most}),MAX(IF({share}<=0,0,{round(1 - most, 6)}),"
            f"{chance_formula(share, shape)}))")
