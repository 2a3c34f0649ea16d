"""Nutrients of the tank: by pass, by field and season, and what leaves bear."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from agreement import differences
from small_farm import small_farm

from workbook_builder.core.inputs import Inputs
from workbook_builder.features import VIEWS
from workbook_builder.planning import make_plan

ISU = "Iowa State Univ., ICM IC-482(11), 1999: 60 lb N on corn at V7 at most (found)"


def feeding(*passes: dict[str, Any], wanted: float | None = None, most: float | None = 60.0,
            density: float | None = 10.67) -> Inputs:
    """Return a farm on which a blend of 28 % nitrogen and thiosulfate is sprayed, 20 and 3 gallons an acre.
    """
    farm = small_farm(fields={"area": 40.0}, sprayers={"spot_tank": 300.0})
    product, one = farm.rows("products")[0], farm.rows("passes")[0]
    rows = {
        "products": [{**product, "product": "Solution", "kind": "fertilizer", "density": density},
                     {**product, "product": "Sulfate", "kind": "foliar fertilizer", "density": 11.1}],
        "ingredients": [],
        "mixes": [{"mix": "Mix", "product": name, "rate": rate, "rate_unit": "gal/ac"}
                  for name, rate in (("Solution", 30.0), ("Sulfate", 3.0))],
        "passes": [{**one, "pass": f"Pass {nth}", "carrier": 40.0, **cells}
                   for nth, cells in enumerate(passes, 1)],
        "analysis": [{"product": "Solution", "nutrient": "N", "percent": 28.0, "leaf_most": most},
                     {"product": "Sulfate", "nutrient": "N", "percent": 12.0},
                     {"product": "Sulfate", "nutrient": "S", "percent": 26.0}],
        "nutrients_wanted": [{"field": "North", "nutrient": "N", "wanted": wanted}] if wanted else [],
    }
    return replace(farm, tables={**farm.tables, **rows})


def test_products_add_up_and_spots_count_by_their_share() -> None:
    """Two products bring one nutrient.

    A spot pass counts on the field by the share it sprays (blend: 93.6 lb N, 8.66 lb S, computed).
    """
    told = VIEWS["nutrients"](make_plan(feeding({}, {"method": "spot", "sprayed_share": 0.25})))
    broadcast = 30 * 10.67 * 0.28 + 3 * 11.1 * 0.12

    assert broadcast == pytest.approx(93.6, abs=0.05)
    assert ([(row["pass"], row["nutrient"]) for row in told]
            == [("Pass 1", "N"), ("Pass 1", "S"), ("Pass 2", "N"), ("Pass 2", "S")])
    assert ([row["per_sprayed_area"] for row in told]
            == pytest.approx([broadcast, 8.66, broadcast, 8.66], abs=0.005))
    assert [row["per_field_area"] for row in told[2:]] == pytest.approx([broadcast / 4, 8.658 / 4])
    assert [row["season_total"] for row in told] == pytest.approx([broadcast * 1.25, 8.658 * 1.25] * 2)


@pytest.mark.parametrize(("cells", "status"), [
    ({"most": 60.0}, "Review"), ({"most": 93.7}, "OK"), ({"most": None, "wanted": 94.0}, "OK"),
    ({"most": None, "wanted": 93.0}, "Review"), ({"density": None}, "Not entered"),
])
def test_what_leaves_bear_and_what_is_wanted(cells: dict[str, Any], status: str) -> None:
    """More than leaves bear, or than the field wants, is looked at.

    A liquid without its density is not OK.
    """
    plan = make_plan(feeding({}, **cells))

    assert VIEWS["nutrients"](plan)[0]["status"] == status, ISU
    assert [row["status"] for row in plan.tables["all_checks"] if row["check"] == "Nutrients"
            and row["pass"]] == [status]


def test_the_engine_agrees_on_nutrients() -> None:
    """Sheet and plan agree with several passes, a product without an analysis, and none at all."""
    assert differences(feeding({}, {"method": "spot", "sprayed_share": 0.25}, wanted=90.0), "IronCalc") == []
