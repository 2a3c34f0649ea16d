"""Beta algebra against scipy, and the volume choices of spot passes against plain integration."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate, stats
from small_farm import first, small_plan

from workbook_builder.build import Built
from workbook_builder.features.loads.definitions import amount_in, spray_volume
from workbook_builder.features.shares.beta import beta_chance, beta_quantile
from workbook_builder.features.spot_volumes import definitions as newsvendor
from workbook_builder.features.weeds.definitions import footprint_area, sprayed_share

SHAPES = [(0.05, 0.5), (0.3, 20.0), (1.0, 1.0), (2.0, 8.0), (12.0, 30.0), (60.0, 140.0), (300.0, 700.0),
          (2000.0, 9000.0)]


@pytest.mark.parametrize(("a", "b"), SHAPES)
@pytest.mark.parametrize("x", [0.001, 0.05, 0.2, 0.31, 0.5, 0.9, 0.999])
def test_beta_chance_agrees_with_scipy(a: float, b: float, x: float) -> None:
    """The regularised incomplete beta agrees with scipy to 1e-9."""
    assert beta_chance(x, a, b) == pytest.approx(stats.beta.cdf(x, a, b), abs=1e-9)


@pytest.mark.parametrize(("a", "b"), SHAPES)
@pytest.mark.parametrize("chance", [0.05, 0.1, 0.5, 0.8, 0.95, 0.99])
def test_beta_quantile_agrees_with_scipy(a: float, b: float, chance: float) -> None:
    """The inverse agrees with scipy to 1e-9."""
    assert beta_quantile(chance, a, b) == pytest.approx(stats.beta.ppf(chance, a, b), abs=1e-9)


@pytest.mark.parametrize(("a", "b"), [(2.0, 8.0), (0.5, 2.0), (30.0, 70.0)])
@pytest.mark.parametrize("share", [0.05, 0.2, 0.4, 1.5])
def test_leftover_is_the_integral(a: float, b: float, share: float) -> None:
    """Expected leftover in closed form is the integral of what is not used."""
    found = newsvendor.expected_leftover(1000 * share, 1000, a, b)

    top = min(1.0, share)
    wanted = integrate.quad(lambda x: 1000 * (share - x) * stats.beta.pdf(x, a, b), 0, top, limit=200)[0]
    assert found == pytest.approx(wanted, rel=1e-6, abs=1e-6)


def test_common_practice_of_a_first_tank() -> None:
    """300 gal at 12 gal/ac broadcasts 25 ac.

    Lasting 100 ac it is 25 %, and 700 ac more want 2,100 gal (common practice, no source).
    """
    broadcast = amount_in(1.0, 300.0, 12.0)

    assert broadcast == pytest.approx(25)
    assert spray_volume(700.0, broadcast / 100, 12.0) == pytest.approx(2100)


def test_advice_is_the_cheapest_choice_or_the_confidence_typed(farm: Built) -> None:
    """Every spot pass with ground left has one choice advised:
    the farm's own confidence where a tank holds it, else the cheapest; and no fill is more than the tank.
    """
    slots, typed = farm.plan.room.slots["choices"], farm.plan.tables["spot_figures"][0]["typed_confidence"]
    for number, spot in enumerate(farm.plan.tables["spot_passes"]):
        own = farm.plan.tables["volume_choices"][number * slots : (number + 1) * slots]
        if spot["row"] == "" or not spot["full_volume"]:
            continue
        best = next(choice for choice in own if choice["advised"])
        assert [choice["advised"] for choice in own].count("yes") == 1
        assert spot["by_confidence"] == int(typed or spot["trip_cost"] <= 0)
        assert (best["choice"] in (newsvendor.YOURS, newsvendor.FULL_TANK) if spot["by_confidence"]
                else best["expected_cost"] == min(choice["expected_cost"] for choice in own))
        assert 0 < spot["in_tank"] + spot["next_fill"] <= spot["tank"] + 1e-9


@pytest.mark.parametrize("trip", [0.0, 5.0, 40.0])
def test_a_large_field_begins_with_a_full_tank(trip: float) -> None:
    """Of 24,280 L at 35 %, spread as widely as a typed range, 970 L are used for sure:
    whatever a refill costs, and where nobody typed it, the tank is filled (common practice, no source).
    """
    plan = small_plan(
        "metric", fields={"area": 121.4}, sprayers={"spot_tank": 1000.0, "unusable_volume": 30.0},
        passes={"method": "spot", "carrier": 200.0, "share_low": 0.1, "share_high": 0.6,
                "sprayed_share": None}, farm={"extra_refill_cost": trip})
    spot = first(plan, "spot_passes")

    assert spot["advised_volume"] == spot["usable"] == 970
    assert spot["advice"].startswith("Mix 1000 L, a full tank. 9 to 13 fills in all")


def test_later_trips_are_those_simulated() -> None:
    """Trips counted of a small and a full first fill differ by what a simulation of full tanks after it
    finds, but for the weight of the first.
    """
    shares = stats.beta.rvs(2, 8, size=200_000, random_state=5)
    full, tank = 20_000.0, 800.0

    def simulated(first: float) -> float:
        return float(np.ceil(np.maximum(0, shares * full - first) / tank).mean())

    def counted(first: float) -> float:
        return (newsvendor.extra_trips(first, full, tank, 2, 8) - (newsvendor.DRY_TRIPS - 1)
                * newsvendor.chance_short(first / full, 2, 8))

    for first_fill in (260.0, 530.0, 800.0):
        assert counted(first_fill) == pytest.approx(simulated(first_fill), abs=0.03)


def test_chances_fall_as_volumes_grow(farm: Built) -> None:
    """More mixture never raises the chance of running short, and never lowers the leftover."""
    slots = farm.plan.room.slots["choices"]
    for number in range(len(farm.plan.tables["spot_passes"])):
        own = [row for row in farm.plan.tables["volume_choices"][number * slots : (number + 1) * slots]
               if row["volume"] != ""]
        own.sort(key=lambda row: row["volume"])
        assert ([row["chance_short"] for row in own]
                == sorted((row["chance_short"] for row in own), reverse=True))
        assert ([round(row["expected_leftover"], 6) for row in own]
                == sorted(round(row["expected_leftover"], 6) for row in own))


def test_a_footprint_of_no_area_is_none() -> None:
    """Zero length without lead or weed width makes no footprint."""
    assert footprint_area(1.5, 0, 0, 0) == 0


@pytest.mark.parametrize(("density", "weed", "width", "length"),
                         [(0.05, 0.1, 0.5, 0.5), (0.05, 0.1, 3.0, 1.0), (0.5, 0.1, 0.5, 0.5)])
def test_coverage_formula_against_simulation(density: float, weed: float, width: float,
                                             length: float) -> None:
    """Weeds thrown at random turn on as much ground as the formula says."""
    rng = np.random.default_rng(7)
    side, tries, hits = 100.0, 20, 0.0
    reach_x, reach_y = (width + weed) / 2, (length + weed) / 2
    for _ in range(tries):
        x, y = rng.uniform(0, side, (2, rng.poisson(density * side * side)))
        spots = rng.uniform(5, side - 5, (400, 2))
        near = (abs(spots[:, :1] - x) < reach_x) & (abs(spots[:, 1:] - y) < reach_y)
        hits += near.any(axis=1).mean() / tries

    assert sprayed_share(density, footprint_area(width, length, 0, weed)) == pytest.approx(hits, abs=0.015)


@pytest.mark.parametrize(("density", "area", "k"), [(1.0, 0.25, 0.25), (1.0, 3.0, 1.0)])
def test_clumped_coverage_against_simulation(density: float, area: float, k: float) -> None:
    """Counts drawn from a negative binomial leave as many footprints empty as the formula says."""
    rng = np.random.default_rng(8)
    counts = rng.poisson(rng.gamma(k, density * area / k, 200_000))

    assert sprayed_share(density, area, k) == pytest.approx((counts > 0).mean(), abs=0.005)
