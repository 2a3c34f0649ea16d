"""One cost per acre everywhere, one trip paid once, and what of the total nobody typed:
small farms worked by hand.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import replace
from typing import Any

import pytest
from agreement import differences
from engine_help import engines_at_length
from small_farm import first, small_farm, small_plan

from workbook_builder.build import Built
from workbook_builder.core.columns import LOOK, NOT_ENTERED
from workbook_builder.core.inputs import Inputs
from workbook_builder.export.json_text import plan_as_json
from workbook_builder.features import TYPED_TABLES
from workbook_builder.features.cost.definitions import NO_TRIP
from workbook_builder.planning import Plan, make_plan
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.cover_note import cover_note

DAY = dt.date(2026, 5, 1)
#: 10 mph x 82.5 ft / 8.25 = 100 ac/h: the field of 100 acres takes one hour.
SPRAYER = {"spot_tank": 100.0, "boom_width": 82.5, "speed": 10.0, "field_efficiency": 1.0,
           "cost_per_area": 7.5, "cost_per_hour": 120.0}
SPOTS = {"method": "spot", "sprayed_share": 0.2, "carrier": 10.0}
TERMS = {"sprayer": "Boom", "use": "in crop", "fee": 3.0}


def trip_farm(machine: dict[str, Any] | None = None, **spots: Any) -> Inputs:
    """Return a farm of one 100-acre field with a broadcast pass and a spot pass in one trip with it."""
    farm = small_farm(fields={"area": 100.0}, sprayers={**SPRAYER, **(machine or {})}, spot_terms=TERMS)
    [broadcast] = farm.rows("passes")
    other = {**farm.rows("sprayers")[0], "sprayer": "Other"}
    passes = [broadcast, {**broadcast, "pass": "Spots", **SPOTS, "partner_pass": "First", **spots}]
    return replace(farm, tables={**farm.tables, "passes": passes,
                                 "sprayers": [*farm.rows("sprayers"), other]})


def test_every_page_shows_the_same_cost_per_acre() -> None:
    """Products 50, carrier 2, driving 870 and fees 300 are 12.22 an acre on each sheet, on paper and as JSON.

    By hand: 32 fl oz/ac at 10 a gallon is 2.50 an acre, on 20 of 100 acres; 200 gal at 0.01;
    100 x 7.50 + 1 h x 120; 100 x 3.
    """
    plan = small_plan(fields={"area": 100.0}, sprayers=SPRAYER, passes=SPOTS, spot_terms=TERMS)
    cost, said = first(plan, "cost_farm"), json.loads(plan_as_json(plan))

    assert [round(cost[key], 6) for key in ("product_cost", "carrier_cost", "application_cost", "fee",
                                            "total_cost")] == [50, 2, 870, 300, 1222]
    for table, key in (
        ("cost_farm", "cost_per_field_area"), ("glance", "cost_per_field_area"),
        ("cost_passes", "cost_per_field_area"), ("cost_fields", "cost_per_area"),
        ("cost_crops", "cost_per_area"), ("cost_pass_names", "cost_per_area"), ("full_farm", "full_per_area"),
        ("full_costs", "full_per_area"), ("full_fields", "full_per_area"), ("full_crops", "full_per_area"),
        ("full_pass_names", "full_per_area"),
    ):
        assert first(plan, table)[key] == pytest.approx(12.22), (table, key)
    assert [said["cost_farm"][0][key] for key in ("cost_per_field_area", "cost_per_area")] == [12.22, 12.22]
    assert said["cost_passes"][0]["fee"] == 300
    assert "12.22" in cover_note(plan, Choice())


def test_what_the_total_holds_is_said_in_one_line() -> None:
    """Under the total stand its parts, the carrier nobody priced, and nothing else.

    On the first sheet, on paper and as JSON.
    """
    plan = small_plan(fields={"area": 100.0}, sprayers=SPRAYER, passes=SPOTS, spot_terms=TERMS)
    note = cover_note(plan, Choice())

    for row in (first(plan, "glance"), first(plan, "cost_farm"),
                json.loads(plan_as_json(plan))["cost_farm"][0]):
        assert row["holds"] == "products 50, carrier 2, application 870, spot fees 300"
        assert row["assumed"] == "carrier at 0.0100 per gal: 2"
        assert not row["left_out"]
    assert ("products 50, carrier 2, application 870, spot fees 300; assumed in it: carrier at 0.0100 per "
            "gal: 2.") in note


def test_a_price_somebody_typed_is_no_assumption() -> None:
    """A carrier cost of one's own is part of the total and no longer called an assumption."""
    plan = small_plan(fields={"area": 100.0}, sprayers=SPRAYER, passes=SPOTS, spot_terms=TERMS,
                      assumptions={"water_cost": 0.03})

    assert first(plan, "cost_farm")["holds"].startswith("products 50, carrier 6,")
    assert first(plan, "cost_farm")["assumed"] == ""


def test_usual_figures_of_a_machine_are_called_assumptions() -> None:
    """Oil, labor hours, repairs and resale by the usual figures are named beside the total.

    Typed ones are not.
    """
    machine = {"list_price": 90000.0, "keep_years": 10}
    typed = {**machine, "repairs_per_year": 900.0, "sale_value": 20000.0}

    assert first(small_plan(sprayers={**SPRAYER, **machine}),
                 "cost_farm")["assumed"].endswith("; usual machine figures: 1 sprayer")
    assert (first(small_plan(sprayers={**SPRAYER, **typed}), "cost_farm")["assumed"]
            == "carrier at 0.0100 per gal: 12")
    assert "1 sprayer" in first(small_plan(sprayers={**SPRAYER, **typed, "fuel_per_hour": 8.0},
                                           farm={"fuel_price": 3.0}), "cost_farm")["assumed"]


@pytest.mark.parametrize(
    "changes",
    [
        {"products": {"package_price": None}},
        {"spot_terms": {**TERMS, "sprayer": "Another"}},
        {"sprayers": {**SPRAYER, "speed": None}},
        {"passes": {**SPOTS, "mix": None}},
    ],
)
def test_a_total_that_lacks_something_says_so(changes: dict[str, Any]) -> None:
    """Without a price, a fee, hours or an amount the total stands, and says in one line that it is not whole.
    """
    plan = small_plan(**{"fields": {"area": 100.0}, "sprayers": SPRAYER, "passes": SPOTS,
                         "spot_terms": TERMS, **changes})

    assert first(plan, "cost_farm")["left_out"] == "what 1 pass lacks: price, hours, fee or amount"
    assert "missing from it: what 1 pass lacks" in cover_note(plan, Choice())


def test_a_pass_that_cannot_be_counted_is_in_no_total() -> None:
    """Where the amount of a pass is not known, no part of it is in any total: all pages agree,
    and say that it is missing.
    """
    plan = make_plan(trip_farm(None, carrier=None, partner_pass=None))
    totals = {
        table: sum(row[key] for row in plan.tables[table] if row[key] != "")
        for table, key in (
            ("cost_passes", "total_cost"), ("cost_fields", "total_cost"), ("cost_crops", "total_cost"),
            ("cost_pass_names", "total_cost"),
            ("cost_farm", "total_cost"), ("full_costs", "full_cost"), ("full_fields", "full_cost"),
            ("full_farm", "full_cost"),
        )
    }

    assert len({round(total, 6) for total in totals.values()}) == 1, totals
    assert first(plan, "cost_farm")["left_out"].startswith("what 1 pass lacks")


def costs(plan: Plan) -> list[tuple[float, float, float]]:
    """Return application cost, area driven and hours paid of every pass."""
    return [
        (round(cost["application_cost"], 6), trip["area"], round(trip["hours"], 6))
        for cost, trip in zip(plan.tables["cost_passes"], plan.tables["trips"], strict=True)
        if cost["pass"] != ""
    ]


def test_a_trip_is_paid_once() -> None:
    """A spot pass with its partner is one drive: 100 x 7.50 + 1 h x 120 = 870 once, 100 acres driven,
    one hour.
    """
    plan = make_plan(trip_farm())

    assert costs(plan) == [(870, 100, 1), (0, 0, 0)]
    assert (first(plan, "cost_farm")["application_cost"],
            first(plan, "cost_farm")["driven_area"]) == (870, 100)
    assert (first(plan, "sprayer_costs")["plan_area"], first(plan, "sprayer_costs")["plan_hours"]) == (100, 1)
    assert first(plan, "full_farm")["hours"] == 1
    assert plan.tables["full_costs"][1]["counted"] == "in the trip of First"
    assert plan.tables["pass_times"][1]["hours"] == 1


def test_only_stops_beyond_the_partners_are_paid_more() -> None:
    """The partner takes 2 fills, the spot tank of 100 gal 5:
    three stops more of 15 minutes are three quarters of an hour.

    By hand: 100 ac x 15 gal / 1000 = 1.5 loads; 100 ac x 0.45 x 10 gal / 100 = 4.5 loads;
    driving 100 / (100 x 0.8) = 1.25 h and 2 x 0.25 h.
    """
    plan = make_plan(trip_farm({"travel_efficiency": 0.8, "fill_minutes": 10.0, "haul_minutes": 5.0},
                               sprayed_share=0.45))

    assert costs(plan) == [(750 + 1.75 * 120, 100, 1.75), (90, 0, 0.75)]


@pytest.mark.parametrize("apart",
                         [{"date": dt.date(2026, 5, 2)}, {"sprayer": "Other"}, {"partner_pass": "Spots"}])
def test_two_trips_are_paid_twice_and_said(apart: dict[str, Any]) -> None:
    """Another day or sprayer, or a partner that is no broadcast pass, is a trip of its own,
    and the cost check says so.
    """
    plan = make_plan(trip_farm(None, **apart))

    assert costs(plan) == [(870, 100, 1), (870, 100, 1)]
    assert (plan.tables["cost_passes"][1]["status"],
            plan.tables["cost_passes"][1]["finding"]) == (LOOK, NO_TRIP)


def test_a_logged_day_decides_whether_it_was_one_trip() -> None:
    """Planned for one day but logged on another, the spot pass was a trip of its own."""
    farm = trip_farm()
    log = [{"pass": "Spots", "field": "North", "date": dt.date(2026, 5, 4)}]

    assert (costs(make_plan(replace(farm, tables={**farm.tables, "spray_log": log})))
            == [(870, 100, 1), (870, 100, 1)])


def test_own_cost_holds_the_charge_per_area() -> None:
    """Owning at 0.40 an acre and a charge of 2.00 are 2.40: hiring at 2.30 costs less,
    and owning pays above 26,667 acres.

    By hand: (100,000 - 20,000) / 10 = 8,000 a year over 200 h x 100 ac/h; 8,000 / (2.30 - 2.00).
    """
    owned = {"purchase_price": 100000.0, "keep_years": 10, "sale_value": 20000.0, "hours_per_year": 200.0,
             "repairs_per_year": 0.0}
    plan = small_plan(sprayers={**SPRAYER, **owned, "cost_per_area": 2.0, "hire_rate": 2.3})
    row = first(plan, "sprayer_costs")

    assert (row["running_area"], row["own_area"]) == (pytest.approx(2.0), pytest.approx(2.4))
    assert row["advice"] == "Hiring costs less"
    assert row["hire_even_area"] == pytest.approx(8000 / 0.3)


def test_total_is_the_full_cost_on_every_pass(farm: Built) -> None:
    """Whatever is typed of a machine, the cost of a pass, a field and the farm is the full cost of it."""
    tables = farm.plan.tables
    for plain, full in (("cost_passes", "full_costs"), ("cost_fields", "full_fields"),
                        ("cost_crops", "full_crops"), ("cost_pass_names", "full_pass_names"),
                        ("cost_farm", "full_farm")):
        pairs = [(a["total_cost"], b["full_cost"]) for a, b in zip(tables[plain], tables[full], strict=True)
                 if a["total_cost"] != ""]
        assert pairs
        assert [a for a, _ in pairs] == pytest.approx([b for _, b in pairs])


@engines_at_length
def test_engines_agree_on_trips_and_totals(engine_name: str) -> None:
    """Every engine pays the trip once, then twice when the spot pass is moved to another day,
    and says what is missing.
    """
    inputs = trip_farm({"travel_efficiency": 0.8, "fill_minutes": 10.0, "haul_minutes": 5.0,
                        "list_price": 90000.0, "keep_years": 10})
    edits = [("passes", 1, "date", DAY + dt.timedelta(3)), ("passes", 0, "carrier", None),
             ("products", 0, "package_price", None), ("assumptions", 0, "water_cost", 0.02)]

    assert differences(inputs, engine_name, edits) == []


def test_missing_fee_is_not_entered() -> None:
    """A spot pass whose terms are missing is Not entered in its own check, not silently free."""
    plan = small_plan(passes=SPOTS, spot_terms={**TERMS, "sprayer": "Another"})

    assert first(plan, "spot_against_broadcast")["status"] == NOT_ENTERED


def test_defaults_are_the_same_in_both_systems() -> None:
    """A default in another unit is the same money, length or speed:
    a farm that typed nothing pays the same per acre as per hectare.
    """
    us, metric = small_plan("us"), small_plan("metric")
    factors = {"water_cost": 3.785411784, "wind_low": 1 / 1.609344, "wind_high": 1 / 1.609344}

    for key, factor in factors.items():
        assert first(metric, "assumptions")[key] * factor == pytest.approx(
            first(us, "assumptions")[key], rel=1e-9), key
    assert (first(metric, "spot_figures")["patch_size"] / 0.40468564224
            == pytest.approx(first(us, "spot_figures")["patch_size"], rel=1e-9))
    assert (first(metric, "mitigation_settings")["managed_needed"] / 0.3048
            == pytest.approx(first(us, "mitigation_settings")["managed_needed"], rel=1e-9))
    assert (first(metric, "agronomy_factors")["usual_ams_floor"] / 0.11982642731689663
            == pytest.approx(first(us, "agronomy_factors")["usual_ams_floor"], rel=1e-9))
    for key in ("usual_low_pressure", "usual_high_pressure"):
        assert (first(metric, "agronomy_factors")[key] / 0.06894757293168362
                == pytest.approx(first(us, "agronomy_factors")[key], rel=1e-9))
    units = {column.quantity for table in TYPED_TABLES for column in table.columns
             if isinstance(column.default, (int, float)) and column.default}
    assert (units <= {"share", "minutes", "hours", "count", "days", "degrees", "number", "factor",
                      "delta_t", "ppm", "ph"})
