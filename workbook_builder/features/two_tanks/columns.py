"""Two tanks in one trip, and the order of fields that lets leftover end on legal ground."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.core.short import check, result, working
from workbook_builder.features.shares.columns import SHEET

LEFTOVER_FACTS = Table(
    "leftover_facts",
    "Leftover workings",
    "Whether the label leaves room for one more application of each product.",
    (
        working("room_left", "Room left",
                'IF({product_limits.name}="","",IF({product_limits.needed}<>1,1,IF(OR({product_limits.max_season}="",{product_limits.max_passes}="",{product_limits.season_amount}="",{product_limits.rate}=""),0,'
                'IF(AND(ROUND({product_limits.season_amount}+{product_limits.rate}-{product_limits.max_season},6)<=0,{product_limits.passes}+1<={product_limits.max_passes}),1,0))))', "count",
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
    (working("takes", "Takes leftover", 'IF(COUNT({leftover_facts.room_left:block})=0,"",IF(COUNTIF({leftover_facts.room_left:block},0)=0,1,0))', "count"),),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)


def _spot(column: str) -> str:
    return 'IF({row}="","",INDEX({%s:all},{row}))' % column


def _partner(column: str) -> str:
    return 'IF({on}=0,"",INDEX({%s:all},{partner_row}))' % column


_TRIP = 'IF({trip}="","",%s)'


def _sum(key: str) -> str:
    return "SUMIF({trip:all},{trip},{%s:all})" % key


def _so_far(key: str) -> str:
    return 'SUMIFS({%s:all},{trip:all},{trip},{trip_key:all},"<="&{trip_key})' % key


def _out(usable: str, volume: str, rate: str, total: str) -> str:
    before = "({%s_after}-{%s_volume})" % (volume, volume)
    return _TRIP % (
        'IF(SUM({%s})<=0,"",IF(AND({%s}>%s,{%s}<={%s_after},ROUND({%s}-{%s},6)>0),{area_after}-{area}+({%s}-%s)/{%s},""))'
        % (usable, usable, before, usable, volume, total, usable, usable, before, rate)
    )


TWO_TANKS = Table(
    "two_tanks",
    "Two tanks",
    "Spot passes sprayed in one trip with a broadcast pass from the main tank: which tank runs out first and where, fills that empty both together, and which field to spray last.",
    (
        working("row", "Row of the pass", "{spot_passes.row}"),
        result("pass", "Pass", "{spot_passes.pass}", "name"),
        result("field", "Field", "{spot_passes.field}", "name"),
        result("partner", "Partner pass", 'IF({row}="","",INDEX({passes.partner_pass:all},{row})&"")', "name"),
        working("partner_row", "Row of the partner", 'IF(OR({row}="",{partner}=""),"",IFERROR(MATCH({partner}&"|"&{field},{pass_volumes.key:all},0),""))'),
        working("on", "In one trip", 'IF({partner_row}="",0,IF(INDEX({passes.method:all},{partner_row})="broadcast",1,0))', "count"),
        working("trip", "Trip", 'IF({on}=0,"",IF(OR({area}="",{main_rate}="",{spot_rate}="",SUM({main_usable})<=0,SUM({spot_usable})<=0),"",INDEX({pass_runs.run:all},{partner_row})))',
                note="Fields whose broadcast pass shares loads make one trip, in the order of the clock."),
        working("trip_key", "Order in the trip", _TRIP % "INDEX({tank_steps.place:all},{partner_row})*100000+{spot_passes.slot}"),
        result("area", "Field area", _spot("pass_volumes.area"), "area"),
        working("main_usable", "Main tank, usable", _partner("pass_volumes.usable"), "volume"),
        working("spot_usable", "Spot tank, usable", _spot("pass_volumes.usable"), "volume"),
        working("main_rate", "Main tank per area", 'IF({on}=0,"",IF(INDEX({passes.carrier:all},{partner_row})="","",INDEX({passes.carrier:all},{partner_row})))', "carrier"),
        result("spot_rate", "Spot tank per field area, mean", 'IF(OR({spot_passes.carrier}="",{spot_passes.share_mean}=""),"",{spot_passes.carrier}*{spot_passes.share_mean})', "carrier", digits=2),
        working("spot_rate_p80", "Spot tank per field area, enough 8 times in 10", 'IF({spot_rate}="","",{spot_passes.carrier}*INDEX({share_estimates.share_p80:all},{row}))', "carrier"),
        working("main_volume", "From the main tank", _TRIP % "{area}*{main_rate}", "volume"),
        working("spot_volume", "From the spot tank", _TRIP % "{area}*{spot_rate}", "volume"),
        working("spot_volume_p80", "From the spot tank, enough 8 times in 10", _TRIP % "{area}*{spot_rate_p80}", "volume"),
        working("area_after", "Area of the trip so far", _TRIP % _so_far("area"), "area"),
        working("main_after", "Main tank so far", _TRIP % _so_far("main_volume"), "volume"),
        working("spot_after", "Spot tank so far", _TRIP % _so_far("spot_volume"), "volume"),
        result("trip_area", "Area of the trip", _TRIP % _sum("area"), "area"),
        result("trip_main", "Main tank in all", _TRIP % _sum("main_volume"), "volume"),
        result("trip_spot", "Spot tank in all, mean", _TRIP % _sum("spot_volume"), "volume"),
        working("trip_spot_p80", "Spot tank in all, enough 8 times in 10", _TRIP % _sum("spot_volume_p80"), "volume"),
        result("main_loads", "Main loads", _TRIP % "ROUNDUP(ROUND({trip_main}/{main_usable},6),0)", "count"),
        result("spot_loads", "Spot loads, enough 8 times in 10", _TRIP % "ROUNDUP(ROUND({trip_spot_p80}/{spot_usable},6),0)", "count"),
        working("main_out", "Main tank empty here after", _out("main_usable", "main", "main_rate", "trip_main"), "area"),
        working("spot_out", "Spot tank empty here after", _out("spot_usable", "spot", "spot_rate", "trip_spot"), "area"),
        result("main_out_at", "Main tank lasts", _TRIP % ('IF(%s=0,"",%s)' % (_sum("main_out"), _sum("main_out"))), "area", note="Area of the trip until a full main tank is empty; blank when it lasts."),
        result("spot_out_at", "Spot tank lasts", _TRIP % ('IF(%s=0,"",%s)' % (_sum("spot_out"), _sum("spot_out"))), "area", note="Area of the trip until a full spot tank is empty, at the mean share."),
        result("first_out", "Runs out first",
               _TRIP % 'IF(AND({main_out_at}="",{spot_out_at}=""),"neither",IF({main_out_at}="","spot tank",IF({spot_out_at}="","main tank",IF(ROUND({main_out_at}-{spot_out_at},6)=0,"both together",IF({main_out_at}<{spot_out_at},"main tank","spot tank")))))', "text"),
        result("out_here", "Runs out here",
               _TRIP % ('IF({main_out}="","","main tank after "&ROUND(ROUND({main_out}-{area_after}+{area},6),1)&" of this field")&IF(OR({main_out}="",{spot_out}=""),"","; ")'
                        '&IF({spot_out}="","","spot tank after "&ROUND(ROUND({spot_out}-{area_after}+{area},6),1)&" of this field")'), "text", width=34, note="Acres or hectares into this field."),
        working("stop_area", "Most area a stop", _TRIP % "MIN({main_usable}*{trip_area}/{trip_main},IF({trip_spot_p80}=0,{trip_area},{spot_usable}*{trip_area}/{trip_spot_p80}))", "area"),
        result("stops", "Fills of both", _TRIP % "ROUNDUP(ROUND({trip_area}/{stop_area},6),0)", "count", note="Stops at which both tanks are filled so that they empty together."),
        result("area_per_stop", "Area a fill", _TRIP % 'IF({stops}=0,"",{trip_area}/{stops})', "area"),
        result("main_fill", "Main tank, each fill", 'IF({area_per_stop}="","",{area_per_stop}*{trip_main}/{trip_area})', "volume"),
        result("main_water", "Water in it", 'IF({main_fill}="","",IF(INDEX({pass_water.liquid_part:all},{partner_row})="","",{main_fill}*(1-INDEX({pass_water.liquid_part:all},{partner_row}))))', "volume"),
        result("main_extra", "Main tank, more in the first fill",
               'IF({area_per_stop}="","",INDEX({pass_volumes.opens:all},{trip})*INDEX({pass_volumes.unusable:all},{partner_row}))', "volume", note="Mixture that the pump cannot draw: it stays for the later fills."),
        result("spot_fill", "Spot tank, each fill", 'IF({area_per_stop}="","",{area_per_stop}*{trip_spot_p80}/{trip_area})', "volume", note="At the share that is enough 8 times in 10."),
        result("spot_water", "Water in it", 'IF({spot_fill}="","",IF(INDEX({pass_water.liquid_part:all},{row})="","",{spot_fill}*(1-INDEX({pass_water.liquid_part:all},{row}))))', "volume"),
        result("spot_extra", "Spot tank, more in the first fill",
               'IF(OR({area_per_stop}="",{run}=""),"",INDEX({pass_volumes.opens:all},{run})*{spot_passes.unusable})', "volume"),
        working("run", "Spot run", _spot("pass_runs.run")),
        result("fields_in_run", "Fields of the spot run", 'IF({run}="","",COUNTIF({run:all},{run}))', "count"),
        working("takes", "Takes leftover", _spot("leftover_room.takes"), "count"),
        working("order_key", "Order key", 'IF(OR({run}="",{area}=""),"",IF({takes}=1,1000000,0)+{area}+{spot_passes.slot}/100000)', "factor"),
        result("order", "Spray as number", 'IF({order_key}="","",1+COUNTIFS({run:all},{run},{order_key:all},"<"&{order_key}))', "count",
               note="Fields that may not take leftover first; the largest field with label room last."),
        result("leftover", "Leftover here", 'IF({run}="","",IF({takes}=1,IF({order}={fields_in_run},"legal here: spray last","label room left"),"no label room: leave none"))', "text", width=26),
        check("status", "Status",
              'IF({row}="","",IF({partner}="","",IF({on}=0,"Review",IF({trip}="","Not entered",IF(OR(INDEX({passes.sprayer:all},{row})&""<>INDEX({passes.sprayer:all},{partner_row})&"",'
              'INDEX({passes.date:all},{row})<>INDEX({passes.date:all},{partner_row}),SUM({spot_passes.spot_tank})=0),"Review","OK")))))'),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",IF({on}=0,"The partner is no broadcast pass on this field",IF({trip}="","Area, carrier, date, mix or tank is missing",'
              'IF(SUM({spot_passes.spot_tank})=0,"The sprayer has no spot tank","The partner has another sprayer or date"))))', "long_text"),
    ),
    rows="as:spot_passes",
    kind="result",
    caution="Order holds only where mixes and labels allow it; rinse between fields where a label asks for it.",
)

TWO_TANK_TABLES = (TWO_TANKS, LEFTOVER_FACTS, LEFTOVER_ROOM)
