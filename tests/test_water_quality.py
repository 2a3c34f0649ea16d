"""Advice on ammonium sulfate, and what the demo farms show; published figures run in test_oracles."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from agreement import differences
from engine_help import engines_at_length
from hand_mixes import mixed, product, several

from workbook_builder.build import Built
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.units import factor
from workbook_builder.features.water.definitions import advised_ammonium_sulfate
from workbook_builder.planning import make_plan


def test_advice_keeps_to_floor_and_label() -> None:
    """Good water still gets the floor; the label's range comes last and wins."""
    assert advised_ammonium_sulfate(0.5, 4) == 4
    assert advised_ammonium_sulfate(5.4, 4) == 5.4
    assert advised_ammonium_sulfate(2.27, 4, 8.5, 17) == 8.5
    assert advised_ammonium_sulfate(19, 4, 8.5, 17) == 17


def test_demo_water(demo: Built, metric: Built) -> None:
    """Farm water 120 Ca, 45 Mg: 484.95 ppm.

    Equation 2.039 lb; a gap in a test stays open; metric is the same water in kg per 100 L.
    """
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


SULFATE = product("Sulfate", 8.5, "lb/100 gal", kind="water conditioner", formulation="SG", package_unit="lb")
TESTED = {"water_ca_ppm": 120.0, "water_mg_ppm": 45.0, "water_na_ppm": 10.0, "water_k_ppm": 5.0}


def weed(name: str, **cells: Any) -> Any:
    """Return a herbicide at 32 fl oz/ac with what its label says of ammonium sulfate."""
    return product(name, 32.0, "fl oz/ac", kind="herbicide", **cells)


FORBIDS = weed("Dicamba", ams_low=0.0, ams_high=0.0)
SUFFERS = weed("Glyphosate", water_sensitive="yes", ams_low=8.5, ams_high=17.0)


def judged(*products: Any, farm: Any = None) -> tuple[str, str, Any]:
    """Return status, finding and the amount advised of a mix."""
    row = make_plan(mixed(products, farm=TESTED if farm is None else farm)).tables["water_checks"][0]
    return row["status"], row["finding"], row["ams_per_100"]


def test_a_ban_on_ammonium_sulfate_holds_for_every_product() -> None:
    """A label range of 0 to 0 forbids it, whether or not that product suffers in hard water:
    8.5 lb in the mix are Not allowed.
    """
    assert (judged(FORBIDS, SULFATE)
            == (NOT_ALLOWED, "Dicamba: its label forbids ammonium sulfate, the mix carries 8.5", 0))
    assert judged(SUFFERS, FORBIDS, SULFATE)[0] == NOT_ALLOWED
    assert judged(FORBIDS) == (OK, "", 0)


def test_a_ban_needs_no_water_test() -> None:
    """Nothing is asked for where nothing may go in, tested water or not."""
    assert judged(FORBIDS, farm={})[0] == OK
    assert judged(FORBIDS, SULFATE, farm={})[0] == NOT_ALLOWED


def test_a_ban_beside_a_label_that_asks_for_it() -> None:
    """Two labels that no amount satisfies are pointed out."""
    assert (judged(SUFFERS, FORBIDS)[:2]
            == (LOOK, "Labels in the mix differ: ammonium sulfate from 8.5 on one, up to 0 on another"))


@pytest.mark.parametrize(("kind", "content", "status"), [
    ("fertilizer", None, NOT_ENTERED), ("fertilizer", 0.0, OK), ("fertilizer", 3.4, NOT_ALLOWED),
    ("adjuvant", 3.4, NOT_ALLOWED),
    ("water conditioner", None, NOT_ENTERED), ("water conditioner", 0.0, OK), ("other", 1.0, NOT_ALLOWED),
    ("adjuvant", None, OK),
])
def test_no_kind_hides_ammonium_sulfate_from_a_ban(kind: str, content: float | None, status: str) -> None:
    """Whatever brings ammonium sulfate counts, and a fertilizer or conditioner that does not say is Not
    entered.
    """
    assert judged(FORBIDS, product("Blend", 1.0, "qt/ac", kind=kind, ams_content=content))[0] == status


def test_a_range_on_any_label_is_read() -> None:
    """A product that does not suffer may still ask for ammonium sulfate, or for no more than so much.

    No water test is needed for that.
    """
    assert (judged(weed("Asks", ams_low=10.0), SULFATE, farm={})[:2]
            == (LOOK, "Ammonium sulfate 8.5, a label asks for 10 or more"))
    assert (judged(weed("Little", ams_high=5.0), SULFATE, farm={})[:2]
            == (LOOK, "Ammonium sulfate 8.5, the label gives up to 5"))
    assert judged(weed("Silent"), SULFATE, farm={})[0] == ""


def test_a_ban_typed_for_another_name_of_the_product_holds() -> None:
    """The range of 0 to 0 stands at the store's name of the registration, the mix holds the maker's:
    Not allowed all the same.
    """
    farm = mixed([weed("Dicamba", registration_no="00000-4"), SULFATE], farm=TESTED)
    shelf = [*farm.rows("products"), {"product": "Store dicamba", "kind": "herbicide",
                                      "registration_no": "00000-4-5", "ams_low": 0.0, "ams_high": 0.0}]
    plan = make_plan(replace(farm, tables={**farm.tables, "products": shelf}))

    assert plan.tables["water_checks"][0]["status"] == NOT_ALLOWED


def trap_farm() -> Inputs:
    """Return a farm with a mix for every outcome."""
    return several({
        "banned": [SUFFERS, FORBIDS, SULFATE], "apart": [SUFFERS, FORBIDS],
        "unknown": [FORBIDS, product("Liquid", 1.0, "qt/ac", kind="water conditioner")],
        "doubtful": [FORBIDS, product("Nitrogen", 1.0, "gal/ac")],
        "asks": [weed("Asks", ams_low=10.0), SULFATE], "little": [weed("Little", ams_high=5.0), SULFATE],
        "suffers": [SUFFERS], "alone": [FORBIDS],
    }, farm=TESTED)


@engines_at_length
def test_engines_agree(engine_name: str) -> None:
    """Each engine recalculates the workbook of these mixes to what Python plans."""
    assert differences(trap_farm(), engine_name) == []
