"""Which function plans which table of the money side, in the order they build on each other."""

from __future__ import annotations

from collections.abc import Callable

from workbook_builder.core.draft import Cells, Draft
from workbook_builder.features.spot_money import rows as spot_money_rows

MONEY_PLANNERS: tuple[tuple[str, Callable[[Draft], list[Cells]]], ...] = (
    ("spot_against_broadcast", spot_money_rows.spot_against_broadcast),
    ("spot_season", spot_money_rows.spot_season),
    ("spot_crops", spot_money_rows.spot_crops),
    ("spot_chosen", spot_money_rows.spot_chosen),
    ("spot_curve", spot_money_rows.spot_curve),
)
