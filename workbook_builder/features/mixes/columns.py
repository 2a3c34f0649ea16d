"""Which product stands in which slot of a mix, which ingredients that brings,
and what goes into the tank when.
"""

from __future__ import annotations

from operator import mul

from workbook_builder.core.columns import LOOK, Table
from workbook_builder.core.rounding import number_text, shown
from workbook_builder.core.short import check, place, result, row_number, slot_number, typed_in, working
from workbook_builder.features.products.definitions import phase_scale, rate_in_base, strength
from workbook_builder.features.products.inputs import HERBICIDE, PESTICIDES

MIX_ROWS = Table(
    "mix_rows",
    "Mix row workings",
    "Number of the mix each typed mix row belongs to and its place in it.",
    (
        row_number(),
        working("first_row", "First row of its mix", 'MATCH({mixes.mix},{mixes.mix:all},0)',
                needs="mixes.mix"),
        working("is_first", "Opens a mix", 'IF({first_row}={row_no},1,0)', needs="first_row"),
        working("distinct", "Mixes so far", 'SUM({distinct:above},{is_first})'),
        working("mix_no", "Mix number", '{distinct@first_row}', needs="first_row"),
        working("nth", "Place in the mix", 'COUNTIF({mix_no:upto},{mix_no})', needs="mix_no"),
        working("key", "Key", '{mix_no}*100+{nth}', needs="mix_no"),
        place("product_row", "Product row", "mixes.product", "products.product"),
        place("rate_row", "Rate unit row", "mixes.rate_unit", "rate_units.rate_unit"),
        working("step", "Mixing order",
                'IF({mixes.label_order}<>"",{mixes.label_order},IF({product_row}="","",'
                '{product_facts.step@product_row}))'),
        result("goes_in", "Goes in as no.",
               'COUNTIFS({mix_no:all},{mix_no},{order_key:all},"<"&{order_key})+1', "count",
               needs="order_key"),
        working("order_key", "Order key", "{step}*100+{nth}", needs="step nth"),
        working("reason", "Why there",
                'IF({mixes.label_order}<>"","The label says so",IF({product_row}="","",'
                '{product_facts.reason@product_row}))', "sentence", width=72),
    ),
    rows="as:mixes",
    kind="working",
    sheet="Workings mixes",
)

MIX_LIST = Table(
    "mix_list",
    "Mix list",
    "Every mix once, with how many products, ingredients and herbicide groups it holds.",
    (
        row_number(),
        working("row", "First row", 'IFERROR(MATCH({row_no},{mix_rows.distinct:all},0),"")'),
        result("mix", "Mix", '{mixes.mix@row}', "name", needs="row"),
        result("count", "Products", 'COUNTIF({mix_rows.mix_no:all},{row_no})', "count", needs="row"),
        result("ingredients", "Ingredients", 'SUM({mix_items.ingredient_count:block})', "count", needs="row"),
        result("modes", "Herbicide groups", 'SUM({mix_ingredients.counts_as_mode:block})', "count",
               needs="row", note="Different groups; group 0, unknown, left out."),
        working("on_weeds", "Is meant for weeds",
                f'IF(COUNTIF({{mix_items.kind:block}},"{HERBICIDE}")'
                f'+COUNTIF({{mix_ingredients.scheme:block}},"{HERBICIDE}")>0,1,0)', "count", needs="row"),
        working("unseen", "Against what a camera cannot see",
                'IF(COUNTIF({mix_items.kind:block},"fungicide")+COUNTIF({mix_ingredients.scheme:block},'
                '"fungicide")>0,1,0)+IF(COUNTIF({mix_items.kind:block},"insecticide")'
                '+COUNTIF({mix_ingredients.scheme:block},"insecticide")>0,2,0)', "count",
                needs="row", note="1: disease, 2: insects, 3: both."),
        result("groups", "Groups", '{mix_ingredients.groups_so_far:block@room.ingredients}', "text",
               needs="row", width=16),
        *(
            working(key, header, 'COUNTIF({mix_items.stand:block},"%s")' % stand, "count", needs="row")
            for key, header, stand in (
                ("has_sl", "Soluble liquids", "soluble liquid"), ("has_ec", "Emulsions", "emulsion"),
            )
        ),
        working("bad_rows", "Rows that do not resolve", 'COUNTIF({mix_items.status:block},"Not entered")',
                "count", needs="row"),
        working("full", "More than there is room for",
                'IF(OR({count}>{room.products},{ingredients}>{room.ingredients}),1,0)', "count", needs="row"),
        check("status", "Status",
              'IF({bad_rows}>0,"Not entered",IF({full}=1,"%(look)s",IF(COUNTIF({mix_items.status:block},'
              '"%(look)s")>0,"%(look)s","OK")))' % {"look": LOOK}, needs="row"),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",IF(AND({bad_rows}=0,{full}=1),"More products or '
              'ingredients than there is room for: build the workbook again",'
              'INDEX({mix_items.finding:block},MATCH({status},{mix_items.status:block},0))))', "long_text"),
    ),
    rows="list:mixes",
    kind="result",
)

#: Of the kinds that work by an active ingredient.
_PESTICIDE = "OR(" + ",".join(f'{{kind}}="{kind}"' for kind in PESTICIDES) + ")"

_STRENGTH = (
    'IF({product_facts.single_mass@product_row}="","",IF({counts}="ai",'
    'IF({product_facts.single_active@product_row}="","",{product_facts.single_mass@product_row}'
    '*{product_facts.single_active@product_row}),'
    'IF({product_facts.single_acid@product_row}="","",{product_facts.single_mass@product_row}'
    '*{product_facts.single_acid@product_row})))'
)

MIX_ITEMS = Table(
    "mix_items",
    "Mix slot workings",
    "Products of each mix, slot by slot, with rates in base units per area and per spray volume.",
    (
        slot_number("Slot"),
        working("row", "Mix row", 'IFERROR(MATCH({mix_list.row_no}*100+{slot},{mix_rows.key:all},0),"")',
                needs="mix_list.row"),
        working("product", "Product", '{mixes.product@row}&""', "name", needs="row"),
        working("product_row", "Product row", '{mix_rows.product_row@row}', needs="row"),
        working("rate_row", "Rate unit row", '{mix_rows.rate_row@row}', needs="row"),
        typed_in("rate", "Rate", "mixes.rate", "row", "amount", digits=3),
        working("step", "Mixing order", '{mix_rows.step@row}', needs="row"),
        working("unresolved", "Does not resolve",
                'IF(OR({product_row}="",{rate_row}="",{rate}="",{step}=""),1,0)', needs="row"),
        working("kind", "Kind", '{products.kind@product_row}&""', "text", needs="product_row"),
        working("formulation", "Formulation", '{products.formulation@product_row}&""', "text",
                needs="product_row"),
        working("stand", "What order guides call it",
                'IF(RIGHT({formulation},3)="-SB","bag",IF(OR({kind}="water conditioner",{kind}="fertilizer",'
                '{kind}="foliar fertilizer"),"salt",'
                'IF({kind}="adjuvant",IF(OR({formulation}="EC",{formulation}="SO",{formulation}="OL"),'
                '"oil adjuvant","other"),'
                'IF({product_row}="","",IF({product_facts.pesticide@product_row}=0,IF({kind}="","","other"),'
                'IF({formulation}="SL","soluble liquid",IF({formulation}="CS","capsules",'
                'IF(OR({formulation}="EC",{formulation}="EW",{formulation}="OD"),"emulsion","other"))))))))',
                "text"),
        working("counts", "Rate counts", '{rate_units.counts@rate_row}&""', "text",
                needs="rate_row product_row",
                note="ai or ae where the active ingredient is rated and not the product."),
        working("strength", "Of it in a base unit of the product", _STRENGTH, "factor", digits=8,
                needs="counts", twin=strength,
                takes="product_facts.single_mass@product_row counts product_facts.single_acid@product_row "
                      "product_facts.single_active@product_row"),
        working("phase", "Phase of the rate",
                'IF({counts}="",{rate_units.phase@rate_row}&"",{product_facts.phase@product_row})', "text",
                needs="rate_row"),
        working("amount_unit", "Amount unit",
                'IF({counts}="",{rate_units.amount_unit@rate_row}&"",IF({phase}="liquid",liquid_name_3,'
                'dry_name_2))', "text", needs="rate_row"),
        working("to_base", "Base units in an amount unit", 'IF({counts}="",{rate_units.to_base@rate_row},1)',
                "factor", needs="rate_row"),
        working("area_rate", "Base units per area",
                'IF({counts}="",{rate}*{rate_units.per_area@rate_row},IF(SUM({strength})=0,"",'
                '{rate}*{rate_units.per_mass@rate_row}/{strength}))', "factor",
                needs="rate_row rate", twin=rate_in_base,
                takes="rate rate_units.per_area@rate_row counts rate_units.per_mass@rate_row strength"),
        working("volume_rate", "Base units per spray volume", '{rate}*{rate_units.per_volume@rate_row}',
                "factor", needs="rate_row rate", twin=mul, takes="rate rate_units.per_volume@rate_row"),
        working("own_phase", "Phase sold", '{product_facts.phase@product_row}', "text", needs="product_row"),
        working("dry_per_liquid", "Dry base units per liquid base unit",
                '{product_facts.dry_per_liquid@product_row}', "factor", needs="product_row"),
        working("form", "Liquid or dry", '{product_facts.form@product_row}', "text", needs="product_row"),
        working("pour_phase", "Phase poured",
                'IF(OR({form}="",{form}={phase},{dry_per_liquid}=""),{phase},{form})', "text", needs="phase",
                note="What is liquid is poured and what is dry is weighed, whatever the unit of its rate, "
                     "where the density is known."),
        working("pour_scale", "Base units poured per base unit of the rate",
                'IF({pour_phase}={phase},1,IF({form}="dry",{dry_per_liquid},1/{dry_per_liquid}))', "factor",
                needs="pour_phase", twin=phase_scale, takes="phase pour_phase dry_per_liquid"),
        working("asked", "To be asked whether it goes into water",
                'IF({mixes.label_order@row}="",{product_facts.asks@product_row},0)', "count",
                needs="product_row"),
        working("nameless", "Active ingredients not entered",
                f'IF(AND({_PESTICIDE},{{ingredient_count}}=0),1,0)', "count", needs="product_row"),
        working("finding", "What is open",
                'IF({unresolved}=1,"A product, rate, unit or mixing order in this mix is missing or not in '
                'its list",'
                'IF({nameless}=1,{product}&": active ingredients not entered, so neither its groups nor '
                'their limits can be checked",'
                'IF(AND({counts}<>"",SUM({strength})=0),{product}&": a rate in "&{counts}&" needs the '
                'content of its one active ingredient, counted so",'
                'IF({form}="",{product}&": formulation and package unit do not say whether it is liquid or '
                'dry",'
                'IF(AND({form}="liquid",{pour_phase}="dry"),{product}&": density not entered, so the room it '
                'takes in the tank is not known",'
                'IF({asked}=1,{product}&": formulation "&{formulation}&" is not usual in a tank mix;'
                ' read the label, then type its mixing order",'
                'IF(AND({stand}="bag",{mixes.label_order@row}="",COUNTIFS({stand:block},"salt",{step:block},'
                '"<"&{step})>0),{product}&": water-soluble bags go in before any salt or fertilizer;'
                ' change its mixing order",'
                'IF(AND({form}="liquid",{amount_unit}="oz"),{product}&": oz is counted as weight, by its '
                'density; choose fl oz where that is meant",'
                'IF(AND({form}="dry",{phase}="liquid"),{product}&": dry, but its rate is a volume;'
                ' choose a weight where that is meant",'
                'IF(AND({form}="dry",{product_facts.form_listed@product_row}=""),'
                '{product}&": formulation does not say whether it is liquid; counted as dry, as it is sold",'
                '""))))))))))', "text", needs="row"),
        working("status", "Status",
                'IF({finding}="","OK",IF(OR({unresolved}=1,SUM({nameless})=1,{form}="",AND({counts}<>"",SUM({strength})=0),'
                'AND({form}="liquid",{pour_phase}="dry")),"Not entered","%s"))' % LOOK,
                "status", needs="row"),
        working("own_scale", "Base units as sold per base unit of the rate",
                'IF({phase}={own_phase},1,IF({dry_per_liquid}="","",IF({own_phase}="dry",{dry_per_liquid},'
                '1/{dry_per_liquid})))', "factor",
                needs="phase own_phase", twin=phase_scale, takes="phase own_phase dry_per_liquid"),
        working("unit_price", "Price per base unit of the rate",
                'IF({phase}="liquid",{product_facts.price_liquid@product_row},'
                '{product_facts.price_dry@product_row})', "money_per_base",
                needs="product_row"),
        working("ingredient_count", "Ingredients",
                'IF({product_row}="",0,SUM({product_facts.ingredient_count@product_row}))'),
        working("ingredients_before", "Ingredients before it",
                'IF({slot}=1,0,SUM({ingredients_before:above},{ingredient_count:above}))'),
        working("order_key", "Order key", '{step}*100+{slot}', needs="step"),
    ),
    rows="under:mix_list:products",
    kind="working",
    sheet="Workings mixes",
)

MIX_INGREDIENTS = Table(
    "mix_ingredients",
    "Mix ingredient workings",
    "Active ingredients of each mix, slot by slot, with mass per area and per spray volume.",
    (
        slot_number("Slot"),
        working("item", "Slot of its product",
                'IF({slot}>{mix_list.ingredients},"",COUNTIF({mix_items.ingredients_before:block},'
                '"<="&({slot}-1)))', needs="mix_list.row"),
        working("nth", "Nth of its product", '{slot}-{mix_items.ingredients_before:block@item}',
                needs="item"),
        working("row", "Ingredient row",
                'MATCH({mix_items.product_row:block@item}*100+{nth},{ingredient_facts.key:all},0)',
                needs="item"),
        working("active_ingredient", "Active ingredient", '{ingredients.active_ingredient@row}&""',
                "name", needs="row"),
        working("active_no", "Ingredient number", '{ingredient_facts.active_no@row}', needs="row"),
        working("group", "Group", '{ingredient_facts.group@row}', needs="row"),
        working("said", "Group in words", '{ingredient_facts.said@row}', "text", needs="row"),
        working("scheme", "Group list", '{ingredient_facts.scheme@row}', "text", needs="row"),
        working("name_note", "Note on the name", '{ingredient_facts.name_note@row}', "text", needs="row"),
        working("to_acid", "Acid equivalent of the mass stated", '{ingredient_facts.to_acid@row}', "factor",
                needs="row", digits=4),
        working("to_active", "Active ingredient of the mass stated", '{ingredient_facts.to_active@row}',
                "factor", needs="row", digits=4),
        working("group_note", "Note on the group", '{ingredient_facts.group_note@row}', "text", needs="row"),
        working("mass", "Mass per base unit of the rate",
                'IF({mix_items.phase:block@item}="liquid",{ingredient_facts.per_liquid@row},'
                '{ingredient_facts.per_dry@row})', "factor",
                needs="row", digits=8),
        working("opens_group", "First with its group", 'IF(MATCH({group},{group:block},0)={slot},1,0)',
                needs="group"),
        working("counts_as_mode", "Counts as a group", 'IF(OR({group}=0,{group}>=100),0,{opens_group})',
                needs="group"),
        working("groups_before", "Groups so far, before it", 'IF({slot}=1,"",{groups_so_far:above}&"")',
                "text"),
        working("groups_so_far", "Groups so far",
                'IF({opens_group}=1,{groups_before}&IF({groups_before}="","",", ")&{said},{groups_before})',
                "text"),
    ),
    rows="under:mix_list:ingredients",
    kind="working",
    sheet="Workings mixes",
)

# SL before EC: Oklahoma State, Manitoba, SDSU; EC before SL: NDSU, Missouri, Utah State.  Oils with the EC:
# NDSU; last with surfactants: all others.  Capsules: with flowables (NDSU, Oklahoma State), before EC (Utah
# State), after EC (SDSU).  Bags before any fertilizer: Manitoba, Utah State; with the dry products, soaked
# first: SDSU.  Salts and fertilizer last: Utah State, for a jar; first: all others that name them.
ADDING_ORDER = Table(
    "adding_order",
    "Mixing order",
    "Which product goes in when: fill part of the water, add in this order under agitation, then top up.",
    (
        slot_number("Position"),
        result("mix", "Mix", '{mix_list.mix}', "name", needs="step"),
        result("step", "Order",
               'IF({slot}>MIN({mix_list.count},{room.products}),"",'
               'IF(COUNT({mix_items.order_key:block})<{slot},"",{slot}))', "count", needs="mix_list.row"),
        result("before", "Before it",
               'IF({step}=1,"Fill "&ROUND(ROUND(first_fill*100,6),0)&" % with water, start agitation","")',
               "text", width=36, takes="step assumptions.first_fill",
               twin=lambda step, first: f"Fill {number_text(shown(first * 100, 0))} % with water, start "
                                        f"agitation" if step == 1 else ""),
        working("key", "Order key", 'SMALL({mix_items.order_key:block},{slot})', needs="step"),
        working("item", "Slot", 'MATCH({key},{mix_items.order_key:block},0)', needs="key"),
        result("product", "Product", '{mix_items.product:block@item}', "name", needs="item"),
        result("adding_step", "Mixing order", '{mix_items.step:block@item}', "count", needs="item",
               note="From the mixing order rules, the product or the label."),
        result("why", "Why here", 'INDEX({mix_rows.reason:all},{mix_items.row:block@item})', "long_text",
               needs="item", width=44),
        result("pause", "Pause after it",
               'IF({mix_items.product_row:block@item}="",0,'
               'SUM(INDEX({product_facts.pause:all},{mix_items.product_row:block@item})))', "minutes",
               needs="item", note="None where the product is not among the products."),
        result("after", "After it",
               'IF({pause}>0,"Agitate "&{pause}&" min","Agitate until even")&IF({stand}="bag",'
               '", until the bags have dissolved","")'
               '&IF({step}=COUNT({mix_items.order_key:block}),", then top up with water","")', "text",
               needs="step", width=42),
        working("stand", "What order guides call it", '{mix_items.stand:block@item}', "text", needs="item"),
        result("guides_differ", "Where published orders differ",
               'IF({stand}="bag","One guide pre-soaks bags and adds them with the dry products",'
               'IF({stand}="salt","One guide adds salts and fertilizer last",'
               'IF(AND({stand}="emulsion",{mix_list.has_sl}>0),"Some guides add EC before SL",'
               'IF(AND({stand}="soluble liquid",{mix_list.has_ec}>0),"Some guides add SL after EC",'
               'IF(AND({stand}="oil adjuvant",{mix_list.has_ec}>0),"One guide adds oils with the EC",'
               'IF({stand}="capsules","Guides place capsules with SC, before EC or after EC",""))))))',
               "long_text", needs="item", width=30),
    ),
    rows="under:mix_list:products",
    kind="result",
    caution="Label order wins over this list. Never mix without a jar test when unsure.",
    was=("Adding order",),
)

TABLES = (ADDING_ORDER, MIX_LIST, MIX_ROWS, MIX_ITEMS, MIX_INGREDIENTS)
