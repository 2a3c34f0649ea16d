"""Effective herbicide groups on a weed, residual cover and reliance on one group: plain functions."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK

#: Resistant groups that a weed row can name.
MOST_RESISTANT = 4


def resistant_groups(text: str) -> list[int] | None:
    """Return the groups named in a text such as ``2;9``, each once; None when it cannot be read.

    Notes
    -----
    Commas are read as semicolons and spaces passed over.  Up to four numbers; anything
    else is not guessed at, since an unread resistance would count as none.
    """
    clean = text.replace(" ", "").replace(",", ";")
    parts = clean.split(";") if clean else []
    if not re.fullmatch(r"[0-9;]*", clean) or len(parts) > MOST_RESISTANT or len(clean) > 20:
        return None
    return list(dict.fromkeys(int(part) for part in parts if part))


def effective_groups(rated: Iterable[int], resistant: Iterable[int]) -> list[int]:
    """Return the different groups that work on a weed and are not resisted, in order.

    Parameters
    ----------
    rated : iterable of int
        Groups of the ingredients rated effective on the weed; 0 (unknown) proves nothing.
    resistant : iterable of int
        Groups the weed is resistant to.

    References
    ----------
    Liu et al. 2020, Weed Science 68(2): at least two effective sites of action in each
    pass.  Norsworthy et al. 2012, practice 6.
    """
    resisted = set(resistant)
    return [group for group in dict.fromkeys(rated) if group and group not in resisted]


def still_working(rated: str, *resistant: Any) -> str:
    """Return the groups that still work on a weed, each between semicolons.

    Parameters
    ----------
    rated : str
        Groups of the mix rated effective on it, each between semicolons.
    *resistant : int or ""
        Groups the weed is resistant to.
    """
    groups = [int(part) for part in rated.split(";") if part]
    return rated and ";" + "".join(f"{group};" for group in effective_groups(groups, resistant))


def enough_status(rated_at_all: int, have: Any, wanted: float, unrated: Any, on_weeds: Any) -> str:
    """Judge how many groups of a pass work on a weed.

    Parameters
    ----------
    rated_at_all : int
        Ratings entered on the farm: without any, nothing is judged.
    have, wanted : int
        Groups that work, blank where that is not known, and those the farm wants.
    unrated : int
        Ingredients of the mix that have no rating on the weed.
    on_weeds : int or ""
        0 for a mix against insects or diseases, of which nothing is asked here.
    """
    if not rated_at_all or on_weeds == 0:
        return ""
    if have == "":
        return NOT_ENTERED
    return OK if have >= wanted else NOT_ENTERED if unrated > 0 else LOOK


def longest_residual(mix: int, weed: int, keys: Sequence[Any], groups: Sequence[Any],
                     residuals: Sequence[Any], *resistant: Any) -> float:
    """Return the longest residual [d] of the ingredients of a mix that work on a weed.

    Parameters
    ----------
    mix, weed : int
        Numbers of mix and weed.
    keys, groups, residuals : sequence
        Mix and weed, group and residual [d] of every effective ingredient.
    *resistant : int or ""
        Groups the weed is resistant to.
    """
    own = (days for key, group, days in zip(keys, groups, residuals, strict=True) if key == mix * 1000 + weed
           and group not in resistant)
    return max(own, default=0)


def uncovered_spans(start: float, end: float,
                    covers: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the spans of a window that no residual covers.

    Parameters
    ----------
    start, end : float
        The window [day number].
    covers : iterable of (from, to)
        Residual spans [day number], in any order.
    """
    spans, reached = [], start
    for first, last in sorted(covers):
        if min(first, end) > reached:
            spans.append((reached, min(first, end)))
        reached = max(reached, last)
    if end > reached:
        spans.append((reached, end))
    return spans


def uncovered_days(start: float, end: float, weed: int, weeds: Sequence[Any], covered_from: Sequence[Any],
                   covered_to: Sequence[Any]) -> float:
    """Return the days of a weed's emergence that no residual covers.

    Parameters
    ----------
    start, end : float
        When it emerges [day number].
    weed, weeds : int
        The weed's row, and that of every pass on a weed.
    covered_from, covered_to : sequence of float or ""
        Residual of each pass [day number].
    """
    covers = [(first, last) for row, first, last in zip(weeds, covered_from, covered_to, strict=True)
              if row == weed and first != ""]
    return added(last - first for first, last in uncovered_spans(start, end, covers))


def cover_status(weeks: Any, enough: int, limit: float) -> str:
    """Judge a weed's season: a pass with enough effective groups,
    and no more weeks without residual control than the setting allows.
    """
    if weeks == "":
        return NOT_ENTERED
    return LOOK if enough == 0 or weeks > limit else OK


def top_share(groups: Sequence[Any], uses: Sequence[Any]) -> float:
    """Return the share of the most used group in all uses; unknown groups (0) left out."""
    known = [count for group, count in zip(groups, uses, strict=True) if group and count != ""]
    return float(max(known) / added(known))
