"""How much to mix now: candidates with their chance and cost, advice, and the next load."""

from __future__ import annotations

from operator import add, mul

from workbook_builder.core.columns import Table
from workbook_builder.core.draft import number
from workbook_builder.core.short import check, result, slot_number, typed_in, working
from workbook_builder.features.shares.beta import chance_formula, quantile_formula, share_quantile
from workbook_builder.features.spot_volumes import definitions as volumes
from workbook_builder.features.spot_volumes.definitions import CHOICES, ONE_TANK

_SHAPE = "{spot_passes.a},{spot_passes.b}"

SPOT_PASSES = Table(
    "spot_passes",
    "Spot volumes",
    "Each spot pass in turn: what is left to spray, how much to mix for it, and the next fill; it replans as loads are typed into the load log.",
    (
        slot_number("No."),
        working("row", "Row of the pass", 'IFERROR(MATCH({slot},{spot_uses.running:all},0),"")'),
        result("pass", "Pass", "{share_estimates.pass@row}", "name", needs="row"),
        result("field", "Field", "{share_estimates.field@row}", "name", needs="row"),
        working("key", "Pass and field", '{pass}&"|"&{field}', "text", needs="row"),
        working("a", "Beta a", "{share_estimates.a@row}", "number", needs="row"),
        working("b", "Beta b", "{share_estimates.b@row}", "number", needs="row"),
        result("share_mean", "Mean share", "{share_estimates.share_mean@row}", "share", digits=1, needs="row"),
        result("remaining_area", "Area that remains", "{share_estimates.remaining_area@row}", "area", needs="row"),
        typed_in("carrier", "Carrier rate", "passes.carrier", "row", "carrier"),
        working("full_volume", "Volume if all of it is sprayed", "{remaining_area}*{carrier}", "volume", needs="remaining_area carrier", twin=mul, takes="remaining_area carrier"),
        working("tank", "Tank", "{pass_volumes.tank@row}", "volume", needs="row"),
        working("usable", "Usable per fill", "{pass_volumes.usable@row}", "volume", needs="row"),
        working("unusable", "Unusable per fill", "{pass_volumes.unusable@row}", "volume", needs="row"),
        working("spot_tank", "Spot tank", "{pass_volumes.spot_tank@row}", "volume", needs="row"),
        working("opens", "Fills an empty tank", "{pass_volumes.opens@row}", "count", needs="row"),
        working("held", "Unusable volume that is in the tank", "IF(OR({opens}=0,{share_estimates.loads_logged@row}>0),SUM({unusable}),0)", "volume", needs="row",
                note="From the same mix before, or from the loads logged."),
        result("in_tank", "In the tank now", "MAX({held},IF({opens}=0,{held},0)+{share_estimates.volume_mixed@row}-{share_estimates.volume_sprayed@row})", "volume",
               needs="row", twin=volumes.in_tank, takes="held opens share_estimates.volume_mixed@row share_estimates.volume_sprayed@row",
               note="Mixed so far less sprayed so far, unusable volume included."),
        working("available", "Of it usable", "MAX(0,{in_tank}-SUM({unusable}))", "volume", needs="in_tank", twin=lambda in_tank, unusable: max(0, in_tank - number(unusable))),
        result("chance_enough", "Chance that it is enough",
               "IF({available}>={full_volume}*0.9995,1,IF({available}<=0,0,BETADIST({available}/{full_volume},{a},{b})))", "share", needs="full_volume a", twin=volumes.chance_enough,
               note="That what is in the tank now sprays out the rest of the field."),
        working("planned_volume", "Volume in the plan", "{pass_volumes.mixed_volume@row}", "volume", needs="row"),
        working("planned_cost", "Products in the plan", "{cost_passes.planned_cost@row}", "money", needs="row"),
        working("mixture_value", "Value of mixture", "IF(SUM({planned_volume})=0,0,SUM({planned_cost})/{planned_volume})+water_cost", "money_per_volume",
                needs="row", twin=volumes.mixture_value, takes="planned_cost planned_volume assumptions.water_cost"),
        result("leftover_cost", "Cost of leftover", "{mixture_value}+waste_cost", "money_per_volume", needs="mixture_value", twin=add, takes="mixture_value spot_figures.waste_cost",
               note="Products and carrier lost, and disposal."),
        working("known", "Anything is known", "{share_estimates.known@row}", "count", needs="row"),
        result("low_volume", "Low", f"IF({{known}}=0,0,{quantile_formula('0.1')}*{{full_volume}})", "volume", needs="full_volume a",
               twin=lambda known, full_volume, a, b: share_quantile(0.1, a, b) * full_volume if known else 0,
               note="1 in 10 takes less; none where nothing is known of the share."),
        result("high_volume", "High", f"IF({{known}}=0,1,{quantile_formula('0.9')})*{{full_volume}}", "volume", needs="full_volume a",
               twin=lambda known, full_volume, a, b: share_quantile(0.9, a, b) * full_volume if known else full_volume,
               note="1 in 10 takes more; all of the rest where nothing is known of the share."),
        working("spread", "Standard deviation of the volume", "{full_volume}*SQRT({a}*{b}/({a}+{b}+1))/({a}+{b})", "volume", needs="full_volume a",
                twin=lambda full_volume, a, b: full_volume * volumes.spread(a, b)),
        working("short_cost", "Cost of running short", 'IF(SUM({spread})=0,"",refill_cost/{spread})', "money_per_volume",
                twin=lambda trip, spread: trip / spread if spread else "", takes="spot_figures.refill_cost spread",
                note="Cost of a refill trip over one standard deviation of the volume."),
        result("cost_ratio", "Cost ratio",
               "IF({short_cost}+{leftover_cost}<=0,wanted_confidence,MIN(0.99,MAX(0.5,{short_cost}/({short_cost}+{leftover_cost}))))", "share",
               needs="short_cost", twin=volumes.held_ratio, takes="short_cost leftover_cost spot_figures.wanted_confidence",
               note="Quantile of the simple newsvendor, short over short plus leftover, never under one half.", source="newsvendor, F(Q) = Cu/(Cu+Co)"),
        working("best_cost", "Lowest expected cost", 'IF(COUNT({volume_choices.expected_cost:block})=0,"",MIN({volume_choices.expected_cost:block}))', "money"),
        working("best", "Best choice", "IF(AND({known}=0,SUM({usable})>0),%d,MATCH({best_cost},{volume_choices.expected_cost:block},0))" % (1 + CHOICES.index(ONE_TANK)),
                needs="best_cost", note="The cheapest; one full tank where nothing is known of the share."),
        result("advice", "Advice", "{volume_choices.choice:block@best}", "text", width=22, needs="best"),
        result("advised_volume", "Advised volume", "{volume_choices.volume:block@best}", "volume", needs="best",
               note="Spray volume to have for the area that remains, what is in the tank included."),
        result("next_fill", "Next fill", "MAX(0,MIN({tank},{advised_volume}+SUM({unusable}))-{in_tank})", "volume", needs="advised_volume tank", twin=volumes.next_fill,
               note="Mixture to add now: up to a full tank, unusable volume included, what is in the tank taken off."),
        result("next_area", "Area it will cover", "MIN({remaining_area},MAX(0,{in_tank}+{next_fill}-SUM({unusable}))/({carrier}*{share_mean}))", "area",
               needs="next_fill share_mean", twin=volumes.next_area, note="Field area at the mean share."),
        result("fills_to_come", "Fills to come", 'IF({usable}<=0,"",ROUNDUP(ROUND(MAX(0,{advised_volume}-{available})/{usable},6),0))', "count", needs="next_fill", twin=volumes.fills_to_come),
        result("expected_total", "Expected total", "{share_estimates.volume_sprayed@row}+{share_mean}*{full_volume}", "volume",
               needs="full_volume", twin=lambda sprayed, share, full: sprayed + share * full, takes="share_estimates.volume_sprayed@row share_mean full_volume",
               note="Sprayed so far and the mean for the rest."),
        check("status", "Status",
              'IF({full_volume}="","Not entered",IF({full_volume}=0,"OK",IF({advised_volume}="","Not entered",IF(OR({known}=0,refill_cost+{leftover_cost}<=0),"Review","OK"))))',
              needs="row", twin=volumes.volume_status, takes="full_volume advised_volume known spot_figures.refill_cost leftover_cost"),
    ),
    rows="list:spot",
    kind="result",
    caution="Advice weighs a refill trip against leftover; the label and a safe fill come first.",
)

#: A small difference of two large volumes: the last digits of the engines' beta functions show.
LEFTOVER = 1e-5
_SHARES = (
    "{spot_passes.share_mean}",
    *(quantile_formula(chance, _SHAPE) for chance in ("0.8", "0.95", "0.99", "wanted_confidence", "{spot_passes.cost_ratio}")),
    'IF(SUM({usable})<=0,"",{usable}/{full})',
    'IF(SUM({usable})<=0,"",(ROUNDUP(ROUND(%s*{full}/{usable},6),0))*{usable}/{full})' % quantile_formula("0.8", _SHAPE),
)

VOLUME_CHOICES = Table(
    "volume_choices",
    "Volume choices",
    "Candidates for each spot pass: chance of running short, expected leftover and expected cost; the cheapest is the advice.",
    (
        slot_number(),
        working("full", "Volume if all is sprayed", 'IF({spot_passes.full_volume}=0,"",{spot_passes.full_volume})', "volume", needs="spot_passes.a spot_passes.full_volume"),
        working("usable", "Usable per fill", "{spot_passes.usable}", "volume", needs="full"),
        result("pass", "Pass", "{spot_passes.pass}", "name", needs="full"),
        result("field", "Field", "{spot_passes.field}", "name", needs="full"),
        result("choice", "Choice", tuple(f'"{name}"' for name in CHOICES), "text", width=22, needs="full"),
        working("share", "Share it is for", _SHARES, "share", needs="full", twin=volumes.share_of_choice,
                takes="choice spot_passes.a spot_passes.b full usable spot_figures.wanted_confidence spot_passes.cost_ratio"),
        result("volume", "Volume", "{share}*{full}", "volume", needs="share", twin=mul, takes="share full"),
        working("at_share", "Share of all, at most 1", "MIN(1,{share})", "share", needs="share"),
        result("chance_short", "Chance of running short", "1-" + chance_formula("{at_share}", _SHAPE), "share", digits=1,
               needs="share", twin=volumes.chance_short, takes="at_share spot_passes.a spot_passes.b"),
        working("mean_below", "Mean where it is enough",
                "{spot_passes.share_mean}*" + chance_formula("{at_share}", "{spot_passes.a}+1,{spot_passes.b}"), "share",
                needs="share", twin=volumes.mean_below, takes="at_share spot_passes.a spot_passes.b"),
        result("expected_leftover", "Expected leftover", "MAX(0,{volume}*(1-{chance_short})-{full}*{mean_below})", "volume", tolerance=LEFTOVER,
               needs="share", twin=volumes.expected_leftover, takes="volume full spot_passes.a spot_passes.b"),
        result("expected_short", "Expected shortage", "MAX(0,{expected_leftover}-{volume}+{full}*{spot_passes.share_mean})", "volume", tolerance=LEFTOVER,
               needs="share", twin=volumes.expected_shortage, takes="volume full expected_leftover spot_passes.share_mean"),
        result("extra_trips", "Extra trips expected", "IF(AND({slot}=7,{chance_short}>=0.5),1,IF({chance_short}>=0.8,4,{chance_short}/(1-{chance_short})))", "number",
               needs="share", twin=volumes.extra_trips_of, takes="choice chance_short",
               note="Who mixes too little once does so again: chance over one less chance, at most four; one full tank is meant to be followed up and counts one at most.", source="docs/calibration-study.md"),
        result("expected_cost", "Expected cost", "ROUND(ROUND(refill_cost*{extra_trips}+{expected_leftover}*{spot_passes.leftover_cost},6),2)", "money",
               needs="share", twin=volumes.expected_cost, takes="spot_figures.refill_cost extra_trips expected_leftover spot_passes.leftover_cost",
               note="Refill trips expected, and leftover at its cost; to the hundredth, so that choices that cost the same are told by their order and not by the last digits."),
        result("advised", "Advised", 'IF({spot_passes.best}={slot},"yes","")', "text", needs="share spot_passes.best"),
    ),
    rows="under:spot_passes:choices",
    kind="result",
    caution="Expected cost leaves out what a refill far from water costs in time of day: judge for yourself.",
)

TABLES = (SPOT_PASSES, VOLUME_CHOICES)
