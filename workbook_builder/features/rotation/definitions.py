"""Rotation of herbicide groups: plain functions."""

from __future__ import annotations

from workbook_builder.core.columns import LOOK, OK


def seasons_in_a_row(planned: float, *back: float) -> int:
    """Return how many seasons running a group is used, this one first and without a gap.

    Parameters
    ----------
    planned : float
        Uses planned this season.
    *back : float
        Uses one season back, two seasons back and so on.
    """
    count = 0
    for uses in (planned, *back):
        if uses <= 0:
            break
        count += 1
    return count


def rotation_status(group: float, planned: float, seasons: float, most_uses: float, most_seasons: float) -> str:
    """Judge the uses of a group on a field; 0 stands for no group of today.

    Parameters
    ----------
    group : int
    planned, seasons : int
        Uses planned this season, and seasons running with it.
    most_uses, most_seasons : int
        Settings: more uses, or as many seasons, are looked at.

    References
    ----------
    CropLife Australia, Groups 5, 6 and 12: flag consecutive seasons; Norsworthy et al. 2012, practice 6.
    """
    flagged = group != 0 and planned > 0 and (planned > most_uses or seasons >= most_seasons)
    return LOOK if flagged else OK
