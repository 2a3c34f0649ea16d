"""Spray records of every pass: what was logged, what is missing, and the dates to keep."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.rounding import number_text, rounded, shown
from workbook_builder.features.as_logged.rows import log_value
from workbook_builder.features.clock.definitions import farm_clock
from workbook_builder.features.records.definitions import display_until, keep_until, record_due, spot_record_will_do

LOGGED = ("applicator", "certificate", "supervised_person", "site", "written_on", "customer", "copy_given_on")


def log_facts(draft: Draft) -> list[Cells]:
    """When each logged application started and ended."""
    passes = first_rows([Cells(key="" if row["pass"] == "" else f"{row['pass']}|{row['field']}") for row in draft["passes"]], "key")
    rows = []
    for row in draft["spray_log"]:
        out = Cells(overnight=0, backward=0)
        out["key"] = "" if row["pass"] == "" else f"{row['pass']}|{row['field']}"
        out["pass_row"] = find(passes, out["key"])
        # Without a logged start, an end before the planned one counts as the next day's: re-entry is not told too early.
        out["begun"] = at(draft["passes"], out["pass_row"], "start_time") if row["start_time"] == "" else row["start_time"]
        if out["begun"] != "" and row["end_time"] != "":
            out["overnight"] = int(row["end_time"] < out["begun"])
        if row["date"] != "":
            out["start"] = row["date"] + number(row["start_time"])
            day = out["typed_day"] = row["date"] + out["overnight"] if row["end_date"] == "" else row["end_date"]
            end = "" if row["end_time"] == "" else day + row["end_time"]
            # An end before its start would let people in too early: it is not used.
            out["backward"] = int(day < row["date"] or (end != "" and end < out["start"]))
            out["end_day"] = max(day, row["date"])
            out["end"] = "" if out["backward"] else end
        rows.append(out)
    return rows


def records(draft: Draft) -> list[Cells]:
    """One record line per pass and field."""
    clock = farm_clock(draft)
    rows = []
    of_day: dict[Any, float] = defaultdict(float)
    for place, volume in enumerate(draft["pass_volumes"]):
        out = _known(draft, place, volume)
        if out["sprayed_on"] != "":
            of_day[out["sprayed_on"]] += out["spot_area"]
        rows.append(out)
    for place, out in enumerate(rows):
        lines = draft.under("record_lines", place, draft.slots("products"))
        out["spot"], out["days_late"], out["copy_late"] = 0, 0, 0
        if out["sprayed_on"] != "":
            out["day_area"] = of_day[out["sprayed_on"]]
            _kind(draft, out, draft["as_logged"][place]["area_typed"])
            out["missing_list"] = "".join(f", {name}" for name in missing(out, lines))
            out["missing"] = out["missing_list"][2:]
            out["display_by"] = clock.shown(draft["pass_times"][place]["end_utc"] + 1)
            _dates(draft, out, draft["intervals"][place])
        _status(draft, out, place)
    return rows


def _known(draft: Draft, place: int, volume: Cells) -> Cells:
    times = draft["pass_times"][place]
    lines = draft.under("record_lines", place, draft.slots("products"))
    out = Cells(field=volume["field"], crop=volume["crop"], sprayed_on=times["log_day"], spot_area=0)
    out["pass"] = volume["pass"]
    for key in LOGGED:
        out[key] = log_value(draft, times, key)
    out["start_typed"] = log_value(draft, times, "start_time")
    if out["sprayed_on"] != "":
        out["start"], out["end"] = times["start"], times["end"]
        out["area_treated"] = draft["as_logged"][place]["area"]
    if out["pass"] != "":
        out["restricted"] = "yes" if any(line["restricted"] for line in lines) else "no"
    if out["restricted"] == "yes" and out["area_treated"] != "":
        out["spot_area"] = out["area_treated"]
    return out


def _kind(draft: Draft, out: Cells, area_typed: Any) -> None:
    if out["restricted"] == "no":
        out["record_kind"] = "own record"
        return
    below = draft.form("assumptions")["spot_record_acres"]
    acres = draft.form("factors")["acres_per_area"]
    out["spot"] = int(area_typed != "" and spot_record_will_do(out["day_area"], acres, number(below)))
    out["record_kind"] = "spot record" if out["spot"] else "full record"


def missing(record: Cells, lines: list[Cells]) -> list[str]:
    """Return the elements of a record that nobody entered.

    References
    ----------
    7 CFR 110.3(a)(1)-(5): product and registration number, total amount, location with size and
    crop, date, name and certification number; 110.3(b): the shorter record of a spot.
    40 CFR 171.303(b)(7), second hand: commercial work adds the customer, the location and the time.
    """
    full, commercial = not record["spot"], record["restricted"] == "yes" and record["customer"] != ""
    wanted = (
        (full and record["area_treated"] == "", "area"),
        (full and record["crop"] == "", "crop"),
        (not full and record["site"] == "", "description of the spot"),
        (full and record["applicator"] == "", "applicator"),
        (full and record["restricted"] == "yes" and record["certificate"] == "", "certificate no."),
        (full and commercial and record["site"] == "", "location"),
        (commercial and record["start_typed"] == "", "time of the application"),
        (any(line["no_number"] for line in lines), "registration no."),
        (any(line["planned_only"] for line in lines), "amounts used"),
    )
    return [name for lacks, name in wanted if lacks]


def _dates(draft: Draft, out: Cells, interval: Cells) -> None:
    rules, reentry = draft.form("assumptions"), interval["reentry_at"]
    years = int(number(rules["record_years"]))
    out["due_date"] = record_due(out["sprayed_on"], number(rules["record_days"]))  # type: ignore[arg-type]
    out["keep_until"] = keep_until(out["sprayed_on"], years)
    if out["customer"] != "":
        out["copy_due"] = out["sprayed_on"] + number(rules["copy_days"])
    if interval["reentry_status"] != NOT_ENTERED:
        ends = out["end"] if reentry == "" else reentry
        out["display_until"] = display_until(ends, number(rules["display_days"]))  # type: ignore[arg-type]
        out["display_keep_until"] = keep_until(int(ends // 1), years)
    if interval["signs"] and reentry != "":
        out["signs_down_by"] = reentry + 3
    if out["written_on"] != "":
        out["days_late"] = max(0, out["written_on"] - out["due_date"])
    if out["copy_due"] != "" and out["copy_given_on"] != "":
        out["copy_late"] = max(0, out["copy_given_on"] - out["copy_due"])


def _status(draft: Draft, out: Cells, place: int) -> None:
    """What the record is short of, what of the field is left to spray, and what in the log cannot all be right."""
    to_do, area = draft["order_volumes"][place]["to_do"], number(draft["pass_volumes"][place]["area"])
    if out["missing"]:
        out["of_record"] = f"Record lacks: {out['missing']}"
    elif number(out["days_late"]) > 0:
        out["of_record"] = f"Record written {number_text(out['days_late'])} days late"
    elif number(out["copy_late"]) > 0:
        out["of_record"] = f"Copy given {number_text(out['copy_late'])} days late"
    if out["sprayed_on"] != "" and rounded(to_do, 6):
        out["left"] = to_do * area
        out["to_spray"] = f"{number_text(shown(out['left'], 1))} {draft.form('factors')['area_name']} left to spray"
    said = [text for text in (out["of_record"], out["to_spray"]) if text]
    out["finding"] = "; ".join(said) + draft["as_logged"][place]["doubts"][0 if said else 2 :]
    if out["finding"]:
        out["status"] = NOT_ENTERED if out["missing"] and out["restricted"] == "yes" else LOOK
    elif out["sprayed_on"] != "":
        out["status"] = OK
