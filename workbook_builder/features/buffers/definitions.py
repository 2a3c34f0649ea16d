"""Exclusion zones and downwind buffers: plain functions."""

from __future__ import annotations

from workbook_builder.core.columns import NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.rounding import rounded

Known = float | str
BOOM, AIR_BLAST, AIRCRAFT, FOG = "boom", "air blast", "aircraft", "fog"
#: What leaves by air or as a cloud, whatever its droplets.
FAR_REACHING = (AIR_BLAST, AIRCRAFT, FOG)
#: Rank of Medium among the droplet categories of ANSI/ASABE S572, finest first.
MEDIUM = 4
WINDS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


def exclusion_zone(discharge: str, droplets: Known, height: Known, far: float, near: float,
                   low: float) -> float:
    """Return how far from the sprayer nobody may be while it works [length].

    Parameters
    ----------
    discharge : str
        How it sprays; blank counts as a boom.
    droplets : int or ""
        Rank of the droplet category, finest first; blank where it is not known.
    height : float or ""
        Height of the nozzles above the soil [length, as `low`].
    far, near : float
        The two distances of the rule [length].
    low : float
        Height up to which medium and coarser droplets need no zone [length].

    Notes
    -----
    What is not known counts as what needs the wider zone, so that no figure left out narrows it.

    References
    ----------
    40 CFR 170.405(a)(1), text in force since 3 December 2024.
    """
    if discharge in FAR_REACHING or droplets == "" or float(droplets) < MEDIUM:
        return far
    return near if height == "" or rounded(float(height) - low, 6) > 0 else 0.0


def buffer_status(needed: float, kept: Known) -> str:
    """Judge what is left unsprayed downwind against the buffer of the label [length].

    Blank where the label wants none.
    """
    if not needed:
        return ""
    if kept == "":
        return NOT_ENTERED
    return NOT_ALLOWED if rounded(float(kept) - needed, 6) < 0 else OK


def downwind(wind: str) -> str:
    """Return the side of the field that lies downwind of a wind from one of eight points."""
    return WINDS[(WINDS.index(wind) + 4) % 8] if wind in WINDS else ""
