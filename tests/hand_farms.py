"""A farm made by hand, with edits typed after it was built, that walks the paths random farms seldom find."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

from farms_strategy import EVERY_TAB, build_small
from live_book import LiveBook
from small_farm import small_farm

from workbook_builder.build import Built, with_defaults
from workbook_builder.core.inputs import Inputs

DAY, LATER = dt.date(2026, 3, 20), dt.date(2026, 10, 10)
SPARE = 3
#: Years of the machine typed into the built workbook: the first number its list of years has no room for.
TOO_MANY_YEARS = 16
#: Typed after the build: two products more, so that every slot of the mix is taken, and the years.
EDITS: tuple[tuple[str, int, str, Any], ...] = (
    *(("mixes", 3, key, value) for key, value in {"mix": "Knock", "product": "Third", "rate": 1.5,
                                                  "rate_unit": "L/ha"}.items()),
    *(("mixes", 4, key, value) for key, value in {"mix": "Knock", "product": "Fourth", "rate": 0.5,
                                                  "rate_unit": "L/ha"}.items()),
    ("machine", 0, "life_years", TOO_MANY_YEARS),
)


def _pass(name: str, mix: str, date: dt.date, **more: Any) -> dict[str, Any]:
    return {"pass": name, "field": "North", "mix": mix, "method": "broadcast", "date": date, "carrier": 90.0,
            "sprayer": "Boom", **more}


def _product(name: str, **more: Any) -> dict[str, Any]:
    return {"product": name, "kind": "herbicide", "formulation": "SL", "package_size": 10.0,
            "package_unit": "L", "package_price": 120.0, **more}


def hand_farm() -> Inputs:
    """Return a metric farm in South Australia with two fields.

    Notes
    -----
    A residual and a spot pass in one trip, the spot mix again in October, another residual and another
    sprayer between; weeds resistant to a group named twice; labels and limits by a near name of the crop
    beside those for any; a restricted product sprayed on a tenth of a hectare; this season's crop planted on
    the day of a residual and the next one in a field still closed, in which somebody looks too early, with
    plant-back intervals in days and in months; one fungicide three times in a row on the second field; a
    machine; daylight by clocks that change on first Sundays; a hot spot mapped a day later than planned.
    """
    sprayer = {"sprayer": "Boom", "main_tank": 3000.0, "spot_tank": 800.0, "boom_width": 24.0, "speed": 16.0,
               "field_efficiency": 0.6}
    names = ("Residue", "Knocker", "Third", "Fourth")
    rows: dict[str, list[dict[str, Any]]] = {
        "sprayers": [sprayer, {**sprayer, "sprayer": "Other", "spot_tank": None}],
        "products": [_product(name, **({"restricted_use": "yes", "rei_hours": 96.0} if name == "Knocker"
                                       else {})) for name in names]
        + [_product("Stopper", kind="fungicide", rei_hours=96.0)],
        "ingredients": [
            {"product": name, "active_ingredient": active, "mode_group": group, "content": 300.0,
             "content_unit": "g/L"}
            for name, active, group in zip(names, ("pendimethalin", "glyphosate", "2,4-D", "dicamba"),
                                           (3, 9, 4, 4), strict=True)
        ] + [{"product": "Stopper", "active_ingredient": "azoxystrobin", "mode_group": "11", "content": 250.0,
              "content_unit": "g/L"}],
        "mixes": [
            {"mix": "Residual", "product": "Residue", "rate": 2.0, "rate_unit": "L/ha"},
            {"mix": "Knock", "product": "Knocker", "rate": 1.0, "rate_unit": "L/ha"},
            {"mix": "Rust", "product": "Stopper", "rate": 0.5, "rate_unit": "L/ha"},
        ],
        "passes": [
            _pass("First", "Residual", DAY, start_time=dt.time(9)),
            _pass("Spots", "Knock", DAY, start_time=dt.time(9), method="spot", sprayed_share=0.2,
                  partner_pass="First"),
            _pass("Between", "Residual", DAY + dt.timedelta(60), sprayer="Other"),
            _pass("Again", "Knock", LATER, start_time=dt.time(9), method="spot", sprayed_share=0.1),
            *(_pass(f"Rust {number}", "Rust", DAY + dt.timedelta(80 + 9 * number), field="South",
                    sprayer="Other") for number in (1, 2, 3)),
        ],
        "weeds": [{"field": "North", "weed": "ryegrass", "resistant_groups": "2;9;1;2", "emerges_from": DAY,
                   "emerges_to": LATER},
                  {"field": "North", "weed": "fleabane", "resistant_groups": "9;4;9", "emerges_from": DAY,
                   "emerges_to": LATER}],
        "ratings": [{"product": "Residue", "weed": "ryegrass", "rating": 90, "residual_days": 30}],
        "label_limits": [
            {"product": name, "crop": crop, "max_rate": 2.0, "max_rate_season": 3.0, "rate_unit": "L/ha",
             "max_passes": 2, "retreat_days": 14}
            for name, crop in (("Residue", None), ("Knocker", "milo"))
        ] + [
            {"product": "Third", "min_rate": 0.5, "rate_unit": "% v/v"},
            {"product": "Fourth", "crop": "milo", "max_rate": 1.5, "rate_unit": "% v/v"},
            {"product": "Fourth", "max_rate": 1.0, "rate_unit": "% v/v"},
        ],
        "ingredient_limits": [
            {"active_ingredient": active, "crop": crop, "max_pass": 900.0, "unit": unit}
            for active, crop, unit in (
                ("glyphosate", "milo", "g ae/ha"), ("glyphosate", None, "g ai/ha"),
                ("2,4-D", "milo", "g ai/ha"), ("2,4-D", None, "g ae/ha"),
            )
        ],
        "spray_log": [{"pass": "Spots", "field": "North", "date": DAY, "area_treated": 0.1}],
        "fields": [{"field": "North", "area": 80.0, "crop": "grain sorghum", "planting_date": DAY,
                    "next_crop": "field pea", "next_planting_date": LATER + dt.timedelta(1)},
                   {"field": "South", "area": 30.0, "crop": "winter wheat"}],
        # Mapped a day after the day that the plan has.
        "map_passes": [{"pass": "Rust 3", "field": "South", "day": DAY + dt.timedelta(108),
                        "log_kind": "nozzles", "field_area_drawn": 30.0, "area_driven": 29.0,
                        "sprayed_logged": 15.0}],
        "hot_spots": [{"pass": "Rust 3", "field": "South", "log_kind": "nozzles", "rank": 1, "area": 2.0,
                       "sprayed_area": 1.8, "background_share": 0.1}],
        "look_log": [{"pass": "Spots", "field": "North", "date": DAY + dt.timedelta(1), "rating": 90}],
        "plant_back": [
            {"product": "Residue", "next_crop": "any", "interval": 20, "interval_unit": "days"},
            {"product": "Residue", "next_crop": "field pea", "interval": 100, "interval_unit": "days"},
            {"product": "Residue", "next_crop": "field peas", "interval": 2, "interval_unit": "months"},
            {"product": "Residue", "next_crop": "grain sorghum", "interval": 10, "interval_unit": "days"},
            {"product": "Residue", "next_crop": "grain sorghums", "interval": 1, "interval_unit": "months"},
        ],
        "spot_terms": [{"sprayer": "Boom", "use": use, "daylight_only": "yes"}
                       for use in ("in crop", "fallow")],
        "machine": [{"sprayer": "Boom", "price_premium": 50000.0, "trade_in": 10000.0, "life_years": 8,
                     "area_per_year": 900.0, "saving_per_area": 12.0}],
    }
    farm = small_farm("metric", farm={"latitude": -34.0, "longitude": 138.5,
                                      "time_zone": "Australia/Adelaide", "interest_rate": 0.06})
    return with_defaults(replace(farm, tables={**farm.tables, **rows}))


def built_by_hand() -> Built:
    """Return the workbook of the farm, before the edits."""
    return build_small(hand_farm(), SPARE, EVERY_TAB)


def edited_book(built: Built | None = None) -> LiveBook:
    """Return the workbook open in the engine, with the edits typed."""
    book = LiveBook(built or built_by_hand())
    for edit in EDITS:
        book.change(*edit)
    return book
