"""Workings of products and their ingredients: one row beside each typed row."""

from __future__ import annotations

from operator import mul

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import part_of, place, row_number, typed_in, working
from workbook_builder.features.labels.names import active_columns
from workbook_builder.features.products.definitions import (
    NO_NUMBER,
    NUMBER_PREFIXES,
    NUMBER_SIGNS,
    acid_and_active,
    per_phase,
    phase_scale,
    price_per_base,
    registration_key,
)
from workbook_builder.features.products.inputs import (
    HERBICIDE,
    INGREDIENT_LIMITS,
    INGREDIENTS,
    LABEL_LIMITS,
    MIXES,
    OTHER_PESTICIDES,
    PESTICIDES,
    PLANT_BACK,
    PRODUCTS,
    SCHEMES,
)

SHEET = "Workings products"
#: Note on an ingredient of a herbicide, insecticide or fungicide whose group nobody typed.
NO_GROUP = "Group not entered"


def _is_one_of(cell: str, words: tuple[str, ...]) -> str:
    """Return a formula of whether a cell is one of several words."""
    return "OR(" + ",".join(f'{cell}="{word}"' for word in words) + ")"


_OTHER = _is_one_of("{kind}", OTHER_PESTICIDES)


def _plain_number() -> str:
    """Return the formula of a registration number without spaces and signs, its dashes all alike."""
    plain = '{products.registration_no}&""'
    for sign in NUMBER_SIGNS:
        plain = f'SUBSTITUTE({plain},"{sign}","")'
    return f'SUBSTITUTE({plain},"\N{EN DASH}","-")'


def _bare_number() -> str:
    """Return the formula of a number without the words before it."""
    bare = "{number_plain}"
    for prefix in reversed(NUMBER_PREFIXES):
        bare = (f'IF(LEFT({{number_plain}},{len(prefix)})="{prefix}",MID({{number_plain}},{len(prefix) + 1},'
                f'99),{bare})')
    return bare


def _wanted(key: str, header: str, typed: str, *words: str) -> Column:
    """Declare whether any name of a product says one of some words."""
    counts = "+".join('COUNTIFS({product_no:all},{product_no},{products.%s:all},"%s")' % (typed, word)
                      for word in words)
    return working(key, f"Any of its names {header}", 'IF({product_no}="",0,IF(%s>0,1,0))' % counts, "count")


def _of_all_names(key: str, header: str, typed: str, pick: str, quantity: str) -> Column:
    """Declare the strictest figure of all names of a product."""
    figures = "{products.%s:all}" % typed
    of_it = "{product_no:all},{product_no}"
    return working(key, f"{header} of all its names",
                   f'IF(COUNTIFS({of_it},{figures},">=0")=0,"",_xlfn.{pick}({figures},{of_it}))', quantity,
                   needs="product_no")


ADDING_STEP_FACTS = Table(
    "adding_step_facts",
    "Mixing order workings",
    "Lookup key of each row of the adding-step table.",
    (
        working("key", "Key", '{adding_steps.kind}&"|"&{adding_steps.formulation}', "text",
                needs="adding_steps.kind"),
    ),
    rows="as:adding_steps",
    kind="working",
    sheet=SHEET,
    was=("Adding step workings",),
)

PRODUCT_FACTS = Table(
    "product_facts",
    "Product workings",
    "Each product's phase, prices per base unit and mixing order, worked out once.",
    (
        row_number(),
        place("unit_row", "Unit row", "products.package_unit", "unit_list.unit"),
        working("phase", "Phase", '{unit_list.phase@unit_row}', "text", needs="unit_row"),
        place("form_row", "Formulation row", "products.formulation", "formulation_codes.code"),
        working("form_listed", "Liquid or dry, by formulation", '{formulation_codes.phase@form_row}&""',
                "text", needs="form_row"),
        working("form", "Liquid or dry", 'IF({form_listed}="",{phase},{form_listed})', "text",
                needs="products.product",
                note="By the formulation, or as sold where the formulation does not say."),
        working("asks", "To be asked whether it goes into water",
                'IF({products.adding_step}<>"",0,IF({form_row}="",1,'
                'IF({formulation_codes.tank_mix@form_row}="ask",1,'
                'IF(AND({formulation_codes.tank_mix@form_row}="oil",{products.kind}<>"adjuvant"),1,0))))',
                "count", needs="products.product",
                note="Not where its mixing order was typed."),
        working("package_base", "Base units in a package",
                '{products.package_size}*{unit_list.to_base@unit_row}', "factor",
                needs="unit_row products.package_size", twin=mul,
                takes="products.package_size unit_list.to_base@unit_row"),
        working("price_base", "Price per base unit", '{products.package_price}/{package_base}',
                "money_per_base", needs="package_base products.package_price", twin=price_per_base,
                takes="products.package_price products.package_size unit_list.to_base@unit_row"),
        working("dry_per_liquid", "Dry base units per liquid base unit",
                '{products.density}*{factors.dry_base_per_density}', "factor",
                needs="products.density", twin=mul, takes="products.density factors.dry_base_per_density"),
        working("price_liquid", "Price per liquid base unit",
                'IF({phase}="liquid",{price_base},IF({dry_per_liquid}="","",{price_base}*{dry_per_liquid}))',
                "money_per_base",
                needs="price_base", takes="price_base phase dry_per_liquid",
                twin=lambda price, sold, dense: per_phase(price, sold, "liquid", dense)),
        working("price_dry", "Price per dry base unit",
                'IF({phase}="dry",{price_base},IF({dry_per_liquid}="","",{price_base}/{dry_per_liquid}))',
                "money_per_base",
                needs="price_base", takes="price_base phase dry_per_liquid",
                twin=lambda price, sold, dense: per_phase(price, sold, "dry", dense)),
        working("ingredient_count", "Ingredients", 'COUNTIF({ingredient_facts.product_row:all},{row_no})',
                needs="products.product"),
        working("single", "Its one active ingredient",
                'IF({ingredient_count}=1,IFERROR(MATCH({row_no}*100+1,{ingredient_facts.key:all},0),""),"")',
                needs="ingredient_count",
                note="Blank for a premix, whose rate in active ingredient says nothing of which is meant."),
        working("single_mass", "Its mass per base unit as sold",
                'IF({phase}="liquid",{ingredient_facts.per_liquid@single},{ingredient_facts.per_dry@single})',
                "factor", digits=8, needs="single phase"),
        working("single_acid", "Acid equivalent of that mass", '{ingredient_facts.to_acid@single}', "factor",
                digits=4, needs="single"),
        working("single_active", "Active ingredient of that mass", '{ingredient_facts.to_active@single}',
                "factor", digits=4, needs="single"),
        working("number_plain", "Registration number, signs out", _plain_number(), "text"),
        working("number_bare", "Registration number, words out", _bare_number(), "text"),
        working("number_word", "Registration number, dashes out", 'SUBSTITUTE({number_bare},"-","")', "text"),
        working("number_end", "Second dash of the number",
                'IFERROR(FIND("-",{number_bare})+FIND("-",MID({number_bare},FIND("-",{number_bare})+1,'
                'LEN({number_bare}))),0)'),
        working("registration", "Registration",
                'IF(' + _is_one_of("{number_word}", NO_NUMBER)
                + ',"",IF({number_end}>1,LEFT({number_bare},{number_end}-1),{number_bare}))', "text",
                needs="products.product",
                twin=registration_key, takes="products.registration_no",
                note="Blank when there is none. A third part names the company that sells it; the product is "
                     "the same.", source="40 CFR 152.132, from memory"),
        working("product_no", "Product number",
                'IF({registration}="",{row_no},MATCH({registration},{registration:all},0))',
                needs="products.product",
                note="Row of the first product with this registration: two names of one registration are one "
                     "product."),
        _of_all_names("rei", "Re-entry hours", "rei_hours", "MAXIFS", "hours"),
        _of_all_names("rain", "Rain-free hours", "rainfast_hours", "MAXIFS", "hours"),
        _of_all_names("ams_low", "Ammonium sulfate from", "ams_low", "MAXIFS", "ams_rate"),
        _of_all_names("ams_high", "Ammonium sulfate to", "ams_high", "MINIFS", "ams_rate"),
        _wanted("signs", "wants signs", "posting", "signs", "both"),
        _wanted("spoken", "wants word of mouth", "posting", "word of mouth", "both"),
        _wanted("restricted", "is restricted", "restricted_use", "yes"),
        working("label_scale", "Base units of the first name in one of this name",
                'IF({phase@product_no}={phase},1,IF({dry_per_liquid}="","",IF({phase}="liquid",'
                '{dry_per_liquid},1/{dry_per_liquid})))', "factor", needs="product_no",
                twin=phase_scale, takes="phase phase@product_no dry_per_liquid",
                note="1 unless one name is sold by weight and the other by volume."),
        working("pesticide", "Is a pesticide",
                'IF({products.product}="",0,IF(OR(' + _is_one_of("{products.kind}", PESTICIDES)
                + ',SUM({products.rei_hours})>0,{registration}<>"",COUNTIF({ingredient_facts.proof_row:all},'
                  '{row_no})>0),1,0))', "count",
                note="By kind, re-entry interval, registration number or active ingredient: no kind escapes "
                     "the label."),
        working("step_kind", "Kind in the mixing order",
                f'IF({_is_one_of("{products.kind}", OTHER_PESTICIDES)},"{HERBICIDE}",'
                f'IF({{products.kind}}="foliar fertilizer","fertilizer",{{products.kind}}&""))', "text",
                note="Where the mixing order rules do not name a kind of pesticide, it goes in as a "
                     "herbicide of its formulation does; a foliar fertilizer goes in as fertilizer."),
        working("own_step", "Mixing order row of its kind",
                'IFERROR(MATCH({products.kind}&"|"&{products.formulation},{adding_step_facts.key:all},0),'
                'IFERROR(MATCH("any|"&{products.formulation},{adding_step_facts.key:all},0),'
                'IFERROR(MATCH({products.kind}&"|",{adding_step_facts.key:all},0),"")))',
                needs="products.kind"),
        working("step_row", "Mixing order row",
                'IF(OR({products.kind}="",{own_step}<>""),{own_step},'
                'IFERROR(MATCH({step_kind}&"|"&{products.formulation},{adding_step_facts.key:all},0),'
                'IFERROR(MATCH({step_kind}&"|",{adding_step_facts.key:all},0),"")))'),
        working("step", "Mixing order",
                'IF({products.adding_step}<>"",{products.adding_step},IF({step_row}="","",'
                'SUM({adding_steps.step@step_row})))'),
        working("reason", "Why there",
                'IF({products.adding_step}<>"","Step set for this product",IF({step_row}="","",'
                '{adding_steps.reason@step_row}&""))', "text"),
        working("pause", "Pause after it",
                'IF({adding_steps.dry@step_row}="yes",dry_pause,IF({adding_steps.dry@step_row}="bag",'
                'bag_pause,0))', "minutes", needs="step_row"),
    ),
    rows="as:products",
    kind="working",
    sheet=SHEET,
)

INGREDIENT_FACTS = Table(
    "ingredient_facts",
    "Ingredient workings",
    "Each ingredient's product, today's group, and mass per base unit of product.",
    (
        row_number(),
        place("product_row", "Product row", "ingredients.product", "products.product"),
        working("nth", "Nth of its product", 'COUNTIF({product_row:upto},{product_row})',
                needs="product_row"),
        working("key", "Key", '{product_row}*100+{nth}', needs="product_row"),
        working("kind", "Kind of its product", '{products.kind@product_row}&""', "text", needs="product_row"),
        *active_columns("{ingredients.active_ingredient}", _OTHER),
        working("active_no", "Ingredient number", 'MATCH({active_parent},{active_parent:all},0)',
                needs="active_plain",
                note="Salts, esters and resolved forms of one parent have one number."),
        working("name_note", "Note on the name",
                'IF(OR({active_row}<>"",{active_found}=""),"","not in the list by this name: counted with "'
                '&{active_parent})', "text"),
        typed_in("list_group", "Group in the list", "active_names.mode_group", "active_found", "index"),
        working("scheme", "Group list",
                f'IF({{ingredients.scheme}}<>"",{{ingredients.scheme}},IF({_is_one_of("{kind}", SCHEMES)},'
                f'{{kind}},'
                'IF({kind}="growth regulator","",IF(OR({ingredients.mode_group}<>"",{list_group}<>""),'
                '"herbicide",""))))', "text", needs="product_row",
                note="One number means another group in each list; growth regulators have none."),
        working("typed_no", "Number of the group typed",
                'IF({scheme}="herbicide",IF(ISNUMBER({ingredients.mode_group}),{ingredients.mode_group},""),'
                'IFERROR(INDEX({group_codes.mode_group:all},MATCH({scheme}&"|"&{ingredients.mode_group},'
                '{group_codes.key:all},0)),""))', needs="ingredients.mode_group scheme",
                note="The main group where the label names a sub-group: 4 of 4A."),
        place("old_row", "Old number row", "typed_no", "old_groups.old_group"),
        working("counted_as", "Old number counted as",
                'IF({list_group}<>"",{list_group},IF({old_groups.new_group@old_row}="","",'
                '{old_groups.new_group@old_row}))', needs="old_row",
                note="By its active ingredient where the list knows it: bensulide is no longer with the "
                     "others of old number 8."),
        working("proof_row", "Product it proves a pesticide",
                'IF(OR({ingredients.mode_group}<>"",{active_found}<>""),{product_row},"")'),
        working("group", "Group today", 'IF({old_row}="",{typed_no},{counted_as})', needs="typed_no",
                note="HRAC number of a herbicide; 100 and more of an insecticide, 200 and more of a "
                     "fungicide."),
        working("said", "Group in words",
                'IFERROR(INDEX({group_names.said:all},MATCH({group},{group_names.mode_group:all},0)),'
                '{group}&"")', "text", needs="group"),
        working("group_note", "Note on the group",
                f'IF({{group}}="",IF(AND({{scheme}}<>"",{{ingredients.active_ingredient}}<>""),'
                f'"{NO_GROUP}",""),'
                'IF({group}<>{typed_no},"Old number "&{ingredients.mode_group}&" counted as "&{group},'
                'IF(OR({list_group}="",{list_group}={group},{group}>=100),"","The list says group "'
                '&{list_group})))', "text"),
        place("content_row", "Content unit row", "ingredients.content_unit", "content_units.content_unit"),
        working("counts", "Counted as", '{content_units.counts@content_row}&""', "text", needs="content_row"),
        working("mass", "Mass per base unit as stated",
                '{ingredients.content}*{content_units.factor@content_row}', "factor",
                needs="content_row ingredients.content", digits=8, twin=mul,
                takes="ingredients.content content_units.factor@content_row"),
        working("stated_for", "Stated for a", 'IF({content_units.phase@content_row}="liquid","liquid","dry")',
                "text", needs="content_row"),
        working("dry_per_liquid", "Dry base units per liquid base unit",
                '{product_facts.dry_per_liquid@product_row}', "factor", needs="product_row"),
        working("per_liquid", "Mass per liquid base unit",
                'IF({stated_for}="liquid",{mass},IF({dry_per_liquid}="","",{mass}*{dry_per_liquid}))',
                "factor",
                needs="mass", digits=8, takes="mass stated_for dry_per_liquid",
                twin=lambda mass, stated, dense: per_phase(mass, stated, "liquid", dense)),
        working("per_dry", "Mass per dry base unit",
                'IF({stated_for}="dry",{mass},IF({dry_per_liquid}="","",{mass}/{dry_per_liquid}))', "factor",
                needs="mass", digits=8, takes="mass stated_for dry_per_liquid",
                twin=lambda mass, stated, dense: per_phase(mass, stated, "dry", dense)),
        working("to_acid", "Acid equivalent of the mass stated",
                'IF({counts}="ae",1,IF({active_ratio}="","",IF({counts}="ai",{active_ratio},'
                'IF({active_ratio}=1,1,""))))', "factor",
                needs="content_row", digits=4, takes="counts active_ratio active_found",
                twin=part_of(acid_and_active, 0),
                note="Blank where nobody says which salt was weighed, or whether salt or acid was."),
        working("to_active", "Active ingredient of the mass stated",
                'IF({counts}="ai",1,IF({counts}="ae",IF({active_ratio}="","",1/{active_ratio}),'
                'IF({active_ratio}=1,1,IF({active_found}="",1,""))))', "factor",
                needs="content_row", digits=4,
                takes="counts active_ratio active_found",
                twin=part_of(acid_and_active, 1)),
    ),
    rows="as:ingredients",
    kind="working",
    sheet=SHEET,
)

TABLES = (PRODUCTS, INGREDIENTS, LABEL_LIMITS, INGREDIENT_LIMITS, PLANT_BACK, MIXES, ADDING_STEP_FACTS,
          PRODUCT_FACTS, INGREDIENT_FACTS)
