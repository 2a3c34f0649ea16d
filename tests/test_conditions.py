"""Readings on the day: the strictest label of the mix, the last reading, and nothing missing is ever go."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from small_farm import first, small_farm, small_plan

from workbook_builder.planning.plan import Plan, make_plan

GOOD: dict[str, Any] = {
    "pass": "First", "field": "North", "temperature": 70.0, "humidity": 50.0, "wind": 5.0, "toward_sensitive": "no", "inversion_signs": "no",
    "rain_in_hours": 72.0,
}
LABEL = {"product": "Product", "wind_max": 10.0}


def plan_of(readings: list[dict[str, Any]], limits: list[dict[str, Any]]) -> Plan:
    """Plan the smallest farm with readings and weather limits."""
    inputs = small_farm(label_limits={"product": "Product"})
    return make_plan(replace(inputs, tables={**inputs.tables, "conditions": readings, "weather_limits": limits}))


def test_a_good_reading_goes() -> None:
    """Inside every limit and advised range the verdict is go, without a reason."""
    row = first(plan_of([GOOD], [LABEL]), "condition_checks")

    assert (row["verdict"], row["status"], row["reason"]) == ("go", "OK", "")


@pytest.mark.parametrize("key", ["temperature", "humidity", "wind", "toward_sensitive", "rain_in_hours"])
def test_a_missing_reading_is_never_go(key: str) -> None:
    """Whatever is not read, the verdict is wait."""
    row = first(plan_of([{k: v for k, v in GOOD.items() if k != key}], [LABEL]), "condition_checks")

    assert (row["verdict"], row["status"]) == ("wait", "Not entered")


def test_a_herbicide_whose_label_was_not_read_waits() -> None:
    """Without a row of weather limits for a herbicide of the mix the verdict is wait."""
    row = first(plan_of([GOOD], []), "condition_checks")

    assert row["verdict"] == "wait"
    assert row["reason"] == "weather on the label not entered: Product"


def test_broken_label_outweighs_what_is_missing() -> None:
    """A label figure that is broken says no even when other readings are missing; all broken ones are named."""
    row = first(plan_of([{**GOOD, "wind": 12.0, "humidity": None, "inversion_signs": "yes"}], [LABEL]), "condition_checks")

    assert row["verdict"] == "no"
    assert row["reason"] == "wind outside the label range; signs of an inversion"


def test_the_last_reading_counts() -> None:
    """A pass waits in the morning and goes at noon."""
    plan = plan_of([{**GOOD, "wind": 12.0}, GOOD], [LABEL])

    assert [row["verdict"] for row in plan.tables["condition_checks"][:2]] == ["no", "go"]
    assert first(plan, "pass_weather")["verdict"] == "go"


def test_the_strictest_label_of_the_mix_counts() -> None:
    """Two products: the lower highest wind, the higher lowest wind and the longer distance hold."""
    inputs = small_farm()
    second = {**inputs.rows("products")[0], "product": "Second"}
    mixes = [inputs.rows("mixes")[0], {**inputs.rows("mixes")[0], "product": "Second"}]
    limits = [{"product": "Product", "wind_min": 2.0, "wind_max": 15.0, "buffer_distance": 30.0},
              {"product": "Second", "wind_min": 3.0, "wind_max": 10.0, "buffer_distance": 240.0}]
    tables = {**inputs.tables, "products": [*inputs.rows("products"), second], "mixes": mixes, "weather_limits": limits}

    row = first(make_plan(replace(inputs, tables=tables)), "pass_weather")

    assert (row["wind_min"], row["wind_max"], row["buffer_distance"]) == (3.0, 10.0, 240.0)


def test_no_reading_no_status() -> None:
    """A pass nobody read the weather for has no status: nothing is open before the day."""
    assert first(small_plan(weather_limits=LABEL), "pass_weather")["status"] == ""
