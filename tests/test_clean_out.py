"""What follows each mix in a tank, and what it has to be rinsed of first."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest
from agreement import differences
from engine_help import engines_at_length
from small_farm import small_farm

from workbook_builder.core.inputs import Inputs
from workbook_builder.features.clean_out.definitions import residue_share, rinses_needed
from workbook_builder.planning import Plan, make_plan
from workbook_builder.printing.cards import tank_before

WORDING = "Rinse three times"


def two_mixes(labels: list[dict[str, Any]], crop: str = "field pea", shared: bool = False,
              **passes: Any) -> Plan:
    """Plan a farm that sprays one mix on North and another one on South with the same boom."""
    base = small_farm(sprayers={"unusable_volume": 10.0, "spot_tank": 100.0})
    tables = {key: [dict(row) for row in rows] for key, rows in base.tables.items()}
    tables["fields"].append({"field": "South", "area": 40.0, "crop": crop})
    tables["products"].append({**tables["products"][0], "product": "Other"})
    tables["mixes"].append({**tables["mixes"][0], "mix": "Second", "product": "Other"})
    if shared:
        tables["mixes"].append({**tables["mixes"][0], "mix": "Second"})
    tables["passes"].append({**tables["passes"][0], "pass": "Later", "field": "South", "mix": "Second",
                             "date": dt.date(2026, 5, 4), **passes})
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
        ([label(sensitive="yes", wording=WORDING)], "Review",
         "Before Later on South (field pea): clean out Product, 5 rinses"),
        ([label(sensitive="yes")], "Not entered",
         "Before Later on South (field pea): Product clean-out wording not entered"),
        ([label(wording=WORDING)], "Not entered",
         "Before Later on South (field pea): Product sensitive or not is not entered"),
        ([label("Other", sensitive="no")], "Not entered",
         "Before Later on South (field pea): Product not on Clean-out labels"),
        ([label(sensitive="no")], "OK", ""),
        ([label(sensitive="no"), label(next_crop="field pea", sensitive="yes", wording=WORDING)], "Review",
         "Before Later on South (field pea): clean out Product, 5 rinses"),
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
        **plan.inputs.tables, "passes": [*plan.inputs.rows("passes"),
                                         {**plan.inputs.rows("passes")[0], "pass": "Last",
                                          "date": dt.date(2026, 5, 9)}],
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
    fields = [plan.inputs.rows("fields")[0],
              {**plan.inputs.rows("fields")[1], "harvest_date": dt.date(2026, 8, 1)}]
    row = make_plan(replace(plan.inputs,
                            tables={**plan.inputs.tables, "fields": fields})).tables["clean_sequence"][0]

    assert (row["next_crop"], row["status"]) == ("fallow", "OK")


def test_product_of_both_mixes_is_meant_for_the_next_crop() -> None:
    """A product that the next mix holds too needs no rinsing out."""
    row = two_mixes([label(sensitive="yes", wording=WORDING)], shared=True).tables["clean_sequence"][0]

    assert (row["change"], row["status"]) == ("new mix", "")


def test_spot_tank_and_main_tank_are_apart() -> None:
    """A mix in the spot tank does not follow the one in the main tank."""
    sequence = two_mixes([label(sensitive="yes", wording=WORDING)], method="spot",
                         sprayed_share=0.3).tables["clean_sequence"]

    assert ([(row["tank"], row["change"]) for row in sequence[:2]]
            == [("main", "last in this tank"), ("spot", "last in this tank")])


def test_sequence_shows_the_wanted_dilution_and_the_wording() -> None:
    """The sequence carries what the person at the tank needs."""
    row = two_mixes([label(sensitive="yes", wording=WORDING,
                           wanted_dilution=10**6)]).tables["clean_sequence"][0]

    assert (row["next_crop"], row["wanted"], row["rinses"], row["water"]) == ("field pea", 10**6, 6, 600)
    assert row["wording"] == f"Product: {WORDING}"


def test_leftover_that_nobody_knows_is_not_entered() -> None:
    """Without the liquid left there is no number of rinses, and that counts as open."""
    plan = two_mixes([label(sensitive="yes", wording=WORDING)])
    sprayers = [{**plan.inputs.rows("sprayers")[0], "unusable_volume": None}]
    again = make_plan(replace(plan.inputs, tables={**plan.inputs.tables, "sprayers": sprayers}))

    assert (again.tables["clean_sequence"][0]["status"] == again.tables["tank_rinses"][0]["status"]
            == "Not entered")


def sequence(steps: list[tuple[str, str]], labels: list[dict[str, Any]], **last: Any) -> Inputs:
    """Return a farm whose one tank gets these mixes on these crops, a day apart.

    A mix holds the product of its name.
    """
    base = small_farm(sprayers={"unusable_volume": 10.0, "spot_tank": 100.0})
    [product], [mix], [typed], [field] = (base.rows(key) for key in ("products", "mixes", "passes", "fields"))
    names = sorted({name for name, _ in steps})
    passes = [{**typed, "pass": f"Pass {n}", "field": f"Field {n}", "mix": name,
               "date": DAY + dt.timedelta(n)} for n, (name, _) in enumerate(steps, 1)]
    passes[-1].update(last)
    return replace(base, tables={
        **base.tables, "products": [{**product, "product": name} for name in names],
        "mixes": [{**mix, "mix": name, "product": name} for name in names],
        "fields": [{**field, "field": f"Field {n}", "crop": crop} for n, (_, crop) in enumerate(steps, 1)],
        "passes": passes, "clean_out_labels": labels,
    })


DAY = dt.date(2026, 5, 1)
HURTS = label("Dicamba", sensitive="yes", next_crop="soybean", wording=WORDING)
#: What the labels say of all three: dicamba hurts soybean, the others hurt nothing.
LABELS = [HURTS, label("Dicamba", sensitive="no"), label("Harmless", sensitive="no"),
          label("Soy mix", sensitive="no")]
THROUGH = [("Dicamba", "corn"), ("Harmless", "corn"), ("Soy mix", "soybean")]


def findings(inputs: Inputs) -> list[tuple[str, str]]:
    """Return status and finding of the clean-out after each pass."""
    return [(row["status"], row["finding"]) for row in make_plan(inputs).tables["clean_sequence"]
            if row["pass"] != ""]


def test_a_harmless_mix_does_not_hide_what_went_before() -> None:
    """Dicamba on corn, a harmless mix, then soybean: the tank still has to be cleaned of dicamba before the
    soybean.
    """
    first, second, third = findings(sequence(THROUGH, LABELS))

    assert (first, third) == (("OK", ""), ("", ""))
    assert (second == ("Review",
                       "Before Pass 3 on Field 3 (soybean): clean out Dicamba (left from before), 5 rinses"))


def test_the_sheet_of_the_sensitive_pass_asks_for_a_clean_tank() -> None:
    """On screen and on paper: whoever mixes for the soybean reads what the tank must be cleaned of first."""
    inputs = sequence(THROUGH, LABELS)
    plan = make_plan(replace(inputs,
                             tables={**inputs.tables,
                                     "load_choice": [{"pass": "Pass 3", "field": "Field 3", "load": 1}]}))
    asked = "clean out Dicamba (left from before), 5 rinses"

    assert plan.tables["load_sheet"][0]["tank_first"] == asked
    assert [tank_before(plan, row) for row in range(3)] == ["", "", asked]


def test_however_many_mixes_lie_between() -> None:
    """Three harmless mixes, one of them twice running, hide nothing either.

    The same harmless mix on soybean is no way out.
    """
    steps = [("Dicamba", "corn"), *[("Harmless", "corn")] * 2, ("Soy mix", "corn"), ("Harmless", "corn"),
             ("Harmless", "soybean")]

    assert ([status for status, _ in findings(sequence(steps, LABELS))]
            == ["OK", "OK", "OK", "OK", "Review", ""])


def test_a_clean_out_asked_for_is_asked_for_once() -> None:
    """After the clean-out before the first soybean the tank holds no dicamba,
    until dicamba goes through it again.
    """
    steps = [*THROUGH, ("Harmless", "corn"), ("Soy mix", "soybean"), ("Dicamba", "corn"),
             ("Harmless", "corn"), ("Soy mix", "soybean")]

    assert ([status for status, _ in findings(sequence(steps, LABELS))]
            == ["OK", "Review", "OK", "OK", "OK", "OK", "Review", ""])


def test_a_full_clean_out_that_was_typed_ends_the_looking_back() -> None:
    """Cleaned out in full before the harmless mix, the tank holds nothing to mind."""
    inputs = sequence(THROUGH, LABELS)
    passes = [{**row, "clean_before": "yes"} if row["pass"] == "Pass 2" else row
              for row in inputs.rows("passes")]

    assert [status for status, _
            in findings(replace(inputs, tables={**inputs.tables, "passes": passes}))] == ["OK", "OK", ""]


def test_each_tank_is_looked_back_on_by_itself() -> None:
    """Soybean sprayed from the other tank, or before the dicamba by the log, has nothing to mind."""
    other = sequence(THROUGH, LABELS, method="spot", sprayed_share=0.5)
    logged = [{"pass": "Pass 3", "field": "Field 3", "date": DAY, "start_time": dt.time(8)}]
    earlier = sequence(THROUGH, LABELS)

    assert "Review" not in dict(findings(other))
    assert "Review" not in dict(findings(replace(earlier, tables={**earlier.tables, "spray_log": logged})))


def test_a_crop_the_label_does_not_name_is_not_entered_however_late() -> None:
    """Without a row for soybean, or for any crop, the harmless mix between does not make it OK."""
    found = findings(sequence(THROUGH, [label("Dicamba", sensitive="no", next_crop="corn"), *LABELS[2:]]))

    assert found[0] == ("OK", "")
    assert found[1] == ("Not entered", "Before Pass 3 on Field 3 (soybean): Dicamba not on Clean-out labels")


def test_more_products_than_there_is_room_for() -> None:
    """A tank that holds more than the workbook lists says so, and is never OK."""
    names = [f"Herbicide {n:02d}" for n in range(20)]
    labels = [row for name in names for row in (label(name, sensitive="no", next_crop="corn"),
                                                label(name, sensitive="yes", next_crop="beet",
                                                      wording=WORDING))]
    found = findings(sequence([(name, "corn") for name in names], labels))

    assert found[2] == ("OK", "")
    assert found[18][0] == "Review"
    assert found[18][1].endswith("more products left in the tank than the workbook lists, clean it out "
                                 "in full")


@engines_at_length
def test_engines_agree(engine_name: str) -> None:
    """Each engine looks back as far, on a farm that types a clean-out, logs another order and lacks a label.
    """
    steps = [*THROUGH, ("Dicamba", "corn"), ("Harmless", "corn"), ("Soy mix", "soybean"),
             ("Unlabelled", "corn"), ("Harmless", "corn"), ("Soy mix", "soybean"), ("Soy mix", "fallow")]
    inputs = sequence(steps, LABELS)
    passes = [{**row, "clean_before": "yes"} if row["pass"] == "Pass 5" else row
              for row in inputs.rows("passes")]
    logged = [{"pass": "Pass 9", "field": "Field 9", "date": DAY, "start_time": dt.time(8)}]

    assert differences(replace(inputs, tables={**inputs.tables, "passes": passes, "spray_log": logged}),
                       engine_name) == []
