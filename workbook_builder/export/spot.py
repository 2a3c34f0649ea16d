"""Views of the spot passes: estimates, choices and checks."""

from __future__ import annotations

from workbook_builder.export.view import PlainRow, View, plain_rows
from workbook_builder.planning.plan import Plan


def share_estimates(plan: Plan) -> list[PlainRow]:
    """The estimate of every spot pass."""
    keys = (
        "pass", "field", "expected_share", "scouting_share", "logged_share", "a", "b", "share_mean", "share_p50", "share_p80", "share_p95",
        "loads_logged", "area_covered", "remaining_area", "volume_mean", "volume_p50", "volume_p80", "volume_p95", "status", "finding",
    )
    return plain_rows(plan, "share_estimates", keys, "a")


VIEWS: dict[str, View] = {
    "share_estimates": share_estimates,
}
