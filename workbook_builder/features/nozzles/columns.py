"""Sprayer check: flow, pressure and droplets of each pass, sizes that do it, and the catch test."""

from __future__ import annotations

from operator import mul

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import Table
from workbook_builder.core.short import (
    belonging,
    check,
    lines_of,
    or_blank,
    place,
    result,
    row_number,
    slot_number,
    typed_in,
    working,
)
from workbook_builder.features.loads.lines import counted, first_of, outermost
from workbook_builder.features.nozzles import definitions as trade
from workbook_builder.features.nozzles.inputs import (
    CATCH_TEST,
    DROPLET_SYMBOLS,
    DROPLETS,
    NOZZLE_SIZES,
    NOZZLES,
    droplets,
    nozzle_sizes,
)

SHEET = "Workings nozzles"

NOZZLE_FACTS = Table(
    "nozzle_facts",
    "Nozzle workings",
    "Rated flow and pressure of each nozzle row, by its size or as typed.",
    (
        place("sprayer_row", "Sprayer row", "nozzles.sprayer", "sprayers.sprayer"),
        working("nth", "Nth of its sprayer", "COUNTIF({sprayer_row:upto},{sprayer_row})",
                needs="sprayer_row"),
        working("key", "Key", "{sprayer_row}*100+{nth}", needs="sprayer_row"),
        working("size_row", "Size row", 'IFERROR(MATCH({nozzles.size}&"",{nozzle_sizes.size:all},0),"")',
                needs="nozzles.size"),
        working("flow", "Rated flow",
                'IF({nozzles.rated_flow}<>"",{nozzles.rated_flow},IF({size_row}="","",'
                '{nozzle_sizes.flow@size_row}))', "flow"),
        working("pressure", "Rated pressure",
                'IF({nozzles.rated_flow}<>"",IF({nozzles.rated_pressure}="","",{nozzles.rated_pressure}),'
                'IF({size_row}="","",{nozzle_sizes.pressure@size_row}))', "pressure"),
        place("rank", "Droplet rank", "nozzles.droplet", "droplets.symbol"),
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
        working("low", "Lowest pressure used",
                'IF(size_low_pressure="",usual_low_pressure,size_low_pressure)', "pressure"),
        working("high", "Highest pressure used",
                'IF(size_high_pressure="",usual_high_pressure,size_high_pressure)', "pressure"),
        working("answer", "Answer",
                'COUNTIF({sprayer_checks.pressure_status:all},"OK")&" of "'
                '&SUMPRODUCT(({sprayer_checks.pressure_status:all}<>"")*1)&" passes are within what a nozzle '
                'does"', "sentence"),
    ),
    rows="form",
    kind="working",
    sheet=SHEET,
)


def _rank(key: str, pick: str) -> str:
    """Rank of the droplets that a label wants, the strictest under all names of the product."""
    idle = 0 if pick == "MAX" else 99
    ranks = ",".join(
        'IF(COUNTIFS({product_facts.product_no:all},{product_limits.product_no},{products.%s:all},"%s")>0,'
        '%d,%d)' % (key, symbol, rank, idle)
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
    "Droplets that all labels of each pass allow together, and how many nozzles its sprayer has.",
    (
        *lines_of("tips", "Nozzle rows of its sprayer",
                  'IF(OR({pass_volumes.pass}="",{pass_volumes.sprayer_row}=""),0,'
                  'COUNTIF({nozzle_facts.sprayer_row:all},{pass_volumes.sprayer_row}))'),
        working("finest", "Finest allowed", outermost("line_droplets.finest"), "count"),
        working("coarsest", "Coarsest allowed", outermost("line_droplets.coarsest", "MIN"), "count"),
        working("carrier_factor", "Flow of water per flow of the carrier",
                'IF({passes.carrier_density}="",1,SQRT({passes.carrier_density}/water_density))', "factor",
                twin=trade.carrier_factor, takes="passes.carrier_density agronomy_factors.water_density",
                source="square-root law of flow and density"),
        working("wish", "A label wants a category", 'IF(AND({finest}="",{coarsest}=""),0,1)', "count"),
        working("wanted", "In words",
                'IF({wish}=0,"",IF({finest}="",{droplets.symbol@coarsest}&" or finer",IF({coarsest}="",'
                '{droplets.symbol@finest}&" or coarser",'
                'IF({finest}>{coarsest},"labels contradict: "&{droplets.symbol@finest}&" or coarser and "'
                '&{droplets.symbol@coarsest}&" or finer",'
                '{droplets.symbol@finest}&" to "&{droplets.symbol@coarsest}))))', "text",
                twin=trade.droplets_in_words,
                takes="finest coarsest droplets.symbol@finest droplets.symbol@coarsest"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)

TIP_CHECKS = Table(
    "tip_checks",
    "Nozzle by pass",
    "Each nozzle of the sprayer in each pass: the pressure it needs, its droplets, and the duty cycle of "
    "pulsed ones.",
    (
        *belonging("pass_droplets.tips_before"),
        result("pass", "Pass", "{pass_volumes.pass}", "name", needs="tip_row"),
        result("field", "Field", "{pass_volumes.field}", "name", needs="tip_row"),
        working("tip_row", "Nozzle row",
                'IF({row_no}>{pass_droplets.tips_before}+{pass_droplets.tips},"",'
                'IFERROR(MATCH({pass_volumes.sprayer_row}*100+{row_no}-{pass_droplets.tips_before},'
                '{nozzle_facts.key:all},0),""))',
                needs="pass_volumes.pass pass_volumes.sprayer_row"),
        result("nozzle", "Nozzle", or_blank("nozzles.nozzle@tip_row"), "name", needs="tip_row"),
        working("spacing", "Spacing", or_blank("nozzles.spacing@tip_row"), "spacing", needs="tip_row"),
        result("flow", "Flow wanted",
               'IF({pass_times.speed}=0,"",{passes.carrier}*{pass_times.speed}*{spacing}/flow_divisor'
               '*{pass_droplets.carrier_factor})', "flow", needs="spacing passes.carrier",
               twin=lambda carrier, speed, spacing, divisor, factor: trade.nozzle_flow(
                   carrier, speed, spacing, divisor)
               * factor if speed else "",
               takes="passes.carrier pass_times.speed spacing agronomy_factors.flow_divisor "
                     "pass_droplets.carrier_factor",
               note="Of water, as charts tell it: more where the carrier is heavier.",
               source="MU Extension G1270A; UF/IFAS WG013: gal/min = gal/ac x mph x in / 5940"),
        working("rated_flow", "Rated flow", "{nozzle_facts.flow@tip_row}", "flow", needs="tip_row"),
        working("rated_pressure", "Rated pressure", "{nozzle_facts.pressure@tip_row}", "pressure",
                needs="tip_row"),
        working("pulsed", "Pulsed", 'IF({nozzles.pulsed@tip_row}="yes",1,0)', "count", needs="tip_row"),
        working("set_pressure", "Set pressure", 'IF({pulsed}=1,' + or_blank("nozzles.set_pressure@tip_row")
                + ',"")', "pressure"),
        result("pressure", "Pressure",
               'IF({pulsed}=1,{set_pressure},IF(OR({flow}="",{rated_flow}="",{rated_pressure}=""),"",'
               '{rated_pressure}*({flow}/{rated_flow})*({flow}/{rated_flow})))', "pressure",
               twin=lambda pulsed, held, flow, *rated: held if pulsed == 1 else "" if "" in (flow, *rated)
               else trade.pressure_for(flow, *rated),
               takes="pulsed set_pressure flow rated_flow rated_pressure",
               source="square-root law of flow and pressure"),
        result("low_pressure", "From", or_blank("nozzles.low_pressure@tip_row"), "pressure", needs="tip_row"),
        result("high_pressure", "To", or_blank("nozzles.high_pressure@tip_row"), "pressure", needs="tip_row"),
        working("open_flow", "Flow when open", "{rated_flow}*SQRT({set_pressure}/{rated_pressure})", "flow",
                needs="set_pressure rated_flow rated_pressure",
                twin=trade.flow_at, takes="set_pressure rated_flow rated_pressure"),
        working("per_speed", "Duty cycle per speed", "{flow}/{open_flow}/{pass_times.speed}", "factor",
                needs="open_flow flow",
                twin=lambda flow, open_flow, speed: trade.duty_cycle(flow, open_flow) / speed,
                takes="flow open_flow pass_times.speed"),
        working("slowest", "Slowest speed", or_blank("nozzles.slowest_speed@tip_row"), "speed",
                needs="tip_row"),
        working("fastest", "Fastest speed", or_blank("nozzles.fastest_speed@tip_row"), "speed",
                needs="tip_row"),
        result("duty_slow", "Duty cycle at the slowest speed", "{per_speed}*{slowest}", "share",
               needs="per_speed slowest", twin=mul, takes="per_speed slowest"),
        result("duty_fast", "Duty cycle at the fastest speed", "{per_speed}*{fastest}", "share",
               needs="per_speed fastest", twin=mul, takes="per_speed fastest"),
        working("known", "All figures entered",
                'IF(OR({pressure}="",{low_pressure}="",{high_pressure}="",{flow}=""),0,IF({pulsed}=1,'
                'IF(OR({duty_slow}="",{duty_fast}=""),0,1),1))', "count"),
        check("pressure_status", "Pressure status",
              'IF({known}=0,"Not entered",IF(OR(ROUND({pressure}-{low_pressure},3)<0,'
              'ROUND({high_pressure}-{pressure},3)<0),"Review",'
              'IF({pulsed}<>1,"OK",IF(OR(ROUND({duty_slow}-least_duty,4)<0,ROUND({duty_fast}-1,4)>0),'
              '"Review","OK"))))', needs="tip_row",
              twin=trade.pressure_status,
              takes="known pressure low_pressure high_pressure pulsed duty_slow duty_fast "
                    "agronomy_settings.least_duty"),
        result("droplet", "Droplets", or_blank("nozzles.droplet@tip_row"), "text", needs="tip_row"),
        working("rank", "Droplet rank", "{nozzle_facts.rank@tip_row}", "count", needs="tip_row"),
        check("droplet_status", "Droplet status",
              'IF({pass_droplets.wish}=0,"",IF({rank}="","Not entered",IF({pass_droplets.finest}="",'
              'IF({rank}<={pass_droplets.coarsest},"OK","Not allowed"),'
              'IF({rank}<{pass_droplets.finest},"Not allowed",IF({pass_droplets.coarsest}="","OK",'
              'IF({rank}<={pass_droplets.coarsest},"OK","Not allowed"))))))', needs="tip_row",
              twin=trade.droplet_status, takes="rank pass_droplets.finest pass_droplets.coarsest"),
        working("fits", "Pressure fits", 'IF({pressure_status}="OK",1,0)', "count"),
        working("good", "Pressure and droplets fit",
                'IF({fits}=0,0,IF(OR({droplet_status}="",{droplet_status}="OK"),1,0))', "count"),
        working("unknown", "Pressure fits, droplets not entered",
                'IF(AND({fits}=1,{droplet_status}="Not entered"),1,0)', "count"),
    ),
    rows="of:passes:nozzle_lines",
    kind="result",
)

_SIZES = "flow nozzle_sizes.flow:all nozzle_sizes.pressure:all nozzle_totals.low nozzle_totals.high"



def _tips(mark: str) -> str:
    """How many nozzles of a pass hold a mark."""
    return counted(f"tip_checks.{mark}", 1, "tip_checks")


SPRAYER_CHECKS = Table(
    "sprayer_checks",
    "Sprayer check",
    "Whether the sprayer has a nozzle that gives the flow within its pressure range, with the droplets the "
    "labels want.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("flow", "Flow of each nozzle",
               'IF(%s=0,"",INDEX({tip_checks.flow:all},{pass_droplets.tips_before}+1))'
               % counted("tip_checks.flow", '">=0"', "tip_checks"), "flow",
               note="At the spacing of the sprayer's first nozzle row and its usual speed."),
        working("fitting", "With the pressure", _tips("fits"), "count"),
        working("good", "With the droplets too", _tips("good"), "count"),
        working("use", "Row to use",
                'IF({good}>0,%s,IF({fitting}>0,%s,""))' % (first_of("tip_checks.good", 1, "tip_checks"),
                                                           first_of("tip_checks.fits", 1, "tip_checks")),
                "index"),
        result("nozzle", "Nozzle that does it", "{tip_checks.nozzle@use}", "name", needs="use"),
        result("pressure", "At a pressure of", "{tip_checks.pressure@use}", "pressure", needs="use"),
        result("droplet", "Its droplets", "{tip_checks.droplet@use}", "text", needs="use"),
        result("wanted", "Droplets wanted", "{pass_droplets.wanted}", "text"),
        check("pressure_status", "Pressure status",
              'IF(OR({pass}="",{nozzle_totals.nozzles}=0),"",IF({pass_droplets.tips}=0,"Not entered",'
              'IF({fitting}>0,"OK",IF(%s>0,"Not entered","Review"))))'
              % counted("tip_checks.pressure_status", '"Not entered"', "tip_checks")),
        check("pressure_finding", "Pressure finding",
              'IF({pressure_status}="Not entered",IF({pass_droplets.tips}=0,"No nozzles entered for the '
              'sprayer of this pass","Size, spacing, pressure range or speed of a nozzle not entered"),'
              'IF({pressure_status}="Review",IF({pass_droplets.tips_before}+{pass_droplets.tips}'
              '>{room.nozzle_lines},"More nozzles of passes than there is room for: build the workbook '
              'again","None of the sprayer\'s nozzles gives the flow within its pressures or duty '
              'cycles"),""))', "long_text"),
        check("droplet_status", "Droplet status",
              'IF(OR({pressure_status}="",{pass_droplets.wish}=0,{fitting}=0),"",IF({good}>0,"OK",'
              'IF(%s>0,"Not entered","Not allowed")))' % _tips("unknown")),
        check("droplet_finding", "Droplet finding",
              'IF({droplet_status}="Not entered","Droplet category of a nozzle not entered;'
              ' labels want "&{wanted},'
              'IF({droplet_status}="Not allowed","Labels want "&{wanted}&", the nozzles that fit give "'
              '&{droplet},""))', "long_text"),
        working("below", "Sizes too small",
                "IFERROR(MATCH(ROUND({flow}*SQRT(INDEX({nozzle_sizes.pressure:all},1)/{nozzle_totals.high}),"
                "6)-0.0000005,{nozzle_sizes.flow:all},1),0)", "count", needs="flow",
                twin=lambda flow, flows, at, low, high: trade.sizes_between(flow, flows, at[0], low, high)[0],
                takes=_SIZES),
        working("upto", "Sizes up to the largest",
                "IFERROR(MATCH(ROUND({flow}*SQRT(INDEX({nozzle_sizes.pressure:all},1)/{nozzle_totals.low}),"
                "6)+0.0000005,{nozzle_sizes.flow:all},1),0)", "count", needs="flow",
                twin=lambda flow, flows, at, low, high: trade.sizes_between(flow, flows, at[0], low, high)[1],
                takes=_SIZES),
    ),
    rows="as:passes",
    kind="result",
    caution="Droplet demands of the label are law. Charts of the maker decide the droplet category at each "
            "pressure.",
)

NOZZLE_CHOICES = Table(
    "nozzle_choices",
    "Nozzle sizes",
    "Colour-coded sizes that give the flow of each pass within the pressure range of the agronomy settings.",
    (
        slot_number(),
        result("pass", "Pass", "{sprayer_checks.pass}", "name", needs="row"),
        result("field", "Field", "{sprayer_checks.field}", "name", needs="row"),
        working("row", "Size row",
                'IF({sprayer_checks.below}+{slot}<={sprayer_checks.upto},{sprayer_checks.below}+{slot},"")',
                needs="sprayer_checks.below"),
        result("flow", "Flow wanted", "{sprayer_checks.flow}", "flow", needs="row"),
        result("size", "Size", "{nozzle_sizes.size@row}", "text", needs="row"),
        result("colour", "Colour", "{nozzle_sizes.colour@row}", "text", needs="row"),
        result("rated_flow", "Nominal flow", "{nozzle_sizes.flow@row}", "flow", needs="row"),
        result("pressure", "Pressure it needs",
               "{nozzle_sizes.pressure@row}*({flow}/{rated_flow})*({flow}/{rated_flow})",
               "pressure", needs="row",
               twin=trade.pressure_for, takes="flow rated_flow nozzle_sizes.pressure@row"),
    ),
    rows="under:passes:sizes",
    kind="result",
)

_CAUGHT = ("mean rate from_mean above_new from_wanted agronomy_settings.catch_limit "
           "agronomy_settings.wear_limit")

CATCH_CHECKS = Table(
    "catch_checks",
    "Catch test results",
    "Spray volume that each catch stands for, how far it lies from the mean, and which nozzles to clean or "
    "replace.",
    (
        row_number(),
        result("sprayer", "Sprayer", "{catch_test.sprayer}", "name", needs="catch_test.sprayer"),
        result("position", "Position", "{catch_test.position}", "count", needs="catch_test.position"),
        place("sprayer_row", "Sprayer row", "sprayer", "sprayers.sprayer"),
        working("tip_row", "First nozzle of the sprayer",
                'IFERROR(MATCH({sprayer_row}*100+1,{nozzle_facts.key:all},0),"")', needs="sprayer_row"),
        typed_in("spacing", "Spacing", "nozzles.spacing", "tip_row", "spacing"),
        result("course", "Course", "IF(catch_course=0,catch_factor/{spacing},catch_course)", "length",
               needs="spacing",
               twin=lambda fixed, spacing, factor: fixed or trade.catch_course(spacing, factor),
               takes="agronomy_factors.catch_course spacing agronomy_factors.catch_factor",
               note="1/128 acre for one spacing, or 50 m.",
               source="LSU AgCenter, Ounces equal gallons; OMAFRA 50 m method"),
        result("rate", "Carrier rate", "{catch_test.catch}*catch_factor/({spacing}*{course})", "carrier",
               needs="course catch_test.catch",
               twin=trade.catch_rate, takes="catch_test.catch spacing course agronomy_factors.catch_factor"),
        working("key", "Sprayer and date", "{sprayer_row}*100000+SUM({catch_test.test_date})",
                needs="sprayer_row catch_test.catch"),
        working("first", "First row of the test", "MATCH({key},{key:all},0)", needs="key"),
        working("mean_at_first", "Mean at the first row",
                'IF({first}={row_no},SUMIF({key:all},{key},{catch_test.catch:all})/COUNTIF({key:all},'
                '{key}),"")', "small_volume",
                twin=lambda first, row, *test: trade.mean_caught(*test) if first == row else "",
                takes="first row_no key key:all catch_test.catch:all"),
        result("mean", "Mean caught", "{mean_at_first@first}", "small_volume", needs="first"),
        result("from_mean", "From the mean", "{catch_test.catch}/{mean}-1", "share", needs="mean",
               twin=trade.deviation, takes="catch_test.catch mean"),
        result("above_new", "Above a new one", "{catch_test.catch}/{catch_test.new_catch}-1", "share",
               needs="catch_test.catch catch_test.new_catch", twin=trade.deviation,
               takes="catch_test.catch catch_test.new_catch"),
        result("from_wanted", "From the carrier rate wanted", "{rate}/{catch_test.carrier_wanted}-1", "share",
               needs="rate catch_test.carrier_wanted", twin=trade.deviation,
               takes="rate catch_test.carrier_wanted"),
        result("speed", "Speed on the course", "{course}/{catch_test.seconds}*speed_per_course", "speed",
               needs="course catch_test.seconds",
               twin=lambda course, seconds, unit: course / seconds * unit,
               takes="course catch_test.seconds agronomy_factors.speed_per_course"),
        check("status", "Status",
              'IF(OR({mean}="",{rate}=""),"Not entered",IF(OR(ROUND(ABS({from_mean})-catch_limit,6)>0,'
              'ROUND(SUM({above_new})-wear_limit,6)>0,ROUND(ABS(SUM({from_wanted}))-catch_limit,6)>0),'
              '"Review","OK"))',
              needs="sprayer", twin=trade.catch_status, takes=_CAUGHT),
        check("finding", "Finding",
              'IF({status}="OK","",IF({status}="Not entered","Catch, or spacing of the sprayer\'s nozzles, '
              'not entered",IF(ROUND(SUM({above_new})-wear_limit,6)>0,"Worn: replace it",'
              'IF(ROUND(ABS({from_mean})-catch_limit,6)>0,IF({from_mean}>0,"Gives more than its neighbours: '
              'replace it","Gives less than its neighbours: clean it"),'
              '"Spray volume is off: check pressure and speed"))))', "long_text", needs="status",
              twin=trade.catch_finding, takes=_CAUGHT,
              source="5 % from the mean: Alberta Agdex 606-1, OMAFRA; 10 % above new: OSU Extension (Ozkan); "
                     "both are settings"),
    ),
    rows="as:catch_test",
    kind="result",
)

TABLES = (
    NOZZLES, CATCH_TEST, SPRAYER_CHECKS, TIP_CHECKS, NOZZLE_CHOICES, CATCH_CHECKS, NOZZLE_FACTS,
    NOZZLE_TOTALS, LINE_DROPLETS, PASS_DROPLETS,
    NOZZLE_SIZES, DROPLETS,
)

CHECKS = (
    CheckKind("Nozzle pressure", "sprayer_checks", "pressure_status", "pressure_finding", rank=200),
    CheckKind("Droplet size", "sprayer_checks", "droplet_status", "droplet_finding", rank=210),
)

#: Rows of the lists that are shipped.
GIVEN = (("nozzle_sizes", nozzle_sizes), ("droplets", lambda system: droplets()))
