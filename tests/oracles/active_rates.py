"""Rates of an active ingredient as product."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from small_farm import first, small_plan

from oracles.registry import computes

Given = Mapping[str, Any]


@computes(r"depth-DP(82|112|113|118|122|123)", "plan: mix_lines")
def product_rate(given: Given, expected: Given) -> Given:
    """Return the product that a rate of its active ingredient takes on an acre, in pints or pounds."""
    dry = "pounds" in expected
    line = first(small_plan(
        products={"formulation": given["formulation"], "package_unit": "lb" if dry else "gal"},
        ingredients={"content": given["content"], "content_unit": given["content_unit"],
                     "active_ingredient": "plain"},
        mixes={"rate": given["rate"], "rate_unit": given["rate_unit"]},
    ), "mix_lines")
    return {"pints": line["amount_per_area"] / 16, "pounds": line["amount_per_area"] / 16}
