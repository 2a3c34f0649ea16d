"""A share whose evidence is worth less than one patch: nothing is known yet, advice by range,
and no curve that turns into a U.
"""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest
from agreement import differences
from engine_help import engines_at_length
from oracles.newsvendor import discrete_quantity
from small_farm import first, small_farm

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.inputs import Inputs
from workbook_builder.export.json_text import plan_as_json
from workbook_builder.features.shares.beta import share_chance
from workbook_builder.features.shares.definitions import NO_SHARE, NOTHING_KNOWN, known, shape
from workbook_builder.features.spot_volumes.definitions import CHOICES, FULL_TANK
from workbook_builder.planning import make_plan
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.spot_sheets import spot_sheets


def spot_farm(evidence: float, share: float = 0.3, loads: list[dict[str, Any]] | None = None) -> Inputs:
    """Return 100 acres to be spotted at 10 gal/ac from a tank of 200 gal,
    with a pressure class worth some acres of a 20-acre patch.
    """
    farm = small_farm(
        fields={"area": 100.0}, sprayers={"spot_tank": 200.0, "cost_per_area": 7.0},
        farm={"extra_refill_cost": 40.0, "patch_area": 20.0},
        passes={"method": "spot", "carrier": 10.0, "pressure_class": "light"},
        pressure_classes={"pressure_class": "light", "expected_share": share, "evidence_area": evidence},
    )
    return replace(farm, tables={**farm.tables, "load_log": loads or []})


def load(area: float, volume: float, number: int = 1) -> dict[str, Any]:
    """Return a row of the load log."""
    return {"pass": "First", "field": "North", "load": number, "area_covered": area, "volume_sprayed": volume}


def test_a_quarter_of_a_patch_says_nothing() -> None:
    """Five acres of experience against patches of twenty are a quarter of a patch:
    any share is as likely as another.

    By hand: the middle of none to 1,000 gal is 500; enough 19 times in 20 is 950; one full tank is 200.
    """
    plan = make_plan(spot_farm(5.0))
    estimate, spot = first(plan, "share_estimates"), first(plan, "spot_passes")

    assert (estimate["a"], estimate["b"], estimate["share_mean"]) == (1, 1, 0.5)
    assert (estimate["status"], estimate["finding"]) == (LOOK, NOTHING_KNOWN)
    assert ([estimate[key] for key in ("volume_p50", "volume_p80", "volume_p95")]
            == pytest.approx([500, 800, 950]))
    assert (spot["share_low"], spot["share_high"], spot["volume_safe"]) == (0, 1, 1000)
    assert ((CHOICES[spot["best"] - 1], spot["next_fill"], spot["fills_most"], spot["status"])
            == (FULL_TANK, 200, 5, LOOK))
    assert [row["advised"] for row in plan.tables["volume_choices"][: len(CHOICES)]].count("yes") == 1
    assert spot["advice"] in spot_sheets(plan, Choice())
    assert json.loads(plan_as_json(plan))["share_estimates"][0]["finding"] == NOTHING_KNOWN


def test_parts_of_a_tank_stand_for_volumes_that_no_tank_holds() -> None:
    """Any share may come, 1,000 gal if all: all, a third, a half,
    two thirds and five sixths of 200 gal finish the field as often as they are parts of it.
    """
    rows = make_plan(spot_farm(5.0)).tables["volume_choices"][: len(CHOICES)]

    assert [row["volume"] for row in rows] == pytest.approx([200, 200 / 3, 100, 400 / 3, 500 / 3])
    assert [1 - row["chance_short"] for row in rows] == pytest.approx([0.2, 0.2 / 3, 0.1, 0.4 / 3, 0.5 / 3])


@pytest.mark.parametrize(("evidence", "share"), [(0.01, 0.001), (0.01, 0.999), (5.0, 0.3), (19.9, 0.5),
                                                 (20.0, 0.4), (30.0, 0.5), (38.0, 0.5)])
def test_the_curve_never_turns_into_a_u(evidence: float, share: float) -> None:
    """Whatever the evidence, none and all are never both likelier than what lies between."""
    estimate = first(make_plan(spot_farm(evidence, share)), "share_estimates")

    assert max(estimate["a"], estimate["b"]) >= 1
    ends, middle = (share_chance(0.1, estimate["a"], estimate["b"]),
                    share_chance(0.55, estimate["a"], estimate["b"])
                    - share_chance(0.45, estimate["a"], estimate["b"]))
    assert min(ends, 1 - share_chance(0.9, estimate["a"], estimate["b"])) <= middle + 1e-9


def test_a_patch_of_evidence_is_believed() -> None:
    """Four patches at a tenth, or one patch and a quarter nearly all left out, count as they did: a = 0.4,
    b = 3.6.
    """
    for evidence, share, a, b in ((80.0, 0.1, 0.4, 3.6), (25.0, 0.1, 0.125, 1.125)):
        plan = make_plan(spot_farm(evidence, share))
        estimate = first(plan, "share_estimates")
        assert (estimate["a"], estimate["b"]) == (pytest.approx(a), pytest.approx(b))
        assert estimate["status"] == OK
        assert 0 < first(plan, "spot_passes")["share_low"] < first(plan, "spot_passes")["share_high"] < 1


def test_the_first_load_tells_more_than_the_experience() -> None:
    """A quarter of a patch of experience and a load over 30 acres are 1.75 patches:
    0.375 sprayed and 1.375 left out.
    """
    plan = make_plan(spot_farm(5.0, 0.3, [load(30.0, 60.0)]))
    estimate = first(plan, "share_estimates")

    assert (estimate["a"], estimate["b"]) == (pytest.approx(0.075 + 0.3), pytest.approx(0.175 + 1.2))
    assert estimate["known"] == 1
    steps = [(row["a"], row["b"]) for row in plan.tables["step_facts"] if row["shown"]]
    assert steps == [(1, 1), (pytest.approx(0.375), pytest.approx(1.375))]


def test_shapes_by_hand() -> None:
    """The shapes are the patches of evidence, 1 and 1 below one patch in all or of either kind,
    and never under 0.05.
    """
    assert [known(1.499999, 0.5, 0.999999), known(1.5, 0.5, 1.0), known(3.0, 0.0, 3.0),
            known(0.9, 1.2, 1.7)] == [0, 1, 1, 0]
    assert [shape(0, 0.5), shape(1, 0.5), shape(1, 0.0), shape(1, 3.0)] == [1, 0.5, 0.05, 3]


@pytest.mark.parametrize(("frames", "known"), [(1, 0), (2, 1)])
def test_one_frame_alone_says_nothing(frames: int, known: int) -> None:
    """One frame of 1.35 to an independent one is under a patch.

    Two are 1.48, beside a middle that nobody vouches for.
    """
    farm = spot_farm(5.0)
    rows = [{"pass": "First", "field": "North", "frame": n, "frame_area": 4.0, "seen": "no"}
            for n in range(1, frames + 1)]
    passes = [{**farm.rows("passes")[0], "pressure_class": None}]
    estimate = first(make_plan(replace(farm, tables={**farm.tables, "scouting": rows, "passes": passes})),
                     "share_estimates")

    assert estimate["evidence_patches"] == pytest.approx(frames / 1.35)
    assert (estimate["known"], estimate["finding"] == NOTHING_KNOWN) == (known, not known)
    assert (estimate["a"], estimate["b"]) == ((1, pytest.approx(1 + frames / 1.35)) if known else (1, 1))


def test_without_anything_to_go_by_the_share_is_asked_for() -> None:
    """No class, share, frame or load: the share is not entered, never all of the field,
    and one tank is filled and judged meanwhile.
    """
    farm = spot_farm(5.0)
    plan = make_plan(replace(farm,
                             tables={**farm.tables,
                                     "passes": [{**farm.rows("passes")[0], "pressure_class": None}]}))
    spot, volume = first(plan, "spot_passes"), first(plan, "pass_volumes")

    assert (first(plan, "share_estimates")["status"],
            first(plan, "share_estimates")["finding"]) == (NOT_ENTERED, NO_SHARE)
    assert ((volume["share"], volume["volume"], volume["status"], volume["finding"])
            == ("", "", NOT_ENTERED, NO_SHARE))
    assert (spot["share_likely"], spot["next_fill"], spot["status"]) == ("", 200, NOT_ENTERED)


def test_an_amount_that_just_reaches_the_ratio_is_enough() -> None:
    """By hand: demand of 10, 20 or 30 with chances 1/4, 1/4 and 1/2, and a ratio of 1/2:
    20 is not exceeded in half the cases.
    """
    assert discrete_quantity(0.5, [30, 10, 20], [0.5, 0.25, 0.25]) == 20
    assert discrete_quantity(0.51, [30, 10, 20], [0.5, 0.25, 0.25]) == 30


@engines_at_length
def test_engines_agree_where_nothing_is_known(engine_name: str) -> None:
    """Every engine says so below one patch, and believes the class once its acres are worth more."""
    inputs = spot_farm(5.0)
    edit = ("pressure_classes", 0, "evidence_area", 60.0)

    assert differences(inputs, engine_name, [edit]) == []
