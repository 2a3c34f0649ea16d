"""Rows of the catch test: what each nozzle gave, against its neighbours, a new one and the carrier wanted."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.rounding import rounded
from workbook_builder.features.nozzles.definitions import catch_course, catch_rate, deviation


def catch_checks(draft: Draft) -> list[Cells]:
    """Each catch against the mean of its test, a new nozzle and the carrier wanted."""
    sprayers, keys = first_rows(draft["sprayers"], "sprayer"), first_rows(draft["nozzle_facts"], "key")
    rows = []
    for row_no, typed in enumerate(draft["catch_test"], 1):
        out = Cells(row_no=row_no, sprayer=typed["sprayer"], position=typed["position"])
        out["sprayer_row"] = find(sprayers, typed["sprayer"])
        if out["sprayer_row"] != "":
            out["tip_row"] = find(keys, out["sprayer_row"] * 100 + 1)
            if typed["catch"] != "":
                out["key"] = out["sprayer_row"] * 100000 + number(typed["test_date"])
        out["spacing"] = at(draft["nozzles"], out["tip_row"], "spacing")
        _course(draft, out, typed)
        rows.append(out)
    _means(rows, draft["catch_test"])
    for out, typed in zip(rows, draft["catch_test"], strict=True):
        _compare(out, typed)
        _judge(out, draft.form("agronomy_settings"))
    return rows


def _course(draft: Draft, out: Cells, typed: Cells) -> None:
    factors = draft.form("agronomy_factors")
    if out["spacing"] == "":
        return
    out["course"] = factors["catch_course"] or catch_course(out["spacing"], factors["catch_factor"])
    if typed["catch"] != "":
        out["rate"] = catch_rate(typed["catch"], out["spacing"], out["course"], factors["catch_factor"])
    if typed["seconds"] != "":
        out["speed"] = out["course"] / typed["seconds"] * factors["speed_per_course"]


def _means(rows: list[Cells], typed: list[Cells]) -> None:
    tests: dict[Any, list[float]] = defaultdict(list)
    firsts = first_rows(rows, "key")
    for out, row in zip(rows, typed, strict=True):
        if out["key"] != "":
            tests[out["key"]].append(row["catch"])
    for out in rows:
        if out["key"] != "":
            out["first"] = firsts[out["key"]]
            out["mean"] = added(tests[out["key"]]) / len(tests[out["key"]])
            if out["first"] == out["row_no"]:
                out["mean_at_first"] = out["mean"]


def _compare(out: Cells, typed: Cells) -> None:
    if out["mean"] != "":
        out["from_mean"] = deviation(typed["catch"], out["mean"])
    if "" not in (typed["catch"], typed["new_catch"]):
        out["above_new"] = deviation(typed["catch"], typed["new_catch"])
    if "" not in (out["rate"], typed["carrier_wanted"]):
        out["from_wanted"] = deviation(out["rate"], typed["carrier_wanted"])


def _judge(out: Cells, settings: Cells) -> None:
    if out["sprayer"] == "":
        return
    if out["mean"] == "" or out["rate"] == "":
        out["status"], out["finding"] = NOT_ENTERED, "Catch, or spacing of the sprayer's nozzles, not entered"
        return
    limit, wear = number(settings["catch_limit"]), number(settings["wear_limit"])
    out["status"] = LOOK
    if rounded(number(out["above_new"]) - wear, 6) > 0:
        out["finding"] = "Worn: replace it"
    elif rounded(abs(out["from_mean"]) - limit, 6) > 0:
        more = out["from_mean"] > 0
        out["finding"] = "Gives more than its neighbours: replace it" if more else "Gives less than its neighbours: clean it"
    elif rounded(abs(number(out["from_wanted"])) - limit, 6) > 0:
        out["finding"] = "Spray volume is off: check pressure and speed"
    else:
        out["status"] = OK
