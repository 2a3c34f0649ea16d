"""Re-entry of the field: which intervals run into one another, until when it stays closed, and what falls inside."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import EPOCH, Cells, Draft, at, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text, rounded
from workbook_builder.features.clock.definitions import MINUTES, Clock, farm_clock, minute_of
from workbook_builder.features.reentry.columns import MINUTE_ZERO, MINUTES_OF_A_FIELD


def longest(values: Iterable[Any]) -> Any:
    """Return the longest interval that is entered; blank when none is.

    References
    ----------
    40 CFR 170.407(c): the re-entry interval of a mixture is the longest of its products.
    """
    return max((value for value in values if value != ""), default="")


def first_and_more(names: list[str]) -> str:
    """Return the first name and how many more there are; blank for none."""
    if not names:
        return ""
    return names[0] + (f" and {len(names) - 1} more" if len(names) > 1 else "")


def missing_names(draft: Draft, place: int, key: str) -> str:
    """Return which products of a pass lack an interval of their label."""
    slots = draft.slots("products")
    lines, products = draft.under("line_intervals", place, slots), draft.under("mix_lines", place, slots)
    return first_and_more([product["product"] for product, line in zip(products, lines, strict=True) if line[f"{key}_missing"]])


def moment_text(minute: float) -> str:
    """Return a minute counted from day 0 in words, ``2026-05-14 07:30``."""
    return f"{dt.datetime.combine(EPOCH, dt.time()) + dt.timedelta(minutes=minute):%Y-%m-%d %H:%M}"


def day_text(day: float) -> str:
    """Return a day number in words, ``2026-05-14``."""
    return (EPOCH + dt.timedelta(days=int(day))).isoformat()


@dataclass(frozen=True)
class Closure:
    """One pass closes its field, in universal time.

    Parameters
    ----------
    row : int
        Row of the pass, counted from 1.
    start, until : float
        Start of the application and end of its own interval [d]; no interval ends at 0.
    """

    row: int
    start: float
    until: float


@dataclass(frozen=True)
class Closures:
    """Everything that closes the fields of a farm.

    Parameters
    ----------
    of_field : dict
        Field row -> closures.
    clock : Clock
    """

    of_field: dict[Any, list[Closure]]
    clock: Clock

    @classmethod
    def of(cls, draft: Draft) -> Closures:
        """Return the closures of a plan."""
        return cls(_closures(draft), farm_clock(draft))

    def closed(self, field_row: Any, started_before: float, when: float) -> float:
        """Return until when [d] a field is closed at a moment, 0 when it is open.

        Parameters
        ----------
        field_row : int or ""
        started_before : float
            Passes that start before this moment of the farm's clock count [d].
        when : float
            Moment of the farm's clock [d].

        References
        ----------
        40 CFR 170.407: nobody enters before the interval has passed, so the latest end of all of them rules.
        """
        latest = max((each.until for each in self.started(field_row, started_before)), default=0.0)
        return latest if rounded(latest - self.clock.universal(when), 6) > 0 else 0.0

    def started(self, field_row: Any, before: float) -> list[Closure]:
        """Return the passes on a field that start before a moment of the farm's clock."""
        if field_row == "":
            return []
        minute = minute_of(self.clock.universal(before))
        return [each for each in self.of_field.get(field_row, []) if minute_of(each.start) < minute]

    def fill(self, out: Cells, prefix: str, field_row: Any, day: Any) -> None:
        """Fill in until when a field is closed to whoever goes in on a day."""
        out[f"{prefix}_started"], out[f"{prefix}_closed"] = 0, ""
        if field_row == "" or day == "":
            return
        out[f"{prefix}_started"] = len(self.started(field_row, day + 1))
        until = self.closed(field_row, day + 1, day)
        if until:
            out[f"{prefix}_closed"] = self.minute(until)

    def minute(self, until: float) -> int:
        """Return the minute that the farm's clock shows at a universal moment."""
        return minute_of(self.clock.shown(until))


def _closures(draft: Draft) -> dict[Any, list[Closure]]:
    found: dict[Any, list[Closure]] = {}
    for row, (span, volume) in enumerate(zip(draft["reentry_spans"], draft["pass_volumes"], strict=True), 1):
        if span["start_minute"] != "":
            found.setdefault(number(volume["field_row"]), []).append(Closure(row, span["start_minute"] / MINUTES, number(span["until"])))
    return found


def reentry_spans(draft: Draft) -> list[Cells]:
    """From when to when each pass closes its field."""
    clock, unknown = farm_clock(draft), draft.form("assumptions")["unknown_reentry_days"]
    ties: Counter[int] = Counter()
    rows = []
    for place, (volume, times) in enumerate(zip(draft["pass_volumes"], draft["pass_times"], strict=True)):
        out = Cells()
        if volume["pass"] != "" and times["start"] != "":
            lines = draft.under("line_intervals", place, draft.slots("products"))
            hours = longest(line["rei"] for line in lines)
            out["start_minute"] = minute_of(clock.universal(times["start"]))
            key = out["key"] = number(volume["field_row"]) * MINUTES_OF_A_FIELD + out["start_minute"] - MINUTE_ZERO
            ties[int(key)] += 1
            out["order"] = key * 100 + ties[int(key)]
            out["until"] = "" if hours == "" else times["end_utc"] + hours / 24
            doubt = times["end_utc"] + unknown if missing_names(draft, place, "rei") else 0
            out["reach"] = max(number(out["until"]), doubt)
        rows.append(out)
    return rows


def field_sequence(draft: Draft) -> list[Cells]:
    """Passes field by field in the order of time, and the closed times they join in."""
    spans = draft["reentry_spans"]
    order = sorted((span["order"], row) for row, span in enumerate(spans, 1) if span["order"] != "")
    sums = dict.fromkeys(("until", "reach_before", "before", "reach", "latest", "joins", "harvest", "harvest_before", "harvest_latest"), 0)
    rows = [Cells(sums, row_no=row_no) for row_no in range(1, len(spans) + 1)]
    chain, above = 0, Cells(field_row="")
    for out, (key, row) in zip(rows, order, strict=False):
        out.update(order=key, row=row, field_row=number(at(draft["pass_volumes"], row, "field_row")))
        out.update(first=int(out["field_row"] != above["field_row"]), start=spans[row - 1]["start_minute"] / MINUTES)
        out["lacks"] = row if missing_names(draft, row - 1, "rei") else ""
        _run(out, spans[row - 1], Cells(reach=0, latest=0) if out["first"] else above)
        chain += 1 - out["joins"]
        out["chain"], above = chain, out
    _ends(rows[: len(order)])
    return rows


def _run(out: Cells, span: Cells, above: Cells) -> None:
    """Carry the latest end on from the pass before on the same field."""
    out.update(reach_before=above["reach"], before=above["latest"], before_row=above["latest_row"], until=number(span["until"]))
    out["reach"], out["latest"] = max(out["reach_before"], span["reach"]), max(out["before"], out["until"])
    out["latest_row"] = out["row"] if out["until"] > out["before"] else out["before_row"]
    out["joins"] = int(rounded(out["reach_before"] - out["start"], 6) > 0)
    carried = above["doubt_row"] if out["joins"] else ""
    out["doubt_row"] = out["lacks"] if carried == "" else carried


def _ends(rows: list[Cells]) -> None:
    """Let every pass of a closed time know how it ends."""
    last = {out["chain"]: place for place, out in enumerate(rows, 1)}
    for out in rows:
        end = rows[last[out["chain"]] - 1]
        out["chain_end"] = last[out["chain"]]
        out.update(open_at=end["latest"], open_row=end["latest_row"], open_doubt=end["doubt_row"])


def scouting_entry(draft: Draft) -> list[Cells]:
    """Whether the field was closed on the day of each frame."""
    closures, rows = Closures.of(draft), []
    for fact, row in zip(draft["scouting_facts"], draft["scouting"], strict=True):
        out = Cells()
        closures.fill(out, "frame", at(draft["pass_volumes"], fact["pass_row"], "field_row"), row["date"])
        rows.append(out)
    return rows


def field_intervals(draft: Draft) -> list[Cells]:
    """When people may go back into each field and when its crop may be cut."""
    _harvests(draft)
    closures = Closures.of(draft)
    of_field: dict[Any, list[Cells]] = {}
    for out in draft["field_sequence"]:
        if out["row"] != "":
            of_field.setdefault(out["field_row"], []).append(out)
    rows = []
    for row_no, field in enumerate(draft["fields"], 1):
        passes = of_field.get(row_no, []) if field["field"] != "" else []
        out = Cells(row_no=row_no, field=field["field"], passes=len(passes))
        if passes:
            _of_field(draft, out, passes, closures.clock)
        for prefix in ("planting", "next_planting"):
            _planting(out, prefix, row_no, field[f"{prefix}_date"], closures)
        rows.append(out)
    return rows


def _harvests(draft: Draft) -> None:
    """Carry the earliest harvest along the passes of each field."""
    above = Cells()
    for out in draft["field_sequence"]:
        if out["row"] == "":
            continue
        interval = draft["intervals"][out["row"] - 1]
        same = Cells() if out["first"] else above
        counts = interval["after_harvest"] == 0
        out["harvest"] = number(interval["earliest_harvest"]) if counts else 0
        out["harvest_before"] = number(same["harvest_latest"])
        out["harvest_latest"] = max(out["harvest"], out["harvest_before"])
        out["harvest_row"] = out["row"] if out["harvest"] > out["harvest_before"] else same["harvest_row"]
        lacks = out["row"] if counts and interval["phi_missing"] else ""
        out["harvest_lacks"] = same["harvest_lacks"] if same["harvest_lacks"] != "" else lacks
        above = out


def _of_field(draft: Draft, out: Cells, passes: list[Cells], clock: Clock) -> None:
    last, places = passes[-1], [row["row_no"] for row in passes]
    out["first_place"], out["last_place"] = places[0], places[-1]
    out["doubt_row"], out["harvest_lacks"] = last["doubt_row"], last["harvest_lacks"]
    if out["doubt_row"] == "" and last["latest"]:
        out["back_in_utc"] = last["latest"]
        out["back_in_from"] = clock.shown(last["latest"])
    ruling = out["doubt_row"] if out["doubt_row"] != "" else last["latest_row"] if out["back_in_utc"] != "" else ""
    out["because_of_pass"] = at(draft["pass_volumes"], ruling, "pass")
    if out["harvest_lacks"] == "" and last["harvest_latest"]:
        out["earliest_harvest"] = last["harvest_latest"]
    ruling = out["harvest_lacks"] if out["harvest_lacks"] != "" else last["harvest_row"] if out["earliest_harvest"] != "" else ""
    out["harvest_because_of_pass"] = at(draft["pass_volumes"], ruling, "pass")
    out["status"] = NOT_ENTERED if out["doubt_row"] != "" or out["harvest_lacks"] != "" else OK


def _planting(out: Cells, prefix: str, field_row: int, day: Any, closures: Closures) -> None:
    """Judge a planting: not in a closed field, and looked at where the field is closed for part of the day."""
    out[f"{prefix}_before"] = 0 if day == "" or not out["passes"] else len(closures.started(field_row, day))
    closures.fill(out, prefix, field_row, day if out["passes"] else "")
    if out[f"{prefix}_closed"] != "":
        all_day = max((each.until for each in closures.started(field_row, day)), default=0)
        closed = all_day and rounded(all_day - closures.clock.universal(day + 1), 6) >= 0
        out[f"{prefix}_status"] = NOT_ALLOWED if closed else LOOK
        out[f"{prefix}_note"] = f"Field is closed until {moment_text(out[f'{prefix}_closed'])}"


def entered_closed(draft: Draft) -> dict[str, Counter[Any]]:
    """Return how often each pass row's field was entered while closed, for looks back and for frames."""
    facts = {"looks": zip(draft["look_facts"], draft["look_facts"], strict=True), "frames": zip(draft["scouting_facts"], draft["scouting_entry"], strict=True)}
    keys = {"looks": "look_closed", "frames": "frame_closed"}
    return {name: Counter(fact["pass_row"] for fact, entry in pairs if entry[keys[name]] != "") for name, pairs in facts.items()}


def entry_checks(draft: Draft, place: int, out: Cells, clock: Clock, entered: dict[str, Counter[Any]]) -> None:
    """Judge the work that falls into a closed field: planting, looks, frames, and this pass itself when made on foot."""
    until = draft["reentry_spans"][place]["until"]
    own: Any = "" if until == "" else minute_of(clock.shown(until))
    out["own_minute"], out["own_text"] = own, "" if own == "" else moment_text(own)
    times, crop = draft["pass_times"][place], draft["pass_crops"][place]
    for key in ("planted", "next_planted"):
        out[f"{key}_inside"] = 0 if own == "" or not crop[key] else inside(crop[key], times["start"], own)
    _on_foot(draft, place, out)
    out["frames"], out["looks"], out["look_text"] = 0, 0, _look_text(draft["follow_up"][place])
    if out["pass"] == "":
        return
    out["frames"], out["looks"] = (entered[name][place + 1] for name in ("frames", "looks"))
    out["entry_finding"] = "; ".join(_entry_parts(draft, out, crop))[:250]
    if 2 in (out["planted_inside"], out["next_planted_inside"], out["foot"]):
        out["entry_status"] = NOT_ALLOWED
    else:
        out["entry_status"] = LOOK if out["entry_finding"] else "" if own == "" else OK


def inside(day: float, start: float, until: float) -> int:
    """Return how a day lies in a closed time: 0 outside, 1 for part of it, 2 the whole day.

    Parameters
    ----------
    day : float
        [day number]
    start : float
        Start of the application [d].
    until : float
        End of the interval [min from day 0].
    """
    if until <= day * MINUTES or start >= day + 1:
        return 0
    return 2 if start < day and until >= (day + 1) * MINUTES else 1


def _on_foot(draft: Draft, place: int, out: Cells) -> None:
    """Whether the pass starts in a field that an earlier one keeps closed, and whether people walk in it."""
    out["foot"] = out["one_trip"] = 0
    if out["place"] == "":
        return
    step = draft["field_sequence"][out["place"] - 1]
    if rounded(step["before"] - step["start"], 6) <= 0:
        return
    closing = out["closing_row"] = step["before_row"]
    trips = ((draft["trips"][place], closing), (draft["trips"][closing - 1], place + 1))
    out["one_trip"] = int(any(trip["together"] and trip["partner_row"] == other for trip, other in trips))
    if not out["one_trip"]:
        said = folded(at(draft["sprayers"], draft["pass_volumes"][place]["sprayer_row"], "on_foot"))
        out["foot"] = {"yes": 2, "no": 0}.get(said, 1)


def _look_text(follow: Cells) -> str:
    """Return the first look back planned for a day on which the field is closed."""
    for key in ("early", "first", "second"):
        if follow[f"{key}_closed"] != "":
            return f"{day_text(follow[f'{key}_look'])}, closed until {moment_text(follow[f'{key}_closed'])}"
    return ""


def _entry_parts(draft: Draft, out: Cells, crop: Cells) -> Iterable[str]:
    for key, what in (("planted", "planting"), ("next_planted", "planting of the next crop")):
        if out[f"{key}_inside"]:
            yield f"{what} on {day_text(crop[key])} falls into the re-entry interval, until {out['own_text']}"
    if out["foot"]:
        who = ", which is made on foot" if out["foot"] == 2 else ": nobody may be on foot"
        yield f"the field is still closed by {at(draft['pass_volumes'], out['closing_row'], 'pass')} when this pass starts{who}"
    if out["look_text"]:
        yield f"look back on {out['look_text']}"
    for key, one, many in (("looks", "look back was made", "looks back were made"), ("frames", "frame was thrown", "frames were thrown")):
        if out[key]:
            yield f"{number_text(out[key])} {one if out[key] == 1 else many} while the field was closed"
