"""Effective herbicide groups on a weed, residual cover and reliance on one group: plain functions."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from workbook_builder.core.adding import added

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


def uncovered_spans(start: float, end: float, covers: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the spans of a window that no residual covers.

    Parameters
    ----------
    start, end : float
        The window [day number].
    covers : sequence of (from, to)
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


def top_share(uses: Mapping[int, float]) -> tuple[int, float]:
    """Return the most used group and its share of all uses; unknown groups (0) left out."""
    known = {group: count for group, count in uses.items() if group}
    top = max(known, key=lambda group: known[group])
    return top, known[top] / added(known.values())
