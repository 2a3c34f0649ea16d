"""Readings on the day against the labels of each pass: go, wait or no."""

from __future__ import annotations

import math
from collections import defaultdict
from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number, worst
from workbook_builder.core.room import folded
from workbook_builder.features.as_logged.rows import log_value
from workbook_builder.features.clock.daylight import NO_RISE
from workbook_builder.features.reentry.definitions import first_and_more
from workbook_builder.features.weather import definitions as weather

STRICTEST: dict[str, Any] = {
    "wind_min": max, "wind_max": min, "temperature_min": max, "temperature_max": min, "no_rain_hours": max, "buffer_distance": max,
}
OFFSETS = ("after_sunrise_hours", "before_sunset_hours")
#: What of a reading may take the place of what the log of a pass does not say.
READ = ("wind", "temperature", "humidity", "forecast_high", "toward_sensitive", "sensitive_distance", "inversion_signs", "rain_in_hours")


def pass_weather(draft: Draft) -> list[Cells]:
    """The strictest limits of each pass; the readings are added by :func:`condition_checks`."""
    rows = []
    for place, volume in enumerate(draft["pass_volumes"]):
        lines = draft.under("line_weather", place, draft.slots("products"))
        names = [line["product"] for line in draft.under("mix_lines", place, draft.slots("products"))]
        out = Cells(field=volume["field"], toward=max(line["toward"] for line in lines))
        out["pass"] = volume["pass"]
        for key, strictest in STRICTEST.items():
            out[key] = strictest((line[key] for line in lines if line[key] != ""), default="")
        out["missing"] = first_and_more([name for name, line in zip(names, lines, strict=True) if line["missing"]])
        for key in OFFSETS:
            out[f"label_{key}"] = max((line[key] for line in lines if line[key] != ""), default="")
        _light(draft, out, place)
        rows.append(out)
    return rows


def _light(draft: Draft, out: Cells, place: int) -> None:
    """The window of daylight that the labels and the terms of the spot sprayer leave, and the start in it."""
    sun, times, use = draft["daylight"][place], draft["pass_times"][place], draft["spot_uses"][place]
    out["label_bound"] = int(any(out[f"label_{key}"] != "" for key in OFFSETS))
    out["bounded"] = int(out["label_bound"] == 1 or sun["wanted"] == 1)
    out["sunrise"], out["sunset"] = sun["sunrise"], sun["sunset"]
    if out["bounded"]:
        for key in OFFSETS:
            spot = number(at(draft["spot_terms"], use["term_row"], key)) if sun["wanted"] else 0
            out[key] = max(number(out[f"label_{key}"]), spot)
        if out["sunrise"] != "":
            out["opens"] = out["sunrise"] + out["after_sunrise_hours"] / 24
            out["closes"] = out["sunset"] - out["before_sunset_hours"] / 24
    if out["pass"] != "" and times["clock"] != "":
        out["light"] = weather.place_in_light(times["start"], out["sunrise"], out["sunset"], out["opens"], out["closes"], sun["sun"])
    if out["label_bound"] and sun["sun"]:
        out["light_status"] = NOT_ALLOWED if sun["sun"] == NO_RISE else LOOK
        out["light_finding"] = f"On this day {sun['sun']}: the hours of the labels cannot be counted from it"
    elif out["label_bound"]:
        _judge_start(out, times)


def _judge_start(out: Cells, times: Cells) -> None:
    if out["light"] == "":
        gap = "Date, latitude, longitude or a time zone of the list not entered" if out["sunrise"] == "" else "Start time not entered"
        out["light_status"], out["light_finding"] = NOT_ENTERED, gap
    elif out["light"] != "in the window":
        out["light_status"], out["light_finding"] = NOT_ALLOWED, f"Start lies {out['light']} that the labels leave in the day"
    elif times["end_known"] == 1 and times["end"] > out["closes"]:
        out["light_status"], out["light_finding"] = LOOK, "Work lasts past the window that the labels leave in the day"
    else:
        out["light_status"] = OK


def condition_checks(draft: Draft) -> list[Cells]:
    """Judge each reading, and tell each pass what the one nearest its start says."""
    passes = first_rows(draft["pass_volumes"], "key")
    of_pass: dict[Any, list[Cells]] = defaultdict(list)
    rows = []
    for read in draft["conditions"]:
        out = Cells(date=read["date"], time=read["time"], field=read["field"], in_range=0, toward=0, bounded=0)
        out["pass"] = read["pass"]
        out["hottest"] = max((read[key] for key in ("temperature", "forecast_high") if read[key] != ""), default=0)
        _delta(draft, out, read["temperature"], read["humidity"])
        row: Any = find(passes, f"{read['pass']}|{read['field']}") if read["pass"] != "" else ""
        out["pass_row"] = row
        rows.append(out)
        if row != "":
            limits, times = draft["pass_weather"][row - 1], draft["pass_times"][row - 1]
            out["sun"] = draft["daylight"][row - 1]["sun"]
            _light_now(out, limits, times["day"])
            _judge(draft, out, read, limits, row)
            if weather.may_speak(read["date"], read["time"], times):
                out["reading_key"] = row * 1000000 + weather.distance_from_start(out["date"] + out["time"], times["start"])
            of_pass[row].append(out)
    for place, out in enumerate(draft["pass_weather"], 1):
        _nearest(out, of_pass[place], rows, draft["pass_times"][place - 1]["clock"])
    return rows


def log_weather(draft: Draft) -> list[Cells]:
    """Judge the weather of each pass that was sprayed: by its log, and by the reading nearest the start for what that does not say."""
    rows = []
    for place, (limits, times) in enumerate(zip(draft["pass_weather"], draft["pass_times"], strict=True)):
        out = Cells(in_range=0)
        for key in ("wind_start", "wind_end", "temperature_start", "temperature_end"):
            out[key] = log_value(draft, times, key)
        out["damp"] = log_value(draft, times, "humidity")
        winds, air = ([out[f"{key}_{end}"] for end in ("start", "end") if out[f"{key}_{end}"] != ""] for key in ("wind", "temperature"))
        out["told"] = len(winds) + len(air) + int(out["damp"] != "")
        if times["log_day"] != "":
            read = Cells({key: at(draft["conditions"], limits["reading_row"], key) for key in READ})
            out.update({key: read[key] for key in READ if key not in ("wind", "temperature", "humidity")})
            out["wind"], out["calm"] = (max(winds), min(winds)) if winds else (read["wind"], read["wind"])
            out["temperature"], out["cold"] = (max(air), min(air)) if air else (read["temperature"], read["temperature"])
            out["humidity"] = read["humidity"] if out["damp"] == "" else out["damp"]
        out["air"] = out["temperature"] if out["temperature_start"] == "" else out["temperature_start"]
        out["hottest"] = max((out[key] for key in ("temperature", "forecast_high") if out[key] != ""), default=0)
        _delta(draft, out, out["air"], out["humidity"])
        if times["log_day"] != "":
            _judge_log(draft, out, limits, place, (bool(winds), bool(air)))
            if out["status"] != "":
                limits["status"], limits["finding"] = out["status"], out["reason"]
        rows.append(out)
    return rows


def _judge_log(draft: Draft, out: Cells, limits: Cells, place: int, told: tuple[bool, bool]) -> None:
    """Judge what was read or logged, and what a label limits whether or not anyone looked."""
    wind, air = told
    wanted = {
        "wind": wind or limits["wind_min"] != "" or limits["wind_max"] != "",
        "temperature": air or limits["temperature_min"] != "" or limits["temperature_max"] != "",
        "delta": out["delta_t"] != "", "inversion": wind, "downwind": limits["buffer_distance"] != "" or limits["toward"] == 1,
        "rain": limits["no_rain_hours"] != "",
    }
    found = _outcomes(draft, out, out, limits, place)
    judged = {topic: outcome for topic, outcome in found.items() if wanted[topic] or limits["readings"]}
    for topic, (status, finding) in judged.items():
        out[f"{topic}_status"], out[f"{topic}_finding"] = status, finding
    status = out["status"] = worst(status for status, _ in judged.values())
    if status not in ("", OK):
        said = "; ".join(finding for found_status, finding in judged.values() if found_status == status)
        out["reason"] = f"as logged: {said}" if out["told"] else said


def _nearest(out: Cells, own: list[Cells], rows: list[Cells], clock: Any) -> None:
    """Let the reading nearest the start speak for its pass; one of another day releases nothing, but may say no in the night that follows."""
    timely = [reading for reading in own if reading["reading_key"] != ""]
    out["readings"], out["timely"] = len(own), len(timely)
    if not own:
        return
    if not timely:
        out["verdict"], out["status"] = "wait", NOT_ENTERED
        out["finding"] = "start time of the pass not entered" if clock == "" else "no reading of the day of the pass with its time"
        return
    reading = min(timely, key=lambda each: each["reading_key"])
    out["reading_row"] = next(place for place, each in enumerate(rows, 1) if each is reading)
    out["verdict"], out["status"], out["finding"] = reading["verdict"], reading["status"], reading["reason"]


def _light_now(out: Cells, limits: Cells, day: Any) -> None:
    """The clock times of the sun and of the window, and the reading in it."""
    out["bounded"] = limits["bounded"]
    for key in ("sunrise", "sunset", "opens", "closes"):
        out[key] = "" if limits[key] == "" else limits[key] - day
    out["light"] = weather.place_in_light(out["time"], out["sunrise"], out["sunset"], out["opens"], out["closes"], out["sun"])


def _delta(draft: Draft, out: Cells, temperature: Any, humidity: Any) -> None:
    factors = draft.form("factors")
    if temperature == "":
        return
    out["celsius"] = (temperature - factors["temperature_zero"]) * factors["temperature_step"]
    if humidity != "" and weather.formula_holds(out["celsius"], humidity):
        out["in_range"] = 1
        out["wet_bulb"] = weather.wet_bulb(out["celsius"], humidity)
        out["wet_1"] = out["wet_bulb"] - 0.00391838 * humidity**1.5 * math.atan(0.023101 * humidity) + 4.686035
        out["delta_t"] = weather.delta_t(out["celsius"], humidity)


def _outcomes(draft: Draft, out: Cells, read: Cells, limits: Cells, place: int) -> dict[str, weather.Outcome]:
    """Judge topic by topic what was read or logged against the labels of the mix and the advised ranges."""
    rules, rain_hours = draft.form("assumptions"), draft["intervals"][place]["rain_hours"]
    low, high = number(rules["wind_low"]), number(rules["wind_high"])
    winds, air = ((read[key] if read[least] == "" else read[least], read[key]) for key, least in (("wind", "calm"), ("temperature", "cold")))
    toward, both = limits["toward"] == 1, out["celsius"] != "" and read["humidity"] != ""
    return {
        "wind": weather.wind_outcome(winds, limits["wind_min"], limits["wind_max"], (low, high), limits["missing"]),
        "temperature": weather.temperature_outcome(air, read["forecast_high"], limits["temperature_min"], limits["temperature_max"]),
        "delta": weather.delta_outcome(out["delta_t"], both, number(rules["delta_t_low"]), number(rules["delta_t_high"])),
        "inversion": weather.inversion_outcome(folded(read["inversion_signs"]), winds[0], low),
        "downwind": weather.downwind_outcome(folded(read["toward_sensitive"]), read["sensitive_distance"], limits["buffer_distance"], toward),
        "rain": weather.rain_outcome(read["rain_in_hours"], limits["no_rain_hours"], rain_hours),
    }


def _judge(draft: Draft, out: Cells, read: Cells, limits: Cells, row: int) -> None:
    out["pass_day"] = draft["pass_times"][row - 1]["day"]
    for key in ("wind_min", "wind_max", "missing", "temperature_min", "temperature_max", "toward"):
        out[key] = limits[key]
    out["no_rain"], out["rain_free"], out["buffer"] = limits["no_rain_hours"], draft["intervals"][row - 1]["rain_hours"], limits["buffer_distance"]
    outcomes = {
        "day": weather.day_outcome(read["date"], read["time"], out["pass_day"]), **_outcomes(draft, out, read, limits, row - 1),
        "light": weather.light_outcome(out["bounded"] == 1, out["light"], read["time"], out["sun"]),
    }
    for topic, outcome in outcomes.items():
        out[f"{topic}_status"], out[f"{topic}_finding"] = outcome
    status = out["status"] = worst(outcome[0] for outcome in outcomes.values())
    out["verdict"] = "go" if status == OK else "no" if status == NOT_ALLOWED else "wait"
    if status != OK:
        out["reason"] = "; ".join(finding for found, finding in outcomes.values() if found == status)
