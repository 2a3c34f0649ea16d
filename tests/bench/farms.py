"""Invented farms of any size, for benchmarks."""

from __future__ import annotations

import datetime as dt
from typing import Any

from workbook_builder.core.inputs import Inputs

Row = dict[str, Any]


def big_farm(fields: int, passes: int = 5, products: int = 4, units: str = "us") -> Inputs:
    """Return an invented farm of `fields` fields, each sprayed `passes` times with mixes of `products`
    products.
    """
    names = [f"Field {n + 1}" for n in range(fields)]
    crops = ("sunflower", "grain sorghum", "winter wheat", "fallow")
    day = dt.date(2026, 4, 1)
    area_unit = "ac" if units == "us" else "ha"
    return Inputs(
        {
            "farm": [{"farm": "Invented benchmark farm", "season": 2026, "units": units,
                      "look_back_seasons": 3, "wanted_modes": 2}],
            "fields": [
                {
                    "field": name, "area": 40.0 + n % 160, "crop": crops[n % 4],
                    "harvest_date": dt.date(2026, 9, 20),
                    "next_crop": crops[(n + 1) % 4], "next_planting_date": dt.date(2027, 5, 1),
                }
                for n, name in enumerate(names)
            ],
            "sprayers": [
                {"sprayer": "Wide boom", "main_tank": 900.0, "spot_tank": 300.0, "unusable_volume": 9.0,
                 "boom_width": 100.0,
                 "speed": 12.0, "field_efficiency": 0.62, "cost_per_hour": 172.0}
            ],
            "products": [_product(n) for n in range(2 * products)],
            "ingredients": [_ingredient(n) for n in range(2 * products) if n % products < products - 1],
            "label_limits": [_label(n, area_unit) for n in range(2 * products)],
            "ingredient_limits": [
                {"active_ingredient": f"active {n}", "crop": None, "max_pass": 5.0, "max_season": 9.0,
                 "unit": f"lb ai/{area_unit}" if units == "us" else "kg ai/ha"}
                for n in range(2 * products)
            ],
            "plant_back": [{"product": f"Product {n}", "next_crop": None, "interval": 4,
                            "interval_unit": "months"} for n in range(2 * products)],
            "mixes": [
                {"mix": f"Mix {m}", "product": f"Product {m * products + n}", "rate": 10.0 + n,
                 "rate_unit": f"fl oz/{area_unit}"}
                for m in range(2) for n in range(products)
            ],
            "passes": [
                {
                    "pass": f"Pass {p + 1}", "field": name, "mix": f"Mix {p % 2}", "method": "spot"
                    if p % 3 == 2 else "broadcast",
                    "date": day + dt.timedelta(days=20 * p + n // 10), "start_time": dt.time(7, 30),
                    "carrier": 15.0,
                    "sprayed_share": 0.3 if p % 3 == 2 else None, "sprayer": "Wide boom",
                }
                for p in range(passes) for n, name in enumerate(names)
            ],
            "past_use": [
                {"field": name, "season": season, "mode_group": group, "uses": 1}
                for name in names for season in (2023, 2024, 2025) for group in (9, 14)
            ],
        }
    )


def _product(n: int) -> Row:
    return {
        "product": f"Product {n}", "kind": "herbicide", "formulation": ("SL", "EC", "SC", "WG")[n % 4],
        "package_size": 2.5,
        "package_unit": "gal", "package_price": 80.0 + n, "rei_hours": 12.0, "rainfast_hours": 4.0,
    }


def _ingredient(n: int) -> Row:
    return {
        "product": f"Product {n}", "active_ingredient": f"active {n}",
        "mode_group": (9, 4, 14, 15, 2, 27)[n % 6], "content": 4.0,
        "content_unit": "lb ai/gal",
    }


def _label(n: int, area_unit: str) -> Row:
    return {
        "product": f"Product {n}", "crop": None, "max_rate": 32.0, "max_rate_season": 96.0,
        "rate_unit": f"fl oz/{area_unit}",
        "max_passes": 3, "retreat_days": 14, "phi_days": 30, "grazing_days": 14,
    }
