"""A pass belongs to the crop that stands on its day or comes next: worked by hand,
in both witnesses and three engines.
"""

from __future__ import annotations

import pytest
from agreement import differences
from engine_help import engines_at_length
from farms_strategy import build_small
from people_farm import date, farm_with, field, label, row_of, spray

from workbook_builder.check import check_inputs
from workbook_builder.core.inputs import Inputs
from workbook_builder.features import TYPED_TABLES
from workbook_builder.planning import Plan, make_plan

CUT, WHEAT = date("09-20"), date("10-15")


def turning_farm() -> Inputs:
    """Return a farm whose fields grow corn, cut on 20 September, and then wheat, planted on 15 October."""
    then = {"planting_date": date("05-01"), "harvest_date": CUT, "next_crop": "wheat",
            "next_planting_date": WHEAT}
    return farm_with(
        fields=[field("Turn", **then), field("Typed", **then),
                field("Open", **{**then, "next_crop": None, "next_planting_date": None}),
                field("Bare", crop="fallow", next_crop="wheat", next_planting_date=WHEAT)],
        passes=[
            spray("June", "Turn", "06-10"), spray("On the day", "Turn", "09-20"),
            spray("Stubble", "Turn", "10-01"), spray("In wheat", "Turn", "10-15"),
            spray("Early", "Typed", "06-10", crop="wheat"), spray("Cover", "Typed", "10-01", crop="rye"),
            spray("Any", "Typed", "10-02", crop="any"),
            spray("After", "Open", "10-01"), spray("Fallow", "Bare", "10-14"),
        ],
        label_limits=[label("Product", "corn"), label("Product", "wheat", max_rate=1.0),
                      label("Product", "any", max_rate=9.0)],
        spray_log=[{"pass": "Fallow", "field": "Bare", "date": date("10-16")}],
    )


@pytest.fixture(scope="module")
def plan() -> Plan:
    """Python's plan of the farm."""
    return make_plan(turning_farm())


@engines_at_length
def test_every_engine_agrees(engine_name: str) -> None:
    """A recalculation gives the Python value in every formula cell."""
    assert differences(turning_farm(), engine_name) == []


@pytest.mark.parametrize(
    ("name", "field_name", "crop", "number", "standing"),
    [
        ("June", "Turn", "corn", 1, 1), ("On the day", "Turn", "corn", 1, 1),
        ("Stubble", "Turn", "wheat", 2, 0), ("In wheat", "Turn", "wheat", 2, 1),
        ("Early", "Typed", "wheat", 2, 1), ("Cover", "Typed", "rye", 3, 0), ("Any", "Typed", "wheat", 2, 0),
        ("After", "Open", "", 2, 0),
        ("Fallow", "Bare", "wheat", 2, 1),
    ],
)
def test_the_crop_of_a_pass(plan: Plan, name: str, field_name: str, crop: str, number: int,
                            standing: int) -> None:
    """The crop follows from the day sprayed, logged before planned, unless another is typed.

    On the day of harvest it still stands.
    """
    at = next(n for n, row in enumerate(plan.tables["passes"]) if (row["pass"], row["field"])
              == (name, field_name))
    found = plan.tables["pass_crops"][at]

    assert (found["crop"], found["crop_no"], found["standing"]) == (crop, number, standing)
    assert plan.tables["pass_volumes"][at]["crop"] == crop


def test_a_label_is_read_for_that_crop(plan: Plan) -> None:
    """2 pt/ac is lawful in corn, where the label has 4, and not in the wheat to come, where it has 1."""
    june, stubble = (row_of(plan, "product_limits", name, "Turn") for name in ("June", "Stubble"))

    assert (june["crop"], june["max_rate"], june["rate_status"]) == ("corn", 4.0, "OK")
    assert (stubble["crop"], stubble["max_rate"], stubble["rate_status"]) == ("wheat", 1.0, "Not allowed")


def test_a_season_ends_with_the_harvest(plan: Plan) -> None:
    """Two passes of 2 pt/ac in corn reach its 4 of the season.

    Those in wheat count for wheat alone, and days between for both.
    """
    amounts = {name: row_of(plan, "product_limits", name, "Turn")
               for name in ("June", "On the day", "Stubble", "In wheat")}

    assert [row["season_amount"] for row in amounts.values()] == pytest.approx([4.0, 4.0, 4.0, 4.0])
    assert [row["passes"] for row in amounts.values()] == [2, 2, 2, 2]
    assert amounts["June"]["season_status"] == "OK"
    assert amounts["Stubble"]["days_since"] == 11


def test_an_unknown_crop_is_asked_for(plan: Plan) -> None:
    """After the harvest, with no next crop typed, no label row is taken for it, not even that for any crop.
    """
    volume, limits = (row_of(plan, "pass_volumes", "After", "Open"),
                      row_of(plan, "product_limits", "After", "Open"))

    assert (volume["status"], volume["finding"][:29]) == ("Not entered", "Crop of this pass not entered")
    assert (limits["label_row"], limits["rate_status"]) == ("", "Not entered")


def test_costs_fall_on_the_crop_of_the_pass(plan: Plan) -> None:
    """Each crop carries the passes that belong to it, on the fields where it has any.

    A field counts once in a crop.
    """
    found = {row["crop"]: row for row in plan.tables["cost_crops"] if row["crop"]}
    by_pass = {name: row_of(plan, "cost_passes", name, where)["total_cost"]
               for name, where in (("June", "Turn"), ("Early", "Typed"))}

    assert {crop: row["area"] for crop, row in found.items()} == {"corn": 80.0, "wheat": 240.0, "rye": 80.0}
    assert found["corn"]["total_cost"] == pytest.approx(2 * by_pass["June"])
    assert found["wheat"]["total_cost"] == pytest.approx(5 * by_pass["Early"])


def test_spots_on_bare_ground_count_as_fallow() -> None:
    """A spot pass between harvest and planting works in fallow; once the next crop is planted, in crop."""
    farm = turning_farm()
    for row in farm.tables["passes"]:
        row["method"] = "spot"
    plan = build_small(farm).plan

    assert ([row["use"] for row in plan.tables["spot_uses"] if row["on"]]
            == ["in crop", "in crop", "fallow", "in crop", "in crop", "fallow", "fallow",
                "fallow", "in crop"])


def test_a_crop_the_field_does_not_grow_is_a_problem() -> None:
    """A crop typed for a pass that its field has neither now nor next is named at its cell."""
    problems = [each for each in check_inputs(turning_farm(), TYPED_TABLES)[1]
                if each.code == "crop-not-on-field"]

    assert [(each.row, each.column) for each in problems] == [(6, "Crop"), (7, "Crop")]
