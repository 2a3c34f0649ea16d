"""How much to mix now: candidates with their chance and cost, advice, and the next load."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.core.short import check, result, slot_number, working

#: The choice that is meant to be followed up by judging the rest.
ONE_TANK = "One full tank"
CHOICES = ("Mean share", "Enough 8 times in 10", "Enough 19 times in 20", "Enough 99 times in 100", "Confidence you want", "Cost ratio", ONE_TANK, "Full tanks, enough 8 times in 10")


def _quantile(chance: str) -> str:
    return "MAX(0.001,MIN(0.999,BETAINV(%s,{a},{b})))" % chance


def of_row(column: str) -> str:
    """Return the formula of a cell of the spot pass's row in another table."""
    return 'IF({row}="","",INDEX({%s:all},{row}))' % column


def typed_of_row(column: str) -> str:
    """Return the formula of a typed cell of the spot pass's row, blank kept blank."""
    return 'IF({row}="","",IF(INDEX({%s:all},{row})="","",INDEX({%s:all},{row})))' % (column, column)


SPOT_PASSES = Table(
    "spot_passes",
    "Spot volumes",
    "Each spot pass in turn: what is left to spray, how much to mix for it, and the next fill; it replans as loads are typed into the load log.",
    (
        slot_number("No."),
        working("row", "Row of the pass", 'IFERROR(MATCH({slot},{spot_uses.running:all},0),"")'),
        result("pass", "Pass", of_row("share_estimates.pass"), "name"),
        result("field", "Field", of_row("share_estimates.field"), "name"),
        working("key", "Pass and field", 'IF({row}="","",{pass}&"|"&{field})', "text"),
        working("a", "Beta a", of_row("share_estimates.a"), "number"),
        working("b", "Beta b", of_row("share_estimates.b"), "number"),
        result("share_mean", "Mean share", of_row("share_estimates.share_mean"), "share", digits=1),
        result("remaining_area", "Area that remains", of_row("share_estimates.remaining_area"), "area"),
        working("carrier", "Carrier rate", typed_of_row("passes.carrier"), "carrier"),
        working("full_volume", "Volume if all of it is sprayed", 'IF(OR({remaining_area}="",{carrier}=""),"",{remaining_area}*{carrier})', "volume"),
        working("tank", "Tank", of_row("pass_volumes.tank"), "volume"),
        working("usable", "Usable per fill", of_row("pass_volumes.usable"), "volume"),
        working("unusable", "Unusable per fill", of_row("pass_volumes.unusable"), "volume"),
        working("spot_tank", "Spot tank", of_row("pass_volumes.spot_tank"), "volume"),
        working("opens", "Fills an empty tank", of_row("pass_volumes.opens"), "count"),
        working("held", "Unusable volume that is in the tank",
                'IF({row}="","",IF(OR({opens}=0,INDEX({share_estimates.loads_logged:all},{row})>0),SUM({unusable}),0))', "volume",
                note="From the same mix before, or from the loads logged."),
        result("in_tank", "In the tank now",
               'IF({row}="","",MAX({held},IF({opens}=0,{held},0)+INDEX({share_estimates.volume_mixed:all},{row})-INDEX({share_estimates.volume_sprayed:all},{row})))', "volume",
               note="Mixed so far less sprayed so far, unusable volume included."),
        working("available", "Of it usable", 'IF({in_tank}="","",MAX(0,{in_tank}-SUM({unusable})))', "volume"),
        result("chance_enough", "Chance that it is enough",
               'IF(OR({full_volume}="",{a}=""),"",IF({available}>={full_volume}*0.9995,1,IF({available}<=0,0,BETADIST({available}/{full_volume},{a},{b}))))', "share",
               note="That what is in the tank now sprays out the rest of the field."),
        working("planned_volume", "Volume in the plan", of_row("pass_volumes.mixed_volume"), "volume"),
        working("planned_cost", "Products in the plan", of_row("cost_passes.planned_cost"), "money"),
        working("mixture_value", "Value of mixture", 'IF({row}="","",IF(SUM({planned_volume})=0,0,SUM({planned_cost})/{planned_volume})+water_cost)', "money_per_volume"),
        result("leftover_cost", "Cost of leftover", 'IF({row}="","",{mixture_value}+waste_cost)', "money_per_volume", note="Products and carrier lost, and disposal."),
        working("known", "Anything is known", of_row("share_estimates.known"), "count"),
        result("low_volume", "Low", 'IF(OR({full_volume}="",{a}=""),"",IF({known}=0,0,%s*{full_volume}))' % _quantile("0.1"), "volume",
               note="1 in 10 takes less; none where nothing is known of the share."),
        result("high_volume", "High", 'IF(OR({full_volume}="",{a}=""),"",IF({known}=0,1,%s)*{full_volume})' % _quantile("0.9"), "volume",
               note="1 in 10 takes more; all of the rest where nothing is known of the share."),
        working("spread", "Standard deviation of the volume", 'IF(OR({full_volume}="",{a}=""),"",{full_volume}*SQRT({a}*{b}/({a}+{b}+1))/({a}+{b}))', "volume"),
        working("short_cost", "Cost of running short", 'IF(SUM({spread})=0,"",refill_cost/{spread})', "money_per_volume",
                note="Cost of a refill trip over one standard deviation of the volume."),
        result("cost_ratio", "Cost ratio",
               'IF({short_cost}="","",IF({short_cost}+{leftover_cost}<=0,wanted_confidence,MIN(0.99,MAX(0.5,{short_cost}/({short_cost}+{leftover_cost})))))', "share",
               note="Quantile of the simple newsvendor, short over short plus leftover, never under one half.", source="newsvendor, F(Q) = Cu/(Cu+Co)"),
        working("best_cost", "Lowest expected cost", 'IF(COUNT({volume_choices.expected_cost:block})=0,"",MIN({volume_choices.expected_cost:block}))', "money"),
        working("best", "Best choice", 'IF({best_cost}="","",IF(AND({known}=0,SUM({usable})>0),%d,MATCH({best_cost},{volume_choices.expected_cost:block},0)))' % (1 + CHOICES.index(ONE_TANK)),
                note="The cheapest; one full tank where nothing is known of the share."),
        result("advice", "Advice", 'IF({best}="","",INDEX({volume_choices.choice:block},{best}))', "text", width=22),
        result("advised_volume", "Advised volume", 'IF({best}="","",INDEX({volume_choices.volume:block},{best}))', "volume",
               note="Spray volume to have for the area that remains, what is in the tank included."),
        result("next_fill", "Next fill",
               'IF(OR({advised_volume}="",{tank}=""),"",MAX(0,MIN({tank},{advised_volume}+SUM({unusable}))-{in_tank}))', "volume",
               note="Mixture to add now: up to a full tank, unusable volume included, what is in the tank taken off."),
        result("next_area", "Area it will cover", 'IF(OR({next_fill}="",SUM({share_mean})=0),"",MIN({remaining_area},MAX(0,{in_tank}+{next_fill}-SUM({unusable}))/({carrier}*{share_mean})))', "area",
               note="Field area at the mean share."),
        result("fills_to_come", "Fills to come", 'IF({next_fill}="","",IF({usable}<=0,"",ROUNDUP(ROUND(MAX(0,{advised_volume}-{available})/{usable},6),0)))', "count"),
        result("expected_total", "Expected total", 'IF({full_volume}="","",INDEX({share_estimates.volume_sprayed:all},{row})+{share_mean}*{full_volume})', "volume",
               note="Sprayed so far and the mean for the rest."),
        check("status", "Status",
              'IF({row}="","",IF({full_volume}="","Not entered",IF({full_volume}=0,"OK",IF({advised_volume}="","Not entered",IF(OR({known}=0,refill_cost+{leftover_cost}<=0),"Review","OK")))))'),
    ),
    rows="list:spot",
    kind="result",
    caution="Advice weighs a refill trip against leftover; the label and a safe fill come first.",
)

_SHARE = "{spot_passes.%s}"
#: A small difference of two large volumes: the last digits of the engines' beta functions show.
LEFTOVER = 1e-5
_X = tuple(
    'IF({full}="","",%s)' % text
    for text in (
        "{spot_passes.share_mean}",
        "MAX(0.001,MIN(0.999,BETAINV(0.8,{spot_passes.a},{spot_passes.b})))",
        "MAX(0.001,MIN(0.999,BETAINV(0.95,{spot_passes.a},{spot_passes.b})))",
        "MAX(0.001,MIN(0.999,BETAINV(0.99,{spot_passes.a},{spot_passes.b})))",
        "MAX(0.001,MIN(0.999,BETAINV(wanted_confidence,{spot_passes.a},{spot_passes.b})))",
        "MAX(0.001,MIN(0.999,BETAINV({spot_passes.cost_ratio},{spot_passes.a},{spot_passes.b})))",
        'IF(SUM({usable})<=0,"",{usable}/{full})',
        'IF(SUM({usable})<=0,"",(ROUNDUP(ROUND(MAX(0.001,MIN(0.999,BETAINV(0.8,{spot_passes.a},{spot_passes.b})))*{full}/{usable},6),0))*{usable}/{full})',
    )
)

VOLUME_CHOICES = Table(
    "volume_choices",
    "Volume choices",
    "Candidates for each spot pass: chance of running short, expected leftover and expected cost; the cheapest is the advice.",
    (
        slot_number(),
        working("full", "Volume if all is sprayed", 'IF({spot_passes.a}="","",IF({spot_passes.full_volume}="","",IF({spot_passes.full_volume}=0,"",{spot_passes.full_volume})))', "volume"),
        working("usable", "Usable per fill", 'IF({full}="","",{spot_passes.usable})', "volume"),
        result("pass", "Pass", 'IF({full}="","",{spot_passes.pass})', "name"),
        result("field", "Field", 'IF({full}="","",{spot_passes.field})', "name"),
        result("choice", "Choice", tuple(f'IF({{full}}="","","{name}")' for name in CHOICES), "text", width=22),
        working("share", "Share it is for", _X, "share"),
        result("volume", "Volume", 'IF({share}="","",{share}*{full})', "volume"),
        working("at_share", "Share of all, at most 1", 'IF({share}="","",MIN(1,{share}))', "share"),
        result("chance_short", "Chance of running short", 'IF({share}="","",IF({at_share}>=0.9995,0,IF({at_share}<=0,1,1-BETADIST({at_share},{spot_passes.a},{spot_passes.b}))))', "share", digits=1),
        working("mean_below", "Mean where it is enough",
                'IF({share}="","",{spot_passes.share_mean}*IF({at_share}>=0.9995,1,IF({at_share}<=0,0,BETADIST({at_share},{spot_passes.a}+1,{spot_passes.b}))))', "share"),
        result("expected_leftover", "Expected leftover", 'IF({share}="","",MAX(0,{volume}*(1-{chance_short})-{full}*{mean_below}))', "volume", tolerance=LEFTOVER),
        result("expected_short", "Expected shortage", 'IF({share}="","",MAX(0,{expected_leftover}-{volume}+{full}*{spot_passes.share_mean}))', "volume", tolerance=LEFTOVER),
        result("extra_trips", "Extra trips expected", 'IF({share}="","",IF(AND({slot}=7,{chance_short}>=0.5),1,IF({chance_short}>=0.8,4,{chance_short}/(1-{chance_short}))))', "number",
               note="Who mixes too little once does so again: chance over one less chance, at most four; one full tank is meant to be followed up and counts one at most.", source="docs/calibration-study.md"),
        result("expected_cost", "Expected cost", 'IF({share}="","",ROUND(ROUND(refill_cost*{extra_trips}+{expected_leftover}*{spot_passes.leftover_cost},6),2))', "money",
               note="Refill trips expected, and leftover at its cost; to the hundredth, so that choices that cost the same are told by their order and not by the last digits."),
        result("advised", "Advised", 'IF(OR({share}="",{spot_passes.best}=""),"",IF({spot_passes.best}={slot},"yes",""))', "text"),
    ),
    rows="under:spot_passes:choices",
    kind="result",
    caution="Expected cost leaves out what a refill far from water costs in time of day: judge for yourself.",
)

VOLUME_CHOICE_TABLES = (SPOT_PASSES, VOLUME_CHOICES)
