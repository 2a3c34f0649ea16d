"""Whether a product is labelled for the crop of its pass,
and how crops that people call by several names are told apart.
"""

from __future__ import annotations

from typing import Any

import pytest
from label_farms import checks, farm, label, mix, pass_, plan, product, rows

from workbook_builder.check import check_inputs
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.features import TYPED_TABLES, VIEWS
from workbook_builder.features.checks import CHECK_KINDS
from workbook_builder.planning import Plan

CHECK = "Crop on the label"


def planned(crop: str, labels: list[dict[str, Any]], rate: float = 2.0) -> Plan:
    """Plan one pass of 2 pt/ac on a field of a crop."""
    return plan(farm(field={"crop": crop}, label_limits=labels, mixes=mix("Mix", ("Product", rate)),
                     passes=[pass_("First", "Mix")]))


def test_it_is_the_first_check_of_a_pass() -> None:
    """What a product may be sprayed on comes before how much of it."""
    assert CHECK_KINDS[0].name == CHECK


def test_no_label_row_names_the_crop() -> None:
    """A product with a row for another crop and none for any crop is Not entered, in a sentence that says so.
    """
    [view] = VIEWS["crop_on_label"](planned("sunflower", [label("Product", "corn", max_rate=3.0)]))

    assert view == {
        "pass": "First", "field": "North", "product": "Product", "crop": "sunflower", "status": NOT_ENTERED,
        "finding": "Product: no label row names sunflower",
    }


@pytest.mark.parametrize("crop", ["sunflower", "any", None])
def test_a_typed_no_is_not_allowed(crop: str | None) -> None:
    """A label row that says no forbids its crop, or every crop not named."""
    status = checks(planned("sunflower", [label("Product", crop, allowed="no", max_rate=3.0)]),
                    CHECK)["First"]

    assert status == (NOT_ALLOWED, "Product: the label row says not allowed on sunflower")


def test_a_crop_that_is_named_wins_over_any() -> None:
    """A row for the crop allows what the row for every other crop forbids, and the other way round."""
    yes_no = [label("Product", "sunflower", max_rate=3.0), label("Product", "any", allowed="no")]
    no_yes = [label("Product", "sunflower", allowed="no"), label("Product", "any", max_rate=3.0)]

    assert [checks(planned("sunflower", each), CHECK)["First"][0]
            for each in (yes_no, no_yes)] == [OK, NOT_ALLOWED]


def test_an_adjuvant_needs_no_label() -> None:
    """A product that is no pesticide is not asked for a label row, but a row that says no is heard."""
    goods = [product("Product", kind="adjuvant", registration_no="none")]
    found = [
        checks(plan(farm(products=goods, ingredients=[], label_limits=labels)),
               CHECK).get("First", ("", ""))[0]
        for labels in ([], [label("Product", "any", allowed="no")])
    ]

    assert found == ["", NOT_ALLOWED]


@pytest.mark.parametrize(
    ("grown", "named"),
    [
        ("corn", "Maize"), ("maize", "corn, field"), ("soybeans", "soya bean"), ("soybean", "Soy-beans"),
        ("winter wheat", "wheat"), ("Wheat, winter", "winter wheat"),
        ("durum wheat", "wheat"), ("milo", "grain sorghum"), ("grain sorghum", "sorghum"),
        ("canola", "oilseed rape"), ("chickpeas", "garbanzo beans"),
        ("peas (dry)", "field pea"), ("summer fallow", "fallow"), ("lucerne", "alfalfa"),
    ],
)
def test_synonyms_are_one_crop(grown: str, named: str) -> None:
    """A row for a synonym, or for the wider crop, holds.

    2 pt/ac against its 1 is Not allowed although any allows 3.
    """
    found = planned(grown, [label("Product", "any", max_rate=3.0), label("Product", named, max_rate=1.0)])

    [line] = rows(found, "product_limits", name="Product")
    assert (line["crop_status"], line["max_rate"], line["rate_status"]) == (OK, 1.0, NOT_ALLOWED)


@pytest.mark.parametrize(
    ("grown", "named"),
    [
        ("wheat", "winter wheat"), ("winter wheat", "spring wheat"), ("soybean", "soybean, dicamba-tolerant"),
        ("sunflower", "sunflwer"), ("sweet corn", "corn"),
        ("quinoa", "quinua"), ("winter wheat", "small grains"), ("lentils", "pulse crops"),
        ("barley", "wheat and barley"), ("wheat", "wheat, barley, oats"),
        ("barley", "wheat, barley and oats"), ("sorghum", "corn, soybeans, grain sorghum or sunflowers"),
        ("sugar beets", "corn, sugar beet, dry bean"),
        ("dry beans", "corn/sugar beet/dry bean/potato"), ("barley", "pulses and small grains"),
        ("potatoes", "winter wheat, spring wheat, winter barley, potato"),
    ],
)
def test_near_misses_take_the_stricter_row(grown: str, named: str) -> None:
    """A row that nearly names the crop gives way to no laxer one: its 1 pt rules over 3,
    and any's 30 days over its 10.
    """
    near, every = (label("Product", named, max_rate=1.0, phi_days=10),
                   label("Product", "any", max_rate=3.0, phi_days=30))
    found = planned(grown, [near, every])

    [line] = rows(found, "product_limits", name="Product")
    assert (line["crop_status"], line["max_rate"], line["rate_status"]) == (LOOK, 1.0, NOT_ALLOWED)
    assert line["crop_finding"].startswith(f"Product: the label row for {named} may or may not mean {grown}")
    assert found.tables["intervals"][0]["phi_days"] == 30


def test_a_near_miss_alone_is_not_a_label() -> None:
    """Without a row for every crop not named, a row that nearly names the crop is Not entered, not OK."""
    assert checks(planned("wheat", [label("Product", "spring wheat", max_rate=3.0)]),
                  CHECK)["First"][0] == NOT_ENTERED


def test_a_near_miss_that_says_no_forbids() -> None:
    """Where it is not sure that a ban is meant, the ban counts."""
    labels = [label("Product", "soybean, not dicamba-tolerant", allowed="no"),
              label("Product", "any", max_rate=3.0)]

    assert checks(planned("soybeans", labels), CHECK)["First"][0] == NOT_ALLOWED


def test_other_crops_are_no_near_misses() -> None:
    """Field peas and peanuts share letters only; the row for any crop holds for them."""
    labels = [label("Product", "peanut", max_rate=1.0), label("Product", "any", max_rate=3.0)]

    [line] = rows(planned("field pea", labels), "product_limits", name="Product")
    assert (line["crop_status"], line["max_rate"], line["rate_status"]) == (OK, 3.0, OK)


def test_two_rows_of_one_crop_give_their_stricter_figures() -> None:
    """Rows for corn and for maize are one: the lower rate of 1 qt (2 pt) and 3 pt, and the longer interval.
    """
    labels = [label("Product", "corn", max_rate=3.0, retreat_days=7),
              {**label("Product", "maize", max_rate=1.0, retreat_days=21), "rate_unit": "qt/ac"}]

    [line] = rows(planned("corn", labels, 2.5), "product_limits", name="Product")
    assert ((line["max_rate"], line["unit"], line["rate_status"], line["retreat_days"])
            == (2.0, "pt/ac", NOT_ALLOWED, 21))


def test_a_synonym_typed_for_a_pass_splits_no_season() -> None:
    """Two passes of 2 pt on corn, one typed as maize, are 4 pt of one season."""
    passes = [pass_("First", "Mix"), pass_("Second", "Mix", pass_("", "")["date"].replace(month=6),
                                           crop="Maize")]
    found = plan(farm(field={"crop": "corn"}, label_limits=[label("Product", "corn", max_rate_season=3.0)],
                      mixes=mix("Mix", ("Product", 2.0)), passes=passes))

    assert [(row["season_amount"], row["season_status"])
            for row in rows(found, "product_limits", name="Product")] == [(4.0, NOT_ALLOWED)] * 2


def test_a_crop_called_any_is_not_known() -> None:
    """A field of all crops is sprayed under no label row, not even that for any crop."""
    assert checks(planned("all crops", [label("Product", "any", max_rate=3.0)]),
                  CHECK)["First"][0] == NOT_ENTERED


def test_a_synonym_is_no_slip_of_the_pen() -> None:
    """A label row for soybeans on a farm that grows soybean is not answered with a question."""
    problems = check_inputs(farm(field={"crop": "soybean"},
                                 label_limits=[label("Product", "Soybeans", max_rate=3.0)]), TYPED_TABLES)[1]

    assert [problem.code for problem in problems if problem.code == "crop-not-grown"] == []
