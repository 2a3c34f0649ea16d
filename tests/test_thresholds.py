"""Thresholds of pests: what a count says of a pass that is planned, or of one that is not."""

from __future__ import annotations

from typing import Any

import pytest
from agreement import differences
from small_farm import first, small_farm, small_plan

from workbook_builder.features import VIEWS
from workbook_builder.planning import Plan

APHID = {"field": "North", "pest": "soybean aphid", "threshold": 250, "count_unit": "per plant"}
KOCH = "Koch et al. 2016: 250 aphids per plant, R1 to R5, still valid after changes in prices (found)"


def planned(**pest: Any) -> Plan:
    """Plan one pest on the field, with the pass against it."""
    return small_plan(pests={**APHID, "pass": "First", **pest})


@pytest.mark.parametrize(("count", "pass_", "status"),
                         [(249, "First", "Review"), (250, "First", "OK"), (250, None, "Review"),
                          (249, None, "OK"), (None, "First", "Not entered")])
def test_a_count_against_its_threshold(count: float | None, pass_: str | None, status: str) -> None:
    """A pass below the threshold is looked at, and so is a count at or over it without a pass."""
    plan = small_plan(pests={**APHID, "count": count, "pass": pass_})
    of_the_pass = [row["status"] for row in plan.tables["all_checks"] if row["check"] == "Threshold"
                   and row["pass"]]

    assert first(plan, "thresholds")["status"] == status, KOCH
    assert of_the_pass == ([status] if pass_ else [])


def test_a_typed_threshold_wins() -> None:
    """What a guide says counts, though the injury level stands beside it.

    Figures that are missing leave it out.
    """
    row = first(planned(count=300, value=15, crop_yield=50, damage=0.00005, cost=8), "thresholds")

    assert (row["threshold"], row["status"]) == (250, "OK")
    assert row["injury_level"] == pytest.approx(8 / (15 * 50 * 0.00005))
    assert first(planned(count=300, value=15, cost=8), "thresholds")["injury_level"] == ""


def test_a_spot_pass_shows_both_costs() -> None:
    """Beside the cost of spraying all of the field stands that of the share expected, per field acre."""
    plan = small_plan(
        pests={**APHID, "count": 300, "pass": "First", "value": 15, "damage": 0.01, "threshold": None},
        passes={"method": "spot", "sprayed_share": 0.25}, sprayers={"spot_tank": 500.0, "cost_per_area": 2.0},
    )
    (row,) = VIEWS["thresholds"](plan)
    product = 32 / 128 * 10

    assert row["cost_full"] == pytest.approx(product + 15 * 0.01 + 2)
    assert row["cost_field"] == pytest.approx(product * 0.25 + 15 * 0.25 * 0.01 + 2)
    assert ([each["cost_full"] for each in VIEWS["thresholds"](planned(count=300, cost=None))]
            == pytest.approx([product + 15 * 0.01]))
    assert row["injury_level"] == pytest.approx(row["cost_full"] / (15 * 0.01))
    assert row["level_spot"] == pytest.approx(row["cost_field"] / (15 * 0.01))


def test_the_engine_agrees_on_pests() -> None:
    """Sheet and plan agree where everything is typed, and where next to nothing is."""
    full = {**APHID, "pass": "First", "count": 3, "value": 3, "crop_yield": 135, "injury": 0.2,
            "damage": 0.059, "control": 0.72}
    farm = small_farm(passes={"method": "spot", "sprayed_share": 0.25}, sprayers={"spot_tank": 500.0})
    farm.tables["pests"] = [full, {**full, "threshold": None}, {"field": "North", "pest": "mite"},
                            {**full, "threshold": None, "cost": 15, "value": 0}]

    assert differences(farm, "IronCalc") == []
