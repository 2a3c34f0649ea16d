"""One plan of a spot pass: every sheet, the paper and the JSON show one number for one thing."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import replace
from typing import Any

import pytest
from fast_farms import farm as random_farm
from small_farm import first, small_farm

from workbook_builder.build import Built
from workbook_builder.core.inputs import Inputs
from workbook_builder.export.json_text import plan_as_json
from workbook_builder.features.orders.pick_list import pick_lines
from workbook_builder.planning import Again, Plan, make_plan
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.spot_sheets import spot_sheets
from workbook_builder.printing.wording import Wording


def disagreements(plan: Plan) -> list[str]:
    """Return where two places of a plan show two numbers for one thing of a spot pass."""
    found, tables = [], plan.tables
    mix_sheet = Again(plan, "load_choice", ("load_sheet",))

    def same(what: str, *values: Any) -> None:
        if len({round(value, 6) if isinstance(value, float) else value for value in values}) > 1:
            found.append(f"{spot['pass']} on {spot['field']}: {what} {values}")

    for spot in tables["spot_passes"]:
        if spot["pass"] == "" or spot["next_fill"] == "" or spot["share_likely"] == "":
            continue
        row = spot["row"] - 1
        volume, typed, order = tables["pass_volumes"][row], tables["passes"][row], tables["order_volumes"][row]
        same("share", spot["share_likely"], volume["share"], *(each["share"] for each in [tables["spot_against_broadcast"][row]] if each["on"]))
        same("volume", spot["volume_expected"], volume["volume"], volume["area"] * volume["share"] * typed["carrier"])
        same("fills", spot["fills_expected"], volume["loads"])
        same("mixture to buy for", spot["mix_safe"], order["mixed"])
        for line, pick in zip(tables["mix_lines"], tables["pick_list"], strict=True):
            if line["parent_no"] == row + 1 and line["rate_base"] != "":
                same("product to fetch", pick["base"], line["rate_base"] * line["own_scale"] * spot["mix_safe"] / typed["carrier"])
        if spot["full_volume"] and spot["next_fill"] > 0:
            [[sheet]] = mix_sheet(**{"pass": typed["pass"], "field": typed["field"], "load": spot["loads_logged"] + 1})
            same("next fill", spot["next_fill"], volume["next_fill"], sheet["volume"])
            same("in the tank", spot["in_tank"], sheet["in_tank"])
            same("fills on the mix sheet", spot["fills_expected"], sheet["loads"])
    for trip in tables["two_tanks"]:
        if trip["trip"] != "":
            spot = tables["spot_passes"][tables["two_tanks"].index(trip)]
            same("spot tank of a trip", trip["spot_volume"], spot["volume_expected"])
    return found


def test_sheets_show_one_number_for_one_thing(farm: Built) -> None:
    """Volumes, mix sheet, pick list, orders, money and two tanks show the share, volumes and fills of the plan."""
    assert disagreements(farm.plan) == []


@pytest.mark.parametrize("seeds", [range(12), pytest.param(range(12, 300), marks=pytest.mark.nightly)], ids=str)
def test_random_farms_show_one_number_for_one_thing(seeds: range) -> None:
    """No two places disagree about a spot pass of any random farm."""
    farms = {seed: found for seed in seeds if (found := random_farm(seed)) is not None}

    assert farms
    found = {seed: disagreements(make_plan(each)) for seed, each in farms.items()}
    assert {seed: each for seed, each in found.items() if each} == {}


def test_paper_and_json_show_the_plan(farm: Built) -> None:
    """The spot sheet on paper, the pick list and the JSON tell the same share, fills and volumes as the plan."""
    plan = farm.plan
    wording, said = Wording.of(plan), {(each["pass"], each["field"]): each for each in json.loads(plan_as_json(plan))["spot_plan"]}
    for spot in plan.tables["spot_passes"]:
        if spot["pass"] == "" or not spot["full_volume"]:
            continue
        page = spot_sheets(plan, Choice(spot["pass"], spot["field"]))
        assert spot["advice"] in page
        assert f"{wording.measure('share', spot['share_likely'])} likely" in page
        assert f"{wording.measure('volume', spot['volume_expected'], 0)} expected in all" in page
        assert f"Next fill (load {int(spot['loads_logged']) + 1})" in page
        assert wording.measure("volume", spot["next_fill"], 0) in page
        lines = [line for line in plan.tables["pick_list"] if line["parent_no"] == spot["row"]]
        assert sum(line.base for line in pick_lines(plan, [spot["row"] - 1])) == pytest.approx(sum(line["base"] for line in lines if line["base"] != ""))
        plain = said[spot["pass"], spot["field"]]
        assert [plain[key] for key in ("share_likely", "next_fill", "fills_most", "advice")] == [pytest.approx(spot[key]) if isinstance(spot[key], float) else spot[key] for key in ("share_likely", "next_fill", "fills_most", "advice")]


def logged_farm(loads: list[tuple[float, float]], record: dict[str, Any] | None = None) -> Inputs:
    """Return 300 acres to be spotted at 10 gal/ac from a tank of 400 gal, with loads logged as acres driven and gallons sprayed, and a spray record."""
    farm = small_farm(fields={"area": 300.0}, sprayers={"spot_tank": 400.0}, passes={"method": "spot", "carrier": 10.0, "sprayed_share": 0.2})
    log = [{"pass": "First", "field": "North", "load": n, "area_covered": area, "volume_sprayed": volume} for n, (area, volume) in enumerate(loads, 1)]
    records = [{"pass": "First", "field": "North", "date": dt.date(2026, 5, 1), **record}] if record else []
    return replace(farm, tables={**farm.tables, "load_log": log, "spray_log": records})


def test_loads_replace_the_plan_of_the_ground_they_drove() -> None:
    """Two loads over 110 of 300 acres took 440 gal: 40 % there, 190 acres to drive; load 1 is stamped done and load 3 comes next."""
    plan = make_plan(logged_farm([(60.0, 240.0), (50.0, 200.0)]))
    spot = first(plan, "spot_passes")

    assert (spot["remaining_area"], spot["volume_sprayed"], spot["done"]) == (190, 440, pytest.approx(0.4 * 110 / 300))
    assert spot["volume_expected"] == pytest.approx(440 + spot["share_mean"] * 1900)
    assert "Next fill (load 3)" in spot_sheets(plan, Choice())
    sheets = [Again(plan, "load_choice", ("load_sheet",))(**{"pass": "First", "field": "North", "load": load})[0][0] for load in (1, 3)]
    assert [sheet["status"] for sheet in sheets] == ["OK: done, as logged", "OK"]
    assert [sheet["volume"] for sheet in sheets] == [240, spot["next_fill"]]


@pytest.mark.parametrize(("record", "sprayed"), [
    ({"area_treated": 300.0, "volume_sprayed": 900.0}, 900), ({"end_time": 0.75, "start_time": 0.5}, 440), ({"area_treated": 299.0}, 440),
])
def test_a_record_over_the_whole_field_closes_the_pass(record: dict[str, Any], sprayed: float) -> None:
    """However few rows the load log has, nothing remains and nothing more is advised, bought or mixed once the record closes the pass."""
    record = {**record, **{key: dt.time(int(value * 24)) for key, value in record.items() if key.endswith("_time")}}
    plan = make_plan(logged_farm([(60.0, 240.0), (50.0, 200.0)], record))
    spot, order = first(plan, "spot_passes"), first(plan, "order_volumes")

    assert (spot["remaining_area"], spot["next_fill"], spot["mix_safe"], order["to_do"], order["mixed"]) == (0, 0, 0, 0, 0)
    assert spot["volume_sprayed"] == sprayed
    assert spot["share_likely"] == pytest.approx(0.3 if sprayed == 900 else 0.4)
    assert spot["advice"].startswith("Done: ")


def test_a_confidence_that_is_typed_is_obeyed_up_to_a_tank() -> None:
    """At 95 % the fill is enough 19 times in 20 where a tank holds it, and a full tank where it does not; untyped, the cheapest."""
    for confidence, tank in ((0.95, 2900.0), (0.95, 400.0), (None, 2900.0)):
        farm = small_farm(fields={"area": 300.0}, farm={"confidence": confidence, "extra_refill_cost": 50.0}, sprayers={"spot_tank": tank}, passes={"method": "spot", "carrier": 10.0, "sprayed_share": 0.2})
        plan = make_plan(farm)
        spot, choices = first(plan, "spot_passes"), plan.tables["volume_choices"][: plan.room.slots["choices"]]
        if confidence is None:
            assert choices[spot["best"] - 1]["expected_cost"] == min(choice["expected_cost"] for choice in choices)
        else:
            assert 1 - choices[spot["best"] - 1]["chance_short"] == pytest.approx(0.95) if tank > 400 else spot["next_fill"] == 400
