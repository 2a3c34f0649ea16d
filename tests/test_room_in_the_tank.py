"""What takes room in the tank: liquids by their density whatever unit they are rated in, dry products never.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from agreement import differences
from engine_help import engines_at_length
from hand_mixes import mixed, product, several
from small_farm import first

from workbook_builder.check import check_inputs, errors_in
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.inputs import Inputs
from workbook_builder.features import TYPED_TABLES
from workbook_builder.planning import Plan, make_plan
from workbook_builder.printing.cards import cards
from workbook_builder.printing.choice import Choice

UREA_NITRATE = product("Nitrogen", 30.0, "lb/ac", density=10.65)


def plan_of(*products: Any, **changes: dict[str, Any]) -> Plan:
    """Plan a farm of 66 2/3 acres at 15 gal/ac from a tank of 1,000 gal: one full load."""
    return make_plan(mixed(products, fields={"area": 1000 / 15}, **changes))


def test_a_liquid_rated_by_weight_takes_room() -> None:
    """30 lb/ac of 10.65 lb/gal are 2.817 gal/ac, 18.78 % of 15 gal/ac:
    187.79 gal and 812.21 gal of water (worked by hand).
    """
    plan = plan_of(UREA_NITRATE)
    water, line = first(plan, "pass_water"), first(plan, "mix_lines")

    assert water["liquid_part"] == pytest.approx(30 / 10.65 / 15)
    assert water["water_full_load"] == pytest.approx(812.2066, abs=1e-3)
    assert (line["amount_unit"], line["amount_full_load"]) == ("lb", pytest.approx(2000))
    assert (line["phase"], first(plan, "load_lines")["pour"]) == ("liquid", "188 gal")
    assert first(plan, "pass_volumes")["status"] == OK


def test_a_liquid_sold_and_rated_by_weight_without_density() -> None:
    """Nobody knows the room it takes: the mix is Not entered and no water is told."""
    plan = plan_of(product("Nitrogen", 30.0, "lb/ac", package_unit="lb"))
    volume, water = first(plan, "pass_volumes"), first(plan, "pass_water")

    assert volume["status"] == NOT_ENTERED
    assert volume["finding"] == "Nitrogen: density not entered, so the room it takes in the tank is not known"
    assert (water["liquid_part"], water["water_full_load"], water["first_fill"]) == ("", "", "")


def test_a_missing_density_does_not_stop_the_build() -> None:
    """A liquid sold by volume and rated by weight without a density is a point to fix, no error of the file.
    """
    inputs = mixed([product("Nitrogen", 30.0, "lb/ac")])
    problems = check_inputs(inputs, TYPED_TABLES)[1]

    assert errors_in(problems) == []
    assert "needs-density" in {problem.code for problem in problems}
    assert first(make_plan(inputs), "pass_volumes")["status"] == NOT_ENTERED


def test_a_dry_product_rated_by_volume_takes_no_room() -> None:
    """Granules measured in a cup of fluid ounces displace nothing that is counted,
    and the unit is questioned.
    """
    plan = plan_of(product("Granules", 4.0, "fl oz/ac", formulation="WG", kind="herbicide"))

    assert first(plan, "pass_water")["water_full_load"] == pytest.approx(1000)
    assert first(plan, "pass_volumes")["status"] == LOOK
    assert "its rate is a volume" in first(plan, "pass_volumes")["finding"]


def test_a_dry_product_of_known_density_is_weighed() -> None:
    """64 fl oz of granules of 6 lb/gal weigh 3 lb: so they are weighed, and still take no room."""
    plan = plan_of(product("Granules", 64.0, "fl oz/ac", formulation="WG", kind="herbicide", density=6.0),
                   passes={"carrier": 1000.0})

    assert first(plan, "load_lines")["pour"] == "3 lb"
    assert first(plan, "pass_water")["liquid_part"] == 0


@pytest.mark.parametrize(("sold_in", "status", "part"),
                         [("gal", OK, 0.25 / 128 * 32 / 15 / 0.25), ("lb", LOOK, 0)])
def test_a_formulation_that_does_not_tell(sold_in: str, status: str, part: float) -> None:
    """Without a word in the formulation a product is what it is sold as.

    What is sold by weight is questioned.
    """
    unit = "fl oz/ac" if sold_in == "gal" else "lb/ac"
    plan = plan_of(product("Unknown", 32.0, unit, formulation="XX", package_unit=sold_in, adding_step=3))

    assert first(plan, "pass_water")["liquid_part"] == pytest.approx(part)
    assert first(plan, "pass_volumes")["status"] == status


def test_ounces_of_a_liquid_are_said_to_be_weight() -> None:
    """32 oz/ac of a liquid of 10 lb/gal are 25.6 fl oz, not 32: the plan says that it counts weight."""
    plan = plan_of(product("Liquid", 32.0, "oz/ac", density=10.0))

    assert first(plan, "mix_lines")["poured"] == pytest.approx(25.6)
    assert first(plan, "pass_volumes")["status"] == LOOK
    assert (first(plan, "pass_volumes")["finding"]
            == "Liquid: oz is counted as weight, by its density; choose fl oz where that is meant")


def test_ounces_of_a_liquid_are_asked_about() -> None:
    """Checking asks about oz of a liquid in a mix and on a label, at its cell,
    and not about oz of a dry product.
    """
    inputs = mixed([product("Liquid", 32.0, "oz/ac", density=10.0),
                    product("Dry", 8.0, "oz/ac", formulation="WG", package_unit="lb")])
    limits = [{"product": name, "max_rate": 64.0, "rate_unit": "oz/ac"} for name in ("Liquid", "Dry")]
    found = check_inputs(replace(inputs, tables={**inputs.tables, "label_limits": limits}), TYPED_TABLES)[1]

    assert [each.row for each in found if each.code == "ounces-of-liquid"] == [1, 1]


@pytest.mark.parametrize(
    ("formulation", "unit", "most", "status"),
    [("SL", "oz/ac", 64.0, LOOK), ("SL", "oz/100 gal", 500.0, LOOK), ("SL", "oz/ac", 25.0, NOT_ALLOWED),
     ("SL", "fl oz/ac", 64.0, OK), ("SL", "lb/ac", 4.0, OK), ("WG", "oz/ac", 64.0, OK)],
)
def test_ounces_of_a_liquid_on_its_label_are_said_to_be_weight(formulation: str, unit: str, most: float,
                                                               status: str) -> None:
    """20.48 fl oz of a liquid of 10 lb/gal weigh 25.6 oz: over 25 oz; under 64 the plan still says that it
    counted weight.
    """
    # 20.48 / 128 x 10 x 16 = 25.6 oz
    amount = (20.48, "fl oz/ac") if formulation == "SL" else (25.6, "oz/ac")
    label = {"product": "Measured", "max_rate": most, "max_rate_season": 9999.0, "rate_unit": unit,
             "max_passes": 2, "retreat_days": 7}
    sold = {"package_unit": "lb"} if formulation == "WG" else {}
    line = first(plan_of(product("Measured", *amount, kind="herbicide", formulation=formulation, density=10.0,
                                 **sold), label_limits=label), "product_limits")

    assert line["rate_status"] == status
    assert line["rate_finding"] == {
        LOOK: "Measured: oz on its label is counted as weight, by its density; choose fl oz where that is "
              "meant",
        NOT_ALLOWED: "Measured: 25.6 is over the label rate of 25 oz/ac", OK: "",
    }[status]


def test_a_heavy_liquid_may_exceed_its_carrier() -> None:
    """200 lb/ac of 10 lb/gal are 20 gal/ac: more than the 15 gal/ac they are to be sprayed in."""
    found = check_inputs(mixed([product("Nitrogen", 200.0, "lb/ac", density=10.0)]), TYPED_TABLES)[1]

    assert "mix-exceeds-carrier" in {problem.code for problem in found}


def test_pounds_of_a_liquid_are_plain() -> None:
    """A pound is a weight to everybody: nothing is questioned."""
    assert first(plan_of(UREA_NITRATE), "mix_list")["status"] == OK


def test_the_jar_pours_what_is_liquid() -> None:
    """A quart at 15 gal/ac is 1/60 acre: half a pound of a liquid of 10.65 lb/gal is 177.7 mL."""
    plan = plan_of(UREA_NITRATE, jar_choice={"mix": "Mix", "jar": "quart"})

    assert first(plan, "jar_lines")["ml"] == pytest.approx(0.5 / 10.65 * 3785.411784)
    assert first(plan, "jar_sheet")["water_ml"] == pytest.approx(946.352946 - 177.719, abs=1e-2)


def test_ammonium_sulfate_of_a_liquid_rated_by_weight() -> None:
    """30 lb/ac of a liquid of 10.2 lb/gal with 3.4 lb of ammonium sulfate a gallon carry 10 lb/ac,
    66.67 lb per 100 gal, not 200.
    """
    plan = plan_of(product("Liquid sulfate", 30.0, "lb/ac", kind="water conditioner", density=10.2,
                           ams_content=3.4))

    assert first(plan, "water_checks")["ams_in_mix"] == pytest.approx(100 * 10 / 15)


def test_paper_says_that_the_water_is_not_known() -> None:
    """The mix card of a product without its density tells neither the first water nor a level,
    and names the density among what is not entered.
    """
    [card] = cards(plan_of(product("Nitrogen", 30.0, "lb/ac", package_unit="lb")), Choice())

    fill = card.columns[0].fill
    assert (fill.water, fill.water_level, fill.poured[0].level) == ("not entered", "", "")
    assert any("density not entered" in point["finding"] for point, _ in card.points)


def trap_farm() -> Inputs:
    """Return a farm with what is known, and what is not, of liquids and dry products in the units of each
    other.
    """
    chosen = {"load_choice": {"pass": "First", "field": "North", "load": 1},
              "jar_choice": {"mix": "open", "jar": "quart"}}
    return several({
        "known": [UREA_NITRATE, product("Liquid sulfate", 30.0, "lb/ac", kind="water conditioner",
                                        density=10.2, ams_content=3.4)],
        "open": [
            UREA_NITRATE, product("No density", 3.0, "lb/ac", package_unit="lb"),
            product("Ounces", 8.0, "oz/ac", density=9.0),
            product("Cup", 4.0, "fl oz/ac", formulation="WG"),
            product("Weighed", 4.0, "fl oz/ac", formulation="WG", density=5.0),
            product("Told by sale", 4.0, "oz/ac", formulation="XX", package_unit="lb"),
            product("Percent", 0.5, "% v/v", formulation="wp-sb"),
        ],
        "ounces": [product("Ounces", 8.0, "oz/ac", density=9.0)],
        "label": [product("Label in oz", 8.0, "fl oz/ac", density=9.0)],
        "cup": [product("Cup", 4.0, "fl oz/ac", formulation="WG")],
        "told": [product("Told by sale", 4.0, "oz/ac", formulation="XX", package_unit="lb", adding_step=4)],
    }, label_limits={"product": "Label in oz", "max_rate": 16.0, "rate_unit": "oz/ac"}, **chosen)


@engines_at_length
def test_engines_agree(engine_name: str) -> None:
    """Each engine recalculates the workbook of these mixes to what Python plans."""
    assert differences(trap_farm(), engine_name) == []
