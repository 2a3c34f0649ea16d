"""Fields, passes and past use against the calendar and the season, and clock times that do not exist."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from datetime import date
from functools import cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from workbook_builder.check.names import ANY_CROP, folded
from workbook_builder.check.problems import WARNING, Problem, nearest, where
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs, Row
from workbook_builder.features.labels.names import CROP_NAMES
from workbook_builder.features.reference.data import crop_of_names, old_groups, spelled

#: Table, and dates of a row of it in the order they come in.
_IN_ORDER = (("fields", "planting_date", "harvest_date"), ("fields", "harvest_date", "next_planting_date"), ("bloom", "from", "to"))
#: How alike two names are when one is a slip of the other: a letter too many, left out or exchanged.
SLIP = 0.9
#: Tables and columns that name crops.
_CROP_COLUMNS = (("label_limits", "crop"), ("plant_back", "next_crop"), ("ingredient_limits", "crop"))


def check_season(inputs: Inputs, tables: dict[str, Table]) -> list[Problem]:
    """Return what is doubtful about dates, seasons, crops and the farm's time zone."""
    return [
        *_time_zone(inputs, tables),
        *_field_dates(inputs, tables),
        *(problem for key, *dates in _IN_ORDER if key in tables for problem in _out_of_order(inputs, tables[key], *dates)),
        *_pass_dates(inputs, tables),
        *_past_use(inputs, tables),
        *_crops(inputs, tables),
    ]


@cache
def _known_time_zones() -> set[str]:
    """Return the names of the time zones this computer knows; listing them reads hundreds of files."""
    return available_timezones()


def _time_zone(inputs: Inputs, tables: dict[str, Table]) -> Iterator[Problem]:
    name, known = inputs.form("farm").get("time_zone"), _known_time_zones()
    # Without a time zone list on the computer nothing can be said.
    if name and known and name not in known and "farm" in tables:
        place = where(inputs, tables["farm"], 1, "time_zone")
        like = nearest(str(name), known)
        fix = f"Did you mean {like!r}?" if like else "Use a name such as America/Chicago"
        yield Problem("unknown-time-zone", f"{name!r} is not a known time zone", **place, fix=fix)


def _field_dates(inputs: Inputs, tables: dict[str, Table]) -> Iterator[Problem]:
    for at, row in inputs.filled("fields") if "fields" in tables else ():
        for key in ("planting_date", "harvest_date"):
            yield from _outside_season(inputs, tables["fields"], at, key, row.get(key))


def _out_of_order(inputs: Inputs, table: Table, earlier: str, later: str) -> Iterator[Problem]:
    for at, row in inputs.filled(table.key):
        first, second = row.get(earlier), row.get(later)
        if isinstance(first, date) and isinstance(second, date) and second < first:
            before, after = table.by_key[earlier].header, table.by_key[later].header
            message = f"{after} {second} comes before {before.lower()} {first}"
            yield Problem("dates-out-of-order", message, **where(inputs, table, at, later), severity=WARNING, fix="Check both dates")


def _outside_season(inputs: Inputs, table: Table, at: int, key: str, day: object) -> Iterator[Problem]:
    season = inputs.form("farm").get("season")
    if isinstance(day, date) and isinstance(season, int) and abs(day.year - season) > 1:
        place = where(inputs, table, at, key)
        message = f"{day} lies far from the season {season}"
        yield Problem("outside-season", message, **place, severity=WARNING, fix="Check the year, here and in Farm")


def _pass_dates(inputs: Inputs, tables: dict[str, Table]) -> Iterator[Problem]:
    followers = {folded(row.get("field")): row.get("next_planting_date") for _, row in inputs.filled("fields")}
    for at, row in inputs.filled("passes") if "passes" in tables else ():
        day, follower = row.get("date"), followers.get(folded(row.get("field")))
        yield from _outside_season(inputs, tables["passes"], at, "date", day)
        if isinstance(day, date) and isinstance(follower, date) and day > follower:
            place = where(inputs, tables["passes"], at, "date")
            message = f"the pass on {day} comes after the next crop of {row['field']!r} is planted on {follower}"
            yield Problem("pass-after-next-planting", message, **place, severity=WARNING, fix="Check both dates")


def _past_use(inputs: Inputs, tables: dict[str, Table]) -> Iterator[Problem]:
    season = inputs.form("farm").get("season")
    by_active = {row["old_group"] for row in old_groups() if row["new_group"] is None}
    for at, row in inputs.filled("past_use") if "past_use" in tables else ():
        used = row.get("season")
        if isinstance(used, int) and isinstance(season, int) and used >= season:
            place = where(inputs, tables["past_use"], at, "season")
            message = f"past use in {used} does not come before the season {season}"
            fix = "Passes of this season belong in Passes"
            yield Problem("past-use-not-past", message, **place, severity=WARNING, fix=fix)
        if row.get("mode_group") in by_active and row.get("scheme") in (None, "herbicide"):
            message = f"old group {row['mode_group']} is another one today, which depends on the active ingredient"
            place = where(inputs, tables["past_use"], at, "mode_group")
            yield Problem("group-by-active", message, **place, severity=WARNING, fix="Type the group of today of the active ingredient that was used")


def _crops(inputs: Inputs, tables: dict[str, Table]) -> Iterator[Problem]:
    rows = [row for _, row in inputs.filled("fields")]
    grown = [str(row[key]) for row in rows for key in ("crop", "next_crop") if row.get(key) is not None]
    names = crop_of_names()
    known = {names.get(spelled(crop, CROP_NAMES), folded(crop)) for crop in grown} | {ANY_CROP}
    for table_key, key in _CROP_COLUMNS:
        # A crop is named once per table, however many products' labels name it.
        said: set[str] = set()
        for at, row in inputs.filled(table_key) if table_key in tables else ():
            crop = row.get(key)
            if crop is None or folded(crop) in said or names.get(spelled(crop, CROP_NAMES), folded(crop)) in known:
                continue
            said.add(folded(crop))
            # A label names many crops that no field grows this season; one that hardly differs from a grown one was meant for it.
            like = nearest(str(crop), grown, SLIP)
            if like:
                place = where(inputs, tables[table_key], at, key)
                message = f"no field grows {crop!r}, though some grow {like!r}"
                yield Problem("crop-not-grown", message, **place, severity=WARNING, fix=f"Did you mean {like!r}?")


#: Table, its clock time and the day that it belongs to.
_TIMES = (
    ("passes", "start_time", "date"), ("spray_log", "start_time", "date"), ("spray_log", "end_time", "end_date"), ("conditions", "time", "date"),
)


def check_clock_times(inputs: Inputs, tables: dict[str, Table]) -> list[Problem]:
    """Return the clock times that the farm's clock leaves out on their day."""
    name = inputs.form("farm").get("time_zone")
    try:
        zone = ZoneInfo(str(name)) if name else None
    except (ZoneInfoNotFoundError, ValueError, OSError):
        zone = None
    return [] if zone is None else list(_left_out(inputs, tables, zone))


def _left_out(inputs: Inputs, tables: dict[str, Table], zone: ZoneInfo) -> Iterator[Problem]:
    for key, time_key, day_key in _TIMES:
        for at, row in inputs.filled(key) if key in tables else ():
            day, time = _day(row, day_key), row.get(time_key)
            if not isinstance(day, dt.date) or not isinstance(time, dt.time):
                continue
            clock = dt.datetime.combine(day, time)
            shown = clock.replace(tzinfo=zone).astimezone(dt.UTC).astimezone(zone).replace(tzinfo=None)
            if shown != clock:
                message, fix = f"the clock has no {clock:%H:%M} on {day}: it is put forward over that hour", f"Type {shown:%H:%M} if that is what it showed"
                yield Problem("time-not-on-clock", message, **where(inputs, tables[key], at, time_key), fix=fix)


def _day(row: Row, key: str) -> object:
    """Return the day a time belongs to; an application without a last day ends on its own day or in the night that follows."""
    if key != "end_date":
        return row.get(key)
    day, start, end = row.get("date"), row.get("start_time"), row.get("end_time")
    if row.get("end_date") is not None:
        return row["end_date"]
    overnight = isinstance(start, dt.time) and isinstance(end, dt.time) and end < start
    return day + dt.timedelta(days=1) if isinstance(day, dt.date) and overnight else day
