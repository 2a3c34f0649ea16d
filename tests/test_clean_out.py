"""What follows each mix in a tank, and what it has to be rinsed of first."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest
from small_farm import small_farm

from workbook_builder.planning.clean_out import residue_share, rinses_needed
from workbook_builder.planning.plan import Plan, make_plan

WORDING = "Rinse three times"


def two_mixes(labels: list[dict[str, Any]], crop: str = "field pea", shared: bool = False, **passes: Any) -> Plan:
    """Plan a farm that sprays one mix on North and another one on South with the same boom."""
    base = small_farm(sprayers={"unusable_volume": 10.0, "spot_tank": 100.0})
    tables = {key: [dict(row) for row in rows] for key, rows in base.tables.items()}
    tables["fields"].append({"field": "South", "area": 40.0, "crop": crop})
    tables["products"].append({**tables["products"][0], "product": "Other"})
    tables["mixes"].append({**tables["mixes"][0], "mix": "Second", "product": "Other"})
    if shared:
        tables["mixes"].append({**tables["mixes"][0], "mix": "Second"})
    tables["passes"].append({**tables["passes"][0], "pass": "Later", "field": "South", "mix": "Second", "date": dt.date(2026, 5, 4), **passes})
    tables["clean_out_labels"] = labels
    return make_plan(replace(base, tables=tables))


def label(product: str = "Product", next_crop: str | None = None, **cells: Any) -> dict[str, Any]:
    """Return one row of the clean-out labels."""
    return {"product": product, "next_crop": next_crop, **cells}


def test_three_small_rinses_beat_one_big_one() -> None:
    """The same water leaves less in three rinses than in one."""
    assert residue_share(10, 30, 3) == pytest.approx(1 / 64)
    assert residue_share(10, 90, 1) == pytest.approx(1 / 10)


def test_rinses_are_just_enough() -> None:
    """The rinses needed reach the dilution, and one fewer does not."""
    for ratio in (0.5, 4, 9, 30):
        rinses = rinses_needed(ratio, 20000)
        assert residue_share(1, ratio, rinses) <= 1 / 20000 < residue_share(1, ratio, rinses - 1)


@pytest.mark.parametrize(
    ("rows", "status", "finding"),
    [
        ([label(sensitive="yes", wording=WORDING)], "Review", "Before Later on South (field pea): clean out Product, 5 rinses"),
        ([label(sensitive="yes")], "Not entered", "Before Later on South (field pea): Product clean-out wording not entered"),
        ([label(wording=WORDING)], "Not entered", "Before Later on South (field pea): Product sensitive or not is not entered"),
        ([label("Other", sensitive="no")], "Not entered", "Before Later on South (field pea): Product not on Clean-out labels"),
        ([label(sensitive="no")], "OK", ""),
        ([label(sensitive="no"), label(next_crop="field pea", sensitive="yes", wording=WORDING)], "Review", "Before Later on South (field pea): clean out Product, 5 rinses"),
        ([label(sensitive="yes", wording=WORDING), label(next_crop="field pea", sensitive="no")], "OK", ""),
    ],
)
def test_status_of_a_change_of_mix(rows: list[dict[str, Any]], status: str, finding: str) -> None:
    """A figure that is missing is never OK, and the row for the crop goes before the one for any."""
    sequence = two_mixes(rows).tables["clean_sequence"]

    assert (sequence[0]["status"], sequence[0]["finding"]) == (status, finding)
    assert (sequence[1]["status"], sequence[1]["change"]) == ("", "last in this tank")


def test_without_any_label_one_point_is_open() -> None:
    """A farm that types no clean-out label gets one point to fix, and words beside every change of mix."""
    plan = two_mixes([], crop="field pea")
    third = replace(plan.inputs, tables={
        **plan.inputs.tables, "passes": [*plan.inputs.rows("passes"), {**plan.inputs.rows("passes")[0], "pass": "Last", "date": dt.date(2026, 5, 9)}],
    })
    sequence = make_plan(third).tables["clean_sequence"]

    assert [row["sensitive"] for row in sequence[:3]] == ["Not entered", "Not entered", ""]
    assert [row["status"] for row in sequence[:3]] == ["Not entered", "", ""]


def test_fallow_holds_no_crop_to_hurt() -> None:
    """Ground without a crop needs no row, even where the label names every crop; rinsing stays advised."""
    row = two_mixes([label(sensitive="yes", wording=WORDING)], crop="fallow").tables["clean_sequence"][0]

    assert (row["status"], row["wanted"]) == ("OK", 100)


def test_ground_sprayed_after_harvest_counts_as_fallow() -> None:
    """The crop that has been cut cannot be hurt."""
    plan = two_mixes([label(sensitive="yes", wording=WORDING)], date=dt.date(2026, 9, 1))
    fields = [plan.inputs.rows("fields")[0], {**plan.inputs.rows("fields")[1], "harvest_date": dt.date(2026, 8, 1)}]
    row = make_plan(replace(plan.inputs, tables={**plan.inputs.tables, "fields": fields})).tables["clean_sequence"][0]

    assert (row["next_crop"], row["status"]) == ("fallow", "OK")


def test_product_of_both_mixes_is_meant_for_the_next_crop() -> None:
    """A product that the next mix holds too needs no rinsing out."""
    row = two_mixes([label(sensitive="yes", wording=WORDING)], shared=True).tables["clean_sequence"][0]

    assert (row["change"], row["status"]) == ("new mix", "")


def test_spot_tank_and_main_tank_are_apart() -> None:
    """A mix in the spot tank does not follow the one in the main tank."""
    sequence = two_mixes([label(sensitive="yes", wording=WORDING)], method="spot", sprayed_share=0.3).tables["clean_sequence"]

    assert [(row["tank"], row["change"]) for row in sequence[:2]] == [("main", "last in this tank"), ("spot", "last in this tank")]


def test_warnings_show_the_wanted_dilution_and_the_wording() -> None:
    """The list by next crop carries what the person at the tank needs."""
    row = two_mixes([label(sensitive="yes", wording=WORDING, wanted_dilution=10**6)]).tables["clean_warnings"][0]

    assert (row["next_crop"], row["wanted"], row["rinses"], row["water"]) == ("field pea", 10**6, 6, 600)
    assert row["wording"] == f"Product: {WORDING}"


def test_leftover_that_nobody_knows_is_not_entered() -> None:
    """Without the liquid left there is no number of rinses, and that counts as open."""
    plan = two_mixes([label(sensitive="yes", wording=WORDING)])
    sprayers = [{**plan.inputs.rows("sprayers")[0], "unusable_volume": None}]
    again = make_plan(replace(plan.inputs, tables={**plan.inputs.tables, "sprayers": sprayers}))

    assert again.tables["clean_sequence"][0]["status"] == again.tables["tank_rinses"][0]["status"] == "Not entered"
