"""One plan of every spot pass: share, volume and fills,
what to mix next and why; every other place shows these figures.
"""

from __future__ import annotations

from collections.abc import Callable
from operator import add, truediv
from typing import Any

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.draft import number
from workbook_builder.core.short import check, result, slot_number, typed_in, working
from workbook_builder.features.loads.lines import counted
from workbook_builder.features.shares.beta import chance_formula, quantile_formula, told_formula
from workbook_builder.features.shares.columns import SHEET
from workbook_builder.features.spot_volumes import definitions as volumes
from workbook_builder.features.spot_volumes.definitions import CHOICES, FULL_TANK, PARTS, QUANTILES, YOURS

_SHAPE = "{spot_passes.a},{spot_passes.b}"
_GAL = 'ROUND(ROUND({%s},6),0)&" "&liquid_name_1'
#: Chance in words, never certain before it is.
_TIMES = ('IF({advised_chance}>=0.95,"at least 19 times in 20",ROUND(ROUND({advised_chance}*10,6),'
          '0)&" times in 10")')
_FILLS = ('IF({fills_most}>{fills_expected},{fills_expected}&" to "&{fills_most},{fills_expected}&"")'
          '&IF({fills_most}=1," fill"," fills")&" in all"')


def _of_pass(key: str, header: str, column: str, quantity: str, role: Callable[..., Column] = working,
             **more: Any) -> Column:
    """Declare a figure of the pass, fetched from a table beside all passes."""
    return role(key, header, "{%s@row}" % column, quantity, needs="row", **more)


def _share_at(key: str, header: str, chance: float, note: str) -> Column:
    """Declare the share of the whole field that is not exceeded with a chance: sprayed so far,
    and a quantile of the rest.
    """
    return result(key, header,
                  f"MIN(1,{{done}}+{{left}}*IF({{known}}=0,{round(chance)},{quantile_formula(str(chance))}))",
                  "share", needs="share_likely a",
                  twin=lambda *cells: volumes.share_of_field(chance, *cells),
                  takes="done left known a b", note=note)


SPOT_PASSES = Table(
    "spot_passes",
    "Spot volumes",
    "One plan of every spot pass, which all other sheets and the paper show: share, volume and fills, and "
    "what to mix next; it replans as loads and the spray record are typed.",
    (
        slot_number("No."),
        working("row", "Row of the pass", 'IFERROR(MATCH({slot},{spot_uses.running:all},0),"")'),
        result("pass", "Pass", "{share_estimates.pass@row}", "name", needs="row"),
        result("field", "Field", "{share_estimates.field@row}", "name", needs="row"),
        result("advice", "What to do now",
               'IF({full_volume}="","",IF({full_volume}=0,"Done: "&%s&" sprayed"&IF({share_likely}="",""," '
               'on "&ROUND(ROUND({share_likely}*100,6),0)&" %% of the field"),'
               'IF({next_fill}="","",IF({next_fill}<=0,"Spray out what is in the tank: it finishes the field '
               '"&%s,IF(ROUND(1-{advised_chance},6)<=0,"Mix "&%s&": it finishes the field",'
               'IF({advised_chance}>=0.15,"Mix "&%s&": it finishes the field "&%s&". "&%s,'
               '"Mix "&%s&IF({advised_volume}<{usable},"",", a full tank")&". "&%s&";'
               ' decide the last one from the log"))))))'
               % (_GAL % "volume_sprayed", _TIMES, _GAL % "next_fill", _GAL % "next_fill", _TIMES, _FILLS,
                  _GAL % "next_fill", _FILLS), "long_text", needs="row",
               twin=volumes.advice,
               takes="full_volume volume_sprayed share_likely next_fill advised_chance fills_expected "
                     "fills_most factors.liquid_name_1 advised_volume usable"),
        _share_at("share_low", "Share, low", 0.1, "1 in 10 is less."),
        _of_pass("share_likely", "Share, likely", "pass_volumes.share", "share", result,
                 note="Sprayed so far and the mean for the rest; blank where there is nothing to go by."),
        _share_at("share_high", "Share, high", 0.9, "1 in 10 is more."),
        _of_pass("area_driven", "Area driven", "pass_volumes.area", "area", result,
                 note="The whole field, sprayed or not."),
        _of_pass("area_sprayed", "Area sprayed", "pass_volumes.sprayed_area", "area", result),
        _of_pass("volume_expected", "Volume expected", "pass_volumes.volume", "volume", result),
        result("volume_safe", "Volume at your confidence",
               "MAX({volume_expected},{volume_sprayed}+{rest_safe})", "volume",
               needs="volume_expected rest_safe", twin=volumes.volume_safe,
               takes="volume_expected volume_sprayed rest_safe",
               note="What the farm sheet's confidence wants of the whole pass; orders and the pick list go "
                    "by it."),
        _of_pass("remaining_area", "Still to drive", "share_estimates.remaining_area", "area", result),
        result("in_tank", "In the tank now",
               "MAX({held},IF({opens}=0,{held},0)+{volume_mixed}-{volume_sprayed})", "volume",
               needs="row", twin=volumes.in_tank, takes="held opens volume_mixed volume_sprayed",
               note="Mixed so far less sprayed so far, unusable volume included."),
        result("chance_enough", "Chance it is enough by itself",
               "IF({full_volume}=0,1,%s)" % told_formula("({available}/{full_volume})"), "share",
               needs="full_volume a", twin=volumes.chance_enough, takes="available full_volume a b",
               note="That what is in the tank now sprays out the rest of the field."),
        result("next_fill", "Next fill",
               "IF({full_volume}=0,0,MAX(0,{advised_volume}-{available}+MAX(0,SUM({unusable})-{in_tank})))",
               "volume", needs="advised_volume full_volume", twin=volumes.next_fill,
               takes="full_volume advised_volume available unusable in_tank",
               note="Mixture to add now: never more than the tank holds, what is in it taken off."),
        result("next_area", "Area it drives",
               "IF({carrier}*{share_mean}=0,{remaining_area},MIN({remaining_area},"
               "({available}+{next_fill})/({carrier}*{share_mean})))", "area",
               needs="next_fill share_mean carrier", twin=volumes.next_area,
               takes="remaining_area available next_fill carrier share_mean",
               note="At the mean share of the rest."),
        result("fills_expected", "Fills expected",
               'IF({full_volume}=0,MAX({loads_logged},ROUNDUP(ROUND({volume_sprayed}/{usable},6),0)),'
               '{loads_logged}+IF({next_fill}>0,1,0)+ROUNDUP(ROUND({later}/{usable},6),0))', "count",
               needs="later", twin=volumes.fills,
               takes="full_volume loads_logged volume_sprayed usable next_fill later",
               note="Of the whole pass, those logged included."),
        result("fills_most", "Fills at most",
               "MAX({fills_expected},{loads_logged}+IF({next_fill}>0,1,"
               "0)+ROUNDUP(ROUND(MAX(0,{mix_safe}-{next_fill})/{usable},6),0))", "count",
               needs="fills_expected mix_safe", twin=volumes.fills_most,
               takes="fills_expected loads_logged next_fill mix_safe usable", note="At your confidence."),
        check("status", "Status",
              'IF({full_volume}="","Not entered",IF({full_volume}=0,"OK",IF(OR({advised_volume}="",'
              '{share_likely}=""),"Not entered",IF(OR({known}=0,{trip_cost}+{leftover_cost}<=0),"Review",'
              '"OK"))))',
              needs="row", twin=volumes.volume_status,
              takes="full_volume advised_volume share_likely known trip_cost leftover_cost"),
        working("key", "Pass and field", '{pass}&"|"&{field}', "text", needs="row"),
        _of_pass("a", "Evidence for sprayed", "share_estimates.a", "number"),
        _of_pass("b", "Evidence for left out", "share_estimates.b", "number"),
        _of_pass("known", "Anything is known", "share_estimates.known", "count"),
        _of_pass("share_mean", "Mean share of the rest", "share_estimates.share_mean", "share"),
        _of_pass("done", "Share of the field sprayed so far", "order_volumes.done", "share"),
        _of_pass("left", "Part of the field still to drive", "order_volumes.left", "share"),
        _of_pass("loads_logged", "Loads logged", "share_estimates.loads_logged", "count"),
        _of_pass("volume_mixed", "Volume mixed", "share_estimates.volume_mixed", "volume"),
        _of_pass("volume_sprayed", "Volume sprayed", "share_estimates.volume_sprayed", "volume"),
        typed_in("carrier", "Carrier rate", "passes.carrier", "row", "carrier"),
        working("full_volume", "Volume if all the rest is sprayed", "{remaining_area}*{carrier}", "volume",
                needs="remaining_area carrier", twin=lambda area, carrier: area * carrier,
                takes="remaining_area carrier"),
        _of_pass("tank", "Tank", "pass_volumes.tank", "volume"),
        _of_pass("usable", "Usable per fill", "pass_volumes.usable", "volume"),
        _of_pass("unusable", "Unusable per fill", "pass_volumes.unusable", "volume"),
        _of_pass("spot_tank", "Spot tank", "pass_volumes.spot_tank", "volume"),
        _of_pass("opens", "Fills an empty tank", "pass_volumes.opens", "count"),
        working("held", "Unusable volume that is in the tank",
                "IF(OR({opens}=0,{loads_logged}>0),SUM({unusable}),0)", "volume", needs="row",
                note="From the same mix before, or from the loads logged."),
        working("available", "Of it usable", "MAX(0,{in_tank}-SUM({unusable}))", "volume", needs="in_tank",
                twin=lambda in_tank, unusable: max(0, in_tank - number(unusable)), takes="in_tank unusable"),
        working("rest_safe", "The rest at your confidence",
                f"{{full_volume}}*IF({{known}}=0,1,MAX({{share_mean}},"
                f"{quantile_formula('wanted_confidence')}))", "volume", needs="full_volume a",
                twin=volumes.rest_safe,
                takes="full_volume known share_mean a b spot_figures.wanted_confidence"),
        _of_pass("sprayer_row", "Sprayer row", "pass_volumes.sprayer_row", "index"),
        working("trip_cost", "Cost of a refill trip",
                'IF(refill_cost>0,refill_cost,IF({sprayer_row}="",0,'
                '{pass_times.refill_minutes@row}/60*SUM({sprayers.cost_per_hour@sprayer_row})))',
                "money", needs="row",
                twin=volumes.trip_cost,
                takes="spot_figures.refill_cost pass_times.refill_minutes@row "
                      "sprayers.cost_per_hour@sprayer_row",
                note="As typed on the farm sheet; else the time of filling and hauling at the cost per hour "
                     "of the sprayer."),
        working("mixture_value", "Value of mixture",
                "IF(SUM({carrier})=0,0,SUM({spot_uses.product_area@row})/{carrier})+water_cost",
                "money_per_volume",
                needs="row", twin=volumes.mixture_value,
                takes="spot_uses.product_area@row carrier assumptions.water_cost"),
        working("leftover_cost", "Cost of leftover", "{mixture_value}+waste_cost", "money_per_volume",
                needs="mixture_value", twin=add, takes="mixture_value spot_figures.waste_cost",
                note="Products and carrier lost, and disposal."),
        working("short_cost", "Cost of running short",
                'IF({full_volume}=0,0,%d*{trip_cost}/({full_volume}*SQRT({a}*{b}/({a}+{b}+1))/({a}+{b})))'
                % volumes.DRY_TRIPS, "money_per_volume", needs="full_volume a",
                twin=lambda full, trip, a, b: volumes.DRY_TRIPS * trip / (full * volumes.spread(a, b)) if full
                else 0, takes="full_volume trip_cost a b",
                note="Refill trips as they count, over one standard deviation of the volume."),
        working("balance", "Chance that balances leftover against a refill",
                "IF({short_cost}+{leftover_cost}<=0,wanted_confidence,"
                "MIN(0.99,MAX(0.2,{short_cost}/({short_cost}+{leftover_cost}))))", "share",
                needs="short_cost", twin=volumes.balance,
                takes="trip_cost full_volume a b leftover_cost spot_figures.wanted_confidence",
                source="newsvendor, F(Q) = Cu/(Cu+Co)"),
        working("best_cost", "Lowest cost compared",
                'IF(COUNT({volume_choices.expected_cost:block})=0,"",'
                'MIN({volume_choices.expected_cost:block}))', "money"),
        working("by_confidence", "Mixed for a confidence",
                "IF(OR({spot_figures.typed_confidence}=1,{trip_cost}<=0),1,0)", "count", needs="trip_cost",
                note="Typed; or the usual one where a refill costs nothing, which says that nobody has typed "
                     "its time or its cost."),
        working("best", "Choice advised",
                'IF({known}=0,%d,IF({by_confidence}=0,MATCH({best_cost},{volume_choices.expected_cost:block},'
                '0),IF(INDEX({volume_choices.choice:block},%d)="%s",%d,%d)))'
                % (1 + CHOICES.index(FULL_TANK), 1 + CHOICES.index(YOURS), YOURS, 1 + CHOICES.index(YOURS),
                   1 + CHOICES.index(FULL_TANK)), needs="best_cost by_confidence",
                note="Your confidence where the farm sheet has one, the usual one where the cost of a refill "
                     "is not known; else the cheapest; a full tank where nothing is known of the share or "
                     "more is wanted than it holds."),
        working("advised_volume", "Usable volume to have",
                'IF({full_volume}=0,0,IF({best}="","",{volume_choices.volume:block@best}))', "volume",
                needs="full_volume"),
        working("advised_chance", "Chance that it finishes the field",
                "1-{volume_choices.chance_short:block@best}", "share", needs="best",
                twin=lambda short: 1 - short, takes="volume_choices.chance_short:block@best"),
        working("mix_safe", "To mix for the rest, at your confidence",
                "IF({full_volume}=0,0,MAX({next_fill},{rest_safe}-{available}+MAX(0,"
                "SUM({unusable})-{in_tank})))", "volume", needs="next_fill rest_safe",
                twin=volumes.to_mix, takes="full_volume next_fill rest_safe available unusable in_tank"),
        working("mix_expected", "To mix for the rest, as expected",
                "IF({full_volume}=0,0,MAX({next_fill},{share_mean}*{full_volume}-{available}+MAX(0,"
                "SUM({unusable})-{in_tank})))", "volume", needs="next_fill share_mean",
                twin=lambda full, fill, mean, *tank: volumes.to_mix(full, fill, mean * full, *tank),
                takes="full_volume next_fill share_mean available unusable in_tank"),
        working("later", "Of it in later fills", 'IF(SUM({usable})<=0,"",{mix_expected}-{next_fill})',
                "volume", needs="mix_expected", twin=volumes.later_volume,
                takes="mix_expected next_fill usable"),
    ),
    rows="list:spot",
    kind="result",
    caution="Advice weighs a refill trip against leftover; the label and a safe fill come first.",
)


#: A small difference of two large volumes: the last digits of the engines' beta functions show.
LEFTOVER = 1e-5
_LEAST = "{spot_passes.available},least_load*{spot_passes.tank}-SUM({spot_passes.unusable})"
_QUANTILES = tuple("%s*{full}" % quantile_formula(str(chance), _SHAPE)
                   for chance in (*QUANTILES, "{spot_passes.balance}", "wanted_confidence"))
_USABLE = ("MIN({usable},{full})",
           *("MIN({full},{usable},MAX(%s,IF(%s>={usable},{usable}*%d/6,%s)))" % (_LEAST, volume, part, volume)
             for part, volume in enumerate(_QUANTILES, 2)))
_NAMES = (f'"{FULL_TANK}"',
          *('IF(%s>={usable},"%s","%s")' % each for each in zip(_QUANTILES, PARTS, CHOICES[1:], strict=True)))


def _short_of(volume: str) -> str:
    return "1-" + chance_formula("(%s)/{full}" % volume, _SHAPE)


_BEYOND = "({volume}+%s*{usable})" % volumes.TANKS_COUNTED
#: What is expected beyond some tanks, in tanks.
_LATER_TRIPS = "MAX(0,{full}*{spot_passes.a}/({spot_passes.a}+{spot_passes.b})*(1-%s)-%s*(1-%s))/{usable}" % (
    chance_formula(_BEYOND + "/{full}", "{spot_passes.a}+1,{spot_passes.b}"), _BEYOND,
    chance_formula(_BEYOND + "/{full}", _SHAPE))

VOLUME_CHOICES = Table(
    "volume_choices",
    "Volume choices",
    "What the next fill of each spot pass may be, never more than its tank holds: how often it finishes the "
    "field, refill trips and leftover that follow, and their cost.",
    (
        slot_number(),
        working("full", "Volume if all the rest is sprayed",
                'IF({spot_passes.full_volume}=0,"",{spot_passes.full_volume})', "volume",
                needs="spot_passes.a spot_passes.full_volume"),
        working("usable", "Usable per fill", 'IF({spot_passes.usable}<=0,"",{spot_passes.usable})', "volume",
                needs="full spot_passes.usable"),
        result("pass", "Pass", "{spot_passes.pass}", "name", needs="usable"),
        result("field", "Field", "{spot_passes.field}", "name", needs="usable"),
        result("choice", "Choice", _NAMES, "text", width=22, needs="usable", twin=volumes.name_of_choice,
               takes="slot full usable spot_passes.a spot_passes.b spot_passes.balance "
                     "spot_figures.wanted_confidence"),
        result("volume", "Usable volume to have", _USABLE, "volume", needs="usable",
               twin=volumes.volume_of_choice,
               takes="slot full usable spot_passes.a spot_passes.b spot_passes.balance "
                     "spot_figures.wanted_confidence spot_passes.available assumptions.least_load "
                     "spot_passes.tank spot_passes.unusable",
               note="What is in the tank included. Where a tank holds less than is enough so often, a part "
                    "of a tank instead."),
        working("at_share", "Share of the rest it is for", "{volume}/{full}", "share", needs="volume",
                twin=truediv, takes="volume full"),
        result("chance_short", "Chance of running short", "1-" + chance_formula("{at_share}", _SHAPE),
               "share", digits=1,
               needs="volume", twin=volumes.chance_short, takes="at_share spot_passes.a spot_passes.b"),
        result("expected_leftover", "Expected leftover",
               "MAX(0,{volume}*(1-{chance_short})-{full}*{spot_passes.a}/({spot_passes.a}+{spot_passes.b})*"
               + chance_formula("{at_share}", "{spot_passes.a}+1,{spot_passes.b}") + ")", "volume",
               tolerance=LEFTOVER,
               needs="volume", twin=volumes.expected_leftover,
               takes="volume full spot_passes.a spot_passes.b"),
        result("extra_trips", "Refill trips counted",
               "%d*{chance_short}+%s+%s+%s"
               % (volumes.DRY_TRIPS, _short_of("{volume}+{usable}"), _short_of("{volume}+2*{usable}"),
                  _LATER_TRIPS), "number", tolerance=LEFTOVER,
               needs="volume", twin=volumes.extra_trips,
               takes="volume full usable spot_passes.a spot_passes.b",
               note="After this fill, full tanks; the first one counts four times: who runs dry fills once "
                    "more, which again may run dry or leave some over. From the fourth on, what is expected "
                    "beyond two and a half tanks.", source="docs/calibration-study.md"),
        result("expected_cost", "Cost compared",
               "ROUND(ROUND({spot_passes.trip_cost}*{extra_trips}+{expected_leftover}"
               "*{spot_passes.leftover_cost},6),2)", "money",
               needs="volume", twin=volumes.expected_cost,
               takes="spot_passes.trip_cost extra_trips expected_leftover spot_passes.leftover_cost",
               note="Refill trips as they count, and leftover at the end at its cost; to the hundredth, so "
                    "that choices that cost the same are told by their order."),
        result("advised", "Advised", 'IF({spot_passes.best}={slot},"yes","")', "text",
               needs="volume spot_passes.best"),
    ),
    rows="under:spot_passes:choices",
    kind="result",
)

LEFTOVER_FACTS = Table(
    "leftover_facts",
    "Leftover workings",
    "Whether the label leaves room for one more application of each product.",
    (
        working("room_left", "Room left",
                'IF({product_limits.needed}<>1,1,IF(OR({product_limits.max_season}="",'
                '{product_limits.max_passes}="",{product_limits.season_amount}="",'
                '{product_limits.rate}=""),0,'
                'IF(AND(ROUND({product_limits.season_amount}+{product_limits.rate}'
                '-{product_limits.max_season},6)<=0,{product_limits.passes}+1<={product_limits.max_passes}),'
                '1,0)))', "count",
                needs="product_limits.name", twin=volumes.room_left,
                takes=" ".join(f"product_limits.{key}"
                               for key in ("needed", "max_season", "max_passes", "season_amount",
                                           "rate", "passes")),
                note="1 where season amount and number of passes allow one more at this rate."),
    ),
    rows="as:mix_lines",
    kind="working",
    sheet=SHEET,
)

LEFTOVER_ROOM = Table(
    "leftover_room",
    "Leftover room",
    "Whether a field can take leftover of its own pass.",
    (working("takes", "Takes leftover",
             'IF(%s=0,"",IF(%s=0,1,0))' % (counted("leftover_facts.room_left", '">=0"'),
                                           counted("leftover_facts.room_left", 0)), "count"),),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)

TABLES = (SPOT_PASSES, VOLUME_CHOICES, LEFTOVER_FACTS, LEFTOVER_ROOM)
