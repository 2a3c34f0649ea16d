"""What was done is judged like what was planned: rates, areas, hours, loads and what is left,
by hand on one farm.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from agreement import differences
from engine_help import engines_at_length
from label_farms import DAY, active, farm, label, mix, plan, product, rows

from workbook_builder.check import check_inputs
from workbook_builder.core.inputs import Inputs
from workbook_builder.features import TYPED_TABLES, VIEWS
from workbook_builder.planning import Plan
from workbook_builder.read.texts import LONGEST_LINE, LONGEST_NAME

#: 60 ft at 10 mph drive over 60 x 10 / 8.25 = 72.7 ac an hour.
BOOM = {"sprayer": "Boom", "cost_per_area": 5.0, "main_tank": 1000.0, "spot_tank": 300.0, "boom_width": 60.0,
        "speed": 10.0, "field_efficiency": 0.7}
#: Every pass on a field of its own, 80 ac, planned at 2 pt and 15 gal an acre: 160 pt in 1,200 gal.
LOGGED: dict[str, dict[str, Any]] = {
    "As planned": {"volume_sprayed": 1200.0},
    "Too much": {},
    "Wetter": {"volume_sprayed": 1320.0},
    "Half": {"area_treated": 40.0, "volume_sprayed": 600.0},
    "Nearly": {"area_treated": 77.0, "volume_sprayed": 1150.0},
    "Spots": {"volume_sprayed": 250.0},
    "At odds": {"area_treated": 90.0, "volume_sprayed": 2000.0, "start_time": dt.time(8),
                "end_time": dt.time(9)},
    "Other product": {"volume_sprayed": 1200.0},
    "By loads": {},
}
USED = {"As planned": 160.0, "Too much": 240.0, "Spots": 75.0, "No day": 240.0}


def logged_farm() -> Inputs:
    """Return the farm: a herbicide at its label's highest rate with a wetter at the highest its label gives,
    one field a pass.
    """
    names = [*LOGGED, "No day", "Planned"]
    spot = {"method": "spot", "sprayed_share": 0.3, "carrier": 10.0}
    passes = [
        {"pass": name, "field": name, "mix": "Mix", "method": "broadcast", "date": DAY, "carrier": 15.0,
         "sprayer": "Boom", **(spot if name == "Spots" else {})}
        for name in names
    ]
    surfactant = {**product("Surfactant"), "kind": "adjuvant"}
    return farm(
        fields=[{"field": name, "area": 80.0, "crop": "grain sorghum"} for name in names], sprayers=[BOOM],
        products=[product("Product", registration_no="0-0"), product("Unplanned", registration_no="0-1"),
                  surfactant],
        ingredients=[active("Product", "glyphosate"), active("Unplanned", "dicamba", group=4)],
        mixes=[*mix("Mix", ("Product", 2.0)), *mix("Mix", ("Surfactant", 0.25), unit="% v/v")], passes=passes,
        label_limits=[
            label("Product", max_rate=2.0, max_rate_season=4.0, max_passes=2, retreat_days=14),
            {**label("Surfactant", max_rate=0.25), "rate_unit": "% v/v"},
        ],
        ingredient_limits=[{"active_ingredient": "glyphosate", "max_pass": 1.2, "max_season": 2.0,
                            "unit": "lb ai/ac"}],
        spray_log=[{"pass": name, "field": name, "date": DAY, "applicator": "Invented person", **cells}
                   for name, cells in LOGGED.items()],
        amounts_used=[
            *({"pass": name, "field": name, "product": "Product", "amount": amount}
              for name, amount in USED.items()),
            {"pass": "Other product", "field": "Other product", "product": "Unplanned", "amount": 10.0},
        ],
        load_log=[
            {"pass": name, "field": name, "load": n, "area_covered": area, "volume_sprayed": volume}
            for name, area, volume in (("At odds", 50.0, 850.0), ("By loads", 40.0, 690.0)) for n in (1, 2)
        ],
    )


@pytest.fixture(scope="module")
def planned() -> Plan:
    """Return the plan of the farm."""
    return plan(logged_farm())


def one(planned: Plan, table: str, pass_name: str, **wanted: Any) -> dict[str, Any]:
    """Return the row of a pass."""
    [row] = rows(planned, table, **{"pass": pass_name, **wanted})
    return row


@pytest.mark.parametrize(("name", "rate", "status"), [
    ("As planned", 2.0, "OK"),  # 160 pt / 80 ac
    ("Too much", 3.0, "Not allowed"),  # 240 pt / 80 ac
    ("Wetter", 2.2, "Not allowed"),  # 1,320 gal x 2 pt / 15 gal / 80 ac
    ("Half", 2.0, "OK"),  # 600 gal x 2 / 15 / 40 ac
    ("By loads", 2.3, "Not allowed"),  # 2 x 690 gal x 2 pt / 15 gal / 80 ac
    ("Spots", 3.0, "Not allowed"),  # 75 pt on 250 gal / 10 gal an acre = 25 ac
    ("No day", 3.0, "Not allowed"),
    ("Planned", 2.0, "OK"),
])
def test_a_rate_is_judged_as_it_landed(planned: Plan, name: str, rate: float, status: str) -> None:
    """The amount measured, or the volume at the strength of the mix, over the ground it landed on."""
    row = one(planned, "product_limits", name, name="Product")

    assert (row["rate"], row["season_amount"]) == pytest.approx((rate, rate))
    assert row["rate_status"] == status
    said = f"Product: {rate:g} is over the label rate of 2 pt/ac, as logged"
    assert row["rate_finding"] == (said if status == "Not allowed" else "")


@pytest.mark.parametrize(("name", "mass", "status"),
                         [("As planned", 1.0, "OK"), ("Wetter", 1.1, "OK"), ("Too much", 1.5, "Not allowed"),
                          ("Spots", 1.5, "Not allowed")])
def test_an_active_ingredient_is_judged_as_it_landed(planned: Plan, name: str, mass: float,
                                                     status: str) -> None:
    """4 lb a gallon is half a pound a pint: 3 pt hold 1.5 lb where 1.2 lb are allowed."""
    row = one(planned, "pass_ingredients", name)

    assert (row["amount"], row["pass_status"]) == (pytest.approx(mass), status)
    assert (row["pass_finding"] == ("glyphosate: 1.5 is over the limit per pass of 1.2 lb ai/ac, as logged"
                                    if status == "Not allowed" else ""))


def test_a_share_of_the_spray_volume_stays_what_it_is(planned: Plan) -> None:
    """More water of the same strength is no stronger: a quarter of a percent is one at 16.5 gal an acre too.
    """
    row = one(planned, "product_limits", "Wetter", name="Surfactant")

    assert ((row["rate"], row["max_rate"], row["rate_status"])
            == (pytest.approx(0.25), pytest.approx(0.25), "OK"))


def test_the_season_adds_what_landed(planned: Plan) -> None:
    """Two passes on one field, 2 pt planned and 3 pt logged, are 5 pt of the 4 allowed."""
    given = logged_farm()
    again = [{**row, "field": "Too much", "date": DAY + dt.timedelta(30)} if row["pass"] == "Planned" else row
             for row in given.rows("passes")]
    twice = plan(farm(**{**given.tables, "passes": again}))

    assert one(twice, "product_limits", "Planned", name="Product")["season_amount"] == pytest.approx(5)
    assert (one(twice, "product_limits", "Too much", name="Product")["season_finding"]
            == "Product: 5 is over the season limit of 4 pt/ac, as logged")


@pytest.mark.parametrize(("name", "finding"), [
    ("As planned", ""),
    ("Nearly", ""),  # 3 of 80 ac are within 5 %
    ("Wetter", ""),  # a tenth more than the 1,200 gal planned
    ("Too much",
     "Record lacks: amounts used; amount of Product used is 240, the rate of the mix makes it 160"),
    ("Half", "40 ac left to spray"),
    ("Spots", "amount of Product used is 75, the rate of the mix makes it 50"),
    ("At odds", "area treated 90 ac, the field has 80; volume sprayed 2000 gal, the carrier rate puts 1350 "
                "on the area treated; "
                "loads logged hold 1700 gal, volume sprayed is 2000; loads logged cover 100 ac, the field "
                "has 80; 90 ac in 1 h, the sprayer drives over 72.7"),
    ("Other product", "amounts used name a product that is not in the mix, which no limit judges"),
    ("No day", "amount of Product used is 240, the rate of the mix makes it 160; amounts used are typed, but "
               "not the date sprayed"),
    ("By loads", ""),
    ("Planned", ""),
])
def test_what_cannot_all_be_right_is_said(planned: Plan, name: str, finding: str) -> None:
    """Area, volume, loads, hours and amounts against the field, the carrier rate, one another and the clock.
    """
    row = one(planned, "records", name)

    assert row["finding"] == finding
    assert row["status"] == ("Review" if finding else "" if name == "Planned" else "OK")
    assert one(planned, "all_checks", name, check="Spray record")["finding"] == finding if finding else True


def test_a_half_done_pass_says_what_is_left(planned: Plan) -> None:
    """The calendar leaves it open and names the rest, and the rest is still to be ordered: 40 ac at 2 pt,
    which the measuring steps make 1 % less.
    """
    events = {row["pass"]: row for row in VIEWS["calendar"](planned) if row["what"] == "Spray"}
    picked = one(planned, "pick_list", "Half", product="Product")

    assert events["Half"]["done"] is False
    assert "40 ac left to spray" in str(events["Half"]["to_do"])
    assert picked["amount"] == pytest.approx(40 * 2 / 8 * 0.99)  # gal
    assert [one(planned, "pick_list", name, product="Product")["amount"]
            for name in ("Nearly", "As planned")] == [0, 0]
    assert events["Nearly"]["done"] is True


#: Products at 10 a gallon, 8 pt: what was measured, else by the volume; surfactant is 0.25 % of the volume.
#: Driving is 5 an acre, water 0.01 a gallon.
COSTS = {
    "As planned": (200 + 30, 12, 400),  # 160 pt, 3 gal; 1,200 gal; 80 ac
    "Too much": (300 + 30, 12, 400),  # 240 pt; the rest as planned
    "Wetter": (220 + 33, 13.2, 400),  # 1,320 gal hold 176 pt and 3.3 gal
    "Half": (100 + 15, 6, 200),  # 600 gal hold 80 pt and 1.5 gal; 40 ac
    "Nearly": (1150 / 15 * 2 / 8 * 10 + 28.75, 11.5, 77 * 5),
    "Spots": (93.75 + 6.25, 2.5, 400),  # 75 pt, 0.625 gal; 250 gal; the whole field is driven over
    "Planned": (200 + 30, 12, 400),
}


@pytest.mark.parametrize("name", COSTS)
def test_a_pass_costs_what_was_done(planned: Plan, name: str) -> None:
    """Products by what was used, carrier by the volume sprayed, driving by the area treated.

    Without a log as planned.
    """
    row, full = one(planned, "cost_passes", name), one(planned, "full_costs", name)
    products, carrier, driving = COSTS[name]

    assert ([row[key] for key in ("product_cost", "carrier_cost", "application_cost")]
            == pytest.approx([products, carrier, driving]))
    assert (row["total_cost"], full["full_cost"]) == pytest.approx((products + carrier + driving,) * 2)


def test_the_farm_is_the_sum_and_says_what_is_left(planned: Plan) -> None:
    """One total everywhere, and what a half-done pass still costs is named as missing from it."""
    [total], [glance], [full] = (planned.tables[key] for key in ("cost_farm", "glance", "full_farm"))
    passes = sum(row["total_cost"] for row in planned.tables["cost_passes"] if row["total_cost"] != "")

    assert (total["total_cost"], glance["total_cost"], full["full_cost"]) == pytest.approx((passes,) * 3)
    assert total["left_out"].endswith("what 1 pass has left to spray")
    assert one(planned, "spot_against_broadcast", "Spots")["share"] == pytest.approx(25 / 80)


#: What the label asks: 3 to 10 mph, 40 to 85 deg F, a dry forecast of 24 h; its reading before the start was
#: within all of it.
WEATHER = {"product": "Product", "wind_min": 3.0, "wind_max": 10.0, "temperature_min": 40.0,
           "temperature_max": 85.0, "no_rain_hours": 24.0}
READING: dict[str, Any] = {
    "date": DAY, "time": dt.time(7, 45), "temperature": 60.0, "forecast_high": 70.0, "humidity": 55.0,
    "wind": 5.0, "toward_sensitive": "no",
    "inversion_signs": "no", "rain_in_hours": 72.0,
}
#: Wind, temperatures and humidity that were logged, what was read before, and what comes of them.
LOGGED_WEATHER: dict[str, tuple[dict[str, Any], dict[str, Any] | None, str, str]] = {
    "In range": ({"wind_start": 5.0, "wind_end": 8.0, "temperature_start": 60.0, "temperature_end": 70.0,
                  "humidity": 55.0}, READING, "OK", ""),
    "Windy": ({"wind_start": 25.0, "wind_end": 28.0}, READING, "Not allowed",
              "as logged: wind outside the label range"),
    "Wind rose": ({"wind_start": 5.0, "wind_end": 12.0}, READING, "Not allowed",
                  "as logged: wind outside the label range"),
    "Wind fell": ({"wind_start": 6.0, "wind_end": 1.0}, READING, "Not allowed",
                  "as logged: wind outside the label range"),
    "Log rules": ({"wind_start": 6.0}, {**READING, "wind": 14.0}, "OK", ""),
    "Grew hot": ({"temperature_start": 75.0, "temperature_end": 88.0}, READING, "Not allowed",
                 "as logged: temperature or forecast outside the label range"),
    "Began cold": ({"temperature_start": 38.0, "temperature_end": 50.0}, READING, "Not allowed",
                   "as logged: temperature or forecast outside the label range"),
    "Not read": ({"wind_start": 5.0, "wind_end": 8.0}, None, "Not entered",
                 "as logged: temperature not read; rain forecast not entered"),
    "Another day": ({"wind_start": 5.0, "temperature_start": 60.0},
                    {**READING, "date": DAY - dt.timedelta(1)}, "Not entered",
                    "as logged: forecast high not entered, a label limits it; humidity or temperature not "
                    "read; downwind neighbours not looked at; rain forecast not entered"),
    "Nothing logged": ({}, None, "Not entered",
                       "wind not read; temperature not read; rain forecast not entered"),
    "Reading rules": ({}, {**READING, "wind": 12.0}, "Not allowed", "wind outside the label range"),
}


def weather_farm() -> Inputs:
    """Return the farm with a pass of each weather, and one that was read but not sprayed."""
    names = [*LOGGED_WEATHER, "Planned"]
    start = {"start_time": dt.time(8)}
    read = ({name: reading for name, (_, reading, _, _) in LOGGED_WEATHER.items()}
            | {"Planned": {**READING, "wind": 12.0}})
    return farm(
        fields=[{"field": name, "area": 80.0, "crop": "grain sorghum"} for name in names], sprayers=[BOOM],
        passes=[{"pass": name, "field": name, "mix": "Mix", "method": "broadcast", "date": DAY,
                 "carrier": 15.0, "sprayer": "Boom", **start} for name in names],
        label_limits=[label("Product", rain_hours=6)], weather_limits=[WEATHER],
        conditions=[{"pass": name, "field": name, **reading} for name, reading in read.items()
                    if reading is not None],
        spray_log=[{"pass": name, "field": name, "date": DAY, **start, **cells}
                   for name, (cells, _, _, _) in LOGGED_WEATHER.items()],
    )


@pytest.mark.parametrize("name", [*LOGGED_WEATHER, "Planned"])
def test_weather_is_judged_as_logged(name: str) -> None:
    """The log rules over the reading, which stays for what the log does not say.

    What a label limits and nobody read is Not entered.
    """
    _, _, status, finding = LOGGED_WEATHER.get(name,
                                               ({}, None, "Not allowed", "wind outside the label range"))
    planned = plan(weather_farm())

    for row in (one(planned, "pass_weather", name),
                one(planned, "all_checks", name, check="Conditions of the day")):
        assert (row["status"], row["finding"]) == (status, finding)


def test_the_longest_names_are_found() -> None:
    """Amounts are found under the longest names that may be typed:
    no key is longer than a program looks for in a list.
    """
    named = {"pass", "field", "product"}
    inputs = logged_farm()
    longest = {
        key: [{cell: f"{value} ".ljust(LONGEST_NAME, "x") if cell in named and value else value
               for cell, value in row.items()} for row in rows]
        for key, rows in inputs.tables.items()
    }
    made, short = plan(replace(inputs, tables=longest)), plan(inputs)
    keys = [value for rows in made.tables.values() for row in rows for key, value in row.items()
            if key.endswith("key") and isinstance(value, str)]

    assert LONGEST_NAME < max(map(len, keys)) <= LONGEST_LINE
    assert ([row["measured"] for row in made.tables["applied_lines"]]
            == [row["measured"] for row in short.tables["applied_lines"]])
    assert {row["measured"] for row in short.tables["applied_lines"]} >= set(USED.values())


@engines_at_length
@pytest.mark.parametrize("inputs", [logged_farm, weather_farm], ids=["amounts", "weather"])
def test_engines_agree_on_what_was_done(engine_name: str, inputs: Callable[[], Inputs]) -> None:
    """Every engine judges the log as Python does."""
    assert differences(inputs(), engine_name) == []


@pytest.mark.parametrize(("code", "table", "name", "column"), [
    ("log-contradicts", "Spray log", "At odds", "Area treated"),
    ("log-contradicts", "Spray log", "At odds", "Volume sprayed"),
    ("log-contradicts", "Spray log", "At odds", "End"),
    ("log-contradicts", "Amounts used", "Too much", "Amount"),
    ("log-contradicts", "Amounts used", "Spots", "Amount"),
    ("log-contradicts", "Amounts used", "No day", "Amount"),
    ("product-not-in-mix", "Amounts used", "Other product", "Product"),
])
def test_a_build_warns_at_the_cell(code: str, table: str, name: str, column: str) -> None:
    """What the sheet Records says stands as a warning with row and column before the workbook is built."""
    inputs = logged_farm()
    key = {"Spray log": "spray_log", "Amounts used": "amounts_used"}[table]
    row = next(at for at, cells in inputs.filled(key) if cells["pass"] == name)
    found = {(each.code, each.sheet, each.row, each.column, each.severity)
             for each in check_inputs(inputs, TYPED_TABLES)[1]}

    assert (code, table, row, column, "warning") in found


def test_what_agrees_raises_nothing() -> None:
    """Passes logged as planned, within tolerance or half done are no problem of the inputs."""
    inputs = logged_farm()
    doubtful = {"At odds", "Too much", "Spots", "No day", "Other product"}
    named = [inputs.rows({"Spray log": "spray_log",
                          "Amounts used": "amounts_used"}[each.sheet])[(each.row or 1) - 1]["pass"]
             for each in check_inputs(inputs, TYPED_TABLES)[1]
             if each.code in ("log-contradicts", "product-not-in-mix")]

    assert set(named) == doubtful

