"""Declarations of what may be changed but need not be: assumptions and the adding-step table."""

from __future__ import annotations

from workbook_builder.core.columns import SETTING, Column, InUs, Table
from workbook_builder.features.machine.inputs import MONEY_ASSUMPTIONS

CALENDAR_PEOPLE = tuple(
    Column(key, header, "name", SETTING, default=default, note="Name or office, as the calendar shows it.",
           source="your own words",
           was=("Who looks back",) if key == "who_scouts" else ())
    for key, header, default in (
        ("who_sprays", "Who sprays", "Applicator"),
        ("who_posts", "Who posts and takes signs down", "Applicator"),
        ("who_scouts", "Who scouts", "Scout"), ("who_records", "Who writes records", "Office"),
        ("who_farms", "Who plants and harvests", "Grower"),
    )
)

CALENDAR_ALARM = Column("calendar_alarm", "Calendar alarm", "name", SETTING, default="none",
                        choices=("none", "1 hour before", "1 day before", "2 days before"),
                        note="Of the events in the calendar file that are not done.",
                        source="your own choice")

ASSUMPTIONS = Table(
    "assumptions",
    "Assumptions",
    "Figures the plan rests on that no label gives; change them here and everything follows.",
    (
        Column("water_cost", "Carrier cost", "money_per_volume", SETTING, default=InUs(0.01),
               minimum=0, maximum=1000,
               note="Water with pumping and hauling, per unit of spray volume.", source="your own figure"),
        Column("first_fill", "First fill", "share", SETTING, default=0.5, minimum=0.1, maximum=0.95,
               note="Share of the water that goes in before the first product.",
               source="published sequences say 1/4 to 3/4 (Oklahoma State, Manitoba, SDSU, Missouri)"),
        Column("least_load", "Least load that agitates", "share", SETTING, default=0.1,
               minimum=0, maximum=0.5,
               note="Share of the tank; a last load below it advises even loads.",
               source="common practice, no source; see the sprayer's manual"),
        Column("package_off", "Whole packages, at most off by", "share", SETTING, default=0.02,
               minimum=0, maximum=0.1,
               note="An amount is rounded to whole packages where that is no farther off.",
               source="common practice, no source"),
        Column("step_off", "Measuring step, at most off by", "share", SETTING, default=0.01,
               minimum=0, maximum=0.1,
               note="An amount is rounded to the coarsest of the Measuring steps that is no farther off.",
               source="common practice, no source"),
        Column("read_at", "Read the share of a spot pass at", "share", SETTING, default=0.5,
               minimum=0.05, maximum=1,
               note="Level of the tank; where the spot sheet has the driver stop, read and log.",
               source="common practice, no source"),
        Column("decide_at", "Decide the next fill at", "share", SETTING, default=0.25,
               minimum=0.05, maximum=1,
               note="Level of the tank; where the spot sheet has the driver stop and decide.",
               source="common practice, no source"),
        Column("dry_pause", "Pause after dry products", "minutes", SETTING, default=3, minimum=0, maximum=60,
               note="Minutes of agitation before the next product.", source="common practice, no source"),
        Column("bag_pause", "Pause after water-soluble bags", "minutes", SETTING, default=5,
               minimum=0, maximum=60,
               note="Least minutes of agitation; longer until the bags have dissolved.",
               source="common practice, no source"),
        Column("posting_hours", "Posting above", "hours", SETTING, digits=0, default=48,
               minimum=0, maximum=1000,
               note="Outdoor re-entry intervals longer than this need warning signs.",
               source="40 CFR 170.409(a)(1), from memory; the label and local rules govern"),
        Column("unknown_reentry_days", "Unknown re-entry counts for", "days", SETTING, default=30,
               minimum=1, maximum=365,
               note="A re-entry interval nobody entered leaves later passes on the field open for so many "
                    "days.", source="common practice, no source"),
        Column("group_uses", "Uses of a group per season", "count", SETTING, default=2, minimum=1, maximum=20,
               note="More passes with one group on a field in a season are flagged.",
               source="your own figure"),
        Column("group_seasons", "Seasons in a row", "count", SETTING, default=3, minimum=1, maximum=4,
               note="A group used this many seasons in a row, this one included, is flagged.",
               source="no published number; 2 is the strictest published guide"),
        Column("record_days", "Days to write a record", "days", SETTING, default=14, minimum=0, maximum=60,
               note="Days after the application; states may give fewer.", source="7 CFR 110.3(c)"),
        Column("record_years", "Years to keep a record", "count", SETTING, default=2, minimum=1, maximum=30,
               note="Years from the application; states may ask for more.", source="7 CFR 110.3(c)"),
        Column("spot_record_acres", "Spot record below", "number", SETTING, default=0.1,
               minimum=0, maximum=10,
               note="Acres, in both unit systems: restricted-use spots of one day below this need the "
                    "shorter record.",
               source="7 CFR 110.3(b), from memory"),
        Column("copy_days", "Days to give a copy", "days", SETTING, default=30, minimum=0, maximum=365,
               note="Commercial work: days until the customer must have the copy.",
               source="7 CFR 110, from memory"),
        Column("display_days", "Days to leave posted", "days", SETTING, default=30, minimum=0, maximum=365,
               note="Days after the re-entry interval that the central posting stays up.",
               source="40 CFR 170.311(b)"),
        Column("wind_low", "Advised wind, from", "speed", SETTING, default=InUs(3), minimum=0, maximum=50,
               note="Where the label gives no figure; below it suspect an inversion.",
               source="published extension article: from 3 mph"),
        Column("wind_high", "Advised wind, to", "speed", SETTING, default=InUs(8), minimum=0, maximum=100,
               note="Where the label gives no figure.",
               source="published guides say 8 or 10 mph; the stricter is used"),
        Column("delta_t_low", "Delta T, from", "delta_t", SETTING, default=2, minimum=0, maximum=30,
               note="Below it droplets hang in the air.",
               source="delta T chart of the Bureau of Meteorology, from memory: 2 to 8 deg C"),
        Column("delta_t_high", "Delta T, to", "delta_t", SETTING, default=8, minimum=0, maximum=30,
               note="Above it droplets dry fast; above 10 avoid spraying.",
               source="delta T chart of the Bureau of Meteorology, from memory: 2 to 8 deg C"),
        *CALENDAR_PEOPLE,
        CALENDAR_ALARM,
        *MONEY_ASSUMPTIONS,
    ),
    rows="form",
    kind="setting",
    named=True,
)

ADDING_STEPS = Table(
    "adding_steps",
    "Mixing order rules",
    "When each kind and formulation goes in, lower numbers first; a blank formulation holds for the rest of "
    "its kind.",
    (
        Column("kind", "Kind", role=SETTING, required=True, note="Product kind; any for every kind."),
        Column("formulation", "Formulation", role=SETTING,
               note="Two-letter code; blank for all others of the kind."),
        Column("step", "Mixing order", "index", SETTING, required=True, minimum=0, maximum=20,
               note="Lower numbers go in first.", was=("Step",)),
        Column("reason", "Why here", "long_text", SETTING,
               note="Printed beside the product on the mix sheet."),
        Column("dry", "Needs a pause", role=SETTING, choices=("yes", "bag", "no"),
               note="yes: let it disperse before the next product; bag: let the bag dissolve."),
    ),
    kind="setting",
    caution="Published orders agree: conditioner first, powders no later than granules, both and flowables "
            "before emulsions, surfactants after emulsions. All else: common practice, no source. The "
            "label's order wins.",
    was=("Adding steps",),
)
