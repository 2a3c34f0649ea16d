"""Daylight against an independent library, clocks against the time-zone database, two tanks by hand."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from dataclasses import replace
from typing import Any

import pytest
from agreement import MOST_ROWS, differences
from astral import Observer
from astral.sun import sun
from clocks import clock_in, zone_figures
from engine_help import engines_at_length
from small_farm import first, small_farm
from trimmed_farm import trimmed

from workbook_builder.build import Built
from workbook_builder.check import check_inputs
from workbook_builder.core.draft import EPOCH
from workbook_builder.core.inputs import Inputs
from workbook_builder.features import TYPED_TABLES
from workbook_builder.features.clock.daylight import sun_day
from workbook_builder.features.clock.definitions import changes_of_year
from workbook_builder.features.reference import data as reference_data
from workbook_builder.features.two_tanks.definitions import empty_at
from workbook_builder.planning import Plan, make_plan
from workbook_builder.verify import edited

PLACES = [(41.0, -102.0, "America/Denver"), (52.0, 18.0, "Europe/Warsaw"), (-34.0, 146.0, "Australia/Sydney"),
          (48.5, -99.0, "America/Chicago")]


@pytest.mark.parametrize(("latitude", "longitude", "zone"), PLACES)
@pytest.mark.parametrize("month", range(1, 13))
def test_sunrise_agrees_with_astral(latitude: float, longitude: float, zone: str, month: int) -> None:
    """Sunrise and sunset are within 60 s of astral, given the local zone."""
    day, clock = dt.date(2026, month, 21), zoneinfo.ZoneInfo(zone)
    wanted = sun(Observer(latitude, longitude), day, tzinfo=clock)
    noon = dt.datetime(2026, month, 21, tzinfo=dt.UTC)

    found = sun_day(day, latitude, longitude)

    for minutes, key in ((found.sunrise, "sunrise"), (found.sunset, "sunset")):
        assert abs((noon + dt.timedelta(minutes=minutes) - wanted[key]).total_seconds()) <= 60


def test_clocks_follow_the_time_zone_database() -> None:
    """Every listed zone has the database's offset at noon on the first of each month and around each change,
    for ten years.
    """
    for row in reference_data.time_zones():
        zone, figures = zoneinfo.ZoneInfo(str(row["time_zone"])), zone_figures(row)
        years = [changes_of_year(figures, year) for year in range(2025, 2035)]
        clock = clock_in(figures, years)
        days = [dt.date(year, month, 1) for year in range(2025, 2035) for month in range(1, 13)]
        days += [EPOCH + dt.timedelta(days=each[key] + more) for each in years if each["on"] != ""
                 for key in ("on", "off") for more in (-1, 0)]
        for day in days:
            offset = dt.datetime.combine(day, dt.time(12), zone).utcoffset()
            assert offset is not None
            assert clock.offset((day - EPOCH).days + 0.5,
                                "wall") == offset.total_seconds() / 3600, (row["time_zone"], day)


def spot_pass(plan: Plan, table: str, name: str, field: str) -> Any:
    """Return the row of one pass in a table beside the passes."""
    return next(row for row in plan.tables[table] if (row["pass"], row["field"]) == (name, field))


def index_of(built: Built, name: str, field: str) -> int:
    """Return where a pass stands in its table."""
    return next(n for n, row in enumerate(built.plan.inputs.rows("passes")) if (row["pass"], row["field"])
                == (name, field))


LIMITS = [
    ("passes", "start_time", dt.time(3, 0), "daylight", "Not allowed"),
    ("passes", "start_time", dt.time(23, 0), "daylight", "Not allowed"),
    ("passes", "start_time", None, "daylight", "Not entered"),
    ("farm", "time_zone", "Nowhere", "daylight", "Not entered"),
    ("sprayers", "speed", 9.5, "speed", "OK"),
    ("sprayers", "speed", 14.0, "speed", "Not allowed"),
    ("sprayers", "speed", None, "speed", "Not entered"),
    ("fields", "row_spacing", 15.0, "rows", "Not allowed"),
    ("fields", "row_spacing", None, "rows", "Not entered"),
    ("fields", "crop", "field pea", "crop", "Not allowed"),
]


@pytest.mark.parametrize(("table", "key", "value", "check", "status"), LIMITS)
def test_a_broken_limit_is_flagged(demo: Built, table: str, key: str, value: Any, check: str,
                                   status: str) -> None:
    """The in-crop spot pass is flagged for just the limit it breaks."""
    place = {"passes": index_of(demo, "In-crop", "Creek 80"), "farm": 0, "sprayers": 0, "fields": 1}[table]

    plan = make_plan(edited(demo.plan.inputs, table, place, key, value), demo.plan.room)

    assert spot_pass(plan, "spot_checks", "In-crop", "Creek 80")[f"{check}_status"] == status


def two_tank_farm(demo: Built) -> Inputs:
    """Return a part of the demo farm with a broadcast residual sprayed together with the stubble spots."""
    rows = [dict(row) for row in demo.plan.inputs.rows("passes")]
    for row in list(rows):
        if row["pass"] == "Stubble spot" and row["field"] in ("Home Place", "Draw Field"):
            row["partner_pass"] = "Residual"
            rows.append({**row, "pass": "Residual", "method": "broadcast", "mix": "Sunflower preemerge",
                         "sprayed_share": None, "pressure_class": None, "partner_pass": None})
    inputs = replace(demo.plan.inputs, tables={**demo.plan.inputs.tables, "passes": rows})
    return trimmed(inputs, {"Home Place", "Draw Field", "Creek 80"})


@engines_at_length
def test_two_tanks_agree_in_every_engine(demo: Built, engine_name: str) -> None:
    """A farm with two tanks in one trip recalculates to the Python values.

    Rows that have no part in it are cut to what the open workbook holds.
    """
    farm = two_tank_farm(demo)
    of_trip = {key: [row for row in rows if row.get("pass") in (None, "Stubble spot", "Residual")]
               for key, rows in farm.tables.items()}
    unnamed = ("label_limits", "ingredient_limits", "plant_back", "scouting", "past_use", "nozzles",
               "catch_test", "clean_out_labels", "weather_limits")
    cut = {key: of_trip[key][: MOST_ROWS[key]] for key in unnamed}
    farm = trimmed(replace(farm, tables={**of_trip, **cut, "nozzles": cut["nozzles"][:1], "catch_test": []}),
                   {"Home Place", "Draw Field"})

    assert differences(farm, engine_name) == []


def test_two_tanks_by_hand(demo: Built) -> None:
    """891 usable gallons at 21 gal/ac last 42.43 acres; both tanks are filled so that they empty together."""
    home = spot_pass(make_plan(two_tank_farm(demo)), "two_tanks", "Stubble spot", "Home Place")

    assert home["main_out_at"] == pytest.approx((900 - 9) / 21)
    assert home["trip_area"] == 145 + 64
    assert home["stops"] * home["area_per_stop"] == pytest.approx(209)
    assert home["main_fill"] + home["main_extra"] <= 900 + 1e-9
    assert home["spot_fill"] <= 300 + 1e-9
    assert (home["main_extra"], home["main_fill"] * home["stops"]) == (9, pytest.approx(home["trip_main"]))


def test_fields_with_other_spot_mixes_are_never_lumped(demo: Built) -> None:
    """Two fields of one trip of the main tank whose spot mixes differ are two trips of the spot tank,
    each filled for its own field.
    """
    inputs = two_tank_farm(demo)
    rows = [{**row, "mix": "Fallow glyphosate"} if (row["pass"], row["field"])
            == ("Stubble spot", "Draw Field") else row for row in inputs.rows("passes")]
    plan = make_plan(replace(inputs, tables={**inputs.tables, "passes": rows}))
    home, draw = (spot_pass(plan, "two_tanks", "Stubble spot", field)
                  for field in ("Home Place", "Draw Field"))

    assert home["trip"] == draw["trip"]
    assert home["run"] != draw["run"]
    assert ([(row["trip_area"], row["trip_main"], row["fields_in_run"]) for row in (home, draw)]
            == [(145, 145 * 21, 1), (64, 64 * 21, 1)])
    assert ([row["spot_fill"] * row["stops"] for row in (home, draw)]
            == [pytest.approx(row["spot_volume_safe"]) for row in (home, draw)])


def test_a_tank_that_lasts_never_runs_out() -> None:
    """A tank as large as the trip's volume is not counted as running out."""
    assert empty_at(100, 100, 0, 100, 10) is None
    assert empty_at(100, 250, 60, 160, 10) == pytest.approx(4)


def test_a_logged_load_replans_the_rest(demo: Built) -> None:
    """Typing a load into the log moves the estimate, the area that remains and the next fill."""
    place = len(demo.plan.inputs.rows("load_log"))
    inputs = demo.plan.inputs
    for key, value in {"pass": "Fallow spot", "field": "Corner", "load": 1, "area_covered": 30.0,
                       "volume_sprayed": 45.0}.items():
        inputs = edited(inputs, "load_log", place, key, value)

    before, after = (spot_pass(plan, "spot_passes", "Fallow spot", "Corner")
                     for plan in (demo.plan, make_plan(inputs, demo.plan.room)))

    assert (before["remaining_area"], after["remaining_area"]) == (45, 15)
    assert after["share_mean"] < before["share_mean"]
    assert after["next_fill"] < before["next_fill"]


@pytest.mark.parametrize(
    ("table", "row", "code"),
    [
        ("load_log", {"pass": "Fallow spot", "field": "Home Place", "load": 1, "area_covered": 10.0,
                      "volume_sprayed": 5.0}, "no-such-pass"),
        ("scouting", {"pass": "Fallow spot", "field": "Home Place", "frame": 1, "frame_area": 4.0,
                      "count": 1}, "no-such-pass"),
        ("load_log", {"pass": "Fallow spot", "field": "Corner", "load": 1, "area_covered": 10.0,
                      "volume_sprayed": 500.0}, "load-too-large"),
        ("load_log", {"pass": "Fallow spot", "field": "Long Strip", "load": 1, "area_covered": 10.0,
                      "volume_sprayed": 50.0}, "duplicate-key"),
    ],
)
def test_doubtful_rows_are_reported(demo: Built, table: str, row: dict[str, Any], code: str) -> None:
    """A row of no planned pass, a load that cannot be, and a load logged twice are each reported."""
    rows = [*demo.plan.inputs.rows(table), row]

    _, problems = check_inputs(replace(demo.plan.inputs, tables={**demo.plan.inputs.tables, table: rows}),
                               TYPED_TABLES)

    assert [problem.code for problem in problems] == [code]


@engines_at_length
def test_a_spot_mapped_later_than_planned_is_looked_at_later(engine_name: str) -> None:
    """Sprayed three days after its plan, a field that opens ten days after the spray opens three days later
    too, and nobody looks before.
    """
    spot = {"pass": "First", "field": "North", "log_kind": "nozzles"}
    farm = small_farm(products={"rei_hours": 240.0}, passes={"method": "spot"},
                      map_passes={**spot, "day": dt.date(2026, 5, 4)},
                      hot_spots={**spot, "rank": 1, "area": 0.9})
    found = first(make_plan(farm), "hot_spot_facts")

    assert found["scout_on"] == found["reentry_at"] + 3
    assert differences(farm, engine_name) == []
