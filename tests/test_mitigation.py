"""Runoff points: asked, earned, still needed, and what is not entered."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from small_farm import first, small_farm, small_plan

from workbook_builder.core.draft import Cells
from workbook_builder.planning import make_plan

SECTION = {"product": "Product", "label_section": "yes", "label_points": 6, "bulletin_points": 3}


def check_of(label: dict[str, Any], field: dict[str, Any] | None = None, *measures: dict[str, Any]) -> Cells:
    """Return the runoff check of the smallest farm's pass."""
    inputs = small_farm(mitigation_labels={**SECTION, **label})
    tables = {**inputs.tables, "mitigation": [{"field": "North", **measure} for measure in measures]}
    if field is not None:
        tables["mitigation_fields"] = [{"field": "North", **field}]
    return first(make_plan(replace(inputs, tables=tables)), "mitigation_checks")


TILLAGE = {"measure": "No-till", "category": "in the field", "points": 3}
STRIP = {"measure": "Grass strip", "category": "below the field", "points": 1}


def test_farm_that_types_nothing_has_no_status() -> None:
    """Without runoff labels no pass asks for points, so nothing is open."""
    row = first(small_plan(), "mitigation_checks")

    assert (row["status"], row["finding"], row["needed"]) == ("", "", "")


def test_product_without_the_section_asks_for_nothing() -> None:
    """A label said to have no section is not asked about further; a bulletin typed all the same counts."""
    assert check_of({"label_section": "no", "label_points": None, "bulletin_points": None})["status"] == ""
    assert check_of({"label_section": "no", "label_points": None, "bulletin_points": 3},
                    {"runoff_class": "low"})["status"] == "OK"


@pytest.mark.parametrize("blank", ["label_section", "label_points", "bulletin_points"])
def test_missing_figure_is_never_ok(blank: str) -> None:
    """Enough points do not make up for a figure nobody has read."""
    row = check_of({blank: None}, {"runoff_class": "very low"}, TILLAGE)

    assert ((row["status"], row["finding"]) == ("Not entered",
                                                "Points of label or bulletin not entered: Product"))


@pytest.mark.parametrize(
    ("field", "measures", "status", "still"),
    [
        ({"runoff_class": "very low"}, (), "OK", 0),
        ({"runoff_class": "medium"}, (TILLAGE, STRIP), "OK", 0),
        ({"runoff_class": "medium"}, (TILLAGE, {**STRIP, "category": "In the field"}), "OK", 0),
        ({"runoff_class": "high"}, (TILLAGE, STRIP), "Not allowed", 1),
        ({"runoff_class": "high", "records": "yes"}, (TILLAGE, STRIP), "OK", 0),
        ({"runoff_class": "high"}, (TILLAGE, {**STRIP, "points": None}), "Not entered", 3),
        ({}, (TILLAGE,), "Not entered", 3),
        (None, (TILLAGE, {**STRIP, "points": 3}), "OK", 0),
        ({"runoff_class": "high", "exemption": "perimeter berm"}, (), "OK", 0),
        ({"runoff_class": "high", "managed_distance": 999.0}, (), "Not allowed", 6),
    ],
)
def test_tally_of_a_field(field: dict[str, Any] | None, measures: tuple[dict[str, Any], ...], status: str,
                          still: int) -> None:
    """Six points asked against relief, measures, extras and exemptions."""
    row = check_of({}, field, *measures)

    assert (row["status"], row["still"]) == (status, still)


def test_row_of_the_field_goes_before_the_row_of_all() -> None:
    """A bulletin for one field replaces the general row there."""
    inputs = small_farm(mitigation_fields={"field": "North", "runoff_class": "high"})
    labels = [SECTION, {**SECTION, "field": "North", "label_points": 0, "bulletin_points": 0}]
    row = first(make_plan(replace(inputs, tables={**inputs.tables, "mitigation_labels": labels})),
                "mitigation_checks")

    assert (row["needed"], row["status"]) == (0, "OK")


def test_field_shows_the_worst_of_its_passes() -> None:
    """The tally of a field names the most asked and what is still needed."""
    plan = small_plan(mitigation_labels=SECTION, mitigation_fields={"field": "North", "runoff_class": "high"})
    row = first(plan, "field_points")

    assert ((row["asking"], row["needed"], row["have"], row["still"], row["status"])
            == (1, 6, 0, 6, "Not allowed"))
