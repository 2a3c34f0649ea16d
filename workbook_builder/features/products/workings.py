"""Workings of products, ingredients and label figures: one row beside each typed row."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.core.short import row_number, working
from workbook_builder.features.labels.columns import LABEL_WORKINGS
from workbook_builder.features.labels.names import active_columns
from workbook_builder.features.products.columns import HERBICIDE, OTHER_PESTICIDES, PESTICIDES
from workbook_builder.features.products.names import bare_number, no_number, plain_number


def _is_one_of(kind: str, kinds: tuple[str, ...]) -> str:
    """Return a formula of whether a kind is one of several."""
    return "OR(" + ",".join(f'{kind}="{each}"' for each in kinds) + ")"

def _wanted(key: str, *words: str) -> str:
    """Return a formula of whether any name of a product says one of some words."""
    counts = "+".join('COUNTIFS({product_no:all},{product_no},{products.%s:all},"%s")' % (key, word) for word in words)
    return 'IF({product_no}="",0,IF(%s>0,1,0))' % counts


#: Note on an ingredient of a herbicide whose group nobody typed.
NO_GROUP = "Herbicide group not entered"

ADDING_STEP_FACTS = Table(
    "adding_step_facts",
    "Mixing order workings",
    "Lookup key of each row of the adding-step table.",
    (working("key", "Key", 'IF({adding_steps.kind}="","",{adding_steps.kind}&"|"&{adding_steps.formulation})', "text"),),
    rows="as:adding_steps",
    kind="working",
    sheet="Workings products",
    was=("Adding step workings",),
)

PRODUCT_FACTS = Table(
    "product_facts",
    "Product workings",
    "Each product's phase, prices per base unit and mixing order, worked out once.",
    (
        row_number(),
        working("unit_row", "Unit row", 'IF({products.package_unit}="","",IFERROR(MATCH({products.package_unit},{unit_list.unit:all},0),""))'),
        working("phase", "Phase", 'IF({unit_row}="","",INDEX({unit_list.phase:all},{unit_row}))', "text"),
        working("form_row", "Formulation row",
                'IF({products.formulation}="","",IFERROR(MATCH({products.formulation},{formulation_codes.code:all},0),""))'),
        working("form_listed", "Liquid or dry, by formulation", 'IF({form_row}="","",INDEX({formulation_codes.phase:all},{form_row})&"")', "text"),
        working("form", "Liquid or dry", 'IF({products.product}="","",IF({form_listed}="",{phase},{form_listed}))', "text",
                note="By the formulation, or as sold where the formulation does not say."),
        working("asks", "To be asked whether it goes into water",
                'IF({products.product}="","",IF({products.adding_step}<>"",0,IF({form_row}="",1,IF(INDEX({formulation_codes.tank_mix:all},{form_row})="ask",1,'
                'IF(AND(INDEX({formulation_codes.tank_mix:all},{form_row})="oil",{products.kind}<>"adjuvant"),1,0)))))', "count",
                note="Not where its mixing order was typed."),
        working("package_base", "Base units in a package",
                'IF(OR({unit_row}="",{products.package_size}=""),"",{products.package_size}*INDEX({unit_list.to_base:all},{unit_row}))', "factor"),
        working("price_base", "Price per base unit",
                'IF(OR({package_base}="",{products.package_price}=""),"",{products.package_price}/{package_base})', "money_per_base"),
        working("dry_per_liquid", "Dry base units per liquid base unit",
                'IF({products.density}="","",{products.density}*{factors.dry_base_per_density})', "factor"),
        working("price_liquid", "Price per liquid base unit",
                'IF({price_base}="","",IF({phase}="liquid",{price_base},IF({dry_per_liquid}="","",{price_base}*{dry_per_liquid})))', "money_per_base"),
        working("price_dry", "Price per dry base unit",
                'IF({price_base}="","",IF({phase}="dry",{price_base},IF({dry_per_liquid}="","",{price_base}/{dry_per_liquid})))', "money_per_base"),
        working("ingredient_count", "Ingredients", 'IF({products.product}="","",COUNTIF({ingredient_facts.product_row:all},{row_no}))'),
        working("number_plain", "Registration number, signs out", plain_number('{products.registration_no}&""'), "text"),
        working("number_bare", "Registration number, words out", bare_number("{number_plain}"), "text"),
        working("number_word", "Registration number, dashes out", 'SUBSTITUTE({number_bare},"-","")', "text"),
        working("number_end", "Second dash of the number", 'IFERROR(FIND("-",{number_bare},FIND("-",{number_bare})+1),0)'),
        working("registration", "Registration",
                'IF(OR({products.product}="",' + no_number("{number_word}") + '),"",IF({number_end}>1,LEFT({number_bare},{number_end}-1),{number_bare}))', "text",
                note="Blank when there is none. A third part names the company that sells it; the product is the same.",
                source="40 CFR 152.132, from memory"),
        working("product_no", "Product number", 'IF({products.product}="","",IF({registration}="",{row_no},MATCH({registration},{registration:all},0)))',
                note="Row of the first product with this registration: two names of one registration are one product."),
        *(
            working(key, f"{header} of all its names",
                    'IF({product_no}="","",IF(COUNTIFS({product_no:all},{product_no},{products.%s:all},">=0")=0,"",_xlfn.%s({products.%s:all},{product_no:all},{product_no})))' % (typed, pick, typed),
                    quantity)
            for key, header, typed, pick, quantity in (
                ("rei", "Re-entry hours", "rei_hours", "MAXIFS", "hours"), ("rain", "Rain-free hours", "rainfast_hours", "MAXIFS", "hours"),
                ("ams_low", "Ammonium sulfate from", "ams_low", "MAXIFS", "ams_rate"), ("ams_high", "Ammonium sulfate to", "ams_high", "MINIFS", "ams_rate"),
            )
        ),
        working("signs", "Any of its names wants signs", _wanted("posting", "signs", "both"), "count"),
        working("spoken", "Any of its names wants word of mouth", _wanted("posting", "word of mouth", "both"), "count"),
        working("restricted", "Any of its names is restricted", _wanted("restricted_use", "yes"), "count"),
        working("label_scale", "Base units of the first name in one of this name",
                'IF({product_no}="","",IF(INDEX({phase:all},{product_no})={phase},1,IF({dry_per_liquid}="","",IF({phase}="liquid",{dry_per_liquid},1/{dry_per_liquid}))))', "factor",
                note="1 unless one name is sold by weight and the other by volume."),
        working("pesticide", "Is a pesticide",
                'IF({products.product}="",0,IF(OR(' + _is_one_of("{products.kind}", PESTICIDES)
                + ',SUM({products.rei_hours})>0,{registration}<>"",COUNTIF({ingredient_facts.proof_row:all},{row_no})>0),1,0))', "count",
                note="By kind, re-entry interval, registration number or active ingredient: no kind escapes the label."),
        working("step_kind", "Kind in the mixing order", f'IF({_is_one_of("{products.kind}", OTHER_PESTICIDES)},"{HERBICIDE}",{{products.kind}}&"")', "text",
                note="Where the mixing order rules do not name a kind of pesticide, it goes in as a herbicide of its formulation does."),
        working("own_step", "Mixing order row of its kind",
                'IF({products.kind}="","",IFERROR(MATCH({products.kind}&"|"&{products.formulation},{adding_step_facts.key:all},0),'
                'IFERROR(MATCH("any|"&{products.formulation},{adding_step_facts.key:all},0),'
                'IFERROR(MATCH({products.kind}&"|",{adding_step_facts.key:all},0),""))))'),
        working("step_row", "Mixing order row",
                'IF(OR({products.kind}="",{own_step}<>""),{own_step},IFERROR(MATCH({step_kind}&"|"&{products.formulation},{adding_step_facts.key:all},0),'
                'IFERROR(MATCH({step_kind}&"|",{adding_step_facts.key:all},0),"")))'),
        working("step", "Mixing order",
                'IF({products.adding_step}<>"",{products.adding_step},IF({step_row}="","",SUM(INDEX({adding_steps.step:all},{step_row}))))'),
        working("reason", "Why there",
                'IF({products.adding_step}<>"","Step set for this product",IF({step_row}="","",INDEX({adding_steps.reason:all},{step_row})&""))', "text"),
        working("pause", "Pause after it",
                'IF({step_row}="","",IF(INDEX({adding_steps.dry:all},{step_row})="yes",dry_pause,IF(INDEX({adding_steps.dry:all},{step_row})="bag",bag_pause,0)))', "minutes"),
    ),
    rows="as:products",
    kind="working",
    sheet="Workings products",
)

INGREDIENT_FACTS = Table(
    "ingredient_facts",
    "Ingredient workings",
    "Each ingredient's product, today's herbicide group, and mass per base unit of product.",
    (
        row_number(),
        working("product_row", "Product row", 'IF({ingredients.product}="","",IFERROR(MATCH({ingredients.product},{products.product:all},0),""))'),
        working("nth", "Nth of its product", 'IF({product_row}="","",COUNTIF({product_row:upto},{product_row}))'),
        working("key", "Key", 'IF({product_row}="","",{product_row}*100+{nth})'),
        working("kind", "Kind of its product", 'IF({product_row}="","",INDEX({products.kind:all},{product_row})&"")', "text"),
        *active_columns("{ingredients.active_ingredient}", _is_one_of("{kind}", OTHER_PESTICIDES)),
        working("active_no", "Ingredient number", 'IF({active_plain}="","",MATCH({active_parent},{active_parent:all},0))',
                note="Salts, esters and resolved forms of one parent have one number."),
        working("name_note", "Note on the name", 'IF(OR({active_row}<>"",{active_found}=""),"","not in the list by this name: counted with "&{active_parent})', "text"),
        working("list_group", "Group in the list",
                'IF({active_found}="","",IF(INDEX({active_names.mode_group:all},{active_found})="","",INDEX({active_names.mode_group:all},{active_found})))'),
        working("old_row", "Old number row",
                'IF({ingredients.mode_group}="","",IFERROR(MATCH({ingredients.mode_group},{old_groups.old_group:all},0),""))'),
        working("counted_as", "Old number counted as",
                'IF({old_row}="","",IF({list_group}<>"",{list_group},IF(INDEX({old_groups.new_group:all},{old_row})="","",INDEX({old_groups.new_group:all},{old_row}))))',
                note="By its active ingredient where the list knows it: bensulide is no longer with the others of old number 8."),
        working("proof_row", "Product it proves a pesticide", 'IF(OR({ingredients.mode_group}<>"",{active_found}<>""),{product_row},"")'),
        working("group", "Group today",
                'IF(OR({ingredients.mode_group}="",' + _is_one_of("{kind}", OTHER_PESTICIDES) + '),"",IF({old_row}="",{ingredients.mode_group},{counted_as}))',
                note="Insecticides, fungicides and growth regulators have lists of their own: their numbers are no herbicide groups."),
        working("group_note", "Note on the group",
                f'IF({{group}}="",IF(AND({{kind}}="{HERBICIDE}",{{ingredients.active_ingredient}}<>""),"{NO_GROUP}",""),'
                'IF({group}<>{ingredients.mode_group},"Old number "&{ingredients.mode_group}&" counted as "&{group},'
                'IF(OR({list_group}="",{list_group}={group}),"","The list says group "&{list_group})))', "text"),
        working("content_row", "Content unit row",
                'IF({ingredients.content_unit}="","",IFERROR(MATCH({ingredients.content_unit},{content_units.content_unit:all},0),""))'),
        working("counts", "Counted as", 'IF({content_row}="","",INDEX({content_units.counts:all},{content_row})&"")', "text"),
        working("mass", "Mass per base unit as stated",
                'IF(OR({content_row}="",{ingredients.content}=""),"",{ingredients.content}*INDEX({content_units.factor:all},{content_row}))',
                "factor", digits=8),
        working("stated_for", "Stated for a", 'IF({content_row}="","",IF(INDEX({content_units.phase:all},{content_row})="liquid","liquid","dry"))', "text"),
        working("dry_per_liquid", "Dry base units per liquid base unit",
                'IF({product_row}="","",INDEX({product_facts.dry_per_liquid:all},{product_row}))', "factor"),
        working("per_liquid", "Mass per liquid base unit",
                'IF({mass}="","",IF({stated_for}="liquid",{mass},IF({dry_per_liquid}="","",{mass}*{dry_per_liquid})))', "factor", digits=8),
        working("per_dry", "Mass per dry base unit",
                'IF({mass}="","",IF({stated_for}="dry",{mass},IF({dry_per_liquid}="","",{mass}/{dry_per_liquid})))', "factor", digits=8),
        working("to_acid", "Acid equivalent of the mass stated",
                'IF({content_row}="","",IF({counts}="ae",1,IF({active_ratio}="","",IF({counts}="ai",{active_ratio},IF({active_ratio}=1,1,"")))))', "factor", digits=4,
                note="Blank where nobody says which salt was weighed, or whether salt or acid was."),
        working("to_active", "Active ingredient of the mass stated",
                'IF({content_row}="","",IF({counts}="ai",1,IF({counts}="ae",IF({active_ratio}="","",1/{active_ratio}),IF({active_ratio}=1,1,IF({active_found}="",1,"")))))', "factor", digits=4),
    ),
    rows="as:ingredients",
    kind="working",
    sheet="Workings products",
)

PRODUCT_WORKINGS = (ADDING_STEP_FACTS, PRODUCT_FACTS, INGREDIENT_FACTS, *LABEL_WORKINGS)
