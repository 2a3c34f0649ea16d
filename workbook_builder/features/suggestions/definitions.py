"""Whether the days allow a product on a pass: plain functions.

Days are day numbers; a blank one is not known, which allows nothing unless nothing depends on it.
"""

from __future__ import annotations

from typing import Any


def harvest_allows(harvest: Any, after_harvest: Any, preharvest_days: Any, last_day: Any) -> bool:
    """Return whether a product may go on before the harvest.

    Parameters
    ----------
    harvest : float or ""
        Blank where none is near.
    after_harvest : int or ""
        1 when the pass comes after it.
    preharvest_days : float or ""
        Of the label row [d].
    last_day : float or ""
        Last day of the pass.
    """
    if harvest == "" or after_harvest == 1:
        return True
    return "" not in (preharvest_days, last_day) and last_day + preharvest_days <= harvest


def planting_allows(planting: Any, last_day: Any, earliest: Any) -> bool:
    """Return whether the crop of the pass may be planted when it is: a planting before the pass, or none,
    asks nothing of it.
    """
    if planting == "" or planting < (last_day or 0):
        return True
    return bool(earliest != "" and earliest <= planting)


def next_planting_allows(next_crop: str, planting: Any, earliest: Any) -> bool:
    """Return whether the next crop may be planted when it is."""
    return next_crop == "" or ("" not in (planting, earliest) and earliest <= planting)


def crop_stands(planting: Any, last_day: Any, harvest: Any) -> bool:
    """Return whether the crop is in the ground when the pass is done."""
    return "" not in (planting, last_day) and planting <= last_day and (harvest == "" or last_day <= harvest)


def season_allows(rate: Any, season_amount: Any) -> bool:
    """Return whether the most per season of a label row leaves room for one spray at its highest rate."""
    return bool(season_amount == "" or season_amount >= (rate or 0))
