"""Two tanks in one trip, and the order of fields that lets leftover end on legal ground."""

from __future__ import annotations

from operator import mul
from typing import Any

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.rounding import whole_above
from workbook_builder.core.short import check, or_blank, result, working
from workbook_builder.features.two_tanks import definitions as tanks


def _partner(key: str, header: str, column: str, quantity: str) -> Column:
    """Declare a typed or worked-out figure of the pass from the main tank, blank kept blank."""
    return working(key, header, 'IF({on}=0,"",%s)' % or_blank(f"{column}@partner_row"), quantity)


def _so_far(key: str, header: str, of: str, quantity: str) -> Column:
    """Declare a sum over the fields of the trip, this one the last."""
    return working(key, header, 'SUMIFS({%s:all},{group:all},{group},{trip_key:all},"<="&{trip_key})' % of,
                   quantity, needs="trip")


def _sum(of: str) -> str:
    return "SUMIF({group:all},{group},{%s:all})" % of


def _out(tank: str, header: str) -> Column:
    """Declare where in this field a full tank runs out, as area of the trip."""
    def of_tank(text: str) -> str:
        return text.replace("T_", f"{tank}_").replace("_T", f"_{tank}")

    formula = ("IF(AND({T_usable}>{T_after}-{T_volume},{T_usable}<={T_after},ROUND({trip_T}-{T_usable},6)>0),"
               "{area_after}-{area}+({T_usable}-({T_after}-{T_volume}))/{T_rate},\"\")")
    return working(f"{tank}_out", header, of_tank(formula), "area", needs="trip", twin=tanks.trip_empty_at,
                   takes=of_tank("T_usable trip_T T_after T_volume T_rate area_after area"))


def _out_at(tank: str, header: str, note: str) -> Column:
    total = _sum(f"{tank}_out")
    return result(f"{tank}_out_at", header, f'IF({total}=0,"",{total})', "area", needs="trip", note=note)


def _fill(tank: str, header: str, volume: str, **more: Any) -> Column:
    """Declare what every stop fills into a tank."""
    return result(f"{tank}_fill", header, "{area_per_stop}*{%s}/{trip_area}" % volume, "volume",
                  needs="area_per_stop", twin=lambda area, stop, trip: area * (stop / trip),
                  takes=f"{volume} area_per_stop trip_area", **more)


def _water(tank: str, row: str) -> Column:
    """Declare the water in a fill."""
    liquid = "pass_water.liquid_part@" + row
    return result(f"{tank}_water", "Water in it",
                  'IF({%s}="","",{%s_fill}*(1-{%s}))' % (liquid, tank, liquid), "volume",
                  needs=f"{tank}_fill", twin=lambda fill, liquid: "" if liquid == ""
                  else fill - fill * liquid, takes=f"{tank}_fill {liquid}")


TWO_TANKS = Table(
    "two_tanks",
    "Two tanks",
    "Spot passes sprayed in one trip with a broadcast pass from the main tank: which tank runs out first and "
    "where, fills that empty both together, and which field to spray last.",
    (
        working("row", "Row of the pass", "{spot_passes.row}"),
        result("pass", "Pass", "{spot_passes.pass}", "name"),
        result("field", "Field", "{spot_passes.field}", "name"),
        result("partner", "Partner pass", '{passes.partner_pass@row}&""', "name", needs="row"),
        working("partner_row", "Row of the partner",
                'IFERROR(MATCH({partner}&"|"&{field},{pass_volumes.key:all},0),"")', needs="row partner"),
        working("on", "In one trip", 'IF({partner_row}="",0,IF({passes.method@partner_row}="broadcast",1,0))',
                "count"),
        working("trip", "Trip",
                'IF(OR(SUM({main_usable})<=0,SUM({spot_usable})<=0),"",{pass_runs.run@partner_row})',
                needs="area main_rate spot_rate",
                note="Fields whose broadcast pass shares loads make one trip, in the order of the clock."),
        working("group", "Trip with one spot mix",
                "{trip}*10000+IF({pass_volumes.mix_no@row}=\"\",0,{pass_volumes.mix_no@row})",
                needs="trip row",
                note="Fields whose spot mixes differ are never filled from one tank."),
        working("trip_key", "Order in the trip", "{tank_steps.place@partner_row}*100000+{spot_passes.slot}",
                needs="trip"),
        working("area", "Field area", "{spot_passes.area_driven}", "area", needs="row"),
        _partner("main_usable", "Main tank, usable", "pass_volumes.usable", "volume"),
        working("spot_usable", "Spot tank, usable", "{pass_volumes.usable@row}", "volume", needs="row"),
        _partner("main_rate", "Main tank per area", "passes.carrier", "carrier"),
        result("spot_rate", "Spot tank per area driven",
               'IF({area}=0,"",{spot_passes.volume_expected}/{area})', "carrier", digits=2,
               needs="area spot_passes.volume_expected", twin=lambda area, volume: volume / area if area
               else "", takes="area spot_passes.volume_expected", was=("Spot tank per field area, mean",)),
        working("main_volume", "From the main tank", "{area}*{main_rate}", "volume", needs="trip", twin=mul,
                takes="area main_rate"),
        working("spot_volume", "From the spot tank", "{spot_passes.volume_expected}", "volume", needs="trip"),
        working("spot_volume_safe", "From the spot tank, at your confidence", "{spot_passes.volume_safe}",
                "volume", needs="trip"),
        _so_far("area_after", "Area of the trip so far", "area", "area"),
        _so_far("main_after", "Main tank so far", "main_volume", "volume"),
        _so_far("spot_after", "Spot tank so far", "spot_volume", "volume"),
        result("trip_area", "Area of the trip", _sum("area"), "area", needs="trip"),
        result("trip_main", "Main tank in all", _sum("main_volume"), "volume", needs="trip"),
        result("trip_spot", "Spot tank in all", _sum("spot_volume"), "volume", needs="trip"),
        working("trip_spot_safe", "Spot tank in all, at your confidence", _sum("spot_volume_safe"), "volume",
                needs="trip"),
        result("main_loads", "Main loads", "ROUNDUP(ROUND({trip_main}/{main_usable},6),0)", "count",
               needs="trip", twin=lambda volume, usable: whole_above(volume / usable),
               takes="trip_main main_usable"),
        result("spot_loads", "Spot loads, at your confidence",
               "ROUNDUP(ROUND({trip_spot_safe}/{spot_usable},6),0)", "count",
               needs="trip", twin=lambda volume, usable: whole_above(volume / usable),
               takes="trip_spot_safe spot_usable"),
        _out("main", "Main tank empty here after"),
        _out("spot", "Spot tank empty here after"),
        _out_at("main", "Main tank lasts",
                "Area of the trip until a full main tank is empty; blank when it lasts."),
        _out_at("spot", "Spot tank lasts",
                "Area of the trip until a full spot tank is empty, at the likely share."),
        result("first_out", "Runs out first",
               'IF(AND({main_out_at}="",{spot_out_at}=""),"neither",IF({main_out_at}="","spot tank",'
               'IF({spot_out_at}="","main tank",'
               'IF(ROUND({main_out_at}-{spot_out_at},6)=0,"both together",IF({main_out_at}<{spot_out_at},'
               '"main tank","spot tank")))))', "text", needs="trip", twin=tanks.first_out,
               takes="main_out_at spot_out_at"),
        result("out_here", "Runs out here",
               'IF({main_out}="","","main tank after "&ROUND(ROUND({main_out}-{area_after}+{area},6),'
               '1)&" of this field")&IF(OR({main_out}="",{spot_out}=""),"","; ")'
               '&IF({spot_out}="","","spot tank after "&ROUND(ROUND({spot_out}-{area_after}+{area},6),'
               '1)&" of this field")', "text", width=34,
               needs="trip", twin=tanks.out_here, takes="main_out spot_out area_after area",
               note="Acres or hectares into this field."),
        working("stop_area", "Most area a stop",
                "MIN({main_usable}*{trip_area}/{trip_main},IF({trip_spot_safe}=0,{trip_area},"
                "{spot_usable}*{trip_area}/{trip_spot_safe}))", "area",
                needs="trip", twin=tanks.most_area,
                takes="trip_area main_usable trip_main spot_usable trip_spot_safe"),
        result("stops", "Fills of both", "ROUNDUP(ROUND({trip_area}/{stop_area},6),0)", "count", needs="trip",
               twin=lambda trip, stop: whole_above(trip / stop), takes="trip_area stop_area",
               note="Stops at which both tanks are filled so that they empty together."),
        result("area_per_stop", "Area a fill", 'IF({stops}=0,"",{trip_area}/{stops})', "area", needs="trip",
               twin=lambda area, stops: area / stops if stops else "", takes="trip_area stops"),
        _fill("main", "Main tank, each fill", "trip_main"),
        _water("main", "partner_row"),
        result("main_extra", "Main tank, more in the first fill",
               "{pass_volumes.opens@trip}*{pass_volumes.unusable@partner_row}", "volume",
               needs="area_per_stop", twin=mul,
               takes="pass_volumes.opens@trip pass_volumes.unusable@partner_row",
               note="Mixture that the pump cannot draw: it stays for the later fills."),
        _fill("spot", "Spot tank, each fill", "trip_spot_safe", note="At your confidence."),
        _water("spot", "row"),
        result("spot_extra", "Spot tank, more in the first fill",
               "{pass_volumes.opens@run}*{spot_passes.unusable}", "volume",
               needs="area_per_stop run", twin=mul, takes="pass_volumes.opens@run spot_passes.unusable"),
        working("run", "Spot run", "{pass_runs.run@row}", needs="row"),
        result("fields_in_run", "Fields of the spot run", "COUNTIF({run:all},{run})", "count", needs="run"),
        working("takes", "Takes leftover", "{leftover_room.takes@row}", "count", needs="row"),
        working("order_key", "Order key", "IF({takes}=1,1000000,0)+{area}+{spot_passes.slot}/100000",
                "factor", needs="run area", twin=tanks.order_key, takes="takes area spot_passes.slot"),
        result("order", "Spray as number", '1+COUNTIFS({run:all},{run},{order_key:all},"<"&{order_key})',
               "count", needs="order_key",
               note="Fields that may not take leftover first; the largest field with label room last."),
        result("leftover", "Leftover here",
               'IF({takes}=1,IF({order}={fields_in_run},"legal here: spray last","label room left"),'
               '"no label room: leave none")', "text", width=26, needs="run"),
        check("status", "Status",
              'IF({on}=0,"Review",IF({trip}="","Not entered",'
              'IF(OR({passes.sprayer@row}&""<>{passes.sprayer@partner_row}&"",'
              '{passes.date@row}<>{passes.date@partner_row},SUM({spot_passes.spot_tank})=0),"Review","OK")))',
              needs="row partner"),
        check("finding", "Finding",
              'IF({status}="OK","",IF({on}=0,"The partner is no broadcast pass on this field",IF({trip}="",'
              '"Area, carrier, date, mix or tank is missing",'
              'IF(SUM({spot_passes.spot_tank})=0,"The sprayer has no spot tank",'
              '"The partner has another sprayer or date"))))', "long_text", needs="status"),
    ),
    rows="as:spot_passes",
    kind="result",
    caution="Order holds only where mixes and labels allow it; rinse between fields where a label asks "
            "for it.",
)

TABLES = (TWO_TANKS,)
