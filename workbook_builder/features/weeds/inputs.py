"""Declarations of what the agronomy sheets are typed from: water tests and settings."""

from __future__ import annotations

from workbook_builder.core.columns import SETTING, Column, Table
from workbook_builder.features.clean_out.inputs import CLEAN_OUT_SETTINGS

WEEDS = Table(
    "weeds",
    "Weeds",
    "Driver weeds: the few weeds each field's passes are planned against, and what they are resistant to.",
    (
        Column("field", "Field", "name", required=True, choices="fields.field",
               note="Choose from the fields."),
        Column("weed", "Weed", "name", required=True, choices="ratings.weed", suggest_only=True,
               note="As in Ratings."),
        Column("density_class", "Density", choices=("low", "medium", "high"),
               note="How thick it usually stands."),
        Column("resistant_groups", "Resistant to groups",
               note="Known or tested, today's numbers, up to four, such as 2;9. Blank for none known."),
        Column("emerges_from", "Emerges from", "date",
               note="First emergence this season; blank counts from planting."),
        Column("emerges_to", "Emerges until", "date",
               note="Last emergence that matters; blank counts to harvest."),
    ),
)

RATINGS = Table(
    "ratings",
    "Ratings",
    "How well a product, or one of its active ingredients, controls a weed, from your own guide.",
    (
        Column("product", "Product or ingredient", "name", required=True, choices="products.product",
               suggest_only=True,
               note="A product, or an active ingredient by its common name; an ingredient's rating goes "
                    "before its product's."),
        Column("weed", "Weed", "name", required=True, note="Same spelling as in Weeds."),
        Column("rating", "Rating", "count", required=True, minimum=0, maximum=100,
               note="0 no control, 100 complete."),
        Column("residual_days", "Days of residual", "days", minimum=0, maximum=400,
               note="Days it keeps new ones from emerging; blank for none."),
    ),
)


AGRONOMY_SETTINGS = Table(
    "agronomy_settings",
    "Agronomy settings",
    "Thresholds behind the agronomy sheets; sources differ, so change them to those of your own guide.",
    (
        Column("effective_rating", "Effective from a rating of", "count", SETTING, default=80,
               minimum=1, maximum=100,
               note="Ratings at or above it count as effective.",
               source="published rating scale: a label claim of control starts at 80"),
        Column("uncovered_limit", "Weeks without residual control", "number", SETTING, digits=1, default=4,
               minimum=0, maximum=60,
               note="More uncovered weeks of a driver weed's emergence are flagged.",
               source="your own figure",
               was=("Weeks without residual cover",)),
        Column("reliance_share", "Share of one group", "share", SETTING, default=0.5, minimum=0.05, maximum=1,
               note="A field where one group carries more of all uses over the seasons is flagged.",
               source="your own figure; no published number"),
        Column("ams_floor", "Least ammonium sulfate", "ams_rate", SETTING, minimum=0, maximum=100,
               note="The equation asks for little on good water; this much goes in all the same. Blank: 4 lb "
                    "per 100 gal, 0.48 kg per 100 L.",
               source="NDSU 2015: 4 to 6 lb per 100 gal is enough for most US water"),
        Column("hard_water", "Hard water from", "ppm", SETTING, default=200, minimum=0, maximum=5000,
               note="Hardness from which a finding says that the water is hard.",
               source="published extension articles differ: 200 to 250"),
        Column("ph_low", "Usual water pH from", "ph", SETTING, default=5, minimum=0, maximum=14,
               note="Below it the label's own pH range is worth a look.",
               source="common practice, no source"),
        Column("ph_high", "Usual water pH to", "ph", SETTING, default=8, minimum=0, maximum=14,
               note="Above it the label's own pH range is worth a look; breakdown in alkaline water is "
                    "mainly an insecticide matter.",
               source="threshold: common practice, no source; remark: published extension article"),
        Column("size_low_pressure", "Nozzle sizes from", "pressure", SETTING, minimum=0.1, maximum=500,
               note="Lowest pressure for choosing among colour-coded sizes. Blank: 20 psi, 1.4 bar.",
               source="common practice, no source"),
        Column("size_high_pressure", "Nozzle sizes to", "pressure", SETTING, minimum=0.1, maximum=500,
               note="Highest pressure for choosing among colour-coded sizes. Blank: 60 psi, 4.1 bar.",
               source="common practice, no source"),
        Column("least_duty", "Lowest duty cycle", "share", SETTING, default=0.3, minimum=0.01, maximum=1,
               note="Pulsed nozzles open for a smaller share of the time leave gaps.",
               source="common practice, no source",
               was=("Least open time",)),
        Column("catch_limit", "Catch off the mean", "share", SETTING, default=0.05, minimum=0.001, maximum=1,
               note="A nozzle further from the mean of its test is flagged; so is a spray volume further "
                    "from the one wanted.", source="Alberta Agdex 606-1; OMAFRA; Montana State slides"),
        Column("wear_limit", "Catch above a new nozzle", "share", SETTING, default=0.1,
               minimum=0.001, maximum=1,
               note="A nozzle that gives more than this above a new one is worn.",
               source="published extension article"),
        *CLEAN_OUT_SETTINGS,
    ),
    rows="form",
    kind="setting",
    named=True,
)
