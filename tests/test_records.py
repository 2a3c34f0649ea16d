"""Spray records: what the log changes, what a record lacks, and that nothing typed is lost."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from small_farm import first, small_farm, small_plan

from workbook_builder.build import Built, read_and_check
from workbook_builder.check import check_inputs
from workbook_builder.core.draft import Cells, moment, serial
from workbook_builder.features import TYPED_TABLES, VIEWS
from workbook_builder.planning import make_plan

DAY = dt.date(2026, 5, 3)
SPRAYER = {"boom_width": 80.0, "speed": 10.0, "field_efficiency": 0.6}


def times(**log: Any) -> Cells:
    """Return the times of the smallest farm's pass, planned for 1 May at 7:00, with the log given."""
    plan = small_plan(
        sprayers=SPRAYER, passes={"start_time": dt.time(7)},
        spray_log={"pass": "First", "field": "North", **log}, products={"rei_hours": 12},
    )
    return Cells({**first(plan, "intervals"), **first(plan, "pass_times")})


def test_plan_holds_until_something_is_logged() -> None:
    """A log row without a date leaves the planned times alone."""
    row = times(applicator="Invented person")

    assert (moment(row["start"]).isoformat(), row["basis"]) == ("2026-05-01T07:00:00", "planned")


def test_logged_end_moves_reentry() -> None:
    """Re-entry counts from the logged end: 12 hours after 16:30 on 3 May."""
    row = times(date=DAY, start_time=dt.time(14), end_time=dt.time(16, 30))

    assert (moment(row["reentry_at"]).isoformat(), row["basis"]) == ("2026-05-04T04:30:00", "logged")


def test_end_past_midnight_belongs_to_the_next_day() -> None:
    """An end before the start is read as the next day, and the day of application follows."""
    row = times(date=DAY, start_time=dt.time(22), end_time=dt.time(1, 30))

    assert ((moment(row["end"]).isoformat(), row["last_day"])
            == ("2026-05-04T01:30:00", serial(dt.date(2026, 5, 4))))


def test_end_before_the_planned_start_belongs_to_the_next_day() -> None:
    """Planned for eight, logged to end at two without a start: two at night of the next day,
    so that re-entry is not told a day too early.
    """
    planned = small_plan(passes={"start_time": dt.time(8)}, products={"rei_hours": 12.0},
                         spray_log={"pass": "First", "field": "North", "date": DAY, "end_time": dt.time(2)})

    assert moment(first(planned, "intervals")["reentry_at"]).isoformat() == "2026-05-04T14:00:00"


def test_unknown_end_is_the_midnight_that_follows() -> None:
    """A logged day without times, or with a later last day, ends at midnight and asks for a look."""
    without = times(date=DAY)
    two_days = times(date=DAY, start_time=dt.time(7), end_date=dt.date(2026, 5, 4))

    assert ((moment(without["end"]).isoformat(), without["reentry_status"])
            == ("2026-05-04T00:00:00", "Review"))
    assert moment(two_days["end"]).isoformat() == "2026-05-05T00:00:00"


def test_logged_day_moves_harvest_grazing_planting_and_retreatment() -> None:
    """Two days later in the log means two days later everywhere."""
    changes: dict[str, Any] = {
        "label_limits": {"product": "Product", "phi_days": 30, "grazing_days": 14},
        "fields": {"next_crop": "field pea", "next_planting_date": dt.date(2026, 9, 1)},
        "plant_back": {"product": "Product", "next_crop": "any", "interval": 2, "interval_unit": "months"},
    }
    planned = small_plan(**changes)
    logged = small_plan(**changes, spray_log={"pass": "First", "field": "North", "date": DAY})

    def dates(plan: Any) -> list[Any]:
        interval, back, limit = (first(plan, table)
                                 for table in ("intervals", "plant_back_checks", "product_limits"))
        return [interval["earliest_harvest"], interval["earliest_grazing"], back["earliest_planting"],
                int(limit["order"])]

    assert dates(logged) == [day + 2 for day in dates(planned)]


def test_measured_amount_wins_over_volume_and_plan() -> None:
    """An amount typed is used; else the volume sprayed gives it.

    Else the plan, and the record says it is missing.
    """
    log: dict[str, Any] = {"pass": "First", "field": "North", "date": DAY}
    used = {"pass": "First", "field": "North", "product": "Product", "amount": 19.0}
    plans = (
        small_plan(spray_log={**log, "volume_sprayed": 1190.0}, amounts_used=used),
        small_plan(spray_log={**log, "volume_sprayed": 1190.0}),
        small_plan(spray_log=log),
    )

    assert ([first(plan, "record_lines")["basis"] for plan in plans]
            == ["measured", "from the volume sprayed", "planned"])
    assert "amounts used" in first(plans[2], "records")["missing"]


def test_small_spots_of_one_day_add_up() -> None:
    """Two restricted-use spots of 0.06 acre on one day are no longer below a tenth of an acre."""
    inputs = small_farm(products={"restricted_use": "yes", "registration_no": "0-0"})
    passes = [{**inputs.rows("passes")[0], "pass": name} for name in ("First", "Second")]
    log = [{"pass": name, "field": "North", "date": DAY, "area_treated": 0.06}
           for name in ("First", "Second")]

    def kinds(rows: list[dict[str, Any]]) -> list[str]:
        plan = make_plan(replace(inputs, tables={**inputs.tables, "passes": passes, "spray_log": rows}))
        return [row["record_kind"] for row in plan.tables["records"][:2]]

    assert kinds(log) == ["full record", "full record"]
    assert kinds(log[:1]) == ["spot record", ""]


def test_late_record_and_late_copy_are_found() -> None:
    """A record written on day 15 is a day late; so is a copy given on day 31."""
    log: dict[str, Any] = {
        "pass": "First", "field": "North", "date": DAY, "volume_sprayed": 1200.0,
        "applicator": "Invented person", "customer": "Invented customer",
    }
    late = small_plan(products={"registration_no": "0-0"},
                      spray_log={**log, "written_on": DAY + dt.timedelta(15)})
    copy = small_plan(products={"registration_no": "0-0"},
                      spray_log={**log, "copy_given_on": DAY + dt.timedelta(31)})

    assert first(late, "records")["finding"] == "Record written 1 days late"
    assert first(copy, "records")["finding"] == "Copy given 1 days late"


def test_nothing_is_asked_before_spraying() -> None:
    """Passes that were not sprayed have no record status, so nothing is open."""
    assert first(small_plan(), "records")["status"] == ""


def test_log_of_an_unknown_pass_is_a_warning() -> None:
    """A log row that no pass answers to is named, and kept."""
    inputs = small_farm(spray_log={"pass": "Frist", "field": "North", "date": DAY})

    checked, problems = check_inputs(inputs, TYPED_TABLES)

    assert [problem.code for problem in problems if problem.code == "no-such-pass"] == ["no-such-pass"]
    assert checked.rows("spray_log")[0]["pass"] == "Frist"


def test_built_workbook_carries_records_forward(farm: Built, tmp_path: Path) -> None:
    """Building from a filled workbook keeps every row of log and amounts, and plans the same."""
    path = tmp_path / "farm.xlsx"
    path.write_bytes(farm.data)

    again, problems = read_and_check(path)

    for table in ("spray_log", "amounts_used"):
        filled = [row for _, row in again.filled(table)]
        expected = [row for _, row in farm.plan.inputs.filled(table)]
        assert [{k: v for k, v in row.items() if v is not None} for row in filled] == [
            {k: v for k, v in row.items() if v is not None} for row in expected
        ]
    assert [p for p in problems if p.severity == "error"] == []
    assert VIEWS["records"](make_plan(again)) == VIEWS["records"](farm.plan)


@pytest.mark.parametrize("place", [("First", "North"), ("first", "NORTH")])
def test_record_sheet_leaves_lines_to_fill(place: tuple[str, str]) -> None:
    """The printable record fills what is known and draws a line for what is not, whatever the case typed."""
    choice = dict(zip(("pass", "field"), place, strict=True))
    row = first(small_plan(record_choice=choice), "record_sheet")

    assert row["crop"] == "grain sorghum"
    assert {row[key] for key in ("date", "start_time", "wind_end", "applicator", "certificate",
                                 "signature")} == {"____________"}


def test_commercial_work_asks_for_location_and_time() -> None:
    """40 CFR 171.303(b)(7), second hand: for a customer, location and time are elements; on the own farm they
    are not asked.
    """
    log: dict[str, Any] = {"pass": "First", "field": "North", "date": DAY, "volume_sprayed": 1200.0,
                           "applicator": "Invented person", "certificate": "INV-1"}
    restricted = {"restricted_use": "yes", "registration_no": "0-0"}

    def missing(**more: Any) -> str:
        return str(first(small_plan(products=restricted, spray_log={**log, **more}), "records")["missing"])

    assert missing() == ""
    assert missing(customer="Invented customer, Invented road 1") == "location, time of the application"
    assert missing(customer="Invented customer", site="Invented section 1", start_time=dt.time(8)) == ""


def test_person_under_supervision_stands_beside_the_certified_one() -> None:
    """7 CFR 110.3(a)(5): the certified applicator who supervised is still asked for.

    Both names stand in record, sheet and JSON.
    """
    log: dict[str, Any] = {"pass": "First", "field": "North", "date": DAY, "volume_sprayed": 1200.0,
                           "supervised_person": "Invented helper"}
    plan = small_plan(
        products={"restricted_use": "yes", "registration_no": "0-0"}, spray_log=log,
        record_choice={"pass": "First", "field": "North"},
    )

    assert first(plan, "records")["missing"] == "applicator, certificate no."
    assert first(plan, "records")["supervised_person"] == "Invented helper"
    assert first(plan, "record_sheet")["supervised_person"] == "Invented helper"
    assert VIEWS["records"](plan)[0]["supervised_person"] == "Invented helper"
