"""Readings on the day against the labels of each pass: go, wait or no."""

from __future__ import annotations

import math
from collections import defaultdict
from typing import Any

from workbook_builder.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.planning import weather
from workbook_builder.planning.daylight import NO_RISE
from workbook_builder.planning.draft import Cells, Draft, at, find, first_rows, number, worst
from workbook_builder.planning.reentry_rows import first_and_more
from workbook_builder.room import folded

STRICTEST: dict[str, Any] = {
    "wind_min": max, "wind_max": min, "temperature_min": max, "temperature_max": min, "no_rain_hours": max, "buffer_distance": max,
}
OFFSETS = ("after_sunrise_hours", "before_sunset_hours")
TOPICS = ("day", "wind", "temperature", "delta", "inversion", "downwind", "rain", "light")


def weather_facts(draft: Draft) -> list[Cells]:
    """The product of each row of weather limits; two names of one registration are one product."""
    names, rows = first_rows(draft["products"], "product"), []
    for row in draft["weather_limits"]:
        out = Cells(product_row=find(names, row["product"]))
        out["product_no"] = at(draft["product_facts"], out["product_row"], "product_no")
        rows.append(out)
    return rows


def line_weather(draft: Draft) -> list[Cells]:
    """Weather limits of each product of each pass: the strictest under any of its names."""
    of_product: dict[Any, list[Cells]] = defaultdict(list)
    for row, fact in zip(draft["weather_limits"], draft["weather_facts"], strict=True):
        of_product[fact["product_no"]].append(row)
    rows = []
    for limits in draft["product_limits"]:
        named = of_product[limits["product_no"]] if limits["product_no"] != "" else []
        out = Cells(rows=len(named), toward=int(any(folded(row["never_toward"]) == "yes" for row in named)))
        for key, strictest in (*STRICTEST.items(), *((offset, max) for offset in OFFSETS)):
            out[key] = strictest((row[key] for row in named if row[key] != ""), default="")
        out["missing"] = int(limits["needed"] == 1 and not named)
        rows.append(out)
    return rows


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
        _delta(draft, out, read)
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


def _delta(draft: Draft, out: Cells, read: Cells) -> None:
    factors = draft.form("factors")
    if read["temperature"] == "":
        return
    out["celsius"] = (read["temperature"] - factors["temperature_zero"]) * factors["temperature_step"]
    humidity = read["humidity"]
    if humidity != "" and weather.formula_holds(out["celsius"], humidity):
        out["in_range"] = 1
        out["wet_bulb"] = weather.wet_bulb(out["celsius"], humidity)
        out["wet_1"] = out["wet_bulb"] - 0.00391838 * humidity**1.5 * math.atan(0.023101 * humidity) + 4.686035
        out["delta_t"] = weather.delta_t(out["celsius"], humidity)


def _judge(draft: Draft, out: Cells, read: Cells, limits: Cells, row: int) -> None:
    rules, interval = draft.form("assumptions"), draft["intervals"][row - 1]
    out["pass_day"] = draft["pass_times"][row - 1]["day"]
    low, high = number(rules["wind_low"]), number(rules["wind_high"])
    for key in ("wind_min", "wind_max", "missing", "temperature_min", "temperature_max", "toward"):
        out[key] = limits[key]
    out["no_rain"], out["rain_free"], out["buffer"] = limits["no_rain_hours"], interval["rain_hours"], limits["buffer_distance"]
    read_both = read["temperature"] != "" and read["humidity"] != ""
    outcomes = (
        weather.day_outcome(read["date"], read["time"], out["pass_day"]),
        weather.wind_outcome(read["wind"], limits["wind_min"], limits["wind_max"], (low, high), limits["missing"]),
        weather.temperature_outcome(read["temperature"], read["forecast_high"], limits["temperature_min"], limits["temperature_max"]),
        weather.delta_outcome(out["delta_t"], read_both, number(rules["delta_t_low"]), number(rules["delta_t_high"])),
        weather.inversion_outcome(folded(read["inversion_signs"]), read["wind"], low),
        weather.downwind_outcome(folded(read["toward_sensitive"]), read["sensitive_distance"], limits["buffer_distance"], limits["toward"] == 1),
        weather.rain_outcome(read["rain_in_hours"], limits["no_rain_hours"], interval["rain_hours"]),
        weather.light_outcome(out["bounded"] == 1, out["light"], read["time"], out["sun"]),
    )
    for topic, outcome in zip(TOPICS, outcomes, strict=True):
        out[f"{topic}_status"], out[f"{topic}_finding"] = outcome
    status = out["status"] = worst(outcome[0] for outcome in outcomes)
    out["verdict"] = "go" if status == OK else "no" if status == NOT_ALLOWED else "wait"
    if status != OK:
        out["reason"] = "; ".join(finding for found, finding in outcomes if found == status)
