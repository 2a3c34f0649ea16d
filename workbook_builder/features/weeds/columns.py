"""Workings of driver weeds: which rating answers which ingredient, and which mix works on which weed."""

from __future__ import annotations

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import or_blank, place, row_number, slot_number, typed_in, working
from workbook_builder.features.effective_modes.definitions import MOST_RESISTANT, resistant_groups
from workbook_builder.features.weeds.definitions import resistant_at, works
from workbook_builder.features.weeds.inputs import AGRONOMY_SETTINGS, RATINGS, WEEDS

SHEET = "Workings weeds"

_DIGITS = "{clean}"
for _digit in "0123456789;":
    _DIGITS = f'SUBSTITUTE({_DIGITS},"{_digit}","")'


def _resistant(nth: int) -> Column:
    """Declare one resistant group, counted from 0; blank when it was named before."""
    token = 'TRIM(MID(SUBSTITUTE({clean},";",REPT(" ",20)),%d,20))' % (1 + 20 * nth)
    fresh = f"{token}+0" if nth == 0 else 'IF(COUNTIF({r_1}:{r_%d},%s+0)>0,"",%s+0)' % (nth, token, token)
    return working(f"r_{nth + 1}", f"Resistant group {nth + 1}",
                   f'IF({{readable}}=0,"",IF({token}="","",{fresh}))',
                   twin=lambda text: resistant_at(str(text), nth), takes="weeds.resistant_groups")


def _emerges(key: str, header: str, date: str) -> Column:
    """Declare an end of the weeks a weed emerges in: typed, or a date of the crop."""
    return working(key, header, 'IF({weeds.%s}<>"",{weeds.%s},IF({field_row}="","",%s))'
                   % (key, key, or_blank(f"fields.{date}@field_row")), "date")


WEED_FACTS = Table(
    "weed_facts",
    "Weed workings",
    "Each driver weed's number, its resistant groups one by one, and when it emerges.",
    (
        row_number(),
        place("field_row", "Field row", "weeds.field", "fields.field"),
        working("nth", "Nth weed of its field", "COUNTIF({field_row:upto},{field_row})", needs="field_row"),
        working("key", "Key", "{field_row}*100+{nth}", needs="field_row weeds.weed"),
        working("first", "First row with the weed", "MATCH({weeds.weed},{weeds.weed:all},0)",
                needs="weeds.weed"),
        working("running", "Weeds so far", "SUM({running:above},IF({first}={row_no},1,0))"),
        working("weed_no", "Weed number", "{weed_facts.running@first}", needs="first"),
        working("clean", "Resistant groups as text",
                'SUBSTITUTE(SUBSTITUTE({weeds.resistant_groups}&""," ",""),",",";")', "text"),
        working("listed", "Groups listed", 'IF({clean}="",0,LEN({clean})-LEN(SUBSTITUTE({clean},";",""))+1)',
                "count"),
        working("readable", "Readable",
                f'IF(AND({_DIGITS}="",{{listed}}<={MOST_RESISTANT},LEN({{clean}})<=20),1,0)', "count",
                twin=lambda text: int(resistant_groups(str(text)) is not None),
                takes="weeds.resistant_groups"),
        *(_resistant(nth) for nth in range(MOST_RESISTANT)),
        _emerges("emerges_from", "Emerges from", "planting_date"),
        _emerges("emerges_to", "Emerges until", "harvest_date"),
    ),
    rows="as:weeds",
    kind="working",
    sheet=SHEET,
)

RATING_FACTS = Table(
    "rating_facts",
    "Rating workings",
    "Lookup key of each rating.",
    (working("key", "Key", '{ratings.product}&"|"&{ratings.weed}', "text",
             needs="ratings.product ratings.weed"),),
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
        working("weed", "Weed", '{weeds.weed@row}&""', "name", needs="row"),
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
        working("weed", "Weed", "{weed_list.weed@slot}", "name", needs="product_row"),
        working("own_row", "Rating of the ingredient",
                'IFERROR(MATCH({ingredients.active_ingredient}&"|"&{weed},{rating_facts.key:all},0),"")',
                needs="weed"),
        working("product_rating", "Rating of the product",
                'IFERROR(MATCH({ingredients.product}&"|"&{weed},{rating_facts.key:all},0),"")', needs="weed"),
        working("rating_row", "Rating used", 'IF({own_row}<>"",{own_row},{product_rating})'),
        typed_in("rating", "Rating", "ratings.rating", "rating_row", "number", digits=0),
        working("residual", "Days of residual",
                'IF({rating_row}="",0,SUM({ratings.residual_days@rating_row}))', "days"),
        working("counts", "May count for a group",
                'IF(OR({product_row}="",{own_row}<>""),1,IF({ingredient_facts.nth}>1,0,1))', "count",
                note="A rating of the whole product proves one group; rate the ingredients to count more."),
        working("effective", "Works on the weed",
                'IF({rating}="",0,IF({ingredient_facts.group}="",0,IF(AND({rating}>=effective_rating,'
                '{ingredient_facts.group}>0,{ingredient_facts.group}<100,{counts}=1),1,0)))', "count",
                twin=works, takes="rating agronomy_settings.effective_rating ingredient_facts.group counts"),
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
        working("weed", "Weed", "{weed_list.weed@slot}", "name", needs="mix_list.row"),
        working("key", "Mix and weed", "{parent_no}*1000+{slot}", needs="weed"),
        working("unrated", "Ingredients without a rating", "SUM({mix_weed_ingredients.unrated:block})",
                "count", needs="weed"),
        working("rated", "Groups that work", '";"&{mix_weed_ingredients.so_far:block@room.ingredients}',
                "text", needs="weed"),
        working("first_group", "First of them",
                'IF(SUM({mix_weed_ingredients.counts:block})=0,"",INDEX({mix_weed_ingredients.group:block},'
                'MATCH(1,{mix_weed_ingredients.counts:block},0)))', "count", needs="weed"),
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
        working("ingredient_row", "Ingredient row", "{mix_ingredients.row:block@slot}",
                needs="mix_weeds.weed"),
        working("fact_row", "Ingredient and weed row",
                "({ingredient_row}-1)*{room.weed_names}+{mix_weeds.slot}", needs="ingredient_row"),
        working("unrated", "Without a rating",
                'IF({fact_row}="",0,IF(AND({ingredient_weeds.rating@fact_row}="",'
                'OR({ingredient_facts.scheme@ingredient_row}="",{ingredient_facts.scheme@ingredient_row}'
                '="herbicide")),1,0))', "count"),
        working("group", "Group that works",
                'IF({ingredient_weeds.effective@fact_row}=1,{ingredient_facts.group@ingredient_row},"")',
                "count", needs="fact_row"),
        working("counts", "First with its group",
                'IF({group}="",0,IF(MATCH({group},{group:block},0)={slot},1,0))', "count"),
        working("key", "Mix and weed", "{mix_weeds.key}", needs="group"),
        working("residual", "Days of residual", 'IF({group}="",0,{ingredient_weeds.residual@fact_row})',
                "days"),
        working("so_far", "Groups so far", 'IF({slot}=1,"",{so_far:above}&"")&IF({counts}=1,{group}&";","")',
                "text"),
    ),
    rows="under:mix_weeds:ingredients",
    kind="working",
    sheet=SHEET,
)

TABLES = (
    WEEDS, RATINGS, AGRONOMY_SETTINGS, WEED_FACTS, RATING_FACTS, WEED_LIST, WEED_TOTALS,
    INGREDIENT_WEEDS, MIX_WEEDS,
    MIX_WEED_INGREDIENTS,
)
