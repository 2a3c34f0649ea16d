"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.draft import Cells, moment
from workbook_builder.core.views import PlainRow, Planned, View
from workbook_builder.features.calendar.columns import FIELD_EVENTS, NEXT_CROP_FROM, PASS_EVENTS
from workbook_builder.features.calendar.definitions import merged
from workbook_builder.features.clock.definitions import MINUTES, minute_of

#: Slot of the spraying itself among the events of a pass.
SPRAY = 1


def calendar(plan: Planned) -> list[PlainRow]:
    """Events in the order of their days; a blank time means the whole day."""
    tables = {1: plan.tables["pass_events"], 2: plan.tables["field_events"]}
    return [_row(plan, source, number, tables[source][number - 1])
            for source, number in merged(tables[1], tables[2])]


def _row(plan: Planned, source: int, number: int, event: Cells) -> PlainRow:
    kinds = len(PASS_EVENTS) if source == 1 else len(FIELD_EVENTS)
    place = (number - 1) // kinds
    kind = plan.tables["calendar_kinds"][event["slot"] - 1 + (len(PASS_EVENTS) if source == 2 else 0)]
    row = plan.tables["pass_volumes" if source == 1 else "fields"][place]
    minute = minute_of(event["when"])
    when = moment(minute / MINUTES)
    subject = (plan.tables["passes"][place]["mix"] if source == 1
               else row["next_crop" if event["slot"] > NEXT_CROP_FROM else "crop"])
    # When the work ends, where that can be worked out.
    times = plan.tables["pass_times"][place] if source == 1 and event["slot"] == SPRAY else Cells()
    end = (moment(minute_of(times["end"]) / MINUTES).isoformat(timespec="minutes")
           if times["end_known"] == 1 else None)
    found = {
        "date": when.date().isoformat(), "time": when.strftime("%H:%M") if minute % MINUTES else None,
        "what": kind["name"], "field": row["field"],
        "subject": subject, "pass": row["pass"] if source == 1 else None, "to_do": event["note"]
        or kind["to_do"], "who": kind["who"],
        "done": event["done"] == "yes", "status": event["status"], "end": end,
    }
    return {key: None if value == "" else value for key, value in found.items()}


VIEWS = (
    View("calendar", "Events in the order of their days; a blank time means the whole day.", calendar),
)
