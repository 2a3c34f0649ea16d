"""The spray log, amounts and readings against the passes they speak of, and against one another."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, time

from workbook_builder.check.problems import Line, Problem, Shelf, folded
from workbook_builder.check.products import rate_parts
from workbook_builder.check.season import out_of_order, outside_season
from workbook_builder.core.inputs import Inputs, Row
from workbook_builder.features.as_logged.definitions import amount_doubtful, contradictions, ground_sprayed
from workbook_builder.features.loads.definitions import work_rate
from workbook_builder.features.reference.data import factors

#: An application that ends by the clock before it starts ran over night; longer than this the times are
#: doubtful [h].
LONGEST_NIGHT = 12
#: Tables whose rows belong to a pass on a field.
_OF_PASSES = ("spray_log", "amounts_used", "conditions", "scouting", "load_log",
              "detection_trials", "look_log")


def check_records(shelf: Shelf) -> Iterator[Problem]:
    """Yield what is doubtful about rows that say what happened."""
    passes = {_key(row): row for _, row in shelf.inputs.filled("passes")}
    for line in shelf.rows(*_OF_PASSES):
        named = line.row.get("pass"), line.row.get("field")
        if None not in named and _key(line.row) not in passes:
            message = f"{named[0]!r} on {named[1]!r} is not in Passes, so this row counts nowhere"
            yield line.doubt("no-such-pass", "pass", message, "Add the pass to Passes, or fix the name")
    for line in shelf.rows("spray_log"):
        yield from out_of_order(line, "date", "written_on", "the date sprayed")
        yield from _backward(line)
        yield from outside_season(line, "date")
    for line in shelf.rows("load_log"):
        carrier, area, volume = (passes.get(_key(line.row), {}).get("carrier"), line.row.get("area_covered"),
                                 line.row.get("volume_sprayed"))
        if carrier and area and volume and volume > carrier * area * (1 + 1e-9):
            message = f"{volume:g} sprayed is more than {area:g} can take at a carrier of {carrier:g}"
            yield line.doubt("load-too-large", "volume_sprayed", message,
                             "Check area and volume; area covered is all ground driven over")
    log = _Log(shelf.inputs)
    for line in shelf.rows("spray_log"):
        if _key(line.row) in log.passes and line.row.get("date") is not None:
            for key, message in _of_row(line.row, log):
                yield line.doubt("log-contradicts", key, message,
                                 "Check the figures; what the log says is what is judged")
    yield from _amounts(shelf, log)


def _backward(line: Line) -> Iterator[Problem]:
    """An application that ends before it starts would let people in too early.

    One without a last day may have run over night.
    """
    day, end_day, start, end = (line.row.get(key) for key in ("date", "end_date", "start_time", "end_time"))
    if (isinstance(day, date) and end_day is None and isinstance(start, time) and isinstance(end, time)
        and end < start):
        hours = 24 + (end.hour * 60 + end.minute - start.hour * 60 - start.minute) / 60
        if hours > LONGEST_NIGHT:
            message = (f"the application ends at {end:%H:%M}, before it starts at {start:%H:%M}: it is taken "
                       f"to end {hours:.3g} h later, on the next day")
            yield line.doubt("end-before-start", "end_time", message, "Mend the times, or type the last day")
    if not isinstance(day, date) or not isinstance(end_day, date):
        return
    if end_day < day or (end_day == day and start is not None and end is not None and end < start):
        shown = f"{end_day} {end:%H:%M}" if end is not None else f"{end_day}"
        message = (f"the application ends on {shown}, before it starts on "
                   f"{day}{'' if start is None else f' {start:%H:%M}'}")
        yield line.wrong("end-before-start", "end_date" if end_day < day else "end_time", message,
                         "Check date, last day and both times")


Key = tuple[str, str]


class _Log:
    """The tables of the log and what they speak of, each row found by its pass and field or by its name."""

    def __init__(self, inputs: Inputs) -> None:
        self.divisor = factors(inputs.system)[0]["work_rate_divisor"]
        # Of two rows of one name the first counts.
        self.fields, self.sprayers = ({folded(row.get(key)): row
                                       for _, row in reversed([*inputs.filled(f"{key}s")])}
                                      for key in ("field", "sprayer"))
        self.sprayed = {_key(row): row for _, row in reversed([*inputs.filled("spray_log")])}
        self.passes = {_key(row): row for _, row in inputs.filled("passes")}
        self.loads: dict[Key, list[Row]] = defaultdict(list)
        for _, load in inputs.filled("load_log"):
            self.loads[_key(load)].append(load)

    def of_loads(self, key: Key, figure: str) -> float:
        """Return the sum of a figure over the loads of a pass."""
        return sum(load.get(figure) or 0 for load in self.loads.get(key, ()))


class _Logged:
    """What the inputs hold of one logged pass; blanks are 0."""

    def __init__(self, log: _Log, key: Key) -> None:
        planned, row = log.passes[key], log.sprayed.get(key, {})
        self.done = row.get("date") is not None
        self.sprayer = log.sprayers.get(folded(planned.get("sprayer")), {})
        self.method, self.carrier = planned.get("method") or "", planned.get("carrier") or 0
        self.field_area = log.fields.get(folded(planned.get("field")), {}).get("area") or 0
        self.area = (row.get("area_treated") if self.done else None) or self.field_area
        self.volume = (row.get("volume_sprayed") or log.of_loads(key, "volume_sprayed")) if self.done else 0
        self.ground = ground_sprayed(self.method, self.area, self.volume, self.carrier) or 0


def _key(row: Row) -> Key:
    return folded(row.get("pass")), folded(row.get("field"))


def _of_row(row: Row, log: _Log) -> Iterator[tuple[str, str]]:
    """Yield the column and the message of what a row of the spray log contradicts."""
    logged = _Logged(log, _key(row))
    area, field, volume = logged.area, logged.field_area, row.get("volume_sprayed")
    planned, hours = area * logged.carrier or None, _hours(row)
    of_loads, covered = (log.of_loads(_key(row), figure) for figure in ("volume_sprayed", "area_covered"))
    width, speed = (logged.sprayer.get(key) or 0 for key in ("boom_width", "speed"))
    reach = hours * work_rate(speed, width, 1, log.divisor) or None
    of_plan = f"which the carrier rate of {logged.carrier:g} puts there"
    said = {
        "area": ("area_treated", f"{area:g} treated is more than the field's {field:g}"),
        "volume": ("volume_sprayed",
                   f"{volume or 0:g} sprayed on {area:g} is far from {planned or 0:g}, {of_plan}"),
        "loads": ("volume_sprayed", f"{volume or 0:g} sprayed is not the {of_loads:g} of the loads logged"),
        "covered": ("area_treated", f"the loads logged cover {covered:g}, more than the field's {field:g}"),
        "pace": ("end_time",
                 f"{area:g} in {hours:.3g} h is faster than boom and speed of the sprayer, which reach "
                 f"{reach or 0:.4g}"),
    }
    for kind in contradictions(area, field, volume, planned, logged.method, volume, of_loads, covered, reach):
        yield said[kind]


def _hours(row: Row) -> float:
    """Return the hours of a logged application by its clock times,
    over night where it ends before it starts; 0 when not known.
    """
    start, end, first, last = (row.get(key) for key in ("start_time", "end_time", "date", "end_date"))
    if not isinstance(start, time) or not isinstance(end, time) or first is None:
        return 0.0
    minutes = end.hour * 60 + end.minute - start.hour * 60 - start.minute
    days = (last - first).days if last is not None else int(minutes < 0)
    return max(0.0, days * 24 + minutes / 60)


def _amounts(shelf: Shelf, log: _Log) -> Iterator[Problem]:
    """Amounts used of products that are not in the mix, of passes without a day,
    and far from what the mix makes them.
    """
    mixes = {(folded(row.get("mix")), folded(row.get("product"))): row
             for _, row in shelf.inputs.filled("mixes")}
    for line in shelf.rows("amounts_used"):
        row = line.row
        planned, amount = log.passes.get(_key(row)), row.get("amount")
        if planned is None or row.get("product") is None:
            continue
        mixed = mixes.get((folded(planned.get("mix")), folded(row["product"])))
        if mixed is None:
            message = f"{row['product']!r} is not in the mix of {row['pass']!r}, so no limit judges it"
            yield line.doubt("product-not-in-mix", "product", message, "Add it to the mix, or fix the name")
            continue
        logged = _Logged(log, _key(row))
        # On the ground sprayed, at the rate of the mix; 0 when it is not known.
        on = {"area": logged.ground, "per 100": logged.ground * logged.carrier / 100}
        if logged.volume and logged.carrier:
            on = {"area": logged.volume / logged.carrier, "per 100": logged.volume / 100}
        by_mix = (mixed.get("rate") or 0) * on.get(rate_parts(mixed.get("rate_unit"))[1], 0)
        if by_mix and amount_doubtful(amount, by_mix):
            message = (f"{amount:g} used is far from {by_mix:.4g}, which the rate of {mixed['rate']:g} "
                       f"{mixed['rate_unit']} makes it")
            yield line.doubt("log-contradicts", "amount", message,
                             "Check amount and unit: it is that of the rate, without the area")
        if not logged.done:
            yield line.doubt("log-contradicts", "amount",
                             "the amount used is typed, but not the date sprayed",
                             "Type the pass with its date into the spray log")
