"""Declarations of products, their ingredients, label figures, mixes and plant-back intervals."""

from __future__ import annotations

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.units import AMOUNT_UNITS
from workbook_builder.features.machine.inputs import PRODUCT_MONEY

HERBICIDE = "herbicide"
#: Pesticides whose groups are numbered by lists of their own, so that they never count among herbicide
#: groups.
OTHER_PESTICIDES = ("insecticide", "fungicide", "growth regulator")
#: Lists in which groups are numbered, each for itself.
SCHEMES = (HERBICIDE, "insecticide", "fungicide")
FERTILIZERS = ("fertilizer", "foliar fertilizer")
PESTICIDES = (HERBICIDE, *OTHER_PESTICIDES)
KINDS = (*PESTICIDES, "adjuvant", "water conditioner", "drift agent", *FERTILIZERS, "other")
#: What the trade calls a kind otherwise.
OTHER_KINDS = (
    ("miticide", "insecticide"), ("acaricide", "insecticide"), ("nematicide", "insecticide"),
    ("bactericide", "fungicide"),
    ("plant growth regulator", "growth regulator"), ("PGR", "growth regulator"), ("desiccant", HERBICIDE),
    ("foliar feed", "foliar fertilizer"),
)
CONTENT_UNITS = ("lb ae/gal", "lb ai/gal", "% w/w", "g/L", "g/kg", "g ae/L", "g ai/L", "% ae w/w", "% ai w/w",
                 "g ae/kg", "g ai/kg")
LIMIT_UNITS = ("lb ae/ac", "lb ai/ac", "lb/ac", "oz ai/ac", "kg ae/ha", "kg ai/ha", "kg/ha", "g ae/ha",
               "g ai/ha", "g/ha")
#: What a label may demand; signs and word of mouth of two products of a mix make both.
POSTING = ("as label", "signs", "word of mouth", "both")
LABEL_CAUTION = "The label in your hand governs; these figures are typed in by people."

PRODUCTS = Table(
    "products",
    "Products",
    "One row per product: what it is, how it is sold, and its label's re-entry and rain-free times.",
    (
        Column("product", "Product", "name", required=True, note="A name that no other product has."),
        Column("kind", "Kind", required=True, choices=KINDS, also=OTHER_KINDS,
               note="What the product does in the tank. Whatever has a re-entry interval, a registration "
                    "number or an active ingredient is checked as a pesticide, whatever its kind."),
        Column("formulation", "Formulation", required=True, choices="formulation_codes.code",
               suggest_only=True,
               note="Two-letter international code: SL, EC, SC, WG ... from the label."),
        Column("registration_no", "Registration no.",
               note="From the label, or none. Two names with one number are one product for every limit."),
        Column("restricted_use", "Restricted use", choices=("yes", "no"),
               note="yes for restricted-use products."),
        Column("package_size", "Package size", "amount", required=True, minimum=0.001, maximum=1000000,
               note="Amount in one package."),
        Column("package_unit", "Package unit", "unit_label", required=True, choices=tuple(AMOUNT_UNITS),
               note="Unit of the package size and of the amount on hand."),
        Column("package_price", "Package price", "money", required=True, minimum=0, maximum=1000000,
               note="Price of one package."),
        Column("on_hand", "On hand", "amount", minimum=0, maximum=1000000,
               note="Amount in store, in the package unit."),
        Column("density", "Density", "density", minimum=0.1, maximum=30,
               note="Needed only where a weight meets a volume (a percent-by-weight liquid, say)."),
        Column("rei_hours", "Re-entry interval", "hours", digits=0, minimum=0, maximum=2000,
               note="Hours, from the label."),
        Column("rainfast_hours", "Rain-free hours", "hours", digits=1, minimum=0, maximum=200,
               note="Hours without rain after spraying, from the label."),
        Column("posting", "Warning of workers", choices=POSTING,
               note="How the label wants workers warned; blank or as label leaves it to the re-entry "
                    "interval."),
        Column("adding_step", "Mixing order", "index", minimum=0, maximum=20,
               note="A number here wins over what kind and formulation give; see Mixing order rules.",
               was=("Adding step",)),
        Column("water_sensitive", "Hurt by hard water?", choices=("yes", "no"),
               note="yes when hard water ties it up (glyphosate and other weak acids); the water check looks "
                    "at mixes that hold one.", was=("Suffers in hard water",)),
        Column("ams_low", "Ammonium sulfate from", "ams_rate", minimum=0, maximum=100,
               note="Lower end of the range on this product's label."),
        Column("ams_high", "Ammonium sulfate to", "ams_rate", minimum=0, maximum=100,
               note="Upper end of the range on this product's label; 0 where it forbids any."),
        Column("ams_content", "Ammonium sulfate content", "density", minimum=0, maximum=30,
               note="Of a liquid that brings some, 3.4 lb/gal (0.41 kg/L) say. A dry conditioner counts as "
                    "pure; another dry product, too, above 0. 0 when it holds none."),
        *PRODUCT_MONEY,
        Column("droplet_wanted", "Droplets, finest", choices=("XF", "VF", "F", "M", "C", "VC", "XC", "UC"),
               note="Finest category the label allows: this one or coarser. Medium is M, Coarse C, Very "
                    "Coarse VC."),
        Column("droplet_coarsest", "Droplets, coarsest",
               choices=("XF", "VF", "F", "M", "C", "VC", "XC", "UC"),
               note="Coarsest category the label allows, when it says so."),
        Column("bees", "Bees", choices=("none", "not while bees forage", "not in bloom"),
               note="What the label forbids for bees' sake; none where it says nothing of them. Asked for of "
                    "every insecticide, and of any pesticide where something blooms."),
        Column("bee_hours", "Residue hurts bees for", "hours", digits=0, minimum=0, maximum=2000,
               note="Hours until residue on leaves kills no more than a quarter of the bees (RT25), where it "
                    "is known."),
        Column("bee_cold", "No foraging below", "temperature", minimum=-60, maximum=140,
               note="Temperature below which the label takes bees to stay away; blank where it names none."),
        Column("ppe", "Wear to mix and load", "long_text",
               note="Protective equipment for mixers and loaders, from the label."),
        Column("notes", "Notes", "long_text", note="Anything worth remembering."),
    ),
    caution=LABEL_CAUTION,
)

INGREDIENTS = Table(
    "ingredients",
    "Ingredients",
    "Active ingredients of each product, by common name, with their resistance group and content.",
    (
        Column("product", "Product", "name", required=True, choices="products.product",
               note="Choose from the products."),
        Column("active_ingredient", "Active ingredient", "name", required=True,
               choices="active_list.active_ingredient",
               suggest_only=True, note="Common name."),
        Column("mode_group", "Group", "code", minimum=0, maximum=99,
               note="From the label: 9, 4A, M05. Each list counts for itself; old numbers of herbicides are "
                    "normalised with a note.", was=("Herbicide group", "Mode group")),
        Column("content", "Content", "number", digits=3, required=True, minimum=0, maximum=2000,
               note="Amount of the ingredient."),
        Column("content_unit", "Content unit", "unit_label", required=True, choices=CONTENT_UNITS,
               note="As the label counts: ae is acid equivalent, ai is active ingredient. For a salt, an "
                    "ester or its acid say which."),
        Column("scheme", "Group list", choices=SCHEMES,
               note="Whose group it is, where the kind of the product does not say; blank goes by the kind."),
    ),
)

LABEL_LIMITS = Table(
    "label_limits",
    "Label limits",
    "Label figures per product and crop; a row with the crop left blank or any holds for crops not named.",
    (
        Column("product", "Product", "name", required=True, choices="products.product",
               note="Choose from the products."),
        Column("crop", "Crop", "name", choices="crops.crop", suggest_only=True,
               note="Crop, or any, or blank for every crop not named."),
        Column("allowed", "Allowed on this crop?", choices=("yes", "no"),
               note="no when the label forbids this crop; blank counts as yes, since the row is there."),
        Column("max_rate", "Max rate per application", "amount", minimum=0, maximum=100000,
               note="In the rate unit of this row.", was=("Highest rate per pass",)),
        Column("max_rate_season", "Max amount per season", "amount", minimum=0, maximum=100000,
               note="In the rate unit of this row.", was=("Highest amount per season",)),
        Column("rate_unit", "Rate unit", "unit_label", choices="rate_units.rate_unit",
               note="Unit of both limits."),
        Column("max_passes", "Max applications per season", "count", minimum=0, maximum=50,
               note="From the label.", was=("Most passes per season",)),
        Column("retreat_days", "Retreatment interval", "days", minimum=0, maximum=1000,
               note="Days between two applications of the product."),
        Column("phi_days", "Preharvest interval", "days", minimum=0, maximum=1000,
               note="Days; the application day is day 0."),
        Column("grazing_days", "Grazing interval", "days", minimum=0, maximum=1000,
               note="Days before grazing or cutting for forage."),
        Column("over_crop", "OK over growing crop?", choices=("yes", "no"),
               note="yes when the label allows spraying over this crop once planted: only then is it "
                    "suggested there; no when the label forbids it until harvest. Blank where it hangs "
                    "on more, as before emergence.",
               was=("Over the standing crop",)),
        Column("min_rate", "Least rate per application", "amount", minimum=0, maximum=100000,
               note="In the rate unit of this row."),
        Column("min_carrier", "Least carrier", "carrier", minimum=0, maximum=2000,
               note="Least spray volume the label allows."),
        Column("max_carrier", "Greatest carrier", "carrier", minimum=0, maximum=2000,
               note="Greatest spray volume, where the label gives one."),
        Column("max_weed_height", "Weeds up to", "spacing", minimum=0, maximum=500,
               note="Greatest height of weeds the label names; compared with the height typed with the "
                    "pass."),
        Column("max_group_passes", "Max applications of its group", "count", minimum=0, maximum=50,
               note="Per season and field, of all products of its group together."),
        Column("from_stage", "From stage", "name",
               note="Crop stage from which it may be sprayed; its date is typed in Crop stages."),
        Column("before_stage", "Before stage", "name",
               note="Crop stage before which it must be sprayed: V9 where the label says through V8."),
        Column("min_crop_height", "Crop from", "spacing", minimum=0, maximum=2000,
               note="Least height of the crop."),
        Column("max_crop_height", "Crop up to", "spacing", minimum=0, maximum=2000,
               note="Greatest height of the crop."),
        Column("planting_days", "Days after planting, most", "days", minimum=0, maximum=1000,
               note="Not later than so many days after planting."),
        Column("after_date", "Not before", "date",
               note="First day of the year on which it may be sprayed; the year does not count."),
        Column("before_date", "Not after", "date",
               note="Last day of the year on which it may be sprayed; the year does not count."),
    ),
    caution=LABEL_CAUTION,
)

INGREDIENT_LIMITS = Table(
    "ingredient_limits",
    "Ingredient limits",
    "Limits per active ingredient and crop, summed over every product that holds it.",
    (
        Column("active_ingredient", "Active ingredient", "name", required=True,
               choices="active_list.active_ingredient",
               suggest_only=True, note="Common name, as in Ingredients."),
        Column("crop", "Crop", "name", choices="crops.crop", suggest_only=True,
               note="Crop, or any, or blank for every crop not named."),
        Column("max_pass", "Max per application", "number", digits=4, minimum=0, maximum=100000,
               note="In the unit of this row.", was=("Highest per pass",)),
        Column("max_season", "Max per season", "number", digits=4, minimum=0, maximum=100000,
               note="In the unit of this row.", was=("Highest per season",)),
        Column("unit", "Unit", "unit_label", required=True, choices=LIMIT_UNITS,
               note="As the label counts: ae or ai."),
    ),
    caution=LABEL_CAUTION,
)

PLANT_BACK = Table(
    "plant_back",
    "Plant-back",
    "How long after an application a following crop may be planted, from each label.",
    (
        Column("product", "Product", "name", required=True, choices="products.product",
               note="Choose from the products."),
        Column("next_crop", "Next crop", "name", choices="crops.crop", suggest_only=True,
               note="Crop, or any, or blank for every crop not named."),
        Column("interval", "Interval", "count", required=True, minimum=0, maximum=2000,
               note="Number of days or calendar months."),
        Column("interval_unit", "Interval unit", required=True, choices=("days", "months"),
               note="days or months (calendar months)."),
    ),
    caution=LABEL_CAUTION,
)

MIXES = Table(
    "mixes",
    "Mixes",
    "One row per product in a mix; rows with the same mix name belong together.",
    (
        Column("mix", "Mix", "name", required=True, note="Name of the mix."),
        Column("product", "Product", "name", required=True, choices="products.product",
               note="Choose from the products."),
        Column("rate", "Rate", "amount", digits=3, required=True, minimum=0, maximum=100000,
               note="In the rate unit of this row."),
        Column("rate_unit", "Rate unit", "unit_label", required=True, choices="rate_units.rate_unit",
               note="Per area, % of the spray volume, or per 100 units of spray volume."),
        Column("label_order", "Mixing order", "index", minimum=0, maximum=20,
               note="Number this product's label demands in this mix, lower first; wins over everything "
                    "else.", was=("Label step",)),
    ),
)
