"""Rinsing a tank: how far rinses dilute what is left in it.

Full mixing is assumed throughout: each rinse spreads what is left evenly through the
rinse water, and the same volume stays behind again.  Residues in valves, filters and
boom ends are not in the sum.
"""

from __future__ import annotations

import math

from workbook_builder.core.rounding import whole_above

#: The number of small rinses that one big rinse of the same water is compared with.
SMALL_RINSES = 3


def residue_share(left: float, water: float, rinses: int) -> float:
    """Return what part of the mix is left after some rinses.

    Parameters
    ----------
    left : float
        Liquid left in the tank before and after each rinse [volume].
    water : float
        Water of one rinse [same volume].
    rinses : int

    References
    ----------
    Mass balance with full mixing: each rinse keeps left / (left + water).
    """
    share = 1.0
    for _ in range(rinses):
        share *= left / (left + water)
    return share


def rinses_exactly(ratio: float, dilution: float) -> float:
    """Return how many rinses leave one part in `dilution`, as a broken number.

    Parameters
    ----------
    ratio : float
        Water of one rinse over the liquid left.
    dilution : float
        20000 for one part in 20,000.
    """
    return math.log(dilution) / math.log(1 + ratio)


def rinses_needed(ratio: float, dilution: float) -> int:
    """Return the whole rinses that leave one part in `dilution`, or less."""
    return whole_above(rinses_exactly(ratio, dilution))


def rinse_water(tank: float, share: float) -> float:
    """Return the water of one rinse as a share of the tank [same volume].

    References
    ----------
    Purdue Pesticide Programs, as reported: 10 % of the tank's capacity, three times.
    """
    return tank * share
