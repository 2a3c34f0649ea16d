"""Farms made by hand around one label question each, and one farm with all of them for the engines."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

from small_farm import small_farm

from workbook_builder.inputs import Inputs
from workbook_builder.planning.plan import Plan, make_plan

DAY = dt.date(2026, 5, 1)
Rows = list[dict[str, Any]]


def product(name: str, **more: Any) -> dict[str, Any]:
    """Return a herbicide sold by the gallon at 10 a gallon."""
    return {"product": name, "kind": "herbicide", "formulation": "SL", "package_size": 1.0, "package_unit": "gal", "package_price": 10.0, **more}


def active(name: str, ingredient: str, content: float = 4.0, unit: str = "lb ai/gal", group: int | None = 9) -> dict[str, Any]:
    """Return one ingredient of a product."""
    return {"product": name, "active_ingredient": ingredient, "mode_group": group, "content": content, "content_unit": unit}


def mix(name: str, *lines: tuple[str, float], unit: str = "pt/ac") -> Rows:
    """Return the rows of a mix of products at rates."""
    return [{"mix": name, "product": product_, "rate": rate, "rate_unit": unit} for product_, rate in lines]


def pass_(name: str, of: str, date: dt.date = DAY, **more: Any) -> dict[str, Any]:
    """Return a broadcast pass on the field North."""
    return {"pass": name, "field": "North", "mix": of, "method": "broadcast", "date": date, "carrier": 15.0, "sprayer": "Boom", **more}


def label(name: str, crop: str | None = None, **more: Any) -> dict[str, Any]:
    """Return a label row of a product with its rates in pints."""
    return {"product": name, "crop": crop, "rate_unit": "pt/ac", **more}


def farm(farm_cells: dict[str, Any] | None = None, field: dict[str, Any] | None = None, **tables: Rows) -> Inputs:
    """Return the smallest farm with these tables in place of its own."""
    base = small_farm(farm=farm_cells or {}, fields=field or {})
    return replace(base, tables={**base.tables, **tables})


def plan(inputs: Inputs) -> Plan:
    """Plan a farm as it is typed."""
    return make_plan(inputs)


def rows(planned: Plan, table: str, **wanted: Any) -> Rows:
    """Return the rows of a table that hold these cells."""
    return [row for row in planned.tables[table] if all(row[key] == value for key, value in wanted.items())]


def checks(planned: Plan, check: str, field: str = "North") -> dict[str, tuple[str, str]]:
    """Return the status and finding of one check by pass."""
    return {row["pass"]: (row["status"], row["finding"]) for row in rows(planned, "all_checks", check=check, field=field)}
