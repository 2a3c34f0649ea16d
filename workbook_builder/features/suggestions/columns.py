"""What single change would fix a pass: a product of the farm's own list, legal there,
that adds an effective group.
"""

from __future__ import annotations

from collections.abc import Callable
from operator import mul
from typing import Any

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import or_blank, result, row_number, slot_number, working
from workbook_builder.features.labels.columns import match_columns, strictest_of
from workbook_builder.features.loads.lines import counted, first_of
from workbook_builder.features.plant_back.definitions import earliest_planting
from workbook_builder.features.suggestions import definitions as trade

SHEET = "Workings weeds"

LABEL_COSTS = Table(
    "label_costs",
    "Label cost workings",
    "Cost of each label row at its highest rate, for suggestions.",
    (
        working("crop_no", "Crop number",
                'IF({label_facts.crop_name}="any",0,MATCH({label_facts.crop_name},'
                '{label_facts.crop_name:all},0))', needs="label_limits.product"),
        working("price", "Price per base unit as sold", "{product_facts.price_base@label_facts.product_row}",
                "money_per_base", needs="label_facts.product_row"),
        working("cost", "Cost at the max rate",
                'IF(SUM({label_facts.unit_area})=0,"",{label_limits.max_rate}*{label_facts.unit_area}'
                '*{price})', "money_per_area",
                needs="label_limits.max_rate price", twin=lambda rate, unit, price: rate * unit * price
                if unit else "", takes="label_limits.max_rate label_facts.unit_area price"),
    ),
    rows="as:label_limits",
    kind="working",
    sheet=SHEET,
)

LABEL_WEEDS = Table(
    "label_weeds",
    "Label and weed workings",
    "Label rows of products that work on a weed, ranked by cost.",
    (
        row_number(),
        slot_number("Weed number"),
        working("product_row", "Product row", "{label_facts.product_row}"),
        working("effective_row", "Effective ingredient",
                'IFERROR(MATCH({product_row}*1000+{slot},{ingredient_weeds.key:all},0),"")',
                needs="product_row"),
        working("group", "Its group",
                "INDEX({ingredient_facts.group:all},INT(({effective_row}-1)/{room.weed_names})+1)", "count",
                needs="effective_row"),
        working("cost", "Cost at the max rate", '{label_costs.cost}', "money_per_area"),
        working("rank", "Rank by cost", "ROUND(ROUND({cost}*100,6),0)*1000000+{row_no}", needs="group cost"),
        working("key", "Crop and weed", "{label_costs.crop_no}*1000+{slot}", needs="rank"),
    ),
    rows="under:label_limits:weed_names",
    kind="working",
    sheet=SHEET,
)


def _of_open(key: str, header: str, source: str, quantity: str) -> Column:
    """What is known of the open weed."""
    return working(key, header, "{effective_modes.%s@open}" % source, quantity, needs="open")


def _typed(key: str, header: str, source: str) -> Column:
    return working(key, header, or_blank(f"fields.{source}@pass_volumes.field_row"), "date",
                   needs="pass_volumes.field_row")


MEND_PASSES = Table(
    "mend_passes",
    "Suggestion workings",
    "The first driver weed of each pass that too few groups work on, and what is known of field and crop.",
    (
        working("open", "Row of the open weed",
                'IF(%s=0,"",%s)' % (counted("effective_modes.status", '"Review"', "effective_modes"),
                                    first_of("effective_modes.status", '"Review"', "effective_modes"))),
        _of_open("weed_no", "Weed number", "weed_no", "index"),
        _of_open("weed", "Weed", "weed", "name"),
        _of_open("left", "Groups that still work", "left", "text"),
        _of_open("have", "How many", "effective_groups", "count"),
        working("first_group", "First group of the mix on it",
                "INDEX({mix_weeds.first_group:all},{effective_modes.mix_weed_row@open})", "count",
                needs="open"),
        *(_of_open(f"r_{place}", f"Resistant group {place}", f"r_{place}", "count")
          for place in (1, 2, 3, 4)),
        working("crop_no", "Crop number",
                'IFERROR(MATCH({pass_crops.crop_name},{label_facts.crop_name:all},0),"")', needs="open"),
        _typed("planting", "Planting of this crop", "planting_date"),
        working("next_crop", "Next crop", '{fields.next_crop@pass_volumes.field_row}&""', "name",
                needs="pass_volumes.field_row"),
        *(
            working(f"following_{key}", f"Next crop: {header}", "{field_crops.next_%s@pass_volumes.field_row}"
                    % key, "text", needs="pass_volumes.field_row")
            for key, header in (("name", "one name"), ("wider", "wider crop"), ("family", "crops it may be"),
                                ("group", "group"))
        ),
        _typed("next_planting", "Planting of the next crop", "next_planting_date"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
    was=("Mending workings",),
)


def _cheapest(key: str) -> str:
    """Formula of the cheapest candidate dearer than the slot above's,
    other groups than those there or resisted.
    """
    others = "".join(
        ',{label_weeds.group:all},"<>"&IF({mend_passes.%s}="",-1,{mend_passes.%s})' % (name, name)
        for name in ("first_group", "r_1", "r_2", "r_3", "r_4")
    )
    return ('IFERROR(_xlfn.MINIFS({label_weeds.rank:all},{label_weeds.key:all},%s,{label_weeds.rank:all},'
            '">"&{previous}%s),0)') % (key, others)


def _plant_back(prefix: str, header: str, crop: str) -> tuple[Column, ...]:
    """Columns of the earliest day a crop may be planted after the option.

    Blank where its interval is not known for sure.
    """
    days, months = f"{{{prefix}days}}", f"{{{prefix}months}}"
    return (
        *match_columns("plant_back_facts", "{product_no}", crop, prefix, header),
        working(f"{prefix}days", f"{header}Days", strictest_of("plant_back_facts", "days", prefix), "days"),
        working(f"{prefix}months", f"{header}Months", strictest_of("plant_back_facts", "months", prefix),
                "count"),
        working(f"{prefix}earliest", f"{header}From",
                f'IF(OR({{{prefix}near_row}}<>"",COUNT({days},{months})=0),"",'
                f'MAX({{pass_times.last_day}}+SUM({days}),EDATE({{pass_times.last_day}},SUM({months}))))',
                "date",
                needs="pass_times.last_day", twin=lambda near, *interval: "" if near != ""
                else earliest_planting(*interval),
                takes=f"{prefix}near_row pass_times.last_day {prefix}days {prefix}months"),
    )


#: What an option must pass to be suggested.
_LEGAL = ("applies", "adds", "unused", "season_room", "harvest_fits", "this_fits", "next_fits", "crop_safe")


def _allowed(key: str, header: str, formula: str, twin: Callable[..., bool], takes: str,
             of: str = "product") -> Column:
    """Declare 1 or 0: whether an option passes one of its tests; 0 where there is none."""
    return working(key, header, 'IF({%s}="",0,%s)' % (of, formula), "count", takes=f"{of} {takes}",
                   twin=lambda option, *cells: int(option != "" and twin(*cells)))


MEND_OPTIONS = Table(
    "mend_options",
    "Suggestion options",
    "The cheapest products that would add an effective group, and whether each is legal there.",
    (
        slot_number(),
        working("previous", "Rank of the option above", 'IF({slot}=1,0,{rank:above})'),
        working("own", "Cheapest labelled for the crop",
                'IF(OR({mend_passes.open}="",{mend_passes.crop_no}="",{previous}=""),0,'
                + _cheapest("{mend_passes.crop_no}*1000+{mend_passes.weed_no}") + ")"),
        working("any", "Cheapest labelled for any crop", 'IF(OR({mend_passes.open}="",{previous}=""),0,'
                + _cheapest("{mend_passes.weed_no}") + ")"),
        working("rank", "Rank", 'IF({own}+{any}=0,"",IF({own}=0,{any},IF({any}=0,{own},MIN({own},{any}))))'),
        working("candidate", "Label and weed row", "MOD({rank},1000000)", needs="rank"),
        working("label_row", "Label row", "INT(({candidate}-1)/{room.weed_names})+1", needs="candidate"),
        working("product", "Product", '{label_limits.product@label_row}&""', "name", needs="label_row"),
        working("product_row", "Product row", "{label_facts.product_row@label_row}", needs="label_row"),
        working("product_no", "Product number", "{label_facts.product_no@label_row}", needs="label_row"),
        *match_columns("label_facts", "{product_no}", "pass_crops.crop", "label_", "Label: "),
        working("group", "Group it adds", "{label_weeds.group@candidate}", "count", needs="candidate"),
        working("cost", "Cost at the max rate", "{label_weeds.cost@candidate}", "money_per_area",
                needs="candidate"),
        working("applies", "Label row holds for the crop",
                'IF(OR({product}="",{label_found_row}="",{label_near_row}<>""),0,'
                'IF({label_facts.key_no@label_found_row}<>{label_facts.key_no@label_row},0,'
                "1-{label_facts.own_forbidden@label_row}))", "count"),
        working("adds", "Adds a group",
                'IF({group}="",0,IF(ISNUMBER(FIND(";"&{group}&";",{mend_passes.left})),0,1))', "count"),
        working("unused", "Not used on the field this season",
                'IF(OR({product_row}="",{pass_volumes.field_row}=""),0,'
                'IF(COUNTIF({product_limits.ground_key:all},{pass_volumes.field_row}*10000+{product_no})=0,'
                '1,0))', "count"),
        _allowed("season_room", "Season amount allows it",
                 'IF({label_limits.max_rate_season@label_row}="",1,'
                 'IF({label_limits.max_rate_season@label_row}>={label_limits.max_rate@label_row},1,0))',
                 trade.season_allows,
                 "label_limits.max_rate@label_row label_limits.max_rate_season@label_row", "label_row"),
        working("phi", "Preharvest days", "{label_facts.own_phi_days@label_row}", "days", needs="label_row"),
        _allowed("harvest_fits", "Harvest allows it",
                 'IF(OR({intervals.harvest_date}="",{intervals.after_harvest}=1),1,'
                 'IF(OR({phi}="",{pass_times.last_day}=""),0,'
                 'IF({pass_times.last_day}+{phi}<={intervals.harvest_date},1,0)))',
                 trade.harvest_allows,
                 "intervals.harvest_date intervals.after_harvest phi pass_times.last_day"),
        *_plant_back("this_", "This crop: ", "pass_crops.crop"),
        _allowed("this_fits", "This crop's planting allows it",
                 'IF({mend_passes.planting}="",1,IF({pass_times.last_day}="",0,'
                 'IF({mend_passes.planting}<{pass_times.last_day},1,IF({this_earliest}="",0,'
                 'IF({this_earliest}<={mend_passes.planting},1,0)))))',
                 trade.planting_allows, "mend_passes.planting pass_times.last_day this_earliest"),
        *_plant_back("next_", "Next crop: ", "mend_passes.following"),
        _allowed("next_fits", "Next crop's planting allows it",
                 'IF({mend_passes.next_crop}="",1,IF(OR({next_earliest}="",{mend_passes.next_planting}=""),0,'
                 'IF({next_earliest}<={mend_passes.next_planting},1,0)))',
                 trade.next_planting_allows, "mend_passes.next_crop mend_passes.next_planting next_earliest"),
        working("stands", "Crop is in the ground",
                'IF(OR({mend_passes.planting}="",{pass_times.last_day}=""),0,'
                'IF({mend_passes.planting}>{pass_times.last_day},0,IF({intervals.harvest_date}="",1,'
                'IF({pass_times.last_day}>{intervals.harvest_date},0,1))))',
                "count", twin=lambda *days: int(trade.crop_stands(*days)),
                takes="mend_passes.planting pass_times.last_day intervals.harvest_date"),
        working("crop_safe", "Allowed over the crop",
                'IF({product}="",0,IF({stands}=0,1,IF({label_limits.over_crop@label_row}="yes",1,0)))',
                "count"),
        working("legal", "May be suggested", "*".join("{%s}" % test for test in _LEGAL), "count",
                twin=lambda *tests: int(all(tests)), takes=" ".join(_LEGAL)),
    ),
    rows="under:passes:options",
    kind="working",
    sheet=SHEET,
    was=("Mending options",),
)


def _picked(key: str, header: str, source: str, quantity: str, **more: Any) -> Column:
    return result(key, header, "{mend_options.%s:block@pick}" % source, quantity, needs="pick", **more)


SUGGESTIONS = Table(
    "suggestions",
    "Suggested changes",
    "One change that would fix a pass with too few effective groups: suggested with its cost, never chosen "
    "for you.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("weed", "Driver weed", "{mend_passes.weed}", "name"),
        result("have", "Effective groups now", "{mend_passes.have}", "count"),
        working("pick", "Option", 'IFERROR(MATCH(1,{mend_options.legal:block},0),"")'),
        _picked("product", "Product that would help", "product", "name"),
        _picked("adds_group", "Group it adds", "group", "count"),
        result("would_have", "Effective groups then", "{have}+1", "count", needs="pick"),
        _picked("cost_per_area", "Cost of it per sprayed area", "cost", "money_per_area",
                note="At the highest rate on the label row; a lower labelled rate costs less."),
        result("cost", "Cost of it on this pass", "{cost_per_area}*{pass_volumes.sprayed_area}", "money",
               needs="pick pass_volumes.sprayed_area",
               twin=mul, takes="cost_per_area pass_volumes.sprayed_area"),
        result("suggestion", "In words",
               'IF({pick}="","Nothing on the list, rated for "&{weed}&" and legal here, adds a group",'
               '"With "&{product}&" (group "&{adds_group}&"): "&{would_have}&" of "&{farm.wanted_modes}'
               '&" on "&{weed}&"; check label and crop stage")', "long_text", needs="weed",
               width=76),
    ),
    rows="as:passes",
    kind="result",
    caution="Ingredient limits and crop stage are not tried: put it in the mix and look at all checks.",
)

TABLES = (SUGGESTIONS, LABEL_COSTS, LABEL_WEEDS, MEND_PASSES, MEND_OPTIONS)
