"""Limits of a spot sprayer: crops covered, speed, rows and daylight."""

from __future__ import annotations

import datetime as dt
from dataclasses import asdict
from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import EPOCH, Cells, Draft, at, find, first_rows, number, worst
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text, shown
from workbook_builder.features.clock.daylight import NO_RISE, sun_day
from workbook_builder.features.clock.definitions import Clock, farm_clock
from workbook_builder.features.spot_checks.columns import SPOT_LIMITS


def daylight(draft: Draft) -> list[Cells]:
    """Sunrise and sunset on the day of every pass."""
    day, clock, rows = draft.form("spot_day"), farm_clock(draft), []
    for times, use in zip(draft["pass_times"], draft["spot_uses"], strict=True):
        wanted = folded(at(draft["spot_terms"], use["term_row"], "daylight_only")) == "yes"
        known = times["day"] != "" and day["place_known"] == 1
        out = Cells(wanted=int(wanted), known=int(known))
        if known:
            _sun(draft, out, times["day"], clock)
        rows.append(out)
    return rows


def _sun(draft: Draft, out: Cells, serial: Any, clock: Clock) -> None:
    farm, date = draft.form("farm"), EPOCH + dt.timedelta(days=int(serial))
    found = sun_day(date, farm["latitude"], farm["longitude"])
    out.update(asdict(found.sun), cosine=found.cosine, offset=clock.offset(serial + 0.5, "wall"), sun=found.all_day)
    out["noon"] = found.noon + 60 * out["offset"]
    if out["sun"]:
        return
    out["half_day"] = found.half_day
    out["sunrise"] = serial + (out["noon"] - found.half_day) / 1440
    out["sunset"] = serial + (out["noon"] + found.half_day) / 1440


def spot_checks(draft: Draft) -> list[Cells]:
    """Every spot pass against the terms of its sprayer."""
    sprayers = first_rows(draft["spot_terms"], "sprayer")
    rows = []
    for number_, (typed, use) in enumerate(zip(draft["passes"], draft["spot_uses"], strict=True)):
        out = Cells(use=use["use"], hours_kept=0)
        if use["on"]:
            out["pass"], out["field"] = typed["pass"], typed["field"]
            term = draft["spot_terms"][use["term_row"] - 1] if use["term_row"] != "" else Cells()
            _crop(draft, out, number_, use, sprayers)
            _speed(out, draft["pass_times"][number_]["speed"], term)
            _rows(draft, out, use, term)
            _daylight(draft, out, number_, term)
            _fee(out, use, term, draft["pass_volumes"][number_]["area"])
        out["status"] = worst(out[f"{key}_status"] for key in SPOT_LIMITS)
        out["finding"] = "; ".join(out[f"{key}_finding"] for key in SPOT_LIMITS if out[f"{key}_finding"])
        rows.append(out)
    return rows


def _set(out: Cells, key: str, status: str, finding: str = "") -> None:
    out[f"{key}_status"], out[f"{key}_finding"] = status, finding


def _crop(draft: Draft, out: Cells, number_: int, use: Cells, sprayers: dict[object, int]) -> None:
    typed = draft["passes"][number_]
    if draft.form("spot_day")["terms"] == 0:
        return
    if use["use"] == "" or typed["sprayer"] == "":
        _set(out, "crop", NOT_ENTERED, "Field is missing" if use["use"] == "" else "No spot terms for this sprayer")
    elif use["term_row"] != "":
        _set(out, "crop", OK)
    elif find(sprayers, typed["sprayer"]) != "":
        crop = draft["pass_volumes"][number_]["crop"]
        place = "in fallow" if use["use"] == "fallow" else "in crop"
        _set(out, "crop", NOT_ALLOWED, f"{crop}: spot spraying {place} is not covered")
    else:
        _set(out, "crop", NOT_ENTERED, "No spot terms for this sprayer")


def _plain(value: float) -> str:
    return number_text(shown(value, 1))


def _speed(out: Cells, speed: Any, term: Cells) -> None:
    out["speed"], out["top_speed"] = number(speed) or "", term["top_speed"]
    if out["top_speed"] == "":
        return
    if out["speed"] == "":
        _set(out, "speed", NOT_ENTERED, "Speed of the sprayer not entered")
    elif out["speed"] > out["top_speed"]:
        _set(out, "speed", NOT_ALLOWED, f"Too fast: {_plain(out['speed'])} where {_plain(out['top_speed'])} is the most")
    else:
        _set(out, "speed", OK)


def _rows(draft: Draft, out: Cells, use: Cells, term: Cells) -> None:
    spacing = out["row_spacing"] = at(draft["fields"], use["field_row"], "row_spacing")
    least = out["narrowest_row"] = term["narrowest_row"]
    if least == "" or use["use"] == "fallow":
        return
    if spacing == "":
        _set(out, "rows", NOT_ENTERED, "Row spacing of the field not entered")
    elif spacing < least:
        _set(out, "rows", NOT_ALLOWED, f"Rows too narrow: {_plain(spacing)} where {_plain(least)} is the least")
    else:
        _set(out, "rows", OK)


def _daylight(draft: Draft, out: Cells, number_: int, term: Cells) -> None:
    light, times = draft["daylight"][number_], draft["pass_times"][number_]
    if not light["wanted"]:
        return
    out["sunrise"], out["sunset"] = light["sunrise"], light["sunset"]
    out["hours_kept"] = number(term["after_sunrise_hours"]) + number(term["before_sunset_hours"])
    if light["sun"]:
        status = NOT_ALLOWED if light["sun"] == NO_RISE else LOOK if out["hours_kept"] > 0 else OK
        _set(out, "daylight", status, "" if status == OK else f"On this day {light['sun']}: no hour of daylight can be counted from it")
        return
    if light["known"]:
        out["opens"] = light["sunrise"] + number(term["after_sunrise_hours"]) / 24
        out["closes"] = light["sunset"] - number(term["before_sunset_hours"]) / 24
    if not light["known"]:
        _set(out, "daylight", NOT_ENTERED, "Date, latitude, longitude or a time zone of the list not entered")
    elif times["clock"] == "":
        _set(out, "daylight", NOT_ENTERED, "Start time not entered")
    elif times["start"] < out["opens"]:
        _set(out, "daylight", NOT_ALLOWED, "Starts too early: before daylight allows")
    elif times["start"] > out["closes"]:
        _set(out, "daylight", NOT_ALLOWED, "Starts too late: after daylight allows")
    elif times["end_known"] == 1 and times["end"] > out["closes"]:
        _set(out, "daylight", LOOK, "Work lasts past the end of daylight")
    else:
        _set(out, "daylight", OK)


def _fee(out: Cells, use: Cells, term: Cells, area: Any) -> None:
    if use["term_row"] != "":
        out["fee"] = number(term["fee"])
        if area != "":
            out["fee_total"] = out["fee"] * area
