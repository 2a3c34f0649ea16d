"""Limits of a spot sprayer: the most and the least it allows, and the hours of daylight it needs."""

from __future__ import annotations

import datetime as dt

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import EPOCH, number
from workbook_builder.features.clock.daylight import NO_RISE, SunDay, sun_day

#: A number, or blank text.
Entered = float | str


def sun_of(day: float, latitude: float, longitude: float) -> SunDay:
    """Return the sun on a day number [d] at a place [deg north], [deg east]."""
    return sun_day(EPOCH + dt.timedelta(days=int(day)), latitude, longitude)


def most_status(value: Entered, most: float) -> str:
    """Return whether a figure keeps within the most allowed; one that is missing is not entered."""
    return NOT_ENTERED if value == "" else NOT_ALLOWED if number(value) > most else OK


def least_status(value: Entered, least: float) -> str:
    """Return whether a figure reaches the least allowed; one that is missing is not entered."""
    return NOT_ENTERED if value == "" else NOT_ALLOWED if number(value) < least else OK


def camera_check(unseen: float, buffer: Entered, grown: Entered) -> tuple[str, str]:
    """Return status and finding of a spot pass against what a camera cannot see,
    both blank where it is of no concern.

    Parameters
    ----------
    unseen : int
        1 against disease, 2 against insects, 3 against both, 0 against neither.
    buffer : float or ""
        Ground sprayed on every side of what is seen [length].
    grown : float or ""
        How many times the ground that one spot turns on grows by it, blank where the footprint is not known.
    """
    if not unseen and not number(buffer):
        return "", ""
    if grown == "":
        return NOT_ENTERED, "Footprint of the sprayer not entered, so the share with the buffer is not known"
    if number(buffer):
        return OK, ""
    what = " and no ".join(name for bit, name in ((1, "disease before it shows"), (2, "hidden insects"))
                           if int(unseen) & bit)
    return LOOK, f"A camera sees no {what}: type what is sprayed around what it sees, or spray it all"


def daylight_check(
    wanted: float, all_day: str, hours_kept: float, opens: Entered, closes: Entered, clock: Entered,
    start: Entered, end_known: Entered, end: Entered,
) -> tuple[str, str]:
    """Return status and finding of a pass that may only be sprayed in daylight, both blank for any other.

    Parameters
    ----------
    wanted : float
        1 for a sprayer that works in daylight only.
    all_day : str
        What the sun does on a day without sunrise and sunset.
    hours_kept : float
        Hours to be kept from sunrise and sunset [h].
    opens, closes : float or ""
        When the pass may start, and must stop [d].
    clock : float or ""
        Time of day at which it starts.
    start, end : float or ""
        Its moments [d]; whether the end is known stands in `end_known`.
    """
    if not wanted:
        return "", ""
    if all_day:
        status = NOT_ALLOWED if all_day == NO_RISE else LOOK if hours_kept > 0 else OK
        return (status, "" if status == OK
                else f"On this day {all_day}: no hour of daylight can be counted from it")
    if opens == "":
        return NOT_ENTERED, "Date, latitude, longitude or a time zone of the list not entered"
    if clock == "":
        return NOT_ENTERED, "Start time not entered"
    if number(start) < number(opens):
        return NOT_ALLOWED, "Starts too early: before daylight allows"
    if number(start) > number(closes):
        return NOT_ALLOWED, "Starts too late: after daylight allows"
    late = end_known == 1 and number(end) > number(closes)
    return (LOOK, "Work lasts past the end of daylight") if late else (OK, "")
