"""Small farms made by hand, one field a trap: crops that follow one another, people, clocks and machines."""

from __future__ import annotations

import datetime as dt
from typing import Any

from small_farm import small_farm

from workbook_builder.build import with_defaults
from workbook_builder.core.draft import Cells, moment
from workbook_builder.core.inputs import Inputs, Row
from workbook_builder.planning import Plan


def spray(name: str, field: str, day: str, start: str = "", **more: Any) -> Row:
    """Return a pass of the usual mix on a day written as month-day, with a start time or without."""
    row = {"pass": name, "field": field, "mix": "Mix", "method": "broadcast", "date": date(day),
           "carrier": 15.0, "sprayer": "Boom", **more}
    return {**row, "start_time": dt.time.fromisoformat(start)} if start else row


def date(text: str) -> dt.date:
    """Return a date written as month-day of the season, or in full."""
    return dt.date.fromisoformat(text if len(text) > 5 else f"2026-{text}")


def field(name: str, **more: Any) -> Row:
    """Return a field of 80 acres in corn."""
    return {"field": name, "area": 80.0, "crop": "corn", **more}


def label(product: str, crop: str, **more: Any) -> Row:
    """Return a complete label row in pints per acre."""
    return {"product": product, "crop": crop, "max_rate": 4.0, "max_rate_season": 4.0, "rate_unit": "pt/ac",
            "max_passes": 3, "retreat_days": 7,
            "phi_days": 30, "grazing_days": 0, **more}


def farm_with(system: str = "us", farm: Row | None = None, **tables: list[Row]) -> Inputs:
    """Return the smallest farm with whole tables in the place of its own."""
    base = small_farm(system, farm=farm or {}).tables
    own = {key: base[key] for key in ("farm", "fields", "sprayers", "products", "ingredients",
                                      "mixes", "passes")}
    return with_defaults(Inputs({**own, **tables}))


def row_of(plan: Plan, table: str, name: str, field_name: str) -> Cells:
    """Return the row of a pass on a field."""
    return next(row for row in plan.tables[table] if (row["pass"], row["field"]) == (name, field_name))


def clock(value: Any) -> str:
    """Return a moment as the clock shows it, blank for blank."""
    return "" if value == "" else moment(value).strftime("%m-%d %H:%M")
