"""Spray records, postings and the dates they must keep."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from small_farm import first, small_plan

from oracles.registry import computes
from workbook_builder.core.draft import EPOCH, Cells
from workbook_builder.features.records.definitions import display_until

Given = Mapping[str, Any]


def _record(given: Given, **log: Any) -> Cells:
    """Return the record of the smallest farm's pass, sprayed and fully logged but for what is changed."""
    day = dt.date.fromisoformat(given.get("sprayed_on", "2025-05-01"))
    logged: dict[str, Any] = {
        "pass": "First", "field": "North", "date": day, "start_time": dt.time(8), "end_time": dt.time(10),
        "applicator": "Invented person",
        "certificate": "0", "volume_sprayed": 1200.0, **log,
    }
    product = {"registration_no": "0-0", "restricted_use": "yes", "rei_hours": 12.0}
    if "lacking" in given:
        for cells in (logged, product):
            cells.pop(given["lacking"], None)
    return first(small_plan(farm={"season": day.year}, products=product, spray_log=logged,
                            passes={"date": day}), "records")


def _iso(day: float) -> str:
    return (EPOCH + dt.timedelta(days=int(day))).isoformat()


@computes(r"labels-S01-.*", "plan: records")
def elements(given: Given, expected: Given) -> Given:
    """Return which element of a record is missing."""
    return {"missing": _record(given)["missing"] or "nothing"}


@computes(r"labels-S0(3|4|4-leap|9)", "plan: records")
def dates(given: Given, expected: Given) -> Given:
    """Return when a record is due, until when it is kept, and when the customer's copy is due."""
    row = _record(given, customer="Invented customer")
    return {key: _iso(row[key]) for key in ("due_date", "keep_until", "copy_due")}


@computes("labels-S05", "plan: record_lines")
def amount(given: Given, expected: Given) -> Given:
    """Return the amount of product before dilution in the volume sprayed."""
    plan = small_plan(
        mixes={"rate": given["rate_fl_oz_per_ac"]}, passes={"carrier": given["carrier_gpa"]},
        spray_log={"pass": "First", "field": "North", "date": dt.date(2026, 5, 1),
                   "volume_sprayed": given["volume_sprayed_gal"]},
    )
    row = first(plan, "record_lines")
    return {"amount_gal": row["amount_used"] / {"fl oz": 128, "gal": 1}[row["amount_unit"]]}


@computes("labels-S06", "plan: records")
def area(given: Given, expected: Given) -> Given:
    """Return the area recorded where none is typed."""
    return {"area_treated_ac": _record(given)["area_treated"]}


@computes(r"labels-S0[78]", "plan: records")
def spot(given: Given, expected: Given) -> Given:
    """Return which record a small restricted-use area needs."""
    return {"record": _record(given, area_treated=given["restricted_area_of_day_ac"])["record_kind"]}


@computes("labels-W13|depth-DP169", "records.definitions.display_until")
def display(given: Given, expected: Given) -> Given:
    """Return the last day of the central posting."""
    ends = (dt.date.fromisoformat(given["rei_ends"]) - EPOCH).days + 0.5
    return {"display_through": _iso(display_until(ends))}


@computes("labels-W12", "plan: records")
def display_by(given: Given, expected: Given) -> Given:
    """Return the hours after the end in which the application must be posted."""
    row = _record({})
    return {"within_h_of_end": (row["display_by"] - row["end"]) * 24}


@computes("labels-W14", "plan: records")
def posting_kept(given: Given, expected: Given) -> Given:
    """Return the years a posting record is kept after the re-entry interval."""
    row = _record({})
    return {"years": int(_iso(row["display_keep_until"])[:4]) - int(_iso(row["end"])[:4])}
