"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, plain_rows


def volume_choices(plan: Planned) -> list[PlainRow]:
    """Candidates for the volume of every spot pass that still has ground to spray."""
    keys = ("pass", "field", "choice", "volume", "chance_short", "expected_leftover", "expected_short", "expected_cost", "advised")
    rows = plain_rows(plan, "volume_choices", keys, "share")
    return [{**row, "advised": row["advised"] == "yes"} for row in rows]


VIEWS = (
    View("volume_choices", "Candidates for the volume of every spot pass that still has ground to spray.", volume_choices),
)
