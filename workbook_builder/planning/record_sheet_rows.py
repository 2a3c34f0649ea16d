"""The printable record of one application: what is known, and lines for the rest."""

from __future__ import annotations

from typing import Any

from workbook_builder.planning.draft import Cells, Draft, at
from workbook_builder.planning.overview_rows import row_of_choice

LINE = "____________"
#: Cell of the sheet -> column of the spray log.
FROM_LOG = {
    "customer": "customer", "site": "site", "area": "area_treated", "date": "date", "start_time": "start_time", "end_time": "end_time",
    "volume": "volume_sprayed", "wind_start": "wind_start", "wind_from_start": "wind_from_start", "wind_end": "wind_end",
    "wind_from_end": "wind_from_end", "temperature_start": "temperature_start", "temperature_end": "temperature_end",
    "humidity": "humidity", "applicator": "applicator", "certificate": "certificate", "supervised_person": "supervised_person",
}
#: Cell of the sheet -> plan table and column.
FROM_PLAN = {
    "crop": ("pass_volumes", "crop"), "field_area": ("pass_volumes", "area"), "planned_date": ("passes", "date"),
    "rei_hours": ("intervals", "rei_told"), "reentry_at": ("intervals", "reentry_at"), "due_date": ("records", "due_date"),
    "keep_until": ("records", "keep_until"), "display_until": ("records", "display_until"),
}


def or_line(value: Any) -> Any:
    """Return a value, or a line to write on where it is blank."""
    return LINE if value == "" else value


def record_sheet(draft: Draft) -> list[Cells]:
    """The record of the chosen pass and field."""
    out = Cells(farm=draft.form("farm")["farm"])
    row = out["row"] = row_of_choice(draft, draft.form("record_choice"))
    out["found"] = "Review: no such pass on that field" if row == "" else "OK"
    if row != "":
        log_row = out["log_row"] = draft["pass_times"][row - 1]["log_row"]
        for key, source in FROM_LOG.items():
            out[key] = or_line(at(draft["spray_log"], log_row, source))
        for key, (table, source) in FROM_PLAN.items():
            out[key] = or_line(draft[table][row - 1][source])
        out["signature"] = LINE
    return [out]


def record_sheet_lines(draft: Draft) -> list[Cells]:
    """Products of the chosen record."""
    row, slots = draft.form("record_sheet")["row"], draft.slots("products")
    rows = []
    for slot in range(1, slots + 1):
        out = Cells(slot=slot)
        if row != "":
            out["line_row"] = (row - 1) * slots + slot
            record, line = draft["record_lines"][out["line_row"] - 1], draft["mix_lines"][out["line_row"] - 1]
            out["product"], out["registration_no"] = record["product"], record["registration_no"]
            out["planned"], out["unit"] = line["amount_total"], line["amount_unit"]
            if out["product"] != "":
                out["used"] = LINE if record["planned_only"] else record["amount_used"]
        rows.append(out)
    return rows
