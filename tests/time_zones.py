"""The list of time zones that the program ships, made from the IANA database: ``python -m tests.time_zones``.

A zone is listed when its clock changes on Sundays of a month by one rule, or not at all, for ten
years from `FIRST_YEAR`: that is what the workbook's formulas can follow.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import sys
import zoneinfo
from importlib import resources
from pathlib import Path

FILE = Path(__file__).parents[1] / "workbook_builder" / "data" / "time_zones.csv"
FIRST_YEAR, YEARS = 2025, 10
HEADER = ("time_zone", "standard_offset", "summer_shift", "start_month", "start_week", "start_hour",
          "end_month", "end_week", "end_hour")
#: Areas of the database that are places; the others are spellings kept for old programs.
AREAS = ("Africa", "America", "Antarctica", "Arctic", "Asia", "Atlantic", "Australia", "Europe",
         "Indian", "Pacific")
Change = tuple[int, int]


def names() -> list[str]:
    """Return the zones of the database that are named after places."""
    listed = resources.files("tzdata").joinpath("zones").read_text("utf-8").split()
    return sorted(name for name in listed if name.partition("/")[0] in AREAS and "/" in name)


def offset(zone: zoneinfo.ZoneInfo, day: dt.date) -> float:
    """Return the offset from universal time at noon of a day [h]."""
    found = dt.datetime.combine(day, dt.time(12), zone).utcoffset()
    assert found is not None
    return found.total_seconds() / 3600


def sunday_of(day: dt.date) -> set[Change]:
    """Return how the Sunday `day` may be told: (month, which Sunday),
    5 for the last one; none for other days.
    """
    if day.weekday() != 6:
        return set()
    last = {(day.month, 5)} if (day + dt.timedelta(7)).month != day.month else set()
    return last | ({(day.month, (day.day - 1) // 7 + 1)} if day.day <= 28 else set())


def hour_of(zone: zoneinfo.ZoneInfo, day: dt.date) -> float:
    """Return the hour of a day, by the clock as it stood before, at which the clock changes [h].

    Negative in the evening before.
    """
    midnight = dt.datetime.combine(day, dt.time(0), dt.UTC)
    moments = [midnight + dt.timedelta(minutes=15 * n) for n in range(-4 * 26, 4 * 27)]
    told = [moment.astimezone(zone).utcoffset() for moment in moments]
    (at,) = (n for n in range(1, len(told)) if told[n] != told[n - 1])
    before = told[at - 1]
    assert before is not None
    return (moments[at] + before - midnight).total_seconds() / 3600


def rule_of(name: str) -> tuple[float, float, tuple[float, ...] | None, tuple[float, ...] | None] | None:
    """Return standard offset [h], summer shift [h], and month, Sunday and hour it starts and ends at.

    None where no one rule fits.
    """
    zone = zoneinfo.ZoneInfo(name)
    starts: list[set[Change]] = []
    ends: list[set[Change]] = []
    offsets, start_hours, end_hours = set(), set(), set()
    for year in range(FIRST_YEAR, FIRST_YEAR + YEARS):
        days = [dt.date(year, 1, 1) + dt.timedelta(n) for n in range(366)]
        by_day = [(day, offset(zone, day - dt.timedelta(1)), offset(zone, day)) for day in days
                  if day.year == year]
        changes = [(day, before, after) for day, before, after in by_day if before != after]
        offsets |= {after for _, _, after in by_day}
        if len(changes) not in (0, 2):
            return None
        for day, before, after in changes:
            (starts if after > before else ends).append(sunday_of(day))
            (start_hours if after > before else end_hours).add(hour_of(zone, day))
    if not starts and not ends:
        return (offsets.pop(), 0, None, None) if len(offsets) == 1 else None
    if len(offsets) != 2 or len(starts) != YEARS or len(ends) != YEARS:
        return None
    start, end = set.intersection(*starts), set.intersection(*ends)
    if not start or not end or len(start_hours) != 1 or len(end_hours) != 1:
        return None
    return min(offsets), max(offsets) - min(offsets), (*min(start), *start_hours), (*min(end), *end_hours)


def time_zones_text() -> str:
    """Return the list as a CSV file."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADER)
    for name in names():
        rule = rule_of(name)
        if rule is not None:
            standard, shift, start, end = rule
            writer.writerow([name, f"{standard:g}", f"{shift:g}", *(f"{each:g}" for each in start or ()),
                             *[""] * (0 if start else 3), *(f"{each:g}" for each in end or ()),
                             *[""] * (0 if end else 3)])
    return out.getvalue()


if __name__ == "__main__":
    FILE.write_text(time_zones_text(), "utf-8")
    sys.stdout.write(f"Wrote {FILE}.\n")
