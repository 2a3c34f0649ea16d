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
    known = [points for points in (label, bulletin) if points != ""]
    return max(known) if known else ""


def points_of_measures(points: Iterable[Any]) -> float:
    """Return the sum of the points of measures; one without points adds nothing yet.

    References
    ----------
    TPSA endangered species page: points add.
    """
    return float(added(each for each in points if each != ""))


def spot_is_small(acres: float, below: float) -> bool:
    """Return whether a spot is too small to need points [acres].

    References
    ----------
    EPA Mitigation Menu; TPSA: below 1,000 sq ft (another reading: below 1/10 acre).
    """
    return acres < below


def still_needed(asked: float, have: float, exempt: bool) -> float:
    """Return the points that are still needed, none where the field or method is exempt."""
    return 0 if exempt else max(0, asked - have)


def verdict(still: Any, exempt: bool, field_known: bool, figures_missing: bool, tally_open: bool) -> str:
    """Judge a pass that asks for points.

    Parameters
    ----------
    still : int or ""
        Points still needed by the figures that are known.
    exempt, field_known : bool
    figures_missing : bool
        A label or bulletin figure is not entered.
    tally_open : bool
        The field may have more points: its county class or a measure's points are not entered.
    """
    if exempt:
        return OK
    short = still != "" and still > 0
    if field_known and short and not tally_open:
        return NOT_ALLOWED
    return NOT_ENTERED if not field_known or figures_missing or short else OK
