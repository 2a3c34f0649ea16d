"""Rinsing a tank: how far rinses dilute what is left in it.

Full mixing is assumed throughout: each rinse spreads what is left evenly through the
rinse water, and the same volume stays behind again.  Residues in valves, filters and
boom ends are not in the sum.
"""

from __future__ import annotations

import math
from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.rounding import rounded, whole_above

FALLOW = "fallow"

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


def one_part_in(left: float, water: float, rinses: int) -> float:
    """Return into how many parts some rinses dilute what is left:
    the other way round of :func:`residue_share`.
    """
    return 1 / residue_share(left, water, rinses)


def tank_judgement(left: Any, water: float, volume: float, carried: float, needed: Any) -> tuple[str, str]:
    """Return status and finding of the rinses of a tank.

    Parameters
    ----------
    left : float or ""
        Liquid left [volume].
    water, volume : float
        Water of one rinse, and what the tank holds [volume].
    carried : float
        Clean water on board, 0 when rinsing at the yard [volume].
    needed : float or ""
        Water of the rinses before a sensitive crop [volume].
    """
    if left == "":
        return NOT_ENTERED, "Liquid left in the sprayer not entered"
    if left + water > volume:
        return LOOK, "One rinse is more than the tank holds"
    short = 0 < carried < needed
    return ((LOOK, "Clean water carried is not enough for the rinses before a sensitive crop") if short
            else (OK, ""))


def rinse_area(left: float, water: float, carrier: float) -> float:
    """Return the ground that the rinsate of one rinse covers at the carrier rate of the pass [area].

    Parameters
    ----------
    left, water : float
        Liquid left, and water of one rinse [volume].
    carrier : float
        [volume/area].
    """
    return (left + water) / carrier


def area_again(left: float, carrier: float, fresh: float, fits: float) -> float | str:
    """Return the ground sprayed already on which the rinsate of one rinse keeps within the labels [area].

    Blank where they leave no room.

    Parameters
    ----------
    left : float
        Liquid left: what of the mix the rinsate holds [volume].
    carrier : float
        [volume/area].
    fresh : float
        What the rinsate covers at that rate [area].
    fits : float
        Share of an application that the labels leave room for.

    References
    ----------
    Mass balance: `left` over `carrier` is the ground that the mix in it would spray at the full rate.
    """
    return "" if rounded(fits, 6) <= 0 else max(fresh, left / carrier / fits)


#: Rinse water of a container as a share of what it holds: under five US gallons, and from there on.
#: Admin. Rules of Montana (rule 16614); Univ. of Illinois, 50 Ways, no. 30, gives the same.
#: Both rinse three times, as does 40 CFR 165.
SMALL_CONTAINER, LARGE_CONTAINER = 0.25, 0.2
#: Five US gallons that the largest container holds which is rinsed by hand: a drum of 55.
DRUM = 11


def container_rinse(phase: str, size: float, holds: float, five: float, most: float) -> float | str:
    """Return the water of each of three rinses of an empty container, in the unit of its size.

    Blank for a dry product and for a bulk tank.

    Parameters
    ----------
    phase : str
        ``liquid`` or ``dry``.
    size : float
        In the package unit.
    holds, five, most : float
        What it holds, five US gallons, and the largest that is rinsed by hand [base units].
    """
    if phase != "liquid" or holds > most:
        return ""
    return size * (SMALL_CONTAINER if rounded(holds - five, 6) < 0 else LARGE_CONTAINER)


def carried_over(follows: int, cleaned: str, kept: str) -> str:
    """Return the marks of what a tank still holds from before: of the pass before it in that tank,
    unless the tank was cleaned out in full.
    """
    return kept if follows and cleaned.casefold() != "yes" else ""


def line_status(counts: int, row: Any, crop: str, pesticide: Any, sensitive: str, wording: str) -> str:
    """Judge a product in a tank against the crop that the next pass goes on.

    Parameters
    ----------
    counts : int
        0 where another pass does not follow, or the next mix holds it too.
    row : int or ""
        Row of the clean-out label that holds for the crop.
    crop : str
        Fallow has no crop to hurt.
    pesticide : int or ""
        1 where a label must say something.
    sensitive, wording : str
        What the label says of the crop, and how to clean out.
    """
    if not counts:
        return ""
    if row == "":
        return OK if crop.casefold() == FALLOW else NOT_ENTERED if pesticide == 1 else ""
    if sensitive.casefold() == "no":
        return OK
    return LOOK if sensitive.casefold() == "yes" and wording else NOT_ENTERED


def stays(once: int, status: str, minded: Any) -> bool:
    """Return whether a product is still in the tank for the next pass:
    what a clean-out is asked for is gone, and so is what hurts no crop.
    """
    return bool(once and status != LOOK and minded == 1)
