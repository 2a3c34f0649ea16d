"""Insecticides, fungicides and growth regulators: groups by their own lists, rotation,
and no kind that escapes the label.
"""

from __future__ import annotations

import csv
import datetime as dt
from dataclasses import replace
from importlib import resources
from typing import Any

import pytest
from small_farm import first, small_farm

from workbook_builder.check import check_inputs
from workbook_builder.core.inputs import Inputs
from workbook_builder.features import TYPED_TABLES, VIEWS
from workbook_builder.features.products.inputs import KINDS, PESTICIDES
from workbook_builder.features.reference import data
from workbook_builder.features.rotation.definitions import rotation_status
from workbook_builder.planning import Plan, make_plan
from workbook_builder.roll_over import roll_over

TOMATO = "UC ANR, UC IPM Pest Management Guidelines: Tomato, General Properties of Fungicides (found)"
ARTICHOKE = "UC ANR, UC IPM Pest Management Guidelines: Artichoke, Relative Toxicities (found)"
FLORIDA = "UF/IFAS IN1379, Understanding Insecticide Modes of Action (found)"


def sprays(kind: str, *groups: Any, **cells: Any) -> Inputs:
    """Return a farm on whose one field one product a group is sprayed, each pass a week after the other."""
    farm = small_farm()
    product, ingredient = farm.rows("products")[0], farm.rows("ingredients")[0]
    names = {group: f"Product {group}" for group in groups}
    rows = {
        "products": [{**product, "kind": kind, "product": name, **cells} for name in names.values()],
        "ingredients": [{**ingredient, "product": name, "active_ingredient": f"active {group}",
                         "mode_group": group} for group, name in names.items()],
        "mixes": [{**farm.rows("mixes")[0], "mix": name, "product": name} for name in names.values()],
        "passes": [{**farm.rows("passes")[0], "pass": f"Pass {nth}", "mix": names[group],
                    "date": dt.date(2026, 6, 1) + dt.timedelta(7 * nth)}
                   for nth, group in enumerate(groups, 1)],
    }
    return replace(farm, tables={**farm.tables, **rows})


def rotation(plan: Plan) -> dict[Any, str]:
    """Return the status of every group that the field sees, by its code."""
    return {row["mode_group"]: row["status"] for row in plan.tables["mode_rotation"]
            if row["mode_group"] != ""}


@pytest.mark.parametrize(("kind", "groups", "judged", "source"), [
    ("fungicide", (11, 11), {11: "Review"}, TOMATO),
    ("fungicide", (11, 3, 11), {3: "OK", 11: "OK"}, TOMATO),
    ("fungicide", (7, 7), {7: "OK"}, TOMATO),
    ("fungicide", (7, 7, 7), {7: "Review"}, TOMATO),
    ("fungicide", (7, 7, "M05", 7, 7), {7: "OK", "M05": "OK"}, TOMATO),
    ("fungicide", ("M05", "M05", "M05", "M05"), {"M05": "OK"}, TOMATO),
    ("insecticide", (28, 28), {28: "OK"}, ARTICHOKE),
    ("insecticide", (28, 3, 28, 3, 28), {3: "OK", 28: "Review"}, ARTICHOKE),
    ("insecticide", ("4A", "4C", "4D"), {4: "Review"}, FLORIDA),
])
def test_each_list_has_its_own_rule(kind: str, groups: tuple[Any, ...], judged: dict[Any, str],
                                    source: str) -> None:
    """Insecticides rotate by main group in a season, fungicides by turns,
    and multi-site fungicides are not at risk.
    """
    assert rotation(make_plan(sprays(kind, *groups))) == judged, source


def test_one_number_is_another_group_in_each_list() -> None:
    """Group 4 of a herbicide, an insecticide and a fungicide are three groups, in the plan and in the JSON.
    """
    farms = [sprays(kind, 4) for kind in ("herbicide", "insecticide", "fungicide")]
    tables = {key: [{**row, **({"product": f"{row['product']} {at}"} if "product" in row else {}),
                     **({"mix": f"{row['mix']} {at}"} if "mix" in row else {})}
                    for at, farm in enumerate(farms) for row in farm.rows(key)]
              for key in ("products", "ingredients", "mixes", "passes")}
    tables["passes"] = [{**row, "pass": f"Pass {at}"} for at, row in enumerate(tables["passes"])]
    past = [{"field": "North", "season": 2025, "mode_group": "4C", "scheme": "insecticide", "uses": 2}]
    plan = make_plan(replace(farms[0], tables={**farms[0].tables, **tables, "past_use": past}))
    told = VIEWS["mode_use"](plan)
    shared = {"field": "North", "mode_group": 4}

    assert told == [
        {**shared, "season": 2026, "scheme": "herbicide", "uses": 1},
        *({**shared, "mode_group": "4", "season": season, "scheme": scheme, "uses": uses}
          for season, scheme, uses in ((2025, "insecticide", 2), (2026, "insecticide", 1),
                                       (2026, "fungicide", 1))),
    ]
    assert first(plan, "rotation_grid")["pass_2"] == "insecticide 4 (Pass 1)"


@pytest.mark.parametrize("kind", PESTICIDES)
def test_no_kind_of_pesticide_escapes_the_label(kind: str) -> None:
    """What protects people is asked of every kind alike: re-entry, preharvest,
    rates and seasons are Not entered without figures.
    """
    plan = make_plan(sprays(kind, 3))
    other = make_plan(sprays("herbicide", 3))
    asked = ("Crop on the label", "Label rate", "Season amount", "Repeat applications", "Re-entry", "Harvest",
             "Grazing", "Ingredient per pass", "Ingredient per season", "Conditions of the day",
             "Spray record")
    of = {key: {row["check"]: row["status"]
                for row in made.tables["all_checks"][: len(made.tables["all_checks"]) // 4]
                if row["pass"] != ""} for key, made in (("its", plan), ("herbicide", other))}

    assert ({check: of["its"].get(check) for check in asked}
            == {check: of["herbicide"].get(check) for check in asked})
    assert of["its"]["Label rate"] == of["its"]["Re-entry"] == "Not entered"
    assert first(plan, "cost_passes")["herbicide_cost"] == first(other, "cost_passes")["herbicide_cost"] > 0


def test_weeds_are_asked_of_herbicides_only() -> None:
    """A pass against insects is not held against the number of herbicide groups wanted."""
    assert [first(make_plan(sprays(kind, 3)), "mode_checks")["count_status"]
            for kind in ("herbicide", "insecticide", "fungicide")] == ["Review", "", ""]


def test_other_pesticides_go_in_as_herbicides_of_their_formulation() -> None:
    """The mixing order names no other kind of pesticide.

    Foliar fertilizer goes in as fertilizer does, or by a rule of its own.
    """
    steps = {kind: first(make_plan(sprays(kind, 3, formulation="SC")), "product_facts")["step"]
             for kind in KINDS}

    assert {steps[kind] for kind in PESTICIDES} == {7}
    assert steps["foliar fertilizer"] == steps["fertilizer"]


@pytest.mark.parametrize(("kind", "active", "group", "code"), [
    ("insecticide", "Imidacloprid", "3A", "group-otherwise"), ("insecticide", "imidacloprid", "4C", None),
    ("insecticide", "imidacloprid", None, "group-blank"),
    ("insecticide", "new", "77", "unknown-group"), ("fungicide", "chlorothalonil", "M5", None),
    ("fungicide", "new", "U6", None), ("fungicide", "new", "4A", "unknown-group"),
    ("fungicide", "fosetyl-aluminium", "33", None), ("growth regulator", "mepiquat chloride", None, None),
    ("herbicide", "glyphosate", "4A", "unknown-group"),
])
def test_groups_are_looked_up_in_their_own_list(kind: str, active: str, group: Any, code: str | None) -> None:
    """A group that its list does not know, or knows otherwise for the ingredient, is told at its cell.

    Forms of one code are one.
    """
    farm = small_farm(products={"kind": kind}, ingredients={"active_ingredient": active, "mode_group": group})
    _, problems = check_inputs(farm, TYPED_TABLES)

    assert [problem.code for problem in problems if problem.column == "Group"] == ([code] if code else [])


def test_a_season_rolls_over_with_its_lists() -> None:
    """Past use of an insecticide keeps its list, so that it never counts as a herbicide group."""
    rolled = roll_over(sprays("insecticide", "4A"))

    assert (rolled.rows("past_use")
            == [{"field": "North", "season": 2026, "mode_group": 4, "scheme": "insecticide", "uses": 1}])


def test_the_shipped_lists_agree() -> None:
    """Every listed active has a group that the list of groups knows, and every row says where it was read."""
    text = resources.files("workbook_builder").joinpath("data", "other_actives.csv").read_text("utf-8")
    rows = list(csv.DictReader(text.splitlines()))

    assert len(rows) > 150
    assert all(data.other_group(row["scheme"], row["code"]) for row in rows)
    assert {row["standing"] for row in rows} <= {"found", "found second hand", "from memory"}
    assert all(row["source"] for row in rows)


@pytest.mark.parametrize(("group", "planned", "in_a_row", "status"),
                         [(101, 2, 0, "OK"), (101, 3, 0, "Review"), (211, 2, 1, "OK"), (211, 2, 2, "Review"),
                          (305, 6, 3, "OK"), (9, 3, 0, "Review")])
def test_rotation_is_judged_by_hand(group: int, planned: int, in_a_row: int, status: str) -> None:
    """Figures of the sources above, one by one: twice a season, once in a row, multi-site never."""
    uses, row = (2 if 100 <= group < 200 else ""), (1 if group == 211 else "")

    assert rotation_status(group, planned, 1, in_a_row, 2, 3, uses, row) == status
