"""The order in which passes fill each tank, by the clock, and the runs of fills that follow from it."""

from __future__ import annotations

from operator import sub

from workbook_builder.core.columns import Table
from workbook_builder.core.rounding import rounded, whole_below
from workbook_builder.core.short import result, row_number, working
from workbook_builder.features.loads.definitions import loads_needed
from workbook_builder.features.tank_order.definitions import last_load, places, run_advice

SHEET = "Workings passes"

TANK_STEPS = Table(
    "tank_steps",
    "Tank workings",
    "Which tank each pass fills, when, and its place in the order of all passes: tank by tank, by the clock.",
    (
        working("tank_no", "Tank number",
                '({pass_volumes.sprayer_row}-1)*2+IF({pass_volumes.spot_tank}>0,2,1)',
                needs="pass_volumes.tank pass_volumes.sprayer_row"),
        working("seconds", "Start in seconds", 'ROUND({pass_times.start}*86400,0)', "count",
                needs="tank_no pass_volumes.mix_no pass_volumes.pass pass_times.start",
                twin=lambda start: int(rounded(start * 86400)), takes="pass_times.start",
                note="As logged, or else as planned; a pass without a start time begins its day."),
        working("queue", "Tank number, where the time is known", '{tank_no}', needs="seconds"),
        working("tie", "Order at the same time", '{pass_volumes.mix_no}*10000+{pass_rows.row_no}',
                needs="seconds", note="One mix after the other."),
        working("place", "Place in the order",
                '1+COUNTIF({queue:all},"<"&{queue})+COUNTIFS({queue:all},{queue},{seconds:all},"<"&{seconds})'
                '+COUNTIFS({queue:all},{queue},{seconds:all},{seconds},{tie:all},"<"&{tie})', "count",
                needs="seconds"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
    whole=places,
    gives="place",
)

TANK_ORDER = Table(
    "tank_order",
    "Tank order workings",
    "All passes tank by tank and by the clock: which one goes on with the mix that is still in the tank, and "
    "which ones share loads.",
    (
        row_number(),
        working("row", "Row of the pass", 'IFERROR(MATCH({row_no},{tank_steps.place:all},0),"")'),
        working("tank_no", "Tank number", '{tank_steps.queue@row}', needs="row"),
        working("follows", "Follows in the same tank", 'IF({row}="",0,IF({tank_no:above}={tank_no},1,0))',
                "count"),
        working("mix_no", "Mix number", '{pass_volumes.mix_no@row}', needs="row"),
        working("strength", "Carrier rate, in millionths", 'ROUND(SUM({passes.carrier@row})*1000000,0)',
                "count", needs="row",
                twin=lambda carrier: rounded((carrier or 0) * 1000000), takes="passes.carrier@row",
                note="At another carrier rate a mix has another strength."),
        working("continues", "Goes on with the mix in the tank",
                'IF({follows}=0,0,IF(AND({mix_no:above}={mix_no},{strength:above}={strength},'
                '{passes.clean_before@row}<>"yes"),1,0))', "count"),
        working("ready", "Its loads are known", 'IF({row}="",0,IF({pass_volumes.loads@row}="",0,1))',
                "count"),
        working("joins", "Shares loads with the one before",
                'IF({continues}=0,0,IF(AND({ready:above}=1,{ready}=1,'
                '{pass_times.day@row}=INDEX({pass_times.day:all},{row:above}),'
                '{passes.method@row}=INDEX({passes.method:all},{row:above})),1,0))', "count"),
        working("run", "Run", 'IF({ready}=0,"",IF({joins}=1,{run:above},{row}))', "count"),
        working("volume", "Spray volume", 'IF({ready}=0,0,{pass_volumes.volume@row})', "volume"),
        working("run_after", "Volume of the run so far",
                'IF({ready}=0,"",IF({joins}=1,{run_after:above}+{volume},{volume}))', "volume",
                takes="ready joins run_after:above volume",
                twin=lambda ready, joins, before, volume: "" if not ready else before + volume
                if joins else volume),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)

PASS_RUNS = Table(
    "pass_runs",
    "Shared loads",
    "Fields sprayed one after the other with one mix on one day from one tank share loads, in the order of "
    "the clock: which load each field starts and ends in.",
    (
        result("pass", "Pass", '{pass_volumes.pass}', "name"),
        result("field", "Field", '{pass_volumes.field}', "name"),
        result("run", "Run", '{tank_order.run@tank_steps.place}', "count", needs="tank_steps.place",
               note="Row of the first field of the run, by the clock, as logged or else as planned."),
        working("run_after", "Volume of the run so far", '{tank_order.run_after@tank_steps.place}', "volume",
                needs="tank_steps.place"),
        working("run_before", "Volume of the run before", '{run_after}-{pass_volumes.volume}', "volume",
                needs="run", twin=sub, takes="run_after pass_volumes.volume"),
        result("run_volume", "Volume of the run", 'SUMIF({run:all},{run},{pass_volumes.volume:all})',
               "volume", needs="run"),
        result("run_loads", "Loads of the run", 'ROUNDUP(ROUND({run_volume}/{pass_volumes.usable},6),0)',
               "count", needs="run", twin=loads_needed, takes="run_volume pass_volumes.usable"),
        result("starts_in_load", "Starts in load", 'INT(ROUND({run_before}/{pass_volumes.usable},6))+1',
               "count", needs="run", takes="run_before pass_volumes.usable",
               twin=lambda before, usable: whole_below(before / usable) + 1),
        result("ends_in_load", "Ends in load",
               'MAX({starts_in_load},ROUNDUP(ROUND({run_after}/{pass_volumes.usable},6),0))', "count",
               needs="run", takes="starts_in_load run_after pass_volumes.usable",
               twin=lambda starts, so_far, usable: max(starts, loads_needed(so_far, usable))),
        result("run_last_load", "Last load of the run",
               'IF({run_loads}=0,0,{run_volume}-({run_loads}-1)*{pass_volumes.usable}+IF({run_loads}=1,'
               '{pass_volumes.opens@run}*{pass_volumes.unusable},0))', "volume", needs="run",
               twin=last_load, takes="run_volume run_loads pass_volumes.usable pass_volumes.opens@run "
                                     "pass_volumes.unusable",
               note="What is added in it; the unusable volume is in the tank from the first load on."),
        result("advice", "Advice",
               'IF(OR({run_loads}<2,ROUND({run_volume}-({run_loads}-1)*{pass_volumes.usable}'
               '+{pass_volumes.unusable}-least_load*{pass_volumes.tank},6)>=0),"",'
               '"The last load of "&ROUND(ROUND({run_last_load},6),1)&" "&liquid_name_1'
               '&" is too small to agitate: mix "&{run_loads}&'
               '" even loads of "&ROUND(ROUND({run_volume}/{run_loads},6),1)&" "&liquid_name_1)',
               "text", needs="run", width=44,
               twin=run_advice, takes="run_volume run_loads run_last_load pass_volumes.usable "
                                      "pass_volumes.unusable pass_volumes.tank assumptions.least_load "
                                      "factors.liquid_name_1"),
        result("loads_saved", "Fills saved by sharing",
               'SUMIF({run:all},{run},{pass_volumes.loads:all})-{run_loads}', "count",
               needs="run", note="Fewer fills than field by field; the same on each row of the run."),
    ),
    rows="as:passes",
    kind="result",
)


TABLES = (PASS_RUNS, TANK_STEPS, TANK_ORDER)
