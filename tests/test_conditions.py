"""Readings on the day: the strictest label of the mix, the reading nearest the start,
and nothing missing is ever go.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest
from agreement import differences
from engine_help import engines_at_length
from small_farm import first, small_farm, small_plan

from workbook_builder.core.draft import moment
from workbook_builder.core.inputs import Inputs
from workbook_builder.features.weather.definitions import may_speak
from workbook_builder.planning import Plan, make_plan

GOOD: dict[str, Any] = {
    "pass": "First", "field": "North", "temperature": 70.0, "humidity": 50.0, "wind": 5.0,
    "toward_sensitive": "no", "inversion_signs": "no",
    "rain_in_hours": 72.0, "date": dt.date(2026, 5, 1), "time": dt.time(9),
}
LABEL = {"product": "Product", "wind_max": 10.0}


def plan_of(readings: list[dict[str, Any]], limits: list[dict[str, Any]]) -> Plan:
    """Plan the smallest farm with readings and weather limits."""
    return make_plan(readings_and_limits(readings, limits))


def readings_and_limits(readings: list[dict[str, Any]], limits: list[dict[str, Any]],
                        start: dt.time | None = dt.time(9)) -> Inputs:
    """Return the smallest farm, sprayed at nine, with readings and weather limits."""
    inputs = small_farm(label_limits={"product": "Product"}, passes={"start_time": start})
    return (replace(inputs, tables={**inputs.tables, "conditions": readings, "weather_limits": limits}))


def test_a_good_reading_goes() -> None:
    """Inside every limit and advised range the verdict is go, without a reason."""
    row = first(plan_of([GOOD], [LABEL]), "condition_checks")

    assert (row["verdict"], row["status"], row["reason"]) == ("go", "OK", "")


@pytest.mark.parametrize("key", ["temperature", "humidity", "wind", "toward_sensitive", "rain_in_hours",
                                 "date", "time"])
def test_a_missing_reading_is_never_go(key: str) -> None:
    """Whatever is not read, the verdict is wait."""
    row = first(plan_of([{k: v for k, v in GOOD.items() if k != key}], [LABEL]), "condition_checks")

    assert (row["verdict"], row["status"]) == ("wait", "Not entered")


def test_a_herbicide_whose_label_was_not_read_waits() -> None:
    """Without a row of weather limits for a herbicide of the mix the verdict is wait."""
    row = first(plan_of([GOOD], []), "condition_checks")

    assert row["verdict"] == "wait"
    assert row["reason"] == "weather on the label not entered: Product"


def test_broken_label_outweighs_what_is_missing() -> None:
    """A label figure that is broken says no even when other readings are missing.

    All broken ones are named.
    """
    row = first(plan_of([{**GOOD, "wind": 12.0, "humidity": None, "inversion_signs": "yes"}], [LABEL]),
                "condition_checks")

    assert row["verdict"] == "no"
    assert row["reason"] == "wind outside the label range; signs of an inversion"


WINDY = {**GOOD, "wind": 12.0}


@pytest.mark.parametrize(("readings", "verdict"), [
    ([{**WINDY, "time": dt.time(6)}, GOOD], "go"), ([GOOD, {**WINDY, "time": dt.time(6)}], "go"),
    ([{**GOOD, "time": dt.time(6)}, {**WINDY, "time": dt.time(8, 30)}], "no"),
    ([{**WINDY, "time": dt.time(8, 30)}, {**GOOD, "time": dt.time(14)}], "no"),
    ([{**WINDY, "time": dt.time(9, 30)}, {**GOOD, "time": dt.time(8, 30)}], "go"),
    ([{**GOOD, "time": dt.time(9, 30)}, {**WINDY, "time": dt.time(8, 30)}], "no"),
])
def test_the_reading_nearest_the_start_counts(readings: list[dict[str, Any]], verdict: str) -> None:
    """Whatever its row; of two as near to nine o'clock the earlier one."""
    assert first(plan_of(readings, [LABEL]), "pass_weather")["verdict"] == verdict


@pytest.mark.parametrize("day", [dt.date(2026, 4, 30), dt.date(2026, 5, 2)])
def test_a_reading_of_another_day_releases_nothing(day: dt.date) -> None:
    """A perfect reading of the day before or after is not one of this pass,
    alone or beside a windy one of the day.
    """
    elsewhen = {**GOOD, "date": day}
    alone, beside = plan_of([elsewhen], [LABEL]), plan_of([{**WINDY, "time": dt.time(6)}, elsewhen], [LABEL])

    assert ((first(alone, "condition_checks")["verdict"], first(alone, "condition_checks")["reason"])
            == ("wait", "reading of another day"))
    assert ((first(alone, "pass_weather")["status"], first(alone, "pass_weather")["finding"])
            == ("Not entered", "no reading of the day of the pass with its time"))
    assert first(beside, "pass_weather")["verdict"] == "no"


def test_without_a_start_no_reading_is_nearest() -> None:
    """Nobody knows which of two readings holds for a pass whose start is blank."""
    row = first(make_plan(readings_and_limits([GOOD, WINDY], [LABEL], None)), "pass_weather")

    assert ((row["verdict"], row["status"], row["finding"])
            == ("wait", "Not entered", "start time of the pass not entered"))


def test_the_logged_start_tells_which_reading_is_nearest() -> None:
    """Planned for nine, sprayed at two: the reading at noon counts, not the one at nine."""
    inputs = readings_and_limits([GOOD, {**WINDY, "time": dt.time(12)}], [LABEL])
    logged = [{"pass": "First", "field": "North", "date": dt.date(2026, 5, 1), "start_time": dt.time(14)}]

    assert first(make_plan(replace(inputs, tables={**inputs.tables, "spray_log": logged})),
                 "pass_weather")["verdict"] == "no"


def test_a_limit_whose_value_was_not_read_is_not_entered() -> None:
    """A highest temperature holds for the forecast too (Illinois 2020):
    without the forecast it is Not entered, and a hot field is no.
    """
    label = {**LABEL, "temperature_max": 85.0}
    cool, hot, known = (first(plan_of([{**GOOD, **read}], [label]), "condition_checks")
                        for read in ({}, {"temperature": 86.0}, {"forecast_high": 84.0}))

    assert (cool["verdict"], cool["reason"]) == ("wait", "forecast high not entered, a label limits it")
    assert (hot["verdict"], known["verdict"]) == ("no", "go")


def test_the_strictest_label_of_the_mix_counts() -> None:
    """Two products: the lower highest wind, the higher lowest wind and the longer distance hold."""
    inputs = small_farm()
    second = {**inputs.rows("products")[0], "product": "Second"}
    mixes = [inputs.rows("mixes")[0], {**inputs.rows("mixes")[0], "product": "Second"}]
    limits = [{"product": "Product", "wind_min": 2.0, "wind_max": 15.0, "buffer_distance": 30.0},
              {"product": "Second", "wind_min": 3.0, "wind_max": 10.0, "buffer_distance": 240.0}]
    tables = {**inputs.tables, "products": [*inputs.rows("products"), second], "mixes": mixes,
              "weather_limits": limits}

    row = first(make_plan(replace(inputs, tables=tables)), "pass_weather")

    assert (row["wind_min"], row["wind_max"], row["buffer_distance"]) == (3.0, 10.0, 240.0)


@pytest.mark.parametrize(
    ("readings", "status"),
    [
        ([{"time": dt.time(20)}, {"date": dt.date(2026, 5, 2), "time": dt.time(0, 15), "wind": 14.0}],
         "Not allowed"),
        ([{"time": dt.time(20)}, {"date": dt.date(2026, 5, 2), "time": dt.time(0, 15)}], "Not entered"),
        ([{"time": dt.time(23, 15)}, {"date": dt.date(2026, 5, 2), "time": dt.time(0, 15), "wind": 14.0}],
         "OK"),
        ([{"time": dt.time(20)}, {"date": dt.date(2026, 5, 2), "time": dt.time(12), "wind": 14.0}], "OK"),
    ],
)
def test_a_reading_after_midnight_may_say_no(readings: list[dict[str, Any]], status: str) -> None:
    """A pass starts at half past eleven at night: the reading 45 minutes later is nearer than that of eight
    o'clock and says no, but never go.
    """
    inputs = readings_and_limits([{**GOOD, **each} for each in readings], [LABEL], dt.time(23, 30))

    assert first(make_plan(inputs), "pass_weather")["status"] == status


def test_every_name_of_a_registration_has_one_label_for_weather() -> None:
    """10 typed for the store's name and 15 for the maker's: 12 are over the lower one,
    which holds where it is the only one too.
    """
    inputs = readings_and_limits([{**GOOD, "wind": 12.0}], [])
    shelf = [{**inputs.rows("products")[0], "registration_no": "00000-6"},
             {"product": "Store", "kind": "herbicide", "registration_no": "00000-6-1"}]
    for limits in ([{**LABEL, "wind_max": 15.0}, {**LABEL, "product": "Store"}],
                   [{**LABEL, "product": "Store"}]):
        row = first(make_plan(replace(inputs, tables={**inputs.tables, "products": shelf,
                                                      "weather_limits": limits})), "pass_weather")

        assert (row["wind_max"], row["status"]) == (10.0, "Not allowed")


def test_no_reading_no_status() -> None:
    """A pass nobody read the weather for has no status: nothing is open before the day."""
    assert first(small_plan(weather_limits=LABEL), "pass_weather")["status"] == ""


PLACE = {"latitude": 41.2, "longitude": -101.6, "time_zone": "America/Denver"}


def window_plan(start: dt.time | None, read_at: dt.time | None = None, farm: dict[str, Any] | None = None,
                **changes: dict[str, Any]) -> Plan:
    """Plan a pass of 21 June whose label asks for one hour after sunrise and two before sunset."""
    limits = {**LABEL, "after_sunrise_hours": 1.0, "before_sunset_hours": 2.0}
    return small_plan(**{
        "farm": PLACE if farm is None else farm,
        "passes": {"date": dt.date(2026, 6, 21), "start_time": start}, "label_limits": {"product": "Product"},
        "weather_limits": limits, "conditions": {**GOOD, "date": dt.date(2026, 6, 21), "time": read_at},
        "sprayers": {"boom_width": 80.0, "speed": 10.0, "field_efficiency": 0.6},
        **changes,
    })


def test_window_keeps_its_distance_from_the_sun() -> None:
    """The window opens an hour after the sunrise that astral gives and closes two before its sunset,
    within a minute.
    """
    from zoneinfo import ZoneInfo

    from astral import Observer
    from astral.sun import sun

    row = first(window_plan(dt.time(9)), "pass_weather")
    almanac = sun(Observer(PLACE["latitude"], PLACE["longitude"]), dt.date(2026, 6, 21),
                  tzinfo=ZoneInfo(str(PLACE["time_zone"])))

    for found, wanted in ((row["opens"], almanac["sunrise"] + dt.timedelta(hours=1)),
                          (row["closes"], almanac["sunset"] - dt.timedelta(hours=2))):
        assert abs((moment(found) - wanted.replace(tzinfo=None)).total_seconds()) <= 61


@pytest.mark.parametrize(("start", "light", "status"), [
    (dt.time(5), "before the window", "Not allowed"), (dt.time(9), "in the window", "OK"),
    (dt.time(18), "in the window", "Review"),
    (dt.time(19), "after the window", "Not allowed"), (None, "", "Not entered"),
])
def test_start_against_the_window(start: dt.time | None, light: str, status: str) -> None:
    """Outside the label's window is Not allowed, work that runs past it a Review,
    an unknown start Not entered.
    """
    row = first(window_plan(start), "pass_weather")

    assert (row["light"], row["light_status"]) == (light, status)
    assert bool(row["light_finding"]) == (status != "OK")


@pytest.mark.parametrize(("read_at", "verdict"), [(dt.time(5), "no"), (dt.time(9), "go"), (dt.time(22), "no"),
                                                  (None, "wait")])
def test_reading_against_the_window(read_at: dt.time | None, verdict: str) -> None:
    """A reading outside the window says no, one without a time waits."""
    assert first(window_plan(dt.time(9), read_at), "condition_checks")["verdict"] == verdict


def test_unknown_place_is_not_entered() -> None:
    """Where the sun cannot be worked out, a label that binds to daylight is never OK."""
    plan = window_plan(dt.time(9), dt.time(9), farm={"latitude": None})

    assert ((first(plan, "pass_weather")["light_status"], first(plan, "condition_checks")["light_status"])
            == ("Not entered", "Not entered"))


def test_silent_label_only_tells_of_daylight() -> None:
    """Where no label names the time of day, the sheet says whether the start lies in daylight and judges
    nothing.
    """
    row = first(window_plan(dt.time(3), weather_limits=LABEL), "pass_weather")

    assert (row["light"], row["light_status"], row["opens"]) == ("before sunrise", "", "")


def test_sun_of_the_day_that_was_sprayed() -> None:
    """A pass logged on another day is judged by the sun of that day."""
    logged = {"pass": "First", "field": "North", "date": dt.date(2026, 12, 21), "start_time": dt.time(8),
              "end_time": dt.time(9)}

    row = first(window_plan(dt.time(9), spray_log=logged), "pass_weather")

    assert moment(row["sunrise"]).date() == dt.date(2026, 12, 21)
    assert row["light"] == "before the window"


@engines_at_length
def test_engines_agree(engine_name: str) -> None:
    """Each engine finds the reading nearest the start, and what releases nothing."""
    readings = [
        {**WINDY, "time": dt.time(6)}, GOOD, {**GOOD, "date": dt.date(2026, 4, 30)}, {**GOOD, "date": None},
        {**GOOD, "time": None},
        {**WINDY, "time": dt.time(9, 30)}, {**GOOD, "time": dt.time(8, 30)}, {**GOOD, "pass": "Second"},
        {**GOOD, "pass": "Third", "date": dt.date(2026, 5, 2)},
    ]
    inputs = readings_and_limits(readings, [{**LABEL, "temperature_max": 85.0}])
    [typed] = inputs.rows("passes")
    passes = [typed, {**typed, "pass": "Second", "start_time": None}, {**typed, "pass": "Third"}]

    assert differences(replace(inputs, tables={**inputs.tables, "passes": passes}), engine_name) == []


def test_a_reading_of_the_next_day_speaks_for_half_a_day() -> None:
    """Worked by hand: of a spray begun at 22:00 a reading at 6:00 the next morning may speak,
    one at 11:00 may not, nor one of the day before.
    """
    start = 46200 + 22 / 24

    assert may_speak(46201, 6 / 24, 46200, 22 / 24, start)
    assert not may_speak(46201, 11 / 24, 46200, 22 / 24, start)
    assert not may_speak(46199, 23 / 24, 46200, 22 / 24, start)
