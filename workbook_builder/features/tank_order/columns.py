"""The order in which passes fill each tank, by the clock, and the runs of fills that follow from it."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.core.short import result, row_number, working

SHEET = "Workings passes"

TANK_STEPS = Table(
    "tank_steps",
    "Tank workings",
    "Which tank each pass fills, when, and its place in the order of all passes: tank by tank, by the clock.",
    (
        working("tank_no", "Tank number",
                'IF(OR({pass_volumes.tank}="",{pass_volumes.sprayer_row}=""),"",({pass_volumes.sprayer_row}-1)*2+IF({pass_volumes.spot_tank}>0,2,1))'),
        working("seconds", "Start in seconds",
                'IF(OR({tank_no}="",{pass_volumes.mix_no}="",{pass_volumes.pass}="",{pass_times.start}=""),"",ROUND({pass_times.start}*86400,0))', "count",
                note="As logged, or else as planned; a pass without a start time begins its day."),
        working("queue", "Tank number, where the time is known", 'IF({seconds}="","",{tank_no})'),
        working("tie", "Order at the same time", 'IF({seconds}="","",{pass_volumes.mix_no}*10000+{pass_rows.row_no})', "count", note="One mix after the other."),
        working("place", "Place in the order",
                'IF({seconds}="","",1+COUNTIF({queue:all},"<"&{queue})+COUNTIFS({queue:all},{queue},{seconds:all},"<"&{seconds})'
                '+COUNTIFS({queue:all},{queue},{seconds:all},{seconds},{tie:all},"<"&{tie}))', "count"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)

TANK_ORDER = Table(
    "tank_order",
    "Tank order workings",
    "All passes tank by tank and by the clock: which one goes on with the mix that is still in the tank, and which ones share loads.",
    (
        row_number(),
        working("row", "Row of the pass", 'IFERROR(MATCH({row_no},{tank_steps.place:all},0),"")'),
        working("tank_no", "Tank number", 'IF({row}="","",INDEX({tank_steps.queue:all},{row}))'),
        working("follows", "Follows in the same tank", 'IF({row}="",0,IF({tank_no:above}={tank_no},1,0))', "count"),
        working("mix_no", "Mix number", 'IF({row}="","",INDEX({pass_volumes.mix_no:all},{row}))'),
        working("strength", "Carrier rate, in millionths", 'IF({row}="","",ROUND(SUM(INDEX({passes.carrier:all},{row}))*1000000,0))', "count",
                note="At another carrier rate a mix has another strength."),
        working("continues", "Goes on with the mix in the tank",
                'IF({follows}=0,0,IF(AND({mix_no:above}={mix_no},{strength:above}={strength},INDEX({passes.clean_before:all},{row})<>"yes"),1,0))', "count"),
        working("ready", "Its loads are known", 'IF({row}="",0,IF(INDEX({pass_volumes.loads:all},{row})="",0,1))', "count"),
        working("joins", "Shares loads with the one before",
                'IF({continues}=0,0,IF(AND({ready:above}=1,{ready}=1,INDEX({pass_times.day:all},{row})=INDEX({pass_times.day:all},{row:above}),'
                "INDEX({passes.method:all},{row})=INDEX({passes.method:all},{row:above})),1,0))", "count"),
        working("run", "Run", 'IF({ready}=0,"",IF({joins}=1,{run:above},{row}))', "count"),
        working("volume", "Spray volume", "IF({ready}=0,0,INDEX({pass_volumes.volume:all},{row}))", "volume"),
        working("run_after", "Volume of the run so far", 'IF({ready}=0,"",IF({joins}=1,{run_after:above}+{volume},{volume}))', "volume"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)


def _in_order(key: str) -> str:
    return 'IF({tank_steps.place}="","",INDEX({tank_order.%s:all},{tank_steps.place}))' % key


PASS_RUNS = Table(
    "pass_runs",
    "Shared loads",
    "Fields sprayed one after the other with one mix on one day from one tank share loads, in the order of the clock: which load each field starts and ends in.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("run", "Run", _in_order("run"), "count", note="Row of the first field of the run, by the clock, as logged or else as planned."),
        result("fields_in_run", "Fields in the run", 'IF({run}="","",COUNTIF({run:all},{run}))', "count"),
        working("run_after", "Volume of the run so far", _in_order("run_after"), "volume"),
        working("run_before", "Volume of the run before", 'IF({run}="","",{run_after}-{pass_volumes.volume})', "volume"),
        result("run_volume", "Volume of the run", 'IF({run}="","",SUMIF({run:all},{run},{pass_volumes.volume:all}))', "volume"),
        result("run_loads", "Loads of the run", 'IF({run}="","",ROUNDUP(ROUND({run_volume}/{pass_volumes.usable},6),0))', "count"),
        result("starts_in_load", "Starts in load", 'IF({run}="","",INT(ROUND({run_before}/{pass_volumes.usable},6))+1)', "count"),
        result("ends_in_load", "Ends in load", 'IF({run}="","",MAX({starts_in_load},ROUNDUP(ROUND({run_after}/{pass_volumes.usable},6),0)))', "count"),
        result("left_in_load", "Left in the tank at the field's end",
               'IF({run}="","",IF(ROUND({run_volume}-{run_after},6)<=0,0,{ends_in_load}*{pass_volumes.usable}-{run_after}))', "volume",
               note="Usable volume left for the next field when the current load was filled."),
        result("run_last_load", "Last load of the run",
               'IF({run}="","",IF({run_loads}=0,0,{run_volume}-({run_loads}-1)*{pass_volumes.usable}+IF({run_loads}=1,INDEX({pass_volumes.opens:all},{run})*{pass_volumes.unusable},0)))', "volume",
               note="What is added in it; the unusable volume is in the tank from the first load on."),
        result("advice", "Advice",
               'IF({run}="","",IF(OR({run_loads}<2,ROUND({run_volume}-({run_loads}-1)*{pass_volumes.usable}+{pass_volumes.unusable}-least_load*{pass_volumes.tank},6)>=0),"",'
               '"The last load of "&ROUND(ROUND({run_last_load},6),1)&" "&liquid_name_1&" is too small to agitate: mix "&{run_loads}&" even loads of "&ROUND(ROUND({run_volume}/{run_loads},6),1)&" "&liquid_name_1))', "text", width=44),
        result("loads_saved", "Fills saved by sharing",
               'IF({run}="","",SUMIF({run:all},{run},{pass_volumes.loads:all})-{run_loads})', "count",
               note="Fewer fills than field by field; the same on each row of the run."),
    ),
    rows="as:passes",
    kind="result",
)

TANK_TABLES = (PASS_RUNS, TANK_STEPS, TANK_ORDER)
