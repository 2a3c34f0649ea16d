"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view(
        "effective_modes", "Effective groups of every pass on every driver weed of its field.",
        "pass field weed density_class resistant effective_groups groups wanted residual_days covered_to "
        "status finding",
        "weed",
    ),
    table_view(
        "weed_cover", "Each driver weed over the season.",
        "field weed passes enough best emerges_from emerges_to uncovered_weeks gap_from gap_to status "
        "finding",
        "weed",
    ),
    table_view(
        "mode_reliance", "How much each field leans on one group.",
        "field uses top_group top_uses top_seasons top_share status finding",
        "top_share",
    ),
)
