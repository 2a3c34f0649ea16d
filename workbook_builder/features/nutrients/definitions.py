"""Nutrients of liquid and foliar fertilizers: plain functions."""

from __future__ import annotations

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.rounding import rounded

Known = float | str


def product_mass(amount: Known, sold: str, dense: Known, ounces: float) -> Known:
    """Return the mass of a product on an area [mass/area].

    Blank where the rate, or the density of a liquid, is not known.

    Parameters
    ----------
    amount : float or ""
        Base units as sold [base/area].
    sold : str
        ``liquid`` or ``dry``.
    dense : float or ""
        Dry base units per liquid base unit.
    ounces : float
        Dry base units in a pound, or in a kilogram.
    """
    if amount == "" or (sold == "liquid" and dense == ""):
        return ""
    return float(amount) * (float(dense) if sold == "liquid" else 1) / ounces


def nutrient(mass: float, percent: Known) -> Known:
    """Return the nutrient in a mass of product with an analysis in percent by weight [mass/area].

    Blank where that is not entered.

    References
    ----------
    Camberato, Purdue Univ. Extension: 28 % of 10.6 lb/gal are 2.97 lb N/gal.
    """
    return "" if percent == "" else mass * float(percent) / 100


def nutrient_status(on_leaves: Known, most: Known, season: Known, wanted: Known) -> str:
    """Judge a nutrient of a pass: what leaves bear, and what the field was to get.

    Parameters
    ----------
    on_leaves, most : float or ""
        Of the nutrient on ground that is sprayed, and the most that leaves bear [mass/area].
    season, wanted : float or ""
        Over the season as a mean of the field, and the amount wanted [mass/area].
    """
    if on_leaves == "":
        return NOT_ENTERED
    over = most != "" and rounded(float(on_leaves) - float(most), 6) > 0
    much = "" not in (season, wanted) and rounded(float(season) - float(wanted), 6) > 0
    return LOOK if over or much else OK
