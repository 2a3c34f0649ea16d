"""What a summary over clients shows of one plan."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.features import VIEWS
from workbook_builder.planning import Plan

GLANCE = ("not_allowed", "not_entered", "look", "passes", "total_cost")
OPEN = ("status", "pass", "field", "check", "finding")
ORDER = ("product", "wanted", "on_hand", "packages", "cost")


def facts_of(plan: Plan) -> dict[str, Any]:
    """Return figures, points to fix and orders of one plan, plain enough for JSON."""
    farm, glance = plan.tables["farm"][0], plan.tables["glance"][0]
    fields = [row for _, row in plan.inputs.filled("fields")]
    return {
        "farm": farm["farm"],
        "season": farm["season"],
        "units": plan.system,
        "currency": plan.inputs.currency,
        "fields": len(fields),
        "area": added(float(row.get("area") or 0) for row in fields),
        **{key: glance[key] for key in GLANCE},
        "open_points": [{key: row[key] for key in OPEN} for row in VIEWS["open_points"](plan)],
        "orders": [{key: row.get(key) for key in ORDER} for row in VIEWS["order_list"](plan)],
    }
