"""Which function plans which spot-pass table, in the order they build on each other."""

from __future__ import annotations

from workbook_builder.features.follow_up import rows as follow_up_rows
from workbook_builder.features.shares import rows as share_rows
from workbook_builder.features.spot_checks import rows as spot_check_rows
from workbook_builder.features.spot_sheet import rows as spot_sheet_rows
from workbook_builder.features.spot_volumes import rows as spot_volume_rows
from workbook_builder.features.two_tanks import rows as two_tank_rows

#: Before the volumes, which read the share.
SHARE_PLANNERS = (
    ("scouting_facts", share_rows.scouting_facts),
    ("load_facts", share_rows.load_facts),
    ("scout_shares", share_rows.scout_shares),
    ("share_estimates", share_rows.share_estimates),
)

#: After the order of passes on their fields, before the intervals that look at what falls into a closed field.
LOOK_PLANNERS = (
    ("look_facts", follow_up_rows.look_facts),
    ("follow_up", follow_up_rows.follow_up),
)

#: After the times of passes, before the conditions of the day.
DAYLIGHT_PLANNERS = (
    ("daylight", spot_check_rows.daylight),
)

#: After costs, before all checks.
SPOT_PLANNERS = (
    ("spot_passes", spot_volume_rows.spot_passes),
    ("volume_choices", spot_volume_rows.volume_choices),
    ("two_tanks", two_tank_rows.two_tanks),
    ("spot_checks", spot_check_rows.spot_checks),
    ("detection_results", follow_up_rows.detection_results),
    ("spot_pick", spot_sheet_rows.spot_pick),
    ("spot_sheet", spot_sheet_rows.spot_sheet),
    ("spot_options", spot_sheet_rows.spot_options),
    ("spot_line_facts", spot_sheet_rows.spot_line_facts),
    ("spot_lines", spot_sheet_rows.spot_lines),
    ("step_facts", spot_sheet_rows.step_facts),
    ("estimate_steps", spot_sheet_rows.estimate_steps),
    ("cost_curve", spot_sheet_rows.cost_curve),
)
