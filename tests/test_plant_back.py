"""Every crop that is planted after a spray: this season's, the next,
and those after sprays of earlier seasons.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from label_farms import Rows, checks, farm, label, mix, pass_, plan, product, rows

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.inputs import Inputs
from workbook_builder.features import VIEWS
from workbook_builder.features.plant_back.definitions import earliest_planting
from workbook_builder.planning import Plan
from workbook_builder.roll_over import roll_over

THIS, NEXT, EARLIER = "Plant-back, this crop", "Plant-back", "Plant-back of earlier sprays"
APRIL = dt.date(2026, 4, 20)


def back(crop: str | None, interval: int | None, unit: str = "days", name: str = "Product") -> dict[str, Any]:
    """Return a plant-back row."""
    return {"product": name, "next_crop": crop, "interval": interval, "interval_unit": unit}


def inputs(backs: Rows, field: dict[str, Any], date: dt.date = APRIL, **tables: Rows) -> Inputs:
    """Return a farm of one pass of one product on one field."""
    return farm(field=field, plant_back=backs, passes=[pass_("First", "Mix", date)],
                mixes=mix("Mix", ("Product", 1.0)), **tables)


def planned(backs: Rows, field: dict[str, Any], date: dt.date = APRIL, **tables: Rows) -> Plan:
    """Plan it."""
    return plan(inputs(backs, field, date, **tables))


def test_a_burndown_before_this_seasons_crop() -> None:
    """28 days (0.5 lb ae of dicamba before soybean, Bond, Mississippi State, 2015,
    found) from 20 April end on 18 May: 15 days are 13 too few.
    """
    found = planned([back("soybean", 28)], {"crop": "soybean", "planting_date": dt.date(2026, 5, 5)})

    assert (checks(found, THIS)["First"] == (NOT_ALLOWED,
                                             "Product: soybean is planned 13 days before it may be planted"))


def test_an_autumn_residual_before_a_spring_crop() -> None:
    """18 months (imazethapyr before oat, PNW Handbook, found) from 20 October 2025 end on 20 April 2027,
    a year past a planting in 2026.
    """
    found = planned([back("oats", 18, "months")], {"crop": "oat", "planting_date": dt.date(2026, 4, 5)},
                    dt.date(2025, 10, 20))

    assert (checks(found, THIS)["First"] == (NOT_ALLOWED,
                                             "Product: oat is planned 380 days before it may be planted"))


def test_a_crop_planted_before_the_pass_is_not_judged() -> None:
    """In a standing crop the interval before it says nothing; the next crop is still judged."""
    field = {"crop": "winter wheat", "planting_date": dt.date(2025, 9, 20), "next_crop": "corn",
             "next_planting_date": dt.date(2026, 8, 20)}
    found = planned([back("wheat", 60), back("corn", 120)], field)

    assert checks(found, THIS) == {}
    assert checks(found, NEXT)["First"] == (OK, "")


def test_both_crops_are_judged() -> None:
    """One pass may be late enough for the next crop and too late for this one."""
    field = {"crop": "corn", "planting_date": dt.date(2026, 5, 1), "next_crop": "wheat",
             "next_planting_date": dt.date(2026, 10, 1)}
    view = VIEWS["plant_back_checks"](planned([back("corn", 30), back("wheat", 4, "months")], field))

    assert [(row["next_crop"], row["earliest_planting"], row["margin_days"], row["status"])
            for row in view] == [
("corn", "2026-05-20", -19, NOT_ALLOWED), ("wheat", "2026-08-20", 42, OK),
    ]


def test_a_preplant_herbicide_of_the_crop_is_asked_for_its_own_interval() -> None:
    """Where the label names the crop, 18 months before any other crop are no answer: Not entered,
    neither OK nor Not allowed.
    """
    field = {"crop": "soybean", "planting_date": dt.date(2026, 5, 5)}
    named, other = [label("Product", "soybeans", max_rate=3.0)], [label("Product", "any", max_rate=3.0)]

    assert checks(planned([back("any", 18, "months")], field, label_limits=named),
                  THIS)["First"][0] == NOT_ENTERED
    assert checks(planned([back("any", 18, "months")], field, label_limits=other),
                  THIS)["First"][0] == NOT_ALLOWED
    assert checks(planned([back("any", 0)], field, label_limits=named), THIS)["First"][0] == OK


@pytest.mark.parametrize(("backs", "status"), [([back("soybean", 14)], NOT_ALLOWED),
                                               ([back("soybean", 0)], OK), ([back("any", 14)], None)])
def test_on_the_day_of_planting_only_a_row_that_names_the_crop_is_asked(
    backs: Rows, status: str | None) -> None:
    """Whether the sprayer or the planter came first nobody typed: 14 days before soybean are not kept,
    but a residual at planting is no case of any crop.
    """
    found = planned(backs, {"crop": "soybean", "planting_date": APRIL})

    assert checks(found, THIS).get("First", (None,))[0] == status


@pytest.mark.parametrize(("backs", "status"), [([back("soybean", 14)], LOOK), ([back("soybean", 0)], None),
                                               ([back("any", 14)], None)])
def test_a_blank_planting_date_of_this_crop(backs: Rows, status: str | None) -> None:
    """A crop without a planting date counts as planted; an interval that names it is a point to weigh."""
    found = checks(planned(backs, {"crop": "soybean"}), THIS).get("First", (None, ""))

    assert (found == ((LOOK, "Product: no planting date entered for soybean") if status else (None, "")
                      if not found[0] else (OK, "")))


def test_a_planting_without_a_crop_is_asked_for() -> None:
    """A next planting date with no next crop is Not entered; fallow next gets no point at all."""
    dated, fallow = ({"crop": "corn", "next_planting_date": dt.date(2027, 4, 1)},
                     {"crop": "corn", "next_crop": "summer fallow",
                      "next_planting_date": dt.date(2027, 4, 1)})
    asked, silent = (planned([back("any", 4, "months")], field) for field in (dated, fallow))

    assert (checks(asked, NEXT)["First"] == (NOT_ENTERED,
                                             "Product: a planting date is entered, but not the crop"))
    assert checks(silent, NEXT) == {}


def test_a_blank_interval_is_no_nothing() -> None:
    """A plant-back row without its interval is Not entered."""
    found = planned([back("corn", None)],
                    {"crop": "wheat", "next_crop": "corn", "next_planting_date": dt.date(2027, 4, 1)})

    assert checks(found, NEXT)["First"] == (NOT_ENTERED, "Product: no plant-back interval entered for corn")


def test_two_names_of_one_registration_have_one_plant_back() -> None:
    """The longer of two names' intervals counts: 60 days over one month from 20 April."""
    goods = [product("Product", registration_no="00000-3"), product("Other", registration_no="00000-3")]
    found = planned([back("corn", 1, "months"), back("maize", 60, name="Other")],
                    {"crop": "corn", "planting_date": dt.date(2026, 6, 1)}, products=goods)

    [row] = rows(found, "planting_checks", product="Product")
    assert ((row["interval"], row["interval_unit"], row["margin_days"], row["status"])
            == (60, "days", -18, NOT_ALLOWED))


def test_the_later_of_days_and_months() -> None:
    """From 31 January 2026 one month ends on 28 February and 30 days on 2 March (day numbers 46053,
    46081 and 46083).
    """
    assert ([earliest_planting(46053, *each) for each in ((30, 1), ("", 1), (30, ""), ("", ""))]
            == [46083, 46081, 46083, ""])


def test_an_earlier_spray_reaches_past_the_next_crop() -> None:
    """24 months of a spray of 1 June 2025 forbid wheat in October 2026.

    The calendar and the first pass of the field say so.
    """
    field = {"crop": "corn", "planting_date": dt.date(2026, 4, 1), "next_crop": "wheat",
             "next_planting_date": dt.date(2026, 10, 1)}
    sprays = [{"field": "North", "product": "Old", "date": dt.date(2025, 6, 1)}]
    backs = [back("corn", 9, "months", "Old"), back("any", 24, "months", "Old"), back("any", 0)]
    found = planned(backs, field, earlier_sprays=sprays, products=[product("Product"), product("Old")])

    assert (checks(found, EARLIER)
            == {"First": (NOT_ALLOWED, "Old: wheat is planned 243 days before it may be planted")})
    [event] = [row for row in VIEWS["calendar"](found) if row["what"] == "Plant the next crop, earliest"]
    assert (event["date"], event["status"]) == ("2027-06-01", NOT_ALLOWED)


def test_rolling_over_carries_what_still_runs() -> None:
    """18 months reach past the crop of the next season: product, day and interval are carried,
    and judged against the crop after it.
    """
    field = {"crop": "corn", "planting_date": dt.date(2026, 4, 1), "next_crop": "wheat",
             "next_planting_date": dt.date(2026, 10, 1)}
    backs = [back("wheat", 4, "months"), back("any", 18, "months")]
    rolled = roll_over(inputs(backs, field, dt.date(2026, 5, 20), products=[product("Product")]))

    assert (rolled.rows("earlier_sprays")
            == [{"field": "North", "product": "Product", "date": dt.date(2026, 5, 20), "interval": 18,
                 "interval_unit": "months"}])
    following = {**rolled.rows("fields")[0], "next_crop": "sunflower",
                 "next_planting_date": dt.date(2027, 10, 1)}
    found = plan(Inputs({**rolled.tables, "fields": [following]}))
    assert [(row["next_crop"], row["margin_days"], row["status"]) for row in rows(found, "earlier_checks")
            if row["status"]] == [("wheat", 11, OK), ("sunflower", -50, NOT_ALLOWED)]


def test_rolling_over_drops_what_has_ended() -> None:
    """An interval that ends before the new crop is planted is not carried.

    One nobody entered is, and an old one that ends too is dropped.
    """
    field = {"crop": "corn", "planting_date": dt.date(2026, 4, 1), "next_crop": "wheat",
             "next_planting_date": dt.date(2026, 10, 1)}
    old = [{"field": "North", "product": "Old", "date": dt.date(2024, 6, 1), "interval": 12,
            "interval_unit": "months"}]
    ended, unknown = (roll_over(inputs(backs, field, earlier_sprays=old)).rows("earlier_sprays")
                      for backs in ([back("any", 30)], []))

    assert ended == []
    assert unknown == [{"field": "North", "product": "Product", "date": APRIL}]


def test_a_product_no_longer_in_the_list_keeps_its_interval() -> None:
    """A carried spray of a product that was deleted is judged by the interval carried with it."""
    field = {"crop": "corn", "planting_date": dt.date(2026, 4, 1)}
    sprays = [{"field": "North", "product": "Gone", "date": dt.date(2025, 10, 1), "interval": 10,
               "interval_unit": "months"},
              {"field": "North", "product": "Unknown", "date": dt.date(2025, 10, 1)}]
    found = planned([], field, earlier_sprays=sprays)

    assert ([(row["product"], row["status"]) for row in rows(found, "earlier_checks") if row["status"]]
            == [("Gone", NOT_ALLOWED), ("Unknown", NOT_ENTERED)])
