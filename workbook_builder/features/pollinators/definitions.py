"""Bees: when they forage, when residues are gone, and what labels make of it; plain functions."""

from __future__ import annotations

import math

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.rounding import rounded

Known = float | str
#: What a label says of bees, the mildest first.
CLASSES = ("none", "not while bees forage", "not in bloom")
NONE, FORAGING, BLOOM = range(3)
#: What nobody typed of a pesticide, and of an insecticide, of which it is asked in any case.
OF_PESTICIDE, OF_INSECTICIDE = 1, 2
#: Stands for a label that knows no temperature at which bees stay away.
NEVER_COLD = -1000.0


def foraging(start: Known, end_known: int, end: Known, sunrise: Known, sunset: Known, air: Known,
             cold: Known) -> Known:
    """Return 1 where bees forage while a pass is sprayed, 0 where they do not; blank where it is not known.

    Parameters
    ----------
    start, end : float or ""
        Moments of the pass [d]; `start` is blank where no start time is known.
    end_known : int
        1 where the end can be worked out.
    sunrise, sunset : float or ""
        Of the day of the pass [d].
    air, cold : float or ""
        Temperature at the pass, and the one below which all its labels take bees to stay away [temperature].

    References
    ----------
    Catchot, Gore & Cook, Mississippi State Univ. Extension, 1 May 2014: after sunset, or below 55 deg F.
    """
    if "" not in (air, cold) and rounded(float(air) - float(cold), 6) < 0:
        return 0
    if "" in (start, sunrise, sunset):
        return ""
    begin, rise = float(start), float(sunrise)
    if begin >= float(sunset):
        rise += 1
    elif begin >= rise:
        return 1
    if not end_known:
        return ""
    return int(float(end) > rise)


def next_flight(end: Known, sunrise: Known) -> Known:
    """Return when bees fly again after a pass [d]: the next sunrise, taken to be as early as that of its day.
    """
    if "" in (end, sunrise):
        return ""
    return float(sunrise) + max(0, math.ceil(rounded(float(end) - float(sunrise), 6)))


def residue_left(hours: Known, blooming: float, clear: Known, flight: Known) -> Known:
    """Return 1 where something blooms and residues still hurt bees when they fly again, 0 where not.

    Blank where it is not known.

    Parameters
    ----------
    hours : float or ""
        Hours until residues kill no more than 25 % of bees [h].
    blooming : int
        Rows of bloom that hold between the next flight and the end of those hours.
    clear, flight : float or ""
        When the residues are gone, and when bees fly again [d].

    References
    ----------
    EPA, RT25 data page (OCSPP 850.3030): residual time until mortality is 25 % or less.
    """
    if hours == "" or not blooming:
        return 0
    return "" if "" in (clear, flight) else int(rounded(float(clear) - float(flight), 6) > 0)


def bee_status(rank: Known, untold: int, told: int, field: float, near: float, forage: Known,
               residue: Known) -> str:
    """Judge a pass by what its labels say of bees; blank where nothing asks.

    Parameters
    ----------
    rank : int or ""
        Strictest of `CLASSES` of its products.
    untold : int
        `OF_PESTICIDE` or `OF_INSECTICIDE` where the class of one of its products is not entered.
    told : int
        1 where the bloom of the field and of its neighbours is entered.
    field, near : int
        What blooms on the field and beside it on the days of the pass.
    forage, residue : int or ""
        As :func:`foraging` and :func:`residue_left` give them.

    Notes
    -----
    Beside the field it is drift that has to be kept off; residue hours are no rule of the label.
    """
    forbids = rank == BLOOM or (rank == FORAGING and forage == 1)
    if field and forbids:
        return NOT_ALLOWED
    asked = untold == OF_INSECTICIDE or (untold == OF_PESTICIDE and field + near > 0)
    hidden = (rank in (FORAGING, BLOOM)
              and (not told or (rank == FORAGING and field + near > 0 and forage == "")))
    if asked or hidden or residue == "":
        return NOT_ENTERED
    return LOOK if (near and forbids) or residue == 1 else "" if rank == "" else OK
