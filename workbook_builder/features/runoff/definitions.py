"""Runoff points of the species protection scheme: what is asked, what counts, what is still needed.

Points of single measures are not published where they could be read; people type them.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import NOT_ALLOWED, NOT_ENTERED, OK


def points_asked(label: Any, bulletin: Any) -> Any:
    """Return the points a product asks for; blank when neither is known.

    Parameters
    ----------
    label, bulletin : int or ""
        Points on the label and in the current bulletin [points].

    References
    ----------
    TPSA endangered species page: the higher of label and bulletin.
    """
    return max((points for points in (label, bulletin) if points != ""), default="")


def points_of_measures(points: Iterable[Any]) -> float:
    """Return the sum of points; a measure without points adds nothing yet.

    References
    ----------
    TPSA endangered species page: points add.
    """
    return float(added(each for each in points if each != ""))


def spot_is_small(acres: Any, below: float) -> int:
    """Return 1 where a spot is too small to need points [acres].

    References
    ----------
    EPA Mitigation Menu; TPSA: below 1,000 sq ft (another reading: below 1/10 acre).
    """
    return int(acres != "" and acres < below)


def still_needed(asked: float, have: float, exemption: str) -> float:
    """Return the points that are still needed, none where the field or method is exempt."""
    return 0 if exemption else max(0, asked - have)


def verdict(asks: int, still: Any, exemption: str, have: Any, missing: str, no_class: int,
            unpointed: int) -> str:
    """Judge a pass.

    Parameters
    ----------
    asks : int
        1 where a product of it asks for points.
    still, have : int or ""
        Points still needed, and had, by the figures that are known.
    exemption, missing : str
        Why none are needed; products whose figure of label or bulletin is not entered.
    no_class, unpointed : int
        The field may have more points: its county class or the points of measures are not entered.
    """
    if not asks:
        return ""
    if exemption:
        return OK
    short = still != "" and still > 0
    if have != "" and short and not no_class and not unpointed:
        return NOT_ALLOWED
    return NOT_ENTERED if have == "" or missing or short else OK
