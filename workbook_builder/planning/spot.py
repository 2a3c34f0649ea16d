"""Which function plans which spot-pass table, in the order they build on each other."""

from __future__ import annotations

from workbook_builder.planning import share_rows, spot_volume_rows

#: Before the volumes, which read the share.
SHARE_PLANNERS = (
    ("spot_figures", share_rows.spot_figures),
    ("scouting_facts", share_rows.scouting_facts),
    ("load_facts", share_rows.load_facts),
    ("term_facts", share_rows.term_facts),
    ("spot_uses", share_rows.spot_uses),
    ("scout_shares", share_rows.scout_shares),
    ("share_estimates", share_rows.share_estimates),
)

#: After costs, before all checks.
SPOT_PLANNERS = (
    ("spot_passes", spot_volume_rows.spot_passes),
    ("volume_choices", spot_volume_rows.volume_choices),
)
