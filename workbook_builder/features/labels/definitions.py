"""What a limit of an active ingredient is compared on: a plain function."""

from __future__ import annotations

#: What an ingredient limit is compared on: acid equivalent, or active ingredient where the acid is not known.
ON_ACID, ON_ACTIVE = 1, 2


def limit_basis(counts: str, ratio: float | str, found: float | str) -> tuple[float | str, float | str]:
    """Return what a limit of an active ingredient is compared on,
    and how much of it one unit of the limit is.

    Parameters
    ----------
    counts : str
        What the unit of the limit counts: ``ae``, ``ai`` or blank.
    ratio : float or ""
        Acid equivalent of one unit of the ingredient named; 1 where acid and ingredient are one.
    found : float or ""
        Row of the ingredient in the list, blank where it is not there.

    Returns
    -------
    (basis, to_basis) : tuple
        1 acid equivalent, 2 active ingredient, blank where the unit does not say which.

    References
    ----------
    WSU small grains, OSU, ISU, Univ. of Illinois fact sheet "Active ingredient or acid equivalent?":
    compare and total on acid equivalent.
    """
    if counts == "ae" or ratio == 1:
        return ON_ACID, ratio if counts == "ai" else 1
    if counts == "ai":
        return (ON_ACTIVE, 1) if ratio == "" else (ON_ACID, ratio)
    return (ON_ACTIVE, 1) if found == "" else ("", "")
