"""Mixes made by hand, one product a row, on the smallest farm; and what all engines make of such a farm."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from small_farm import small_farm

from workbook_builder.core.inputs import Inputs
from workbook_builder.features.products.inputs import PESTICIDES

Product = tuple[dict[str, Any], dict[str, Any]]


def product(name: str, rate: float, rate_unit: str, label_order: int | None = None, **cells: Any) -> Product:
    """Return the rows of one product: its own, and its place in a mix."""
    own = {"product": name, "kind": "fertilizer", "formulation": "SL", "package_size": 1.0,
           "package_unit": "gal", "package_price": 10.0, **cells}
    return own, {"product": name, "rate": rate, "rate_unit": rate_unit, "label_order": label_order}


def mixed(products: Iterable[Product], system: str = "us", **changes: dict[str, Any]) -> Inputs:
    """Return the smallest farm with these products, in this order, in its mix."""
    return several({"Mix": products}, system, **changes)


def several(mixes: Mapping[str, Iterable[Product]], system: str = "us", **changes: dict[str, Any]) -> Inputs:
    """Return the smallest farm with these mixes, a pass for each of them."""
    farm, held = small_farm(system, **changes), {name: list(products) for name, products in mixes.items()}
    own = {row["product"]: row for products in held.values() for row, _ in products}
    tables = {
        "products": list(own.values()),
        "ingredients": [{"product": row["product"], "active_ingredient": "glyphosate", "mode_group": 9,
                         "content": 10.0, "content_unit": "% w/w"}
                        for row in own.values() if row["kind"] in PESTICIDES],
        "mixes": [{"mix": name, **place} for name, products in held.items() for _, place in products],
        "passes": [{**farm.rows("passes")[0], "pass": f"Pass {n}" if n > 1 else "First", "mix": name}
                   for n, name in enumerate(held, 1)],
    }
    return replace(farm, tables={**farm.tables, **tables})
