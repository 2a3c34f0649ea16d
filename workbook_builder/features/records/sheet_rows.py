"""The printable record of one application: what is known, and lines for the rest."""

from __future__ import annotations

from workbook_builder.core.draft import Cells, Draft

LINE = "____________"


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
