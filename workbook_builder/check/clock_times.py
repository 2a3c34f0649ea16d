"""Clock times that do not exist: on one night a year the clock is put forward over them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from workbook_builder.check.places import where
from workbook_builder.check.problems import Problem
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs, Row

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
