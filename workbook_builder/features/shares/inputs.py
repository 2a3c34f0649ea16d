"""Declarations of what people type for spot passes: experience, scouting, load log, terms, trials."""

from __future__ import annotations

from workbook_builder.core.columns import SETTING, Column, Table

_PASS = Column("pass", "Pass", "name", required=True, choices="cost_pass_names.pass",
               note="Choose from the passes.")
_FIELD = Column("field", "Field", "name", required=True, choices="fields.field",
                note="Choose from the fields.")

PRESSURE_CLASSES = Table(
    "pressure_classes",
    "Pressure classes",
    "Your experience in words: how much of a field a spot pass sprays at each weed pressure, and how much "
    "ground that experience is worth.",
    (
        Column("pressure_class", "Pressure class", "name", required=True,
               note="A name such as light, medium or heavy."),
        Column("expected_share", "Expected share", "share", required=True, minimum=0.001, maximum=0.999,
               note="Share of the field you expect to be sprayed."),
        Column("evidence_area", "Acres behind this number", "area", minimum=0.01, maximum=100000,
               note="The expert's way: how much sprayed-out ground this experience is worth. Blank: the low "
                    "and high share say how firm it is.", was=("Evidence area",)),
        Column("share_low", "Share, low", "share", minimum=0, maximum=1,
               note="One field in ten sprays less; 10-60 % typed as the expected share in a file fills "
                    "both."),
        Column("share_high", "Share, high", "share", minimum=0, maximum=1,
               note="One field in ten sprays more."),
    ),
)

SPOT_HISTORY = Table(
    "spot_history",
    "Spot history",
    "One row per spot pass, field and season sprayed: next season's estimate starts from it. Rolling the "
    "season over adds the rows of this one.",
    (
        Column("season", "Season", "season", required=True, minimum=1990, maximum=2100,
               note="Season as a year."),
        _FIELD,
        Column("pass", "Pass", "name", required=True,
               note="Name of the spot pass, as in the season it was sprayed."),
        Column("share", "Share of field sprayed", "share", required=True, minimum=0, maximum=1,
               note="Volume sprayed over what the ground driven takes in all."),
        Column("volume", "Volume sprayed", "volume", minimum=0, maximum=1000000),
        Column("area_driven", "Area driven", "area", minimum=0, maximum=100000),
        Column("area_sprayed", "Area sprayed", "area", minimum=0, maximum=100000),
        Column("product_cost", "Products", "money", minimum=0, maximum=10000000),
        Column("saved", "Saved", "money", minimum=-10000000, maximum=10000000,
               note="Against broadcasting the same mix, fee paid."),
        Column("pressure_class", "Pressure class", "name"),
        Column("rating", "Rating", "count", minimum=0, maximum=100,
               note="When looking back; 0: no control, 100: all weeds dead."),
    ),
)

SCOUTING = Table(
    "scouting",
    "Scouting",
    "One row per frame thrown in a field before a spot pass: how big it is and how many weeds it holds.",
    (
        _PASS,
        _FIELD,
        Column("frame", "Frame", "index", required=True, minimum=1, maximum=100000,
               note="Number of the frame."),
        Column("date", "Date", "date", note="Day it was thrown; checked against the re-entry of the field."),
        Column("frame_area", "Frame area", "small_area", required=True, minimum=0.01, maximum=10000,
               note="Ground inside the frame; best about as large as the footprint of one nozzle."),
        Column("count", "Weeds counted", "count", minimum=0, maximum=100000,
               note="Weeds in the frame; blank when only present or absent was noted."),
        Column("seen", "Weeds seen", choices=("yes", "no"), note="yes or no, where weeds were not counted."),
        Column("weed_width", "Weed width", "spacing", minimum=0, maximum=500,
               note="Usual width across a weed; blank counts as 0."),
    ),
)

LOAD_LOG = Table(
    "load_log",
    "Load log",
    "One row per load sprayed out in a spot pass; each load sharpens the estimate for the ground that "
    "remains.",
    (
        _PASS,
        _FIELD,
        Column("load", "Load", "count", required=True, minimum=1, maximum=999,
               note="Number of the load, from 1."),
        Column("area_covered", "Area driven", "area", required=True, minimum=0.01, maximum=100000,
               note="Field area driven over with this load, sprayed or not.", was=("Area covered",)),
        Column("volume_sprayed", "Volume sprayed", "volume", required=True, minimum=0, maximum=1000000,
               note="Volume that went through the nozzles."),
        Column("volume_mixed", "Volume mixed", "volume", minimum=0, maximum=1000000,
               note="Volume put into the tank for this load; tells what is still in it. Blank: all of it was "
                    "sprayed."),
    ),
)

SPOT_TERMS = Table(
    "spot_terms",
    "Spot terms",
    "What a sprayer may do as a spot sprayer, in crop and in fallow, what it costs, and how large its "
    "footprint is.",
    (
        Column("sprayer", "Sprayer", "name", required=True, choices="sprayers.sprayer",
               note="Choose from the sprayers."),
        Column("use", "Use", required=True, choices=("in crop", "fallow"),
               note="in crop: weeds among a growing crop; fallow: weeds on bare ground or stubble."),
        Column("crop", "Crop", "name", choices="crops.crop", suggest_only=True,
               note="Blank holds for every crop not named; a crop in no row is not covered."),
        Column("fee", "Fee", "money_per_area", minimum=0, maximum=10000,
               note="Charged per field area driven over; 0 or blank when there is none."),
        Column("top_speed", "Top speed", "speed", minimum=0.1, maximum=100,
               note="Fastest speed at which the sensor still sees weeds."),
        Column("narrowest_row", "Narrowest rows", "spacing", minimum=0, maximum=500,
               note="Narrowest row spacing it can work in."),
        Column("daylight_only", "Daylight only", choices=("yes", "no"),
               note="yes: it may only start between sunrise and sunset."),
        Column("after_sunrise_hours", "Hours after sunrise", "hours", minimum=0, maximum=12, digits=1,
               note="Start no sooner than this after sunrise."),
        Column("before_sunset_hours", "Hours before sunset", "hours", minimum=0, maximum=12, digits=1,
               note="Stop no later than this before sunset."),
        Column("footprint_width", "Footprint width", "length", minimum=0.01, maximum=200, digits=2,
               note="Width one nozzle or section sprays."),
        Column("footprint_length", "Footprint length", "length", minimum=0, maximum=200, digits=2,
               note="Shortest length sprayed along the track."),
        Column("lead_and_lag_length", "Lead and lag", "length", minimum=0, maximum=200, digits=2,
               note="Extra length sprayed before and after a weed."),
    ),
)

DETECTION_TRIALS = Table(
    "detection_trials",
    "Detection trials",
    "Strips sprayed with different detection settings: how much was sprayed and how many weeds were left.",
    (
        _PASS,
        _FIELD,
        Column("setting", "Detection setting", "name", required=True,
               note="Name or number of the setting on the machine."),
        Column("area_covered", "Area driven", "area", required=True, minimum=0.001, maximum=100000,
               note="Field area driven over, sprayed or not.", was=("Area covered",)),
        Column("volume_sprayed", "Volume sprayed", "volume", required=True, minimum=0, maximum=1000000,
               note="Volume that went through the nozzles."),
        Column("frame_area", "Frame area", "small_area", minimum=0.01, maximum=10000,
               note="Ground inside the counting frame."),
        Column("weeds_before", "Weeds per frame before", "number", minimum=0, maximum=100000,
               note="Mean count per frame before spraying."),
        Column("weeds_after", "Weeds per frame after", "number", minimum=0, maximum=100000,
               note="Mean count of live weeds per frame after spraying."),
    ),
)

LOOK_LOG = Table(
    "look_log",
    "Follow-up log",
    "One row per look back at a sprayed field: when, and how good the control was.",
    (
        _PASS,
        _FIELD,
        Column("date", "Date looked", "date", required=True, note="Day you looked."),
        Column("rating", "Rating", "count", required=True, minimum=0, maximum=100,
               note="0: no control, 100: all weeds dead."),
        Column("notes", "Notes", "long_text", note="Which weeds came through, and where."),
    ),
)

CONTACT_GROUPS = Table(
    "contact_groups",
    "Contact groups",
    "Herbicide groups that act where they touch and show within days; passes with one of them are looked at "
    "early too.",
    (
        Column("mode_group", "Herbicide group", "index", SETTING, required=True, minimum=0, maximum=99,
               note="HRAC number."),
        Column("remark", "Why", "long_text", SETTING, note="What the group does."),
    ),
    kind="setting",
    caution="Which groups count as contact: common practice, no source; the names of what they act on are "
            "from memory.",
)
