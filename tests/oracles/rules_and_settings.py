"""Rules, sites of action and the thresholds the workbook ships with."""

from __future__ import annotations

import datetime as dt
import html
import re
from collections.abc import Mapping
from typing import Any

from small_farm import first, small_plan

from oracles.registry import computes
from workbook_builder.features.reference import data as reference_data
from workbook_builder.planning import Plan
from workbook_builder.printing import Choice
from workbook_builder.printing.posting import posting_notices

Given = Mapping[str, Any]


def _group_of(site: str) -> int:
    """Return the number of the one shipped group whose site of action holds these words."""
    (row,) = [row for row in reference_data.group_names()
              if site.casefold() in str(row["site_of_action"]).casefold()]
    return int(row["mode_group"])


@computes(r"labels-G03-.*", "reference_data.group_names")
def number_of_a_site(given: Given, expected: Given) -> Given:
    """Return the number of a site of action."""
    return {"mode_group": _group_of(given["site"])}


@computes("labels-G10-meaning", "reference_data.group_names")
def site_of_a_number(given: Given, expected: Given) -> Given:
    """Return the short name of a group's site of action."""
    (row,) = [row for row in reference_data.group_names() if row["mode_group"] == given["mode_group"]]
    found = re.search(r"\(([A-Z]+)\)", str(row["site_of_action"]))
    return {"site": found[1] if found else ""}


@computes(r"labels-G02-(fatty|homogentisate)", "reference_data.active_list, group_names")
def ingredients_of_a_site(given: Given, expected: Given) -> Given:
    """Return the ingredients shipped with a site's group, one by itself as plain text."""
    group = _group_of(given["site"])
    names = tuple(sorted(str(row["active_ingredient"]) for row in reference_data.active_list()
                         if row["mode_group"] == group))
    return {"active_ingredients": names if len(names) > 1 else "".join(names)}


@computes(r"labels-G17-.*", "reference_data.letter_groups")
def number_of_a_letter(given: Given, expected: Given) -> Given:
    """Return the number that most ingredients of an older letter carry today.

    The exceptions are published beside it.
    """
    return {"mode_group": reference_data.letter_groups()[given["legacy_letter"]]}


def _signs_plan() -> Plan:
    """Return a logged pass with an interval that needs signs."""
    log = {
        "pass": "First", "field": "North", "date": dt.date(2026, 5, 1), "start_time": dt.time(8),
        "end_time": dt.time(11), "volume_sprayed": 1200.0,
    }
    return small_plan(products={"rei_hours": 72.0, "registration_no": "0-0"},
                      passes={"start_time": dt.time(8)}, spray_log=log)


def _notice() -> str:
    """Return the words of the posting notice of that pass."""
    text = re.sub(r"<style.*?</style>", " ", posting_notices(_signs_plan(), Choice()), flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


@computes("labels-W08", "plan: records; printing.posting.posting_notices")
def signs_up_and_down(given: Given, expected: Given) -> Given:
    """Return how early the notice says signs may go up, and the days after the interval by which the records
    want them down.
    """
    found = re.search(r"no sooner than (\d+) hours before", _notice())
    plan = _signs_plan()
    return {
        "up_at_most_h_before": int(found[1]) if found else None,
        "down_within_days_after": round(first(plan, "records")["signs_down_by"]
                                        - first(plan, "intervals")["reentry_at"], 6),
    }


@computes("labels-W11", "printing.posting.posting_notices")
def what_a_notice_shows(given: Given, expected: Given) -> Given:
    """Return which elements of a central posting stand on the printed notice."""
    words = _notice()
    shown = {
        "product_name": "Product", "registration_no": "0-0", "active_ingredient": "glyphosate", "rei": "72 h",
        "safety_data_sheet": "safety data sheet",
    }
    found = {key: "yes" if text in words else "no" for key, text in shown.items()}
    located = "grain sorghum" in words and "North" in words and "location and description" in words
    timed = "2026-05-01 08:00" in words and "2026-05-01 11:00" in words
    return {**found, "crop_and_location": "yes" if located else "no", "start_and_end": "yes"
            if timed else words}


@computes("mixing-C24-mean|mixing-C24-new", "settings: catch_limit, wear_limit")
def limits_of_a_catch(given: Given, expected: Given) -> Given:
    """Return the shipped limits of a catch test."""
    settings = first(small_plan(), "agronomy_settings")
    return {"difference_from_mean_percent": 100 * settings["catch_limit"],
            "above_new_output_percent": 100 * settings["wear_limit"]}


@computes("mixing-C5-tolerance", "settings: catch_limit")
def rate_tolerance(given: Given, expected: Given) -> Given:
    """Return how far a spray volume may be from the one wanted."""
    return {"tolerance_percent": 100 * first(small_plan(), "agronomy_settings")["catch_limit"]}


@computes("targeted-Y1-claim", "settings: effective_rating, respray_below")
def rating_of_control(given: Given, expected: Given) -> Given:
    """Return the rating from which the workbook counts control."""
    plan = small_plan()
    effective, respray = (first(plan, "agronomy_settings")["effective_rating"],
                          first(plan, "spot_assumptions")["respray_below"])
    return {"least_rating": effective if effective == respray else None}


@computes("targeted-Y4-translocated", "plan: follow_up")
def days_to_look(given: Given, expected: Given) -> Given:
    """Return the days from a pass to its first and second look."""
    plan = small_plan()
    day, row = first(plan, "pass_times")["last_day"], first(plan, "follow_up")
    return {"first_days": row["first_look"] - day, "second_days": row["second_look"] - day}
