"""Sprayer check: flow, pressure and droplets of each pass, sizes that do it, and the catch test."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.core.short import check, result, row_number, slot_number, working
from workbook_builder.features.nozzles.inputs import DROPLET_SYMBOLS

SHEET = "Workings nozzles"

NOZZLE_FACTS = Table(
    "nozzle_facts",
    "Nozzle workings",
    "Rated flow and pressure of each nozzle row, by its size or as typed.",
    (
        working("sprayer_row", "Sprayer row", 'IF({nozzles.sprayer}="","",IFERROR(MATCH({nozzles.sprayer},{sprayers.sprayer:all},0),""))'),
        working("nth", "Nth of its sprayer", 'IF({sprayer_row}="","",COUNTIF({sprayer_row:upto},{sprayer_row}))'),
        working("key", "Key", 'IF({sprayer_row}="","",{sprayer_row}*100+{nth})'),
        working("size_row", "Size row", 'IF({nozzles.size}="","",IFERROR(MATCH({nozzles.size}&"",{nozzle_sizes.size:all},0),""))'),
        working("flow", "Rated flow", 'IF({nozzles.rated_flow}<>"",{nozzles.rated_flow},IF({size_row}="","",INDEX({nozzle_sizes.flow:all},{size_row})))', "flow"),
        working("pressure", "Rated pressure",
                'IF({nozzles.rated_flow}<>"",IF({nozzles.rated_pressure}="","",{nozzles.rated_pressure}),IF({size_row}="","",INDEX({nozzle_sizes.pressure:all},{size_row})))', "pressure"),
        working("rank", "Droplet rank", 'IF({nozzles.droplet}="","",IFERROR(MATCH({nozzles.droplet},{droplets.symbol:all},0),""))'),
    ),
    rows="as:nozzles",
    kind="working",
    sheet=SHEET,
)

NOZZLE_TOTALS = Table(
    "nozzle_totals",
    "Nozzle totals",
    "Whether nozzles are entered at all, and the pressure range for choosing sizes.",
    (
        working("nozzles", "Nozzle rows", "COUNT({nozzle_facts.key:all})", "count"),
        working("low", "Lowest pressure used", 'IF(size_low_pressure="",usual_low_pressure,size_low_pressure)', "pressure"),
        working("high", "Highest pressure used", 'IF(size_high_pressure="",usual_high_pressure,size_high_pressure)', "pressure"),
    ),
    rows="form",
    kind="working",
    sheet=SHEET,
)


def _rank(key: str, pick: str) -> str:
    """Rank of the droplets that a label wants, the strictest under all names of the product."""
    idle = 0 if pick == "MAX" else 99
    ranks = ",".join(
        'IF(COUNTIFS({product_facts.product_no:all},{product_limits.product_no},{products.%s:all},"%s")>0,%d,%d)' % (key, symbol, rank, idle)
        for rank, symbol in enumerate(DROPLET_SYMBOLS, 1)
    )
    return f'IF({{product_limits.product_no}}="","",IF({pick}({ranks})={idle},"",{pick}({ranks})))'


LINE_DROPLETS = Table(
    "line_droplets",
    "Droplet workings",
    "Droplets that the label of each product of each pass wants, by rank.",
    (
        working("finest", "Finest allowed", _rank("droplet_wanted", "MAX"), "count"),
        working("coarsest", "Coarsest allowed", _rank("droplet_coarsest", "MIN"), "count"),
    ),
    rows="as:mix_lines",
    kind="working",
    sheet=SHEET,
)

PASS_DROPLETS = Table(
    "pass_droplets",
    "Droplets wanted",
    "Droplets that all labels of each pass allow together.",
    (
        working("finest", "Finest allowed", 'IF(COUNT({line_droplets.finest:block})=0,"",MAX({line_droplets.finest:block}))', "count"),
        working("coarsest", "Coarsest allowed", 'IF(COUNT({line_droplets.coarsest:block})=0,"",MIN({line_droplets.coarsest:block}))', "count"),
        working("wish", "A label wants a category", 'IF(AND({finest}="",{coarsest}=""),0,1)', "count"),
        working("wanted", "In words",
                'IF({wish}=0,"",IF({finest}="",INDEX({droplets.symbol:all},{coarsest})&" or finer",IF({coarsest}="",INDEX({droplets.symbol:all},{finest})&" or coarser",'
                'IF({finest}>{coarsest},"labels contradict: "&INDEX({droplets.symbol:all},{finest})&" or coarser and "&INDEX({droplets.symbol:all},{coarsest})&" or finer",'
                'INDEX({droplets.symbol:all},{finest})&" to "&INDEX({droplets.symbol:all},{coarsest})))))', "text"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)

_TIP = 'IF({tip_row}="","",IF(INDEX({nozzles.%s:all},{tip_row})="","",INDEX({nozzles.%s:all},{tip_row})))'


def _tip(key: str) -> str:
    return _TIP % (key, key)


def _fact(key: str) -> str:
    return 'IF({tip_row}="","",INDEX({nozzle_facts.%s:all},{tip_row}))' % key


TIP_CHECKS = Table(
    "tip_checks",
    "Nozzle by pass",
    "Each nozzle of the sprayer in each pass: the pressure it needs, its droplets, and the duty cycle of pulsed ones.",
    (
        slot_number(),
        result("pass", "Pass", 'IF({tip_row}="","",{pass_volumes.pass})', "name"),
        result("field", "Field", 'IF({tip_row}="","",{pass_volumes.field})', "name"),
        working("tip_row", "Nozzle row",
                'IF(OR({pass_volumes.pass}="",{pass_volumes.sprayer_row}=""),"",IFERROR(MATCH({pass_volumes.sprayer_row}*100+{slot},{nozzle_facts.key:all},0),""))'),
        result("nozzle", "Nozzle", _tip("nozzle"), "name"),
        working("spacing", "Spacing", _tip("spacing"), "spacing"),
        result("flow", "Flow wanted", 'IF(OR({spacing}="",{passes.carrier}="",{pass_times.speed}=0),"",{passes.carrier}*{pass_times.speed}*{spacing}/flow_divisor)', "flow",
               source="MU Extension G1270A; UF/IFAS WG013: gal/min = gal/ac x mph x in / 5940"),
        working("rated_flow", "Rated flow", _fact("flow"), "flow"),
        working("rated_pressure", "Rated pressure", _fact("pressure"), "pressure"),
        working("pulsed", "Pulsed", 'IF({tip_row}="","",IF(INDEX({nozzles.pulsed:all},{tip_row})="yes",1,0))', "count"),
        working("set_pressure", "Set pressure", 'IF({pulsed}=1,' + _tip("set_pressure") + ',"")', "pressure"),
        result("pressure", "Pressure",
               'IF({pulsed}=1,{set_pressure},IF(OR({flow}="",{rated_flow}="",{rated_pressure}=""),"",{rated_pressure}*({flow}/{rated_flow})*({flow}/{rated_flow})))', "pressure",
               source="square-root law of flow and pressure"),
        result("low_pressure", "From", _tip("low_pressure"), "pressure"),
        result("high_pressure", "To", _tip("high_pressure"), "pressure"),
        working("open_flow", "Flow when open",
                'IF(OR({set_pressure}="",{rated_flow}="",{rated_pressure}=""),"",{rated_flow}*SQRT({set_pressure}/{rated_pressure}))', "flow"),
        working("per_speed", "Duty cycle per speed", 'IF(OR({open_flow}="",{flow}=""),"",{flow}/{open_flow}/{pass_times.speed})', "factor"),
        working("slowest", "Slowest speed", _tip("slowest_speed"), "speed"),
        working("fastest", "Fastest speed", _tip("fastest_speed"), "speed"),
        result("duty_slow", "Duty cycle at the slowest speed", 'IF(OR({per_speed}="",{slowest}=""),"",{per_speed}*{slowest})', "share"),
        result("duty_fast", "Duty cycle at the fastest speed", 'IF(OR({per_speed}="",{fastest}=""),"",{per_speed}*{fastest})', "share"),
        working("known", "All figures entered",
                'IF(OR({pressure}="",{low_pressure}="",{high_pressure}="",{flow}=""),0,IF({pulsed}=1,IF(OR({duty_slow}="",{duty_fast}=""),0,1),1))', "count"),
        check("pressure_status", "Pressure status",
              'IF({tip_row}="","",IF({known}=0,"Not entered",IF(OR(ROUND({pressure}-{low_pressure},3)<0,ROUND({high_pressure}-{pressure},3)<0),"Review",'
              'IF({pulsed}<>1,"OK",IF(OR(ROUND({duty_slow}-least_duty,4)<0,ROUND({duty_fast}-1,4)>0),"Review","OK")))))'),
        result("droplet", "Droplets", _tip("droplet"), "text"),
        working("rank", "Droplet rank", _fact("rank"), "count"),
        check("droplet_status", "Droplet status",
              'IF(OR({tip_row}="",{pass_droplets.wish}=0),"",IF({rank}="","Not entered",IF({pass_droplets.finest}="",IF({rank}<={pass_droplets.coarsest},"OK","Not allowed"),'
              'IF({rank}<{pass_droplets.finest},"Not allowed",IF({pass_droplets.coarsest}="","OK",IF({rank}<={pass_droplets.coarsest},"OK","Not allowed"))))))'),
        working("fits", "Pressure fits", 'IF({pressure_status}="OK",1,0)', "count"),
        working("good", "Pressure and droplets fit", 'IF({fits}=0,0,IF(OR({droplet_status}="",{droplet_status}="OK"),1,0))', "count"),
        working("unknown", "Pressure fits, droplets not entered", 'IF(AND({fits}=1,{droplet_status}="Not entered"),1,0)', "count"),
    ),
    rows="under:passes:nozzles",
    kind="result",
)

_USE = 'IF({use}="","",INDEX({tip_checks.%s:block},{use}))'

SPRAYER_CHECKS = Table(
    "sprayer_checks",
    "Sprayer check",
    "Whether the sprayer has a nozzle that gives the flow within its pressure range, with the droplets the labels want.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("flow", "Flow of each nozzle", 'IF(COUNT({tip_checks.flow:block})=0,"",INDEX({tip_checks.flow:block},1))', "flow",
               note="At the spacing of the sprayer's first nozzle row and its usual speed."),
        working("tips", "Nozzle rows", "COUNT({tip_checks.tip_row:block})", "count"),
        working("fitting", "With the pressure", "SUM({tip_checks.fits:block})", "count"),
        working("good", "With the droplets too", "SUM({tip_checks.good:block})", "count"),
        working("use", "Slot to use", 'IF({good}>0,MATCH(1,{tip_checks.good:block},0),IF({fitting}>0,MATCH(1,{tip_checks.fits:block},0),""))', "index"),
        result("nozzle", "Nozzle that does it", _USE % "nozzle", "name"),
        result("pressure", "At a pressure of", _USE % "pressure", "pressure"),
        result("droplet", "Its droplets", _USE % "droplet", "text"),
        result("wanted", "Droplets wanted", "{pass_droplets.wanted}", "text"),
        check("pressure_status", "Pressure status",
              'IF(OR({pass}="",{nozzle_totals.nozzles}=0),"",IF({tips}=0,"Not entered",IF({fitting}>0,"OK",IF(COUNTIF({tip_checks.pressure_status:block},"Not entered")>0,"Not entered","Review"))))'),
        check("pressure_finding", "Pressure finding",
              'IF({pressure_status}="Not entered",IF({tips}=0,"No nozzles entered for the sprayer of this pass","Size, spacing, pressure range or speed of a nozzle not entered"),'
              'IF({pressure_status}="Review","None of the sprayer\'s nozzles gives the flow within its pressures or duty cycles",""))', "long_text"),
        check("droplet_status", "Droplet status",
              'IF(OR({pressure_status}="",{pass_droplets.wish}=0,{fitting}=0),"",IF({good}>0,"OK",IF(SUM({tip_checks.unknown:block})>0,"Not entered","Not allowed")))'),
        check("droplet_finding", "Droplet finding",
              'IF({droplet_status}="Not entered","Droplet category of a nozzle not entered; labels want "&{wanted},'
              'IF({droplet_status}="Not allowed","Labels want "&{wanted}&", the nozzles that fit give "&{droplet},""))', "long_text"),
        working("below", "Sizes too small", 'IF({flow}="","",IFERROR(MATCH(ROUND({flow}*SQRT(INDEX({nozzle_sizes.pressure:all},1)/{nozzle_totals.high}),6)-0.0000005,{nozzle_sizes.flow:all},1),0))', "count"),
        working("upto", "Sizes up to the largest", 'IF({flow}="","",IFERROR(MATCH(ROUND({flow}*SQRT(INDEX({nozzle_sizes.pressure:all},1)/{nozzle_totals.low}),6)+0.0000005,{nozzle_sizes.flow:all},1),0))', "count"),
    ),
    rows="as:passes",
    kind="result",
    caution="Droplet demands of the label are law. Charts of the maker decide the droplet category at each pressure.",
)

NOZZLE_CHOICES = Table(
    "nozzle_choices",
    "Nozzle sizes",
    "Colour-coded sizes that give the flow of each pass within the pressure range of the agronomy settings.",
    (
        slot_number(),
        result("pass", "Pass", 'IF({row}="","",{sprayer_checks.pass})', "name"),
        result("field", "Field", 'IF({row}="","",{sprayer_checks.field})', "name"),
        working("row", "Size row", 'IF({sprayer_checks.below}="","",IF({sprayer_checks.below}+{slot}<={sprayer_checks.upto},{sprayer_checks.below}+{slot},""))'),
        result("flow", "Flow wanted", 'IF({row}="","",{sprayer_checks.flow})', "flow"),
        result("size", "Size", 'IF({row}="","",INDEX({nozzle_sizes.size:all},{row}))', "text"),
        result("colour", "Colour", 'IF({row}="","",INDEX({nozzle_sizes.colour:all},{row}))', "text"),
        result("rated_flow", "Nominal flow", 'IF({row}="","",INDEX({nozzle_sizes.flow:all},{row}))', "flow"),
        result("pressure", "Pressure it needs", 'IF({row}="","",INDEX({nozzle_sizes.pressure:all},{row})*({flow}/{rated_flow})*({flow}/{rated_flow}))', "pressure"),
    ),
    rows="under:passes:sizes",
    kind="result",
)

CATCH_CHECKS = Table(
    "catch_checks",
    "Catch test results",
    "Spray volume that each catch stands for, how far it lies from the mean, and which nozzles to clean or replace.",
    (
        row_number(),
        result("sprayer", "Sprayer", 'IF({catch_test.sprayer}="","",{catch_test.sprayer})', "name"),
        result("position", "Position", 'IF({catch_test.position}="","",{catch_test.position})', "count"),
        working("sprayer_row", "Sprayer row", 'IF({sprayer}="","",IFERROR(MATCH({sprayer},{sprayers.sprayer:all},0),""))'),
        working("tip_row", "First nozzle of the sprayer", 'IF({sprayer_row}="","",IFERROR(MATCH({sprayer_row}*100+1,{nozzle_facts.key:all},0),""))'),
        working("spacing", "Spacing", 'IF({tip_row}="","",IF(INDEX({nozzles.spacing:all},{tip_row})="","",INDEX({nozzles.spacing:all},{tip_row})))', "spacing"),
        result("course", "Course", 'IF({spacing}="","",IF(catch_course=0,catch_factor/{spacing},catch_course))', "length", note="1/128 acre for one spacing, or 50 m.",
               source="LSU AgCenter, Ounces equal gallons; OMAFRA 50 m method"),
        result("rate", "Carrier rate", 'IF(OR({course}="",{catch_test.catch}=""),"",{catch_test.catch}*catch_factor/({spacing}*{course}))', "carrier"),
        working("key", "Sprayer and date", 'IF(OR({sprayer_row}="",{catch_test.catch}=""),"",{sprayer_row}*100000+SUM({catch_test.test_date}))'),
        working("first", "First row of the test", 'IF({key}="","",MATCH({key},{key:all},0))'),
        working("mean_at_first", "Mean at the first row", 'IF({first}={row_no},SUMIF({key:all},{key},{catch_test.catch:all})/COUNTIF({key:all},{key}),"")', "small_volume"),
        result("mean", "Mean caught", 'IF({first}="","",INDEX({mean_at_first:all},{first}))', "small_volume"),
        result("from_mean", "From the mean", 'IF({mean}="","",{catch_test.catch}/{mean}-1)', "share"),
        result("above_new", "Above a new one", 'IF(OR({catch_test.catch}="",{catch_test.new_catch}=""),"",{catch_test.catch}/{catch_test.new_catch}-1)', "share"),
        result("from_wanted", "From the carrier rate wanted", 'IF(OR({rate}="",{catch_test.carrier_wanted}=""),"",{rate}/{catch_test.carrier_wanted}-1)', "share"),
        result("speed", "Speed on the course", 'IF(OR({course}="",{catch_test.seconds}=""),"",{course}/{catch_test.seconds}*speed_per_course)', "speed"),
        check("status", "Status",
              'IF({sprayer}="","",IF(OR({mean}="",{rate}=""),"Not entered",IF(OR(ROUND(ABS({from_mean})-catch_limit,6)>0,ROUND(SUM({above_new})-wear_limit,6)>0,ROUND(ABS(SUM({from_wanted}))-catch_limit,6)>0),"Review","OK")))'),
        check("finding", "Finding",
              'IF({status}="Not entered","Catch, or spacing of the sprayer\'s nozzles, not entered",IF({status}<>"Review","",'
              'IF(ROUND(SUM({above_new})-wear_limit,6)>0,"Worn: replace it",IF(ROUND(ABS({from_mean})-catch_limit,6)>0,IF({from_mean}>0,"Gives more than its neighbours: replace it","Gives less than its neighbours: clean it"),'
              '"Spray volume is off: check pressure and speed"))))', "long_text",
              source="5 % from the mean: Alberta Agdex 606-1, OMAFRA; 10 % above new: OSU Extension (Ozkan); both are settings"),
    ),
    rows="as:catch_test",
    kind="result",
)

NOZZLE_TABLES = (SPRAYER_CHECKS, TIP_CHECKS, NOZZLE_CHOICES, CATCH_CHECKS, NOZZLE_FACTS, NOZZLE_TOTALS, LINE_DROPLETS, PASS_DROPLETS)
