"""The smallest farm there can be: one field, one product, one mix, one pass."""

from __future__ import annotations

import datetime as dt
from typing import Any

from workbook_builder.build import with_defaults
from workbook_builder.core.draft import Cells
from workbook_builder.core.inputs import Inputs
from workbook_builder.planning import Plan, make_plan


def small_farm(system: str = "us", **changes: dict[str, Any]) -> Inputs:
    """Return a farm of one row per table; each keyword changes cells of the table it names."""
    us = system == "us"
    rows: dict[str, dict[str, Any]] = {
        "farm": {"farm": "Invented test farm", "season": 2026, "units": system, "look_back_seasons": 3,
                 "wanted_modes": 2},
        "fields": {"field": "North", "area": 80.0, "crop": "grain sorghum"},
        "sprayers": {"sprayer": "Boom", "main_tank": 1000.0},
        "products": {"product": "Product", "kind": "herbicide", "formulation": "SL", "package_size": 1.0,
                     "package_unit": "gal" if us else "L", "package_price": 10.0},
        "ingredients": {"product": "Product", "active_ingredient": "glyphosate", "mode_group": 9,
                        "content": 4.0,
                        "content_unit": "lb ai/gal" if us else "g/L"},
        "mixes": {"mix": "Mix", "product": "Product", "rate": 32.0, "rate_unit": "fl oz/ac" if us
                  else "mL/ha"},
        "passes": {"pass": "First", "field": "North", "mix": "Mix", "method": "broadcast",
                   "date": dt.date(2026, 5, 1),
                   "carrier": 15.0, "sprayer": "Boom"},
    }
    for table, cells in changes.items():
        rows[table] = {**rows.get(table, {}), **cells}
    return with_defaults(Inputs({table: [row] for table, row in rows.items()}))


def small_plan(system: str = "us", **changes: dict[str, Any]) -> Plan:
    """Plan the smallest farm with some cells changed."""
    return make_plan(small_farm(system, **changes))


def first(plan: Plan, table: str) -> Cells:
    """Return the first row of a planned table."""
    return plan.tables[table][0]
