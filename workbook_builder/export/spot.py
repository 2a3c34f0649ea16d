"""Views of the spot passes: estimates, choices and checks."""

from __future__ import annotations

from workbook_builder.export.view import PlainRow, View, plain_rows
from workbook_builder.features.spot_checks.columns import SPOT_LIMITS
from workbook_builder.plan import Plan


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


def spot_checks(plan: Plan) -> list[PlainRow]:
    """Every limit of every spot pass that was checked."""
    return [
        {"pass": row["pass"], "field": row["field"], "check": name, "status": row[f"{key}_status"], "finding": row[f"{key}_finding"] or None}
        for row in plan.tables["spot_checks"]
        for key, name in SPOT_LIMITS.items()
        if row[f"{key}_status"] != ""
    ]


def follow_up(plan: Plan) -> list[PlainRow]:
    """Dates to look again, ratings and respray flags."""
    return plain_rows(plan, "follow_up", ("pass", "field", "early_look", "first_look", "second_look", "looked", "rating", "respray", "status"), "pass")


def detection_results(plan: Plan) -> list[PlainRow]:
    """Trials of detection settings."""
    keys = ("pass", "field", "setting", "sprayed_share", "control", "escapes", "cost_per_area", "cost_per_point", "verdict")
    return plain_rows(plan, "detection_results", keys, "pass_row")


VIEWS: dict[str, View] = {
    "share_estimates": share_estimates,
    "volume_choices": volume_choices,
    "spot_checks": spot_checks,
    "follow_up": follow_up,
    "detection_results": detection_results,
}
