"""Identities of the money: what must hold whatever the prices are."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from agreement import differences
from engine_help import engines_at_length
from small_farm import first, small_farm, small_plan

from workbook_builder.build import Built, with_defaults
from workbook_builder.core.draft import Cells
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.rounding import rounded
from workbook_builder.features.cost.definitions import carrier_cost
from workbook_builder.features.full_cost.columns import PARTS
from workbook_builder.planning import Plan, make_plan
from workbook_builder.verify import edited

SPRAYER = {
    "main_tank": 900.0, "boom_width": 80.0, "speed": 11.0, "field_efficiency": 0.65, "travel_efficiency": 0.8,
    "fill_minutes": 10.0,
    "haul_minutes": 6.0, "fuel_per_hour": 9.0,
}
FARM = {"labor_rate": 22.0, "fuel_price": 3.5, "interest_rate": 0.06}


def spot_plan(share: float, fee: float, spot_tank: float | None = None, **settings: Any) -> Cells:
    """Return the comparison of one spot pass in fallow at a share and a fee."""
    plan = small_plan(
        farm=FARM, sprayers={**SPRAYER, "spot_tank": spot_tank},
        passes={"method": "spot", "sprayed_share": share}, fields={"crop": "fallow"},
        spot_terms={"sprayer": "Boom", "use": "fallow", "fee": fee}, assumptions=settings,
    )
    return first(plan, "spot_against_broadcast")


@pytest.mark.parametrize("spot_tank", [None, 300.0, 900.0])
def test_spot_equals_broadcast_when_everything_is_sprayed(spot_tank: float | None) -> None:
    """At a share of 1 with no fee, spot spraying and broadcasting cost the same to the cent."""
    row = spot_plan(1.0, 0.0, spot_tank)

    assert row["product_saved"] == row["water_saved"] == row["refills_saved"] == 0
    assert row["net"] == pytest.approx(0, abs=0.005)
    assert row["spot_cost"] == pytest.approx(row["broadcast_cost"], abs=0.005)


@pytest.mark.parametrize(
    ("fee", "spot_tank", "settings"),
    [(1.0, None, {}), (2.0, 300.0, {}), (0.5, 600.0, {"escape_loss": 0.4}),
     (0.8, 300.0, {"second_pass": 0.15}), (0.3, None, {"escape_loss": 0.2, "second_pass": 0.3})],
)
def test_break_even_share_put_back_gives_nothing(fee: float, spot_tank: float | None,
                                                 settings: dict[str, float]) -> None:
    """Spraying exactly the break-even share leaves a net of nothing; less pays and more does not."""
    even = spot_plan(0.3, fee, spot_tank, **settings)["break_even_share"]

    assert 0 < even < 1
    assert spot_plan(even, fee, spot_tank, **settings)["net"] == pytest.approx(0, abs=1e-9)
    assert (spot_plan(even - 0.05, fee, spot_tank, **settings)["net"] > 0
            > spot_plan(even + 0.05, fee, spot_tank, **settings)["net"])


def test_break_even_share_by_hand() -> None:
    """32 fl oz at 10 $/gal is 2.50 $/ac, water at 15 gal/ac is 0.15 $/ac:
    a fee of 1 $/ac pays up to 1.65/2.65.
    """
    plan = small_plan(
        passes={"method": "spot", "sprayed_share": 0.2}, fields={"crop": "fallow"},
        spot_terms={"sprayer": "Boom", "use": "fallow", "fee": 1.0},
    )
    row = first(plan, "spot_against_broadcast")

    assert row["product_area"] == pytest.approx(2.5)
    assert row["break_even_share"] == pytest.approx(1.65 / 2.65)
    assert row["product_saved"] == pytest.approx(2.5 * 80 * 0.8)
    assert row["net_per_area"] == pytest.approx(2.65 * 0.8 - 1)


def test_a_fee_above_the_product_never_pays() -> None:
    """With a fee above everything that can be saved there is no break-even share and the pass is flagged."""
    row = spot_plan(0.1, 9.0)

    assert (row["break_even_share"], row["chance"], row["status"]) == ("", 0, "Review")


def test_missing_terms_are_not_entered() -> None:
    """A spot pass whose sprayer has no terms is Not entered, its fee counted as nothing."""
    plan = small_plan(passes={"method": "spot", "sprayed_share": 0.2})
    row = first(plan, "spot_against_broadcast")

    assert (row["status"], row["fee"]) == ("Not entered", 0)


def test_net_of_a_pass_is_the_sum_of_its_parts(farm: Built) -> None:
    """The net added up part by part is the straight line of start and slope, per area."""
    for row in farm.plan.tables["spot_against_broadcast"]:
        if row["on"] and row["share"] < 1:
            assert row["net_per_area"] == pytest.approx(row["start"] - row["slope"] * row["share"], abs=1e-9)
            assert row["net"] == pytest.approx(row["net_per_area"] * row["area"], abs=1e-6)


def _total(plan: Plan, table: str, key: str) -> float:
    return sum(row[key] for row in plan.tables[table] if row[key] != "")


@pytest.mark.parametrize("key", [*PARTS, "cash_cost", "full_cost"])
def test_totals_by_field_pass_and_crop_agree(farm: Built, key: str) -> None:
    """Every part of the cost adds up to the same by pass, field, crop and pass name, and for the farm."""
    by_pass = _total(farm.plan, "full_costs", key)

    for table in ("full_fields", "full_crops", "full_pass_names", "full_farm"):
        assert _total(farm.plan, table, key) == pytest.approx(by_pass, abs=1e-6), table


def test_spotting_by_crop_adds_up(farm: Built) -> None:
    """The season's spot spraying is the same by pass, by crop and in all."""
    for key in ("area", "product_saved", "fee", "net"):
        by_pass = _total(farm.plan, "spot_against_broadcast", key)
        assert _total(farm.plan, "spot_crops", key) == pytest.approx(by_pass)
        assert farm.plan.tables["spot_season"][0][key] == pytest.approx(by_pass)


def test_cash_layer_holds_what_the_plain_cost_holds(farm: Built) -> None:
    """Products and carrier of the layers are those of the plain cost by pass."""
    for plain, full in zip(farm.plan.tables["cost_passes"], farm.plan.tables["full_costs"], strict=True):
        if full["known"]:
            assert (full["products"], full["carrier"]) == (plain["product_cost"], plain["carrier_cost"])


def test_orders_cover_the_need(farm: Built) -> None:
    """On hand and ordered packages cover what is wanted, and one package less would not."""
    for row in farm.plan.tables["order_list"]:
        if row["wanted"] != "":
            held = row["on_hand"] + row["packages"] * row["size"]
            assert held >= row["wanted"] - 1e-6
            assert row["leftover"] == pytest.approx(held - row["wanted"], abs=5.1e-5)
            assert row["packages"] == 0 or held - row["size"] < row["wanted"]


def test_order_is_the_sum_of_the_pick_lists(farm: Built) -> None:
    """What is wanted of a product is what all pick lists take along."""
    for product in farm.plan.tables["order_list"]:
        picked = sum(line["amount"] for line in farm.plan.tables["pick_list"]
                     if line["product_row"] == product["row_no"] and line["amount"] != "")
        assert picked == pytest.approx(product["wanted"] or 0)


def test_orders_are_listed_by_the_day_to_order(demo: Built) -> None:
    """The list of orders holds each order once, the first to be placed first,
    products needed on no known day last.
    """
    rows = [row for row in demo.plan.tables["drop_list"] if row["product"] != ""]
    dates = [row["order_by"] or 99999 for row in rows]

    assert dates == sorted(dates)
    assert rows[-1]["so_far"] == pytest.approx(demo.plan.tables["order_totals"][0]["cost"])
    assert len(rows) == demo.plan.tables["order_totals"][0]["products"]


def test_more_confidence_orders_no_less(demo: Built) -> None:
    """Asking for more confidence never lowers what is wanted."""
    cautious = make_plan(edited(demo.plan.inputs, "farm", 0, "confidence", 0.95), demo.plan.room)

    for before, after in zip(demo.plan.tables["order_list"], cautious.tables["order_list"], strict=True):
        assert before["wanted"] == "" or after["wanted"] >= before["wanted"] - 1e-9


def test_late_delivery_and_cheaper_packages_are_flagged() -> None:
    """A delivery after the first use and a package size that costs or leaves less are said in words."""
    plan = small_plan(
        products={"package_size": 30.0, "package_price": 300.0, "drop_date": dt.date(2026, 6, 1),
                  "supplier": "Invented supplier"},
        package_sizes={"product": "Product", "package_size": 2.5, "package_price": 26.0},
        assumptions={"step_off": 0.0},
    )
    row = first(plan, "order_list")

    assert (row["wanted"], row["packages"], row["status"]) == (pytest.approx(20), 1, "Review")
    assert (row["finding"] == "Delivered after it is first needed. Another package size saves $92. Another "
                              "package size leaves 10 gal less.")


MACHINE = {"price_premium": 145000.0, "trade_in": 36000.0, "life_years": 8, "area_per_year": 3200.0,
           "saving_per_area": 9.0}
#: Machines without a rate of return, or with an odd one.
CORNERS: dict[str, dict[str, Any]] = {
    "saves nothing": {"saving_per_area": -5.0},
    "no premium": {"price_premium": 0.0, "trade_in": 0.0},
    "hardly anything comes back": {"price_premium": 9e6, "trade_in": 0.0},
    "a loss with a rate below none": {"price_premium": 120000.0, "trade_in": 0.0, "saving_per_area": 3.0},
    "years past the list": {"life_years": 39},
    "one year": {"life_years": 1},
    "as usual": {},
}


@pytest.fixture(scope="module")
def corners() -> Plan:
    """A farm with a sprayer and a machine for each corner case."""
    farm = small_farm(farm=FARM)
    sprayers = [{**farm.rows("sprayers")[0], **SPRAYER, "sprayer": name} for name in CORNERS]
    machines = [{"sprayer": name, **MACHINE, **changes} for name, changes in CORNERS.items()]
    passes = [{**farm.rows("passes")[0], "sprayer": "as usual"}]
    return make_plan(with_defaults(Inputs({**farm.tables, "sprayers": sprayers, "machine": machines,
                                           "passes": passes})))


@engines_at_length
def test_machine_corner_cases_agree(corners: Plan, engine_name: str) -> None:
    """Machines without a rate of return, or with an odd one, show words and no error in any engine."""
    assert differences(corners.inputs, engine_name) == []


def test_machine_corner_cases_have_a_rate_or_a_reason(corners: Plan) -> None:
    """A machine shows its rate of return or says why there is none; some of these have none."""
    rows = {row["sprayer"]: row for row in corners.tables["machine_payback"] if row["live"]}

    assert set(rows) == set(CORNERS)
    assert all((row["irr"] == "") == bool(row["no_rate"]) for row in rows.values())
    assert ({name for name, row in rows.items() if row["no_rate"]}
            == {"saves nothing", "no premium", "hardly anything comes back"})
    assert rows["a loss with a rate below none"]["irr"] < 0 < rows["as usual"]["irr"]


@engines_at_length
def test_no_interest_and_no_prices_agree(engine_name: str) -> None:
    """Without interest, fuel, labor or prices the machine and its sprayer still count, in every engine."""
    inputs = small_farm(
        sprayers={**SPRAYER, "list_price": 90000.0, "keep_years": 10},
        passes={"method": "spot", "sprayed_share": 0.3}, fields={"crop": "fallow"},
        machine={"sprayer": "Boom", "price_premium": 20000.0, "trade_in": 0.0, "life_years": 10,
                 "area_per_year": 1000.0},
    )

    assert differences(inputs, engine_name) == []
    assert first(make_plan(inputs), "machine_payback")["recovery"] == pytest.approx(2000)


def test_carrier_by_hand() -> None:
    """Half the field from 800 gal mixed at a cent a gallon is 4.

    500 gal logged are 5, whatever the part. Worked by hand.
    """
    assert carrier_cost("", 800.0, 0.5, 0.01) == pytest.approx(4)
    assert carrier_cost(500.0, 800.0, 0.5, 0.01) == pytest.approx(5)


@pytest.mark.parametrize("money", [0.0, 999.4, 999.5, 1000.0, 12005.0, 999999.5, 1002003.0, -999.0, -46566.0,
                                   12345678901.0])
def test_sentences_tell_money_with_commas(money: float) -> None:
    """What the season costs is told to the whole sum, with a comma before every three digits."""
    inputs = small_farm(farm={"currency": "$"}, products={"package_price": 0.0},
                        sprayers={"cost_per_area": money / 80})
    told = first(make_plan(inputs), "glance")["holds"]

    assert f"application {rounded(money, 0):,.0f}, " in told
    assert differences(inputs, "IronCalc") == []
