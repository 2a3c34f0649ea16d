"""Farms made by hand around one label question each, and one farm with all of them for the engines."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

from small_farm import small_farm

from workbook_builder.build import with_defaults
from workbook_builder.core.inputs import Inputs
from workbook_builder.planning import Plan, make_plan

DAY = dt.date(2026, 5, 1)
Rows = list[dict[str, Any]]


def product(name: str, **more: Any) -> dict[str, Any]:
    """Return a herbicide sold by the gallon at 10 a gallon."""
    return {"product": name, "kind": "herbicide", "formulation": "SL", "package_size": 1.0,
            "package_unit": "gal", "package_price": 10.0, **more}


def active(name: str, ingredient: str, content: float = 4.0, unit: str = "lb ai/gal",
           group: int | None = 9) -> dict[str, Any]:
    """Return one ingredient of a product."""
    return {"product": name, "active_ingredient": ingredient, "mode_group": group, "content": content,
            "content_unit": unit}


def mix(name: str, *lines: tuple[str, float], unit: str = "pt/ac") -> Rows:
    """Return the rows of a mix of products at rates."""
    return [{"mix": name, "product": product_, "rate": rate, "rate_unit": unit} for product_, rate in lines]


def pass_(name: str, of: str, date: dt.date = DAY, **more: Any) -> dict[str, Any]:
    """Return a broadcast pass on the field North."""
    return {"pass": name, "field": "North", "mix": of, "method": "broadcast", "date": date, "carrier": 15.0,
            "sprayer": "Boom", **more}


def label(name: str, crop: str | None = None, **more: Any) -> dict[str, Any]:
    """Return a label row of a product with its rates in pints."""
    return {"product": name, "crop": crop, "rate_unit": "pt/ac", **more}


def farm(farm_cells: dict[str, Any] | None = None, field: dict[str, Any] | None = None,
         **tables: Rows) -> Inputs:
    """Return the smallest farm with these tables in place of its own."""
    base = small_farm(farm=farm_cells or {}, fields=field or {})
    return with_defaults(replace(base, tables={**base.tables, **tables, "load_choice": [],
                                               "spot_load_choice": [], "record_choice": []}))


def plan(inputs: Inputs) -> Plan:
    """Plan a farm as it is typed."""
    return make_plan(inputs)


def rows(planned: Plan, table: str, **wanted: Any) -> Rows:
    """Return the rows of a table that hold these cells."""
    return [row for row in planned.tables[table] if all(row[key] == value for key, value in wanted.items())]


def checks(planned: Plan, check: str, field: str = "North") -> dict[str, tuple[str, str]]:
    """Return the status and finding of one check by pass."""
    return {row["pass"]: (row["status"], row["finding"])
            for row in rows(planned, "all_checks", check=check, field=field)}


def trap_farm() -> Inputs:
    """Return one farm with a case of every label question, for the engines.

    Notes
    -----
    Two names of one registration; a salt beside its acid and two resolved forms;
    a spot tank beside its partner's;
    a label that says no, one that names the crop's synonym, its wider crop, nearly its name,
    and none at all; an
    insecticide; a crop planted after the pass, one after an earlier season's spray,
    and a planting without a crop.
    """
    goods = [
        product("Product", registration_no="00000-1", rei_hours=24),
        product("Store brand", registration_no="EPA Reg. No. 00000-1-77", package_unit="lb", density=9.0),
        product("Salt"), product("Acid"), product("Resolved"), product("Racemic"), product("Typo"),
        product("Bug", kind="insecticide", formulation="EC"),
        product("Helper", kind="adjuvant", registration_no="none"),
        product("Hidden", kind="other", rei_hours=12),
    ]
    actives = [
        active("Product", "dicamba", 4.0, "lb ae/gal", 4),
        active("Store brand", "dicamba", 40.0, "% ae w/w", 4),
        active("Salt", "2,4-D dimethylamine salt", 4.0, "lb ai/gal", 4),
        active("Acid", "2,4-D dimethylamine", 3.8, "lb ae/gal", 4),
        active("Resolved", "S-metolachlor", 7.0, group=15), active("Racemic", "metolachlor", 6.0, group=15),
        active("Typo", "glyphosphate", 4.0, "lb ai/gal"), active("Typo", "glyphosate", 3.0, "g/L"),
        active("Bug", "invented", 2.0, group=4),
    ]
    limits = [
        {"active_ingredient": "2,4-D dimethylamine", "crop": "any", "max_pass": 2.0, "max_season": 2.5,
         "unit": "lb ai/ac"},
        {"active_ingredient": "dicamba", "crop": "soybeans", "max_pass": 0.5, "max_season": 1.0,
         "unit": "lb ae/ac"},
        {"active_ingredient": "dicamba", "crop": "any", "max_pass": 1.0, "unit": "lb/ac"},
        {"active_ingredient": "invented", "crop": "small grains", "max_pass": 9.0, "unit": "lb ai/ac"},
        {"active_ingredient": "metolachlor", "crop": "soy beans", "max_pass": 1.0, "max_season": 1.5,
         "unit": "lb ai/ac"},
        {"active_ingredient": "glyphosate", "crop": "soybeen", "max_pass": 1.0, "unit": "lb ae/ac"},
    ]
    labels = [
        label("Product", "Soybeans", max_rate=1.0, max_rate_season=2.0, max_passes=2,
              retreat_days=14, phi_days=30),
        label("Store brand", "soya bean", max_rate=0.8, max_rate_season=2.0, max_passes=3, grazing_days=10),
        label("Product", "any", max_rate=4.0),
        label("Salt", "any", allowed="no"), label("Hidden", "corn, soybean and dry beans", max_rate=0.5),
        label("Acid", "wheat", max_rate=2.0, rate_unit="pt/100 gal"),
        label("Resolved", "soybeen", max_rate=1.0),
        label("Racemic", "soybeen", max_rate=2.0), label("Racemic", None, max_rate=1.5, retreat_days=7),
        label("Bug", "soybean, dicamba-tolerant", max_rate=1.0),
    ]
    backs = [
        {"product": "Product", "next_crop": "soybean", "interval": 28, "interval_unit": "days"},
        {"product": "Store brand", "next_crop": "soybeans", "interval": 1, "interval_unit": "months"},
        {"product": "Product", "next_crop": "any", "interval": 4, "interval_unit": "months"},
        {"product": "Resolved", "next_crop": "any", "interval": 12, "interval_unit": "months"},
        {"product": "Racemic", "next_crop": "spring wheat", "interval": 4, "interval_unit": "months"},
    ]
    fields: Rows = [
        {"field": "North", "area": 80.0, "crop": "soybean", "planting_date": dt.date(2026, 5, 16),
         "harvest_date": dt.date(2026, 9, 20), "next_crop": "winter wheat",
         "next_planting_date": dt.date(2026, 10, 1)},
        {"field": "South", "area": 40.0, "crop": "Winter wheat", "planting_date": dt.date(2025, 10, 1),
         "next_planting_date": dt.date(2027, 4, 20)},
        {"field": "East", "area": 40.0, "crop": "quinoa", "next_crop": "summer fallow",
         "next_planting_date": dt.date(2026, 9, 1)},
    ]
    spot = {"method": "spot", "sprayed_share": 0.3, "partner_pass": "Burndown"}
    passes = [
        pass_("Burndown", "Both names"), pass_("Spots", "One name", **spot),
        pass_("Later", "All others", dt.date(2026, 6, 1)),
        pass_("Stubble", "All others", dt.date(2026, 9, 28)),
        pass_("Burndown", "All others", field="South"),
        pass_("Later", "Both names", dt.date(2026, 5, 11), field="South"),
        pass_("Burndown", "All others", field="East"),
    ]
    mixes = (
        mix("Both names", ("Product", 0.5), ("Store brand", 0.4), ("Helper", 1.0))
        + mix("One name", ("Product", 0.75), ("Hidden", 1.0))
        + mix("All others", ("Salt", 2.0), ("Acid", 1.9), ("Resolved", 1.0), ("Racemic", 1.0),
              ("Typo", 1.0), ("Bug", 1.0))
    )
    earlier: Rows = [
        {"field": "North", "product": "Resolved", "date": dt.date(2025, 9, 30)},
        {"field": "South", "product": "Gone", "date": dt.date(2025, 6, 1), "interval": 24,
         "interval_unit": "months"},
        {"field": "East", "product": "Product", "date": dt.date(2025, 6, 1)},
    ]
    return farm(
        fields=fields, products=goods, ingredients=actives, ingredient_limits=limits, label_limits=labels,
        plant_back=backs, passes=passes, mixes=mixes, earlier_sprays=earlier,
        sprayers=[{"sprayer": "Boom", "main_tank": 1000.0, "spot_tank": 300.0}],
    )
