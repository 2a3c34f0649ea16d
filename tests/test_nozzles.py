"""Nozzle sizes, droplet categories and the catch test: plain functions, and what the demo farms show."""

from __future__ import annotations

import pytest

from workbook_builder.build import Built
from workbook_builder.features.nozzles.definitions import (
    SIZES,
    droplet_status,
    droplets_in_words,
    nozzle_flow,
    pressure_for,
    sizes_between,
)
from workbook_builder.planning import make_plan


def test_sizes_within_a_pressure_range() -> None:
    """0.50 gal/min between 20 and 60 psi: sizes 05 at 40 psi and 06 at 28 psi; 04 would need 62.5 and 08 only
    16.
    """
    flows = [row[3] for row in SIZES]
    first, last = sizes_between(0.5, flows, 40, 20, 60)

    assert [row[0] for row in SIZES[first:last]] == ["05", "06"]
    assert pressure_for(0.5, 0.4, 40) == pytest.approx(62.5)


def test_ends_of_the_range_count() -> None:
    """A size that needs just the lowest or highest pressure is in."""
    flows = [row[3] for row in SIZES]

    assert [SIZES[n][0] for n in range(*sizes_between(0.2, flows, 40, 40, 40))] == ["02"]


def test_us_and_metric_nominals_differ_by_little() -> None:
    """0.20 gal/min at 40 psi and 0.80 L/min at 3 bar are not the same flow: 1.3 % apart,
    so each system has its own list.
    """
    litres = 0.20 * 3.785411784 * (3 / (40 * 0.06894757)) ** 0.5

    assert litres == pytest.approx(0.80, rel=0.014)
    assert litres < 0.79


def test_droplets_against_the_labels() -> None:
    """Medium is too fine for Coarse or coarser; blank ends are open; a category not entered stays open."""
    assert droplet_status(4, 5, "") == "Not allowed"
    assert droplet_status(6, 5, "") == "OK"
    assert droplet_status(6, "", 5) == "Not allowed"
    assert droplet_status("", 5, "") == "Not entered"
    assert droplets_in_words(6, 5, "VC", "C") == "labels contradict: VC or coarser and C or finer"


def test_demo_sprayers(demo: Built) -> None:
    """11 gal/ac at 12 mph and 20 in is 0.4444 gal/min; the pulsed 08 is open 32 % at 7 mph and 60 % at 13."""
    checks = {(row["pass"], row["field"]): row for row in demo.plan.tables["sprayer_checks"] if row["pass"]}
    tips = {(row["pass"], row["field"], row["nozzle"]): row for row in demo.plan.tables["tip_checks"]
            if row["nozzle"]}
    assert (checks["Early burndown", "North Bench"]["flow"] == pytest.approx(nozzle_flow(11, 12, 20))
            == pytest.approx(0.4444, abs=1e-4))
    pulsed = tips["Early burndown", "North Bench", "Pulsed flat 08"]
    assert pulsed["duty_slow"] == pytest.approx(11 * 7 * 20 / 5940 / 0.8)
    assert pulsed["duty_fast"] == pytest.approx(11 * 13 * 20 / 5940 / 0.8)
    assert checks["Early burndown", "West Quarter"]["wanted"] == "VC or coarser"


def test_demo_catch(demo: Built, metric: Built) -> None:
    """Position 3 is worn, position 4 gives too little; 475 mL over 50 m at 50 cm are 190 L/ha."""
    found = {(row["sprayer"], row["position"]): row for row in demo.plan.tables["catch_checks"]
             if row["sprayer"]}
    assert found["Wide boom", 3]["finding"] == "Worn: replace it"
    assert found["Wide boom", 4]["finding"].startswith("Gives less")
    assert found["Wide boom", 1]["rate"] == pytest.approx(11.1)
    assert found["Wide boom", 1]["course"] == pytest.approx(204.1875)
    assert found["Old boom", 1]["status"] == "OK"
    assert metric.plan.tables["catch_checks"][0]["rate"] == pytest.approx(475 / 1000 / (50 * 0.5) * 10000)


def test_no_nozzles_no_findings(demo: Built) -> None:
    """A farm that entered no nozzles is not flooded."""
    inputs = demo.plan.inputs
    bare = make_plan(type(inputs)({key: rows for key, rows in inputs.tables.items() if key != "nozzles"},
                                  inputs.extras, inputs.origin))

    assert {row["pressure_status"] for row in bare.tables["sprayer_checks"]} == {""}
    assert {row["droplet_status"] for row in bare.tables["sprayer_checks"]} == {""}
