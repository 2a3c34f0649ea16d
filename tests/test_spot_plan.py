"""One plan of a spot pass: every sheet, the paper and the JSON show one number for one thing."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import replace
from html import unescape
from typing import Any

import pytest
from fast_farms import farm as random_farm
from scipy import stats
from small_farm import first, small_farm

from workbook_builder.build import Built
from workbook_builder.core.inputs import Inputs
from workbook_builder.export.json_text import plan_as_json
from workbook_builder.features.orders.pick_list import pick_lines
from workbook_builder.features.shares.definitions import range_mean, range_weight
from workbook_builder.planning import Again, Plan, make_plan
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.pages import Wording
from workbook_builder.printing.spot_sheets import spot_sheets
from workbook_builder.roll_over import roll_over


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
        volume, typed, order = (tables["pass_volumes"][row], tables["passes"][row],
                                tables["order_volumes"][row])
        same("share", spot["share_likely"], volume["share"],
             *(each["share"] for each in [tables["spot_against_broadcast"][row]] if each["on"]))
        same("volume", spot["volume_expected"], volume["volume"],
             volume["area"] * volume["share"] * typed["carrier"])
        same("fills", spot["fills_expected"], volume["loads"])
        same("mixture to buy for", spot["mix_safe"], order["mixed"])
        for line, pick, poured in zip(tables["mix_lines"], tables["pick_list"],
                                      tables["poured_lines"], strict=True):
            if line["parent_no"] == row + 1 and line["rate_base"] != "":
                missing = "" in (line["own_scale"], spot["mix_safe"])
                same("product to fetch", pick["base"], "" if missing else line["rate_base"]
                     * line["own_scale"] * spot["mix_safe"] / typed["carrier"] * poured["rounding"])
        if spot["full_volume"] and spot["next_fill"] > 0:
            [[sheet]] = mix_sheet(**{"pass": typed["pass"], "field": typed["field"],
                                     "load": spot["loads_logged"] + 1})
            same("next fill", spot["next_fill"], volume["next_fill"], sheet["volume"])
            same("in the tank", spot["in_tank"], sheet["in_tank"])
            same("fills on the mix sheet", spot["fills_expected"], sheet["loads"])
    for trip in tables["two_tanks"]:
        if trip["trip"] != "":
            spot = tables["spot_passes"][tables["two_tanks"].index(trip)]
            same("spot tank of a trip", trip["spot_volume"], spot["volume_expected"])
    return found


def test_sheets_show_one_number_for_one_thing(farm: Built) -> None:
    """Volumes, mix sheet, pick list, orders, money and two tanks show the share,
    volumes and fills of the plan.
    """
    assert disagreements(farm.plan) == []


def on_paper(plan: Plan) -> list[str]:
    """Return where the spot sheets on paper, the pick list or the JSON show another figure of a spot pass
    than the plan.
    """
    found = []
    wording, said = (Wording.of(plan),
                     {(each["pass"], each["field"]): each
                      for each in json.loads(plan_as_json(plan))["spot_plan"]})
    for spot in plan.tables["spot_passes"]:
        if ("" in (spot["pass"], spot["full_volume"], spot["next_fill"], spot["share_likely"])
            or not spot["full_volume"]):
            continue
        page, name = (unescape(spot_sheets(plan, Choice(spot["pass"], spot["field"]))),
                      f"{spot['pass']} on {spot['field']}")
        highest = max((line["load"] for line in plan.tables["load_log"] if (line["pass"], line["field"])
                       == (spot["pass"], spot["field"]) and line["load"] != ""), default=0)
        words = (
            spot["advice"], f"{wording.measure('share', spot['share_likely'])} likely",
            f"{wording.measure('volume', spot['volume_expected'], 0)} expected in all",
            f"Next fill (load {max(int(highest), int(spot['loads_logged'])) + 1})",
            wording.measure("volume", spot["next_fill"], 0) if spot["next_fill"] else "none",
        )
        found += [f"{name}: no {each} on paper" for each in words if each not in page]
        lines = [pick for line, pick in zip(plan.tables["mix_lines"], plan.tables["pick_list"], strict=True)
                 if line["parent_no"] == spot["row"]]
        picked, listed = (sum(line.base for line in pick_lines(plan, [spot["row"] - 1])),
                          sum(line["base"] for line in lines if line["base"] != ""))
        if picked != pytest.approx(listed):
            found.append(f"{name}: {picked} picked, {listed} listed")
        plain = said[spot["pass"], spot["field"]]
        found += [f"{name}: {key} {plain[key]}"
                  for key in ("share_likely", "next_fill", "fills_most", "advice")
                  if plain[key] != (pytest.approx(spot[key]) if isinstance(spot[key], float) else spot[key])]
    return found


def test_paper_and_json_show_the_plan(farm: Built) -> None:
    """The spot sheet on paper, the pick list and the JSON tell the same share, fills and volumes as the plan.
    """
    assert on_paper(farm.plan) == []


@pytest.mark.parametrize("seeds", [range(12), pytest.param(range(12, 300), marks=pytest.mark.nightly)],
                         ids=str)
def test_random_farms_show_one_number_for_one_thing(seeds: range) -> None:
    """No two places disagree about a spot pass of any random farm, on sheets, on paper and in the JSON."""
    plans = {seed: make_plan(found) for seed in seeds if (found := random_farm(seed)) is not None}

    assert plans
    assert {seed: each for seed, plan in plans.items()
            if (each := disagreements(plan) + on_paper(plan))} == {}


def logged_farm(loads: list[tuple[float, float]], record: dict[str, Any] | None = None) -> Inputs:
    """Return 300 acres to be spotted at 10 gal/ac from a tank of 400 gal,
    with loads logged as acres driven and gallons sprayed, and a spray record.
    """
    farm = small_farm(fields={"area": 300.0}, sprayers={"spot_tank": 400.0},
                      passes={"method": "spot", "carrier": 10.0, "sprayed_share": 0.2})
    log = [{"pass": "First", "field": "North", "load": n, "area_covered": area, "volume_sprayed": volume}
           for n, (area, volume) in enumerate(loads, 1)]
    records = [{"pass": "First", "field": "North", "date": dt.date(2026, 5, 1), **record}] if record else []
    return replace(farm, tables={**farm.tables, "load_log": log, "spray_log": records})


def test_loads_replace_the_plan_of_the_ground_they_drove() -> None:
    """Two loads over 110 of 300 acres took 440 gal: 40 % there,
    190 acres to drive; load 1 is stamped done and load 3 comes next.
    """
    plan = make_plan(logged_farm([(60.0, 240.0), (50.0, 200.0)]))
    spot = first(plan, "spot_passes")

    assert ((spot["remaining_area"], spot["volume_sprayed"], spot["done"])
            == (190, 440, pytest.approx(0.4 * 110 / 300)))
    assert spot["volume_expected"] == pytest.approx(440 + spot["share_mean"] * 1900)
    assert "Next fill (load 3)" in spot_sheets(plan, Choice())
    sheets = [Again(plan, "load_choice", ("load_sheet",
                    ))(**{"pass": "First", "field": "North", "load": load})[0][0] for load in (1, 3)]
    state = f"Not entered: {first(plan, 'pass_why')['why']}"
    assert [sheet["status"] for sheet in sheets] == [f"{state}; done, as logged", state]
    assert [sheet["volume"] for sheet in sheets] == [240, spot["next_fill"]]


@pytest.mark.parametrize(("record", "sprayed"), [
    ({"area_treated": 300.0, "volume_sprayed": 900.0}, 900), ({"end_time": 0.75, "start_time": 0.5}, 440),
    ({"area_treated": 299.0}, 440),
])
def test_a_record_over_the_whole_field_closes_the_pass(record: dict[str, Any], sprayed: float) -> None:
    """However few rows the load log has, nothing remains and nothing more is advised,
    bought or mixed once the record closes the pass.
    """
    record = {**record, **{key: dt.time(int(value * 24)) for key, value in record.items()
                           if key.endswith("_time")}}
    plan = make_plan(logged_farm([(60.0, 240.0), (50.0, 200.0)], record))
    spot, order = first(plan, "spot_passes"), first(plan, "order_volumes")

    assert (spot["remaining_area"], spot["next_fill"], spot["mix_safe"], order["to_do"],
            order["mixed"]) == (0, 0, 0, 0, 0)
    assert spot["volume_sprayed"] == sprayed
    assert spot["share_likely"] == pytest.approx(0.3 if sprayed == 900 else 0.4)
    assert spot["advice"].startswith("Done: ")


def test_a_pass_recorded_without_a_volume_was_sprayed_as_planned() -> None:
    """A record that tells only the day leaves the share and the cost at the plan: 20 % of 300 acres,
    not none of it.
    """
    planned, recorded = make_plan(logged_farm([])), make_plan(logged_farm([], {"end_time": dt.time(18)}))
    volumes = first(recorded, "pass_volumes")

    assert ((first(recorded, "spot_passes")["remaining_area"], volumes["share"], volumes["volume"])
            == (0, pytest.approx(0.2), pytest.approx(600)))
    assert (first(recorded, "cost_passes")["product_cost"]
            == pytest.approx(first(planned, "cost_passes")["product_cost"]))
    assert (first(recorded, "spot_against_broadcast")["net"]
            == pytest.approx(first(planned, "spot_against_broadcast")["net"]))


def test_a_confidence_that_is_typed_is_obeyed_up_to_a_tank() -> None:
    """At 95 % the fill is enough 19 times in 20 where a tank holds it, and a full tank where it does not.

    Untyped, the cheapest.
    """
    for confidence, tank in ((0.95, 2900.0), (0.95, 400.0), (None, 2900.0)):
        farm = small_farm(fields={"area": 300.0}, farm={"confidence": confidence, "extra_refill_cost": 50.0},
                          sprayers={"spot_tank": tank},
                          passes={"method": "spot", "carrier": 10.0, "sprayed_share": 0.2})
        plan = make_plan(farm)
        spot, choices = (first(plan, "spot_passes"),
                         plan.tables["volume_choices"][: plan.room.slots["choices"]])
        if confidence is None:
            assert (choices[spot["best"] - 1]["expected_cost"]
                    == min(choice["expected_cost"] for choice in choices))
        else:
            assert (1 - choices[spot["best"] - 1]["chance_short"] == pytest.approx(0.95) if tank > 400
                    else spot["next_fill"] == 400)


def spot_estimate(passes: dict[str, Any], **tables: Any) -> Any:
    """Return the estimate of a spot pass on 300 acres."""
    return first(make_plan(small_farm(fields={"area": 300.0}, sprayers={"spot_tank": 400.0},
                                      passes={"method": "spot", "carrier": 10.0, **passes}, **tables)),
                 "share_estimates")


def test_a_range_becomes_a_belief_by_hand() -> None:
    """10 to 60 %, likely 28 %: mean 0.16 x 0.28 + 0.42 x 0.7 = 0.3388.

    Sd 0.5 / 2.65; 0.3388 x 0.6612 / 0.0356 - 1 = 5.293 patches. Without a likely share the middle, 35 %.
    """
    told, middle = (spot_estimate({"share_low": 0.1, "share_high": 0.6, "sprayed_share": likely})
                    for likely in (0.28, None))

    assert ((told["expected_share"], told["prior_weight"])
            == (pytest.approx(0.3388), pytest.approx(5.293, abs=0.001)))
    assert ((middle["expected_share"], middle["prior_weight"])
            == (pytest.approx(0.35), pytest.approx(0.35 * 0.65 / (0.5 / 2.65) ** 2 - 1)))


@pytest.mark.parametrize(("a", "b"), [(1.5, 3.0), (2.0, 8.0), (5.0, 5.0), (12.0, 30.0), (30.0, 4.0)])
def test_a_fitted_range_holds_the_tenths_it_was_told(a: float, b: float) -> None:
    """Told the tenths and the mode of a beta share (scipy),
    the fit gives them back within four points (two for most).
    """
    low, high = stats.beta.ppf([0.1, 0.9], a, b)
    mean = range_mean(low, (a - 1) / (a + b - 2), high)
    weight = float(range_weight(mean, low, high))

    assert (stats.beta.ppf([0.1, 0.9], mean * weight, (1 - mean) * weight)
            == pytest.approx([low, high], abs=0.04))


def test_a_class_told_as_a_range_stands_for_it() -> None:
    """A class of 10 to 60 % without ground behind it weighs as much as the range,
    and the range it stands for is shown beside it.
    """
    estimate = spot_estimate({"pressure_class": "light"},
                             pressure_classes={"pressure_class": "light", "expected_share": 0.35,
                                               "share_low": 0.1, "share_high": 0.6})
    plan = make_plan(small_farm(pressure_classes={"pressure_class": "light", "expected_share": 0.35,
                                                  "share_low": 0.1, "share_high": 0.6}))
    beside = first(plan, "class_facts")

    assert estimate["expected_share"] == pytest.approx(0.35)
    assert (beside["low"], beside["high"]) == (pytest.approx(0.1, abs=0.02), pytest.approx(0.6, abs=0.02))


def test_earlier_seasons_start_the_estimate() -> None:
    """By hand: two seasons of 30 and 50 % are worth 50 x 2/3 patches of 40 %.

    A typed share of 20 % is worth two.
    """
    history = [{"season": 2024, "field": "North", "pass": "First", "share": 0.3},
               {"season": 2025, "field": "North", "pass": "First", "share": 0.5}]
    farm = small_farm(fields={"area": 300.0},
                      passes={"method": "spot", "carrier": 10.0, "sprayed_share": 0.2})
    estimate = first(make_plan(replace(farm, tables={**farm.tables, "spot_history": history})),
                     "share_estimates")
    alone = first(make_plan(farm), "share_estimates")

    assert estimate["expected_share"] == pytest.approx((2 * 0.2 + 100 / 3 * 0.4) / (2 + 100 / 3))
    assert estimate["share_p95"] - estimate["share_p50"] < alone["share_p95"] - alone["share_p50"]


def test_loads_that_agree_make_the_range_narrower() -> None:
    """By hand, patches of 20 ac: shares of 40 and 40 % scatter by nothing, so 3 / 2 of the weight; 30 and 50
    % on 50 acres each by 1 / 0.24 / 20 patches, 8.33 times the usual fortieth: 3 / 10.33, held at a half.
    """
    alike, apart = (first(make_plan(logged_farm([(50.0, share * 500), (50.0, (0.8 - share) * 500)])),
                          "share_estimates") for share in (0.4, 0.3))

    assert (alike["scatter"], alike["firmness"]) == (pytest.approx(0, abs=1e-9), pytest.approx(1.5))
    assert (apart["scatter"], apart["firmness"]) == (pytest.approx(1 / 0.24 / 20), 0.5)
    assert alike["a"] == pytest.approx((2 * 0.2 + 5 * 0.4) * 1.5)
    assert alike["share_mean"] == pytest.approx(apart["share_mean"])


def test_frames_weigh_as_their_error_says() -> None:
    """By hand: 10 frames of 4 sq ft, 4 of them with one weed, 1.35 to an independent one:
    at random 1 - 0.6 ^ r for a footprint of r frames.

    The footprint is not entered, so r is 1: share 0.4, its error root(0.24 x 1.35 / 10),
    which is that of 10 / 1.35 patches.
    """
    frames = [{"pass": "First", "field": "North", "frame": n, "frame_area": 4.0, "count": int(n <= 4)}
              for n in range(1, 11)]
    farm = small_farm(fields={"area": 300.0},
                      passes={"method": "spot", "carrier": 10.0, "sprayed_share": 0.2})
    found = first(make_plan(replace(farm, tables={**farm.tables, "scouting": frames})), "scout_shares")

    assert (found["k"], found["scouting_share"]) == ("", pytest.approx(0.4))
    assert found["standard_error"] == pytest.approx((0.24 * 1.35 / 10) ** 0.5)
    assert found["weight"] == pytest.approx(10 / 1.35)


def test_rolling_over_keeps_what_was_sprayed() -> None:
    """A pass with 440 gal on 110 acres driven is 44 acres sprayed, 40 %; the season after starts from it."""
    rolled = roll_over(logged_farm([(60.0, 240.0), (50.0, 200.0)]))

    [row] = rolled.rows("spot_history")
    assert [row[key] for key in ("season", "field", "pass", "share", "volume", "area_driven",
                                 "area_sprayed")] == [2026, "North", "First", pytest.approx(0.4), 440, 110,
                                                      pytest.approx(44)]
    assert rolled.rows("load_log") == []
    assert first(make_plan(rolled), "share_estimates")["history_share"] == pytest.approx(0.4)


def test_seasons_stand_beside_each_other() -> None:
    """One page: 40 % this season as logged on all that is driven, 30 and 50 % last season make 40,
    20 % two ago; the totals add up driven and sprayed.
    """
    rows = [(2025, 0.3, 300.0, 90.0), (2025, 0.5, 100.0, 50.0), (2024, 0.2, None, None)]
    history = [{"season": season, "field": "North", "pass": "First", "share": share, "area_driven": driven,
                "area_sprayed": sprayed} for season, share, driven, sprayed in rows]
    farm = logged_farm([(60.0, 240.0), (50.0, 200.0)])
    plan = make_plan(replace(farm, tables={**farm.tables, "spot_history": history}))
    field, totals = first(plan, "season_fields"), plan.tables["season_totals"]

    assert ([field[key] for key in ("this_season", "last", "two_ago", "three_ago")]
            == [pytest.approx(first(plan, "spot_passes")["share_likely"]), pytest.approx(0.4),
                pytest.approx(0.2), ""])
    assert [(row["passes"], row["area_driven"], row["area_sprayed"], row["share"]) for row in totals] == [
        (1, 110, pytest.approx(44), pytest.approx(0.4)), (2, 400, 140, pytest.approx(0.35)), (1, 0, 0, ""),
        (0, 0, 0, "")]


def test_plan_and_actual_stand_side_by_side() -> None:
    """20 % expected of 110 acres at 10 gal/ac is 220 gal.

    440 were sprayed, more than is enough 8 times in 10 for so firm a class, and products cost 2.50 an acre.
    """
    farm = logged_farm([(60.0, 240.0), (50.0, 200.0)])
    classes = [{"pressure_class": "sure", "expected_share": 0.2, "evidence_area": 4000.0}]
    plan = make_plan(replace(farm, tables={**farm.tables, "pressure_classes": classes,
                                           "passes": [{**farm.rows("passes")[0], "pressure_class": "sure"}]}))
    actual = first(plan, "spot_actual")

    assert [actual[key] for key in ("share_before", "volume_before", "share", "volume", "product_cost",
                                    "saved", "enough")] == [
pytest.approx(0.2), pytest.approx(220), pytest.approx(0.4), 440, pytest.approx(44 * 2.5),
pytest.approx(66 * 2.5), "no"]
    assert (first(plan, "spot_trust")["said"]
            == "What is enough 8 times in 10 was enough in 0 of 1, too few to judge by")
