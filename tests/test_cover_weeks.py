"""Residual cover week by week: the right weeks, per weed and per field."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

from small_farm import small_farm

from workbook_builder.build import Built
from workbook_builder.core.draft import serial
from workbook_builder.features import VIEWS
from workbook_builder.features.cover.columns import WEEKS
from workbook_builder.features.cover.definitions import monday_before, week_status
from workbook_builder.planning import Plan, make_plan


def cover_plan(*residuals: int | None, weeds: int = 1, **changes: dict[str, Any]) -> Plan:
    """Plan passes on 4 May and every 28 days after, one for each residual given,
    with weeds that emerge from 4 May to 29 June 2026.
    """
    inputs = small_farm(**changes)
    passes, products, ingredients, mixes, ratings = [], [], [], [], []
    for number, days in enumerate(residuals):
        name = f"P{number}"
        passes.append({**inputs.rows("passes")[0], "pass": name, "mix": name,
                       "date": dt.date(2026, 5, 4) + dt.timedelta(28 * number)})
        products.append({**inputs.rows("products")[0], "product": name})
        ingredients.append({**inputs.rows("ingredients")[0], "product": name,
                            "active_ingredient": f"a{number}"})
        mixes.append({**inputs.rows("mixes")[0], "mix": name, "product": name})
        ratings += [{"product": name, "weed": f"weed {weed}", "rating": 95, "residual_days": days}
                    for weed in range(weeds)]
    rows = [
        {"field": "North", "weed": f"weed {weed}", "emerges_from": dt.date(2026, 5, 4),
         "emerges_to": dt.date(2026, 6, 29 if weed == 0 else 8)}
        for weed in range(weeds)
    ]
    tables = {"passes": passes, "products": products, "ingredients": ingredients, "mixes": mixes,
              "ratings": ratings, "weeds": rows}
    return make_plan(replace(inputs, tables={**inputs.tables, **tables}))


def weeks(row: Any) -> str:
    """Return the statuses of a row's weeks as letters: L, O and a dot for blank."""
    return "".join({"Review": "L", "OK": "O", "Not entered": "N", "": "."}[row[f"w{week}"]]
                   for week in range(1, WEEKS + 1)).rstrip(".")


def test_weeks_without_cover_are_found() -> None:
    """Hand-worked: eight weeks from Monday 4 May.

    14 days of cover hold weeks 1 and 2, those of 1 June weeks 5 and 6.
    """
    plan = cover_plan(14, 14)

    assert weeks(plan.tables["weed_weeks"][0]) == "OOLLOOLL"
    assert weeks(plan.tables["field_weeks"][0]) == "OOLLOOLL"
    assert plan.tables["field_weeks"][0]["uncovered"] == 4
    assert plan.tables["cover_dates"][0]["w3"] == "05-18"


def test_gaps_are_numbered_in_the_room_there_is() -> None:
    """The gap before the first spray is number 1, those after each spray follow."""
    plan = cover_plan(14, 14)
    room = plan.room.slots["gaps"]

    assert room > 2
    assert [row["slot"] for row in plan.tables["weed_gaps"][:room]] == list(range(1, room + 1))


def test_one_bare_day_opens_the_week() -> None:
    """Cover of 13 days leaves the last day of week 2 open, so the week is a Review."""
    assert weeks(cover_plan(13).tables["weed_weeks"][0]) == "OLLLLLLL"


def test_no_residual_leaves_every_week_open() -> None:
    """Without residual days all eight weeks are open."""
    assert weeks(cover_plan(None).tables["weed_weeks"][0]) == "LLLLLLLL"


def test_worst_weed_makes_the_week_of_the_field() -> None:
    """A weed that stops emerging on 8 June says nothing of later weeks; the other one does."""
    plan = cover_plan(35, weeds=2)

    assert [weeks(row) for row in plan.tables["weed_weeks"][:2]] == ["OOOOOLLL", "OOOOO"]
    assert weeks(plan.tables["field_weeks"][0]) == "OOOOOLLL"


def test_nothing_rated_says_nothing() -> None:
    """Without ratings or without dates of emergence no week is judged."""
    plan = cover_plan(14)
    inputs = plan.inputs
    undated = [{**row, "emerges_from": None} for row in inputs.rows("weeds")]

    for tables in ({"ratings": []}, {"weeds": undated}):
        assert weeks(make_plan(replace(inputs,
                                       tables={**inputs.tables, **tables})).tables["field_weeks"][0]) == ""


def test_more_gaps_than_room_are_never_ok() -> None:
    """Where an edited workbook has more gaps than slots, the weeks are Not entered."""
    plan = cover_plan(7, 7)
    tight = make_plan(plan.inputs, replace(plan.room, slots={**plan.room.slots, "gaps": 2}))

    assert weeks(tight.tables["weed_weeks"][0]) == "NNNNNNNN"


def test_grid_agrees_with_the_days_counted(farm: Built) -> None:
    """A weed has an open week exactly when it has uncovered days,
    and never more open weeks than those days can touch.
    """
    for cover, row in zip(farm.plan.tables["weed_cover"], farm.plan.tables["weed_weeks"], strict=True):
        if row["shown"]:
            looks = weeks(row).count("L")
            assert (looks > 0) == (cover["uncovered_days"] > 0)
            assert 7 * looks >= cover["uncovered_days"]


def test_view_names_weeks_by_their_first_day() -> None:
    """JSON lists each judged week of a field with its Monday."""
    found = VIEWS["cover_weeks"](cover_plan(14))

    assert found[2] == {"field": "North", "week_from": "2026-05-18", "status": "Review"}
    assert len(found) == 8


def test_weeks_start_on_mondays() -> None:
    """6 May 2026 is a Wednesday of the week of Monday the 4th."""
    days = [int(serial(dt.date(2026, 5, day))) for day in (4, 6, 10)]  # type: ignore[call-overload]

    assert [monday_before(day) for day in days] == [days[0]] * 3
    assert week_status(1, 1, 0, 0, 7, 14, [], []) == week_status(3, 1, 0, 0, 7, 14, [], []) == ""
