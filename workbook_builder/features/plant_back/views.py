"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, plain_rows


def plant_back_checks(plan: Planned) -> list[PlainRow]:
    """Plant-back of every spray against every crop planted after it: this season's passes, then sprays of earlier seasons (without a pass)."""
    keys = (
        "product", "next_crop", "planting_date", "interval", "interval_unit", "earliest_planting", "margin_days", "status", "finding",
    )
    of_passes = [row for table in ("planting_checks", "plant_back_checks") for row in plain_rows(plan, table, ("field", "pass", *keys), "status")]
    earlier = [{"field": row["field"], "pass": None, **row} for row in plain_rows(plan, "earlier_checks", ("field", *keys), "status")]
    return [*of_passes, *earlier]


VIEWS = (
    View("plant_back_checks", "Plant-back of every spray against every crop planted after it: this season's passes, then sprays of earlier seasons (without a pass).", plant_back_checks),
)
