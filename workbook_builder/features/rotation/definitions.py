"""Rotation of resistance groups: plain functions."""

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


def times_running(known: list[str], here: str, *before: str) -> int:
    """Return how many times running one of the groups of a season or pass comes.

    Parameters
    ----------
    known : list of str
        Groups of the farm; another one is not counted.
    here : str
        Groups of the season or pass, as ``9, 14``.
    *before : str
        Those of the seasons and passes before it, nearest first.
    """
    left, count = {each for each in here.split(", ") if each in known}, 1
    for groups in before:
        left &= set(groups.split(", "))
        if not left:
            break
        count += 1
    return count


#: Groups are numbered so that their lists lie apart: herbicides below, insecticides from here to the next,
#: fungicides above.
INSECTICIDES, FUNGICIDES = 100, 200


def rotation_status(
    group: float, planned: float, seasons: float, in_a_row: float, most_uses: float, most_seasons: float,
    listed_uses: float | str, listed_in_a_row: float | str
) -> str:
    """Judge the uses of a group on a field; 0 stands for no group of today.

    Parameters
    ----------
    group : int
    planned, seasons, in_a_row : int
        Uses planned this season, seasons running with it, and fungicide applications in a row without another
        group.
    most_uses, most_seasons : int
        Settings for herbicides: more uses, or as many seasons, are looked at.
    listed_uses, listed_in_a_row : int or ""
        What the list of the others allows in a season, and in a row; blank where it does not ask.

    Notes
    -----
    Insecticides count by main group, whatever the sub-group; multi-site fungicides (M) are not at risk.

    References
    ----------
    CropLife Australia, Groups 5, 6 and 12: flag consecutive seasons; Norsworthy et al. 2012, practice 6.
    UC IPM Pest Management Guidelines, Artichoke (a group of insecticides not more than twice a season) and
    Tomato (fungicide
    groups 1, 4, 9, 11 and 17 once, others twice before another group).
    """
    if group == 0 or planned <= 0:
        return OK
    if group < INSECTICIDES:
        return LOOK if planned > most_uses or seasons >= most_seasons else OK
    if group < FUNGICIDES:
        return LOOK if listed_uses != "" and planned > float(listed_uses) else OK
    return LOOK if listed_in_a_row != "" and in_a_row > float(listed_in_a_row) else OK
