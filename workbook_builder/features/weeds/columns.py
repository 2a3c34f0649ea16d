"""Workings of driver weeds: which rating answers which ingredient, and which mix works on which weed."""

from __future__ import annotations

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import row_number, slot_number, working

SHEET = "Workings weeds"
#: Resistant groups a weed row can name.
MOST_RESISTANT = 4

_DIGITS = "{clean}"
for _digit in "0123456789;":
    _DIGITS = f'SUBSTITUTE({_DIGITS},"{_digit}","")'


def _token(place: int) -> str:
    return 'TRIM(MID(SUBSTITUTE({clean},";",REPT(" ",20)),%d,20))' % (1 + 20 * place)


def _resistant(place: int) -> Column:
    """Column of one resistant group, blank when it was named before."""
    token = _token(place)
    fresh = f"{token}+0" if place == 0 else 'IF(COUNTIF({r_1}:{r_%d},%s+0)>0,"",%s+0)' % (place, token, token)
    return working(f"r_{place + 1}", f"Resistant group {place + 1}", f'IF({{readable}}=0,"",IF({token}="","",{fresh}))')


def _of_field(key: str) -> str:
    return 'IF({field_row}="","",IF(INDEX({fields.%s:all},{field_row})="","",INDEX({fields.%s:all},{field_row})))' % (key, key)


WEED_FACTS = Table(
    "weed_facts",
    "Weed workings",
    "Each driver weed's number, its resistant groups one by one, and when it emerges.",
    (
        row_number(),
        working("field_row", "Field row", 'IF({weeds.field}="","",IFERROR(MATCH({weeds.field},{fields.field:all},0),""))'),
        working("nth", "Nth weed of its field", 'IF({field_row}="","",COUNTIF({field_row:upto},{field_row}))'),
        working("key", "Key", 'IF(OR({field_row}="",{weeds.weed}=""),"",{field_row}*100+{nth})'),
        working("first", "First row with the weed", 'IF({weeds.weed}="","",MATCH({weeds.weed},{weeds.weed:all},0))'),
        working("running", "Weeds so far", "SUM({running:above},IF({first}={row_no},1,0))"),
        working("weed_no", "Weed number", 'IF({first}="","",INDEX({running:all},{first}))'),
        working("clean", "Resistant groups as text", 'SUBSTITUTE(SUBSTITUTE({weeds.resistant_groups}&""," ",""),",",";")', "text"),
        working("listed", "Groups listed", 'IF({clean}="",0,LEN({clean})-LEN(SUBSTITUTE({clean},";",""))+1)', "count"),
        working("readable", "Readable", f'IF(AND({_DIGITS}="",{{listed}}<={MOST_RESISTANT},LEN({{clean}})<=20),1,0)', "count"),
        *(_resistant(place) for place in range(MOST_RESISTANT)),
        working("emerges_from", "Emerges from", 'IF({weeds.emerges_from}<>"",{weeds.emerges_from},' + _of_field("planting_date") + ")", "date"),
        working("emerges_to", "Emerges until", 'IF({weeds.emerges_to}<>"",{weeds.emerges_to},' + _of_field("harvest_date") + ")", "date"),
    ),
    rows="as:weeds",
    kind="working",
    sheet=SHEET,
)

RATING_FACTS = Table(
    "rating_facts",
    "Rating workings",
    "Lookup key of each rating.",
    (working("key", "Key", 'IF(OR({ratings.product}="",{ratings.weed}=""),"",{ratings.product}&"|"&{ratings.weed})', "text"),),
    rows="as:ratings",
    kind="working",
    sheet=SHEET,
)

WEED_LIST = Table(
    "weed_list",
    "Weeds on the farm",
    "Every driver weed once.",
    (
        slot_number("Weed number"),
        working("row", "First row with it", 'IFERROR(MATCH({slot},{weed_facts.running:all},0),"")'),
        working("weed", "Weed", 'IF({row}="","",INDEX({weeds.weed:all},{row})&"")', "name"),
    ),
    rows="list:weed_names",
    kind="working",
    sheet=SHEET,
)

WEED_TOTALS = Table(
    "weed_totals",
    "Weed totals",
    "Whether weeds and ratings are entered at all.",
    (
        working("ratings", "Ratings entered", "COUNT({ratings.rating:all})", "count"),
        working("weeds", "Weeds entered", "COUNT({weed_facts.key:all})", "count"),
    ),
    rows="form",
    kind="working",
    sheet=SHEET,
)

INGREDIENT_WEEDS = Table(
    "ingredient_weeds",
    "Ingredient and weed workings",
    "How each ingredient of each product is rated on each weed: its own rating, or else its product's.",
    (
        slot_number("Weed number"),
        working("product_row", "Product row", "{ingredient_facts.product_row}"),
        working("weed", "Weed", 'IF({product_row}="","",INDEX({weed_list.weed:all},{slot}))', "name"),
        working("own_row", "Rating of the ingredient", 'IF({weed}="","",IFERROR(MATCH({ingredients.active_ingredient}&"|"&{weed},{rating_facts.key:all},0),""))'),
        working("product_rating", "Rating of the product", 'IF({weed}="","",IFERROR(MATCH({ingredients.product}&"|"&{weed},{rating_facts.key:all},0),""))'),
        working("rating_row", "Rating used", 'IF({own_row}<>"",{own_row},{product_rating})'),
        working("rating", "Rating", 'IF({rating_row}="","",IF(INDEX({ratings.rating:all},{rating_row})="","",INDEX({ratings.rating:all},{rating_row})))', "number", digits=0),
        working("residual", "Days of residual", 'IF({rating_row}="",0,SUM(INDEX({ratings.residual_days:all},{rating_row})))', "days"),
        working("counts", "May count for a group", 'IF(OR({product_row}="",{own_row}<>""),1,IF({ingredient_facts.nth}>1,0,1))', "count",
                note="A rating of the whole product proves one group; rate the ingredients to count more."),
        working("effective", "Works on the weed",
                'IF({rating}="",0,IF({ingredient_facts.group}="",0,IF(AND({rating}>=effective_rating,{ingredient_facts.group}>0,{counts}=1),1,0)))', "count"),
        working("key", "Product and weed", 'IF({effective}=1,{product_row}*1000+{slot},"")'),
    ),
    rows="under:ingredients:weed_names",
    kind="working",
    sheet=SHEET,
)

MIX_WEEDS = Table(
    "mix_weeds",
    "Mix and weed workings",
    "Groups of each mix that work on each weed, resistance left out.",
    (
        slot_number("Weed number"),
        working("weed", "Weed", 'IF({mix_list.row}="","",INDEX({weed_list.weed:all},{slot}))', "name"),
        working("key", "Mix and weed", 'IF({weed}="","",{parent_no}*1000+{slot})'),
        working("unrated", "Ingredients without a rating", 'IF({weed}="","",SUM({mix_weed_ingredients.unrated:block}))', "count"),
        working("rated", "Groups that work", 'IF({weed}="","",";"&INDEX({mix_weed_ingredients.so_far:block},{room.ingredients}))', "text"),
        working("first_group", "First of them", 'IF({weed}="","",IF(SUM({mix_weed_ingredients.counts:block})=0,"",INDEX({mix_weed_ingredients.group:block},MATCH(1,{mix_weed_ingredients.counts:block},0))))', "count"),
    ),
    rows="under:mix_list:weed_names",
    kind="working",
    sheet=SHEET,
)

MIX_WEED_INGREDIENTS = Table(
    "mix_weed_ingredients",
    "Mix, weed and ingredient workings",
    "Each ingredient of each mix on each weed.",
    (
        slot_number(),
        working("ingredient_row", "Ingredient row", 'IF({mix_weeds.weed}="","",INDEX({mix_ingredients.row:block},{slot}))'),
        working("fact_row", "Ingredient and weed row", 'IF({ingredient_row}="","",({ingredient_row}-1)*{room.weed_names}+{mix_weeds.slot})'),
        working("unrated", "Without a rating", 'IF({fact_row}="",0,IF(INDEX({ingredient_weeds.rating:all},{fact_row})="",1,0))', "count"),
        working("group", "Group that works", 'IF({fact_row}="","",IF(INDEX({ingredient_weeds.effective:all},{fact_row})=1,INDEX({ingredient_facts.group:all},{ingredient_row}),""))', "count"),
        working("counts", "First with its group", 'IF({group}="",0,IF(MATCH({group},{group:block},0)={slot},1,0))', "count"),
        working("key", "Mix and weed", 'IF({group}="","",{mix_weeds.key})'),
        working("residual", "Days of residual", 'IF({group}="",0,INDEX({ingredient_weeds.residual:all},{fact_row}))', "days"),
        working("so_far", "Groups so far", 'IF({slot}=1,"",{so_far:above}&"")&IF({counts}=1,{group}&";","")', "text"),
    ),
    rows="under:mix_weeds:ingredients",
    kind="working",
    sheet=SHEET,
)

WEED_WORKINGS = (WEED_FACTS, RATING_FACTS, WEED_LIST, WEED_TOTALS, INGREDIENT_WEEDS, MIX_WEEDS, MIX_WEED_INGREDIENTS)
