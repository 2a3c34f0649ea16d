"""Effective groups, residual cover, reliance and suggestions: plain functions, and what the demo farms show.
"""

from __future__ import annotations

from typing import Any

import pytest

from workbook_builder.build import Built
from workbook_builder.features.effective_modes.definitions import (
    effective_groups,
    resistant_groups,
    top_share,
    uncovered_spans,
)
from workbook_builder.planning import make_plan
from workbook_builder.verify import edited


def rows(built: Built, table: str, *keys: str) -> dict[Any, Any]:
    """Return the filled rows of a plan table by some of their columns."""
    return {tuple(row[key] for key in keys): row for row in built.plan.tables[table] if row[keys[-1]] != ""}


@pytest.mark.parametrize(
    ("text", "groups"),
    [("", []), ("2;9", [2, 9]), ("9, 2", [9, 2]), ("9;9", [9]), ("2;;9", [2, 9]), ("1;2;3;4;5", None),
     ("ALS", None), ("2-9", None)],
)
def test_resistance_is_read_or_refused(text: str, groups: list[int] | None) -> None:
    """Numbers are read each once.

    Anything else is refused, since an unread resistance would count as none.
    """
    assert resistant_groups(text) == groups


def test_groups_that_work() -> None:
    """A group counts once, a resisted one not at all, and an unknown mode proves nothing."""
    assert effective_groups([9, 4, 9, 14, 0], [9]) == [4, 14]
    assert effective_groups([2], [2, 9]) == []


def test_cover_is_a_union_of_spans() -> None:
    """A short residual inside a long one opens no gap; cover outside the window does not count."""
    assert uncovered_spans(0, 100, []) == [(0, 100)]
    assert uncovered_spans(0, 100, [(10, 60), (20, 30), (80, 90)]) == [(0, 10), (60, 80), (90, 100)]
    assert uncovered_spans(50, 60, [(0, 70)]) == []
    assert uncovered_spans(50, 60, [(70, 80)]) == [(50, 60)]


def test_share_of_the_most_used_group() -> None:
    """Nine of sixteen uses are 56 %; uses of unknown mode are left out."""
    assert top_share([9, 4, 14, 0, ""], [9, 4, 3, 5, ""]) == 9 / 16


def test_demo_counts_what_still_works(demo: Built) -> None:
    """Resisted groups are lost, and so is a rating under 80; a mix with two other groups is enough."""
    found = rows(demo, "effective_modes", "pass", "field", "weed")
    # Glyphosate (9) is resisted and 2,4-D (4) both resisted and rated 65.
    assert (found["Early burndown", "Corner", "kochia"]["effective_groups"]) == 0
    # Glyphosate is resisted, dicamba rated 85; where nothing is resisted both count.
    assert found["Early burndown", "Windmill", "Palmer amaranth"]["groups"] == "4"
    assert found["Early burndown", "West Quarter", "Palmer amaranth"]["effective_groups"] == 2
    assert found["Early burndown", "Long Strip", "kochia"]["status"] == "OK"
    assert found["In-crop", "Gravel Hill", "kochia"]["effective_groups"] == 0
    assert found["Preemerge", "Creek 80", "volunteer wheat"]["status"] == "Not entered"


def test_nothing_entered_stays_blank(demo: Built) -> None:
    """A farm without ratings is not flooded: no status anywhere,
    and a weed without a field's weeds has no rows.
    """
    inputs = demo.plan.inputs
    bare = make_plan(type(inputs)({key: rows for key, rows in inputs.tables.items() if key != "ratings"},
                                  inputs.extras, inputs.origin))

    assert {row["status"] for row in bare.tables["effective_modes"]} == {""}
    assert {row["status"] for row in bare.tables["weed_cover"]} == {""}


def test_unreadable_resistance_is_open(demo: Built) -> None:
    """Words in place of numbers are not taken for no resistance."""
    plan = make_plan(edited(demo.plan.inputs, "weeds", 0, "resistant_groups", "glyphosate"), demo.plan.room)

    assert {row["status"] for row in plan.tables["effective_modes"] if (row["field"], row["weed"])
            == ("North Bench", "Palmer amaranth")} == {"Not entered"}


def test_suggestion_is_legal_there(demo: Built) -> None:
    """Suggested products have a label row for the crop, and over a planted crop only where that row says yes.
    """
    limits = {(row["product"], row["crop"]): row for row in demo.plan.tables["label_limits"]
              if row["product"]}
    crops = {row["field"]: row["crop"] for row in demo.plan.tables["fields"] if row["field"]}
    planted = {row["field"]: (row["planting_date"], row["harvest_date"]) for row in demo.plan.tables["fields"]
               if row["field"]}
    days = {(row["pass"], row["field"]): row["date"] for row in demo.plan.tables["passes"] if row["pass"]}
    found = rows(demo, "suggestions", "pass", "field", "product")
    assert found
    for (name, field, product), row in found.items():
        label = limits.get((product, crops[field])) or limits[product, "any"]
        assert label["max_rate"] != ""
        planting, harvest = planted[field]
        if planting != "" and planting <= days[name, field] <= harvest:
            assert label["over_crop"] == "yes"
        assert row["cost_per_area"] > 0
    # 2.7 oz/ac at 258 for 5 lb: 2.7 / 80 x 258.
    assert (found["Early burndown", "Corner", "Flumioxazin 46 WG"]["cost_per_area"]
            == pytest.approx(2.7 / 80 * 258))


def test_reliance_over_seasons(demo: Built) -> None:
    """Corner leans on group 9: more than half of all uses in four seasons."""
    corner = rows(demo, "mode_reliance", "field")[("Corner",)]

    assert (corner["top_group"], corner["top_seasons"], corner["status"]) == (9, 4, "Review")
