"""Advice on ammonium sulfate, and what the demo farms show; published figures run in test_oracles."""

from __future__ import annotations

import pytest

from workbook_builder.build import Built
from workbook_builder.planning.water_quality import advised_ammonium_sulfate
from workbook_builder.units import factor


def test_advice_keeps_to_floor_and_label() -> None:
    """Good water still gets the floor; the label's range comes last and wins."""
    assert advised_ammonium_sulfate(0.5, 4) == 4
    assert advised_ammonium_sulfate(5.4, 4) == 5.4
    assert advised_ammonium_sulfate(2.27, 4, 8.5, 17) == 8.5
    assert advised_ammonium_sulfate(19, 4, 8.5, 17) == 17


def test_demo_water(demo: Built, metric: Built) -> None:
    """Farm water 120 Ca, 45 Mg: 484.95 ppm; equation 2.039 lb; a gap in a test stays open; metric is the same water in kg per 100 L."""
    checks = {(row["pass"], row["field"]): row for row in demo.plan.tables["water_checks"] if row["pass"]}
    first = checks["Early burndown", "North Bench"]
    assert first["hardness"] == pytest.approx(2.497 * 120 + 4.118 * 45)
    assert first["ams_equation"] == pytest.approx(0.016 + 0.3 + 1.08 + 0.63 + 0.0126)
    assert (first["ams_per_100"], first["ams_in_mix"], first["status"]) == (9, pytest.approx(9.5), "OK")
    assert checks["Early burndown", "West Quarter"]["status"] == "Review"
    assert checks["Stubble spot", "East Bench"]["status"] == "Not entered"
    assert checks["Preemerge", "North Bench"]["status"] == ""

    water = metric.plan.tables["farm_water"][0]
    expected = (0.002 * 5 + 0.005 * 15 + 0.009 * 100 + 0.014 * 20 + 0.042 * 0.1) * factor("lb/gal", "kg/L")
    assert water["ams_equation"] == pytest.approx(expected)
