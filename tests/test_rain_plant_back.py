"""Plant-back that hangs on rain or soil pH."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from agreement import differences
from small_farm import small_farm

from workbook_builder.check import check_inputs
from workbook_builder.core.inputs import Inputs
from workbook_builder.features import TYPED_TABLES, VIEWS
from workbook_builder.planning import make_plan
from workbook_builder.roll_over import roll_over

Rows = tuple[dict[str, Any], ...]
MICHIGAN = ("Michigan State Univ. Extension, in farm press, 2012 (found, second hand): 10 months with 20 in "
            "of rain or more between application and planting, else 18")
FALLOW = ("Australian adviser table 2016 restating labels (found, second hand): the clock starts only after "
          "15 mm of rain; the days are made up")
ILLINOIS = ("Hager & Sprague, Univ. of Illinois Bulletin, 2001 (found, second hand): 4 months only below "
            "soil pH 6.8")
SPRAYED, PLANTED = dt.date(2026, 6, 1), dt.date(2027, 5, 1)
PLAIN, WET = ({"interval": 18, "interval_unit": "months"},
              {"rain": 20.0, "interval": 10, "interval_unit": "months"})
WAITS = {"rain": 0.59, "starts": "yes", "interval": 7, "interval_unit": "days"}
ACID = {"ph_below": 6.8, "interval": 4, "interval_unit": "months"}


def farm(plain: dict[str, Any] | None, rows: Rows, rain: Rows, planted: dt.date = PLANTED,
         ph: float | None = None) -> Inputs:
    """Return a farm that sprays on 1 June and plants dry beans after it."""
    made = small_farm(passes={"date": SPRAYED},
                      fields={"next_crop": "dry bean", "next_planting_date": planted, "soil_ph": ph})
    tables = {"plant_back": [{"product": "Product", "next_crop": "dry bean", **plain}] if plain else [],
              "rain": [{"field": "North", **row} for row in rain]}
    return Inputs({**made.tables, **tables,
                   "rain_plant_back": [{"product": "Product", "next_crop": "dry bean", **row}
                                       for row in rows]}, made.extras, made.origin)


def fell(*amounts: float, start: dt.date = dt.date(2026, 6, 10)) -> Rows:
    """Return rain on days ten days apart."""
    return tuple({"date": start + dt.timedelta(10 * at), "amount": amount}
                 for at, amount in enumerate(amounts))


@pytest.mark.parametrize(("plain", "rows", "rain", "planted", "ph", "told", "source"), [
    (PLAIN, (WET,), fell(10, 9.99), PLANTED, None, (dt.date(2027, 12, 1), "Not allowed"), MICHIGAN),
    (PLAIN, (WET,), fell(10, 10), PLANTED, None, (dt.date(2027, 4, 1), "OK"), MICHIGAN),
    (PLAIN, (WET,), (*fell(19, start=SPRAYED + dt.timedelta(1)), *fell(5, start=SPRAYED),
                     *fell(5, start=PLANTED)), PLANTED, None, (dt.date(2027, 12, 1), "Not allowed"),
     MICHIGAN),
    (None, (WET,), (), PLANTED, None, (None, "Not entered"), "without a row that holds nothing is known"),
    (None, (WAITS,), fell(0.3, 0.29), dt.date(2026, 7, 1), None, (dt.date(2026, 6, 27), "OK"), FALLOW),
    (None, (WAITS,), fell(0.3, 0.29), dt.date(2026, 6, 26), None, (dt.date(2026, 6, 27), "Not allowed"),
     FALLOW),
    (None, (WAITS,), fell(0.3, 0.28), dt.date(2026, 7, 1), None, (None, "Not entered"), FALLOW),
    (PLAIN, (ACID,), (), dt.date(2026, 10, 1), 6.7, (dt.date(2026, 10, 1), "OK"), ILLINOIS),
    (PLAIN, (ACID,), (), dt.date(2026, 10, 1), 6.8, (dt.date(2027, 12, 1), "Not allowed"), ILLINOIS),
    (PLAIN, (ACID,), (), dt.date(2026, 10, 1), None, (None, "Not entered"),
     "a soil pH nobody entered is not OK"),
    (PLAIN, ({**WET, "rain": 10.0, "interval": 14}, WET), fell(20), PLANTED, None,
     (dt.date(2027, 4, 1), "OK"), "of rows that hold the one that asks for the most rain"),
])
def test_the_row_that_holds(plain: dict[str, Any] | None, rows: Rows, rain: Rows, planted: dt.date,
                            ph: float | None, told: tuple[Any, str], source: str) -> None:
    """Interval and day follow the rain from the day after the spray to the day before planting, and the soil.
    """
    (row,) = VIEWS["rain_plant_back"](make_plan(farm(plain, rows, rain, planted, ph)))

    assert (row["earliest_planting"], row["status"]) == (told[0] and told[0].isoformat(), told[1]), source


@pytest.mark.parametrize(("named", "status"), [
    ("Dry Beans", "OK"), ("any", "OK"), (None, "OK"), ("beans", "Not entered"),
    ("sugarbeet, dry beans", "Not entered"), ("sugarbeet", "Not allowed"),
])
def test_crops_are_known_by_their_names(named: str | None, status: str) -> None:
    """A row is found by spelling, list and wider crop as every row of a label is.

    One that may mean the crop, or not, is never OK; where none does, Plant-back counts.
    """
    made = farm(PLAIN, ({**WET, "next_crop": named},), fell(20))

    assert [row["status"] for row in make_plan(made).tables["plant_back_checks"]
            if row["status"]] == [status], "common practice, no source"


def test_figures_that_do_not_rise_are_named() -> None:
    """A range typed the wrong way round is a problem at its cell, in every table of label rows."""
    made = farm(PLAIN, ({**ACID, "ph_from": 7.0}, {**ACID, "ph_from": 6.8}), ())
    made.tables["soil_rates"] = [{"product": "Product", "rate_unit": "lb/ac", "residue_from": 30.0,
                                  "residue_to": 20.0}]
    made.tables["label_limits"] = [{"product": "Product", "crop": "any", "min_carrier": 12.0,
                                    "max_carrier": 10.0}]
    _, problems = check_inputs(made, TYPED_TABLES)

    assert sorted((each.sheet, each.row, each.column) for each in problems
                  if each.code == "range-turned") == [
("Label limits", 1, "Least carrier"), ("Plant-back by rain and soil", 1, "Soil pH from"),
("Rates by soil", 1, "Residue on the ground, from"),
    ]


def test_nothing_is_asked_without_rows() -> None:
    """Rain alone changes no plant-back."""
    assert VIEWS["rain_plant_back"](make_plan(farm(PLAIN, (), fell(20)))) == []


def test_a_spray_of_last_season_waits_for_rain_too() -> None:
    """What is rolled over is judged by the rain of both seasons,
    and kept as long as the longest of its rows runs.
    """
    after = roll_over(farm({"interval": 1, "interval_unit": "months"}, (WET,), fell(10, 10)))
    (row,) = VIEWS["rain_plant_back"](make_plan(after))[:1]

    assert (row["pass"], row["rain"], row["earliest_planting"]) == (None, 20, "2027-04-01")


def test_the_engine_agrees_on_rain() -> None:
    """Sheet and plan agree on rows by rain and soil, for a pass, a spray of last season,
    and crops of any name.
    """
    made = farm(PLAIN, (WET, WAITS, {**ACID, "next_crop": "any"},
                        {**WET, "next_crop": "beans and peas", "rain": 4.0}), fell(0.3, 5, 20), ph=6.5)
    made.tables["earlier_sprays"] = [{"field": "North", "product": "Product", "date": dt.date(2026, 3, 1)}]
    made.tables["fields"] = [made.rows("fields")[0],
                             *({**made.rows("fields")[0], "field": name, **cells}
                               for name, cells in (("South", {"soil_ph": None}),
                                                   ("East", {"next_crop": "field pea"}),
                                                   ("West", {"next_crop": "corn"})))]
    made.tables["passes"] = [{**made.rows("passes")[0], "field": row["field"]} for row in made.rows("fields")]

    assert differences(made, "IronCalc") == []
