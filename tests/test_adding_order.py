"""Order of adding: bags before any salt, time to dissolve, and formulations that are no tank mix."""

from __future__ import annotations

from typing import Any

import pytest
from agreement import differences
from engine_help import engines_at_length, need_engine
from farms_strategy import build_small
from hand_mixes import mixed, product
from live_book import LiveBook
from small_farm import small_farm

from workbook_builder.core.columns import LOOK, OK
from workbook_builder.core.inputs import Inputs
from workbook_builder.features.products.inputs import KINDS
from workbook_builder.planning import Plan, make_plan


def weed(name: str, formulation: str, kind: str = "herbicide", **more: Any) -> Any:
    """Return a product of that formulation at 8 oz/ac, sold and rated in the unit of its form."""
    return product(name, 8.0, "fl oz/ac" if formulation in ("SL", "UL", "EC") else "lb/ac", kind=kind,
                   formulation=formulation, density=8.0, **more)


def order_of(*products: Any) -> list[Any]:
    """Return the rows of the adding order that are filled."""
    return [row for row in make_plan(mixed(products)).tables["adding_order"] if row["product"] != ""]


SULFATE = weed("Sulfate", "SG", "water conditioner", package_unit="lb")


def test_bags_go_in_before_any_salt_or_fertilizer() -> None:
    """Manitoba and Utah State: water-soluble bags first, so that they dissolve in plain water.

    Then salts, then dry products.
    """
    found = order_of(SULFATE, weed("Urea", "SG", "fertilizer"), weed("Nitrogen", "SL", "fertilizer"),
                     weed("Granules", "WG"), weed("Bags", "WG-SB"))

    assert [row["product"] for row in found][:2] == ["Bags", "Sulfate"]
    assert ([row["product"] for row in found].index("Bags")
            < min(n for n, row in enumerate(found) if row["product"] in ("Urea", "Nitrogen")))


@pytest.mark.parametrize("kind", KINDS)
def test_a_bag_is_a_bag_whatever_its_kind(kind: str) -> None:
    """The kind of a product does not put its bag behind a salt."""
    assert order_of(SULFATE, weed("Bags", "WP-SB", kind))[0]["product"] == "Bags"


def test_bags_get_time_to_dissolve() -> None:
    """Five minutes at the least, and until they have dissolved; other dry products get three."""
    bags, granules = order_of(weed("Granules", "WG"), weed("Bags", "WG-SB"))

    assert (bags["pause"], bags["after"]) == (5, "Agitate 5 min, until the bags have dissolved")
    assert (granules["pause"], granules["after"]) == (3, "Agitate 3 min, then top up with water")


def test_where_guides_differ_on_bags_and_fertilizer() -> None:
    """SDSU soaks bags and adds them with dry products.

    Utah State adds fertilizer last, to a jar: conditioner first is not what all say.
    """
    said = {row["product"]: row["guides_differ"]
            for row in order_of(SULFATE, weed("Nitrogen", "SL", "fertilizer"), weed("Bags", "SP-SB"),
                                weed("Powder", "WP"))}

    assert said == {
        "Bags": "One guide pre-soaks bags and adds them with the dry products",
        "Sulfate": "One guide adds salts and fertilizer last",
        "Nitrogen": "One guide adds salts and fertilizer last", "Powder": "",
    }


def status_of(*products: Any) -> tuple[str, str]:
    """Return status and finding of the mix."""
    plan: Plan = make_plan(mixed(products))
    return plan.tables["pass_volumes"][0]["status"], plan.tables["pass_volumes"][0]["finding"]


@pytest.mark.parametrize("kind", ["herbicide", "fertilizer", "other"])
@pytest.mark.parametrize("formulation", ["EP", "TB", "OP", "GR", "UL", "DP", "never heard of"])
def test_a_formulation_that_is_no_tank_mix_is_questioned(formulation: str, kind: str) -> None:
    """Emulsifiable powders, tablets, oil powders, granules,
    low-volume liquids and unknown codes ask for the label.
    """
    status, finding = status_of(weed("Odd", formulation, kind))

    assert status == LOOK
    assert (finding == f"Odd: formulation {formulation} is not usual in a tank mix; read the label, then "
                       f"type its mixing order")


def test_who_has_read_the_label_is_not_asked_again() -> None:
    """A mixing order typed in the mix, or for the product, answers the question."""
    assert status_of(product("Odd", 1.0, "lb/ac", 5, kind="herbicide", formulation="GR",
                             package_unit="lb"))[0] == OK
    assert status_of(weed("Odd", "GR", adding_step=6))[0] == OK


@pytest.mark.parametrize(("kind", "status"), [("adjuvant", OK), ("herbicide", LOOK)])
def test_an_oil_is_for_adjuvants(kind: str, status: str) -> None:
    """Spreading oil is an adjuvant's formulation; a herbicide of that code is questioned."""
    assert status_of(product("Oil", 1.0, "% v/v", kind=kind, formulation="SO"))[0] == status


def test_bags_that_a_table_of_old_puts_behind_a_salt() -> None:
    """A mixing order typed for the product, or an old table of rules, puts no bag behind a salt unnoticed.

    The label may.
    """
    late = weed("Bags", "WG-SB", adding_step=3)

    assert (status_of(SULFATE, late)
            == (LOOK,
                "Bags: water-soluble bags go in before any salt or fertilizer; change its mixing order"))
    assert status_of(late)[0] == OK
    assert status_of(SULFATE, product("Bags", 8.0, "lb/ac", 3, kind="herbicide", formulation="WG-SB",
                                      package_unit="lb"))[0] == OK


def trap_farm() -> Inputs:
    """Return a farm with bags, salts, oils and odd formulations in one mix."""
    return mixed([
        SULFATE, weed("Urea", "SG", "fertilizer"), weed("Bags", "WG-SB"),
        weed("Late bags", "WP-SB", adding_step=3), weed("More bags", "sp-sb", "other"), weed("Odd", "GR"),
        product("Answered", 1.0, "lb/ac", 5, kind="herbicide", formulation="TB", package_unit="lb"),
        weed("Emulsion", "EC"), weed("Solution", "SL"),
    ])


@engines_at_length
def test_engines_agree(engine_name: str) -> None:
    """Each engine recalculates the workbook of that mix to what Python plans."""
    assert differences(trap_farm(), engine_name) == []


def test_a_product_that_is_gone_leaves_the_order_readable() -> None:
    """Where a product is struck out of the list and its mix still names it, the order shows no error."""
    need_engine("ironcalc")
    book = LiveBook(build_small(small_farm(mixes={"label_order": 3}), 1))

    book.change("products", 0, "product", None)

    [line] = [row for row in make_plan(book.inputs, book.built.plan.room).tables["adding_order"]
              if row["product"] == "Product"]
    assert line["pause"] == 0
    assert book.differences() == []
