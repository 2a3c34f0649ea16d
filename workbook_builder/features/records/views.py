"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, plain_rows

OF_LINE = ("pass", "field", "product", "registration_no", "amount_used", "amount_unit", "basis")

OF_RECORD = (
    "sprayed_on", "start", "end", "crop", "area_treated", "applicator", "certificate", "supervised_person",
    "restricted", "record_kind", "missing", "due_date",
    "written_on", "keep_until", "copy_due", "display_by", "display_until", "display_keep_until",
    "status", "finding",
)


def records(plan: Planned) -> list[PlainRow]:
    """Products of every logged pass with the record they belong to."""
    by_pass = {(row["pass"], row["field"]): row
               for row in plain_rows(plan, "records", ("pass", "field", *OF_RECORD), "sprayed_on")}
    lines = plain_rows(plan, "record_lines", OF_LINE, "product")
    return [{**line, **by_pass[line["pass"], line["field"]]} for line in lines
            if (line["pass"], line["field"]) in by_pass]


VIEWS = (
    View("records", "Products of every logged pass with the record they belong to.", records),
)
