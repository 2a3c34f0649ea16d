"""Volumes, loads, shared tanks, timing and the product in every load."""

from __future__ import annotations

from collections.abc import Callable
from operator import mul, sub, truediv
from typing import Any

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import LOOK, RESULT, Column, Table
from workbook_builder.core.short import belonging, check, lines_of, part_of, place, result, typed_in, working
from workbook_builder.features.clock.columns import by_the_clock, minute_of, universal
from workbook_builder.features.loads import pours
from workbook_builder.features.loads.by_the_clock import ends_by_the_clock
from workbook_builder.features.loads.definitions import (
    NO_DAY,
    amount_in,
    pass_state,
    room_taken,
    split_into_loads,
    spray_volume,
    too_small_to_agitate,
    work_rate,
)
from workbook_builder.features.loads.lines import counted, summed
from workbook_builder.features.loads.measuring import MEASURING_STEPS, measuring_steps
from workbook_builder.features.shares.definitions import NO_SHARE
from workbook_builder.features.work_rate.definitions import hours_with_refills

FULL = "More products than there is room for: build the workbook again"
#: What the state of a pass follows from.
_STATE = (
    "loads mix_no crop pass_times.day pass_water.liquid_part mix_status mix_finding too_small "
    "last_load_volume even_load_volume factors.liquid_name_1 "
    "passes.method share area"
)


def _split(part: str) -> Callable[..., Any]:
    """Return the twin that tells one figure of a spray volume split into loads."""
    return lambda volume, tank, unusable, opens=1: getattr(split_into_loads(
        volume, tank, unusable, opens == 1), part)


def _of_mix(key: str, header: str, of_mix: str, room: str) -> tuple[Column, Column]:
    """Declare how many lines the mix of a pass has, and those of the passes above."""
    return lines_of(key, f"{header} of its mix",
                    f'IF({{mix_no}}="",0,MIN({{mix_list.{of_mix}@mix_no}},{{room.{room}}}))')


PASS_VOLUMES = Table(
    "pass_volumes",
    "Volumes",
    "Spray volume and tank loads of every pass and field.",
    (
        result("pass", "Pass", '{passes.pass}', "name", needs="passes.pass"),
        result("field", "Field", '{passes.field}', "name", needs="passes.field"),
        working("key", "Pass and field", '{pass}&"|"&{field}', "text", needs="pass"),
        place("mix_no", "Mix number", "passes.mix", "mix_list.mix"),
        place("field_row", "Field row", "passes.field", "fields.field"),
        place("sprayer_row", "Sprayer row", "passes.sprayer", "sprayers.sprayer"),
        *_of_mix("lines", "Products", "count", "products"),
        *_of_mix("ingredients", "Ingredients", "ingredients", "ingredients"),
        working("crop", "Crop", '{pass_crops.crop}', "name"),
        typed_in("area", "Field area", "fields.area", "field_row", "area", RESULT),
        result("share", "Share of field sprayed",
               'IF({passes.method}<>"spot",1,IF(SUM({share_estimates.evidence})=0,"",'
               '{share_estimates.field_share}))', "share",
               needs="passes.method",
               note="Of a spot pass: sprayed so far and the mean for the rest; blank where there is nothing "
                    "to go by."),
        result("sprayed_area", "Sprayed area", '{area}*{share}', "area", needs="area share", twin=mul,
               takes="area share"),
        result("volume", "Spray volume", '{sprayed_area}*{passes.carrier}', "volume",
               needs="sprayed_area passes.carrier", twin=spray_volume, takes="area share passes.carrier"),
        working("spot_tank", "Spot tank",
                'IF({sprayer_row}="",0,IF({passes.method}="spot",SUM({sprayers.spot_tank@sprayer_row}),0))',
                "volume"),
        result("tank", "Tank", 'IF({spot_tank}>0,{spot_tank},SUM({sprayers.main_tank@sprayer_row}))',
               "volume", needs="sprayer_row"),
        working("unusable", "Unusable volume", 'SUM({sprayers.unusable_volume@sprayer_row})', "volume",
                needs="sprayer_row"),
        working("usable", "Usable per fill", '{tank}-{unusable}', "volume", needs="tank", twin=sub,
                takes="tank unusable"),
        working("to_come", "Volume of the loads to come",
                'IF(OR({spot_uses.slot}="",SUM({share_estimates.remaining_area})=0),{volume},'
                '{spot_passes.later@spot_uses.slot})', "volume", needs="volume",
                note="Of a spot pass: as expected after the next fill."),
        result("full_loads", "Full loads", 'IF({usable}<=0,"",INT(ROUND({to_come}/{usable},6)))', "count",
               needs="to_come usable", takes="to_come tank unusable",
               twin=lambda volume, tank, unusable: split_into_loads(volume, tank, unusable).full
               if tank > unusable else "", note="Of a spot pass: those after the next fill."),
        working("remainder", "Left after full loads", 'ROUND({to_come}-{full_loads}*{usable},6)', "volume",
                needs="full_loads", twin=_split("remainder"), takes="to_come tank unusable"),
        result("loads", "Loads",
               'IF({spot_uses.slot}="",{full_loads}+IF({remainder}>0,1,0),'
               '{spot_passes.fills_expected@spot_uses.slot})', "count", needs="remainder",
               note="Of a spot pass: those logged, the next fill and those expected after it."),
        working("opens", "Fills an empty tank",
                'IF({tank_steps.place}="",1,1-{tank_order.continues@tank_steps.place})', "count",
                needs="volume usable",
                note="1 where the first load also fills what the pump cannot draw; 0 where that is left from "
                     "the same mix before."),
        working("next_fill", "Next fill",
                'IF(SUM({share_estimates.remaining_area})=0,"",{spot_passes.next_fill@spot_uses.slot})',
                "volume", needs="spot_uses.slot", note="Of a spot pass that is not done."),
        result("first_load_volume", "First load",
               'IF({next_fill}<>"",{next_fill},IF({full_loads}+{remainder}=0,0,IF({full_loads}>0,{usable},'
               '{remainder})+{opens}*{unusable}))', "volume", needs="loads",
               twin=lambda fill, *volumes: _split("first")(*volumes) if fill == "" else fill,
               takes="next_fill to_come tank unusable opens",
               note="Volume to mix for the first load, of a spot pass for the next one; the unusable volume "
                    "goes in once for a run of fills with the same mix in the same tank."),
        result("later_load_volume", "Later full load", '{usable}', "volume", needs="loads",
               note="Volume to add for each full load after the first."),
        result("last_load_volume", "Last load",
               'IF({remainder}>0,{remainder}+IF(AND({full_loads}=0,{next_fill}=""),{opens}*{unusable},0),0)',
               "volume",
               needs="remainder",
               twin=lambda fill, volume, tank, unusable, opens: _split("last")(
                   volume, tank, unusable, opens if fill == "" else 0),
               takes="next_fill to_come tank unusable opens",
               note="Volume to add for the last, part load; 0 when full loads fit exactly."),
        result("even_load_volume", "Even load",
               'IF({next_fill}<>"",{next_fill},IF({full_loads}+{remainder}=0,0,'
               '{volume}/({full_loads}+IF({remainder}>0,1,0))))', "volume", needs="loads",
               twin=lambda fill, *volumes: _split("even")(*volumes) if fill == "" else fill,
               takes="next_fill to_come tank unusable opens",
               note="Volume to add for each load when all loads are made equal; the first one also fills the "
                    "unusable volume."),
        working("planned_volume", "Volume planned", '{volume}+IF({loads}>0,{opens}*{unusable},0)', "volume",
                needs="loads", twin=lambda volume, loads, opens, unusable: volume
                + (opens * unusable if loads else 0),
                takes="volume loads opens unusable",
                note="Sprayed, and what the pump cannot draw; what is paid for."),
        result("mixed_volume", "Volume mixed",
               'IF({next_fill}="",{planned_volume},{share_estimates.volume_mixed}+{next_fill}+{to_come})',
               "volume", needs="loads",
               twin=lambda fill, planned, mixed, later: planned if fill == "" else mixed + fill + later,
               takes="next_fill planned_volume share_estimates.volume_mixed to_come",
               note="Of a spot pass: by the log, the next fill and what is expected after it."),
        working("too_small", "Last load does not agitate",
                'IF(AND({spot_uses.slot}="",{loads}>1,{remainder}>0,'
                'ROUND({remainder}+{unusable}-least_load*{tank},6)<0),1,0)', "count",
                needs="loads", takes="spot_uses.slot loads remainder unusable tank assumptions.least_load",
                twin=lambda slot, loads, last, unusable, tank, least: int(
                    slot == "" and loads > 1 and too_small_to_agitate(last, unusable, tank, least))),
        working("full", "More lines than there is room for",
                'IF(OR({lines_before}+{lines}>{room.lines},{ingredients_before}'
                '+{ingredients}>{room.ingredient_lines}),1,0)', "count"),
        working("far", "Far from the season",
                'IF(OR({pass_times.day}="",{farm.season}=""),0,'
                'IF(ABS(YEAR({pass_times.day})-{farm.season})>1,1,0))', "count"),
        working("mix_status", "State of the mix",
                'IF(AND({full}+{far}>0,{mix_list.status@mix_no}="OK"),"%s",{mix_list.status@mix_no})' % LOOK,
                "text", needs="mix_no"),
        working("mix_finding", "What is open in it",
                'IF(AND({full}+{far}>0,{mix_list.status@mix_no}="OK"),IF({far}=1,"The date lies far from the '
                'season: check the year","%s"),{mix_list.finding@mix_no})' % FULL,
                "text", needs="mix_no"),
        check("status", "Status",
              'IF(OR({loads}="",{mix_no}="",{crop}="",{pass_times.day}=""),"Not entered",'
              'IF(ROUND(SUM({pass_water.liquid_part})-1,6)>0,"Not allowed",IF({mix_status}="OK",'
              'IF({too_small}=1,"%s","OK"),{mix_status})))' % LOOK,
              needs="pass", twin=part_of(pass_state, 0), takes=_STATE),
        check("finding", "Finding",
              'IF({status}="OK","",IF(AND({passes.method}="spot",{share}="",{area}<>""),"' + NO_SHARE
              + '",IF(OR({loads}="",{mix_no}=""),"Field, mix, method, carrier or sprayer is missing, or the '
                'tank is too small",'
              'IF({crop}="","Crop of this pass not entered: type the next crop of the field, or the crop of '
              'the pass",'
              'IF({pass_times.day}="","' + NO_DAY + '",'
              'IF({status}="Not allowed","The liquid products alone take "'
              '&ROUND(ROUND({pass_water.liquid_part}*100,6),0)&" % of the spray volume",'
              'IF({mix_status}<>"OK",{mix_finding},"The last load of "&ROUND(ROUND({last_load_volume},6),'
              '1)&" "&liquid_name_1&'
              '" is too small to agitate: mix "&{loads}&" even loads of "&ROUND(ROUND({even_load_volume},6),'
              '1)&" "&liquid_name_1)))))))', "long_text", needs="status", twin=part_of(pass_state, 1),
              takes=_STATE),
    ),
    rows="as:passes",
    kind="result",
)


def _of_sprayer(key: str, header: str, quantity: str, *typed: str) -> Column:
    """Declare a figure of the pass's sprayer, or the sum of several; 0 where none is entered."""
    figures = ",".join(f"{{sprayers.{each}@pass_volumes.sprayer_row}}" for each in typed)
    return working(key, header, f'IF({{pass_volumes.sprayer_row}}="",0,SUM({figures}))', quantity)


#: Passes of one sprayer whose hours overlap; those on the same field are one trip with two tanks.
_SAME_FIELD = ",{pass_volumes.field_row:all},{pass_volumes.field_row}"


def _at_once(how: str, more: str = "") -> str:
    return (how + '{pass_volumes.sprayer_row:all},{pass_volumes.sprayer_row},{from_minute:all},'
                  '"<"&{to_minute},{to_minute:all},">"&{from_minute}' + more + ")")


PASS_TIMES = Table(
    "pass_times",
    "Work and timing",
    "How long each pass takes and when it ends, as logged or else as planned; re-entry counts from the end.",
    (
        result("pass", "Pass", '{pass_volumes.pass}', "name"),
        result("field", "Field", '{pass_volumes.field}', "name"),
        _of_sprayer("width", "Boom width", "length", "boom_width"),
        _of_sprayer("speed", "Speed", "speed", "speed"),
        _of_sprayer("efficiency", "Field efficiency", "share", "field_efficiency"),
        working("plain_rate", "Work rate by field efficiency",
                'IF({width}*{speed}*{efficiency}=0,"",{speed}*{width}*{efficiency}/work_rate_divisor)',
                "work_rate",
                takes="speed width efficiency factors.work_rate_divisor",
                twin=lambda *terms: work_rate(*terms) or "",
                source="Iowa State PM 696: ac/h = mph x ft x efficiency / 8.25"),
        _of_sprayer("travel_efficiency", "Efficiency without refills", "share", "travel_efficiency"),
        _of_sprayer("refill_minutes", "Minutes per refill", "minutes", "fill_minutes", "haul_minutes"),
        working("by_load", "Refills are counted",
                'IF(OR({pass_volumes.area}="",{pass_volumes.loads}=""),0,'
                'IF(MIN({width},{speed},{travel_efficiency},{refill_minutes})>0,1,0))', "count"),
        result("hours", "Hours of work",
               'IF({by_load}=1,{pass_volumes.area}*work_rate_divisor/({speed}*{width}*{travel_efficiency})'
               '+{pass_volumes.loads}*{refill_minutes}/60,'
               'IF(OR({plain_rate}="",{pass_volumes.area}=""),"",{pass_volumes.area}/{plain_rate}))',
               "hours", digits=1,
               twin=lambda by_load, plain, area, *terms: hours_with_refills(area, *terms) if by_load else ""
               if "" in (area, plain) else area / plain,
               takes="by_load plain_rate pass_volumes.area work_rates.theoretical_rate travel_efficiency "
                     "pass_volumes.loads refill_minutes",
               note="With filling and hauling, load by load, where they are typed for the sprayer; else by "
                    "its field efficiency."),
        place("log_row", "Row in the spray log", "pass_rows.row_no", "log_facts.pass_row"),
        working("log_rows", "Rows in the spray log", "COUNTIFS({log_facts.pass_row:all},{pass_rows.row_no})",
                "count"),
        working("log_day", "Day logged",
                'IF({spray_log.date@log_row}="","",IF({log_rows}>1,_xlfn.MINIFS({spray_log.date:all},'
                '{log_facts.pass_row:all},{pass_rows.row_no}),{spray_log.date@log_row}))', "date",
                needs="log_row"),
        result("day", "Day",
               'IF(ISNUMBER({log_day}),INT({log_day}),IF(ISNUMBER({passes.date}),INT({passes.date}),""))',
               "date", note="As logged, or else as planned; what is no date counts as none."),
        working("clock", "Start time",
                'IF({log_day}="",IF({passes.start_time}="","",{passes.start_time}),'
                'IF({spray_log.start_time@log_row}="","",{spray_log.start_time@log_row}))', "time"),
        result("start", "Start", '{day}+SUM({clock})', "moment", needs="day",
               twin=lambda day, clock: day + (clock or 0)),
        working("log_end", "End logged", 'IF({log_rows}>1,"",{log_facts.end@log_row})', "moment",
                needs="log_day", note="Not used where a pass stands in several rows of the log."),
        working("end_day", "Last day",
                'IF({log_day}="",{day},IF({log_rows}>1,_xlfn.MAXIFS({log_facts.end_day:all},'
                '{log_facts.pass_row:all},{pass_rows.row_no}),{log_facts.end_day@log_row}))', "date"),
        working("end_known", "End can be worked out",
                'IF({log_end}<>"",1,IF(OR({log_rows}>1,{clock}="",{hours}="",{end_day}>{day}),0,1))',
                "count", needs="start"),
        working("counted_from", "Hours count from",
                'IF({log_end}<>"",{log_end},IF({end_known}=1,{start},{end_day}+1))', "moment", needs="start",
                twin=lambda log_end, end_known, start, end_day: log_end if log_end != "" else start
                if end_known else end_day + 1,
                note="The logged end; the start; or the latest there can have been, midnight at the end of "
                     "the day."),
        working("counted", "Hours counted",
                'IF({log_end}<>"",0,IF(OR({end_known}=1,AND({log_day}="",{clock}="")),SUM({hours}),0))',
                "hours", needs="start"),
        working("end_utc", "End, universal time", universal("{counted_from}") + "+{counted}/24", "moment",
                needs="start",
                note="Universal where the farm's time zone is known, so that hours run on when the clock is "
                     "changed."),
        result("end", "End", "IF({counted}=0,{counted_from},%s)" % by_the_clock("{end_utc}"), "moment",
               needs="start",
               note="The logged end; or start and hours of work; without a start time, midnight at the end "
                    "of the day and hours of work."),
        working("last_day", "Day of application", 'IF({end_known}=1,INT({end}),{end_day})', "date",
                needs="start"),
        result("basis", "Times are", 'IF({log_day}="","planned",IF({log_end}="","started","logged"))', "text",
               needs="start"),
        working("from_minute", "Start, minute", minute_of(universal("{start}")), "count",
                needs="pass start clock"),
        working("to_minute", "End, minute", "IF({end_known}=1,MAX({from_minute}+1,%s),{from_minute}+1)"
                % minute_of("{end_utc}"), "count", needs="from_minute",
                note="Where the end is not known, the first minute alone."),
        working("elsewhere", "Passes of the sprayer in other fields at the same time",
                'IF(OR({from_minute}="",{pass_volumes.sprayer_row}="",{pass_volumes.field_row}=""),0,%s-%s)'
                % (_at_once("COUNTIFS("), _at_once("COUNTIFS(", _SAME_FIELD)), "count"),
        working("elsewhere_row", "Row of the other pass",
                'IF({elsewhere}=1,%s-%s,"")' % (_at_once("SUMIFS({pass_rows.row_no:all},"),
                                                _at_once("SUMIFS({pass_rows.row_no:all},", _SAME_FIELD))),
        check("machine_status", "Sprayer free", 'IF({elsewhere}>0,"%s","OK")' % LOOK,
              needs="from_minute pass_volumes.sprayer_row"),
        check("machine_finding", "Sprayer free, finding",
              'IF({elsewhere}=0,"","The sprayer is in another field at the same time: "'
              '&IF({elsewhere}=1,{pass_volumes.pass@elsewhere_row}&" on "&{pass_volumes.field@elsewhere_row},'
              '{elsewhere}&" passes"))', "long_text"),
    ),
    rows="as:passes",
    kind="result",
    whole=ends_by_the_clock,
    gives="end_utc end last_day from_minute to_minute elsewhere elsewhere_row",
)


def _in_load(key: str, header: str, volume: str, **more: Any) -> Column:
    """Declare the amount of a product in a volume of the pass."""
    of = f"pass_volumes.{volume}"
    return result(key, header, f"{{rate_base}}*{{{of}}}/{{passes.carrier}}/{{to_base}}",
                  needs=f"rate_base {of}", takes=f"rate_base {of} passes.carrier to_base",
                  twin=lambda rate, volume, carrier, to_base: amount_in(rate, volume, carrier) / to_base,
                  **more)


MIX_LINES = Table(
    "mix_lines",
    "Product amounts",
    "How much of each product goes into each load, pass by pass; the list refills when a pass or mix "
    "changes.",
    (
        result("pass", "Pass", '{pass_volumes.pass}', "name", needs="product"),
        result("field", "Field", '{pass_volumes.field}', "name", needs="product"),
        *belonging("pass_volumes.lines_before"),
        working("item_row", "Mix slot row",
                'IF({row_no}>{pass_volumes.lines_before}+{pass_volumes.lines},"",'
                '({pass_volumes.mix_no}-1)*{room.products}+{row_no}-{pass_volumes.lines_before})',
                needs="pass_volumes.mix_no"),
        result("product", "Product", '{mix_items.product@item_row}', "name", needs="item_row"),
        *(
            working(key, header, f"{{mix_items.{source}@item_row}}", quantity, needs="product")
            for key, header, source, quantity in (
                ("product_row", "Product row", "product_row", "index"), ("kind", "Kind", "kind", "text"),
                ("form", "Liquid or dry", "form", "text"),
                ("phase", "Phase poured", "pour_phase", "text"),
                ("to_base", "Base units in an amount unit", "to_base", "factor"),
            )
        ),
        working("pour_base", "Base units poured in an amount unit",
                '{to_base}*{mix_items.pour_scale@item_row}', "factor",
                needs="product to_base", twin=mul, takes="to_base mix_items.pour_scale@item_row"),
        working("rate_base", "Base units per area",
                'IF(OR(SUM({passes.carrier})=0,{mix_items.area_rate@item_row}=""),"",'
                '{mix_items.area_rate@item_row}+{mix_items.volume_rate@item_row}*{passes.carrier})', "factor",
                needs="product",
                twin=lambda by_area, by_volume, carrier: by_area + by_volume * carrier if carrier
                and by_area != "" else "",
                takes="mix_items.area_rate@item_row mix_items.volume_rate@item_row passes.carrier"),
        working("poured", "Base units poured per area", '{rate_base}*{mix_items.pour_scale@item_row}',
                "factor", needs="rate_base", twin=mul, takes="rate_base mix_items.pour_scale@item_row"),
        result("amount_unit", "Unit", '{mix_items.amount_unit@item_row}', "unit_label", needs="product"),
        result("amount_per_area", "Per sprayed area", '{rate_base}/{to_base}', needs="rate_base", digits=3,
               twin=truediv, takes="rate_base to_base"),
        _in_load("amount_first_load", "In the first load", "first_load_volume"),
        _in_load("amount_full_load", "In a later full load", "later_load_volume",
                 note="What is added; the tank still holds the unusable volume."),
        _in_load("amount_last_load", "In the last load", "last_load_volume"),
        _in_load("amount_even_load", "In an even load", "even_load_volume"),
        _in_load("amount_total", "Total", "mixed_volume"),
        working("own_scale", "Base units as sold per base unit poured", '{mix_items.own_scale@item_row}',
                "factor", needs="product"),
        working("liquid_part", "Liquid per spray volume",
                'IF(OR({product}="",{form}="dry"),0,IF(OR({form}="",{phase}<>"liquid",{poured}=""),"",'
                '{poured}/{passes.carrier}/base_per_volume))', "factor",
                twin=lambda product, *terms: room_taken(*terms) if product != "" else 0,
                takes="product form phase poured passes.carrier factors.base_per_volume",
                note="Follows what the product is, never the unit of its rate; blank where a density is "
                     "missing."),
        working("unit_price", "Price per base unit poured", '{mix_items.unit_price@item_row}',
                "money_per_base", needs="product"),
        result("cost", "Cost", '{rate_base}*{pass_volumes.planned_volume}/{passes.carrier}*{unit_price}',
               "money", needs="rate_base pass_volumes.planned_volume unit_price",
               twin=lambda rate, volume, carrier, price: amount_in(rate, volume, carrier) * price,
               takes="rate_base pass_volumes.planned_volume passes.carrier unit_price"),
        working("unpriced", "Has no price", 'IF({product}="",0,IF({cost}="",1,0))', "count"),
    ),
    rows="of:passes:lines",
    kind="result",
    caution="Check every amount against the label in your hand before you pour.",
)


def _water(key: str, header: str, volume: str) -> Column:
    """Declare the water in a volume of the pass."""
    of = f"pass_volumes.{volume}"
    return result(key, header, f"{{{of}}}*(1-{{liquid_part}})", "volume", needs=f"{of} liquid_part",
                  twin=lambda volume, liquids: volume * (1 - liquids), takes=f"{of} liquid_part")


PASS_WATER = Table(
    "pass_water",
    "Water",
    "Water that is added with each load: what the liquid products leave room for.",
    (
        result("pass", "Pass", '{pass_volumes.pass}', "name"),
        result("field", "Field", '{pass_volumes.field}', "name"),
        working("liquid_part", "Liquid products per spray volume",
                f'IF({counted("mix_lines.liquid_part", chr(34) + ">=0" + chr(34))}<{{pass_volumes.lines}},"",'
                f'{summed("mix_lines.liquid_part")})', "factor"),
        _water("water_first_load", "Water in the first load", "first_load_volume"),
        _water("water_full_load", "Water in a later full load", "later_load_volume"),
        _water("water_last_load", "Water in the last load", "last_load_volume"),
        _water("water_total", "Water in all", "mixed_volume"),
        result("first_fill", "Water before products", '{water_first_load}*first_fill', "volume",
               needs="water_first_load", twin=mul, takes="water_first_load assumptions.first_fill",
               note="Of the first load."),
    ),
    rows="as:passes",
    kind="result",
)

TABLES = (PASS_VOLUMES, MIX_LINES, PASS_WATER, PASS_TIMES, MEASURING_STEPS, *pours.TABLES)

#: Rows of the lists that are shipped.
GIVEN = (("measuring_steps", measuring_steps),)

CHECKS = (
    CheckKind("Mix and tank", "pass_volumes", "status", "finding", rank=20),
    CheckKind("Sprayer free", "pass_times", "machine_status", "machine_finding", rank=260),
)
