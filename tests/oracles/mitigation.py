"""Runoff points asked, earned and still needed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from small_farm import first, small_farm

from oracles.registry import computes
from workbook_builder.core.draft import Cells
from workbook_builder.features import BY_KEY
from workbook_builder.features.runoff.definitions import points_asked, points_of_measures
from workbook_builder.planning import make_plan

Given = Mapping[str, Any]
SQ_FT_PER_ACRE = 43560


def _field(typed: Given, measures: tuple[Given, ...] = (), table: str = "field_points",
           **passes: Any) -> Cells:
    """Return the first row of a table for the smallest farm, whose product asks for 9 points."""
    inputs = small_farm(
        mitigation_labels={"product": "Product", "label_section": "yes", "label_points": 9,
                           "bulletin_points": 0},
        mitigation_fields={"field": "North", **typed}, passes=passes,
    )
    rows = [{"field": "North", **measure} for measure in measures]
    return first(make_plan(replace(inputs, tables={**inputs.tables, "mitigation": rows})), table)


@computes("labels-E02-higher-.*", "runoff.definitions.points_asked")
def higher(given: Given, expected: Given) -> Given:
    """Return the points that label and bulletin ask for together."""
    return {"points": points_asked(given["label_points"], given["bulletin_points"])}


@computes("labels-E02-most", "limit of mitigation_labels")
def most(given: Given, expected: Given) -> Given:
    """Return the most points that may be typed for a label."""
    return {"points": BY_KEY["mitigation_labels"].by_key["label_points"].maximum}


@computes("labels-E04-.*", "plan: field_points")
def relief(given: Given, expected: Given) -> Given:
    """Return the relief of a county's class."""
    return {"relief": _field(given)["relief"]}


@computes("labels-E06-(expert|program|either|records|sensors)", "plan: field_points")
def extra(given: Given, expected: Given) -> Given:
    """Return the points for advice, records and sensors."""
    row = _field(given)
    return {key: row[key] for key in expected}


@computes("labels-E06-categories", "plan: field_points")
def categories(given: Given, expected: Given) -> Given:
    """Return the point for measures of several categories."""
    measures = tuple({"measure": name, "category": name, "points": 1} for name in given["categories"])
    return {"category_points": _field({}, measures)["category_points"]}


@computes("labels-E07-.*", "plan: mitigation_checks")
def exempt_field(given: Given, expected: Given) -> Given:
    """Return what an exempt field still needs."""
    return {"still_needed": _field(given, table="mitigation_checks")["still"]}


@computes("labels-E08-spot", "plan: mitigation_checks")
def exempt_spot(given: Given, expected: Given) -> Given:
    """Return what a small spot on 80 acres still needs."""
    share = given["spot_sq_ft"] / SQ_FT_PER_ACRE / 80
    return {"still_needed": _field({}, table="mitigation_checks", method="spot",
                                   sprayed_share=share)["still"]}


@computes("labels-E09", "plan: mitigation_checks")
def exempt_place(given: Given, expected: Given) -> Given:
    """Return what a field above managed land still needs."""
    return {"still_needed": _field({"managed_distance": given["managed_distance_ft"]},
                                   table="mitigation_checks")["still"]}


@computes("labels-E10", "runoff.definitions.points_of_measures")
def added(given: Given, expected: Given) -> Given:
    """Return the points of several measures."""
    return {"sum": points_of_measures(given["points"])}
