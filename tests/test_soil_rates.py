"""Rates by soil: the row of a label that holds for a field, and a pass against it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from agreement import differences
from small_farm import small_farm

from workbook_builder.check import check_inputs
from workbook_builder.core.inputs import Inputs
from workbook_builder.features import TYPED_TABLES, VIEWS
from workbook_builder.planning import make_plan

CORNELL = ("Cornell CALS Field Crops, Atrazine Application Rates (found): 2.0 lb ai/A with residue over 30 %,"
           " 1.6 below, on highly erodible soil")
#: Pounds an acre of a product that is all active ingredient.
ATRAZINE = ({"residue_from": 30.0, "rate_high": 2.0}, {"residue_to": 29.9, "rate_high": 1.6})
BY_SOIL = (
    {"texture": "coarse", "organic_matter_to": 2.9, "rate_high": 1.0},
    {"texture": "coarse", "organic_matter_from": 3.0, "rate_high": 1.25},
    {"texture": "fine", "organic_matter_from": 3.0, "soil_ph_to": 7.4, "rate_low": 1.5, "rate_high": 2.5},
    {"crop": "grain sorghum", "texture": "fine", "rate_high": 1.75, "soil_ph_from": 7.5},
)


def on_soil(rows: tuple[dict[str, Any], ...], rate: float, **soil: Any) -> Inputs:
    """Return a farm with a dry product at a rate in lb/ac, its rows by soil, and one field."""
    farm = small_farm(products={"formulation": "WG", "package_unit": "lb"},
                      ingredients={"content": 100.0, "content_unit": "% w/w"},
                      mixes={"rate": rate, "rate_unit": "lb/ac"}, fields=soil)
    return replace(farm, tables={**farm.tables,
                                 "soil_rates": [{"product": "Product", "rate_unit": "lb/ac", **row}
                                                for row in rows]})


@pytest.mark.parametrize(("rows", "rate", "soil", "told"), [
    (ATRAZINE, 2.0, {"residue": 35.0}, (None, 2.0, "OK")),
    (ATRAZINE, 2.0, {"residue": 20.0}, (None, 1.6, "Not allowed")),
    (ATRAZINE, 1.6, {"residue": 20.0}, (None, 1.6, "OK")),
    (ATRAZINE, 1.0, {}, (None, None, "Not entered")),
    (BY_SOIL, 1.1, {"texture": "coarse", "organic_matter": 2.0}, (None, 1.0, "Not allowed")),
    (BY_SOIL, 1.1, {"texture": "coarse", "organic_matter": 3.0}, (None, 1.25, "OK")),
    (BY_SOIL, 1.1, {"texture": "fine", "organic_matter": 4.0, "soil_ph": 6.5}, (1.5, 2.5, "Review")),
    (BY_SOIL, 1.1, {"texture": "fine", "organic_matter": 4.0}, (None, None, "Not entered")),
    (({**ATRAZINE[0], "crop": "corn"},), 2.0, {"residue": 35.0}, (None, None, "Review")),
    (({**ATRAZINE[0], "crop": "Milo"}, {"rate_high": 3.0}), 2.5, {"residue": 35.0},
     (None, 2.0, "Not allowed")), (({**ATRAZINE[0], "crop": "corn, sorghum"},), 2.0, {"residue": 35.0},
                                   (None, 2.0, "Not entered")),
    (({**ATRAZINE[0], "crop": "corn, sorghum"},), 2.1, {"residue": 35.0}, (None, 2.0, "Not allowed")),
    (BY_SOIL, 1.8, {"texture": "fine", "soil_ph": 7.8}, (None, 1.75, "Not allowed")),
    (BY_SOIL, 1.1, {"texture": "medium", "organic_matter": 4.0}, (None, None, "Not entered")),
])
def test_the_row_that_holds(rows: tuple[dict[str, Any], ...], rate: float, soil: dict[str, Any],
                            told: tuple[Any, ...]) -> None:
    """The row follows texture, organic matter, pH and residue, each end included,
    and a soil that no row fits is not OK.
    """
    (row,) = VIEWS["soil_rates"](make_plan(on_soil(rows, rate, **soil)))

    assert (row["low"], row["high"], row["status"]) == told, CORNELL


def test_nothing_is_asked_without_rows() -> None:
    """A label without rates by soil asks nothing of the soil."""
    assert VIEWS["soil_rates"](make_plan(small_farm())) == []


@pytest.mark.parametrize("unit", ["lb/100 gal", "% v/v", "lb ai/ac", "oz ae/ac"])
@pytest.mark.parametrize("density", [None, 8.0])
def test_a_unit_that_is_not_of_the_product_per_area_is_never_ok(unit: str, density: float | None) -> None:
    """A rate by soil that counts the active ingredient or the spray volume is a problem at its cell,
    and Not entered, with a density and without.
    """
    farm = on_soil(({"rate_low": 1.0, "rate_unit": unit},), 2.0)
    farm.tables["products"][0]["density"] = density
    (row,) = VIEWS["soil_rates"](make_plan(farm))
    _, problems = check_inputs(farm, TYPED_TABLES)

    assert (row["low"], row["status"]) == (1.0, "Not entered")
    assert ([(each.code, each.column) for each in problems if each.sheet == "Rates by soil"]
            == [("limit-of-active" if "a" in unit.split("/")[0] else "limit-per-area", "Rate unit")])


def test_the_engine_agrees_on_rates_by_soil() -> None:
    """Sheet and plan agree on soils that fit, and on one that does not."""
    farm = on_soil((*BY_SOIL, {**BY_SOIL[0], "crop": "corn, sorghum"},
                    *({"rate_high": 20.0, "rate_unit": unit}
                      for unit in ("oz/ac", "lb ai/ac", "lb/100 gal"))), 1.8, texture="fine", soil_ph=7.8)
    farm.tables["products"][0]["density"] = 8.0
    field, one = farm.rows("fields")[0], farm.rows("passes")[0]
    farm.tables["fields"] = [field, {**field, "field": "South", "texture": None, "soil_ph": None}]
    farm.tables["passes"] = [one, {**one, "field": "South"}]

    assert differences(farm, "IronCalc") == []
