"""Sunrise, sunset and the farm's clock."""

from __future__ import annotations

import calendar
import datetime as dt
import math
from dataclasses import dataclass

#: Centre of the sun below the horizon at sunrise: refraction and radius [deg].
ZENITH = 90.833


@dataclass(frozen=True)
class SunDay:
    """The sun on one day at one place.

    Attributes
    ----------
    angle : float
        Fraction of the year [rad].
    equation : float
        Equation of time [min].
    declination : float
        [rad]
    cosine : float
        Cosine of the hour angle of sunrise, below -1 or above 1 where the sun stays up or down.
    half_day : float
        Sunrise to noon [min].
    noon : float
        Sun at its highest [min after midnight, universal time].
    """

    angle: float
    equation: float
    declination: float
    cosine: float
    half_day: float
    noon: float

    @property
    def sunrise(self) -> float:
        """Sunrise [min after midnight, universal time]."""
        return self.noon - self.half_day

    @property
    def sunset(self) -> float:
        """Sunset [min after midnight, universal time]."""
        return self.noon + self.half_day


def sun_day(day: dt.date, latitude: float, longitude: float, hour: float | None = None) -> SunDay:
    """Return sunrise, noon and sunset of a day.

    Parameters
    ----------
    day : date
        Day by the clock of the place.
    latitude, longitude : float
        [deg north], [deg east]
    hour : float, optional
        Hour for which the sun's place is taken [h, universal time]; noon of the place when left out.

    References
    ----------
    NOAA, General Solar Position Calculations (the short equations).
    """
    hour = 12 - longitude / 15 if hour is None else hour
    length = 366 if calendar.isleap(day.year) else 365
    g = 2 * math.pi / length * (day.timetuple().tm_yday - 1 + (hour - 12) / 24)
    equation = 229.18 * (
        0.000075 + 0.001868 * math.cos(g) - 0.032077 * math.sin(g) - 0.014615 * math.cos(2 * g) - 0.040849 * math.sin(2 * g)
    )
    declination = (
        0.006918 - 0.399912 * math.cos(g) + 0.070257 * math.sin(g) - 0.006758 * math.cos(2 * g)
        + 0.000907 * math.sin(2 * g) - 0.002697 * math.cos(3 * g) + 0.00148 * math.sin(3 * g)
    )
    phi = math.radians(latitude)
    cosine = math.cos(math.radians(ZENITH)) / (math.cos(phi) * math.cos(declination)) - math.tan(phi) * math.tan(declination)
    half_day = 4 * math.degrees(math.acos(max(-1.0, min(1.0, cosine))))
    return SunDay(g, equation, declination, cosine, half_day, 720 - 4 * longitude - equation)


def sunday(year: int, month: int, week: int) -> dt.date:
    """Return the nth Sunday of a month, or its last one for week 5."""
    days = [day for day in calendar.Calendar().itermonthdates(year, month) if day.month == month and day.weekday() == 6]
    return days[-1] if week == 5 else days[week - 1]


def summer_days(year: int, start: tuple[int, int], end: tuple[int, int]) -> tuple[dt.date, dt.date]:
    """Return the days on which summer time starts and ends, given as (month, week)."""
    return sunday(year, *start), sunday(year, *end)


def is_summer(day: dt.date, start: dt.date, end: dt.date) -> bool:
    """Return whether a day counts as summer time; in the south it runs over the turn of the year."""
    return start <= day < end if start < end else day >= start or day < end
