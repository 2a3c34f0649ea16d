"""Figures of the log against the field, the carrier rate, the mix and one another."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import time
from typing import Any

from workbook_builder.check.names import folded
from workbook_builder.check.places import where
from workbook_builder.check.problems import WARNING, Problem
from workbook_builder.columns import Table
from workbook_builder.inputs import Inputs, Row
from workbook_builder.reference_data import factors
from workbook_builder.tables.inputs_records import AMOUNT_DOUBT, AREA_DOUBT, LOADS_DOUBT, PACE_DOUBT, VOLUME_DOUBT
from workbook_builder.units import split_rate_unit

#: What shows that a figure lies above a limit, and not a rounding.
HAIR = 1e-9


class _Logged:
    """What the inputs hold of one logged pass; blanks are 0."""

    def __init__(self, inputs: Inputs, key: tuple[str, str], planned: Row) -> None:
        log = next((row for _, row in inputs.filled("spray_log") if _key(row) == key), {})
        self.done = log.get("date") is not None
        field = _named(inputs, "fields", "field", planned.get("field"))
        self.sprayer = _named(inputs, "sprayers", "sprayer", planned.get("sprayer"))
        self.spot, self.carrier = planned.get("method") == "spot", planned.get("carrier") or 0
        self.field_area = field.get("area") or 0
        self.area = (log.get("area_treated") if self.done else None) or self.field_area
        of_loads = sum(load.get("volume_sprayed") or 0 for _, load in inputs.filled("load_log") if _key(load) == key)
        self.volume = (log.get("volume_sprayed") or of_loads) if self.done else 0
        self.ground = (self.volume / self.carrier if self.carrier else 0) if self.spot else self.area


def _key(row: Row) -> tuple[str, str]:
    return folded(row.get("pass")), folded(row.get("field"))


def _named(inputs: Inputs, table: str, key: str, name: object) -> Row:
    return next((row for _, row in inputs.filled(table) if folded(row.get(key)) == folded(name)), {})


def check_log(inputs: Inputs, tables: dict[str, Table]) -> Iterator[Problem]:
    """Yield a warning for each figure of the log that cannot be right beside the others."""
    passes = {_key(row): row for _, row in inputs.filled("passes")}
    loads: dict[tuple[str, str], list[Row]] = defaultdict(list)
    for _, load in inputs.filled("load_log"):
        loads[_key(load)].append(load)
    for at, row in inputs.filled("spray_log") if "spray_log" in tables else ():
        if _key(row) in passes and row.get("date") is not None:
            logged = _Logged(inputs, _key(row), passes[_key(row)])
            for key, message in _of_row(inputs, row, logged, loads[_key(row)]):
                place = where(inputs, tables["spray_log"], at, key)
                yield Problem("log-contradicts", message, **place, severity=WARNING, fix="Check the figures; what the log says is what is judged")
    if "amounts_used" in tables:
        yield from _amounts(inputs, tables["amounts_used"], passes)


def _of_row(inputs: Inputs, row: Row, logged: _Logged, loads: list[Row]) -> Iterator[tuple[str, str]]:
    """Yield the column and the message of what a row of the spray log contradicts."""
    area, volume, planned = logged.area, row.get("volume_sprayed"), logged.area * logged.carrier
    if logged.field_area and area > logged.field_area * (1 + AREA_DOUBT) + HAIR:
        yield "area_treated", f"{area:g} treated is more than the field's {logged.field_area:g}"
    if volume is not None and planned and (volume > planned * (1 + VOLUME_DOUBT) + HAIR or (not logged.spot and volume < planned * (1 - VOLUME_DOUBT) - HAIR)):
        yield "volume_sprayed", f"{volume:g} sprayed on {area:g} is far from {planned:g}, which the carrier rate of {logged.carrier:g} puts there"
    of_loads, covered = (sum(load.get(key) or 0 for load in loads) for key in ("volume_sprayed", "area_covered"))
    if volume is not None and of_loads and abs(of_loads - volume) > volume * LOADS_DOUBT + HAIR:
        yield "volume_sprayed", f"{volume:g} sprayed is not the {of_loads:g} of the loads logged"
    if logged.field_area and covered > logged.field_area * (1 + AREA_DOUBT) + HAIR:
        yield "area_treated", f"the loads logged cover {covered:g}, more than the field's {logged.field_area:g}"
    hours, reach = _hours(row), logged.sprayer.get("speed", 0) or 0
    reach *= hours * (logged.sprayer.get("boom_width") or 0) / factors(inputs.system)[0]["work_rate_divisor"]
    if reach and area > reach * (1 + PACE_DOUBT) + HAIR:
        yield "end_time", f"{area:g} in {hours:.3g} h is faster than boom and speed of the sprayer, which reach {reach:.4g}"


def _hours(row: Row) -> float:
    """Return the hours of a logged application by its clock times, over night where it ends before it starts; 0 when not known."""
    start, end, first, last = (row.get(key) for key in ("start_time", "end_time", "date", "end_date"))
    if not isinstance(start, time) or not isinstance(end, time) or first is None:
        return 0.0
    minutes = end.hour * 60 + end.minute - start.hour * 60 - start.minute
    days = (last - first).days if last is not None else int(minutes < 0)
    return max(0.0, days * 24 + minutes / 60)


def _amounts(inputs: Inputs, table: Table, passes: dict[tuple[str, str], Row]) -> Iterator[Problem]:
    """Amounts used of products that are not in the mix, of passes without a day, and far from what the mix makes them."""
    mixes = {(folded(row.get("mix")), folded(row.get("product"))): row for _, row in inputs.filled("mixes")}
    for at, row in inputs.filled(table.key):
        planned, amount = passes.get(_key(row)), row.get("amount")
        if planned is None or row.get("product") is None:
            continue
        line = mixes.get((folded(planned.get("mix")), folded(row["product"])))
        if line is None:
            message = f"{row['product']!r} is not in the mix of {row['pass']!r}, so no limit judges it"
            yield Problem("product-not-in-mix", message, **where(inputs, table, at, "product"), severity=WARNING, fix="Add it to the mix, or fix the name")
            continue
        logged = _Logged(inputs, _key(row), planned)
        place, by_mix = where(inputs, table, at, "amount"), _by_mix(line, logged)
        if amount is not None and by_mix and abs(amount - by_mix) > by_mix * AMOUNT_DOUBT + HAIR:
            message = f"{amount:g} used is far from {by_mix:.4g}, which the rate of {line['rate']:g} {line['rate_unit']} makes it"
            yield Problem("log-contradicts", message, **place, severity=WARNING, fix="Check amount and unit: it is that of the rate, without the area")
        if not logged.done:
            message = "the amount used is typed, but not the date sprayed"
            yield Problem("log-contradicts", message, **place, severity=WARNING, fix="Type the pass with its date into the spray log")


def _by_mix(line: Row, logged: _Logged) -> Any:
    """Return the amount of a product on the ground sprayed at the rate of the mix; 0 when it is not known."""
    try:
        _, basis = split_rate_unit(str(line.get("rate_unit")))
    except ValueError:
        return 0
    on = {"area": logged.ground, "per 100": logged.ground * logged.carrier / 100}
    if logged.volume and logged.carrier:
        on = {"area": logged.volume / logged.carrier, "per 100": logged.volume / 100}
    return (line.get("rate") or 0) * on.get(basis, 0)
