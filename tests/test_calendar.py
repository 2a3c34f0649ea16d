"""The season calendar: right days in the right order, on the sheet, in JSON and as iCalendar text."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path
from typing import Any

import icalendar
import pytest
from cli_help import SMALL, run
from hypothesis import given, settings
from hypothesis import strategies as st
from small_farm import small_farm

from workbook_builder.build import MOMENT, Built
from workbook_builder.export.ics import LONGEST_LINE, escaped, folded_line, plan_as_ics, things_to_do
from workbook_builder.features.calendar.views import calendar
from workbook_builder.planning import Plan, make_plan

LOGGED = {"pass": "First", "field": "North", "date": dt.date(2025, 5, 1), "start_time": dt.time(8, 0),
          "end_time": dt.time(11, 30)}


def farm_plan(more: dict[str, list[dict[str, Any]]] | None = None, **changes: dict[str, Any]) -> Plan:
    """Return the smallest farm in the season 2025 with a label of 30 days to harvest.

    Each of the further rows of a table is its first one with some cells changed.
    """
    rows: dict[str, dict[str, Any]] = {
        "farm": {"season": 2025, "time_zone": "America/Chicago"},
        "fields": {"harvest_date": dt.date(2025, 9, 1), "next_crop": "winter wheat",
                   "next_planting_date": dt.date(2025, 9, 20)},
        "passes": {"date": dt.date(2025, 5, 1), "start_time": dt.time(8, 0)}, "products": {"rei_hours": 72.0},
        "label_limits": {"product": "Product", "phi_days": 30},
        "plant_back": {"product": "Product", "next_crop": "winter wheat", "interval": 3,
                       "interval_unit": "months"},
    }
    inputs = small_farm(**{table: {**rows.get(table, {}), **changes.get(table, {})}
                           for table in {*rows, *changes}})
    return make_plan(replace(inputs, tables={**inputs.tables, **{
        table: [first := inputs.rows(table)[0], *({**first, **cells} for cells in further)]
        for table, further in (more or {}).items()}}))


def days(plan: Plan) -> dict[str, tuple[str, str | None]]:
    """Return what happens -> day and time."""
    return {row["what"]: (row["date"], row["time"]) for row in calendar(plan)}


def test_days_of_a_logged_pass() -> None:
    """Hand-worked: sprayed 1 May 2025 until 11:30 with 72 h, 30 days to harvest and 3 months to wheat.

    Record by 15 May (7 CFR 110.3(c)).
    """
    found = days(farm_plan(spray_log=LOGGED))

    assert found["Spray"] == ("2025-05-01", "08:00")
    assert found["Re-entry from"] == ("2025-05-04", "11:30")
    assert found["Warning signs down by"] == ("2025-05-07", "11:30")
    assert found["Last day of the central posting"] == ("2025-06-03", None)
    assert found["First look"] == ("2025-05-15", None)
    assert found["Record due"] == ("2025-05-15", None)
    assert found["Harvest, earliest"] == ("2025-05-31", None)
    assert found["Harvest, planned"] == ("2025-09-01", None)
    assert found["Plant the next crop, earliest"] == ("2025-08-01", None)
    assert found["Plant the next crop, planned"] == ("2025-09-20", None)


def test_no_signs_at_48_hours() -> None:
    """Signs need taking down only where the interval is longer than 48 h (40 CFR 170.409(a)(1), from memory).
    """
    assert "Warning signs down by" not in days(farm_plan(products={"rei_hours": 48.0}))


def test_interval_nobody_entered_stands_at_the_day_of_spraying() -> None:
    """A missing re-entry interval is shown as Not entered, not left out."""
    plan = farm_plan(products={"rei_hours": None})

    (row,) = [row for row in calendar(plan) if row["what"] == "Re-entry from"]
    assert (row["date"], row["status"]) == ("2025-05-01", "Not entered")
    assert "not entered" in row["to_do"]


def test_harvest_too_early_is_not_allowed() -> None:
    """A planned harvest before the earliest one is Not allowed at both lines, with the reason."""
    plan = farm_plan(fields={"harvest_date": dt.date(2025, 5, 20)})

    rows = [row for row in calendar(plan) if row["what"].startswith("Harvest")]
    assert ([(row["what"], row["status"]) for row in rows]
            == [("Harvest, planned", "Not allowed"), ("Harvest, earliest", "Not allowed")])
    assert "too early by 11 days" in rows[0]["to_do"]


def test_what_was_done_is_marked() -> None:
    """A logged pass and a written record count as done; nothing else does."""
    plan = farm_plan(spray_log={**LOGGED, "written_on": dt.date(2025, 5, 3)})

    assert {row["what"] for row in calendar(plan) if row["done"]} == {"Spray", "Record due"}


def ahead(plan: Plan) -> list[str]:
    """Return the letters of the days ahead, a line a pass: a dot for nothing."""
    return ["".join(row[f"day_{day}"] or "." for day in range(1, 15))
            for row in plan.tables["ahead"][1:] if row["field"] != ""]


@pytest.mark.parametrize(("changes", "wanted"), [
    # Planned for 1 May at 08:00, with 72 h: closed on 2, 3 and 4 May. Looks and record stand on 15 May.
    ({}, ["SCCC.........."]),
    # 14 days on, 15 May is the last but one: the first look and the record fall on it, and a look is shown.
    ({"season_choice": {"from_date": dt.date(2025, 5, 3)}}, ["CC..........L."]),
    # On the day of re-entry part of the day is closed; on the day after none is.
    ({"season_choice": {"from_date": dt.date(2025, 5, 4)}}, ["C..........L.."]),
    # Nothing of it is left once it was looked at and written down, but for the second look.
    ({"season_choice": {"from_date": dt.date(2025, 5, 16)}}, [".............L"]),
    ({"season_choice": {"from_date": dt.date(2026, 1, 1)}}, []),
    # 7 CFR 110.3(c) asks for the record within 14 days; with a first look after 10 days both show.
    ({"season_choice": {"from_date": dt.date(2025, 5, 5)}, "spot_assumptions": {"first_look_days": 10}},
     ["......L...R..."]),
    ({"season_choice": {"from_date": dt.date(2025, 5, 5)}, "spot_assumptions": {"first_look_days": 10},
      "spray_log": {**LOGGED, "written_on": dt.date(2025, 5, 6)}}, ["......L......."]),
    # A re-entry interval that nobody entered is never shown as open.
    ({"products": {"rei_hours": None}}, ["S?????????????"]),
    ({"products": {"rei_hours": 0.0}}, ["S............."]),
    # Nobody knows what is sprayed without a mix, or with one that is not there: so it is closed.
    ({"passes": {"mix": None}}, ["S?????????????"]),
    ({"passes": {"mix": "Nobody's"}}, ["S?????????????"]),
    # With an hour in the cell of a date it is the same day; what is no date is not taken for one.
    ({"passes": {"date": dt.datetime(2025, 5, 1, 14, 30)}}, ["SCCC.........."]),
    ({"season_choice": {"from_date": dt.datetime(2025, 5, 3, 17, 0)}}, ["CC..........L."]),
    ({"season_choice": {"from_date": "the third"}}, ["SCCC.........."]),
    ({"passes": {"date": "the first"}}, []),
    # Logged are all: from the last one on, until 11:30 on 4 May.
    ({"spray_log": LOGGED}, ["SCCC.........."]),
    # Logged from 22:00 to 01:30 with 4 h: over midnight it is sprayed on two days, and open at 05:30.
    ({"products": {"rei_hours": 4.0},
      "spray_log": {**LOGGED, "start_time": dt.time(22, 0), "end_time": dt.time(1, 30)}}, ["SS............"]),
    ({"products": {"rei_hours": 24.0},
      "spray_log": {**LOGGED, "start_time": dt.time(22, 0), "end_time": dt.time(1, 30)}}, ["SSC..........."]),
    # Logged on another day than planned: 2 May.
    ({"spray_log": {**LOGGED, "date": dt.date(2025, 5, 2)}}, ["SCCC.........."]),
    # 2025-03-08 until midnight, and 24 h: the clock goes forward on the 9th, so that it opens at 01:00.
    ({"passes": {"date": dt.date(2025, 3, 8)}, "products": {"rei_hours": 24.0}}, ["SCC..........."]),
])
def test_the_days_ahead(changes: dict[str, dict[str, Any]], wanted: list[str]) -> None:
    """Hand-worked: S is sprayed, C closed, ? closed for a time that nobody entered, L looked at, R written
    down.
    """
    plan = farm_plan(**changes)

    assert ahead(plan) == wanted
    assert [row["status"] for row in plan.tables["ahead"][1:]][: len(wanted)] == [
        plan.tables["pass_open"][0]["status"]] * len(wanted)


def test_the_days_ahead_of_a_field_are_those_of_all_its_passes() -> None:
    """Hand-worked: 72 h from midnight after 1 May and after 8 May close a field on 2 to 4 and 9 to 11 May.

    Each line of the field says so, also on 9 May, when the first pass was to be looked at; another field is
    open.
    """
    plan = farm_plan({"fields": [{"field": "South"}],
                      "passes": [{"pass": "Second", "date": dt.date(2025, 5, 8)},
                                 {"pass": "Third", "field": "South", "date": dt.date(2025, 5, 9)}]},
                     spot_assumptions={"first_look_days": 8})

    assert ahead(plan) == ["SCCC...CCCC...", "CCCC...SCCC...", "........SCCC.."]


def test_an_interval_nobody_entered_ends_no_other_on_the_same_field() -> None:
    """Hand-worked: 240 h from midnight after 1 May run to 12 May, also where a spray of 2 May lacks an
    interval that counts for one day.
    """
    plan = farm_plan({"products": [{"product": "Other", "rei_hours": None}],
                      "mixes": [{"mix": "Other mix", "product": "Other"}],
                      "passes": [{"pass": "Second", "mix": "Other mix", "date": dt.date(2025, 5, 2)}]},
                     products={"rei_hours": 240.0}, assumptions={"unknown_reentry_days": 1})

    assert ahead(plan) == ["S??????????...", "?S?????????..."]


def test_a_pass_logged_in_two_rows_is_closed_from_the_last_day() -> None:
    """Hand-worked: logged on 2 May and, in a row below, on 1 May, with 12 h.

    Nobody can say which end is the last, so it counts from midnight at the end of 2 May: to 12:00 on 3 May.
    """
    plan = farm_plan({"spray_log": [{"date": dt.date(2025, 5, 1)}]}, products={"rei_hours": 12.0},
                     spray_log={**LOGGED, "date": dt.date(2025, 5, 2)})

    assert ahead(plan) == ["SSC..........."]
    assert days(plan)["Re-entry from"] == ("2025-05-03", "12:00")
    assert plan.tables["intervals"][0]["reentry_finding"].startswith("Logged in several rows")


def test_a_log_is_of_the_first_pass_of_its_name_alone() -> None:
    """A second pass of the same name on the field is still to be sprayed, and closes it when it is."""
    plan = farm_plan({"passes": [{"date": dt.date(2025, 5, 8)}]}, spray_log=LOGGED,
                     season_choice={"from_date": dt.date(2025, 5, 1)})

    assert ahead(plan) == ["SCCC...CCCC...", "CCCC...SCCC..."]


def test_a_pass_without_a_mix_leaves_its_field_closed() -> None:
    """Where nobody knows what was sprayed, nobody knows when people may go in or the crop may be cut."""
    tables = farm_plan({"passes": [{"pass": "Second", "mix": None, "date": dt.date(2025, 5, 20)}]}).tables

    assert tables["intervals"][1]["reentry_status"] == "Not entered"
    assert tables["intervals"][1]["reentry_finding"] == (
        "Re-entry interval not entered: the products of its mix")
    (north,) = [row for row in tables["field_intervals"] if row["field"] == "North"]
    assert (north["back_in_from"], north["earliest_harvest"], north["status"]) == ("", "", "Not entered")


@pytest.mark.parametrize(("cells", "wanted"), [({"date": None}, "1 of 1; 1 left out"),
                                               ({"pass": None}, "1 of 1; 1 left out"),
                                               ({"pass": "Second"}, "2 of 2")])
def test_the_days_ahead_count_what_cannot_stand_there(cells: dict[str, Any], wanted: str) -> None:
    """A pass without a date or a name closes no day, so the first line says that it is not there."""
    first_line = farm_plan({"passes": [cells]}).tables["ahead"][0]

    assert first_line["pass"] == wanted
    assert first_line["status"] == ("Not entered" if "left out" in wanted else "")


@pytest.mark.parametrize("date", [None, "the first"])
def test_a_pass_without_a_date_is_never_ok(date: str | None) -> None:
    """On fallow without a next crop nothing else asks for the day; the pass is Not entered all the same."""
    (checked, *_) = farm_plan(passes={"date": date}, fields={
        "crop": "fallow", "harvest_date": None, "next_crop": None,
        "next_planting_date": None}).tables["pass_volumes"]

    assert (checked["status"], checked["finding"]) == (
        "Not entered", "Date of this pass not entered: no interval can be counted from it")


def test_the_days_ahead_tell_their_days_and_how_many_passes() -> None:
    """Over the end of a month the days go on with 1; the first line counts the passes."""
    first_line = farm_plan(season_choice={"from_date": dt.date(2025, 4, 25)}).tables["ahead"][0]

    assert [first_line[f"day_{day}"] for day in range(1, 15)] == ["25", "26", "27", "28", "29", "30",
                                                                  *map(str, range(1, 9))]
    assert (first_line["field"], first_line["pass"]) == ("2025-04-25", "1 of 1")


def test_the_days_ahead_say_what_they_leave_out(demo: Built) -> None:
    """Passes stand in the order of their first day; how many there are is said where not all have room."""
    first_line, *lines = demo.plan.tables["ahead"]
    every = [row["key"] for row in demo.plan.tables["pass_ahead"] if row["key"] != ""]

    assert [line["row"] for line in lines] == [key % 1_000_000 for key in sorted(every)[: len(lines)]]
    assert len(every) > len(lines)
    assert first_line["pass"] == f"{len(lines)} of {len(every)}"


def test_escaping_as_the_standard_shows() -> None:
    """RFC 5545 section 3.3.11, worked example: a project text of three lines with a comma."""
    text = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."

    assert escaped(text) == "Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared."
    assert escaped("a,b;c\\d") == "a\\,b\\;c\\\\d"


def test_folding_as_the_standard_shows() -> None:
    """RFC 5545 section 3.1: a long description unfolds to itself, no piece longer than 75 octets."""
    line = "DESCRIPTION:This is a long description that exists on a long line." * 2

    pieces = folded_line(line).split("\r\n")

    assert max(len(piece.encode()) for piece in pieces) == LONGEST_LINE
    assert all(piece.startswith(" ") for piece in pieces[1:])
    assert folded_line(line).replace("\r\n ", "") == line
    assert folded_line("X" * LONGEST_LINE) == "X" * LONGEST_LINE


@settings(max_examples=60, deadline=None)
@given(st.text(alphabet=st.characters(), max_size=200))
def test_no_text_makes_a_line_of_its_own(text: str) -> None:
    """Whatever is typed, the text is one content line whose pieces fit,
    and it holds no control character but the fold.
    """
    line = folded_line(f"SUMMARY:{escaped(text)}")

    assert all(len(piece.encode()) <= LONGEST_LINE for piece in line.split("\r\n"))
    assert len(line.replace("\r\n ", "").splitlines()) == 1
    assert not any(ord(sign) < 32 and sign != "\t" for sign in line.replace("\r\n ", ""))


def test_typed_names_cannot_inject_events() -> None:
    """A field name full of line ends and iCalendar words stays one text.

    A parser finds the same events as without it.
    """
    evil = "North\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:free;\u2028x,\x07\\n"
    plan, plain = farm_plan(fields={"field": evil}, passes={"field": evil}), farm_plan()

    text = plan_as_ics(plan, MOMENT)
    events = icalendar.Calendar.from_ical(text).walk("VEVENT")

    assert len(events) == len(icalendar.Calendar.from_ical(plan_as_ics(plain, MOMENT)).walk("VEVENT"))
    assert text.count("\r\nBEGIN:VEVENT\r\n") == len(events)
    assert str(events[0]["LOCATION"]) == "North\nEND:VEVENT\nBEGIN:VEVENT\nSUMMARY:free;\nx,\ufffd\\n"


def test_a_parser_reads_back_the_calendar(farm: Built) -> None:
    """The icalendar library finds every event with its day, its time by the farm's clock,
    its title and a name of its own.
    """
    text = plan_as_ics(farm.plan, MOMENT)
    parsed, rows = icalendar.Calendar.from_ical(text), calendar(farm.plan)
    events = parsed.walk("VEVENT")

    rows = [row for row, _ in things_to_do(rows)]
    assert len(events) == len(rows)
    assert parsed.errors == []
    assert len({str(event["UID"]) for event in events}) == len(events)
    for event, row in zip(events, rows, strict=True):
        assert not event.errors
        assert event["DTSTAMP"].dt == MOMENT.replace(tzinfo=dt.UTC)
        start = event["DTSTART"].dt
        if row["time"] is None:
            assert not isinstance(start, dt.datetime)
            assert start.isoformat() == row["date"]
        else:
            assert start.tzinfo is not None, "the demo farms name their time zones"
        title = str(event["SUMMARY"])
        assert title.removeprefix("NOT ALLOWED: ") == f"{row['what']}: {row['field']}"
        assert title.startswith("NOT ALLOWED: ") == (row["status"] == "Not allowed" and not row["done"])


def test_moments_are_universal_where_the_zone_is_known() -> None:
    """8:00 in Chicago in May is 13:00 universal.

    With no zone the clock time stands as it is, and no event ends before it starts.
    """
    here = icalendar.Calendar.from_ical(plan_as_ics(farm_plan(spray_log=LOGGED), MOMENT)).walk("VEVENT")
    spray = next(event for event in here if str(event["SUMMARY"]).startswith("Spray"))
    assert ((spray["DTSTART"].dt, spray["DTEND"].dt) == (dt.datetime(2025, 5, 1, 13, tzinfo=dt.UTC),
                                                         dt.datetime(2025, 5, 1, 16, 30, tzinfo=dt.UTC)))

    assert "DTSTART:20250501T080000\r\n" in plan_as_ics(farm_plan(farm={"time_zone": None}), MOMENT)


def test_names_of_events_stay_when_dates_move() -> None:
    """The same event keeps its UID when its day changes, so that a second import moves it.

    The same plan gives the same text.
    """
    def names(plan: Plan) -> dict[str, str]:
        return {str(event["SUMMARY"]): str(event["UID"])
                for event in icalendar.Calendar.from_ical(plan_as_ics(plan, MOMENT)).walk("VEVENT")}

    moved = farm_plan(passes={"date": dt.date(2025, 5, 9)})

    assert names(farm_plan()) == names(moved)
    assert plan_as_ics(farm_plan(), MOMENT) == plan_as_ics(farm_plan(), MOMENT)


class Subscriber:
    """A calendar program that reads file after file: an event counts where its sequence number is higher,
    or the same with a later stamp (RFC 5546, 2.1.5).
    """

    def __init__(self) -> None:
        self.held: dict[str, icalendar.Event] = {}

    def read(self, text: str) -> dict[str, tuple[str, object]]:
        """Apply a file, and return what the program shows: title -> day or moment."""
        for event in icalendar.Calendar.from_ical(text).walk("VEVENT"):
            mine = self.held.get(str(event["UID"]))
            if (mine is None or (event["SEQUENCE"], event["DTSTAMP"].dt)
                > (mine["SEQUENCE"], mine["DTSTAMP"].dt)):
                self.held[str(event["UID"])] = event
        return {str(event["SUMMARY"]): event["DTSTART"].dt for event in self.held.values()
                if str(event["STATUS"]) != "CANCELLED"}


def at(hour: int) -> dt.datetime:
    """Return a moment of making."""
    return dt.datetime(2025, 3, 1, hour, tzinfo=dt.UTC)


def test_a_subscriber_follows_file_after_file() -> None:
    """Whatever changes, goes and comes back, a program that read every file shows what the last one says."""
    plans = [farm_plan(), farm_plan(passes={"date": dt.date(2025, 5, 9)}),
             farm_plan(fields={"harvest_date": None}), farm_plan(spray_log=LOGGED),
             farm_plan(fields={"harvest_date": dt.date(2025, 5, 20)}), farm_plan()]
    program, text = Subscriber(), ""

    for hour, plan in enumerate(plans):
        text = plan_as_ics(plan, at(hour), text)
        fresh = Subscriber().read(plan_as_ics(plan, at(hour)))
        assert program.read(text) == fresh
    assert any("STATUS:CANCELLED" in plan_as_ics(plan, at(9), plan_as_ics(plans[0], at(8))) for plan in plans)


def test_what_did_not_change_keeps_its_stamp() -> None:
    """The same plan written again gives the same file.

    One planting moved changes its own event, by one number, and no other.
    """
    first_file = plan_as_ics(farm_plan(), at(1))

    assert plan_as_ics(farm_plan(), at(2), first_file) == first_file
    moved = icalendar.Calendar.from_ical(plan_as_ics(farm_plan(fields={"next_planting_date": dt.date(
        2025, 9, 25)}),
                                                     at(2), first_file)).walk("VEVENT")
    by_title = {str(event["SUMMARY"]): (event["SEQUENCE"], event["DTSTAMP"].dt, event["LAST-MODIFIED"].dt)
                for event in moved}
    assert ({title for title, said in by_title.items() if said == (1, at(2), at(2))}
            == {"Plant the next crop, planned: North"})
    assert {said for title, said in by_title.items()
            if title != "Plant the next crop, planned: North"} == {(0, at(1), at(1))}


def test_a_clock_set_back_makes_no_older_stamp() -> None:
    """A change made while the clock lags keeps at least the stamp of what it replaces,
    and has the next number.
    """
    later = plan_as_ics(farm_plan(passes={"date": dt.date(2025, 5, 2)}), at(1),
                        plan_as_ics(farm_plan(), at(5)))
    spray = next(event for event in icalendar.Calendar.from_ical(later).walk("VEVENT")
                 if str(event["SUMMARY"]) == "Spray: North")

    assert (spray["SEQUENCE"], spray["DTSTAMP"].dt) == (1, at(5))


@pytest.mark.parametrize("other", ["", "BEGIN:VCALENDAR\r\nPRODID:someone "
                                       "else\r\nBEGIN:VEVENT\r\nUID:1\r\nEND:VEVENT\r\n", "\x00\xff" * 50])
def test_a_file_that_is_not_ours_changes_nothing(other: str) -> None:
    """What another program wrote is no earlier file of ours."""
    assert plan_as_ics(farm_plan(), at(1), other) == plan_as_ics(farm_plan(), at(1))


def test_not_allowed_stands_in_the_title() -> None:
    """A harvest too early says so where a phone shows it first."""
    titles = [str(event["SUMMARY"])
              for event
              in icalendar.Calendar.from_ical(plan_as_ics(farm_plan(fields={
                  "harvest_date": dt.date(2025, 5, 20)}),
                                                          at(1))).walk("VEVENT")]

    assert "NOT ALLOWED: Harvest, planned: North" in titles


def test_one_event_for_each_thing_to_do() -> None:
    """A harvest with a planned day is one event, told with the earliest day.

    Without a planned day the earliest one stands.
    """
    def events(plan: Plan) -> dict[str, str]:
        return {str(event["SUMMARY"]): str(event["DESCRIPTION"])
                for event in icalendar.Calendar.from_ical(plan_as_ics(plan, at(1))).walk("VEVENT")}

    planned, open_day = events(farm_plan()), events(farm_plan(fields={"harvest_date": None}))
    assert "Harvest, earliest: North" not in planned
    assert "Not before 2025-05-31" in planned["Harvest, planned: North"]
    assert "Harvest, earliest: North" in open_day


@pytest.mark.parametrize(("setting", "before"), [("none", None), ("1 hour before", dt.timedelta(hours=-1)),
                                                 ("2 days before", dt.timedelta(days=-2))])
def test_alarms_are_as_set(setting: str, before: dt.timedelta | None) -> None:
    """Each event that is not done carries the alarm of the setting, or none."""
    events = icalendar.Calendar.from_ical(plan_as_ics(farm_plan(assumptions={"calendar_alarm": setting},
                                                                spray_log=LOGGED), at(1))).walk("VEVENT")
    alarms = {str(event["SUMMARY"]): [alarm["TRIGGER"].dt for alarm in event.walk("VALARM")]
              for event in events}

    assert alarms["Spray: North"] == []
    assert alarms["Harvest, planned: North"] == ([] if before is None else [before])


def test_build_writes_the_calendar(tmp_path: Path) -> None:
    """--ics writes the file with CRLF line ends and leaves a file of another kind alone."""
    target, other = tmp_path / "season.ics", tmp_path / "notes.txt"
    other.write_text("mine")

    assert run("build", SMALL, "-o", tmp_path / "out.xlsx", "--ics", target).exit_code == 0
    refused = run("build", SMALL, "-o", tmp_path / "two.xlsx", "--ics", other)

    data = target.read_bytes()
    assert data.startswith(b"BEGIN:VCALENDAR\r\n")
    assert data.endswith(b"END:VCALENDAR\r\n")
    assert data.count(b"\n") == data.count(b"\r\n")
    assert (refused.exit_code, other.read_text()) == (2, "mine")


@pytest.mark.parametrize("name", ["who_sprays", "who_farms"])
def test_people_are_named_as_typed(name: str) -> None:
    """The calendar names whoever the assumptions name."""
    assert "Pat" in {row["who"] for row in calendar(farm_plan(assumptions={name: "Pat"}))}
