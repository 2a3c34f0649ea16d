"""Worked examples as published, from what a person types to what the plan tells: labels beyond their maxima,
and actives other than herbicides.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from small_farm import first, small_farm, small_plan

from workbook_builder.core.inputs import Inputs
from workbook_builder.features import VIEWS
from workbook_builder.planning import make_plan

DAY = dt.date(2026, 7, 10)
#: In Kansas the sun rises at 06:17 and sets at 20:50 on that day.
KANSAS = {"latitude": 39.0, "longitude": -98.0, "time_zone": "America/Chicago"}
TWO_HOURS = {"speed": 10.0, "boom_width": 90.0, "field_efficiency": 0.4}


def test_product_of_a_tank_from_its_active_ingredient() -> None:
    """Montana State Univ., MontGuide MT 2000-14, example 7b (found):
    300 gal at 40 gal/A hold 7.5 A; half a pound of 2 lb/gal is a quart an acre, 7.5 qt a tank.
    """
    plan = small_plan(sprayers={"main_tank": 300.0}, fields={"area": 15.0}, passes={"carrier": 40.0},
                      mixes={"rate": 0.5, "rate_unit": "lb ai/ac"},
                      ingredients={"active_ingredient": "plain", "content": 2.0, "content_unit": "lb ai/gal"})
    tank, line = first(plan, "pass_volumes"), first(plan, "mix_lines")

    assert (tank["loads"], tank["first_load_volume"] / 40) == (2, 7.5)
    assert (line["amount_per_area"], line["amount_full_load"]) == pytest.approx((32, 7.5 * 32))


def test_liquid_fertilizer_for_a_vineyard() -> None:
    """Vineyard Team, Liquid Fertilizer Calculations (found):
    15 lb N an acre of a 10 % solution of 10.69 lb/gal are 14.03 gal/A, 280.6 gal on 20 A.
    """
    plan = small_plan(fields={"area": 20.0}, passes={"carrier": 14.03},
                      products={"kind": "foliar fertilizer", "density": 10.69, "package_unit": "gal"},
                      mixes={"rate": 14.03, "rate_unit": "gal/ac"},
                      analysis={"product": "Product", "nutrient": "N", "percent": 10.0})
    (row,) = VIEWS["nutrients"](plan)

    assert (row["per_sprayed_area"], row["season_total"]) == pytest.approx((15, 15), abs=0.005)
    assert first(plan, "mix_lines")["amount_total"] == pytest.approx(280.6)


def test_borers_of_the_second_generation() -> None:
    """Iowa State Univ., IC-476(21), 1996 (found.

    Recomputed without its rounded step): 0.3 egg masses a plant, 150 bu at $3.50: control gains $7.68 over
    its $15.
    """
    pest = {"field": "North", "pest": "corn borer", "pass": "First", "count": 0.3, "injury": 4.5,
            "damage": 0.04, "crop_yield": 150, "value": 3.50, "control": 0.8, "cost": 15}
    (row,) = VIEWS["thresholds"](small_plan(pests=pest, fields={"crop": "corn"}))

    assert row["gain"] == pytest.approx(7.68)
    assert row["injury_level"] == pytest.approx(15 / (150 * 3.50 * 4.5 * 0.04 * 0.8))
    assert row["status"] == "OK"


@pytest.mark.parametrize(("hours", "status", "clear"),
                         [(8.0, "OK", "2026-07-11T04:00"), (24.0, "Review", "2026-07-11T20:00")])
def test_residue_of_an_evening_spray(hours: float, status: str, clear: str) -> None:
    """Arithmetic on RT25 hours (computed): done at 20:00, 8 h of residue are gone before bees fly at 6,
    24 h are not.
    """
    farm = small_farm(farm=KANSAS, products={"kind": "insecticide", "bees": "none", "bee_hours": hours},
                      fields={"area": 2 * 10 * 90 * 0.4 * 5280 / 43560}, sprayers=TWO_HOURS,
                      passes={"date": DAY, "start_time": dt.time(18)})
    bloom = [{"field": "North", "where": where, "from": DAY} for where in ("field", "neighbours")]
    (row,) = VIEWS["pollinators"](make_plan(Inputs({**farm.tables, "bloom": bloom}, farm.extras,
                                                   farm.origin)))

    assert (row["status"], row["clear"]) == (status, clear)


@pytest.mark.parametrize(("degrees", "start", "status"),
                         [(54.0, 14, "OK"), (60.0, 21, "OK"), (60.0, 12, "Not allowed")])
def test_when_bees_do_not_forage(degrees: float, start: int, status: str) -> None:
    """Catchot, Gore & Cook, Mississippi State Univ.

    Extension, 2014 (found; cases computed): in bloom at 54 F, or after sunset, it may be sprayed; at 60 F at
    noon it may not.
    """
    label, when = {"kind": "insecticide", "bees": "not while bees forage", "bee_cold": 55.0}, dt.time(start)
    reading = {"pass": "First", "field": "North", "date": DAY, "time": when, "temperature": degrees}
    farm = small_farm(farm=KANSAS, products=label, sprayers=TWO_HOURS,
                      passes={"date": DAY, "start_time": when}, conditions=reading)
    bloom = [{"field": "North", "where": "field", "from": DAY, "to": DAY},
             {"field": "North", "where": "neighbours", "blooms": "no"}]
    (row,) = VIEWS["pollinators"](make_plan(Inputs({**farm.tables, "bloom": bloom}, farm.extras,
                                                   farm.origin)))

    assert row["status"] == status


@pytest.mark.parametrize(("discharge", "height", "droplet", "zone"), [
    ("boom", 20.0, "C", 25), ("boom", 20.0, "F", 100), ("boom", 8.0, "C", 0), ("boom", 8.0, "F", 100),
    ("aircraft", 20.0, "C", 100), ("boom", 12.0, "M", 0),
])
def test_exclusion_zones_of_a_sprayer(discharge: str, height: float, droplet: str, zone: float) -> None:
    """40 CFR 170.405(a)(1), text in force since 3 December 2024 (found.

    Cases computed): 100 ft, 25 ft or none by droplets, height and way of spraying.
    """
    nozzle = {"sprayer": "Boom", "nozzle": "Flat", "size": "04", "spacing": 20.0, "low_pressure": 5.0,
              "high_pressure": 200.0, "droplet": droplet}
    (row,) = VIEWS["buffers"](small_plan(nozzles=nozzle,
                                         sprayers={"speed": 12.0, "boom_width": 90.0,
                                                   "release_height": height, "discharge": discharge}))

    assert row["exclusion_zone"] == zone


@pytest.mark.parametrize(("residue", "before", "after", "statuses"), [
    (35.0, 1.6, 0.9, ("OK", "OK")), (35.0, 1.6, 1.0, ("OK", "Not allowed")),
    (20.0, 1.7, 0.5, ("Not allowed", "OK")),
])
def test_atrazine_before_and_after_emergence(residue: float, before: float, after: float,
                                             statuses: tuple[str, str]) -> None:
    """Cornell CALS Field Crops, Atrazine Application Rates (found): 2.0 lb ai/A with residue over 30 %,
    1.6 below, 2.5 in a year, so that 0.9 is left after 1.6 (computed).
    """
    label = {"product": "Product", "crop": "any", "max_rate": 2.0, "max_rate_season": 2.5,
             "rate_unit": "lb/ac"}
    farm = small_farm(products={"formulation": "WG", "package_unit": "lb"},
                      ingredients={"active_ingredient": "atrazine", "mode_group": 5, "content": 100.0,
                                   "content_unit": "% w/w"}, label_limits=label, fields={"residue": residue})
    one, mix = farm.rows("passes")[0], farm.rows("mixes")[0]
    tables: dict[str, list[dict[str, Any]]] = {
        "mixes": [{**mix, "mix": name, "rate": rate, "rate_unit": "lb/ac"}
                  for name, rate in (("Before", before), ("After", after))],
        "passes": [{**one, "pass": name, "mix": name, "date": dt.date(2026, month, 1)}
                   for name, month in (("Before", 5), ("After", 6))],
        "soil_rates": [{"product": "Product", "rate_unit": "lb/ac", "residue_from": 30.0, "rate_high": 2.0},
                       {"product": "Product", "rate_unit": "lb/ac", "residue_to": 30.0, "rate_high": 1.6}],
    }
    plan = make_plan(Inputs({**farm.tables, **tables}, farm.extras, farm.origin))
    soil = [row["status"] for row in VIEWS["soil_rates"](plan)]
    season = plan.tables["product_limits"][1]["season_status"]

    assert (soil[0], season) == statuses
