"""Re-entry belongs to the field: published and hand-worked cases in one farm,
in both witnesses and three engines.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from agreement import differences
from engine_help import engines_at_length
from people_farm import clock, date, farm_with, field, label, row_of, spray
from small_farm import first, small_plan
from trimmed_farm import trimmed

from workbook_builder.check import check_inputs, errors_in
from workbook_builder.core.inputs import Inputs, Row
from workbook_builder.features import TYPED_TABLES, VIEWS
from workbook_builder.planning import Plan, make_plan
from workbook_builder.printing.cards import mix_cards
from workbook_builder.printing.choice import Choice


def product(name: str, **more: Any) -> Row:
    """Return a herbicide, or another product where its kind is given."""
    return {"product": name, "kind": "herbicide", "formulation": "SL", "package_size": 1.0,
            "package_unit": "gal", "package_price": 10.0, "rainfast_hours": 1.0, **more}


def log(name: str, field_name: str, day: str, start: str, end: str, **more: Any) -> Row:
    """Return a row of the spray log."""
    return {"pass": name, "field": field_name, "date": date(day), "start_time": dt.time.fromisoformat(start),
            "end_time": dt.time.fromisoformat(end), **more}


def people_farm() -> Inputs:
    """Return a farm near Chicago in which each field is one case of people and closed fields.

    Notes
    -----
    The log gives the ends, so that the cases can be read off: nothing hangs on a work rate.
    """
    products = [product("Short", rei_hours=12), product("Long", rei_hours=48),
                product("Longest", rei_hours=72), product("Blank", rei_hours=None),
                product("Oil", kind="adjuvant", rei_hours=None)]
    mixes = [{"mix": name, "product": name, "rate": 16.0, "rate_unit": "fl oz/ac"}
             for name in ("Short", "Long", "Longest", "Blank", "Oil")]
    cases: dict[str, list[tuple[str, str, str, str, str]]] = {
        # Pass, mix, day, start, end.  The published case: A ends Monday 10:00, B ends Tuesday 09:00.
        "Overlap": [("A", "Long", "06-01", "08:00", "10:00"), ("B", "Short", "06-02", "08:00", "09:00")],
        "Later longer": [("A", "Short", "06-01", "08:00", "10:00"), ("B", "Long", "06-01", "20:00", "21:00")],
        "Apart": [("A", "Short", "06-01", "08:00", "10:00"), ("B", "Long", "06-01", "22:00", "23:00")],
        "Three": [("A", "Longest", "06-01", "08:00", "10:00"), ("B", "Short", "06-02", "08:00", "09:00"),
                  ("C", "Long", "06-04", "09:00", "09:30")],
        "Unknown": [("A", "Blank", "06-01", "08:00", "10:00"), ("B", "Short", "06-01", "16:00", "17:00"),
                    ("C", "Short", "08-01", "08:00", "09:00")],
        "Water": [("A", "Long", "06-01", "08:00", "10:00"), ("B", "Oil", "06-02", "08:00", "09:00"),
                  ("C", "Oil", "06-20", "08:00", "09:00")],
        "Planting": [("A", "Longest", "06-01", "08:00", "10:00")],
        "Planting day": [("A", "Short", "06-01", "08:00", "10:00")],
        "Look": [("A", "Short", "06-01", "08:00", "10:00"), ("B", "Longest", "06-14", "08:00", "09:00")],
        "Harvest hour": [("A", "Long", "06-01", "08:00", "14:00")],
        "Spring": [("A", "Short", "03-07", "18:00", "20:00")],
        "Autumn": [("A", "Short", "10-31", "13:00", "14:00")],
        "Walk": [("A", "Long", "06-01", "08:00", "10:00"), ("B", "Short", "06-02", "08:00", "09:00")],
        "Drive": [("A", "Long", "06-01", "08:00", "10:00"), ("B", "Short", "06-02", "08:00", "09:00")],
    }
    sprayers = {"Walk": "Knapsack", "Drive": "Driven"}
    dates: dict[str, Row] = {"Planting": {"planting_date": date("06-03")},
                             "Planting day": {"planting_date": date("06-01")},
                             "Harvest hour": {"harvest_date": date("06-03")}}
    rows = [(name, each) for name, passes in cases.items() for each in passes]
    return farm_with(
        farm={"time_zone": "America/Chicago", "latitude": 41.9, "longitude": -87.6},
        fields=[field(name, **dates.get(name, {})) for name in cases],
        products=products, ingredients=[], mixes=mixes,
        sprayers=[{"sprayer": "Boom", "main_tank": 1000.0},
                  {"sprayer": "Knapsack", "main_tank": 1000.0, "on_foot": "yes"},
                  {"sprayer": "Driven", "main_tank": 1000.0, "on_foot": "no"}],
        passes=[spray(p, name, day, start, mix=mix, sprayer=sprayers.get(name, "Boom"))
                for name, (p, mix, day, start, _) in rows],
        spray_log=[log(p, name, day, start, end) for name, (p, _, day, start, end) in rows],
        label_limits=[label(each["product"], "any", phi_days=0, max_passes=9, retreat_days=0)
                      for each in products],
        scouting=[{"pass": "B", "field": "Look", "frame": 1, "frame_area": 9.0, "count": 2,
                   "date": date("06-01")}],
        look_log=[{"pass": "A", "field": "Look", "date": date("06-16"), "rating": 90}],
    )


@pytest.fixture(scope="module")
def plan() -> Plan:
    """Python's plan of the farm."""
    return make_plan(people_farm())


@engines_at_length
def test_every_engine_agrees(engine_name: str) -> None:
    """A recalculation gives the Python value in every formula cell, one half of the fields after the other.
    """
    names = [row["field"] for row in people_farm().rows("fields")]

    for half in (names[::2], names[1::2]):
        assert differences(trimmed(people_farm(), set(half)), engine_name) == []


def test_the_farm_is_valid() -> None:
    """Checking finds no error in the farm."""
    assert errors_in(check_inputs(people_farm(), TYPED_TABLES)[1]) == []


REENTRY = [
    # DP158 of the published rows, computed from 40 CFR 170.407: the field is closed to Wednesday 10:00, for
    # both passes.
    ("Overlap", "A", "06-03 10:00", "A", "OK"), ("Overlap", "B", "06-03 10:00", "A", "Review"),
    # By hand: B starts 12 hours before A's interval is over and ends later, so it rules both.
    ("Later longer", "A", "06-03 21:00", "B", "Review"), ("Later longer", "B", "06-03 21:00", "B", "OK"),
    # By hand: A's interval ends at 22:00, the minute B starts; the two closed times do not join.
    ("Apart", "A", "06-01 22:00", "A", "OK"), ("Apart", "B", "06-03 23:00", "B", "OK"),
    # By hand: A rules B until the 4th at 10:00, but C starts within it, so all three wait for C.
    ("Three", "A", "06-06 09:30", "C", "Review"), ("Three", "B", "06-06 09:30", "C", "Review"),
    ("Three", "C", "06-06 09:30", "C", "OK"),
    # An interval nobody entered: neither that pass nor the one six hours later can say when the field opens;
    # two months later one can.
    ("Unknown", "A", "", "A", "Not entered"), ("Unknown", "B", "", "A", "Not entered"),
    ("Unknown", "C", "08-01 21:00", "C", "OK"),
    # A pass without an interval of its own stays under that of the field while it runs, and has none
    # afterwards.
    ("Water", "B", "06-03 10:00", "A", "Review"), ("Water", "C", "", "", ""),
    # Elapsed hours across the clock changes of 8 March and 1 November 2026 (the time-zone database).
    ("Spring", "A", "03-08 09:00", "A", "OK"), ("Autumn", "A", "11-01 01:00", "A", "OK"),
]


@pytest.mark.parametrize(("field_name", "name", "reentry", "because", "status"), REENTRY)
def test_the_latest_interval_of_the_field_rules(plan: Plan, field_name: str, name: str, reentry: str,
                                                because: str, status: str) -> None:
    """Every pass says when its field opens again, and which pass keeps it closed until then."""
    found = row_of(plan, "intervals", name, field_name)

    assert ((clock(found["reentry_at"]), found["because_of_pass"], found["reentry_status"])
            == (reentry, because, status))


def test_the_finding_names_moment_and_pass(plan: Plan) -> None:
    """The finding of a pass that another one rules names both.

    That of a gap names the product and the pass.
    """
    findings = {name: row_of(plan, "intervals", "B", name)["reentry_finding"]
                for name in ("Overlap", "Unknown")}

    assert findings["Overlap"] == "The field stays closed until 2026-06-03 10:00 by A"
    assert findings["Unknown"] == "Re-entry interval not entered: Blank, in A on this field"


def test_each_field_has_one_answer(plan: Plan) -> None:
    """JSON has one row a field: when people are back in, and because of which pass."""
    rows = {row["field"]: row for row in VIEWS["field_intervals"](plan)}

    assert (next(list(row) for row in rows.values()) == ["field", "back_in_from", "because_of_pass",
                                                         "earliest_harvest", "harvest_because_of_pass",
                                                         "status"])
    assert (rows["Overlap"]["back_in_from"], rows["Overlap"]["because_of_pass"]) == ("2026-06-03T10:00", "A")
    assert (rows["Unknown"]["back_in_from"], rows["Unknown"]["because_of_pass"]) == ("2026-08-01T21:00", "C")
    assert (rows["Later longer"]["earliest_harvest"],
            rows["Later longer"]["harvest_because_of_pass"]) == ("2026-06-03", "A")


ENTRY = [
    ("Planting", "A", "Not allowed",
     "planting on 2026-06-03 falls into the re-entry interval, until 2026-06-04 10:00"),
    ("Planting day", "A", "Review",
     "planting on 2026-06-01 falls into the re-entry interval, until 2026-06-01 22:00"),
    ("Look", "A", "Review",
     "look back on 2026-06-15, closed until 2026-06-17 09:00; 1 look back was made while the field was "
     "closed"),
    ("Look", "B", "Review", "1 frame was thrown while the field was closed"),
    ("Walk", "B", "Not allowed",
     "the field is still closed by A when this pass starts, which is made on foot"),
    ("Drive", "B", "OK", ""),
    ("Overlap", "B", "Review", "the field is still closed by A when this pass starts: nobody may be on foot"),
    ("Apart", "B", "OK", ""),
]


@pytest.mark.parametrize(("field_name", "name", "status", "finding"), ENTRY)
def test_work_in_a_closed_field(plan: Plan, field_name: str, name: str, status: str, finding: str) -> None:
    """Planting, looks, frames and a next pass on foot inside an interval are findings.

    A field that has opened is none.
    """
    found = row_of(plan, "intervals", name, field_name)

    assert (found["entry_status"], found["entry_finding"]) == (status, finding)


def test_harvest_on_the_day_of_re_entry_is_told_by_the_hour(plan: Plan) -> None:
    """The harvest of 3 June may begin at 14:00, when re-entry ends,
    so the day alone is no OK (WSU Tree Fruit: no harvest within the interval).
    """
    found = row_of(plan, "intervals", "A", "Harvest hour")

    assert (found["harvest_margin_days"], found["harvest_status"]) == (0, "Review")
    assert (found["harvest_finding"] == "Harvest is planned on the day of re-entry: not before 2026-06-03 "
                                        "14:00")


def test_the_calendar_names_the_same_moments(plan: Plan) -> None:
    """In the calendar both passes open at the field's moment,
    and plantings and looks in a closed field say so.
    """
    events = {(row["what"], row["field"], row["pass"]): row for row in VIEWS["calendar"](plan)}
    opens = [events["Re-entry from", "Overlap", name] for name in ("A", "B")]
    plant, look = events["Plant", "Planting", None], events["First look", "Look", "A"]

    assert [(row["date"], row["time"]) for row in opens] == [("2026-06-03", "10:00")] * 2
    assert opens[1]["to_do"] == "The field stays closed until 2026-06-03 10:00 by A"
    assert plant["status"] == "Not allowed"
    assert plant["to_do"].split("; ")[-1] == "Field is closed until 2026-06-04 10:00"
    assert look["date"] == "2026-06-15"


def test_a_product_without_its_interval_leaves_no_day() -> None:
    """One product of the mix has 7 days to grazing and an hour to rain, the other says nothing:
    neither screen nor paper tells a day or an hour.
    """
    goods = [product("Read", rei_hours=12), product("Unread", rei_hours=12, rainfast_hours=None)]
    mixes = [{"mix": "Mix", "product": each["product"], "rate": 16.0, "rate_unit": "fl oz/ac"}
             for each in goods]
    labels = [label("Read", "any", grazing_days=7), label("Unread", "any", grazing_days=None)]
    found = make_plan(farm_with(fields=[field("North")], products=goods, ingredients=[], mixes=mixes,
                                label_limits=labels, passes=[spray("A", "North", "06-01", "08:00")]))
    row, page = row_of(found, "intervals", "A", "North"), mix_cards(found, Choice())

    assert ((row["earliest_grazing"], row["grazing_status"], row["rain_free_until"], row["rain_status"])
            == ("", "Not entered", "", "Not entered"))
    assert "Grazing interval not entered for Unread" in page
    assert "Rain-free hours not entered for Unread" in page
    assert "No grazing before" not in page
    assert "Keep dry" not in page


def test_no_interval_is_told_while_one_is_missing() -> None:
    """12 hours of one product are not the interval of a mix whose other product has none:
    mix sheet and record leave it open.
    """
    goods = [product("Read", rei_hours=12), product("Unread", rei_hours=None)]
    mixes = [{"mix": "Mix", "product": each["product"], "rate": 16.0, "rate_unit": "fl oz/ac"}
             for each in goods]
    chosen: Row = {"pass": "A", "field": "North"}
    farm = farm_with(fields=[field("North")], products=goods, ingredients=[], mixes=mixes,
                     passes=[spray("A", "North", "06-01", "08:00")], load_choice=[{**chosen, "load": 1}],
                     record_choice=[chosen])
    found = make_plan(farm)

    assert found.tables["load_sheet"][0]["rei_hours"] == ""
    assert found.tables["record_sheet"][0]["rei_hours"] == "____________"


@pytest.mark.parametrize(("harvest", "phi", "status"), [
    ("2026-05-15", 14, "OK"), ("2026-05-14", 14, "Not allowed"), ("2026-05-14", None, "Not entered"),
    ("2026-04-30", 14, "OK"), ("2026-04-01", 14, "Not allowed"),
])
def test_a_field_that_is_cut_too_early_is_not_ok(harvest: str, phi: int | None, status: str) -> None:
    """The day of each field on the first sheet is judged as its passes are: sprayed on 1 May, planted on
    15 April, 14 days to harvest. A harvest before planting cannot be right, so no pass counts as after it.
    """
    fields = {"planting_date": dt.date(2026, 4, 15), "harvest_date": dt.date.fromisoformat(harvest)}
    plan = small_plan(fields=fields, products={"rei_hours": 12}, passes={"date": dt.date(2026, 5, 1)},
                      label_limits={"product": "Product", "crop": "any", "phi_days": phi})

    assert first(plan, "intervals")["harvest_status"] == status
    assert first(plan, "field_intervals")["status"] == status
    # The first sheet tells the worst of all that is checked of the field, of which this is a part.
    assert first(plan, "field_days")["status"] == first(plan, "pass_open")["status"]
    assert status != "Not allowed" or first(plan, "field_days")["status"] == status


@pytest.mark.parametrize("method", ["broadcast", "spot"])
def test_a_sheet_to_mix_by_says_what_forbids_the_pass(method: str) -> None:
    """Whoever opens the mix sheet or the sheet of a spot pass reads first that it is not allowed, and why."""
    plan = small_plan(passes={"method": method, "sprayed_share": 0.3},
                      label_limits={"product": "Product", "crop": "any", "max_rate": 20,
                                    "rate_unit": "fl oz/ac"})
    why = "Label rate: Product: 32 is over the label rate of 20 fl oz/ac"
    chosen = {"pass": "First", "field": "North"}

    assert first(plan, "load_sheet")["status"] == f"Not allowed: {why}"
    assert first(plan, "load_sheet")["answer"].startswith("Not allowed as planned. Load 1 of ")
    assert first(plan, "record_choice") == chosen
    if method == "spot":
        assert {key: first(plan, "spot_load_choice")[key] for key in chosen} == chosen
        assert first(plan, "spot_sheet")["state"] == f"Not allowed: {why}"
        assert first(plan, "spot_sheet")["headline"].startswith("Not allowed as planned. Mix ")


@pytest.mark.parametrize(("day", "status"), [
    ("2025-03-01", "OK"), ("2027-10-01", "OK"), ("2024-12-31", "Review"), ("2062-05-01", "Review"),
])
def test_a_date_of_another_season_is_not_ok(day: str, status: str) -> None:
    """A pass dated more than a year off the season counts in no season's amounts: its year is asked for."""
    row = first(small_plan(passes={"date": dt.date.fromisoformat(day)}), "pass_volumes")

    assert row["status"] == status
    assert row["finding"] == ("" if status == "OK" else "The date lies far from the season: check the year")
