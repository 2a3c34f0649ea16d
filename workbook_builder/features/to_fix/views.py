"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.columns import OPEN_STATUSES
from workbook_builder.core.views import PlainRow, Planned, View, plain_rows, table_view


def open_points(plan: Planned) -> list[PlainRow]:
    """Every open check, worst first, however long the list on the sheet is.

    Those of the farm as a whole name no pass.
    """
    keys = ("status", "pass", "field", "check", "finding")
    of_farm = [{"pass": None, "field": None, **row}
               for row in plain_rows(plan, "farm_checks", ("status", "check", "finding"), "status")]
    rows = [row for row in plain_rows(plan, "all_checks", keys, "status") + of_farm
            if row["status"] in OPEN_STATUSES]
    return sorted(({key: row[key] for key in keys} for row in rows),
                  key=lambda row: OPEN_STATUSES.index(row["status"]))


VIEWS = (
    table_view(
        "to_fix", "Causes of what is open, worst first, each with its number of lines and the first place.",
        "cause count example status finding where",
        "cause",
    ),
    View("open_points",
         "Every open check, worst first, however long the list on the sheet is; those of the farm as a whole "
         "name no pass.", open_points),
)
