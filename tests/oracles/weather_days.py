"""Weather for spraying: go, wait or no against label limits, wet bulb and delta T."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from small_farm import first, small_plan

from oracles.registry import computes
from workbook_builder.features.weather import definitions as weather

Given = Mapping[str, Any]
#: What a row gives -> (table, column) it is typed in.
TYPED = {
    "wind_mph": ("conditions", "wind"), "toward_sensitive": ("conditions", "toward_sensitive"),
    "rain_in_h": ("conditions", "rain_in_hours"),
    "distance_ft": ("conditions", "sensitive_distance"), "temperature_f": ("conditions", "temperature"),
    "forecast_high_f": ("conditions", "forecast_high"), "inversion_signs": ("conditions", "inversion_signs"),
    "label_low_mph": ("weather_limits", "wind_min"), "label_high_mph": ("weather_limits", "wind_max"),
    "label_no_rain_h": ("weather_limits", "no_rain_hours"),
    "buffer_ft": ("weather_limits", "buffer_distance"),
    "never_toward": ("weather_limits", "never_toward"), "label_high_f": ("weather_limits", "temperature_max"),
    "label_low_f": ("weather_limits", "temperature_min"),
}


@computes(r"labels-C(10|11|14|15|16|18|20|22|26|27).*", "plan: condition_checks")
def verdict(given: Given, expected: Given) -> Given:
    """Return go, wait or no for a reading that is fine but for what the row gives."""
    typed: dict[str, dict[str, Any]] = {
        "conditions": {
            "pass": "First", "field": "North", "temperature": 70.0, "humidity": 50.0, "wind": 5.0,
            "toward_sensitive": "no",
            "inversion_signs": "no", "rain_in_hours": 72.0, "forecast_high": 70.0,
            "date": dt.date(2026, 5, 1), "time": dt.time(8),
        },
        "passes": {"start_time": dt.time(8)},
        "weather_limits": {"product": "Product"},
    }
    for key, value in given.items():
        table, column = TYPED[key]
        typed[table][column] = None if value == "unknown" else value
    return {"verdict": first(small_plan(**typed), "condition_checks")["verdict"]}


@computes(r"targeted-E1-.*", "weather.definitions.formula_holds")
def holds(given: Given, expected: Given) -> Given:
    """Return whether the wet-bulb formula is valid."""
    return {"holds": "yes" if weather.formula_holds(given["celsius"], given["humidity"]) else "no"}


@computes(r"targeted-E[24].*", "weather.definitions.delta_t")
def delta(given: Given, expected: Given) -> Given:
    """Return wet bulb and delta T."""
    both = given["celsius"], given["humidity"]
    return {"wet_bulb": weather.wet_bulb(*both), "delta_t": weather.delta_t(*both)}


@computes(r"targeted-E5.*", "weather.definitions.delta_outcome")
def window(given: Given, expected: Given) -> Given:
    """Return how a delta T is judged."""
    return {"status": weather.delta_outcome(given["delta_t"], 20, 50, 2, 8)[0]}
