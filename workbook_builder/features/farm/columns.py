"""Declarations of the farm, its fields, sprayers, passes and past herbicide use."""

from __future__ import annotations

from workbook_builder.core.columns import Column, Table
from workbook_builder.features.farm.pass_crops import FIELD_CROPS, PASS_CROPS
from workbook_builder.features.farm.settings import ADDING_STEPS, ASSUMPTIONS
from workbook_builder.features.machine.inputs import FARM_MONEY, SPRAYER_MONEY

FARM = Table(
    "farm",
    "Farm",
    "Who this plan is for, which units it counts in, and what the farm's position and water are.",
    (
        Column("farm", "Farm", "name", required=True, note="Name of the farm or client."),
        Column("season", "Season", "season", required=True, minimum=1990, maximum=2100,
               note="Season this plan is for, as a year, for instance 2026."),
        Column("prepared_by", "Prepared by", note="Who made this plan."),
        Column("prepared_for", "Prepared for", note="Who it was made for."),
        Column("units", "Units", required=True, choices=("us", "metric"), default="us",
               note="us (acres, gallons) or metric (hectares, litres); fixed when the workbook is built."),
        Column("currency", "Currency sign", default="$", note="Sign printed before money."),
        Column("latitude", "Latitude", "latitude", minimum=-89, maximum=89,
               note="Degrees north; south is negative. Used for daylight."),
        Column("longitude", "Longitude", "longitude", minimum=-180, maximum=180,
               note="Degrees east; west is negative. Used for daylight."),
        Column("time_zone", "Time zone", "name", choices="time_zones.time_zone", suggest_only=True,
               note="Name such as America/Chicago. Used for daylight."),
        Column("water_ca_ppm", "Water calcium", "ppm", minimum=0, maximum=5000, note="From a water test."),
        Column("water_mg_ppm", "Water magnesium", "ppm", minimum=0, maximum=5000, note="From a water test."),
        Column("water_na_ppm", "Water sodium", "ppm", minimum=0, maximum=20000, note="From a water test."),
        Column("water_k_ppm", "Water potassium", "ppm", minimum=0, maximum=5000, note="From a water test."),
        Column("water_fe_ppm", "Water iron", "ppm", minimum=0, maximum=500, digits=1,
               note="From a water test."),
        Column("water_ph", "Water pH", "ph", minimum=0, maximum=14, note="From a water test."),
        Column("look_back_seasons", "Seasons to look back", "count", default=3, minimum=1, maximum=3,
               note="How many past seasons the group rotation looks at, 1 to 3."),
        Column("wanted_modes", "Wanted herbicide groups per pass", "count", default=2, minimum=1, maximum=6,
               note="How many different herbicide groups each pass should carry.",
               was=("Wanted modes per pass",)),
        Column("patch_area", "Patch size", "area", minimum=0.01, maximum=10000,
               note="Ground that behaves alike: each patch counts as one piece of evidence on how much of a "
                    "field is sprayed. Blank: 20 ac or 8.1 ha."),
        Column("frames_design_effect", "Frames per independent frame", "number", minimum=1, maximum=100,
               note="How many scouting frames tell as much as one independent frame, since weeds near each "
                    "other are alike. Blank: 1.35, which also holds the error of their clumping; less counts "
                    "as 1.35."),
        Column("confidence", "Confidence wanted", "share", minimum=0.5, maximum=0.99,
               note="How often the volume mixed should be enough. Blank: 80 %."),
        Column("extra_refill_cost", "Cost of an extra refill trip", "money", minimum=0, maximum=100000,
               note="Driver, machine and water trip when a spot pass runs short. Blank: counted as 0."),
        Column("disposal_cost", "Disposal cost", "money_per_volume", minimum=0, maximum=1000,
               note="To spray out or dispose of leftover mixture, per unit of volume. Blank: counted as 0."),
        Column("address", "Address", "long_text", note="Of the farm or client; printed on work orders."),
        Column("applicator", "Applicator", "name", note="Who usually sprays; printed on work orders."),
        Column("licence_no", "Licence no.", "name", note="Certificate or licence of the applicator."),
        Column("firm_licence_no", "Firm's licence no.", "name", note="Of the firm that sprays for hire."),
        Column("mixing_place", "Mixed and loaded at", "name",
               note="Where the tank is filled; some states want it on the record."),
        Column("emergency_phone", "Emergency number", "name", note="Your own; none is filled in for you."),
        Column("poison_phone", "Poison help number", "name", note="Your own; none is filled in for you."),
        Column("spill_phone", "Spill line", "name", note="Your own; none is filled in for you."),
        *FARM_MONEY,
    ),
    rows="form",
)

FIELDS = Table(
    "fields",
    "Fields",
    "One row per field: its area, this season's crop and what follows.",
    (
        Column("field", "Field", "name", required=True, note="A name that no other field has."),
        Column("area", "Area", "area", required=True, minimum=0.01, maximum=100000,
               note="Sprayed area when the whole field is broadcast."),
        Column("crop", "Crop", "name", required=True, choices="crops.crop", suggest_only=True,
               note="Crop grown this season, or fallow."),
        Column("planting_date", "Planting date", "date", note="Planned or actual planting date."),
        Column("harvest_date", "Harvest date", "date",
               note="Planned harvest; checked against preharvest intervals."),
        Column("next_crop", "Next crop", "name", choices="crops.crop", suggest_only=True,
               note="Crop planted after this one; checked against plant-back intervals."),
        Column("next_planting_date", "Next planting date", "date",
               note="When the next crop is to be planted."),
        Column("row_spacing", "Row spacing", "spacing", minimum=0, maximum=500,
               note="Distance between crop rows; blank in fallow."),
        Column("texture", "Texture", choices=("coarse", "medium", "fine"),
               note="Of the soil, as labels group it; asked for where a label gives rates by soil."),
        Column("organic_matter", "Organic matter", "percent", minimum=0, maximum=100,
               note="Of the soil, from its test."),
        Column("soil_ph", "Soil pH", "ph", minimum=2, maximum=12, note="From the soil test."),
        Column("residue", "Residue on the ground", "percent", minimum=0, maximum=100, digits=0,
               note="Share of the ground that last crop's residue covers."),
        Column("location", "Location", "name",
               note="Legal description or map mark: county, range, township and section, say."),
        Column("notes", "Notes", "long_text", note="Anything worth remembering."),
    ),
)

SPRAYERS = Table(
    "sprayers",
    "Sprayers",
    "One row per sprayer: tanks, working width, speed and what its work costs.",
    (
        Column("sprayer", "Sprayer", "name", required=True, note="A name that no other sprayer has."),
        Column("main_tank", "Main tank", "volume", required=True, minimum=1, maximum=100000,
               note="Volume of the main tank when full."),
        Column("spot_tank", "Spot tank", "volume", minimum=1, maximum=100000,
               note="Volume of the second tank that spot-sprays; blank when spots are sprayed from the main "
                    "tank."),
        Column("unusable_volume", "Unusable volume", "volume", minimum=0, maximum=10000,
               note="Mixture that the tank must hold and the pump cannot draw; mixed once for a run of fills "
                    "with the same mix."),
        Column("boom_width", "Boom width", "length", minimum=0.1, maximum=500, note="Working width."),
        Column("antenna_to_boom", "Antenna to boom", "length", minimum=-100, maximum=100,
               note="How far the boom is behind the antenna of its log, for the spray map; less than 0 where "
                    "it is ahead, blank counts as 0."),
        Column("speed", "Speed", "speed", minimum=0.1, maximum=60, note="Usual working speed."),
        Column("field_efficiency", "Field efficiency", "share", minimum=0.05, maximum=1,
               note="Share of the theoretical work rate reached with turns and refills, for instance 65 %."),
        Column("cost_per_hour", "Cost per hour", "money_per_hour", minimum=0, maximum=100000,
               note="Machine and driver per hour of work."),
        Column("cost_per_area", "Cost per area", "money_per_area", minimum=0, maximum=10000,
               note="Charge or own cost per unit of field area driven over."),
        Column("on_foot", "Carried on foot", choices=("yes", "no"),
               note="yes for a sprayer that is carried or pushed; no for one that is driven. Checked where a "
                    "pass starts in a field that is still closed."),
        Column("release_height", "Height of nozzles", "spacing", minimum=0, maximum=5000,
               note="Above the soil; with the droplets it says how wide the exclusion zone is."),
        Column("discharge", "How it sprays", choices=("boom", "air blast", "aircraft", "fog"),
               note="Blank counts as a boom; air blast, aircraft and fog have the wider exclusion zone."),
        *SPRAYER_MONEY,
    ),
)

PASSES = Table(
    "passes",
    "Passes",
    "One row per pass and field: which mix, how, when, at which carrier rate, with which sprayer.",
    (
        Column("pass", "Pass", "name", required=True,
               note="Name of the pass; several fields may share it. Pass and field together must be unique."),
        Column("field", "Field", "name", required=True, choices="fields.field", several=True,
               note="Choose a field; or type several with a semicolon between them, all, or all and a crop: "
                    "each gets a row when the workbook is built."),
        Column("mix", "Mix", "name", choices="mix_list.mix",
               note="Choose from the mixes; left blank, it is the mix called like the pass and the crop, or "
                    "like the pass."),
        Column("method", "Method", required=True, choices=("broadcast", "spot"),
               note="broadcast sprays the whole field; spot sprays only where the sensor sees weeds."),
        Column("date", "Date", "date", required=True, note="Planned date of spraying."),
        Column("start_time", "Start time", "time",
               note="Planned start, for instance 07:30; blank counts re-entry from midnight at the end of "
                    "the day."),
        Column("carrier", "Carrier rate", "carrier", required=True, minimum=0.1, maximum=2000,
               note="Spray volume per area of ground that is sprayed.", was=("Carrier",)),
        Column("sprayed_share", "Share of field sprayed", "share", minimum=0, maximum=1,
               note="For spot passes: share of the field expected to be sprayed, as 30 % or 0.3; unsure, "
                    "leave it blank and choose a pressure class.", was=("Sprayed share",)),
        Column("share_low", "Share, low", "share", minimum=0, maximum=1,
               note="For spot passes: one time in ten it is less. With a high share it says how unsure the "
                    "share is; 10-60 % typed as the share of field sprayed in a file fills both."),
        Column("share_high", "Share, high", "share", minimum=0, maximum=1,
               note="For spot passes: one time in ten it is more."),
        Column("sprayer", "Sprayer", "name", required=True, choices="sprayers.sprayer",
               note="Choose from the sprayers."),
        Column("water_source", "Water source", "name", choices="water_tests.source",
               note="Which tested water fills the tank; blank for the water on the Farm sheet."),
        Column("pressure_class", "Pressure class", "name", choices="pressure_classes.pressure_class",
               note="For spot passes: your experience with this field; used when loads and frames have yet "
                    "to tell."),
        Column("partner_pass", "Partner pass", "name", choices="cost_pass_names.pass",
               note="For spot passes: the broadcast pass sprayed from the main tank in the same trip over "
                    "this field."),
        Column("detection_setting", "Detection setting", "name",
               note="Setting of the sensor, as in the detection trials."),
        Column("crop", "Crop", "name", choices="crops.crop", suggest_only=True,
               note="Only where the field's planting and harvest dates do not tell it; blank takes the crop "
                    "that stands or comes next."),
        Column("carrier_density", "Carrier weighs", "density", minimum=0.1, maximum=30,
               note="Where something other than water fills the tank, liquid nitrogen say; blank counts as "
                    "water. A heavier carrier needs larger nozzles."),
        Column("seen_buffer", "Sprayed around what is seen", "length", minimum=0, maximum=1000,
               note="For spot passes: ground sprayed on every side of what the camera sees, where it cannot "
                    "see all of it; the share of field sprayed grows with it."),
        Column("weed_height", "Height of weeds", "spacing", minimum=0, maximum=500,
               note="At the pass; asked for where a label names the height of weeds."),
        Column("crop_height", "Height of crop", "spacing", minimum=0, maximum=2000,
               note="At the pass; asked for where a label names the height of the crop."),
        Column("wind_from", "Wind from", choices=("N", "NE", "E", "SE", "S", "SW", "W", "NW"),
               note="As expected or measured; tells which side of the field lies downwind."),
        Column("buffer_kept", "Left downwind", "length", minimum=0, maximum=100000, digits=0,
               note="What is left unsprayed on the downwind side; asked for where a label wants a buffer."),
        Column("clean_before", "Tank cleaned out before", choices=("yes",),
               note="yes when the tank is cleaned out in full before this pass, so that nothing of earlier "
                    "mixes is left in it."),
        Column("order_no", "Order no.", "name", note="Of the work order, where there is one."),
    ),
)

PAST_USE = Table(
    "past_use",
    "Past use",
    "Groups used on each field in past seasons; the rotation checks look back on these rows.",
    (
        Column("field", "Field", "name", required=True, choices="fields.field",
               note="Choose from the fields."),
        Column("season", "Season", "season", required=True, minimum=1990, maximum=2100,
               note="Season as a year."),
        Column("mode_group", "Group", "code", required=True, minimum=0, maximum=99,
               note="9, 4A, M05; old numbers of herbicides are accepted and normalised.",
               was=("Herbicide group", "Mode group")),
        Column("uses", "Uses", "count", required=True, minimum=0, maximum=20,
               note="Passes with this group on this field."),
        Column("scheme", "Group list", choices=("herbicide", "insecticide", "fungicide"),
               note="Blank for herbicides."),
    ),
)

EARLIER_SPRAYS = Table(
    "earlier_sprays",
    "Earlier sprays",
    "Sprays of past seasons whose plant-back interval may still run; rolling to the next season fills it.",
    (
        Column("field", "Field", "name", required=True, choices="fields.field",
               note="Choose from the fields."),
        Column("product", "Product", "name", required=True, choices="products.product", suggest_only=True,
               note="Its rows in Plant-back are looked up; a product no longer in the list needs its "
                    "interval here."),
        Column("date", "Date", "date", required=True, note="Last day it was sprayed."),
        Column("interval", "Longest interval", "count", minimum=0, maximum=2000,
               note="Used where Plant-back has no row of the product."),
        Column("interval_unit", "Interval unit", choices=("days", "months"),
               note="days or months (calendar months)."),
    ),
)

TABLES = (FARM, FIELDS, SPRAYERS, PASSES, PAST_USE, EARLIER_SPRAYS, ASSUMPTIONS, ADDING_STEPS,
          FIELD_CROPS, PASS_CROPS)
