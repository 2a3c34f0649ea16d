"""Spot against broadcast: pass by pass, over the season, and at other shares and prices."""

from __future__ import annotations

import math
from collections.abc import Callable
from operator import mul, sub, truediv
from statistics import NormalDist
from typing import Any

from workbook_builder.core.adding import total
from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import SETTING, Column, Table
from workbook_builder.core.draft import number
from workbook_builder.core.rounding import gained
from workbook_builder.core.short import check, part_of, result, slot_number, working
from workbook_builder.features.shares.beta import quantile_formula, share_quantile, told_formula
from workbook_builder.features.shares.definitions import LEAST_SHAPE, patches_left, patches_sprayed
from workbook_builder.features.spot_money import definitions as money
from workbook_builder.features.spot_money.definitions import SpotTerms
from workbook_builder.features.spot_volumes.definitions import spread

#: Steps of the product cost in the two-way table: key and default multiple.
PRICE_STEPS = (("step_1", 0.5), ("step_2", 0.75), ("step_3", 1.0), ("step_4", 1.5), ("step_5", 2.0))
#: What is left of two large sums is rounded, and may be off by one in the last place that is kept.
GAIN = 1e-6
_SHAPE = "{share_estimates.a},{share_estimates.b}"
#: The cells of the terms of a pass, in their order.
_TERMS = ("product_area carrier_area main_loads spot_loads refill_cost fee_area drive_area "
          "assumptions.escape_loss assumptions.second_pass")


def _gained(formula: str) -> str:
    return f"ROUND(ROUND({formula},6),4)"


def _share_at(key: str, header: str, chance: float) -> Column:
    """Declare the share of the field that is not exceeded with a chance: what is done,
    and a quantile of what is left.
    """
    quantile = quantile_formula(str(chance), _SHAPE)
    return working(key, header, f"MIN(1,{{order_volumes.done}}+{{order_volumes.left}}*{quantile})",
                   "share", digits=1,
                   needs="area share_estimates.a", twin=lambda *cells: money.share_at(chance, *cells),
                   takes="order_volumes.done order_volumes.left share_estimates.a share_estimates.b")


def _net_with(role: Callable[..., Column], key: str, header: str, share: str) -> Column:
    """Declare the net of a pass at one of its shares."""
    return role(key, header, _gained("({start}-{slope}*{%s})*{area}" % share), "money", tolerance=GAIN,
                needs=f"product_area {share}",
                twin=lambda start, slope, share, area: gained((start - slope * share) * area),
                takes=f"start slope {share} area")


SPOT_AGAINST_BROADCAST = Table(
    "spot_against_broadcast",
    "Spot or broadcast",
    "Every spot pass against spraying the same mix over the whole field: what it saves, what it costs, and "
    "up to which share of the field it pays.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name", needs="area"),
        result("field", "Field", "{pass_volumes.field}", "name", needs="area"),
        working("on", "Spot pass",
                'IF({passes.method}<>"spot",0,IF(OR({pass_volumes.loads}="",{pass_volumes.pass}=""),0,'
                'IF({pass_volumes.area}>0,1,0)))', "count"),
        working("sprayer_row", "Sprayer row", "{pass_volumes.sprayer_row}", needs="area"),
        working("crop_row", "First pass in the crop", "{crop_rows.first}", needs="area"),
        result("area", "Field area", 'IF({on}=0,"",{pass_volumes.area})', "area"),
        result("share", "Share of field sprayed", "{pass_volumes.share}", "share", needs="area",
               note="As the plan of the pass has it: sprayed so far, and the mean for the rest."),
        working("priced", "All products priced", "IF({on}=0,0,IF({cost_passes.unpriced}=0,1,0))", "count"),
        result("product_area", "Products per sprayed area", 'IF({priced}=0,"",{spot_uses.product_area})',
               "money_per_area"),
        working("carrier_area", "Carrier per sprayed area", "{passes.carrier}*water_cost", "money_per_area",
                needs="area", twin=mul, takes="passes.carrier assumptions.water_cost"),
        working("main_usable", "Usable in the main tank",
                "SUM({sprayers.main_tank@sprayer_row})-{pass_volumes.unusable}", "volume",
                needs="area", twin=lambda tank, unusable: number(tank) - unusable,
                takes="sprayers.main_tank@sprayer_row pass_volumes.unusable"),
        working("main_loads", "Loads per area, broadcast",
                "IF({main_usable}<=0,0,{passes.carrier}/{main_usable})", "factor",
                needs="area", twin=lambda carrier, usable: carrier / usable if usable > 0 else 0,
                takes="passes.carrier main_usable"),
        working("spot_loads", "Loads per area, all sprayed by spots",
                "{passes.carrier}/{pass_volumes.usable}", "factor", needs="area", twin=truediv,
                takes="passes.carrier pass_volumes.usable"),
        working("refill_hours", "Hours per refill",
                "IF({pass_times.by_load}=1,{work_rates.refill_minutes}/60,0)", "hours",
                needs="area", twin=lambda by_load, minutes: minutes / 60 if by_load else 0,
                takes="pass_times.by_load work_rates.refill_minutes"),
        working("running_hour", "Running cost per hour", "{sprayer_costs.running_hour@sprayer_row}",
                "money_per_hour", needs="area"),
        working("refill_cost", "Cost of a refill", "{refill_hours}*{running_hour}", "money", needs="area",
                twin=mul, takes="refill_hours running_hour"),
        working("drive_area", "Driving per area",
                "SUM({sprayers.cost_per_area@sprayer_row})+{running_hour}*SUM({work_rates.field_hours})"
                "/{area}", "money_per_area",
                needs="area", twin=lambda typed, hour, hours, area: number(typed)
                + hour * number(hours) / area,
                takes="sprayers.cost_per_area@sprayer_row running_hour work_rates.field_hours area"),
        working("fee_area", "Fee per area",
                'IF({spot_uses.term_row}="",0,SUM({spot_terms.fee@spot_uses.term_row}))', "money_per_area",
                needs="area"),
        result("product_broadcast", "Products, broadcast", "{product_area}*{area}", "money",
               needs="product_area", twin=mul, takes="product_area area"),
        result("product_spot", "Products, spot", "{product_area}*{area}*{share}", "money",
               needs="product_area", twin=lambda product_area, area, share: area * share * product_area),
        result("product_saved", "Product saved", "{product_broadcast}-{product_spot}", "money",
               needs="product_area", twin=sub, takes="product_broadcast product_spot"),
        result("water_saved", "Water saved", "{passes.carrier}*{area}*(1-{share})", "volume",
               needs="area", twin=lambda carrier, area, share: (area - area * share) * carrier,
               takes="passes.carrier area share"),
        result("carrier_saved", "Carrier saved", "{water_saved}*water_cost", "money", needs="area", twin=mul,
               takes="water_saved assumptions.water_cost"),
        result("refills_saved", "Refills saved",
               "IF({share}>=1,0,{area}*({main_loads}-{spot_loads}*{share}))", "number", digits=1,
               needs="area", twin=lambda area, share, main_loads, spot_loads: area
               * (main_loads - money.loads_at(share, main_loads, spot_loads)),
               note="Part loads counted as parts; below none when the tank for spots is small."),
        result("hours_saved", "Hours saved", "{refills_saved}*{refill_hours}", "hours", needs="area",
               twin=mul, takes="refills_saved refill_hours"),
        result("time_saved", "Value of the time", "{hours_saved}*{running_hour}", "money", needs="area",
               twin=mul, takes="hours_saved running_hour"),
        result("fee", "Fee", "{fee_area}*{area}", "money", needs="area", twin=mul, takes="fee_area area"),
        result("escapes", "Escapes", "escape_loss*{area}", "money", needs="area", twin=mul,
               takes="assumptions.escape_loss area"),
        working("refill_spot", "Refilling the spot pass",
                "IF({share}>=1,{main_loads},{spot_loads}*{share})*{area}*{refill_cost}", "money",
                needs="area", twin=lambda area, cost, *loads: area * cost * money.loads_at(*loads),
                takes="area refill_cost share main_loads spot_loads"),
        result("again", "Second pass",
               "second_pass*({product_spot}+{carrier_area}*{area}*{share}+{refill_spot}+{fee}"
               "+{drive_area}*{area})", "money",
               needs="product_area", twin=lambda area, share, *terms: area
               * SpotTerms(*terms).second_pass(share), takes=f"area share {_TERMS}",
               note="Chance of a second pass times what the pass costs."),
        result("net", "Net", "{product_saved}+{carrier_saved}+{time_saved}-{fee}-{escapes}-{again}", "money",
               needs="product_area",
               twin=lambda product, carrier, time, fee, again, escapes: money.net_of(
                   0, product + carrier + time, fee + again, escapes),
               takes="product_saved carrier_saved time_saved fee again escapes"),
        result("net_per_area", "Net per field area", "{net}/{area}", "money_per_area", needs="product_area",
               twin=lambda share, *terms: SpotTerms(*terms).gain(share), takes=f"share {_TERMS}"),
        working("start", "Gain with nothing to spray",
                "{product_area}+{carrier_area}+{main_loads}*{refill_cost}-{fee_area}-escape_loss"
                "-second_pass*({fee_area}+{drive_area})", "money_per_area",
                needs="product_area", twin=lambda *terms: SpotTerms(*terms).start, takes=_TERMS),
        working("slope", "Gain lost from none to all",
                "({product_area}+{carrier_area}+{spot_loads}*{refill_cost})*(1+second_pass)",
                "money_per_area",
                needs="product_area", twin=lambda *terms: SpotTerms(*terms).slope, takes=_TERMS),
        result("break_even_share", "Pays up to a share of",
               'IF(OR({slope}<=0,{start}<0),"",MIN(1,{start}/{slope}))', "share", digits=1,
               needs="product_area", twin=lambda *terms: SpotTerms(*terms).break_even_share, takes=_TERMS,
               note="Net is nothing at this share of the field; blank when spot spraying never pays."),
        result("broadcast_cost", "Broadcast per area",
               "{product_area}+{carrier_area}+{main_loads}*{refill_cost}+{drive_area}", "money_per_area",
               needs="product_area", twin=lambda *terms: SpotTerms(*terms).broadcast, takes=_TERMS),
        result("spot_cost", "Spot per area", _gained("{broadcast_cost}-{net_per_area}"), "money_per_area",
               tolerance=GAIN,
               needs="product_area",
               twin=lambda broadcast_cost, net_per_area: gained(broadcast_cost - net_per_area)),
        working("all_over", "Cost if sprayed all over", "{broadcast_cost}*{area}", "money",
                needs="broadcast_cost area", twin=mul, takes="broadcast_cost area"),
        _share_at("share_p10", "Share, 1 in 10 is less", 0.1),
        _share_at("share_p50", "Share, enough 5 times in 10", 0.5),
        _share_at("share_p90", "Share, enough 9 times in 10", 0.9),
        _net_with(result, "net_p10", "Net, 1 in 10 is worse", "share_p90"),
        _net_with(result, "net_p50", "Net, half are worse", "share_p50"),
        _net_with(result, "net_p90", "Net, 1 in 10 is better", "share_p10"),
        working("share_mean", "Mean share",
                "MIN(1,{order_volumes.done}+{order_volumes.left}*{share_estimates.share_mean})",
                "share", digits=1,
                needs="area share_estimates.a", twin=lambda done, left, mean: min(1, done + left * mean),
                takes="order_volumes.done order_volumes.left share_estimates.share_mean"),
        _net_with(working, "net_mean", "Mean net", "share_mean"),
        working("net_variance", "Variance of the net",
                "POWER({slope}*{area}*{order_volumes.left},2)*{share_estimates.a}*{share_estimates.b}"
                "/(POWER({share_estimates.a}+{share_estimates.b},2)*({share_estimates.a}"
                "+{share_estimates.b}+1))", "factor",
                needs="net_mean", twin=lambda slope, area, left, a, b: (slope * area * left * spread(a, b))
                ** 2, takes="slope area order_volumes.left share_estimates.a share_estimates.b"),
        working("point", "Break-even in what is left",
                'IF({order_volumes.left}=0,"",({break_even_share}-{order_volumes.done})'
                '/{order_volumes.left})', "factor",
                needs="break_even_share share_estimates.a", twin=lambda even, done, left: (even - done) / left
                if left else "",
                takes="break_even_share order_volumes.done order_volumes.left"),
        result("chance", "Chance that it pays",
               'IF({break_even_share}="",0,IF({point}="",IF({order_volumes.done}<={break_even_share},1,'
               '0),%s))' % told_formula("{point}", _SHAPE), "share",
               needs="product_area share_estimates.a", twin=money.chance_it_pays,
               takes="break_even_share order_volumes.done order_volumes.left share_estimates.a "
                     "share_estimates.b"),
        check("status", "Status",
              'IF(OR({priced}=0,{spot_uses.term_row}=""),"Not entered",IF(ROUND({net},6)<0,"Review","OK"))',
              needs="area", twin=part_of(money.spot_verdict, 0), takes="priced spot_uses.term_row net"),
        check("finding", "Finding",
              'IF({priced}=0,"A product has no price",IF({spot_uses.term_row}="","No spot terms for this '
              'sprayer, use and crop: fee counted as 0",'
              'IF(ROUND({net},6)<0,"Broadcasting would cost "&ROUND(ROUND(0-{net},6),2)&" less at this share '
              'of the field","")))', "long_text",
              needs="area", twin=part_of(money.spot_verdict, 1), takes="priced spot_uses.term_row net"),
    ),
    rows="as:passes",
    kind="result",
    caution="Money is one reason; missed weeds set seed. Walk a spot pass before you trust it.",
)


def _listed(key: str, header: str, quantity: str = "name", **more: Any) -> Column:
    """Declare a figure of the spot pass that a row of the list shows."""
    return result(key, header, "{spot_against_broadcast.%s@spot_passes.row}" % key, quantity,
                  needs="spot_passes.row", **more)


SPOT_LIST = Table(
    "spot_list",
    "Spot passes in short",
    "Only the spot passes, one below the other; the list refills by itself.",
    (
        slot_number(),
        result("pass", "Pass", "{spot_passes.pass}", "name"),
        result("field", "Field", "{spot_passes.field}", "name"),
        _listed("share", "Share of field sprayed", "share"),
        _listed("break_even_share", "Pays up to a share of", "share", digits=1),
        _listed("product_saved", "Product saved", "money"),
        _listed("fee", "Fee", "money"),
        _listed("net", "Net", "money"),
        _listed("net_per_area", "Net per area", "money_per_area"),
        _listed("chance", "Chance that it pays", "share"),
    ),
    rows="as:spot_passes",
    kind="result",
    sheet="Spot spraying this season",
    was=("Spotting this season",),
)


_CHANCE = 'IF({passes}=0,"",IF(ROUND(%s,6)<=0,IF({mean}>=0,1,0),MIN(0.999,MAX(0.001,NORMSDIST({mean}/%s)))))'


def _all(key: str, header: str, quantity: str, of: str = "", **more: Any) -> Column:
    """Declare what all spot passes add up to."""
    return result(key, header, "SUM({spot_against_broadcast.%s:all})" % (of or key), quantity, **more)


_KNOWN = (" ".join(f"share_estimates.{key}@row" for key in ("prior_weight", "expected_share"))
          + " scout_shares.weight@row share_estimates.scouting_share@row")


def _of_log(key: str, header: str, column: str, quantity: str, **more: Any) -> Column:
    """Declare a figure of a spot pass that has a log."""
    return result(key, header, "{%s@row}" % column, quantity, needs="row share", **more)


SPOT_ACTUAL = Table(
    "spot_actual",
    "Plan and actual",
    "Every spot pass with a load log or spray record: what was expected before of the ground driven, and "
    "what was sprayed, spent and saved.",
    (
        working("row", "Row of the pass", "{spot_passes.row}"),
        result("pass", "Pass", "{spot_passes.pass}", "name"),
        result("field", "Field", "{spot_passes.field}", "name"),
        result("share_before", "Share expected before", "{before_a}/({before_a}+{before_b})", "share",
               needs="before_a share", twin=lambda a, b: a / (a + b), takes="before_a before_b"),
        result("share", "Share sprayed", "{share_estimates.logged_share@row}", "share", needs="row"),
        _of_log("area_driven", "Area driven", "share_estimates.known_area", "area"),
        result("area_sprayed", "Area sprayed", "{volume}/{spot_passes.carrier}", "area",
               needs="volume spot_passes.carrier", twin=truediv, takes="volume spot_passes.carrier"),
        result("volume_before", "Volume expected before",
               "{share_before}*{area_driven}*{spot_passes.carrier}", "volume",
               needs="share_before area_driven spot_passes.carrier",
               twin=lambda share, area, carrier: area * share * carrier,
               takes="share_before area_driven spot_passes.carrier"),
        _of_log("volume", "Volume sprayed", "share_estimates.volume_sprayed", "volume"),
        result("product_cost", "Products", "{area_sprayed}*{product_area}", "money",
               needs="area_sprayed product_area", twin=mul, takes="area_sprayed product_area"),
        result("saved", "Saved against broadcast, fee paid",
               "({area_driven}-{area_sprayed})*{product_area}"
               "-{area_driven}*{spot_against_broadcast.fee_area@row}", "money",
               needs="area_sprayed product_area",
               twin=lambda driven, sprayed, product, fee: (driven - sprayed) * product - driven * number(fee),
               takes="area_driven area_sprayed product_area spot_against_broadcast.fee_area@row"),
        result("enough", "Enough 8 times in 10 was enough",
               'IF({share}<=%s,"yes","no")'
               % quantile_formula("0.8", "MAX(0.05,{before_a}),MAX(0.05,{before_b})"), "text",
               needs="share before_a",
               twin=lambda share, a, b: "yes"
               if share <= share_quantile(0.8, max(LEAST_SHAPE, a), max(LEAST_SHAPE, b)) else "no",
               takes="share before_a before_b"),
        _of_log("pressure_class", "Pressure class", "passes.pressure_class", "text"),
        _of_log("rating", "Rating", "follow_up.rating", "count"),
        working("product_area", "Products per sprayed area", "{spot_against_broadcast.product_area@row}",
                "money_per_area", needs="row"),
        working("before_a", "Patches sprayed, before",
                "{share_estimates.patches_sprayed@row}-{share_estimates.log_weight@row}*MIN(1,{share})",
                "number", needs="row share",
                twin=patches_sprayed, takes=_KNOWN),
        working("before_b", "Patches left out, before",
                "{share_estimates.patches_left@row}-{share_estimates.log_weight@row}*(1-MIN(1,{share}))",
                "number", needs="row share",
                twin=patches_left, takes=_KNOWN),
    ),
    rows="as:spot_passes",
    kind="result",
)

SPOT_TRUST = Table(
    "spot_trust",
    "Trust in the estimate",
    "How often the share that is enough 8 times in 10 was enough so far this season.",
    (
        result("passes", "Spot passes with a log", "COUNT({spot_actual.volume:all})", "count"),
        result("enough", "Of them it was enough in", 'COUNTIF({spot_actual.enough:all},"yes")', "count"),
        result("said", "In words",
               'IF({passes}=0,"No spot pass of this season has a log yet","What is enough 8 times in 10 was '
               'enough in "&{enough}&" of "&{passes}&IF({passes}<5,", too few to judge by",""))', "text"),
    ),
    rows="form",
    kind="result",
    sheet="Plan and actual",
)

SPOT_SEASON = Table(
    "spot_season",
    "Spot spraying this season",
    "All spot passes of the plan against broadcasting, and what could happen, since the shares sprayed are "
    "estimates.",
    (
        _all("passes", "Spot passes", "count", "on"),
        _all("area", "Area driven", "area", was=("Area driven over",)),
        _all("all_over", "If sprayed all over", "money"),
        result("as_spotted", "As spotted, fees in", "{all_over}-{net}", "money", twin=sub,
               takes="all_over net", note="At the planned shares, with what escapes and is sprayed again."),
        _all("product_saved", "Product saved", "money"),
        result("saved_share", "Product saved, of broadcasting",
               'IF(SUM({spot_against_broadcast.product_broadcast:all})=0,"",'
               '{product_saved}/SUM({spot_against_broadcast.product_broadcast:all}))', "share",
               twin=lambda saved, broadcast: money.ratio(saved, total(broadcast)),
               takes="product_saved spot_against_broadcast.product_broadcast:all"),
        _all("water_saved", "Water saved", "volume"),
        _all("hours_saved", "Hours saved", "hours"),
        _all("fee", "Fees", "money"),
        _all("net", "Net at the planned shares", "money"),
        result("net_per_area", "Net per area", 'IF({area}=0,"",{net}/{area})', "money_per_area",
               twin=money.ratio, takes="net area"),
        _all("mean", "Mean net over what could happen", "money", "net_mean",
             note="From the share estimates."),
        result("spread", "Standard deviation", "SQRT(SUM({spot_against_broadcast.net_variance:all}))",
               "money",
               twin=lambda variances: math.sqrt(total(variances)),
               takes="spot_against_broadcast.net_variance:all",
               note="When fields differ from each other by chance."),
        result("p10", "1 season in 10 is worse than", "{mean}-NORMSINV(0.9)*{spread}", "money",
               twin=lambda mean, spread: NormalDist(mean, spread).inv_cdf(0.1) if spread else mean,
               note="Normal curve by mean and variance of the passes together."),
        result("p50", "Half the seasons are worse than", "{mean}", "money"),
        result("p90", "1 season in 10 is better than", "{mean}+NORMSINV(0.9)*{spread}", "money",
               twin=lambda mean, spread: NormalDist(mean, spread).inv_cdf(0.9) if spread else mean),
        _all("together_p10", "1 season in 10, weedy everywhere", "money", "net_p10",
             was=("The same when all fields go wrong together",),
             note="Every share as high as 1 time in 10: a weedy year everywhere."),
        _all("together_p90", "1 season in 10, clean everywhere", "money", "net_p90",
             was=("The same when all fields go well together",), note="Every share as low as 1 time in 10."),
        result("chance", "Chance it pays, fields independent", _CHANCE % ("{spread}", "{spread}"), "share",
               digits=1, twin=money.season_chance, takes="passes mean spread",
               note="Never told as certain while shares may differ.",
               was=("Chance that it pays over the season, fields independent",
                    "Chance that spot spraying pays over the season")),
        working("together_spread", "Standard deviation, fields together",
                "({together_p90}-{together_p10})/2/NORMSINV(0.9)", "money",
                twin=lambda low, high: (high - low) / 2 / NormalDist().inv_cdf(0.9),
                takes="together_p10 together_p90"),
        result("together_chance", "Chance it pays, fields together",
               _CHANCE % ("{together_spread}", "{together_spread}"), "share", digits=1,
               twin=money.season_chance, takes="passes mean together_spread",
               was=("Chance that it pays, fields together",),
               note="When a weedy year is weedy everywhere; the truth lies between the two."),
    ),
    rows="form",
    kind="result",
    was=("Spotting this season",),
)


def _of_crop(key: str, header: str, quantity: str, of: str = "") -> Column:
    """Declare what the spot passes of a crop add up to."""
    return result(key, header,
                  "SUMIF({spot_against_broadcast.crop_row:all},{cost_crops.row},"
                  "{spot_against_broadcast.%s:all})" % (of or key), quantity, needs="cost_crops.row")


SPOT_CROPS = Table(
    "spot_crops",
    "Spot spraying by crop",
    "The season's spot passes by crop.",
    (
        result("crop", "Crop", "{cost_crops.crop}", "name"),
        _of_crop("passes", "Spot passes", "count", "on"),
        _of_crop("area", "Area driven", "area"),
        _of_crop("product_saved", "Product saved", "money"),
        _of_crop("fee", "Fees", "money"),
        _of_crop("net", "Net", "money"),
        result("net_per_area", "Net per area", 'IF(SUM({area})=0,"",{net}/{area})', "money_per_area",
               twin=money.ratio, takes="net area"),
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
            Column(key, f"Product cost, column {n}", "number", SETTING, default=default,
                   minimum=0, maximum=20,
                   note="Times the product cost entered; 1 is as entered.")
            for n, (key, default) in enumerate(PRICE_STEPS, 1)
        ),
    ),
    rows="form",
    kind="setting",
)


def _chosen(key: str, header: str, quantity: str, role: Callable[..., Column] = result,
            **more: Any) -> Column:
    """Declare a figure of the chosen pass."""
    return role(key, header, "{spot_against_broadcast.%s@row}" % key, quantity, needs="row", **more)


SPOT_CHOSEN = Table(
    "spot_chosen",
    "The chosen pass",
    "What the curve and the table rest on.",
    (
        working("row", "Row of the pass",
                'IF({spot_choice.pass}="",IFERROR(MATCH(1,{spot_against_broadcast.on:all},0),""),'
                'IFERROR(MATCH({spot_choice.pass}&"|"&{spot_choice.field},{pass_volumes.key:all},0),""))'),
        check("found", "Found",
              'IF({row}="","Review: no such spot pass",IF({start}="","Review: not a spot pass, or a product '
              'has no price",{what}))', "text"),
        working("what", "Pass and field", "{pass_volumes.key@row}", "text", needs="row"),
        _chosen("share", "Share of field sprayed", "share"),
        _chosen("product_area", "Products per sprayed area", "money_per_area"),
        _chosen("fee_area", "Fee", "money_per_area"),
        _chosen("start", "Gain with nothing to spray", "money_per_area", working),
        _chosen("slope", "Gain lost from none to all", "money_per_area", working),
        _chosen("broadcast_cost", "Broadcast per area", "money_per_area"),
        _chosen("break_even_share", "Pays up to a share of", "share", digits=1),
        *(result(f"product_{key}", f"Products per sprayed area, column {n}",
                 "{product_area}*SUM({spot_choice.%s})" % key, "money_per_area",
                 needs="product_area", twin=lambda product, times: product * number(times),
                 takes=f"product_area spot_choice.{key}")
          for n, (key, _) in enumerate(PRICE_STEPS, 1)),
    ),
    rows="form",
    kind="result",
    sheet="Spot what-if",
)


SPOT_CURVE = Table(
    "spot_curve",
    "Cost and gain at other shares",
    "Cost per field area of the chosen pass at every share of the field sprayed, and its gain over "
    "broadcasting at five product costs.",
    (
        slot_number(),
        result("share", "Share of field sprayed", "({slot}-1)/({room.share_steps}-1)", "share",
               needs="spot_chosen.start", twin=lambda slot, points: (slot - 1) / (points - 1),
               takes="slot room.share_steps"),
        result("spot_cost", "Spot per area",
               _gained("{spot_chosen.broadcast_cost}-{spot_chosen.start}+{spot_chosen.slope}*{share}"),
               "money_per_area", tolerance=GAIN,
               needs="share",
               twin=lambda broadcast, start, slope, share: gained(broadcast - (start - slope * share)),
               takes="spot_chosen.broadcast_cost spot_chosen.start spot_chosen.slope share"),
        result("broadcast_cost", "Broadcast per area", "{spot_chosen.broadcast_cost}", "money_per_area",
               needs="share"),
        # The gain at each of the product costs.
        *(result(f"net_{step}", f"Gain, column {n}",
                 _gained("{spot_chosen.start}+EXTRA-({spot_chosen.slope}+EXTRA*(1+second_pass))*{share}".replace(
                     "EXTRA", "({spot_chosen.product_%s}-{spot_chosen.product_area})" % step)),
                 "money_per_area", tolerance=GAIN, needs="share", twin=money.gain_at_price,
                 takes=f"share spot_chosen.start spot_chosen.slope spot_chosen.product_area "
                       f"spot_chosen.product_{step} assumptions.second_pass")
          for n, (step, _) in enumerate(PRICE_STEPS, 1)),
    ),
    rows="list:share_steps",
    kind="result",
    sheet="Spot what-if",
)

TABLES = (SPOT_SEASON, SPOT_CROPS, SPOT_LIST, SPOT_ACTUAL, SPOT_TRUST, SPOT_CHOICE, SPOT_CHOSEN, SPOT_CURVE,
          SPOT_AGAINST_BROADCAST)

CHECKS = (
    CheckKind("Spot or broadcast", "spot_against_broadcast", "status", "finding", rank=300),
)
