"""The season calendar: everything that has a day, in the order of the days."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, number, worst
from workbook_builder.core.rounding import number_text
from workbook_builder.features.calendar.columns import EVENT_NUMBERS, FIELD_EVENTS, FIELD_EVENTS_FROM, LINE_TOPICS, NEXT_CROP_FROM, PASS_EVENTS, TOPICS
from workbook_builder.features.clock.definitions import MINUTES, minute_of
from workbook_builder.features.records.definitions import display_until, record_due
from workbook_builder.features.reentry.definitions import moment_text

Event = tuple[Any, Any, Any, Any]
SEVERITY = {NOT_ALLOWED: 1, NOT_ENTERED: 2, LOOK: 3, OK: 4}


def calendar_passes(draft: Draft) -> list[Cells]:
    """What each pass says about its field."""
    rows = []
    for place, (volume, interval) in enumerate(zip(draft["pass_volumes"], draft["intervals"], strict=True)):
        out = Cells()
        for topic, (table, _) in LINE_TOPICS.items():
            _of_lines(out, topic, draft.under(table, place, draft.slots("products")))
        found_of = {"harvest": interval["harvest_status"], "grazing": interval["grazing_status"], **{topic: out[f"{topic}_status"] for topic in LINE_TOPICS}}
        for key, found in found_of.items():
            if volume["field_row"] != "" and found != "":
                out[f"{key}_key"] = volume["field_row"] * 10 + SEVERITY[found]
        rows.append(out)
    return rows


def _of_lines(out: Cells, topic: str, checks: list[Cells]) -> None:
    """The latest day and the worst status among the lines of a pass."""
    out[topic] = max((check["earliest_planting"] for check in checks if check["earliest_planting"] != ""), default="")
    status = out[f"{topic}_status"] = worst(check["status"] for check in checks)
    if status not in ("", OK):
        out[f"{topic}_finding"] = next(check["finding"] for check in checks if check["status"] == status)


def calendar_fields(draft: Draft) -> list[Cells]:
    """The day and the worst status that the passes leave each field."""
    of_field: dict[Any, list[int]] = {}
    for place, volume in enumerate(draft["pass_volumes"]):
        of_field.setdefault(volume["field_row"], []).append(place)
    rows = []
    for row_no in range(1, len(draft["fields"]) + 1):
        out, passes = Cells(row_no=row_no), of_field.get(row_no, [])
        for topic in TOPICS:
            _topic(draft, out, topic, passes)
        for topic, (_, later) in LINE_TOPICS.items():
            _earlier(draft, out, topic, row_no * 2 + later)
        rows.append(out)
    return rows


def _topic(draft: Draft, out: Cells, topic: str, passes: list[int]) -> None:
    """The latest day and the first of the worst statuses of some passes."""
    own, intervals = draft["calendar_passes"], draft["intervals"]
    table, prefix = (own, topic) if topic in LINE_TOPICS else (intervals, topic)
    days = intervals if topic == "grazing" else own
    day_key = "earliest_grazing" if topic == "grazing" else topic
    if topic == "harvest":
        out["harvest_latest"] = number(draft["field_intervals"][out["row_no"] - 1]["earliest_harvest"])
    else:
        out[f"{topic}_latest"] = max((days[place][day_key] for place in passes if days[place][day_key] != ""), default=0)
    judged = [place for place in passes if table[place][f"{prefix}_status"] != ""]
    if judged:
        first = min(judged, key=lambda place: SEVERITY[table[place][f"{prefix}_status"]])
        out[f"{topic}_row"] = first + 1
        out[f"{topic}_status"], out[f"{topic}_finding"] = table[first][f"{prefix}_status"], table[first][f"{prefix}_finding"]


def _earlier(draft: Draft, out: Cells, topic: str, crop_no: int) -> None:
    """Let a spray of an earlier season rule where it forbids longer or says worse."""
    own = [(n, check) for n, check in enumerate(draft["earlier_checks"], 1) if check["crop_no"] == crop_no]
    days = [check["earliest_planting"] for _, check in own if check["earliest_planting"] != ""]
    out[f"{topic}_latest"] = max([out[f"{topic}_latest"], *days])
    judged = [(check["severity"], n) for n, check in own if check["severity"] != ""]
    out[f"{topic}_rules"] = 0
    if judged:
        severity, n = min(judged)
        out[f"{topic}_earlier"] = n
        if out[f"{topic}_row"] == "" or severity < SEVERITY[out[f"{topic}_status"]]:
            out[f"{topic}_rules"] = 1
            check = draft["earlier_checks"][n - 1]
            out[f"{topic}_status"], out[f"{topic}_finding"] = check["status"], check["finding"]


def pass_events(draft: Draft) -> list[Cells]:
    """What comes of each pass."""
    rows = []
    for place in range(len(draft["passes"])):
        events = (_spraying(draft, place), *_people(draft, place), *_looks(draft, place), *_papers(draft, place))
        rows += _slots(events, place * len(PASS_EVENTS))
    return rows


def field_events(draft: Draft) -> list[Cells]:
    """What happens on each field."""
    rows = []
    for place, (field, facts) in enumerate(zip(draft["fields"], draft["calendar_fields"], strict=True)):
        named = field["field"] != ""
        grazing, harvest, plant_back = ((facts[f"{key}_status"], facts[f"{key}_finding"]) for key in ("grazing", "harvest", "plant_back"))
        own = draft["field_intervals"][place]
        events: tuple[Event, ...] = (
            (facts["planting_latest"] or "", "", facts["planting_status"], facts["planting_finding"]),
            (field["planting_date"] if named else "", "", *_planting(facts, "planting", own, "planting")),
            (facts["grazing_latest"] or "", "", *grazing),
            (facts["harvest_latest"] or "", "", *harvest),
            (field["harvest_date"] if named else "", "", *harvest),
            (facts["plant_back_latest"] or "", "", *plant_back),
            (field["next_planting_date"] if named else "", "", *_planting(facts, "plant_back", own, "next_planting")),
        )
        rows += _slots(events, FIELD_EVENTS_FROM + place * len(FIELD_EVENTS))
    return rows


def _planting(facts: Cells, topic: str, own: Cells, entry: str) -> tuple[Any, Any]:
    """What plant-back says of a crop and what re-entry says of planting it, in one line."""
    said = (facts[f"{topic}_finding"], own[f"{entry}_note"])
    return worst((facts[f"{topic}_status"], own[f"{entry}_status"])), "; ".join(note for note in said if note)


def _slots(events: Iterable[Event], numbers_from: int) -> list[Cells]:
    rows = []
    for slot, (when, done, status, note) in enumerate(events, 1):
        out = Cells(slot=slot, when=when, done=done, status=status, note=note)
        if when != "":
            out["key"] = minute_of(when) * EVENT_NUMBERS + numbers_from + slot
        rows.append(out)
    return rows


def _spraying(draft: Draft, place: int) -> Event:
    typed, times, points = draft["passes"][place], draft["pass_times"][place], draft["pass_open"][place]
    note = "" if typed["method"] == "" else ", ".join(text for text in (typed["method"], typed["sprayer"]) if text != "")
    left = draft["records"][place]
    if left["left"] != "":
        note += f"; {left['to_spray']}"
    if number(points["open"]) > 0:
        note += f"; {number_text(points['open'])} point{'' if points['open'] == 1 else 's'} to fix"
    return times["start"], "" if times["log_day"] == "" or left["left"] != "" else "yes", points["status"], note


def _people(draft: Draft, place: int) -> list[Event]:
    """Re-entry and the two kinds of posting."""
    interval, times = draft["intervals"][place], draft["pass_times"][place]
    reentry, status = interval["reentry_at"], interval["reentry_status"]
    # An interval nobody entered stands at the day of the application, where it is seen.
    shown = reentry if reentry != "" else times["last_day"] if status == NOT_ENTERED else ""
    signs = reentry + 3 if interval["signs"] and reentry != "" else ""
    posted: Any = ""
    if times["end"] != "" and status != NOT_ENTERED:
        ends = times["end"] if reentry == "" else reentry
        posted = display_until(ends, number(draft.form("assumptions")["display_days"]))  # type: ignore[arg-type]
    return [(shown, "", status, interval["reentry_finding"]), (signs, "", status, ""), (posted, "", status, "")]


def _looks(draft: Draft, place: int) -> list[Event]:
    follow = draft["follow_up"][place]
    events: list[Event] = []
    for key in ("early", "first", "second"):
        when, closed = follow[f"{key}_look"], follow[f"{key}_closed"]
        done = when != "" and follow["looked"] != "" and follow["looked"] >= when
        rated = number_text(follow["rating"]) if done and follow["rating"] != "" else ""
        warned = ("", "") if closed == "" else (LOOK, f"Field is closed until {moment_text(closed)}")
        events.append((when, "yes", follow["status"], f"Rated {rated}") if done else (when, "", *warned))
    return events


def _papers(draft: Draft, place: int) -> list[Event]:
    """The record and the customer's copy of it."""
    record, day = draft["records"][place], draft["pass_times"][place]["day"]
    due = "" if day == "" else record_due(day, number(draft.form("assumptions")["record_days"]))  # type: ignore[arg-type]
    note = "" if record["status"] == OK else record["finding"]
    written, given = ("" if record[key] == "" else "yes" for key in ("written_on", "copy_given_on"))
    return [(due, written, record["status"], note), (record["copy_due"], given, record["status"], note)]


def calendar_kinds(draft: Draft) -> list[Cells]:
    """Who does what."""
    people = draft.form("assumptions")
    return [Cells(name=kind.name, who=people[kind.who], to_do=kind.to_do) for kind in (*PASS_EVENTS, *FIELD_EVENTS)]


def merged(passes: list[Any], fields: list[Any]) -> list[tuple[int, int]]:
    """Return (source, row counted from 1) of every event in the order of the keys.

    Parameters
    ----------
    passes, fields : list of Cells
        Events, those without a day included.
    """
    dated = [(row["key"], source, n) for source, rows in ((1, passes), (2, fields)) for n, row in enumerate(rows, 1) if row["key"] != ""]
    return [(source, n) for _, source, n in sorted(dated)]


def calendar(draft: Draft) -> list[Cells]:
    """Every event in the order of its day, as far as there is room."""
    passes, fields = draft["pass_events"], draft["field_events"]
    order = merged(passes, fields)
    keys = {1: sorted(row["key"] for row in passes if row["key"] != ""), 2: sorted(row["key"] for row in fields if row["key"] != "")}
    rows, used = [], 0
    for slot in range(1, draft.slots("calendar") + 1):
        out = Cells(slot=slot)
        out["next_pass"], out["next_field"] = _nth(keys[1], used), _nth(keys[2], slot - 1 - used)
        if slot <= len(order):
            out["source"], out["event"] = order[slot - 1]
            used += out["source"] == 1
            _fill(draft, out, (passes if out["source"] == 1 else fields)[out["event"] - 1])
        out["of_passes"] = used
        rows.append(out)
    return rows


def _nth(keys: list[Any], index: int) -> Any:
    return keys[index] if index < len(keys) else ""


def _fill(draft: Draft, out: Cells, event: Cells) -> None:
    of_pass = out["source"] == 1
    out["place"] = (out["event"] - 1) // len(PASS_EVENTS if of_pass else FIELD_EVENTS) + 1
    out["kind"] = event["slot"] if of_pass else len(PASS_EVENTS) + event["slot"]
    out["minute"] = minute_of(event["when"])
    out["date"] = out["minute"] // MINUTES
    if out["minute"] % MINUTES:
        out["time"] = out["minute"] % MINUTES / MINUTES
    kind = draft["calendar_kinds"][out["kind"] - 1]
    out["what"], out["who"] = kind["name"], kind["who"]
    out["note"], out["done"], out["status"] = event["note"], event["done"], event["status"]
    out["to_do"] = event["note"] or kind["to_do"]
    table = "pass_volumes" if of_pass else "fields"
    out["field"] = at(draft[table], out["place"], "field")
    if of_pass:
        out["pass"], out["subject"] = at(draft[table], out["place"], "pass"), at(draft["passes"], out["place"], "mix")
    else:
        out["subject"] = at(draft["fields"], out["place"], "next_crop" if event["slot"] > NEXT_CROP_FROM else "crop")


CALENDAR_PLANNERS = (
    ("calendar_passes", calendar_passes),
    ("calendar_fields", calendar_fields),
    ("pass_events", pass_events),
    ("field_events", field_events),
    ("calendar_kinds", calendar_kinds),
    ("calendar", calendar),
)
