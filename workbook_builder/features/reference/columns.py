"""Declarations of the reference lists: units, formulation codes, resistance groups, lists for drop-downs."""

from __future__ import annotations

from workbook_builder.core.columns import FIXED, Column, Table
from workbook_builder.features.reference.agronomy import AGRONOMY_FACTORS

FORMULATION_CODES = Table(
    "formulation_codes",
    "Formulation codes",
    "International two-letter formulation codes; an SB ending means sealed water-soluble bags. Source: "
    "Catalogue of pesticide formulation types, Technical Monograph 2, 7th edition 2017, as listed second "
    "hand; FAO and WHO use the same codes.",
    (
        Column("code", "Code", role=FIXED),
        Column("meaning", "Meaning", "long_text", role=FIXED),
        Column("phase", "Liquid or dry", role=FIXED,
               note="Liquids take room in the tank; blank where the code does not say."),
        Column("tank_mix", "Goes into water", role=FIXED,
               note="ask: read the label first; oil: as an oil adjuvant only."),
    ),
    rows="given",
    kind="reference",
)

GROUP_NAMES = Table(
    "group_names",
    "Resistance groups",
    "Herbicide groups by HRAC number, insecticide groups by IRAC number and fungicide groups by FRAC code: "
    "three lists, in which one number means three things. Sources: those bodies' lists, from memory where "
    "Active ingredients or the method page do not say where they were read.",
    (
        Column("mode_group", "Number", "index", FIXED,
               note="HRAC number of a herbicide; 100 and more of an insecticide, 200 and more of a "
                    "fungicide."),
        Column("said", "Group", role=FIXED),
        Column("scheme", "Group list", role=FIXED),
        Column("code", "Code", "code", FIXED),
        Column("site_of_action", "What it acts on", "long_text", FIXED, was=("What it does in the plant",)),
        Column("in_a_row", "Applications in a row", "count", FIXED,
               note="More before another group takes a turn are flagged; blank where the list does not ask."),
        Column("season_uses", "Applications per season", "count", FIXED,
               note="More on a field are flagged; herbicides go by the settings."),
    ),
    rows="given",
    kind="reference",
    sheet="Resistance groups",
    was=("Herbicide groups",),
)

GROUP_CODES = Table(
    "group_codes",
    "Spellings of groups",
    "Every way the group of an insecticide or a fungicide is written, sub-groups with their main group.",
    (
        Column("key", "List and code", role=FIXED),
        Column("mode_group", "Number", "index", FIXED),
    ),
    rows="given",
    kind="reference",
    sheet="Resistance groups",
)

OLD_GROUPS = Table(
    "old_groups",
    "Old group numbers",
    "Numbers no longer in use and what they are counted as today; blank means it depends on the ingredient.",
    (
        Column("old_group", "Old number", "index", FIXED),
        Column("new_group", "Counted as", "index", FIXED),
        Column("remark", "Remark", "long_text", FIXED),
    ),
    rows="given",
    kind="reference",
    sheet="Resistance groups",
)

ACTIVE_LIST = Table(
    "active_list",
    "Active ingredients",
    "Active ingredients by common name with their herbicide group; the last column says where each row was "
    "read.",
    (
        Column("active_ingredient", "Active ingredient", "name", FIXED),
        Column("mode_group", "Group", "index", FIXED),
        Column("family", "Chemical family", role=FIXED),
        Column("standing", "How sure", role=FIXED),
        Column("source", "Source", "long_text", FIXED),
    ),
    rows="given",
    kind="reference",
)

UNIT_LIST = Table(
    "unit_list",
    "Units",
    "Amount units and how many base units (fluid ounces and ounces, or millilitres and grams) each holds.",
    (
        Column("unit", "Unit", "unit_label", FIXED),
        Column("phase", "Phase", role=FIXED),
        Column("to_base", "Base units", "factor", FIXED),
    ),
    rows="given",
    kind="reference",
    sheet="Units and lists",
)

RATE_UNITS = Table(
    "rate_units",
    "Rate units",
    "Rate units, what they are counted in, and how each becomes base units per area or per spray volume.",
    (
        Column("rate_unit", "Rate unit", "unit_label", FIXED),
        Column("amount_unit", "Amount unit", "unit_label", FIXED),
        Column("phase", "Phase", role=FIXED),
        Column("per_area", "Base units per area", "factor", FIXED),
        Column("per_volume", "Base units per volume", "factor", FIXED),
        Column("to_base", "Base units in an amount unit", "factor", FIXED),
        Column("counts", "Counts", role=FIXED,
               note="ai or ae where the active ingredient is rated and not the product."),
        Column("per_mass", "Plan units of mass", "factor", FIXED,
               note="Of an active ingredient per area, for a rate of 1."),
    ),
    rows="given",
    kind="reference",
    sheet="Units and lists",
)

CONTENT_UNIT_LIST = Table(
    "content_units",
    "Content units",
    "Content units of active ingredients and how each becomes mass per base unit of product.",
    (
        Column("content_unit", "Content unit", "unit_label", FIXED),
        Column("counts", "Counts", role=FIXED),
        Column("phase", "Of a", role=FIXED),
        Column("factor", "Mass per base unit", "factor", FIXED, digits=9),
    ),
    rows="given",
    kind="reference",
    sheet="Units and lists",
)

LIMIT_UNIT_LIST = Table(
    "limit_units",
    "Limit units",
    "Units of ingredient limits and how each becomes the plan's mass per area.",
    (
        Column("unit", "Unit", "unit_label", FIXED),
        Column("counts", "Counts", role=FIXED),
        Column("factor", "Plan units", "factor", FIXED),
    ),
    rows="given",
    kind="reference",
    sheet="Units and lists",
)

FACTORS = Table(
    "factors",
    "Factors",
    "Unit factors the formulas use; derived from exact definitions, not to be changed.",
    (
        Column("work_rate_divisor", "Speed x width per work rate", "factor", FIXED,
               note="mph x ft / 8.25 = ac/h; km/h x m / 10 = ha/h", source="43560/5280 = 8.25 exactly"),
        Column("liquid_step_1", "Largest liquid unit", "factor", FIXED,
               note="Base units in a gallon or litre."),
        Column("liquid_step_2", "Middle liquid unit", "factor", FIXED,
               note="Base units in a quart; in metric as large as the largest."),
        Column("dry_step_1", "Largest dry unit", "factor", FIXED, note="Base units in a pound or kilogram."),
        Column("liquid_name_1", "Name of largest liquid unit", role=FIXED),
        Column("liquid_name_2", "Name of middle liquid unit", role=FIXED),
        Column("liquid_name_3", "Name of liquid base unit", role=FIXED),
        Column("dry_name_1", "Name of largest dry unit", role=FIXED),
        Column("dry_name_2", "Name of dry base unit", role=FIXED),
        Column("mass_unit", "Unit of ingredient mass per area", role=FIXED),
        Column("area_name", "Name of the unit of area", role=FIXED),
        Column("base_per_volume", "Liquid base units in a unit of spray volume", "factor", FIXED),
        Column("dry_base_per_density", "Dry base units per liquid base unit at density 1", "factor",
               FIXED, digits=9),
        Column("acres_per_area", "Acres in a unit of area", "factor", FIXED,
               note="Record rules count in acres."),
        Column("temperature_zero", "Temperature of 0 deg C", "factor", FIXED,
               note="In the farm's unit: 32 deg F or 0 deg C."),
        Column("temperature_step", "Degrees C in a degree", "factor", FIXED,
               note="5/9 for deg F, 1 for deg C."),
        Column("usual_water_cost", "Carrier cost where nobody typed one", "money_per_volume", FIXED,
               note="The same money in both unit systems."),
    ),
    rows="form",
    kind="reference",
    sheet="Units and lists",
    named=True,
)

ROOM_TABLE = Table(
    "room",
    "Room",
    "How many slots each list has; a mix or list that outgrows them is flagged, and a rebuild makes more "
    "room.",
    (
        Column("products", "Products in a mix", "count", FIXED),
        Column("ingredients", "Ingredients in a mix", "count", FIXED),
        Column("lines", "Products of all passes", "count", FIXED),
        Column("ingredient_lines", "Ingredients of all passes", "count", FIXED),
        Column("nozzle_lines", "Nozzle rows of all passes", "count", FIXED),
        Column("weed_lines", "Driver weeds of all passes", "count", FIXED),
        Column("nutrient_lines", "Nutrient rows of all passes", "count", FIXED),
        Column("groups", "Groups on the farm", "count", FIXED),
        Column("mixes", "Mixes", "count", FIXED),
        Column("crops", "Crops of the season", "count", FIXED),
        Column("pass_names", "Pass names", "count", FIXED),
        Column("weed_names", "Different driver weeds", "count", FIXED),
        Column("carried", "Products in a tank to mind", "count", FIXED),
        Column("checks", "Checks of a pass", "count", FIXED),
        Column("causes", "Ways a check can be open", "count", FIXED),
        Column("open", "Lines for points to fix", "count", FIXED),
        Column("fixes", "Causes on the first tab", "count", FIXED),
        Column("years", "Years of a machine, from 0", "count", FIXED),
        Column("share_steps", "Points of a curve over the share of field sprayed", "count", FIXED),
        Column("spot", "Spot passes", "count", FIXED),
        Column("choices", "Candidates of a spot pass", "count", FIXED),
        Column("curve", "Points of the cost curve", "count", FIXED),
        Column("pass_events", "Calendar events of a pass", "count", FIXED),
        Column("field_events", "Calendar events of a field", "count", FIXED),
        Column("gaps", "Spans without cover of a weed", "count", FIXED),
    ),
    rows="form",
    kind="reference",
    sheet="Units and lists",
)

CROPS = Table(
    "crops",
    "Crops",
    "Crops named anywhere in the inputs, for the drop-downs.",
    (Column("crop", "Crop", "name", FIXED),),
    rows="given",
    kind="reference",
    sheet="Units and lists",
)

CROP_NAMES = Table(
    "crop_names",
    "Crop names",
    "Names of one crop, the wider crop it is a kind of, and the crops it is easily taken for; common "
    "practice, no source.",
    (
        Column("plain", "Name without spaces", "name", FIXED),
        Column("crop", "Crop", "name", FIXED),
        Column("kind_of", "Is a kind of", "name", FIXED),
        Column("family", "Easily taken for", "name", FIXED),
        Column("group", "Belongs to the group", "name", FIXED),
        Column("start", "First letters", "name", FIXED),
    ),
    rows="given",
    kind="reference",
    sheet="Units and lists",
)

ACTIVE_NAMES = Table(
    "active_names",
    "Names of active ingredients",
    "What each name of an active ingredient counts as, and the acid equivalent of a salt or ester by its "
    "molecular weights.",
    (
        Column("plain", "Name without spaces", "name", FIXED),
        Column("counts_as", "Counts as", "name", FIXED),
        Column("kind", "Is", role=FIXED),
        Column("ratio", "Acid equivalent of a unit", "factor", FIXED, digits=4,
               note="Blank for an acid by itself: nobody knows which salt was weighed."),
        Column("mode_group", "Group", "index", FIXED),
        Column("acid_weight", "Molecular weight of the acid", "number", FIXED, digits=2),
        Column("form_weight", "Molecular weight of the form", "number", FIXED, digits=2),
        Column("standing", "How sure", role=FIXED),
        Column("source", "Source", "long_text", FIXED),
        Column("start", "First letters", "name", FIXED),
    ),
    rows="given",
    kind="reference",
    sheet="Active ingredients",
)

TABLES = (
    UNIT_LIST, RATE_UNITS, CONTENT_UNIT_LIST, LIMIT_UNIT_LIST, FACTORS, ROOM_TABLE, FORMULATION_CODES,
    GROUP_NAMES, GROUP_CODES, OLD_GROUPS, ACTIVE_LIST,
    ACTIVE_NAMES, CROPS, CROP_NAMES, AGRONOMY_FACTORS,
)
