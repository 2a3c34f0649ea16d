"""Rolling a season over: past use, crops, draft passes and a cleared log."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest
from small_farm import small_farm

from workbook_builder.build import Built, build_inputs
from workbook_builder.check import check_inputs, errors_in
from workbook_builder.core.inputs import Inputs
from workbook_builder.features import TYPED_TABLES
from workbook_builder.planning import make_plan
from workbook_builder.roll_over import next_field, only_logged, past_use, roll_over

DAY = dt.date(2026, 5, 1)


def with_rows(inputs: Inputs, **tables: list[dict[str, Any]]) -> Inputs:
    """Return inputs with some tables replaced."""
    return replace(inputs, tables={**inputs.tables, **tables})


def test_planned_uses_become_past_use(farm: Built) -> None:
    """Each planned use of a group on a field is last season's use in the next plan."""
    rotation = {(r["field"], r["mode_group"]): r["planned"] for r in farm.plan.tables["mode_rotation"]
                if r["planned"]}

    plan = make_plan(roll_over(farm.plan.inputs))

    later = {(r["field"], r["mode_group"]): r["back_1"] for r in plan.tables["mode_rotation"] if r["back_1"]}
    assert later == rotation


def test_earlier_past_use_stays(farm: Built) -> None:
    """Nothing typed about earlier seasons is lost."""
    before = [row for _, row in farm.plan.inputs.filled("past_use")]

    after = roll_over(farm.plan.inputs).rows("past_use")

    assert after[: len(before)] == before


def test_rolled_season_checks_and_builds(farm: Built) -> None:
    """The next season's inputs have no errors and make a workbook without the old log."""
    rolled, problems = check_inputs(roll_over(farm.plan.inputs), TYPED_TABLES)

    built = build_inputs(rolled, problems)

    assert errors_in(problems) == []
    assert built.plan.inputs.form("farm")["season"] == 2027
    assert all(row["sprayed_on"] == "" for row in built.plan.tables["records"])


def test_logged_only_leaves_out_what_was_not_sprayed() -> None:
    """With logged_only a pass without a logged date does not count."""
    inputs = small_farm()
    log = [{"pass": "First", "field": "North", "date": DAY}]

    assert (past_use(make_plan(only_logged(inputs)), 2026)
            == roll_over(inputs, logged_only=True).tables["past_use"] == [])
    assert (past_use(make_plan(only_logged(with_rows(inputs, spray_log=log))), 2026)
            == past_use(make_plan(inputs), 2026))
    assert (past_use(make_plan(inputs), 2026)
            == [{"field": "North", "season": 2026, "mode_group": 9, "uses": 1}])


def test_rows_of_this_season_are_not_counted_twice() -> None:
    """A past-use row of the season itself is merged: the larger count stands."""
    typed = [{"field": "north", "season": 2026, "mode_group": 9, "uses": 3},
             {"field": "North", "season": 2025, "mode_group": 9, "uses": 1}]

    rows = past_use(make_plan(with_rows(small_farm(), past_use=typed)), 2026)

    assert [(row["season"], row["uses"]) for row in rows] == [(2025, 1), (2026, 3)]


def test_old_group_numbers_are_brought_up_to_date() -> None:
    """A retired number in the ingredients is stored as the group it is today."""
    rows = past_use(make_plan(small_farm(ingredients={"mode_group": 7, "active_ingredient": "unlisted"})),
                    2026)

    assert [row["mode_group"] for row in rows] == [5]


def test_crops_move_on() -> None:
    """The next crop becomes the crop; one planted late next season leaves the field fallow until then."""
    inputs, field = (small_farm(),
                     {"field": "North", "area": 80.0, "crop": "sunflower", "next_crop": "winter wheat"})

    same_autumn = next_field(inputs, {**field, "next_planting_date": dt.date(2026, 9, 20)}, 2026)
    year_after = next_field(inputs, {**field, "next_planting_date": dt.date(2027, 9, 20)}, 2026)
    unknown = next_field(inputs, {"field": "North", "crop": "sunflower"}, 2026)

    assert ((same_autumn["crop"], same_autumn["planting_date"], same_autumn["next_crop"])
            == ("winter wheat", dt.date(2026, 9, 20), None))
    assert (year_after["crop"], year_after["next_crop"]) == ("fallow", "winter wheat")
    assert unknown["crop"] == "sunflower"


def test_passes_follow_the_crop() -> None:
    """A field takes the passes of a field that grew its new crop, a year later."""
    inputs = small_farm()
    fields = [
        {"field": "North", "area": 80.0, "crop": "grain sorghum", "next_crop": "field pea",
         "next_planting_date": dt.date(2027, 4, 1)},
        {"field": "South", "area": 40.0, "crop": "field pea"},
    ]
    model = inputs.rows("passes")[0]
    passes = [model, {**model, "pass": "Pea pass", "field": "South", "date": dt.date(2026, 4, 4)}]

    rolled = roll_over(with_rows(inputs, fields=fields, passes=passes))

    assert [(row["pass"], row["field"], row["date"]) for row in rolled.rows("passes")] == [
        ("Pea pass", "North", dt.date(2027, 4, 4)), ("Pea pass", "South", dt.date(2027, 4, 4)),
    ]


def test_draft_is_never_empty() -> None:
    """A farm whose only field changes crop keeps its passes where they were, as a draft."""
    rolled = roll_over(small_farm(fields={"next_crop": "field pea",
                                          "next_planting_date": dt.date(2027, 4, 1)}))

    assert [(row["field"], row["date"]) for row in rolled.rows("passes")] == [("North", dt.date(2027, 5, 1))]


def test_a_farm_without_a_season_cannot_roll() -> None:
    """Without a season there is nothing to count from."""
    with pytest.raises(ValueError, match="no season"):
        roll_over(small_farm(farm={"season": None}))


def test_weeds_stay_and_their_emergence_is_asked_anew(farm: Built) -> None:
    """Weeds and their resistance carry over; the dates they came up this season do not."""
    before = [row for _, row in farm.plan.inputs.filled("weeds")]

    after = roll_over(farm.plan.inputs).rows("weeds")

    assert any(row.get("emerges_from") for row in before)
    assert not any(row.get(key) for row in after for key in ("emerges_from", "emerges_to"))
    assert [(row["field"], row["weed"], row.get("resistant_groups")) for row in after if row.get("weed")] == [
        (row["field"], row["weed"], row.get("resistant_groups")) for row in before
    ]


def test_bulletins_are_looked_up_again(farm: Built) -> None:
    """A bulletin holds for a month, so its points are blank next season; the label's stay."""
    before = farm.plan.inputs.rows("mitigation_labels")
    after = roll_over(farm.plan.inputs).rows("mitigation_labels")

    assert any(row.get("bulletin_points") is not None for row in before)
    assert not any(row.get(key) is not None for row in after
                   for key in ("bulletin_points", "bulletin_checked"))
    assert [row.get("label_points") for row in after] == [row.get("label_points") for row in before]
