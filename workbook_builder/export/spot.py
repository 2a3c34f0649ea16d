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


def volume_choices(plan: Plan) -> list[PlainRow]:
    """Candidates for the volume of every spot pass that still has ground to spray."""
    keys = ("pass", "field", "choice", "volume", "chance_short", "expected_leftover", "expected_short", "expected_cost", "advised")
    rows = plain_rows(plan, "volume_choices", keys, "share")
    return [{**row, "advised": row["advised"] == "yes"} for row in rows]


VIEWS: dict[str, View] = {
    "share_estimates": share_estimates,
    "volume_choices": volume_choices,
}
