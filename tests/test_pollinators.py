"""Bees: what labels forbid, what blooms, the hours they forage, and residues."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from agreement import differences
from small_farm import first, small_farm

from workbook_builder.check import check_inputs
from workbook_builder.core.inputs import Inputs
from workbook_builder.features import TYPED_TABLES, VIEWS
from workbook_builder.planning import make_plan

UC_IPM = ("UC IPM bee precautions, from memory: I no spray to flowering plants, II not while bees forage, "
          "III none")
LABEL_2013 = ("US EPA, New Labeling for Neonicotinoid Pesticides (found): not until flowering is complete "
              "and all petals have fallen")
DAY = dt.date(2026, 7, 10)
PLACE = {"latitude": 39.0, "longitude": -98.0, "time_zone": "America/Chicago"}
FIELD, NEIGHBOURS, NOTHING = ({"where": "field", "from": DAY, "to": DAY},
                              {"where": "neighbours", "from": DAY, "to": DAY},
                              ({"where": "field", "blooms": "no"}, {"where": "neighbours", "blooms": "no"}))
NIGHT, NOON = {"start_time": dt.time(21, 15)}, {"start_time": dt.time(12)}


def farm(label: dict[str, Any], bloom: tuple[dict[str, Any], ...], when: dict[str, Any],
         **more: dict[str, Any]) -> Inputs:
    """Return a farm in Kansas with an insecticide, what blooms, and one pass of two hours on 10 July."""
    sprayer = {"speed": 10.0, "boom_width": 90.0, "field_efficiency": 0.4}
    made = small_farm(farm=PLACE, products={"kind": "insecticide", **label}, passes={"date": DAY, **when},
                      sprayers=sprayer, **more)
    return Inputs({**made.tables, "bloom": [{"field": "North", **row} for row in bloom]},
                  made.extras, made.origin)


@pytest.mark.parametrize(("label", "bloom", "when", "status", "source"), [
    ({}, (), {}, "Not entered", "an insecticide whose class nobody read is not OK"),
    ({"bees": "none"}, (), {}, "OK", UC_IPM),
    ({"bees": "not in bloom"}, (), NIGHT, "Not entered", "bloom that nobody entered is not OK"),
    ({"bees": "not in bloom"}, (FIELD,), NIGHT, "Not allowed", LABEL_2013),
    ({"bees": "not in bloom"}, (FIELD, NOTHING[1]), {"date": DAY + dt.timedelta(1)}, "OK", LABEL_2013),
    ({"bees": "not in bloom"}, ({**FIELD, "to": None}, NOTHING[1]), {"date": DAY + dt.timedelta(90)},
     "Not allowed", "a bloom without an end goes on"),
    ({"bees": "not in bloom"}, (NOTHING[0], NEIGHBOURS), NIGHT, "Review", UC_IPM),
    ({"bees": "not in bloom"}, ({"where": "field"}, NOTHING[1]), NIGHT, "Not entered",
     "a row without dates tells nothing"),
    ({"bees": "not while bees forage"}, (FIELD, NOTHING[1]), NOON, "Not allowed", UC_IPM),
    ({"bees": "not while bees forage"}, (FIELD, NOTHING[1]), NIGHT, "OK", UC_IPM),
    ({"bees": "not while bees forage"}, (FIELD, NOTHING[1]), {}, "Not entered",
     "an hour nobody entered is not OK"),
    ({"bees": "not while bees forage"}, (FIELD, NOTHING[1]), {"start_time": dt.time(5)}, "Not allowed",
     "begins in the dark and lasts past sunrise"),
    ({"bees": "not while bees forage", "bee_hours": 7}, (FIELD, NOTHING[1]), NIGHT, "OK",
     "23:17 + 7 h ends before sunrise at 06:17"),
    ({"bees": "not while bees forage", "bee_hours": 24}, ({**FIELD, "to": None}, NOTHING[1]), NIGHT, "Review",
     "23:17 + 24 h lasts past sunrise"),
    ({"bees": "none", "kind": "herbicide"}, (), NOON, "OK", UC_IPM),
    ({"kind": "herbicide"}, (), NOON, "", "a herbicide is asked for nothing while nothing blooms"),
    ({"kind": "herbicide"}, (FIELD,), NOON, "Not entered", "no kind escapes where something blooms"),
])
def test_bees(label: dict[str, Any], bloom: tuple[dict[str, Any], ...], when: dict[str, Any], status: str,
              source: str) -> None:
    """A pass against class, bloom, hour and residue; what is missing is not OK."""
    plan = make_plan(farm(label, bloom, when))

    assert first(plan, "pollinators")["status"] == status, source
    assert [row["status"] for row in VIEWS["pollinators"](plan)] == [status] * bool(status)


def test_the_cold_counts_where_every_label_names_it() -> None:
    """A cold day lets a pass go at noon by the labels that name a temperature, and by no others."""
    reading = {"pass": "First", "field": "North", "date": DAY, "time": dt.time(12), "temperature": 54.0}
    told = [first(make_plan(farm({"bees": "not while bees forage", **cold}, (FIELD, NOTHING[1]), NOON,
                                 conditions=reading)), "pollinators")["status"]
            for cold in ({"bee_cold": 55.0}, {"bee_cold": 54.0}, {})]

    assert told == ["OK", "Not allowed", "Not allowed"]


def test_a_bloom_that_ends_before_it_begins_is_named() -> None:
    """Turned dates are a problem at their cell."""
    _, problems = check_inputs(farm({}, ({**FIELD, "to": DAY - dt.timedelta(1)},), {}), TYPED_TABLES)

    assert [(problem.code, problem.sheet, problem.column) for problem in problems
            if problem.sheet == "Bloom"] == [("dates-out-of-order", "Bloom", "To")]


def test_the_engine_agrees_on_bees() -> None:
    """Sheet and plan agree by day, by night and where names of one registration differ."""
    made = farm({"bees": "not while bees forage", "bee_hours": 30, "registration_no": "00000-1"},
                ({**FIELD, "to": None}, NEIGHBOURS), NIGHT)
    product, one = made.rows("products")[0], made.rows("passes")[0]
    brief = {**product, "product": "Brief", "bee_hours": 2, "registration_no": "00000-2"}
    made.tables["products"] = [product, {**product, "product": "Other name", "kind": "adjuvant", "bees": None,
                                         "bee_cold": 50.0}, brief]
    made.tables["mixes"] = [{**made.rows("mixes")[0], "mix": mix, "product": name}
                            for mix, name in (("Mix", "Product"), ("Second", "Other name"),
                                              ("Brief", "Brief"))]
    made.tables["passes"] = [one, {**one, "pass": "Second", "mix": "Second", **NOON},
                             {**one, "pass": "Third", "start_time": None},
                             {**one, "pass": "Brief", "mix": "Brief"}]

    assert ([row["status"] for row in make_plan(made).tables["pollinators"][:3]]
            == ["Review", "Not allowed", "Not entered"])
    assert differences(made, "IronCalc") == []
