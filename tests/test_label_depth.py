"""Least rates and carrier, crop stage, height and dates: what labels say besides their maxima."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from agreement import differences
from small_farm import first, small_farm, small_plan
from test_other_actives import sprays

from workbook_builder.core.inputs import Inputs
from workbook_builder.features import VIEWS
from workbook_builder.planning import Plan, make_plan

PNW = "PNW Weed Management Handbook, Sugar beet - Preplant (found): at least 15 gal/A"
DELAWARE = "VanGessel, Univ. of Delaware Weekly Crop Update (found): what is reached first governs"
MARYLAND = "Schug & Vollmer, Univ. of Maryland Extension, Mind the Height, Table 1, 2025 (found)"
MICHIGAN = "Michigan State Univ. Extension, soybeans approaching flowering (found)"
EPA = ("US EPA, Pesticide Program Dialogue Committee, May 2019 (found): 45 d from planting; day 45 of "
       "2019-05-10 is 2019-06-24 (computed)")
WISCONSIN = "Wis. Admin. Code ATCP 30.31 (found): not before 1 April nor after 31 July"
PURDUE = "Johnson, Purdue Extension Weed Science, 2011 (found): 4-6 in or less"
LABEL = {"product": "Product", "crop": "any", "rate_unit": "fl oz/ac"}


def with_stages(stages: dict[str, dt.date], label: dict[str, Any], **passes: Any) -> Plan:
    """Plan one pass under one label row, on a field that reaches stages on these days."""
    farm = small_farm(label_limits={**LABEL, **label}, passes=passes,
                      fields={"planting_date": dt.date(2026, 5, 10)})
    rows = [{"field": "North", "stage": stage, "date": day} for stage, day in stages.items()]
    return make_plan(Inputs({**farm.tables, "crop_stages": rows}, farm.extras, farm.origin))


@pytest.mark.parametrize(("label", "passes", "status", "source"), [
    ({}, {}, "", "nothing given, nothing asked"),
    ({"min_rate": 32}, {}, "OK", "definition"),
    ({"min_rate": 32.5}, {}, "Review",
     "UF/IFAS EDIS PI015 (found): less than the label rate is legal in most cases"),
    ({"min_carrier": 15}, {}, "OK", PNW), ({"min_carrier": 15}, {"carrier": 14.9}, "Not allowed", PNW),
    ({"max_carrier": 10}, {}, "Not allowed", "definition"),
    ({"max_weed_height": 6}, {"weed_height": 6}, "OK", PURDUE),
    ({"max_weed_height": 6}, {"weed_height": 7}, "Review", PURDUE),
    ({"max_weed_height": 6}, {}, "Not entered", "a size nobody measured is not OK"),
    ({"min_rate": 5, "rate_unit": "lb/ac", "min_carrier": 5}, {}, "Not entered",
     "a least rate in pounds of a liquid without its density is not OK"),
    ({"min_rate": 5, "rate_unit": "lb ai/ac"}, {}, "Not entered",
     "nor is one that counts the active ingredient"),
])
def test_least_figures(label: dict[str, Any], passes: dict[str, Any], status: str, source: str) -> None:
    """Rates, carrier and weeds against a label row, at the figure itself and past it."""
    assert first(small_plan(label_limits={**LABEL, **label}, passes=passes),
                 "least_checks")["status"] == status, source


@pytest.mark.parametrize(("stages", "label", "passes", "status", "source"), [
    ({"R1": dt.date(2026, 7, 1)}, {"before_stage": "R1"}, {"date": dt.date(2026, 6, 30)}, "OK", MICHIGAN),
    ({"R1": dt.date(2026, 7, 1)}, {"before_stage": "R1"}, {"date": dt.date(2026, 7, 1)},
     "Not allowed", MICHIGAN),
    ({}, {"before_stage": "R1"}, {}, "Not entered", "a stage without a date is not OK"),
    ({"V2": dt.date(2026, 6, 1)}, {"from_stage": "V2"}, {"date": dt.date(2026, 5, 31)}, "Not allowed",
     "definition"),
    ({"V9": dt.date(2026, 6, 20)}, {"before_stage": "V9", "max_crop_height": 30},
     {"date": dt.date(2026, 6, 21), "crop_height": 28}, "Not allowed", DELAWARE),
    ({"V9": dt.date(2026, 6, 20)}, {"before_stage": "V9", "max_crop_height": 30},
     {"date": dt.date(2026, 6, 19), "crop_height": 28}, "OK", DELAWARE),
    ({}, {"max_crop_height": 8}, {"crop_height": 9}, "Not allowed", MARYLAND),
    ({}, {"max_crop_height": 8}, {"crop_height": 8}, "OK", MARYLAND),
    ({}, {"planting_days": 45}, {"date": dt.date(2026, 6, 24)}, "OK", EPA),
    ({}, {"planting_days": 45}, {"date": dt.date(2026, 6, 25)}, "Not allowed", EPA),
    ({}, {"after_date": dt.date(2020, 4, 1), "before_date": dt.date(2020, 7, 31)},
     {"date": dt.date(2026, 3, 31)}, "Not allowed", WISCONSIN),
    ({}, {"after_date": dt.date(2020, 4, 1), "before_date": dt.date(2020, 7, 31)},
     {"date": dt.date(2026, 7, 31)}, "OK", WISCONSIN),
    ({}, {"before_date": dt.date(2020, 7, 31)}, {"date": dt.date(2026, 8, 1)}, "Not allowed", WISCONSIN),
])
def test_stage_height_and_dates(stages: dict[str, dt.date], label: dict[str, Any], passes: dict[str, Any],
                                status: str, source: str) -> None:
    """Every condition of a label has to hold on the day of the pass,
    and one that cannot be checked is not OK.
    """
    plan = with_stages(stages, label, **passes)

    assert first(plan, "stage_checks")["status"] == status, source
    assert [row["status"] for row in VIEWS["stage_checks"](plan)] == [status]


@pytest.mark.parametrize(("allowed", "fields", "day", "status"), [
    (None, {}, "2026-06-20", ""), ("yes", {}, "2026-06-20", ""),
    ("no", {}, "2026-05-09", ""), ("no", {}, "2026-05-10", ""),
    ("no", {}, "2026-05-11", "Not allowed"), ("no", {}, "2026-10-01", "Not allowed"),
    ("no", {}, "2026-10-02", ""),
    ("no", {"planting_date": None}, "2026-06-20", "Not entered"),
    ("no", {"planting_date": None, "crop": "fallow"}, "2026-06-20", ""),
    ("no", {"next_crop": "winter wheat", "next_planting_date": dt.date(2026, 10, 5)}, "2026-10-06",
     "Not allowed"),
])
def test_what_a_label_keeps_off_the_growing_crop(allowed: str | None, fields: dict[str, Any], day: str,
                                                 status: str) -> None:
    """A label that says no over the growing crop forbids every pass from the day after planting
    to the harvest, and where no planting date is entered nobody can tell (hand calculation).
    """
    dates = {"planting_date": dt.date(2026, 5, 10), "harvest_date": dt.date(2026, 10, 1)}
    plan = small_plan(fields={**dates, **fields}, passes={"date": dt.date.fromisoformat(day)},
                      label_limits={**LABEL, "over_crop": allowed})
    row = first(plan, "stage_checks")

    assert row["status"] == status
    assert first(plan, "pass_open")["not_allowed"] == (status == "Not allowed")
    assert row["finding"] == {
        "": "", "Not entered": "Product: date of a stage, or of planting, not entered for this field",
        "Not allowed": "Product: not OK over the growing crop by Label limits, and the crop is planted",
    }[status]


def test_an_unknown_group_is_never_ok() -> None:
    """Where the group of a product is not known, how often it was sprayed is not either."""
    row = first(small_plan(label_limits={**LABEL, "max_group_passes": 1}, ingredients={"mode_group": None}),
                "least_checks")

    assert ((row["status"], row["finding"])
            == ("Not entered", "Product: applications of its group cannot be counted: group not entered"))


def test_applications_of_a_group_count_over_all_products() -> None:
    """A label that allows two applications of its group counts those of other products with the group too."""
    farm = sprays("fungicide", 11, "11A", 3)
    farm.tables["label_limits"] = [{"product": "Product 11", "crop": "any", "max_group_passes": most}
                                   for most in (1,)]
    rows = make_plan(farm).tables["least_checks"]

    assert [row["status"] for row in rows[:3]] == ["Not allowed", "", ""]
    assert rows[0]["finding"] == "Product 11: 2 applications of its group on the field, the label allows 1"


def test_the_engine_agrees_on_a_farm_that_uses_it_all() -> None:
    """Sheet and plan agree cell by cell where labels speak of everything, by name,
    of any crop and of one nearly named.
    """
    farm = sprays("insecticide", "4A", 28, "4C")
    days = {"over_crop": "no", "before_stage": "V9", "from_stage": "V2",
            "max_crop_height": 30, "min_crop_height": 4,
            "planting_days": 60, "after_date": dt.date(2020, 4, 1), "before_date": dt.date(2020, 6, 10)}
    label = {"rate_unit": "fl oz/ac", "min_rate": 33, "min_carrier": 10, "max_carrier": 20,
             "max_weed_height": 4, "max_group_passes": 1}
    farm.tables["label_limits"] = [{"product": f"Product {group}", "crop": crop, **label, **days}
                                   for group, crop in (("4A", "any"), (28, "grain sorghum"), (28, "sorghum"),
                                                       ("4C", "corn"))]
    farm.tables["label_limits"] += [{**farm.tables["label_limits"][0], "product": "Product 28",
                                     "min_carrier": 25, "rate_unit": "lb ai/ac"}]
    farm.tables["crop_stages"] = [{"field": "North", "stage": "V9", "date": dt.date(2026, 6, 20)},
                                  {"field": "North", "stage": "V2", "date": dt.date(2026, 5, 20)}]
    farm.tables["passes"] = [{**row, "weed_height": 5, "crop_height": 20} for row in farm.tables["passes"]]
    farm.tables["fields"][0]["planting_date"] = dt.date(2026, 5, 1)
    farm.tables["past_use"] = [{"field": "North", "season": 2025, "mode_group": "M5",
                                "scheme": "fungicide", "uses": 1}]

    assert differences(farm, "IronCalc") == []
