"""The order in which spots are walked to."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

Place = tuple[float, float]


def walking_order(start: Place, places: Sequence[Place]) -> tuple[list[int], float]:
    """Return the order in which to walk to places and back, and how long the way is [m].

    Parameters
    ----------
    start : (x, y)
        The gate [m].
    places : sequence of (x, y)
        [m]

    Notes
    -----
    Nearest neighbour first, then parts of the way are turned round as long as that shortens it (2-opt;
    G. A. Croes, 1958, A method for solving traveling-salesman problems, Operations Research 6:791-812).
    """
    if not places:
        return [], 0.0
    points = np.array([start, *places], float)
    far = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    order, left = [0], set(range(1, len(points)))
    while left:
        order.append(min(left, key=lambda each: (far[order[-1], each], each)))
        left.remove(order[-1])
    order.append(0)
    shorter = True
    while shorter:
        shorter = False
        for first in range(1, len(order) - 2):
            for last in range(first + 1, len(order) - 1):
                a, b, c, d = order[first - 1], order[first], order[last], order[last + 1]
                if far[a, c] + far[b, d] < far[a, b] + far[c, d] - 1e-9:
                    order[first : last + 1] = order[first : last + 1][::-1]
                    shorter = True
    length = sum(float(far[one, other]) for one, other in pairwise(order))
    return [each - 1 for each in order[1:-1]], length
