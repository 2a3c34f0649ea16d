"""The spray log, amounts and readings against the passes they speak of."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, time

from workbook_builder.check.log_figures import check_log
from workbook_builder.check.names import folded
from workbook_builder.check.places import where
from workbook_builder.check.problems import WARNING, Problem
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs, Row

#: An application that ends by the clock before it starts ran over night; longer than this the times are doubtful [h].
LONGEST_NIGHT = 12
#: Tables whose rows belong to a pass on a field.
_OF_PASSES = ("spray_log", "amounts_used", "conditions", "scouting", "load_log", "detection_trials", "look_log")


def check_records(inputs: Inputs, tables: dict[str, Table]) -> list[Problem]:
    """Return what is doubtful about rows that say what happened."""
    return [*_strangers(inputs, tables), *_log_dates(inputs, tables), *_loads(inputs, tables), *check_log(inputs, tables)]


def _strangers(inputs: Inputs, tables: dict[str, Table]) -> Iterator[Problem]:
    planned = {(folded(row.get("pass")), folded(row.get("field"))) for _, row in inputs.filled("passes")}
    for key in _OF_PASSES:
        for at, row in inputs.filled(key) if key in tables else ():
            named = (row.get("pass"), row.get("field"))
            if None in named or (folded(named[0]), folded(named[1])) in planned:
                continue
            message = f"{named[0]!r} on {named[1]!r} is not in Passes, so this row counts nowhere"
            fix = "Add the pass to Passes, or fix the name"
            yield Problem("no-such-pass", message, **where(inputs, tables[key], at, "pass"), severity=WARNING, fix=fix)


def _log_dates(inputs: Inputs, tables: dict[str, Table]) -> Iterator[Problem]:
    season = inputs.form("farm").get("season")
    for at, row in inputs.filled("spray_log") if "spray_log" in tables else ():
        table, day = tables["spray_log"], row.get("date")
        if _before(row, "written_on", "date"):
            message = f"{table.by_key['written_on'].header} {row['written_on']} comes before the date sprayed {day}"
            place = where(inputs, table, at, "written_on")
            yield Problem("dates-out-of-order", message, **place, severity=WARNING, fix="Check both dates")
        yield from _backward(inputs, table, at, row)
        if isinstance(day, date) and isinstance(season, int) and abs(day.year - season) > 1:
            message = f"{day} lies far from the season {season}"
            place = where(inputs, table, at, "date")
            yield Problem("outside-season", message, **place, severity=WARNING, fix="Check the year, here and in Farm")


def _backward(inputs: Inputs, table: Table, at: int, row: Row) -> Iterator[Problem]:
    """An application that ends before it starts would let people in too early; one without a last day may have run over night."""
    day, end_day, start, end = (row.get(key) for key in ("date", "end_date", "start_time", "end_time"))
    if isinstance(day, date) and end_day is None and isinstance(start, time) and isinstance(end, time) and end < start:
        hours = 24 + (end.hour * 60 + end.minute - start.hour * 60 - start.minute) / 60
        if hours > LONGEST_NIGHT:
            message = f"the application ends at {end:%H:%M}, before it starts at {start:%H:%M}: it is taken to end {hours:.3g} h later, on the next day"
            fix = "Mend the times, or type the last day"
            yield Problem("end-before-start", message, **where(inputs, table, at, "end_time"), severity=WARNING, fix=fix)
    if not isinstance(day, date) or not isinstance(end_day, date):
        return
    if end_day < day or (end_day == day and start is not None and end is not None and end < start):
        key = "end_date" if end_day < day else "end_time"
        shown = f"{end_day} {end:%H:%M}" if end is not None else f"{end_day}"
        message = f"the application ends on {shown}, before it starts on {day}{'' if start is None else f' {start:%H:%M}'}"
        yield Problem("end-before-start", message, **where(inputs, table, at, key), fix="Check date, last day and both times")


def _before(row: Row, later: str, earlier: str) -> bool:
    first, second = row.get(earlier), row.get(later)
    return isinstance(first, date) and isinstance(second, date) and second < first


def _loads(inputs: Inputs, tables: dict[str, Table]) -> Iterator[Problem]:
    """Loads whose figures cannot all be right."""
    carriers = {(folded(row.get("pass")), folded(row.get("field"))): row.get("carrier") for _, row in inputs.filled("passes")}
    for at, row in inputs.filled("load_log") if "load_log" in tables else ():
        place = where(inputs, tables["load_log"], at, "volume_sprayed")
        carrier, area, volume = carriers.get((folded(row.get("pass")), folded(row.get("field")))), row.get("area_covered"), row.get("volume_sprayed")
        if carrier and area and volume and volume > carrier * area * (1 + 1e-9):
            message = f"{volume:g} sprayed is more than {area:g} can take at a carrier of {carrier:g}"
            yield Problem("load-too-large", message, **place, severity=WARNING, fix="Check area and volume; area covered is all ground driven over")
