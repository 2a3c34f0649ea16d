"""Which function plans which agronomy table, in the order they build on each other."""

from __future__ import annotations


AGRONOMY_PLANNERS = (
)
