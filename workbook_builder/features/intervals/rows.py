"""Re-entry, harvest, grazing, rain-free and plant-back intervals."""

from __future__ import annotations

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text, rounded, whole_below
from workbook_builder.features.clock.definitions import MINUTES, Clock, farm_clock, minute_of
from workbook_builder.features.intervals.columns import BACKWARD, LATE
from workbook_builder.features.reentry.rows import entered_closed, entry_checks, longest, missing_names, moment_text

INTERVAL_KEYS = ("rei", "rain", "phi", "grazing")


def days_text(days: float) -> str:
    """Return a number of days in words, ``1 day`` or ``12 days``."""
    return f"{number_text(days)} {'day' if days == 1 else 'days'}"


def intervals(draft: Draft) -> list[Cells]:
    """Intervals of every pass."""
    places = {row["row"]: row["row_no"] for row in draft["field_sequence"] if row["row"] != ""}
    clock, entered, rows = farm_clock(draft), entered_closed(draft), []
    for number_, volume in enumerate(draft["pass_volumes"]):
        times = draft["pass_times"][number_]
        lines = draft.under("line_intervals", number_, draft.slots("products"))
        out = Cells(field=volume["field"], end=times["end"], after_harvest=0, place=places.get(number_ + 1, ""))
        out["pass"] = volume["pass"]
        for key, name in zip(INTERVAL_KEYS, ("rei_hours", "rain_hours", "phi_days", "grazing_days"), strict=True):
            out[name] = longest(line[key] for line in lines)
            out[f"{key}_missing"] = missing_names(draft, number_, key)
        out["rei_told"] = "" if out["rei_missing"] else out["rei_hours"]
        _posting(draft, out, lines)
        _reentry(draft, number_, out, clock)
        _rain(out, times, clock)
        _harvest(draft, out, volume, times, folded(draft["pass_crops"][number_]["crop_name"]) == "fallow")
        _grazing(out, times)
        entry_checks(draft, number_, out, clock, entered)
        rows.append(out)
    for out in rows:
        _reentry_finding(out, rows)
        _overall(out)
    return rows


def posting_wanted(signs: bool, spoken: bool, missing: object, hours: object) -> str:
    """Return how workers must be warned: by the strictest label of the mix and by its longest interval.

    Parameters
    ----------
    signs, spoken : bool
        Whether a label, or the length of the interval, wants signs; whether a label wants word of mouth.
    missing, hours : str or float
        Products without a re-entry interval, blank for none; the longest interval [h], blank for none.

    References
    ----------
    40 CFR 170.409(a), from memory: a label that wants both gets both; above 48 h outdoors signs; else either.
    """
    if signs:
        return "Signs and word of mouth" if spoken else "Signs"
    if missing:
        return NOT_ENTERED
    if spoken:
        return "Word of mouth"
    return "" if hours == "" else "Signs or word of mouth"


def _posting(draft: Draft, out: Cells, lines: list[Cells]) -> None:
    out["signs"] = out["spoken"] = 0
    if out["pass"] != "":
        long = number(out["rei_hours"]) > draft.form("assumptions")["posting_hours"]
        out["signs"] = int(long or any(line["signs"] for line in lines))
        out["spoken"] = int(any(line["spoken"] for line in lines))
        out["posting"] = posting_wanted(bool(out["signs"]), bool(out["spoken"]), out["rei_missing"], out["rei_hours"])


def _reentry(draft: Draft, place: int, out: Cells, clock: Clock) -> None:
    """The moment the field opens again as of this pass, whichever pass rules it."""
    times, log_row = draft["pass_times"][place], draft["pass_times"][place]["log_row"]
    if out["pass"] != "" and times["end_known"] != 1:
        out["late"] = BACKWARD if number(at(draft["log_facts"], log_row, "backward")) else LATE
    out["ruled_by_other"] = 0
    if out["place"] == "":
        return
    step = draft["field_sequence"][out["place"] - 1]
    out["doubt_row"] = step["open_doubt"]
    runs = out["rei_hours"] != "" or rounded(step["open_at"] - times["end_utc"], 6) > 0
    if out["doubt_row"] == "" and runs:
        out["open_utc"], out["because_row"] = step["open_at"], step["open_row"]
        out["reentry_at"] = clock.shown(step["open_at"])
        out["reentry_minute"] = minute_of(out["reentry_at"])
        out["reentry_text"] = moment_text(out["reentry_minute"])
        out["ruled_by_other"] = int(step["open_row"] != place + 1)
    ruling = out["doubt_row"] if out["because_row"] == "" else out["because_row"]
    out["because_of_pass"] = at(draft["pass_volumes"], ruling, "pass")


def _reentry_finding(out: Cells, rows: list[Cells]) -> None:
    if out["pass"] == "":
        return
    if out["rei_missing"] or out["doubt_row"] != "":
        out["reentry_status"] = NOT_ENTERED
        lacking = out["rei_missing"] or f"{at(rows, out['doubt_row'], 'rei_missing')}, in {out['because_of_pass']} on this field"
        out["reentry_finding"] = f"Re-entry interval not entered: {lacking}"
    elif out["reentry_at"] != "":
        other = f"The field stays closed until {out['reentry_text']} by {out['because_of_pass']}" if out["ruled_by_other"] else ""
        out["reentry_finding"] = "; ".join(part for part in (other, out["late"]) if part)
        out["reentry_status"] = LOOK if out["reentry_finding"] else OK


def _rain(out: Cells, times: Cells, clock: Clock) -> None:
    if out["end"] != "" and out["rain_hours"] != "" and not out["rain_missing"]:
        out["rain_utc"] = times["end_utc"] + out["rain_hours"] / 24
        out["rain_free_until"] = clock.shown(out["rain_utc"])
    if out["pass"] == "":
        return
    if out["rain_missing"]:
        out["rain_status"], out["rain_finding"] = NOT_ENTERED, f"Rain-free hours not entered: {out['rain_missing']}"
    elif out["rain_hours"] != "":
        out["rain_status"] = OK


def _harvest(draft: Draft, out: Cells, volume: Cells, times: Cells, fallow: bool) -> None:
    out["harvest_date"] = at(draft["fields"], volume["field_row"], "harvest_date")
    day, planned, reentry = times["last_day"], out["harvest_date"], out["reentry_at"]
    out["by_hour"] = 0
    if planned != "" and day != "":
        out["after_harvest"] = int(times["day"] > planned)
    if day != "" and (out["phi_days"] != "" or reentry != ""):
        # Nobody goes in to harvest while re-entry is closed.
        out["harvest_floor"] = max(0 if out["phi_days"] == "" else day + out["phi_days"], whole_below(number(reentry)))
        out["earliest_harvest"] = "" if out["phi_missing"] else out["harvest_floor"]
        if planned != "" and not out["after_harvest"]:
            out["harvest_margin_days"] = planned - out["harvest_floor"]
            opens = out["reentry_minute"]
            out["by_hour"] = int(reentry != "" and planned == opens // MINUTES and opens % MINUTES > 0)
    if out["pass"] != "":
        out["harvest_status"] = _harvest_status(out, fallow)
        out["harvest_finding"] = _harvest_finding(out)


def _harvest_status(out: Cells, fallow: bool) -> str:
    margin, wanted = out["harvest_margin_days"], out["phi_days"] != "" or out["phi_missing"] != ""
    if margin != "" and margin < 0:
        return NOT_ALLOWED
    if out["after_harvest"] and wanted:
        return OK
    if out["phi_missing"]:
        return NOT_ENTERED
    if out["by_hour"]:
        return LOOK
    if not wanted:
        return ""
    return OK if margin != "" or fallow else LOOK


def _harvest_finding(out: Cells) -> str:
    status = out["harvest_status"]
    if status == NOT_ALLOWED:
        return f"Planned harvest is too early by {days_text(-out['harvest_margin_days'])}"
    if status == NOT_ENTERED:
        return f"Preharvest interval not entered: {out['phi_missing']}"
    if status == LOOK and out["by_hour"]:
        return f"Harvest is planned on the day of re-entry: not before {out['reentry_text']}"
    return "No harvest date entered to check against" if status == LOOK else ""


def _grazing(out: Cells, times: Cells) -> None:
    if times["last_day"] != "" and out["grazing_days"] != "" and not out["grazing_missing"]:
        out["earliest_grazing"] = times["last_day"] + out["grazing_days"]
    if out["pass"] == "":
        return
    if out["grazing_missing"]:
        out["grazing_status"] = NOT_ENTERED
        out["grazing_finding"] = f"Grazing interval not entered: {out['grazing_missing']}"
    elif out["grazing_days"] != "":
        out["grazing_status"] = OK


def _overall(out: Cells) -> None:
    found = {out[key] for key in ("reentry_status", "entry_status", "rain_status", "harvest_status", "grazing_status")}
    out["status"] = next((word for word in (NOT_ALLOWED, NOT_ENTERED, LOOK) if word in found), "")
    if not out["status"] and out["reentry_status"] != "":
        out["status"] = OK
