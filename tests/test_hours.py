"""One set of hours, clocks that change, one machine in one place, posting, and days without sunrise:
worked by hand, in three engines.
"""

from __future__ import annotations

import datetime as dt
import zoneinfo
from typing import Any

import pytest
from agreement import differences
from clocks import clock_in, zone_figures
from engine_help import engines_at_length
from icalendar import Calendar
from people_farm import clock, date, farm_with, field, row_of, spray
from test_people import log, product

from workbook_builder.check import check_inputs
from workbook_builder.core.draft import EPOCH, moment, serial
from workbook_builder.core.inputs import Inputs
from workbook_builder.export.ics import plan_as_ics
from workbook_builder.features import TYPED_TABLES
from workbook_builder.features.clock.definitions import changes_of_year
from workbook_builder.features.reference import data as reference_data
from workbook_builder.planning import Plan, make_plan
from workbook_builder.printing.cards import mix_cards
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.posting import posting_notices

#: 10 mph x 82.5 ft x efficiency / 8.25 is 100 ac/h x efficiency (Iowa State PM 696), so hours can be read
#: off.
SPEED = {"speed": 10.0, "boom_width": 82.5}


def hours_farm() -> Inputs:
    """Return a farm far in the north, with sprayers whose hours are counted in three ways."""
    demanded = {"Plain": None, "Signs": "signs", "Told": "word of mouth", "Both": "both",
                "As label": "as label"}
    products = [product(name, rei_hours=72 if name == "Plain" else 12, posting=posting)
                for name, posting in demanded.items()]
    mixes = [{"mix": name, "product": name, "rate": 16.0, "rate_unit": "fl oz/ac"} for name in demanded]
    mixes += [{"mix": "Pair", "product": name, "rate": 16.0, "rate_unit": "fl oz/ac"}
              for name in ("Signs", "Told")]
    return farm_with(
        farm={"time_zone": "Europe/Helsinki", "latitude": 70.0, "longitude": 27.0},
        fields=[field(name) for name in ("North", "South", "East", "West")],
        products=products, ingredients=[], mixes=mixes,
        sprayers=[
            {"sprayer": "Loads", "main_tank": 600.0, "field_efficiency": 0.5, "travel_efficiency": 0.8,
             "fill_minutes": 20.0, "haul_minutes": 10.0, **SPEED},
            {"sprayer": "Field", "main_tank": 600.0, "field_efficiency": 0.5, **SPEED},
            {"sprayer": "Slow", "main_tank": 600.0},
        ],
        passes=[
            # 80 ac at 15 gal/ac are two loads of 600 gal: 80 / (100 x 0.8) + 2 x 30 / 60 = 2 h.
            spray("A", "North", "05-11", "08:00", mix="Plain", sprayer="Loads"),
            spray("B", "South", "05-11", "09:00", mix="Signs", sprayer="Loads"),
            # 80 / (100 x 0.5) = 1.6 h.
            spray("C", "North", "05-13", "10:00", mix="Told", sprayer="Field"),
            spray("D", "South", "05-13", "11:36", mix="Both", sprayer="Field"),
            # No start time: the work may begin as late as midnight.  No hours: the end is not known.
            spray("E", "East", "05-11", mix="Pair", sprayer="Field"),
            spray("F", "East", "05-20", "08:00", mix="As label", sprayer="Slow"),
            spray("G", "West", "05-20", "08:00", mix="Plain", sprayer="Slow"),
            spray("Summer", "West", "06-21", "23:00", mix="Told", sprayer="Field"),
            spray("Winter", "East", "12-21", "12:00", mix="Told", sprayer="Field"),
            *(spray(f"Spot {name}", "North", day, "12:00", mix="Plain", sprayer=sprayer, method="spot",
                    sprayed_share=0.3)
              for name, day, sprayer in (("summer", "06-20", "Field"), ("kept", "06-22", "Slow"),
                                         ("winter", "12-20", "Field"))),
        ],
        spot_terms=[{"sprayer": "Field", "use": "in crop", "fee": 3.0, "daylight_only": "yes"},
                    {"sprayer": "Slow", "use": "in crop", "fee": 3.0, "daylight_only": "yes",
                     "after_sunrise_hours": 1.0}],
        conditions=[{"pass": name, "field": where, "date": date(day), "time": dt.time(12), "wind": 5.0,
                     "temperature": 60.0, "humidity": 50.0}
                    for name, where, day in (("Summer", "West", "06-21"), ("Winter", "East", "12-21"))],
        weather_limits=[{"product": "Told", "after_sunrise_hours": 1.0, "before_sunset_hours": 2.0}],
    )


@pytest.fixture(scope="module")
def plan() -> Plan:
    """Python's plan of the farm."""
    return make_plan(hours_farm())


@engines_at_length
def test_every_engine_agrees(engine_name: str) -> None:
    """A recalculation gives the Python value in every formula cell."""
    assert differences(hours_farm(), engine_name) == []


@pytest.mark.parametrize(
    ("name", "field_name", "hours", "end", "known"),
    [
        ("A", "North", 2.0, "05-11 10:00", 1), ("C", "North", 1.6, "05-13 11:36", 1),
        ("E", "East", 1.6, "05-12 01:36", 0), ("F", "East", "", "05-21 00:00", 0),
    ],
)
def test_one_set_of_hours(plan: Plan, name: str, field_name: str, hours: Any, end: str, known: int) -> None:
    """End, work rate and cost take the same hours, with filling and hauling where they are typed.

    A blank start counts as the latest.
    """
    times, work = row_of(plan, "pass_times", name, field_name), row_of(plan, "work_rates", name, field_name)
    at = next(n for n, row in enumerate(plan.tables["pass_times"]) if row is times)

    assert times["hours"] == (pytest.approx(hours) if hours else "")
    assert (work["hours"], plan.tables["trips"][at]["hours"]) == (times["hours"], times["hours"])
    assert (clock(times["end"]), times["end_known"]) == (end, known)


@pytest.mark.parametrize(
    ("name", "field_name", "status", "finding"),
    [
        ("A", "North", "Review", "The sprayer is in another field at the same time: B on South"),
        ("B", "South", "Review", "The sprayer is in another field at the same time: A on North"),
        ("C", "North", "OK", ""), ("D", "South", "OK", ""), ("E", "East", "", ""),
        ("F", "East", "Review", "The sprayer is in another field at the same time: G on West"),
    ],
)
def test_one_machine_is_in_one_place(plan: Plan, name: str, field_name: str, status: str,
                                     finding: str) -> None:
    """Overlapping hours in two fields are a finding of both passes.

    One that starts as the other ends is none.
    """
    times = row_of(plan, "pass_times", name, field_name)

    assert (times["machine_status"], times["machine_finding"]) == (status, finding)


@pytest.mark.parametrize(
    ("name", "field_name", "posting"),
    [
        # W03 to W06 of the published rows: above 48 h signs; 48 h or less either; a label that asks for both
        # gets both.
        ("A", "North", "Signs"), ("B", "South", "Signs"), ("C", "North", "Word of mouth"),
        ("D", "South", "Signs and word of mouth"),
        ("E", "East", "Signs and word of mouth"), ("F", "East", "Signs or word of mouth"),
    ],
)
def test_the_strictest_posting_of_the_mix_holds(plan: Plan, name: str, field_name: str, posting: str) -> None:
    """What a label asks for and what the hours ask for add up.

    Signs of one product and word of mouth of another make both.
    """
    assert row_of(plan, "intervals", name, field_name)["posting"] == posting


def test_the_posting_stands_on_paper(plan: Plan) -> None:
    """Notice and mix sheet name what the strictest label of the mix asks for, and when the field opens."""
    notice, sheet = posting_notices(plan, Choice("D", "South")), mix_cards(plan, Choice("D", "South"))

    assert "<strong>Warning signs at the field:</strong> put them up" in notice
    assert "signs and word of mouth" in notice
    assert "signs and word of mouth" in sheet
    for page in (notice, sheet):
        assert "Thu 2026-05-14 01:12" in page
    assert "Early entry (40 CFR 170.603)" in notice


def test_another_pass_that_closes_the_field_stands_on_paper(plan: Plan) -> None:
    """The notice of the pass of 13 May names the field's moment, 10:00 on the 14th,
    and the pass of the 11th that sets it.
    """
    for page in (posting_notices(plan, Choice("C", "North")), mix_cards(plan, Choice("C", "North"))):
        assert "Thu 2026-05-14 10:00, by A" in page


@pytest.mark.parametrize(
    ("name", "field_name", "light", "status", "finding"),
    [
        ("Summer", "West", "on a day when the sun does not set", "Review",
         "On this day the sun does not set: the hours of the labels cannot be counted from it"),
        ("Winter", "East", "on a day when the sun does not rise", "Not allowed",
         "On this day the sun does not rise: the hours of the labels cannot be counted from it"),
    ],
)
def test_no_hour_is_invented(plan: Plan, name: str, field_name: str, light: str, status: str,
                             finding: str) -> None:
    """At 70 degrees north the sun neither rises nor sets at the solstices, so there is no sunrise,
    sunset or window.
    """
    found = row_of(plan, "pass_weather", name, field_name)

    assert [found[key] for key in ("sunrise", "sunset", "opens", "closes")] == [""] * 4
    assert (found["light"], found["light_status"], found["light_finding"]) == (light, status, finding)


def test_spots_bound_to_daylight_where_the_sun_does_not_set_or_rise(plan: Plan) -> None:
    """Where the sun does not set, daylight lasts all day unless hours are kept from its edges.

    Where it does not rise there is none.
    """
    found = {name: row_of(plan, "spot_checks", f"Spot {name}", "North")
             for name in ("summer", "kept", "winter")}

    assert ({name: row["daylight_status"] for name, row in found.items()}
            == {"summer": "OK", "kept": "Review", "winter": "Not allowed"})
    assert (found["winter"]["daylight_finding"]
            == "On this day the sun does not rise: no hour of daylight can be counted from it")
    assert [row["sunrise"] for row in found.values()] == [""] * 3


def test_a_reading_on_a_day_without_sunrise(plan: Plan) -> None:
    """A reading is judged by the sun of the day of its pass."""
    found = [(row["light"], row["light_status"], row["light_finding"])
             for row in plan.tables["condition_checks"][:2]]

    assert found == [
        ("on a day when the sun does not set", "Review", "on this day the sun does not set"),
        ("on a day when the sun does not rise", "Not allowed", "on this day the sun does not rise"),
    ]


def test_hours_across_clock_changes_follow_the_time_zone_database() -> None:
    """Every listed zone adds 4 to 60 hours across each of its changes as the time-zone database does,
    for ten years.
    """
    for row in reference_data.time_zones():
        zone, figures = zoneinfo.ZoneInfo(str(row["time_zone"])), zone_figures(row)
        found = clock_in(figures, [changes_of_year(figures, year) for year in range(2025, 2035)])
        for minute, _ in found.utc:
            for before, hours in ((20, 12), (3, 4), (30, 60)):
                start = (dt.datetime.combine(EPOCH, dt.time(), dt.UTC)
                         + dt.timedelta(minutes=minute, hours=-before))
                wall, wanted = ((start + dt.timedelta(hours=more)).astimezone(zone).replace(tzinfo=None)
                                for more in (0, hours))
                assert moment(found.after(float(serial(wall)), hours)) == wanted, (
                    row["time_zone"], wall, hours)


def test_the_calendar_file_counts_elapsed_hours() -> None:
    """An end at 20:00 on 7 March and 12 hours is 09:00 on the 8th in Chicago, 14:00 in universal time."""
    inputs = farm_with(
        farm={"time_zone": "America/Chicago"}, fields=[field("North")],
        passes=[spray("A", "North", "03-07", "18:00")],
        products=[product("Product", rei_hours=12)], spray_log=[log("A", "North", "03-07", "18:00", "20:00")],
    )
    events = Calendar.from_ical(plan_as_ics(make_plan(inputs),
                                            dt.datetime(2026, 1, 1, tzinfo=dt.UTC))).walk("VEVENT")

    assert ([event["DTSTART"].dt for event in events if str(event["SUMMARY"]).startswith("Re-entry from")]
            == [dt.datetime(2026, 3, 8, 14, tzinfo=dt.UTC)])


def test_a_time_the_clock_leaves_out_is_a_problem() -> None:
    """02:30 on 8 March 2026 does not exist in Chicago: it is named at its cell, in passes, log and readings.
    """
    inputs = farm_with(
        farm={"time_zone": "America/Chicago"}, fields=[field("North")],
        passes=[spray("A", "North", "03-08", "02:30"), spray("B", "North", "03-09", "02:30")],
        spray_log=[log("A", "North", "03-07", "22:00", "02:45")],
        conditions=[{"pass": "A", "field": "North", "date": date("03-08"), "time": dt.time(2)}],
    )
    problems = [each for each in check_inputs(inputs, TYPED_TABLES)[1] if each.code == "time-not-on-clock"]

    assert [(each.sheet, each.row, each.column, each.severity) for each in problems] == [
        ("Passes", 1, "Start time", "error"), ("Spray log", 1, "End", "error"),
        ("Weather readings", 1, "Time", "error"),
    ]
    assert problems[0].fix == "Type 03:30 if that is what it showed"


def test_an_end_before_its_start_is_a_problem() -> None:
    """A log that ends before it starts stops the build at its cell; typed into a workbook, it is not used."""
    inputs = farm_with(
        fields=[field("North")], passes=[spray("A", "North", "05-11", "08:00")],
        products=[product("Product", rei_hours=12)],
        spray_log=[log("A", "North", "05-11", "10:00", "08:00", end_date=date("05-11"))],
    )
    [problem] = [each for each in check_inputs(inputs, TYPED_TABLES)[1] if each.code == "end-before-start"]
    found = row_of(make_plan(inputs), "intervals", "A", "North")

    assert (problem.sheet, problem.row, problem.column, problem.severity) == ("Spray log", 1, "End", "error")
    assert (clock(found["reentry_at"]), found["reentry_status"]) == ("05-12 12:00", "Review")
    assert found["reentry_finding"].startswith("The logged end lies before its start and is not used")


def test_a_night_of_a_day_is_doubtful() -> None:
    """10:00 to 08:00 without a last day is taken as 22 hours and warned of.

    22:00 to 01:30 is an ordinary night.
    """
    inputs = farm_with(
        fields=[field("North")],
        passes=[spray("A", "North", "05-11", "08:00"), spray("B", "North", "05-21", "08:00")],
        spray_log=[log("A", "North", "05-11", "10:00", "08:00"),
                   log("B", "North", "05-21", "22:00", "01:30")],
    )
    [problem] = [each for each in check_inputs(inputs, TYPED_TABLES)[1] if each.code == "end-before-start"]

    assert (problem.row, problem.column, problem.severity) == (1, "End", "warning")
    assert "22 h later" in problem.message


def test_retreatment_counts_from_the_last_day() -> None:
    """A pass that ran to 12 May and one on 18 May lie six days apart, not seven."""
    inputs = farm_with(
        fields=[field("North")],
        passes=[spray("A", "North", "05-11", "22:00"), spray("B", "North", "05-18", "08:00")],
        spray_log=[log("A", "North", "05-11", "22:00", "02:00")],
    )

    assert row_of(make_plan(inputs), "product_limits", "B", "North")["days_since"] == 6
