"""Which function plans which spot-pass table, in the order they build on each other."""

from __future__ import annotations

from workbook_builder.features.follow_up import rows as follow_up_rows
from workbook_builder.features.spot_checks import rows as spot_check_rows
from workbook_builder.features.two_tanks import rows as two_tank_rows

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
    ("two_tanks", two_tank_rows.two_tanks),
    ("spot_checks", spot_check_rows.spot_checks),
    ("detection_results", follow_up_rows.detection_results),
)
