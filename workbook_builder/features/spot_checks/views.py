"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View
from workbook_builder.features.spot_checks.columns import SPOT_LIMITS


def spot_checks(plan: Planned) -> list[PlainRow]:
    """Every limit of every spot pass that was checked."""
    return [
        {"pass": row["pass"], "field": row["field"], "check": name, "status": row[f"{key}_status"],
         "finding": row[f"{key}_finding"] or None}
        for row in plan.tables["spot_checks"]
        for key, name in SPOT_LIMITS.items()
        if row[f"{key}_status"] != ""
    ]


VIEWS = (
    View("spot_checks", "Every limit of every spot pass that was checked.", spot_checks),
)
