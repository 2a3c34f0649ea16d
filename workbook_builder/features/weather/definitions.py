"""Weather for spraying: wet-bulb temperature, delta T, and what readings mean against limits."""

from __future__ import annotations

import math
from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.rounding import rounded
from workbook_builder.features.clock.daylight import NO_RISE

Outcome = tuple[str, str]
FINE: Outcome = (OK, "")
#: Relative humidity [%] and temperature [deg C] within which the wet-bulb formula holds.
HUMIDITY_RANGE = (5, 99)
CELSIUS_RANGE = (-20, 50)


def wet_bulb_first_terms(celsius: float, humidity: float) -> float:
    """Return the terms of the wet-bulb formula that hold the air temperature [deg C],
    and the one that goes with them.
    """
    return (celsius * math.atan(0.151977 * math.sqrt(humidity + 8.313659)) + math.atan(celsius + humidity)
            - math.atan(humidity - 1.676331))


def wet_bulb(celsius: float, humidity: float) -> float:
    """Return the wet-bulb temperature near sea level [deg C].

    Parameters
    ----------
    celsius : float
        Air temperature, -20 to 50 [deg C].
    humidity : float
        Relative humidity, 5 to 99 [%].

    References
    ----------
    Stull 2011, J. Appl. Meteor. Climatol. 50:2267-2269; errors -1 to +0.65 deg C.
    """
    return float(wet_bulb_first_terms(celsius, humidity) + 0.00391838 * humidity**1.5
                 * math.atan(0.023101 * humidity) - 4.686035)


def delta_t(celsius: float, humidity: float) -> float:
    """Return air less wet-bulb temperature [deg C]."""
    return celsius - wet_bulb(celsius, humidity)


def formula_holds(celsius: float, humidity: float) -> bool:
    """Return whether the wet-bulb formula is valid for a reading."""
    return (HUMIDITY_RANGE[0] <= humidity <= HUMIDITY_RANGE[1] and CELSIUS_RANGE[0] <= celsius
            <= CELSIUS_RANGE[1])


def day_outcome(date: Any, time: Any, pass_day: Any) -> Outcome:
    """Judge whether a reading is one of its pass: of the day it starts on, at a time that is known.

    Parameters
    ----------
    date, time : float or ""
        Of the reading.
    pass_day : float or ""
        Day the pass starts on, as logged or else as planned.
    """
    if pass_day == "":
        return NOT_ENTERED, "date of the pass not entered"
    if date == "":
        return NOT_ENTERED, "day of the reading not entered"
    if date != pass_day:
        return NOT_ENTERED, "reading of another day"
    return (NOT_ENTERED, "time of the reading not entered") if time == "" else FINE


def may_speak(date: Any, time: Any, pass_day: Any, clock: Any, start: float) -> bool:
    """Return whether a reading may be the one nearest the start: of the day of its pass,
    or of the night that follows.

    Parameters
    ----------
    date, time : float or ""
        Of the reading [d].
    pass_day, clock, start : float or ""
        Day, clock time and start of the pass [d].

    Notes
    -----
    A pass that starts late in the evening ends the next day: a reading within twelve hours of the start may
    say no; being of another day it never says go.
    """
    if "" in (date, time, pass_day, clock):
        return False
    return bool(date == pass_day or (date > pass_day and rounded(date + time - start, 6) <= 0.5))


def distance_from_start(moment: float, start: float) -> int:
    """Return how far a reading lies from the start of its pass, to rank readings by.

    Parameters
    ----------
    moment, start : float
        [d].

    Returns
    -------
    int
        Twice the seconds between them, and one more after the start: of two readings as near,
        the earlier one counts.
    """
    return 2 * int(rounded(abs(moment - start) * 86400)) + int(moment > start)


def reading_key(pass_row: int, date: Any, time: Any, pass_day: Any, clock: Any, start: float) -> Any:
    """Return what readings are ranked by, pass by pass; blank where one may not speak for its pass."""
    return (pass_row * 1000000 + distance_from_start(date + time, start)
            if may_speak(date, time, pass_day, clock, start) else "")


def wind_outcome(calmest: Any, strongest: Any, low: Any, high: Any, advised_low: Any, advised_high: Any,
                 missing: str) -> Outcome:
    """Judge the wind: label limits first, then the advised range where the label is silent.

    Parameters
    ----------
    calmest, strongest : float or ""
        Lowest and highest at boom height [speed]; of one reading they are the same.
    low, high : float or ""
        Strictest label limits of the mix [speed].
    advised_low, advised_high : float or ""
        Range advised where a label gives no figure [speed].
    missing : str
        Products whose label nobody entered.
    """
    if strongest == "":
        return NOT_ENTERED, "wind not read"
    if (high != "" and strongest > high) or (low != "" and calmest < low):
        return NOT_ALLOWED, "wind outside the label range"
    if missing:
        return NOT_ENTERED, f"weather on the label not entered: {missing}"
    if low == "" and calmest < (advised_low or 0):
        return LOOK, "wind below the advised range: suspect an inversion"
    if high == "" and strongest > (advised_high or 0):
        return LOOK, "wind above the advised range"
    return FINE


def temperature_outcome(coldest: Any, warmest: Any, forecast_high: Any, low: Any, high: Any) -> Outcome:
    """Judge the lowest and the highest temperature: neither the field nor the forecast may pass the label's
    limit [deg].
    """
    if warmest == "":
        return NOT_ENTERED, "temperature not read"
    hottest = warmest if forecast_high == "" else max(warmest, forecast_high)
    if (high != "" and hottest > high) or (low != "" and coldest < low):
        return NOT_ALLOWED, "temperature or forecast outside the label range"
    if high != "" and forecast_high == "":
        return NOT_ENTERED, "forecast high not entered, a label limits it"
    return FINE


def delta_outcome(delta: Any, celsius: Any, humidity: Any, low: Any, high: Any) -> Outcome:
    """Judge delta T against the advised window [deg C].

    References
    ----------
    Delta T chart of the Bureau of Meteorology, from memory: 2 to 8 deg C, avoid above 10.
    """
    if delta == "":
        lacks = "" in (celsius, humidity)
        return ((NOT_ENTERED, "humidity or temperature not read") if lacks
                else (LOOK, "delta T outside the range of the method"))
    if delta < (low or 0):
        return LOOK, "delta T low: droplets hang"
    return (LOOK, "delta T high: droplets dry out") if delta > (high or 0) else FINE


def inversion_outcome(signs: str, wind: Any, calm: Any) -> Outcome:
    """Judge an inversion: no spraying in one, and in calm air somebody must look.

    References
    ----------
    TPSA drift pages; Nebraska Extension 2023: under 3 mph suspect an inversion.
    """
    if signs.casefold() == "yes":
        return NOT_ALLOWED, "signs of an inversion"
    if signs.casefold() == "no" or (wind != "" and wind >= (calm or 0)):
        return FINE
    return NOT_ENTERED, "look for an inversion"


def downwind_outcome(toward: str, distance: Any, buffer: Any, never: int) -> Outcome:
    """Judge what lies downwind against the label's distance [length]."""
    if toward == "":
        return NOT_ENTERED, "downwind neighbours not looked at"
    if toward.casefold() == "no":
        return FINE
    if never:
        return NOT_ALLOWED, "wind toward a sensitive area"
    if buffer == "":
        return NOT_ENTERED, "downwind distance of the label not entered"
    if distance == "":
        return NOT_ENTERED, "distance to sensitive area not entered"
    return (NOT_ALLOWED, "too close to a downwind sensitive area") if distance < buffer else FINE


def place_in_light(moment: Any, sunrise: Any, sunset: Any, opens: Any = "", closes: Any = "",
                   sun: str = "") -> str:
    """Say where a moment lies: in the window where there is one, else in daylight.

    Parameters
    ----------
    moment, sunrise, sunset : float
        On one clock [d]; blank when not known.
    opens, closes : float
        Edges of the window [d]; blank when nothing but the sun bounds it.
    sun : str
        What the sun does on a day without sunrise and sunset.
    """
    if sun and moment != "":
        return f"on a day when {sun}"
    if moment == "" or sunrise == "":
        return ""
    if opens == "":
        return "before sunrise" if moment < sunrise else "after sunset" if moment > sunset else "in daylight"
    return ("before the window" if moment < opens else "after the window" if moment > closes
            else "in the window")


def start_outcome(bound: int, place: str, sun: str, sunrise: Any, end_known: int, end: Any,
                  closes: Any) -> Outcome:
    """Judge the hours of a pass that a label binds to a window of daylight.

    Parameters
    ----------
    bound : int
        1 when a label names the time of day.
    place : str
        Where the start lies in the light.
    sun : str
        What the sun does on a day without sunrise and sunset.
    sunrise : float or ""
        [d].
    end_known : int
        1 when the end follows from a log or from the hours of work.
    end, closes : float or ""
        End of the pass and of the window [d].
    """
    if not bound:
        return "", ""
    if sun:
        return (NOT_ALLOWED if sun == NO_RISE else LOOK,
                f"On this day {sun}: the hours of the labels cannot be counted from it")
    if place == "":
        return (NOT_ENTERED, "Date, latitude, longitude or a time zone of the list not entered"
                if sunrise == "" else "Start time not entered")
    if place != "in the window":
        return NOT_ALLOWED, f"Start lies {place} that the labels leave in the day"
    return ((LOOK, "Work lasts past the window that the labels leave in the day") if end_known == 1
            and end > closes else FINE)


def light_outcome(bounded: int, place: str, time: Any, sun: str = "") -> Outcome:
    """Judge the time of a reading where a label or the terms of a spot sprayer bind the pass to a window of
    daylight.
    """
    if not bounded:
        return "", ""
    if sun:
        return NOT_ALLOWED if sun == NO_RISE else LOOK, f"on this day {sun}"
    if place == "":
        return (NOT_ENTERED, "time of the reading not entered" if time == ""
                else "date, place or time zone for the sun not entered")
    return FINE if place == "in the window" else (NOT_ALLOWED, f"time of the reading {place} of daylight")


def rain_outcome(rain_in: Any, no_rain: Any, rain_free: Any) -> Outcome:
    """Judge the rain forecast against the label's dry forecast and the rain-free hours [h]."""
    if rain_in == "":
        return NOT_ENTERED, "rain forecast not entered"
    if no_rain != "" and rain_in < no_rain:
        return NOT_ALLOWED, "rain forecast sooner than the label allows"
    if rain_free != "" and rain_in < rain_free:
        return LOOK, "rain forecast within the rain-free hours"
    return FINE
