"""Rates typed as active ingredient or acid equivalent on an area become product."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from agreement import differences
from small_farm import first, small_farm, small_plan

from workbook_builder.check import check_inputs
from workbook_builder.features import TYPED_TABLES
from workbook_builder.planning import make_plan


def line(system: str = "us", **changes: dict[str, Any]) -> Any:
    """Return the only line of the mix."""
    return first(small_plan(system, **changes), "mix_lines")


def test_acid_equivalents_and_actives_are_told_apart() -> None:
    """A salt rated in acid equivalent takes the product its acid asks for.

    Where nobody says what was weighed, nothing is poured.
    """
    salt = {"active_ingredient": "2,4-D dimethylamine", "mode_group": 4, "content": 3.8,
            "content_unit": "lb ae/gal"}
    acid = line(ingredients=salt, mixes={"rate": 0.95, "rate_unit": "lb ae/ac"})
    active = line(ingredients=salt, mixes={"rate": 0.95, "rate_unit": "lb ai/ac"})

    assert acid["amount_per_area"] == pytest.approx(0.95 / 3.8 * 128)
    assert active["amount_per_area"] == pytest.approx(0.95 / 3.8 * 128 * 221.04 / 266.12, rel=1e-3)
    assert line("metric", ingredients={"active_ingredient": "plain", "content": 400.0, "content_unit": "g/L"},
                mixes={"rate": 200.0, "rate_unit": "g ai/ha"})["amount_per_area"] == pytest.approx(500)


def test_a_rate_in_ounces_of_an_active() -> None:
    """24 oz of an active ingredient are 1.5 lb; of 4 lb in a gallon that is 0.375 gal, or 48 fl oz."""
    found = line(ingredients={"active_ingredient": "plain", "content": 4.0, "content_unit": "lb ai/gal"},
                 mixes={"rate": 24.0, "rate_unit": "oz ai/ac"})

    assert found["amount_per_area"] == pytest.approx(48)


def test_a_premix_cannot_be_rated_so() -> None:
    """Of a product with two active ingredients a rate in either says nothing, so the mix is Not entered."""
    farm = small_farm(mixes={"rate": 1.0, "rate_unit": "lb ai/ac"})
    two = [*farm.rows("ingredients"), {**farm.rows("ingredients")[0], "active_ingredient": "dicamba",
                                       "mode_group": 4}]
    farm = replace(farm, tables={**farm.tables, "ingredients": two})
    mix = first(make_plan(farm), "mix_list")

    assert mix["status"] == "Not entered"
    assert (mix["finding"] == "Product: a rate in ai needs the content of its one active ingredient, "
                              "counted so")
    assert differences(farm, "IronCalc") == []


def test_label_limits_stay_in_product() -> None:
    """A label limit in active ingredient is refused at its cell,
    since ingredient limits are the place for it.
    """
    _, problems = check_inputs(small_farm(label_limits={"product": "Product", "crop": "any", "max_rate": 1.0,
                                                        "rate_unit": "lb ai/ac"}), TYPED_TABLES)

    assert [problem.code for problem in problems if problem.column == "Rate unit"] == ["limit-of-active"]


def test_the_engine_agrees_on_rates_of_actives() -> None:
    """Sheet and plan agree on a liquid and a dry product rated so."""
    farm = small_farm(mixes={"rate": 1.0, "rate_unit": "lb ai/ac"},
                      label_limits={"product": "Product", "crop": "any", "max_rate": 40,
                                    "rate_unit": "fl oz/ac"})
    product, ingredient, mix = (farm.rows(key)[0] for key in ("products", "ingredients", "mixes"))
    farm.tables["products"] = [product,
                               {**product, "product": "Dry", "formulation": "WG", "package_unit": "lb"}]
    farm.tables["ingredients"] = [ingredient,
                                  {**ingredient, "product": "Dry", "content": 80.0, "content_unit": "% w/w"}]
    farm.tables["mixes"] = [mix, {**mix, "product": "Dry", "rate_unit": "oz ai/ac"}]

    assert differences(farm, "IronCalc") == []


def test_a_pesticide_without_its_ingredients_is_never_ok() -> None:
    """A herbicide of which no active ingredient is entered would pass every check of groups and of limits of
    ingredients unseen; an adjuvant has none to enter, whatever its interval.
    """
    nameless = small_plan(ingredients={"product": "Other"}, passes={"crop": "fallow"})
    adjuvant = small_plan(ingredients={"product": "Other"}, products={"kind": "adjuvant", "rei_hours": 4})

    assert (first(nameless, "pass_volumes")["status"], first(nameless, "pass_volumes")["finding"]) == (
        "Not entered",
        "Product: active ingredients not entered, so neither its groups nor their limits can be checked")
    assert first(adjuvant, "pass_volumes")["status"] == "OK"
