"""Spot against broadcast: pass by pass, over the season, and at other shares and prices."""

from __future__ import annotations

from workbook_builder.core.columns import SETTING, Column, Table
from workbook_builder.core.short import check, result, row_number, slot_number, working
from workbook_builder.features.spot_volumes.lists import with_list

#: Steps of the product cost in the two-way table: key and default multiple.
PRICE_STEPS = (("step_1", 0.5), ("step_2", 0.75), ("step_3", 1.0), ("step_4", 1.5), ("step_5", 2.0))
#: What is left of two large sums is rounded, and may be off by one in the last place that is kept.
GAIN = 1e-6


def _gained(formula: str) -> str:
    return "ROUND(ROUND(%s,6),4)" % formula


def _on(formula: str) -> str:
    return 'IF({on}=0,"",%s)' % formula


def _priced(formula: str) -> str:
    return 'IF({priced}=0,"",%s)' % formula


def _quantile(chance: str) -> str:
    return 'IF({share_estimates.a}="","",MIN(1,{order_volumes.done}+{order_volumes.left}*MAX(0.001,MIN(0.999,BETAINV(%s,{share_estimates.a},{share_estimates.b})))))' % chance


def _gain_at(share: str) -> str:
    return 'IF(OR({priced}=0,{%s}=""),"",%s)' % (share, _gained("({start}-{slope}*{%s})*{area}" % share))


SPOT_AGAINST_BROADCAST, SPOT_AGAINST_BROADCAST_LIST = with_list(Table(
    "spot_against_broadcast",
    "Spot or broadcast",
    "Every spot pass against spraying the same mix over the whole field: what it saves, what it costs, and up to which share of the field it pays.",
    (
        result("pass", "Pass", _on("{pass_volumes.pass}"), "name"),
        result("field", "Field", _on("{pass_volumes.field}"), "name"),
        working("on", "Spot pass", 'IF({passes.method}<>"spot",0,IF(OR({pass_volumes.loads}="",{pass_volumes.pass}=""),0,IF({pass_volumes.area}>0,1,0)))', "count"),
        working("sprayer_row", "Sprayer row", _on("{pass_volumes.sprayer_row}")),
        working("crop_row", "First pass in the crop", _on("{crop_rows.first}")),
        result("area", "Field area", _on("{pass_volumes.area}"), "area"),
        result("share", "Share of field sprayed", _on('IF({as_logged.ground}="",{pass_volumes.share},MIN(1,{as_logged.ground}/{area}))'), "share", note="Of a pass that was sprayed by the volume sprayed."),
        working("priced", "All products priced", "IF({on}=0,0,IF({cost_passes.unpriced}=0,1,0))", "count"),
        result("product_area", "Products per sprayed area", _priced("SUM({pick_list.area_cost:block})"), "money_per_area"),
        working("carrier_area", "Carrier per sprayed area", _on("{passes.carrier}*water_cost"), "money_per_area"),
        working("main_usable", "Usable in the main tank", _on("SUM(INDEX({sprayers.main_tank:all},{sprayer_row}))-{pass_volumes.unusable}"), "volume"),
        working("main_loads", "Loads per area, broadcast", _on("IF({main_usable}<=0,0,{passes.carrier}/{main_usable})"), "factor"),
        working("spot_loads", "Loads per area, all sprayed by spots", _on("{passes.carrier}/{pass_volumes.usable}"), "factor"),
        working("refill_hours", "Hours per refill", _on("IF({pass_times.by_load}=1,{work_rates.refill_minutes}/60,0)"), "hours"),
        working("running_hour", "Running cost per hour", _on("INDEX({sprayer_costs.running_hour:all},{sprayer_row})"), "money_per_hour"),
        working("refill_cost", "Cost of a refill", _on("{refill_hours}*{running_hour}"), "money"),
        working("drive_area", "Driving per area",
                _on("SUM(INDEX({sprayers.cost_per_area:all},{sprayer_row}))+{running_hour}*SUM({work_rates.field_hours})/{area}"), "money_per_area"),
        working("fee_area", "Fee per area", _on('IF({spot_uses.term_row}="",0,SUM(INDEX({spot_terms.fee:all},{spot_uses.term_row})))'), "money_per_area"),
        result("product_broadcast", "Products, broadcast", _priced("{product_area}*{area}"), "money"),
        result("product_spot", "Products, spot", _priced("{product_area}*{area}*{share}"), "money"),
        result("product_saved", "Product saved", _priced("{product_broadcast}-{product_spot}"), "money"),
        result("water_saved", "Water saved", _on("{passes.carrier}*{area}*(1-{share})"), "volume"),
        result("carrier_saved", "Carrier saved", _on("{water_saved}*water_cost"), "money"),
        result("refills_saved", "Refills saved", _on("IF({share}>=1,0,{area}*({main_loads}-{spot_loads}*{share}))"), "number", digits=1,
               note="Part loads counted as parts; below none when the tank for spots is small."),
        result("hours_saved", "Hours saved", _on("{refills_saved}*{refill_hours}"), "hours"),
        result("time_saved", "Value of the time", _on("{hours_saved}*{running_hour}"), "money"),
        result("fee", "Fee", _on("{fee_area}*{area}"), "money"),
        result("escapes", "Escapes", _on("escape_loss*{area}"), "money"),
        working("refill_spot", "Refilling the spot pass", _on("IF({share}>=1,{main_loads},{spot_loads}*{share})*{area}*{refill_cost}"), "money"),
        result("again", "Second pass", _priced("second_pass*({product_spot}+{carrier_area}*{area}*{share}+{refill_spot}+{fee}+{drive_area}*{area})"), "money",
               note="Chance of a second pass times what the pass costs."),
        result("net", "Net", _priced("{product_saved}+{carrier_saved}+{time_saved}-{fee}-{escapes}-{again}"), "money"),
        result("net_per_area", "Net per field area", _priced("{net}/{area}"), "money_per_area"),
        working("start", "Gain with nothing to spray", _priced("{product_area}+{carrier_area}+{main_loads}*{refill_cost}-{fee_area}-escape_loss-second_pass*({fee_area}+{drive_area})"), "money_per_area"),
        working("slope", "Gain lost from none to all", _priced("({product_area}+{carrier_area}+{spot_loads}*{refill_cost})*(1+second_pass)"), "money_per_area"),
        result("break_even_share", "Pays up to a share of", _priced('IF(OR({slope}<=0,{start}<0),"",MIN(1,{start}/{slope}))'), "share", digits=1,
               note="Net is nothing at this share of the field; blank when spot spraying never pays."),
        result("broadcast_cost", "Broadcast per area", _priced("{product_area}+{carrier_area}+{main_loads}*{refill_cost}+{drive_area}"), "money_per_area"),
        result("spot_cost", "Spot per area", _priced(_gained("{broadcast_cost}-{net_per_area}")), "money_per_area", tolerance=GAIN),
        working("share_p10", "Share, 1 in 10 is less", _on(_quantile("0.1")), "share", digits=1),
        working("share_p50", "Share, enough 5 times in 10", _on(_quantile("0.5")), "share", digits=1),
        working("share_p90", "Share, enough 9 times in 10", _on(_quantile("0.9")), "share", digits=1),
        result("net_p10", "Net, 1 in 10 is worse", _gain_at("share_p90"), "money", tolerance=GAIN),
        result("net_p50", "Net, half are worse", _gain_at("share_p50"), "money", tolerance=GAIN),
        result("net_p90", "Net, 1 in 10 is better", _gain_at("share_p10"), "money", tolerance=GAIN),
        working("share_mean", "Mean share", _on('IF({share_estimates.a}="","",MIN(1,{order_volumes.done}+{order_volumes.left}*{share_estimates.share_mean}))'), "share", digits=1),
        working("net_mean", "Mean net", _gain_at("share_mean"), "money", tolerance=GAIN),
        working("net_variance", "Variance of the net",
                'IF({net_mean}="","",POWER({slope}*{area}*{order_volumes.left},2)*{share_estimates.a}*{share_estimates.b}/(POWER({share_estimates.a}+{share_estimates.b},2)*({share_estimates.a}+{share_estimates.b}+1)))', "factor"),
        working("point", "Break-even in what is left", 'IF(OR({break_even_share}="",{share_estimates.a}="",{order_volumes.left}=0),"",({break_even_share}-{order_volumes.done})/{order_volumes.left})', "factor"),
        result("chance", "Chance that it pays",
               'IF(OR({priced}=0,{share_estimates.a}=""),"",IF({break_even_share}="",0,IF({point}="",IF({order_volumes.done}<={break_even_share},1,0),IF({point}<=0,0,IF({point}>=0.9995,1,BETADIST({point},{share_estimates.a},{share_estimates.b}))))))', "share"),
        check("status", "Status",
              'IF({on}=0,"",IF(OR({priced}=0,{spot_uses.term_row}=""),"Not entered",IF(ROUND({net},6)<0,"Review","OK")))'),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",IF({status}="Review","Broadcasting would cost "&ROUND(ROUND(0-{net},6),2)&" less at this share of the field",'
              'IF({priced}=0,"A product has no price","No spot terms for this sprayer, use and crop: fee counted as 0")))', "long_text"),
    ),
    rows="as:passes",
    kind="result",
    caution="Money is one reason; missed weeds set seed. Walk a spot pass before you trust it.",
))

_FETCH = 'IF({row}="","",INDEX({spot_against_broadcast.%s:all},{row}))'

SPOT_LIST = Table(
    "spot_list",
    "Spot passes in short",
    "Only the spot passes, one below the other; the list refills by itself.",
    (
        result("pass", "Pass", _FETCH % "pass", "name"),
        result("field", "Field", _FETCH % "field", "name"),
        working("running", "Spot passes so far", "SUM({running:above},{spot_against_broadcast.on})", "count"),
        row_number(),
        working("row", "Row of the pass", 'IFERROR(MATCH({row_no},{running:all},0),"")'),
        result("share", "Share of field sprayed", _FETCH % "share", "share"),
        result("break_even_share", "Pays up to a share of", _FETCH % "break_even_share", "share", digits=1),
        result("product_saved", "Product saved", _FETCH % "product_saved", "money"),
        result("fee", "Fee", _FETCH % "fee", "money"),
        result("net", "Net", _FETCH % "net", "money"),
        result("net_per_area", "Net per area", _FETCH % "net_per_area", "money_per_area"),
        result("net_p10", "Net, 1 in 10 is worse", _FETCH % "net_p10", "money"),
        result("net_p90", "Net, 1 in 10 is better", _FETCH % "net_p90", "money"),
        result("chance", "Chance that it pays", _FETCH % "chance", "share"),
    ),
    rows="as:passes",
    kind="result",
    sheet="Spot spraying this season",
    was=("Spotting this season",),
)

_ALL = "SUM({spot_against_broadcast.%s:all})"

SPOT_SEASON = Table(
    "spot_season",
    "Spot spraying this season",
    "All spot passes of the plan against broadcasting, and what could happen, since the shares sprayed are estimates.",
    (
        result("passes", "Spot passes", _ALL % "on", "count"),
        result("area", "Area driven over", _ALL % "area", "area"),
        result("product_saved", "Product saved", _ALL % "product_saved", "money"),
        result("saved_share", "Product saved, of broadcasting", 'IF(SUM({spot_against_broadcast.product_broadcast:all})=0,"",{product_saved}/SUM({spot_against_broadcast.product_broadcast:all}))', "share"),
        result("water_saved", "Water saved", _ALL % "water_saved", "volume"),
        result("hours_saved", "Hours saved", _ALL % "hours_saved", "hours"),
        result("fee", "Fees", _ALL % "fee", "money"),
        result("net", "Net at the planned shares", _ALL % "net", "money"),
        result("net_per_area", "Net per area", 'IF({area}=0,"",{net}/{area})', "money_per_area"),
        result("mean", "Mean net over what could happen", _ALL % "net_mean", "money", note="From the share estimates."),
        result("spread", "Standard deviation", "SQRT(SUM({spot_against_broadcast.net_variance:all}))", "money", note="When fields differ from each other by chance."),
        result("p10", "1 season in 10 is worse than", "{mean}-NORMSINV(0.9)*{spread}", "money", note="Normal curve by mean and variance of the passes together."),
        result("p50", "Half the seasons are worse than", "{mean}", "money"),
        result("p90", "1 season in 10 is better than", "{mean}+NORMSINV(0.9)*{spread}", "money"),
        result("together_p10", "The same when all fields go wrong together", _ALL % "net_p10", "money", note="Every share as high as 1 time in 10: a weedy year everywhere."),
        result("together_p90", "The same when all fields go well together", _ALL % "net_p90", "money", note="Every share as low as 1 time in 10."),
        result("chance", "Chance that spot spraying pays over the season", 'IF({passes}=0,"",IF({spread}=0,IF({mean}>=0,1,0),NORMSDIST({mean}/{spread})))', "share"),
    ),
    rows="form",
    kind="result",
    was=("Spotting this season",),
)

_CROP = 'IF({cost_crops.row}="","",SUMIF({spot_against_broadcast.crop_row:all},{cost_crops.row},{spot_against_broadcast.%s:all}))'

SPOT_CROPS = Table(
    "spot_crops",
    "Spot spraying by crop",
    "The season's spot passes by crop.",
    (
        result("crop", "Crop", "{cost_crops.crop}", "name"),
        result("passes", "Spot passes", _CROP % "on", "count"),
        result("area", "Area driven over", _CROP % "area", "area"),
        result("product_saved", "Product saved", _CROP % "product_saved", "money"),
        result("fee", "Fees", _CROP % "fee", "money"),
        result("net", "Net", _CROP % "net", "money"),
        result("net_per_area", "Net per area", 'IF(SUM({area})=0,"",{net}/{area})', "money_per_area"),
    ),
    rows="as:cost_crops",
    kind="result",
    sheet="Spot spraying this season",
    was=("Spotting by crop", "Spotting this season",),
)

SPOT_CHOICE = Table(
    "spot_choice",
    "Spot what-if",
    "Choose a spot pass and field (blank takes the first spot pass); the curve and the table below follow.",
    (
        Column("pass", "Pass", "name", SETTING, choices="cost_pass_names.pass", note="Choose the pass."),
        Column("field", "Field", "name", SETTING, choices="fields.field", note="Choose the field."),
        *(
            Column(key, f"Product cost, column {n}", "number", SETTING, default=default, minimum=0, maximum=20,
                   note="Times the product cost entered; 1 is as entered.")
            for n, (key, default) in enumerate(PRICE_STEPS, 1)
        ),
    ),
    rows="form",
    kind="setting",
)

_CHOSEN = 'IF({row}="","",INDEX({spot_against_broadcast.%s:all},{row}))'

SPOT_CHOSEN = Table(
    "spot_chosen",
    "The chosen pass",
    "What the curve and the table rest on.",
    (
        working("row", "Row of the pass",
                'IF({spot_choice.pass}="",IFERROR(MATCH(1,{spot_against_broadcast.on:all},0),""),'
                'IFERROR(MATCH({spot_choice.pass}&"|"&{spot_choice.field},{pass_volumes.key:all},0),""))'),
        check("found", "Found", 'IF({row}="","Review: no such spot pass",IF({start}="","Review: not a spot pass, or a product has no price",{what}))', "text"),
        working("what", "Pass and field", 'IF({row}="","",INDEX({pass_volumes.key:all},{row}))', "text"),
        result("share", "Share of field sprayed", _CHOSEN % "share", "share"),
        result("product_area", "Products per sprayed area", _CHOSEN % "product_area", "money_per_area"),
        result("fee_area", "Fee", _CHOSEN % "fee_area", "money_per_area"),
        working("start", "Gain with nothing to spray", _CHOSEN % "start", "money_per_area"),
        working("slope", "Gain lost from none to all", _CHOSEN % "slope", "money_per_area"),
        result("broadcast_cost", "Broadcast per area", _CHOSEN % "broadcast_cost", "money_per_area"),
        result("break_even_share", "Pays up to a share of", _CHOSEN % "break_even_share", "share", digits=1),
        *(result(f"product_{key}", f"Products per sprayed area, column {n}", 'IF({product_area}="","",{product_area}*SUM({spot_choice.%s}))' % key, "money_per_area")
          for n, (key, _) in enumerate(PRICE_STEPS, 1)),
    ),
    rows="form",
    kind="result",
    sheet="Spot what-if",
)


def _net_at(step: str) -> str:
    extra = "({spot_chosen.product_%s}-{spot_chosen.product_area})" % step
    return 'IF({share}="","",%s)' % _gained("{spot_chosen.start}+%s-({spot_chosen.slope}+%s*(1+second_pass))*{share}" % (extra, extra))


SPOT_CURVE = Table(
    "spot_curve",
    "Cost and gain at other shares",
    "Cost per field area of the chosen pass at every share of the field sprayed, and its gain over broadcasting at five product costs.",
    (
        slot_number(),
        result("share", "Share of field sprayed", 'IF({spot_chosen.start}="","",({slot}-1)/({room.share_steps}-1))', "share"),
        result("spot_cost", "Spot per area", 'IF({share}="","",%s)' % _gained("{spot_chosen.broadcast_cost}-{spot_chosen.start}+{spot_chosen.slope}*{share}"), "money_per_area", tolerance=GAIN),
        result("broadcast_cost", "Broadcast per area", 'IF({share}="","",{spot_chosen.broadcast_cost})', "money_per_area"),
        *(result(f"net_{key}", f"Gain, column {n}", _net_at(key), "money_per_area", tolerance=GAIN) for n, (key, _) in enumerate(PRICE_STEPS, 1)),
    ),
    rows="list:share_steps",
    kind="result",
    sheet="Spot what-if",
)

SPOT_MONEY_TABLES = (SPOT_SEASON, SPOT_CROPS, SPOT_LIST, SPOT_AGAINST_BROADCAST, SPOT_AGAINST_BROADCAST_LIST)
SPOT_WHAT_IF_TABLES = (SPOT_CHOICE, SPOT_CHOSEN, SPOT_CURVE)
