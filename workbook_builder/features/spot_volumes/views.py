"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, plain_rows, table_view


def volume_choices(plan: Planned) -> list[PlainRow]:
    """What the next fill of every spot pass may be that still has ground to spray."""
    keys = ("pass", "field", "choice", "volume", "chance_short", "expected_leftover",
            "expected_cost", "advised")
    rows = plain_rows(plan, "volume_choices", keys, "volume")
    return [{**row, "advised": row["advised"] == "yes"} for row in rows]


VIEWS = (
    table_view(
        "spot_plan", "The one plan of every spot pass, which every sheet and page shows.",
        "pass field share_low share_likely share_high volume_expected volume_safe in_tank next_fill "
        "fills_expected fills_most area_driven area_sprayed advice status",
        "pass", "spot_passes",
    ),
    View("volume_choices", "What the next fill of every spot pass may be that still has ground to spray.",
         volume_choices),
)
