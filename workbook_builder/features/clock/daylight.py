"""Sunrise, sunset and the farm's clock."""

from __future__ import annotations

import calendar
import datetime as dt
import math
from dataclasses import dataclass

#: Centre of the sun below the horizon at sunrise: refraction and radius [deg].
ZENITH = 90.833
#: What the sun does on a day without sunrise and sunset.
NO_SET, NO_RISE = "the sun does not set", "the sun does not rise"
NOON_2000 = dt.datetime(2000, 1, 1, 12, tzinfo=dt.UTC)


@dataclass(frozen=True)
class Sun:
    """Where the sun stands at one moment; angles in radians.

    Attributes
    ----------
    century : float
        Julian centuries since noon of 1 January 2000.
    mean_longitude, anomaly, centre, node, apparent : float
        Mean longitude, mean anomaly, equation of the centre, node of the moon, apparent longitude [rad].
    eccentricity : float
        Of the earth's orbit.
    obliquity, declination : float
        [rad]
    squared : float
        Square of the tangent of half the obliquity.
    equation : float
        Equation of time [min].
    """

    century: float
    mean_longitude: float
    anomaly: float
    eccentricity: float
    centre: float
    node: float
    apparent: float
    obliquity: float
    declination: float
    squared: float
    equation: float


def sun_at(century: float) -> Sun:
    """Return where the sun stands.

    Parameters
    ----------
    century : float
        Julian centuries since noon of 1 January 2000, universal time.

    References
    ----------
    NOAA solar calculation sheet, after Meeus, Astronomical Algorithms.
    """
    t = century
    long = math.radians(280.46646 + t * (36000.76983 + 0.0003032 * t))
    m = math.radians(357.52911 + t * (35999.05029 - 0.0001537 * t))
    e = 0.016708634 - t * (0.000042037 + 0.0000001267 * t)
    centre = math.radians(
        math.sin(m) * (1.914602 - t * (0.004817 + 0.000014 * t)) + math.sin(2 * m) * (0.019993 - 0.000101 * t)
        + math.sin(3 * m) * 0.000289
    )
    node = math.radians(125.04 - 1934.136 * t)
    apparent = long + centre - math.radians(0.00569 + 0.00478 * math.sin(node))
    seconds = 21.448 - t * (46.815 + t * (0.00059 - 0.001813 * t))
    obliquity = math.radians(23 + (26 + seconds / 60) / 60 + 0.00256 * math.cos(node))
    declination = math.asin(math.sin(obliquity) * math.sin(apparent))
    y = math.tan(obliquity / 2) ** 2
    equation = 4 * math.degrees(
        y * math.sin(2 * long) - 2 * e * math.sin(m) + 4 * e * y * math.sin(m) * math.cos(2 * long)
        - 0.5 * y * y * math.sin(4 * long) - 1.25 * e * e * math.sin(2 * m)
    )
    return Sun(t, long, m, e, centre, node, apparent, obliquity, declination, y, equation)


@dataclass(frozen=True)
class SunDay:
    """The sun on one day at one place.

    Attributes
    ----------
    sun : Sun
        At noon of the place.
    cosine : float
        Cosine of the hour angle of sunrise, below -1 or above 1 where the sun stays up or down.
    half_day : float
        Sunrise to noon [min].
    noon : float
        Sun at its highest [min after midnight, universal time].
    """

    sun: Sun
    cosine: float
    half_day: float
    noon: float

    @property
    def all_day(self) -> str:
        """What the sun does on a day without sunrise and sunset; blank on any other."""
        return NO_SET if self.cosine < -1 else NO_RISE if self.cosine > 1 else ""

    @property
    def sunrise(self) -> float:
        """Sunrise [min after midnight, universal time]."""
        return self.noon - self.half_day

    @property
    def sunset(self) -> float:
        """Sunset [min after midnight, universal time]."""
        return self.noon + self.half_day


def sun_day(day: dt.date, latitude: float, longitude: float, zenith: float = ZENITH) -> SunDay:
    """Return sunrise, noon and sunset of a day.

    Parameters
    ----------
    day : date
        Day by the clock of the place.
    latitude, longitude : float
        [deg north], [deg east]
    zenith : float
        Angle from straight up at which the day starts and ends [deg]; 96 for civil twilight.

    Notes
    -----
    The sun is taken where it stands at noon of the place; within a minute of an almanac below 60 degrees.
    """
    sun = sun_at(((day - NOON_2000.date()).days - longitude / 360) / 36525)
    phi = math.radians(latitude)
    cosine = (math.cos(math.radians(zenith)) / (math.cos(phi) * math.cos(sun.declination))
              - math.tan(phi) * math.tan(sun.declination))
    half_day = 4 * math.degrees(math.acos(max(-1.0, min(1.0, cosine))))
    return SunDay(sun, cosine, half_day, 720 - 4 * longitude - sun.equation)


def sunday(year: int, month: int, week: int) -> dt.date:
    """Return the nth Sunday of a month, or its last one for week 5."""
    days = [day for day in calendar.Calendar().itermonthdates(year, month) if day.month == month
            and day.weekday() == 6]
    return days[-1] if week == 5 else days[week - 1]


def summer_days(year: int, start: tuple[int, int], end: tuple[int, int]) -> tuple[dt.date, dt.date]:
    """Return the days on which summer time starts and ends, given as (month, week)."""
    return sunday(year, *start), sunday(year, *end)
