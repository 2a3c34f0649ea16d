"""What to fix: one line a cause with its count and first place, worst first, never overflowing.

And the lines behind it.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from agreement import differences
from engine_help import engines_at_length, need_engine
from small_farm import small_farm

from workbook_builder.build import Built, build_inputs
from workbook_builder.commands.findings import finding_lines
from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK, OPEN_STATUSES, Table
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.quantities import QUANTITIES
from workbook_builder.engines import Edit
from workbook_builder.export.json_text import plan_as_json
from workbook_builder.features.checks import CHECK_KINDS
from workbook_builder.features.to_fix.columns import CAUSES, FARM_RULES, KINDS, TYPED
from workbook_builder.planning import Plan, make_plan
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.cover_note import cover_note
from workbook_builder.verify import edit_in_sheet

#: Everything a label says of the product of the small farm, but for grazing.
LABEL = {"crop": "any", "max_rate": 44.0, "max_rate_season": 500.0, "rate_unit": "fl oz/ac", "max_passes": 9,
         "retreat_days": 0, "phi_days": 0}


def many(passes: int, products: int = 4, **changes: dict[str, Any]) -> Inputs:
    """Return a farm with a mix of some products whose labels say nothing of grazing,
    sprayed on as many fields as passes.
    """
    farm = small_farm(label_limits={"product": "Product", **LABEL}, **changes)
    names = [f"Product {n}" for n in range(1, products + 1)]
    rows = {
        key: [{**row, "product": name} for name in names for row in farm.rows(key)]
        for key in ("products", "ingredients", "label_limits", "mixes")
    }
    rows["fields"] = [{**farm.rows("fields")[0], "field": f"Field {n:03}"} for n in range(1, passes + 1)]
    rows["passes"] = [{**farm.rows("passes")[0], "field": f"Field {n:03}"} for n in range(1, passes + 1)]
    return replace(farm, tables={**farm.tables, **rows})


@cache
def crowded() -> Plan:
    """Return the plan of a farm with more open lines than the list holds, made once."""
    return make_plan(many(120))


def listed(plan: Plan) -> list[Any]:
    """Return the lines of the list of causes."""
    return [row for row in plan.tables["to_fix"] if row["cause"] != ""]


def line_of(plan: Plan, cause: str) -> Any:
    """Return the line of one cause."""
    [row] = [row for row in listed(plan) if row["cause"] == cause]
    return row


def test_one_line_for_twenty_passes_and_four_products() -> None:
    """A grazing interval missing from four labels on twenty passes is one line: twenty lines behind it,
    and the first of them.
    """
    plan = make_plan(many(20))
    row = line_of(plan, "Grazing interval not entered")

    assert (row["count"], row["example"], row["status"]) == (20, "First, Field 001", NOT_ENTERED)
    assert row["finding"].startswith("Grazing interval not entered")
    assert len(listed(plan)) < 15 < plan.tables["glance"][0]["open"]


def test_every_line_is_counted_once_and_the_worst_come_first(farm: Built) -> None:
    """The counts of all causes are the points of the first sheet and of the JSON,
    and the statuses follow each other.
    """
    plan, said = farm.plan, json.loads(plan_as_json(farm.plan))
    rows, glance = listed(plan), plan.tables["glance"][0]
    order = [OPEN_STATUSES.index(row["status"]) for row in rows]

    assert order == sorted(order)
    assert len({row["cause"] for row in rows}) == len(rows)
    # Where there are more causes than lines, the first are listed, and all are counted.
    counted = [row for row in plan.tables["causes"] if row["count"]]
    assert ([(row["cause"], row["count"]) for row in rows]
            == [(row["cause"], row["count"]) for row in counted[: len(rows)]])
    assert len(rows) == min(len(counted), len(plan.tables["to_fix"]))
    assert sum(row["count"] for row in counted) == glance["open"] == len(said["open_points"])
    for status, key in zip(OPEN_STATUSES, ("not_allowed", "not_entered", "look"), strict=True):
        assert (sum(row["count"] for row in counted if row["status"] == status) == glance[key]
                == sum(row["status"] == status for row in said["open_points"]))
    assert [{key: row[key] for key in ("cause", "count", "example", "status")} for row in said["to_fix"]] == [
        {key: row[key] for key in ("cause", "count", "example", "status")} for row in rows
    ]


def test_example_is_the_first_place(farm: Built) -> None:
    """The place named is that of the first line of its cause, with what was found there."""
    for row in listed(farm.plan):
        points = [point for point in farm.plan.tables["all_checks"] if point["status"] == row["status"]
                  and f"{point['pass']}, {point['field']}" == row["example"]]
        assert (row["finding"] in {point["finding"] for point in points}
                | {each["finding"] for each in farm.plan.tables["farm_checks"]})


def test_the_list_holds_whatever_may_be_wrong() -> None:
    """Every way a check can be open is counted, and the first tab says how many causes it has no line for,
    however many passes a farm has.
    """
    plan = crowded()

    assert len(plan.tables["causes"]) == len(OPEN_STATUSES) * len(KINDS)
    left = sum(1 for row in plan.tables["causes"] if row["count"]) - len(plan.tables["to_fix"])
    assert left <= 0 or f"{left} more causes" in plan.tables["glance"][0]["first_thing"]
    assert plan.tables["glance"][0]["open"] > 500
    assert line_of(plan, "Grazing interval not entered")["count"] == 120
    assert plan.tables["glance"][0]["room"] == OK


def test_lines_of_a_chosen_pass_or_field_are_all_shown() -> None:
    """Where more lines are open than the list holds it says how many,
    and a chosen field shows all of its own.
    """
    everything = crowded()
    found, lines = everything.tables["points_found"][0], everything.tables["open_points"]
    assert (found["unlisted"] == sum(found[key] for key in ("not_allowed", "not_entered", "look"))
            - len(lines) > 0)

    chosen = make_plan(many(120, point_choice={"field": "field 117"}))
    shown = [row for row in chosen.tables["open_points"] if row["status"] != ""]
    wanted = [row for row in chosen.tables["all_checks"] if row["field"] == "Field 117"
              and row["status"] in OPEN_STATUSES]
    assert chosen.tables["points_found"][0]["unlisted"] == 0
    assert sorted(row["check"] for row in shown) == sorted(row["check"] for row in wanted)
    assert {row["field"] for row in shown} == {"Field 117"}
    assert listed(chosen) == listed(everything)


@engines_at_length
def test_engines_agree_on_causes_and_lines(engine_name: str) -> None:
    """Every engine lists the same causes, and refills list and lines when a pass is chosen and settings can
    no longer act.
    """
    inputs = many(6, 2)
    edits = [
        ("point_choice", 0, "field", "Field 004"), ("point_choice", 0, "pass", "First"),
        ("farm", 0, "look_back_seasons", 1), ("farm", 0, "fuel_price", 3.0),
        ("passes", 1, "partner_pass", "First"), ("passes", 2, "date", dt.date(2026, 7, 1)),
        ("assumptions", 0, "wind_low", 30.0), ("products", 1, "package_price", None),
    ]

    assert differences(inputs, engine_name, edits) == []


#: What the label of the small farm's product says, so that its note has room for every cause.
FEW: dict[str, dict[str, Any]] = {"label_limits": {"product": "Product", **LABEL, "grazing_days": 0},
                                  "products": {"rei_hours": 4.0, "rainfast_hours": 4.0}}
#: What is typed -> rule of the farm that speaks, its status, and what it says.
DEAD: list[tuple[dict[str, dict[str, Any]], str, str, str]] = [
    ({"farm": {"look_back_seasons": 1}}, "Seasons in a row", LOOK,
     "A limit of 3 seasons in a row never shows: the plan looks back 1 season"),
    ({"farm": {"look_back_seasons": 2}, "assumptions": {"group_seasons": 4}}, "Seasons in a row", LOOK,
     "A limit of 4 seasons in a row never shows: the plan looks back 2 seasons"),
    ({"assumptions": {"wind_low": 8.0}}, "Advised wind", LOOK, "No wind lies between"),
    ({"assumptions": {"delta_t_low": 9.0}}, "Delta T", LOOK, "Nothing lies between"),
    ({"agronomy_settings": {"ph_low": 8.5}}, "Usual water pH", LOOK, "Nothing lies between"),
    ({"farm": {"labor_rate": 20.0}}, "Labor rate", LOOK, "The labor rate is not used"),
    ({"farm": {"fuel_price": 3.0}}, "Fuel price", LOOK, "The fuel price is not used"),
    ({"sprayers": {"fuel_per_hour": 8.0}}, "Fuel price missing", NOT_ENTERED, "fuel is counted as free"),
    ({"sprayers": {"fuel_per_hour": 8.0, "cost_per_hour": 90.0}, "farm": {"fuel_price": 3.0}},
     "Cost per hour", LOOK, "it is counted in parts"),
    ({"passes": {"sprayed_share": 0.3}}, "Share, pressure class or partner", LOOK, "1 broadcast passes hold"),
    ({"passes": {"partner_pass": "First"}}, "Share, pressure class or partner", LOOK,
     "1 broadcast passes hold"),
    ({"past_use": {"field": "North", "season": 2025, "mode_group": 26, "uses": 1}}, "Past use", NOT_ENTERED,
     "Past use of old group 26: type the group of today"),
    ({"products": {"package_price": None}}, "Order figures", NOT_ENTERED,
     "Not entered: 1 products lack a figure"),
]


@pytest.mark.parametrize(("changes", "rule", "status", "said"), DEAD)
def test_a_setting_that_cannot_act_is_said(changes: dict[str, dict[str, Any]], rule: str, status: str,
                                           said: str) -> None:
    """What is typed and never used, or leaves nothing between two figures,
    stands in the list of what to fix, on paper, in the terminal and as JSON.
    """
    plan = make_plan(small_farm(**{key: {**FEW.get(key, {}), **changes.get(key, {})}
                                   for key in FEW.keys() | changes.keys()}))
    [row] = [row for row in plan.tables["farm_checks"] if row["status"] != OK]

    assert (row["check"], row["status"]) == (rule, status)
    assert said in row["finding"]
    [line] = [line for line in listed(plan) if line["example"] == rule]
    assert (line["count"], line["finding"]) == (1, row["finding"])
    assert {"pass": None, "field": None, "check": rule, "status": status,
            "finding": row["finding"]} in json.loads(plan_as_json(plan))["open_points"]
    assert any(row["finding"] in text for text in finding_lines(plan, StringIO()))
    assert line["cause"] in cover_note(plan, Choice())


def test_settings_that_act_are_not_questioned() -> None:
    """Defaults, and figures that are used, raise nothing."""
    used = {"fuel_per_hour": 8.0, "boom_width": 60.0, "speed": 10.0, "field_efficiency": 0.6}
    for changes in ({}, {"sprayers": used, "farm": {"fuel_price": 3.0, "labor_rate": 20.0}},
                    {"passes": {"sprayed_share": 1.0}}, {"farm": {"look_back_seasons": 2}}):
        assert {row["status"] for row in make_plan(small_farm(**changes)).tables["farm_checks"]} == {OK}


def test_causes_are_worded_for_checks_there_are() -> None:
    """Every wording belongs to a check, no two ways of being open read alike, and none says nothing."""
    plan = make_plan(small_farm())
    words = [row["cause"] for row in plan.tables["causes"]]

    assert set(CAUSES) <= set(KINDS)
    assert len(set(words)) == len(words) == len(OPEN_STATUSES) * (len(CHECK_KINDS) + len(FARM_RULES))
    assert all(words)


def test_terminal_groups_by_cause() -> None:
    """The check command says each cause once with its count, and how many lines it left out."""
    lines = finding_lines(make_plan(many(20)), StringIO())

    assert sum(line.strip().startswith("Grazing interval not entered: 20 ") for line in lines) == 1
    assert any("more like it" in line for line in lines)


def test_nothing_open_leaves_the_list_blank() -> None:
    """With nothing to fix the list is blank and the state of the plan says so."""
    plan = make_plan(small_farm(passes={"pass": None, "field": None, "mix": None, "method": None,
                                        "date": None, "carrier": None, "sprayer": None}))

    assert [row["status"] for row in listed(plan)] == []
    assert plan.tables["glance"][0]["verdict"] == "OK: nothing open"


@pytest.fixture(scope="module")
def plain() -> Built:
    """A farm whose every table of numbers has a row."""
    return build_inputs(small_farm(
        label_limits={"product": "Product", **LABEL}, sprayers={"sprayer": "Rig"},
        ingredient_limits={"active_ingredient": "glyphosate", "crop": "any"},
        plant_back={"product": "Product", "next_crop": "any", "interval": 1, "interval_unit": "days"},
        spray_log={"pass": "First", "field": "North"}))


def texts(built: Built, tables: Iterable[Table]) -> list[Edit]:
    """Return edits that put text into every cell of numbers in the last row of tables, as pasting does."""
    spots = built.placement.spots
    return [edit_in_sheet(built.placement, table.key, spots[table.key].rows - 1, column.key, "12 h")
            for table in tables for column in table.columns
            if column.key in spots[table.key].places and not column.formula
            and QUANTITIES[column.quantity].form in ("whole", "number", "share", "money", "date", "time")]


@engines_at_length
def test_text_pasted_over_numbers_is_asked_for(plain: Built, engine_name: str, tmp_path: Path) -> None:
    """Whatever cell of numbers it is, and though its row counts for nothing else, the first tab asks for it.

    Python cannot read such a farm at all; the finished book has to say so itself.
    """
    path = tmp_path / "book.xlsx"
    path.write_bytes(plain.data)
    pasted = {tab: texts(plain, tables) for tab, tables in TYPED.items()}
    found = need_engine(engine_name).recalculate(path, [edit for edits in pasted.values() for edit in edits])
    spot, texted = (plain.placement.spots[key] for key in ("farm_checks", "typed_texts"))

    rows = {row["check"]: at for at, row in enumerate(plain.plan.tables["farm_checks"])}
    for tab, edits in pasted.items():
        at = rows[f"Numbers on the tab {tab}"]
        assert plain.plan.tables["farm_checks"][at]["status"] == OK
        assert found[spot.sheet_of("status")][spot.cell("status", at)] == "Not entered"
        counted = [found[texted.sheet_of(table.key)][texted.cell(table.key)] for table in TYPED[tab]]
        assert sum(counted) == len(edits) > 0
