"""Nutrients that a fertilizer brings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from small_farm import first, small_plan

from oracles.registry import computes

Given = Mapping[str, Any]


@computes(r"others-OA(60|63|66|67|71|74|77)", "plan: nutrients")
def nutrient(given: Given, expected: Given) -> Given:
    """Return the nutrient on sprayed ground of a liquid at a rate in gallons."""
    plan = small_plan(
        products={"kind": "foliar fertilizer", "density": given["density"]},
        mixes={"rate": given["rate"], "rate_unit": "gal/ac"},
        analysis={"product": "Product", "nutrient": given["nutrient"], "percent": given["percent"]},
    )
    return {"per_sprayed_area": first(plan, "nutrients")["per_sprayed_area"]}
