"""Injury levels and what control gains."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from small_farm import first, small_plan

from oracles.registry import computes

Given = Mapping[str, Any]


@computes(r"others-OA(19|23|24|24-level|27|41|45|47)", "plan: thresholds")
def threshold(given: Given, expected: Given) -> Given:
    """Return the injury level of a pest, or the gain of controlling what was counted."""
    row = first(small_plan(pests={"field": "North", "pest": "pest", **given}), "thresholds")
    return {"level": row["injury_level"], "gain": row["gain"]}
