"""Orders say their basis: what is expected, what your confidence asks for, what is on hand,
what to order and by when.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import replace
from typing import Any

import pytest
from agreement import differences
from engine_help import engines_at_length
from scipy.stats import beta
from small_farm import first, small_farm

from workbook_builder.core.draft import Cells, serial
from workbook_builder.core.inputs import Inputs
from workbook_builder.export.json_text import plan_as_json
from workbook_builder.features.orders.definitions import order
from workbook_builder.planning import make_plan

MAY, JUNE = dt.date(2026, 5, 1), dt.date(2026, 6, 10)
SPOTS = {"method": "spot", "carrier": 10.0, "pressure_class": "light"}
CLASS = {"pressure_class": "light", "expected_share": 0.3, "evidence_area": 80.0}


def order_farm(passes: list[dict[str, Any]] | None = None, product: dict[str, Any] | None = None,
               **tables: list[dict[str, Any]]) -> Inputs:
    """Return 100 acres sprayed at a quarter of a gallon an acre (32 fl oz), packed by 10 gal,
    with 5 gal in store.

    Loads of 2,133 1/3 and 1,066 2/3 fl oz are measured to the fluid ounce, 2,133 and 1,067,
    which is 25 gal again.
    """
    farm = small_farm(
        fields={"area": 100.0}, farm={"patch_area": 20.0, "confidence": 0.8}, pressure_classes=CLASS,
        sprayers={"spot_tank": 100.0}, assumptions={"step_off": 0.0},
        products={"package_size": 10.0, "package_price": 100.0, "on_hand": 5.0, **(product or {})},
    )
    [planned] = farm.rows("passes")
    return replace(farm, tables={**farm.tables, "passes": [{**planned, **each} for each in passes or [{}]],
                                 **tables})


def ordered(inputs: Inputs) -> Cells:
    """Return what is to be ordered of the one product."""
    return first(make_plan(inputs), "order_list")


def log(**more: Any) -> list[dict[str, Any]]:
    """Return a spray log that holds the first pass."""
    return [{"pass": "First", "field": "North", "date": MAY, **more}]


def loads(area: float, volume: float) -> list[dict[str, Any]]:
    """Return a load log of one load."""
    return [{"pass": "First", "field": "North", "load": 1, "area_covered": area, "volume_sprayed": volume}]


def test_a_broadcast_pass_is_needed_as_planned() -> None:
    """100 acres at a quarter gallon need 25 gal either way.

    5 are in store, so 20 are ordered, ten days before 1 May.
    """
    row = ordered(order_farm(product={"delivery_days": 10}))

    assert ([row[key] for key in ("expected", "wanted", "on_hand", "missing", "packages")]
            == pytest.approx([25, 25, 5, 20, 2]))
    assert ((row["first_use"], row["delivery_days"], row["order_by"])
            == (serial(MAY), 10, serial(dt.date(2026, 4, 21))))


def test_a_product_without_days_of_its_own_takes_the_usual_ones() -> None:
    """A week to deliver where nobody typed another time, whatever day the supplier named."""
    row = ordered(order_farm(product={"drop_date": dt.date(2026, 4, 28)}))

    assert ((row["delivery_days"], row["order_by"], row["drop_date"])
            == (7, serial(dt.date(2026, 4, 24)), serial(dt.date(2026, 4, 28))))


def test_a_spot_pass_is_needed_by_its_mean_and_by_your_confidence() -> None:
    """Four patches at 30 % are a Beta(1.2, 2.8): 7.5 gal at the mean,
    and 25 gal times its 80 % quantile (scipy) to be enough 8 times in 10.
    """
    row = ordered(order_farm([SPOTS]))

    assert row["expected"] == pytest.approx(7.5)
    assert row["wanted"] == pytest.approx(25 * beta.ppf(0.8, 1.2, 2.8), rel=1e-9)
    assert row["expected"] < row["wanted"]
    assert row["missing"] == pytest.approx(row["wanted"] - 5)


def test_a_typed_share_is_expected_and_as_firm_as_its_class() -> None:
    """Where a share of 60 % is typed it is what is expected.

    With the four patches of the class it is a Beta(2.4, 1.6), ordered at its 80 % quantile (scipy).
    """
    row = ordered(order_farm([{**SPOTS, "sprayed_share": 0.6}]))

    assert ((row["expected"], row["wanted"]) == (pytest.approx(15),
                                                 pytest.approx(25 * beta.ppf(0.8, 2.4, 1.6), rel=1e-9)))


@pytest.mark.parametrize(
    ("passes", "tables", "left"),
    [
        ([{}], {"spray_log": log()}, 0),
        ([{}], {"spray_log": log(area_treated=40.0)}, 60),
        ([{}], {"spray_log": log(area_treated=100.0)}, 0),
        ([{}], {"spray_log": [{"pass": "First", "field": "North"}]}, 100),
        ([SPOTS], {"spray_log": log()}, 0),
        ([SPOTS], {"spray_log": log(area_treated=8.0)}, 0),
        ([SPOTS], {"spray_log": log(start_time=dt.time(8), end_time=dt.time(11)),
                   "load_log": loads(90.0, 90.0)}, 0),
        ([SPOTS], {"spray_log": log(start_time=dt.time(8)), "load_log": loads(40.0, 40.0)}, 60),
        ([SPOTS], {"load_log": loads(40.0, 40.0)}, 60),
        ([SPOTS], {"load_log": loads(100.0, 100.0)}, 0),
    ],
)
def test_what_is_logged_orders_nothing_more(passes: list[dict[str, Any]],
                                            tables: dict[str, list[dict[str, Any]]], left: float) -> None:
    """A pass that is done needs nothing, one half done what is left of it,
    and one whose record has no day all of it.
    """
    plan = make_plan(order_farm(passes, **tables))
    row, estimate = first(plan, "order_list"), first(plan, "share_estimates")
    expected = 0.25 * left * (estimate["share_mean"] if passes[0] else 1)

    assert row["expected"] == pytest.approx(expected)
    if left == 0:
        assert (row["wanted"], row["packages"], row["cost"], row["first_use"],
                row["order_by"]) == (0, 0, 0, "", "")
        assert [line["product"] for line in plan.tables["drop_list"] if line["product"] != ""] == []
    else:
        assert row["wanted"] >= row["expected"] > 0


def test_first_use_is_that_of_what_is_still_to_be_sprayed() -> None:
    """With the May pass logged, the product is first needed in June and ordered a week before."""
    row = ordered(order_farm([{}, {"pass": "Second", "date": JUNE}], spray_log=log()))

    assert ((row["wanted"], row["first_use"], row["order_by"])
            == (pytest.approx(25), serial(JUNE), serial(dt.date(2026, 6, 3))))


def test_a_logged_pass_lacks_no_figure() -> None:
    """What is missing of a pass already sprayed is no reason to call an order not entered."""
    tables: dict[str, Any] = {"spray_log": log()}
    blank = ordered(order_farm([{"carrier": None}, {"pass": "Second", "date": JUNE}], **tables))

    assert blank["status"] == "OK"
    assert ordered(order_farm([{"carrier": None},
                               {"pass": "Second", "date": JUNE}]))["status"] == "Not entered"


def test_the_list_shows_its_basis_and_reaches_json() -> None:
    """What to order by when stands with both needs, what is on hand and the last day.

    The totals name the confidence.
    """
    plan = make_plan(order_farm([SPOTS]))
    line, said = first(plan, "drop_list"), json.loads(plan_as_json(plan))["order_list"][0]
    row = first(plan, "order_list")

    for key in ("expected", "wanted", "on_hand", "missing", "packages", "order_by", "first_use"):
        assert line[key] == row[key] != "", key
    assert first(plan, "order_totals")["confidence"] == 0.8
    assert (said["order_by"], said["delivery_days"]) == ("2026-04-24", 7)
    assert ([said[key] for key in ("expected", "wanted", "missing")]
            == pytest.approx([row[key] for key in ("expected", "wanted", "missing")]))


@engines_at_length
def test_engines_agree_on_orders(engine_name: str) -> None:
    """Every engine orders for both passes, then for the spot pass alone once the first is logged,
    by another time of delivery.
    """
    inputs = order_farm([{}, {**SPOTS, "pass": "Second", "date": JUNE}])
    edits = [("spray_log", 0, key, value) for key, value in log(area_treated=30.0)[0].items()]
    edits += [("products", 0, "delivery_days", 21), ("passes", 1, "sprayed_share", 0.1),
              ("assumptions", 0, "usual_delivery_days", 3)]

    assert differences(inputs, engine_name, edits) == []


@pytest.mark.parametrize(("wanted", "packages"),
                         [(72.99996, 73), (73.0, 73), (73.00004, 73), (73.00006, 74), (72.001, 73)])
def test_a_ten_thousandth_of_a_package_is_nothing(wanted: float, packages: int) -> None:
    """What is left of measuring neither breaks a full package open nor orders one more.

    Worked out by hand; common practice, no source.
    """
    assert order(wanted * 0.001, 0.0, 0.001).packages == packages
