"""Fields, passes and past use against the calendar and the season, and clock times that do not exist."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from functools import cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from workbook_builder.check.names import ANY_CROP
from workbook_builder.check.problems import Line, Problem, Shelf, folded, nearest
from workbook_builder.features.labels.names import CROP_NAMES
from workbook_builder.features.reference.data import crop_of_names, old_groups, spelled

#: Table, and dates of a row of it in the order they come in.
_IN_ORDER = (("fields", "planting_date", "harvest_date"), ("fields", "harvest_date", "next_planting_date"),
             ("bloom", "from", "to"))
#: How alike two names are when one is a slip of the other: a letter too many, left out or exchanged.
SLIP = 0.9
#: Tables and columns that name crops.
_CROP_COLUMNS = (("label_limits", "crop"), ("plant_back", "next_crop"), ("ingredient_limits", "crop"))
#: Table, its clock time and the day that it belongs to.
_TIMES = (
    ("passes", "start_time", "date"), ("spray_log", "start_time", "date"),
    ("spray_log", "end_time", "end_date"), ("conditions", "time", "date"),
)


def check_season(shelf: Shelf) -> Iterator[Problem]:
    """Yield what is doubtful about dates, seasons, crops and the farm's time zone."""
    farm, fields = shelf.inputs.form("farm"), [row for _, row in shelf.inputs.filled("fields")]
    zone, known = farm.get("time_zone"), _known_time_zones()
    # Without a time zone list on the computer nothing can be said.
    if zone and known and zone not in known and "farm" in shelf.tables:
        like = nearest(str(zone), known)
        fix = f"Did you mean {like!r}?" if like else "Use a name such as America/Chicago"
        yield Line(shelf.inputs, shelf.tables["farm"], 1, farm).wrong("unknown-time-zone", "time_zone",
                                                                      f"{zone!r} is not a known time zone",
                                                                      fix)
    for line in shelf.rows("fields"):
        for key in ("planting_date", "harvest_date"):
            yield from outside_season(line, key)
    for table, earlier, later in _IN_ORDER:
        for line in shelf.rows(table):
            yield from out_of_order(line, earlier, later, "")
    followers = {folded(row.get("field")): row.get("next_planting_date") for row in fields}
    for line in shelf.rows("passes"):
        day, follower = line.row.get("date"), followers.get(folded(line.row.get("field")))
        yield from outside_season(line, "date")
        if isinstance(day, dt.date) and isinstance(follower, dt.date) and day > follower:
            message = (f"the pass on {day} comes after the next crop of {line.row['field']!r} is planted on "
                       f"{follower}")
            yield line.doubt("pass-after-next-planting", "date", message, "Check both dates")
    by_active, season = {row["old_group"] for row in old_groups()
                         if row["new_group"] is None}, farm.get("season")
    for line in shelf.rows("past_use"):
        used, group = line.row.get("season"), line.row.get("mode_group")
        if isinstance(used, int) and isinstance(season, int) and used >= season:
            message = f"past use in {used} does not come before the season {season}"
            yield line.doubt("past-use-not-past", "season", message, "Passes of this season belong in Passes")
        if group in by_active and line.row.get("scheme") in (None, "herbicide"):
            message = f"old group {group} is another one today, which depends on the active ingredient"
            yield line.doubt("group-by-active", "mode_group", message,
                             "Type the group of today of the active ingredient that was used")
    yield from _crops(shelf, [str(row[key]) for row in fields for key in ("crop", "next_crop")
                              if row.get(key) is not None])


@cache
def _known_time_zones() -> set[str]:
    """Return the names of the time zones this computer knows; listing them reads hundreds of files."""
    return available_timezones()


def out_of_order(line: Line, earlier: str, later: str, named: str) -> Iterator[Problem]:
    """Yield a warning where a date comes before one that it follows,
    which goes by its header unless it is named.
    """
    first, second = line.row.get(earlier), line.row.get(later)
    if isinstance(first, dt.date) and isinstance(second, dt.date) and second < first:
        before = named or line.table.by_key[earlier].header.lower()
        yield line.doubt("dates-out-of-order", later,
                         f"{line.table.by_key[later].header} {second} comes before {before} {first}",
                         "Check both dates")


def outside_season(line: Line, key: str) -> Iterator[Problem]:
    """Yield a warning where a date lies more than a year from the season."""
    day, season = line.row.get(key), line.inputs.form("farm").get("season")
    if isinstance(day, dt.date) and isinstance(season, int) and abs(day.year - season) > 1:
        yield line.doubt("outside-season", key, f"{day} lies far from the season {season}",
                         "Check the year, here and in Farm")


def _crops(shelf: Shelf, grown: list[str]) -> Iterator[Problem]:
    names = crop_of_names()
    known = {names.get(spelled(crop, CROP_NAMES), folded(crop)) for crop in grown} | {ANY_CROP}
    for table, key in _CROP_COLUMNS:
        # A crop is named once per table, however many products' labels name it.
        said: set[str] = set()
        for line in shelf.rows(table):
            crop = line.row.get(key)
            if (crop is None or folded(crop) in said
                or names.get(spelled(crop, CROP_NAMES), folded(crop)) in known):
                continue
            said.add(folded(crop))
            # A label names many crops that no field grows this season; one that hardly differs from a grown
            # one was meant for it.
            like = nearest(str(crop), grown, SLIP)
            if like:
                yield line.doubt("crop-not-grown", key, f"no field grows {crop!r}, though some grow {like!r}",
                                 f"Did you mean {like!r}?")


def zone_named(name: object) -> ZoneInfo | None:
    """Return the time zone of a name; None without one, and for one this computer does not know."""
    try:
        return ZoneInfo(str(name)) if name else None
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


def check_clock_times(shelf: Shelf) -> Iterator[Problem]:
    """Yield the clock times that the farm's clock leaves out on their day:
    on one night a year it is put forward over them.
    """
    zone = zone_named(shelf.inputs.form("farm").get("time_zone"))
    for table, time_key, day_key in _TIMES if zone else ():
        for line in shelf.rows(table):
            day, time = line.row.get(day_key), line.row.get(time_key)
            if day_key == "end_date" and day is None:
                # An application without a last day ends on its own day or in the night that follows.
                day, start = line.row.get("date"), line.row.get("start_time")
                overnight = isinstance(start, dt.time) and isinstance(time, dt.time) and time < start
                day = day + dt.timedelta(days=1) if isinstance(day, dt.date) and overnight else day
            if not isinstance(day, dt.date) or not isinstance(time, dt.time):
                continue
            clock = dt.datetime.combine(day, time)
            shown = clock.replace(tzinfo=zone).astimezone(dt.UTC).astimezone(zone).replace(tzinfo=None)
            if shown != clock:
                message = f"the clock has no {clock:%H:%M} on {day}: it is put forward over that hour"
                yield line.wrong("time-not-on-clock", time_key, message,
                                 f"Type {shown:%H:%M} if that is what it showed")
