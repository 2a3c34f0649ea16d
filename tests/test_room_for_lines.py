"""The lists of all products and ingredients of all passes: each line knows its pass,
and a list that is full says so.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest
from small_farm import small_farm

from workbook_builder.core.columns import LOOK, OK
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.room import Room
from workbook_builder.planning import Plan, make_plan


def three_passes() -> Inputs:
    """Return a farm of three passes: a product, none that is known, and the same product again."""
    inputs = small_farm()
    [typed] = inputs.rows("passes")
    more = [{**typed, "pass": "Unknown", "mix": "No mix", "date": dt.date(2026, 6, 1)},
            {**typed, "pass": "Last", "date": dt.date(2026, 7, 1)}]
    return replace(inputs, tables={**inputs.tables, "passes": [typed, *more]})


def in_room(inputs: Inputs, **slots: int) -> Plan:
    """Plan in the room of the farm, some of it changed."""
    room = make_plan(inputs).room
    return make_plan(inputs, Room(room.rows, {**room.slots, **slots}))


@pytest.mark.parametrize("table", ["mix_lines", "pass_ingredients"])
def test_each_line_knows_its_pass(table: str) -> None:
    """Lines go from pass to pass without holes.

    A pass without a known mix has none, and spare lines belong to the last row and are blank.
    """
    plan = make_plan(three_passes())
    filled = [row for row in plan.tables[table] if row["pass"] != ""]

    assert ([(row["row_no"], row["parent_no"], row["pass"]) for row in filled]
            == [(1, 1, "First"), (2, 3, "Last")])
    assert {row["parent_no"] for row in plan.tables[table][2:]} == {plan.room.rows["passes"]}


@pytest.mark.parametrize("full", ["lines", "ingredient_lines"])
def test_a_list_that_is_full_says_so(full: str) -> None:
    """A pass whose products or ingredients found no room is never OK, the first sheet asks for a new build,
    and the passes before it stand.
    """
    plan = in_room(three_passes(), **{full: 1})
    first, _, last = plan.tables["pass_volumes"][:3]

    assert (first["status"], last["status"]) == (OK, LOOK)
    assert last["finding"] == "More products than there is room for: build the workbook again"
    assert plan.tables["glance"][0]["room"].startswith("Review: a list is full")
    assert make_plan(three_passes()).tables["glance"][0]["room"] == "OK"


@pytest.mark.parametrize("full", ["lines", "ingredient_lines"])
def test_a_pass_that_found_no_room_keeps_its_field_closed(full: str) -> None:
    """Of a product that found no room nobody knows the interval, though its label tells it."""
    inputs = three_passes()
    inputs = replace(inputs, tables={**inputs.tables,
                                     "products": [{**inputs.rows("products")[0], "rei_hours": 12.0}]})
    wanted = "Re-entry interval not entered: the products of its mix"

    first, unknown, last = in_room(inputs, **{full: 1}).tables["intervals"][:3]
    assert (first["rei_missing"], unknown["reentry_finding"], last["reentry_finding"]) == ("", wanted, wanted)
    assert make_plan(inputs).tables["intervals"][2]["rei_missing"] == ""


def test_the_spray_log_has_a_line_for_each_pass() -> None:
    """A season is logged without building the workbook again, passes typed later among them."""
    inputs = small_farm()
    [typed] = inputs.rows("passes")
    rows = make_plan(replace(inputs, tables={**inputs.tables, "passes": [
        {**typed, "pass": f"Pass {number}"} for number in range(20)]})).room.rows

    assert rows["spray_log"] == rows["passes"] == 23
