"""Parts of the full cost of a pass: plain functions."""

from __future__ import annotations

from typing import Any


def by_the_hour(known: int, per_hour: Any, hours: Any, share: float = 1.0) -> Any:
    """Return a cost that goes by the hour [money], blank where the pass cannot be counted.

    Parameters
    ----------
    known : int
        1 when products, field and sprayer are known.
    per_hour : float or ""
        [money/h].
    hours : float or ""
        Hours paid for the pass [h].
    share : float
        Part of it that counts, such as the share of hired labor.
    """
    return (per_hour or 0) * (hours or 0) * share if known else ""


def charge(known: int, per_area: Any, area: float, per_hour: Any, hours: Any) -> Any:
    """Return what is charged for a pass [money]: by the area driven and, for a sprayer not counted in parts,
    by the hour.
    """
    return (per_area or 0) * area + by_the_hour(known, per_hour, hours) if known else ""
