"""Declarations of what cleaning out is worked out from: each tank's leftover and rinse,
and each label's wording.
"""

from __future__ import annotations

from workbook_builder.core.columns import SETTING, Column, Table

CLEAN_CAUTION = ("Wear what the label requires; rinsate goes on ground the label allows, never down a drain; "
                 "the label's clean-out wording comes first.")

RINSE_TERMS = Table(
    "rinse_terms",
    "Rinse terms",
    "What stays in each tank when no more comes out, and the water of one rinse.",
    (
        Column("sprayer", "Sprayer", "name", required=True, choices="sprayers.sprayer",
               note="Choose from the sprayers."),
        Column("tank", "Tank", required=True, choices=("main", "spot"),
               note="main, or the second tank that spot-sprays."),
        Column("left_volume", "Liquid left", "volume", minimum=0.01, maximum=10000,
               note="Left in sump, pump, hoses and boom after spraying out; blank counts the sprayer's "
                    "unusable volume."),
        Column("rinse_water", "Water of one rinse", "volume", minimum=0.1, maximum=10000,
               note="Blank counts a share of the tank; see Agronomy settings."),
        Column("clean_water", "Clean water carried", "volume", minimum=0, maximum=10000,
               note="Rinse water on board; blank when you rinse at the yard."),
        Column("notes", "Notes", "long_text", note="Filters, dead ends and valves to open, say.", width=70),
    ),
    caution="Wear what the label requires.",
)

CLEAN_OUT_LABELS = Table(
    "clean_out_labels",
    "Clean-out labels",
    "Which next crops traces of a product hurt, and the clean-out its label asks for; any holds for crops "
    "not named.",
    (
        Column("product", "Product", "name", required=True, choices="products.product",
               note="Choose from the products."),
        Column("next_crop", "Next crop", "name", choices="crops.crop", suggest_only=True,
               note="Crop the next mix goes on; any or blank for every crop not named."),
        Column("sensitive", "Sensitive", choices=("yes", "no"),
               note="yes when the label or your guide says traces hurt this crop; blank counts as not "
                    "entered."),
        Column("wanted_dilution", "Wanted dilution, one part in", "number", digits=0, minimum=2,
               maximum=10000000,
               note="20000 for one part in 20,000, say; blank counts the figure on Agronomy settings."),
        Column("wording", "Clean-out on the label", "long_text",
               note="Rinses, cleaner and soaking time in the label's words; needed where the crop is "
                    "sensitive.", width=80),
    ),
    caution="The label in your hand governs.",
)

CLEAN_OUT_SETTINGS = (
    Column("clean_dilution", "Dilution before a sensitive crop, one part in", "number", SETTING, digits=0,
           default=20000, minimum=2, maximum=10000000,
           note="Where Clean-out labels gives none.",
           source="common practice, no source: traces of dicamba injure soybean"),
    Column("routine_dilution", "Dilution between other mixes, one part in", "number", SETTING, digits=0,
           default=100, minimum=2, maximum=10000000,
           note="100 leaves 1 % of the mix.",
           source="published extension article, citing a French rule of 2006: 1 % at the nozzle"),
    Column("rinse_share", "Water of one rinse, share of the tank", "share", SETTING, default=0.1,
           minimum=0.01, maximum=1,
           note="Where Rinse terms gives none.",
           source="10 % of the tank, three times: Purdue Pesticide Programs, from memory"),
)
