"""Label checks that farms made on purpose once slipped past: every case is worked out by hand beside it."""

from __future__ import annotations

from typing import Any

import pytest
from agreement import differences
from engine_help import engines_at_length
from label_farms import active, checks, farm, mix, pass_, plan, product, rows, trap_farm

from workbook_builder.check import check_inputs, errors_in
from workbook_builder.core.columns import NOT_ENTERED
from workbook_builder.features import TYPED_TABLES
from workbook_builder.features.products.definitions import registration_key
from workbook_builder.features.products.inputs import KINDS

BARE = {"ingredients": [], "mixes": mix("Mix", ("Product", 1.0)), "passes": [pass_("First", "Mix")]}


@pytest.mark.parametrize(
    ("why", "cells", "ingredients", "is_one"),
    [
        ("its kind", {"kind": "insecticide"}, [], 1),
        ("a re-entry interval", {"kind": "other", "rei_hours": 12}, [], 1),
        ("a registration number", {"kind": "adjuvant", "registration_no": "00000-900"}, [], 1),
        ("an ingredient with a group", {"kind": "fertilizer"}, [active("Product", "unlisted")], 1),
        ("an ingredient of the list", {"kind": "other"}, [active("Product", "atrazine", group=None)], 1),
        ("nothing", {"kind": "adjuvant", "registration_no": "none", "rei_hours": 0}, [], 0),
        ("a dash for no number", {"kind": "other", "registration_no": "N/A -"}, [], 0),
    ],
)
def test_a_pesticide_is_one_whatever_its_kind(why: str, cells: dict[str, Any],
                                              ingredients: list[dict[str, Any]], is_one: int) -> None:
    """Kind, re-entry interval, registration number or active ingredient make a product need its label
    figures.
    """
    planned = plan(farm(**{**BARE, "products": [product("Product", **cells)], "ingredients": ingredients}))

    [line] = rows(planned, "product_limits", name="Product")

    assert (line["needed"], line["rate_status"]) == (is_one, "Not entered" if is_one else "")


def test_new_kinds_are_words_of_the_trade() -> None:
    """Insecticides, fungicides and growth regulators check without a problem and need no herbicide group."""
    for kind in ("insecticide", "fungicide", "growth regulator"):
        inputs = farm(**{**BARE, "products": [product("Product", kind=kind)],
                         "ingredients": [active("Product", "invented", group=None)]})

        assert kind in KINDS
        assert errors_in(check_inputs(inputs, TYPED_TABLES)[1]) == []


def test_the_group_of_an_insecticide_is_no_herbicide_group() -> None:
    """An insecticide typed as group 4 adds no mode to a herbicide of group 9; a herbicide of group 4 does."""
    modes = []
    for kind in ("insecticide", "herbicide"):
        goods = [product("Product"), product("Second", kind=kind)]
        inputs = farm(products=goods,
                      ingredients=[active("Product", "glyphosate"), active("Second", "invented", group=4)],
                      mixes=mix("Mix", ("Product", 1.0), ("Second", 1.0)))
        modes.append(plan(inputs).tables["mix_list"][0]["modes"])

    assert modes == [1, 2]


def test_a_blank_group_of_a_herbicide_is_asked_for() -> None:
    """A herbicide's ingredient without a group is an error when checked, and Not entered in an open workbook.
    """
    inputs = farm(ingredients=[active("Product", "glyphosate", group=None)])

    codes = [problem.code for problem in errors_in(check_inputs(inputs, TYPED_TABLES)[1])]

    assert codes == ["required-blank"]
    assert checks(plan(inputs), "Group numbers")["First"] == ("Not entered", "glyphosate: group not entered")


@pytest.mark.parametrize(
    ("ingredient", "typed", "group", "note"),
    [
        ("bensulide", 8, 0, "Old number 8 counted as 0"), ("EPTC", 8, 15, "Old number 8 counted as 15"),
        ("amitrole", 11, 34, "Old number 11 counted as 34"),
        ("linuron", 7, 5, "Old number 7 counted as 5"), ("invented", 8, 15, "Old number 8 counted as 15"),
        ("invented", 26, "", "Group not entered"),
    ],
)
def test_an_old_number_counts_by_its_ingredient(ingredient: str, typed: int, group: Any, note: str) -> None:
    """Old 8 is 15 but for bensulide, 11 and 26 depend on the ingredient (HRAC 2020 revision, from memory).

    Where nobody knows it, it is asked for, not 0.
    """
    planned = plan(farm(products=[product("Product")],
                        ingredients=[active("Product", ingredient, group=typed)]))

    [fact] = [row for row in planned.tables["ingredient_facts"] if row["row_no"] == 1]
    assert (fact["group"], fact["group_note"]) == (group, note)


def test_a_name_that_is_no_product_is_never_ok() -> None:
    """A mix typed with a name that is not among the products has no label and no re-entry interval,
    whatever the other product says.
    """
    goods, labels = ([product("Product", rei_hours=12)],
                     [{"product": "Product", "crop": "any", "max_rate": 2.0, "rate_unit": "pt/ac"}])
    found = plan(farm(products=goods, ingredients=[], label_limits=labels,
                      mixes=mix("Mix", ("Product", 1.0), ("Prodact", 1.0)), passes=[pass_("First", "Mix")]))

    assert (checks(found, "Crop on the label")["First"]
            == (NOT_ENTERED, "Prodact: no label row names grain sorghum"))
    assert checks(found, "Re-entry")["First"] == (NOT_ENTERED, "Re-entry interval not entered: Prodact")
    assert found.tables["intervals"][0]["reentry_at"] == ""


@pytest.mark.parametrize(
    ("rate", "unit", "said"),
    [
        (None, "pt/ac", "Product: label rate cannot be checked: a rate is not known"),
        (1.0, "lb/ac",
         "Product: label rate in lb/ac cannot be compared: density or carrier rate not entered"),
        (1.0, None, "Product: label rate not entered"),
    ],
)
def test_what_is_missing_is_said(rate: float | None, unit: str | None, said: str) -> None:
    """A label rate that is typed is not called missing: the rate of the mix is,
    or the density between a weight and a volume.
    """
    mixes = [{"mix": "Mix", "product": "Product", "rate": rate, "rate_unit": "pt/ac"}]
    labels = [{"product": "Product", "crop": "any", "max_rate": 2.0, "rate_unit": unit}]
    found = plan(farm(products=[product("Product")], label_limits=labels, mixes=mixes,
                      passes=[pass_("First", "Mix")]))

    [line] = [row for row in found.tables["product_limits"] if row["name"] == "Product"]
    assert (line["rate_status"], line["rate_finding"]) == (NOT_ENTERED, said)


def test_an_insecticide_goes_in_where_a_herbicide_of_its_formulation_does() -> None:
    """The adding steps name herbicides; an emulsion of another pesticide takes the step of emulsions, 11."""
    planned = plan(farm(products=[product("Product", kind="insecticide", formulation="EC")], ingredients=[]))

    assert planned.tables["product_facts"][0]["step"] == 11


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("12345-67", "12345-67"), ("EPA Reg. No. 12345-67", "12345-67"), ("EPA Reg. #12345 - 67", "12345-67"),
        ("12345\N{EN DASH}67", "12345-67"),
        ("12345-67-890", "12345-67"), ("none", ""), ("N/A", ""), ("--", ""), ("", ""), ("L 1234", "L1234"),
        ("PCP No. 12345", "12345"), ("pcp 12345", "12345"), ("APVMA No: 45678", "45678"),
        ("MAPP 12345", "12345"),
    ],
)
def test_registration_numbers_are_read_as_people_type_them(typed: str, key: str) -> None:
    """Words, spaces and the distributor's part do not make another registration (40 CFR 152.132,
    from memory).
    """
    planned = plan(farm(products=[product("Product", registration_no=typed)]))

    assert (registration_key(typed), planned.tables["product_facts"][0]["registration"]) == (key, key)


@engines_at_length
def test_every_engine_agrees_on_the_trap_farm(engine_name: str) -> None:
    """Each engine recalculates every cell of the farm with a case of every label question to what Python
    plans.
    """
    assert differences(trap_farm(), engine_name) == []


def test_the_trap_farm_is_valid() -> None:
    """Checking finds no error in it, so that people could build it."""
    assert errors_in(check_inputs(trap_farm(), TYPED_TABLES)[1]) == []
