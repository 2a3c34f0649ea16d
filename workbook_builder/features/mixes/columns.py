"""Workings of mixes: which product stands in which slot, and which ingredients that brings."""

from __future__ import annotations

from workbook_builder.core.columns import LOOK, Table
from workbook_builder.core.short import check, result, row_number, slot_number, working

MIX_ROWS = Table(
    "mix_rows",
    "Mix row workings",
    "Number of the mix each typed mix row belongs to and its place in it.",
    (
        row_number(),
        working("first_row", "First row of its mix", 'IF({mixes.mix}="","",MATCH({mixes.mix},{mixes.mix:all},0))'),
        working("is_first", "Opens a mix", 'IF({first_row}="","",IF({first_row}={row_no},1,0))'),
        working("distinct", "Mixes so far", "SUM({distinct:above},{is_first})"),
        working("mix_no", "Mix number", 'IF({first_row}="","",INDEX({distinct:all},{first_row}))'),
        working("nth", "Place in the mix", 'IF({mix_no}="","",COUNTIF({mix_no:upto},{mix_no}))'),
        working("key", "Key", 'IF({mix_no}="","",{mix_no}*100+{nth})'),
        working("product_row", "Product row", 'IF({mixes.product}="","",IFERROR(MATCH({mixes.product},{products.product:all},0),""))'),
        working("rate_row", "Rate unit row", 'IF({mixes.rate_unit}="","",IFERROR(MATCH({mixes.rate_unit},{rate_units.rate_unit:all},0),""))'),
        working("step", "Mixing order",
                'IF({mixes.label_order}<>"",{mixes.label_order},IF({product_row}="","",INDEX({product_facts.step:all},{product_row})))'),
        working("reason", "Why there",
                'IF({mixes.label_order}<>"","The label says so",IF({product_row}="","",INDEX({product_facts.reason:all},{product_row})))', "text"),
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
        result("mix", "Mix", 'IF({row}="","",INDEX({mixes.mix:all},{row}))', "name"),
        result("count", "Products", 'IF({row}="","",COUNTIF({mix_rows.mix_no:all},{row_no}))', "count"),
        result("ingredients", "Ingredients", 'IF({row}="","",SUM({mix_items.ingredient_count:block}))', "count"),
        result("modes", "Herbicide groups", 'IF({row}="","",SUM({mix_ingredients.counts_as_mode:block}))', "count",
               note="Different groups; group 0, unknown, left out."),
        result("groups", "Groups", 'IF({row}="","",INDEX({mix_ingredients.groups_so_far:block},{room.ingredients}))', "text", width=16),
        working("has_sl", "Soluble liquids", 'IF({row}="","",COUNTIF({mix_items.stand:block},"soluble liquid"))', "count"),
        working("has_ec", "Emulsions", 'IF({row}="","",COUNTIF({mix_items.stand:block},"emulsion"))', "count"),
        working("has_oil", "Oil adjuvants", 'IF({row}="","",COUNTIF({mix_items.stand:block},"oil adjuvant"))', "count"),
        working("has_cs", "Capsules", 'IF({row}="","",COUNTIF({mix_items.stand:block},"capsules"))', "count"),
        working("bad_rows", "Rows that do not resolve",
                'IF({row}="","",COUNTIF({mix_items.status:block},"Not entered"))', "count"),
        working("full", "More than there is room for", 'IF({row}="","",IF(OR({count}>{room.products},{ingredients}>{room.ingredients}),1,0))', "count"),
        check("status", "Status",
              'IF({row}="","",IF({bad_rows}>0,"Not entered",IF({full}=1,"%(look)s",IF(COUNTIF({mix_items.status:block},"%(look)s")>0,"%(look)s","OK"))))' % {"look": LOOK}),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",IF(AND({bad_rows}=0,{full}=1),"More products or ingredients than there is room for: build the workbook again",'
              'INDEX({mix_items.finding:block},MATCH({status},{mix_items.status:block},0))))', "long_text"),
    ),
    rows="list:mixes",
    kind="result",
)

#: What is open about a product of a mix, the worst first; what follows its name in the sentence.
_OPEN_ITEM = (
    'IF({row}="","",IF({unresolved}=1,"A product, rate, unit or mixing order in this mix is missing or not in its list",'
    'IF({form}="",{product}&": formulation and package unit do not say whether it is liquid or dry",'
    'IF(AND({form}="liquid",{pour_phase}="dry"),{product}&": density not entered, so the room it takes in the tank is not known",'
    'IF({asked}=1,{product}&": formulation "&{formulation}&" is not usual in a tank mix; read the label, then type its mixing order",'
    'IF(AND({stand}="bag",INDEX({mixes.label_order:all},{row})="",COUNTIFS({stand:block},"salt",{step:block},"<"&{step})>0),{product}&": water-soluble bags go in before any salt or fertilizer; change its mixing order",'
    'IF(AND({form}="liquid",{amount_unit}="oz"),{product}&": oz is counted as weight, by its density; choose fl oz where that is meant",'
    'IF(AND({form}="dry",{phase}="liquid"),{product}&": dry, but its rate is a volume; choose a weight where that is meant",'
    'IF(AND({form}="dry",INDEX({product_facts.form_listed:all},{product_row})=""),{product}&": formulation does not say whether it is liquid; counted as dry, as it is sold","")))))))))'
)

MIX_ITEMS = Table(
    "mix_items",
    "Mix slot workings",
    "Products of each mix, slot by slot, with rates in base units per area and per spray volume.",
    (
        slot_number(),
        working("row", "Mix row", 'IF({mix_list.row}="","",IFERROR(MATCH({mix_list.row_no}*100+{slot},{mix_rows.key:all},0),""))'),
        working("product", "Product", 'IF({row}="","",INDEX({mixes.product:all},{row})&"")', "name"),
        working("product_row", "Product row", 'IF({row}="","",INDEX({mix_rows.product_row:all},{row}))'),
        working("rate_row", "Rate unit row", 'IF({row}="","",INDEX({mix_rows.rate_row:all},{row}))'),
        working("rate", "Rate", 'IF({row}="","",IF(INDEX({mixes.rate:all},{row})="","",INDEX({mixes.rate:all},{row})))', "amount", digits=3),
        working("step", "Mixing order", 'IF({row}="","",INDEX({mix_rows.step:all},{row}))'),
        working("unresolved", "Does not resolve",
                'IF({row}="","",IF(OR({product_row}="",{rate_row}="",{rate}="",{step}=""),1,0))'),
        working("kind", "Kind", 'IF({product_row}="","",INDEX({products.kind:all},{product_row})&"")', "text"),
        working("formulation", "Formulation", 'IF({product_row}="","",INDEX({products.formulation:all},{product_row})&"")', "text"),
        working("stand", "What order guides call it",
                'IF(RIGHT({formulation},3)="-SB","bag",IF(OR({kind}="water conditioner",{kind}="fertilizer"),"salt",'
                'IF({kind}="adjuvant",IF(OR({formulation}="EC",{formulation}="SO",{formulation}="OL"),"oil adjuvant","other"),'
                'IF({product_row}="","",IF(INDEX({product_facts.pesticide:all},{product_row})=0,IF({kind}="","","other"),IF({formulation}="SL","soluble liquid",IF({formulation}="CS","capsules",'
                'IF(OR({formulation}="EC",{formulation}="EW",{formulation}="OD"),"emulsion","other"))))))))', "text"),
        working("phase", "Phase of the rate", 'IF({rate_row}="","",INDEX({rate_units.phase:all},{rate_row}))', "text"),
        working("amount_unit", "Amount unit", 'IF({rate_row}="","",INDEX({rate_units.amount_unit:all},{rate_row}))', "text"),
        working("to_base", "Base units in an amount unit", 'IF({rate_row}="","",INDEX({rate_units.to_base:all},{rate_row}))', "factor"),
        working("area_rate", "Base units per area",
                'IF(OR({rate_row}="",{rate}=""),"",{rate}*INDEX({rate_units.per_area:all},{rate_row}))', "factor"),
        working("volume_rate", "Base units per spray volume",
                'IF(OR({rate_row}="",{rate}=""),"",{rate}*INDEX({rate_units.per_volume:all},{rate_row}))', "factor"),
        working("own_phase", "Phase sold", 'IF({product_row}="","",INDEX({product_facts.phase:all},{product_row}))', "text"),
        working("dry_per_liquid", "Dry base units per liquid base unit",
                'IF({product_row}="","",INDEX({product_facts.dry_per_liquid:all},{product_row}))', "factor"),
        working("form", "Liquid or dry", 'IF({product_row}="","",INDEX({product_facts.form:all},{product_row}))', "text"),
        working("pour_phase", "Phase poured", 'IF({phase}="","",IF(OR({form}="",{form}={phase},{dry_per_liquid}=""),{phase},{form}))', "text",
                note="What is liquid is poured and what is dry is weighed, whatever the unit of its rate, where the density is known."),
        working("pour_scale", "Base units poured per base unit of the rate",
                'IF({pour_phase}="","",IF({pour_phase}={phase},1,IF({form}="dry",{dry_per_liquid},1/{dry_per_liquid})))', "factor"),
        working("asked", "To be asked whether it goes into water",
                'IF({product_row}="","",IF(INDEX({mixes.label_order:all},{row})="",INDEX({product_facts.asks:all},{product_row}),0))', "count"),
        working("finding", "What is open", _OPEN_ITEM, "text"),
        working("status", "Status", 'IF({row}="","",IF({finding}="","OK",IF(OR({unresolved}=1,{form}="",AND({form}="liquid",{pour_phase}="dry")),"Not entered","%s")))' % LOOK, "status"),
        working("own_scale", "Base units as sold per base unit of the rate",
                'IF(OR({phase}="",{own_phase}=""),"",IF({phase}={own_phase},1,IF({dry_per_liquid}="","",'
                'IF({own_phase}="dry",{dry_per_liquid},1/{dry_per_liquid}))))', "factor"),
        working("unit_price", "Price per base unit of the rate",
                'IF({product_row}="","",IF({phase}="liquid",INDEX({product_facts.price_liquid:all},{product_row}),'
                'INDEX({product_facts.price_dry:all},{product_row})))', "money_per_base"),
        working("ingredient_count", "Ingredients", 'IF({product_row}="",0,SUM(INDEX({product_facts.ingredient_count:all},{product_row})))'),
        working("ingredients_before", "Ingredients before it",
                "IF({slot}=1,0,SUM({ingredients_before:above},{ingredient_count:above}))"),
        working("order_key", "Order key", 'IF({step}="","",{step}*100+{slot})'),
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
        slot_number(),
        working("item", "Slot of its product",
                'IF({mix_list.row}="","",IF({slot}>{mix_list.ingredients},"",COUNTIF({mix_items.ingredients_before:block},"<="&({slot}-1))))'),
        working("nth", "Nth of its product", 'IF({item}="","",{slot}-INDEX({mix_items.ingredients_before:block},{item}))'),
        working("row", "Ingredient row",
                'IF({item}="","",MATCH(INDEX({mix_items.product_row:block},{item})*100+{nth},{ingredient_facts.key:all},0))'),
        working("active_ingredient", "Active ingredient", 'IF({row}="","",INDEX({ingredients.active_ingredient:all},{row})&"")', "name"),
        working("active_no", "Ingredient number", 'IF({row}="","",INDEX({ingredient_facts.active_no:all},{row}))'),
        working("group", "Herbicide group", 'IF({row}="","",INDEX({ingredient_facts.group:all},{row}))'),
        working("name_note", "Note on the name", 'IF({row}="","",INDEX({ingredient_facts.name_note:all},{row}))', "text"),
        working("to_acid", "Acid equivalent of the mass stated", 'IF({row}="","",INDEX({ingredient_facts.to_acid:all},{row}))', "factor", digits=4),
        working("to_active", "Active ingredient of the mass stated", 'IF({row}="","",INDEX({ingredient_facts.to_active:all},{row}))', "factor", digits=4),
        working("group_note", "Note on the group", 'IF({row}="","",INDEX({ingredient_facts.group_note:all},{row}))', "text"),
        working("mass", "Mass per base unit of the rate",
                'IF({row}="","",IF(INDEX({mix_items.phase:block},{item})="liquid",INDEX({ingredient_facts.per_liquid:all},{row}),'
                'INDEX({ingredient_facts.per_dry:all},{row})))', "factor", digits=8),
        working("opens_group", "First with its group", 'IF({group}="","",IF(MATCH({group},{group:block},0)={slot},1,0))'),
        working("counts_as_mode", "Counts as a group", 'IF({group}="","",IF({group}=0,0,{opens_group}))'),
        working("groups_before", "Groups so far, before it", 'IF({slot}=1,"",{groups_so_far:above}&"")', "text"),
        working("groups_so_far", "Groups so far",
                'IF({opens_group}=1,{groups_before}&IF({groups_before}="","",", ")&{group},{groups_before})', "text"),
    ),
    rows="under:mix_list:ingredients",
    kind="working",
    sheet="Workings mixes",
)

ADDING_ORDER = Table(
    "adding_order",
    "Mixing order",
    "Which product goes in when: fill part of the water, add in this order under agitation, then top up.",
    (
        slot_number("Position"),
        result("mix", "Mix", 'IF({step}="","",{mix_list.mix})', "name"),
        result("step", "Order", 'IF({mix_list.row}="","",IF({slot}>MIN({mix_list.count},{room.products}),"",IF(COUNT({mix_items.order_key:block})<{slot},"",{slot})))', "count"),
        result("before", "Before it", 'IF({step}=1,"Fill "&ROUND(ROUND(first_fill*100,6),0)&" % with water, start agitation","")', "text", width=36),
        working("key", "Order key", 'IF({step}="","",SMALL({mix_items.order_key:block},{slot}))'),
        working("item", "Slot", 'IF({key}="","",MATCH({key},{mix_items.order_key:block},0))'),
        result("product", "Product", 'IF({item}="","",INDEX({mix_items.product:block},{item}))', "name"),
        result("adding_step", "Mixing order", 'IF({key}="","",INT({key}/100))', "count", note="From the mixing order rules, the product or the label."),
        result("why", "Why here", 'IF({item}="","",INDEX({mix_rows.reason:all},INDEX({mix_items.row:block},{item})))', "long_text", width=44),
        result("pause", "Pause after it", 'IF({item}="","",SUM(INDEX({product_facts.pause:all},INDEX({mix_items.product_row:block},{item}))))', "minutes"),
        result("after", "After it",
               'IF({step}="","",IF({pause}>0,"Agitate "&{pause}&" min","Agitate until even")&IF({stand}="bag",", until the bags have dissolved","")&IF({step}=COUNT({mix_items.order_key:block}),", then top up with water",""))',
               "text", width=42),
        working("stand", "What order guides call it", 'IF({item}="","",INDEX({mix_items.stand:block},{item}))', "text"),
        result("guides_differ", "Where published orders differ",
               'IF({item}="","",IF({stand}="bag","One guide pre-soaks bags and adds them with the dry products",IF({stand}="salt","One guide adds salts and fertilizer last",IF(AND({stand}="emulsion",{mix_list.has_sl}>0),"Some guides add EC before SL",'
               'IF(AND({stand}="soluble liquid",{mix_list.has_ec}>0),"Some guides add SL after EC",'
               'IF(AND({stand}="oil adjuvant",{mix_list.has_ec}>0),"One guide adds oils with the EC",'
               'IF({stand}="capsules","Guides place capsules with SC, before EC or after EC","")))))))', "long_text", width=30),
    ),
    rows="under:mix_list:products",
    kind="result",
    caution="Label order wins over this list. Never mix without a jar test when unsure.",
    was=("Adding order",),
)

MIX_WORKINGS = (MIX_ROWS, MIX_ITEMS, MIX_INGREDIENTS)
