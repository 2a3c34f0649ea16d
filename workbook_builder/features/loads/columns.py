"""Volumes, loads, shared tanks, timing and the product in every load."""

from __future__ import annotations

from workbook_builder.core.columns import LOOK, Table
from workbook_builder.core.short import check, result, slot_number, working
from workbook_builder.features.clock.columns import by_the_clock, minute_of, universal
from workbook_builder.features.labels.names import crop_columns
from workbook_builder.features.tank_order.columns import TANK_TABLES

_LOOKUP = 'IF({passes.%s}="","",IFERROR(MATCH({passes.%s},{%s:all},0),""))'


def _lookup(key: str, target: str) -> str:
    return _LOOKUP % (key, key, target)


PASS_VOLUMES = Table(
    "pass_volumes",
    "Volumes",
    "Spray volume and tank loads of every pass and field.",
    (
        result("pass", "Pass", 'IF({passes.pass}="","",{passes.pass})', "name"),
        result("field", "Field", 'IF({passes.field}="","",{passes.field})', "name"),
        working("key", "Pass and field", 'IF({pass}="","",{pass}&"|"&{field})', "text"),
        working("mix_no", "Mix number", _lookup("mix", "mix_list.mix")),
        working("field_row", "Field row", _lookup("field", "fields.field")),
        working("sprayer_row", "Sprayer row", _lookup("sprayer", "sprayers.sprayer")),
        working("crop", "Crop", "{pass_crops.crop}", "name"),
        result("area", "Field area", 'IF({field_row}="","",IF(INDEX({fields.area:all},{field_row})="","",INDEX({fields.area:all},{field_row})))', "area"),
        result("share", "Share of field sprayed",
               'IF({passes.method}="","",IF({passes.method}<>"spot",1,IF({passes.sprayed_share}<>"",{passes.sprayed_share},IF(SUM({share_estimates.evidence})=0,1,{share_estimates.field_share}))))', "share",
               note="Of a spot pass: the share typed, or the estimate where none is typed."),
        result("sprayed_area", "Sprayed area", 'IF(OR({area}="",{share}=""),"",{area}*{share})', "area"),
        result("volume", "Spray volume", 'IF(OR({sprayed_area}="",{passes.carrier}=""),"",{sprayed_area}*{passes.carrier})', "volume"),
        working("spot_tank", "Spot tank", 'IF({sprayer_row}="",0,IF({passes.method}="spot",SUM(INDEX({sprayers.spot_tank:all},{sprayer_row})),0))', "volume"),
        result("tank", "Tank", 'IF({sprayer_row}="","",IF({spot_tank}>0,{spot_tank},SUM(INDEX({sprayers.main_tank:all},{sprayer_row}))))', "volume"),
        working("unusable", "Unusable volume", 'IF({sprayer_row}="","",SUM(INDEX({sprayers.unusable_volume:all},{sprayer_row})))', "volume"),
        working("usable", "Usable per fill", 'IF({tank}="","",{tank}-{unusable})', "volume"),
        result("full_loads", "Full loads", 'IF(OR({volume}="",{usable}=""),"",IF({usable}<=0,"",INT(ROUND({volume}/{usable},6))))', "count"),
        working("remainder", "Left after full loads", 'IF({full_loads}="","",ROUND({volume}-{full_loads}*{usable},6))', "volume"),
        result("loads", "Loads", 'IF({remainder}="","",{full_loads}+IF({remainder}>0,1,0))', "count"),
        working("opens", "Fills an empty tank", 'IF({loads}="","",IF({tank_steps.place}="",1,1-INDEX({tank_order.continues:all},{tank_steps.place})))', "count",
                note="1 where the first load also fills what the pump cannot draw; 0 where that is left from the same mix before."),
        result("first_load_volume", "First load", 'IF({loads}="","",IF({loads}=0,0,IF({full_loads}>0,{usable},{remainder})+{opens}*{unusable}))', "volume",
               note="Volume to mix for the first load; the unusable volume goes in once for a run of fills with the same mix in the same tank."),
        result("later_load_volume", "Later full load", 'IF({loads}="","",{usable})', "volume", note="Volume to add for each full load after the first."),
        result("last_load_volume", "Last load", 'IF({remainder}="","",IF({remainder}>0,{remainder}+IF({full_loads}=0,{opens}*{unusable},0),0))', "volume",
               note="Volume to add for the last, part load; 0 when full loads fit exactly."),
        result("even_load_volume", "Even load", 'IF({loads}="","",IF({loads}=0,0,{volume}/{loads}))', "volume",
               note="Volume to add for each load when all loads are made equal; the first one also fills the unusable volume."),
        result("mixed_volume", "Volume mixed", 'IF({loads}="","",{volume}+IF({loads}>0,{opens}*{unusable},0))', "volume"),
        working("too_small", "Last load does not agitate",
                'IF({loads}="","",IF(AND({loads}>1,{remainder}>0,ROUND({remainder}+{unusable}-least_load*{tank},6)<0),1,0))', "count"),
        working("mix_status", "State of the mix", 'IF({mix_no}="","",INDEX({mix_list.status:all},{mix_no}))', "text"),
        check("status", "Status",
              'IF({pass}="","",IF(OR({loads}="",{mix_no}="",{crop}=""),"Not entered",IF(ROUND(SUM({pass_water.liquid_part})-1,6)>0,"Not allowed",IF({mix_status}="OK",'
              'IF(OR({too_small}=1,AND({passes.method}="spot",{passes.sprayed_share}="",SUM({share_estimates.evidence})=0)),"%s","OK"),{mix_status}))))' % LOOK),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",IF(OR({loads}="",{mix_no}=""),"Field, mix, method, carrier or sprayer is missing, or the tank is too small",'
              'IF({crop}="","Crop of this pass not entered: type the next crop of the field, or the crop of the pass",'
              'IF({status}="Not allowed","The liquid products alone take "&ROUND(ROUND({pass_water.liquid_part}*100,6),0)&" % of the spray volume",'
              'IF({mix_status}<>"OK",INDEX({mix_list.finding:all},{mix_no}),IF({too_small}=1,"The last load of "&ROUND(ROUND({last_load_volume},6),1)&" "&liquid_name_1&'
              '" is too small to agitate: mix "&{loads}&" even loads of "&ROUND(ROUND({even_load_volume},6),1)&" "&liquid_name_1,'
              '"Share of field sprayed not entered: counted as 100 %"))))))', "long_text"),
    ),
    rows="as:passes",
    kind="result",
)


def _field_date(key: str) -> str:
    return 'IF({pass_volumes.field_row}="",0,SUM(INDEX({fields.%s:all},{pass_volumes.field_row})))' % key


FIELD_CROPS = Table(
    "field_crops",
    "Crop names of fields",
    "One name for both crops of each field, whatever they were typed as.",
    (*crop_columns("{fields.crop}"), *crop_columns("{fields.next_crop}", "next", "Next crop")),
    rows="as:fields",
    kind="working",
    sheet="Workings passes",
)


def _same_as(key: str, other: str) -> str:
    """Which crop of the field the pass's crop is by one of its names: this season's, the next, or both, where the day tells."""
    this, following = ("INDEX({field_crops.%s_%s:all},{pass_volumes.field_row})" % (which, key) for which in ("crop", "next"))
    return "IF({crop_%s}=%s,IF({crop_%s}=%s,{turn},1),IF({crop_%s}=%s,2,%s))" % (key, this, key, following, key, following, other)


PASS_CROPS = Table(
    "pass_crops",
    "Crop workings",
    "Which crop each pass belongs to: the one typed, or else the one that stands on the day or comes next.",
    (
        working("planted", "Planting date", _field_date("planting_date"), "date"),
        working("cut", "Harvest date", _field_date("harvest_date"), "date"),
        working("next_planted", "Next planting date", _field_date("next_planting_date"), "date"),
        working("turn", "Crop by the day", 'IF({pass_volumes.field_row}="","",IF({pass_times.day}="",1,'
                "IF(OR(AND({cut}>0,{pass_times.day}>{cut}),AND({next_planted}>0,{pass_times.day}>={next_planted})),2,1)))", "count",
                note="1: this season's; 2: the next one, from the day after the harvest or from its planting."),
        working("standing", "Crop is in the ground",
                'IF({turn}="","",IF({pass_times.day}="",1,IF({turn}=1,IF({pass_times.day}<{planted},0,1),IF(AND({next_planted}>0,{pass_times.day}>={next_planted}),1,0))))', "count",
                note="0 before planting; a blank planting date of this season's crop counts as planted."),
        working("typed", "Crop typed", 'IF(OR({passes.crop}="",{passes.crop}="any"),"",{passes.crop})', "name"),
        working("this_crop", "Crop of the season", 'IF({turn}="","",INDEX({fields.crop:all},{pass_volumes.field_row})&"")', "name"),
        working("next_crop", "Next crop", 'IF({turn}="","",INDEX({fields.next_crop:all},{pass_volumes.field_row})&"")', "name"),
        working("crop", "Crop", 'IF({turn}="","",IF({typed}<>"",{typed},IF({turn}=1,{this_crop},{next_crop})))', "name"),
        *crop_columns("{crop}"),
        working("crop_no", "Crop counted as", 'IF({turn}="","",IF({typed}="",{turn},' + _same_as("name", _same_as("family", "3")) + "))", "count",
                note="Amounts of a season add up within one crop of the field: 1 this season's, 2 the next, 3 any other."),
    ),
    rows="as:passes",
    kind="working",
    sheet="Workings passes",
)

def _of_sprayer(key: str) -> str:
    return 'IF({pass_volumes.sprayer_row}="",0,SUM(INDEX({sprayers.%s:all},{pass_volumes.sprayer_row})))' % key


#: Passes of one sprayer whose hours overlap; those on the same field are one trip with two tanks.
_SAME_FIELD = ",{pass_volumes.field_row:all},{pass_volumes.field_row}"


def _at_once(how: str, more: str = "") -> str:
    return how + '{pass_volumes.sprayer_row:all},{pass_volumes.sprayer_row},{from_minute:all},"<"&{to_minute},{to_minute:all},">"&{from_minute}' + more + ")"


PASS_TIMES = Table(
    "pass_times",
    "Work and timing",
    "How long each pass takes and when it ends, as logged or else as planned; re-entry counts from the end.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        working("width", "Boom width", _of_sprayer("boom_width"), "length"),
        working("speed", "Speed", _of_sprayer("speed"), "speed"),
        working("efficiency", "Field efficiency", _of_sprayer("field_efficiency"), "share"),
        working("plain_rate", "Work rate by field efficiency", 'IF({width}*{speed}*{efficiency}=0,"",{speed}*{width}*{efficiency}/work_rate_divisor)', "work_rate",
                source="Iowa State PM 696: ac/h = mph x ft x efficiency / 8.25"),
        working("travel_efficiency", "Efficiency without refills", _of_sprayer("travel_efficiency"), "share"),
        working("refill_minutes", "Minutes per refill", _of_sprayer("fill_minutes") + "+" + _of_sprayer("haul_minutes"), "minutes"),
        working("by_load", "Refills are counted", 'IF(OR({pass_volumes.area}="",{pass_volumes.loads}=""),0,IF({width}*{speed}*{travel_efficiency}*{refill_minutes}>0,1,0))', "count"),
        result("hours", "Hours of work",
               'IF({by_load}=1,{pass_volumes.area}*work_rate_divisor/({speed}*{width}*{travel_efficiency})+{pass_volumes.loads}*{refill_minutes}/60,'
               'IF(OR({plain_rate}="",{pass_volumes.area}=""),"",{pass_volumes.area}/{plain_rate}))', "hours", digits=1,
               note="With filling and hauling, load by load, where they are typed for the sprayer; else by its field efficiency."),
        result("work_rate", "Work rate", 'IF({by_load}=0,{plain_rate},IF({hours}=0,"",{pass_volumes.area}/{hours}))', "work_rate"),
        working("log_row", "Row in the spray log", 'IF({pass_volumes.key}="","",IFERROR(MATCH({pass_volumes.key},{log_facts.key:all},0),""))'),
        working("log_day", "Day logged", 'IF({log_row}="","",IF(INDEX({spray_log.date:all},{log_row})="","",INDEX({spray_log.date:all},{log_row})))', "date"),
        result("day", "Day", 'IF({log_day}<>"",{log_day},IF({passes.date}="","",{passes.date}))', "date", note="As logged, or else as planned."),
        working("clock", "Start time", 'IF({log_day}="",IF({passes.start_time}="","",{passes.start_time}),'
                'IF(INDEX({spray_log.start_time:all},{log_row})="","",INDEX({spray_log.start_time:all},{log_row})))', "time"),
        result("start", "Start", 'IF({day}="","",{day}+SUM({clock}))', "moment"),
        working("log_end", "End logged", 'IF({log_day}="","",INDEX({log_facts.end:all},{log_row}))', "moment"),
        working("end_day", "Last day", 'IF({log_day}="",{day},INDEX({log_facts.end_day:all},{log_row}))', "date"),
        working("end_known", "End can be worked out", 'IF({start}="","",IF({log_end}<>"",1,IF(OR({clock}="",{hours}="",{end_day}>{day}),0,1)))', "count"),
        working("counted_from", "Hours count from", 'IF({start}="","",IF({log_end}<>"",{log_end},IF({end_known}=1,{start},{end_day}+1)))', "moment",
                note="The logged end; the start; or the latest there can have been, midnight at the end of the day."),
        working("counted", "Hours counted", 'IF({start}="","",IF({log_end}<>"",0,IF(OR({end_known}=1,AND({log_day}="",{clock}="")),SUM({hours}),0)))', "hours"),
        working("end_utc", "End, universal time", 'IF({start}="","",%s+{counted}/24)' % universal("{counted_from}"), "moment",
                note="Universal where the farm's time zone is known, so that hours run on when the clock is changed."),
        result("end", "End", 'IF({start}="","",IF({counted}=0,{counted_from},%s))' % by_the_clock("{end_utc}"), "moment",
               note="The logged end; or start and hours of work; without a start time, midnight at the end of the day and hours of work."),
        working("last_day", "Day of application", 'IF({start}="","",IF({end_known}=1,INT({end}),{end_day}))', "date"),
        result("basis", "Times are", 'IF({start}="","",IF({log_day}="","planned",IF({log_end}="","started","logged")))', "text"),
        working("from_minute", "Start, minute", 'IF(OR({pass}="",{start}="",{clock}=""),"",%s)' % minute_of(universal("{start}")), "count"),
        working("to_minute", "End, minute", 'IF({from_minute}="","",IF({end_known}=1,MAX({from_minute}+1,%s),{from_minute}+1))' % minute_of("{end_utc}"), "count",
                note="Where the end is not known, the first minute alone."),
        working("elsewhere", "Passes of the sprayer in other fields at the same time",
                'IF(OR({from_minute}="",{pass_volumes.sprayer_row}="",{pass_volumes.field_row}=""),0,%s-%s)' % (_at_once("COUNTIFS("), _at_once("COUNTIFS(", _SAME_FIELD)), "count"),
        working("elsewhere_row", "Row of the other pass",
                'IF({elsewhere}=1,%s-%s,"")' % (_at_once("SUMIFS({pass_rows.row_no:all},"), _at_once("SUMIFS({pass_rows.row_no:all},", _SAME_FIELD))),
        check("machine_status", "Sprayer free", 'IF(OR({from_minute}="",{pass_volumes.sprayer_row}=""),"",IF({elsewhere}>0,"Review","OK"))'),
        check("machine_finding", "Sprayer free, finding",
              'IF({machine_status}="Review","The sprayer is in another field at the same time: "'
              '&IF({elsewhere}=1,INDEX({pass_volumes.pass:all},{elsewhere_row})&" on "&INDEX({pass_volumes.field:all},{elsewhere_row}),{elsewhere}&" passes"),"")', "long_text"),
    ),
    rows="as:passes",
    kind="result",
)

_POUR = (
    'IF({%(base)s}="","",IF({phase}="liquid",'
    'TRIM(IF({%(base)s}>=liquid_step_1,INT({%(base)s}/liquid_step_1)&" "&liquid_name_1,"")'
    '&IF(MOD({%(base)s},liquid_step_1)>=liquid_step_2," "&INT(MOD({%(base)s},liquid_step_1)/liquid_step_2)&" "&liquid_name_2,"")'
    '&IF(OR({%(base)s}=0,ROUND(MOD(MOD({%(base)s},liquid_step_1),liquid_step_2),1)>0)," "&ROUND(MOD(MOD({%(base)s},liquid_step_1),liquid_step_2),1)&" "&liquid_name_3,"")),'
    'TRIM(IF({%(base)s}>=dry_step_1,INT({%(base)s}/dry_step_1)&" "&dry_name_1,"")'
    '&IF(OR({%(base)s}=0,ROUND(MOD({%(base)s},dry_step_1),1)>0)," "&ROUND(MOD({%(base)s},dry_step_1),1)&" "&dry_name_2,""))))'
)


def pour_text(base_key: str) -> str:
    """Return the formula of the readable split of an amount in base units."""
    return _POUR % {"base": base_key}


def _per_load(volume: str) -> str:
    return 'IF(OR({rate_base}="",%s=""),"",{rate_base}*%s/{passes.carrier}/{to_base})' % (volume, volume)


_ITEM = 'IF({product}="","",INDEX({mix_items.%s:all},{item_row}))'

MIX_LINES = Table(
    "mix_lines",
    "Product amounts",
    "How much of each product goes into each load, pass by pass; slots refill when a pass or mix changes.",
    (
        result("pass", "Pass", 'IF({product}="","",{pass_volumes.pass})', "name"),
        result("field", "Field", 'IF({product}="","",{pass_volumes.field})', "name"),
        slot_number(),
        working("item_row", "Mix slot row", 'IF({pass_volumes.mix_no}="","",({pass_volumes.mix_no}-1)*{room.products}+{slot})'),
        result("product", "Product", 'IF({item_row}="","",INDEX({mix_items.product:all},{item_row}))', "name"),
        working("product_row", "Product row", _ITEM % "product_row"),
        working("kind", "Kind", _ITEM % "kind", "text"),
        working("form", "Liquid or dry", _ITEM % "form", "text"),
        working("phase", "Phase poured", _ITEM % "pour_phase", "text"),
        working("to_base", "Base units in an amount unit", _ITEM % "to_base", "factor"),
        working("pour_base", "Base units poured in an amount unit",
                'IF(OR({product}="",{to_base}=""),"",{to_base}*INDEX({mix_items.pour_scale:all},{item_row}))', "factor"),
        working("rate_base", "Base units per area",
                'IF(OR({product}="",SUM({passes.carrier})=0),"",IF(INDEX({mix_items.area_rate:all},{item_row})="","",'
                "INDEX({mix_items.area_rate:all},{item_row})+INDEX({mix_items.volume_rate:all},{item_row})*{passes.carrier}))", "factor"),
        working("poured", "Base units poured per area", 'IF({rate_base}="","",{rate_base}*INDEX({mix_items.pour_scale:all},{item_row}))', "factor"),
        result("amount_unit", "Unit", _ITEM % "amount_unit", "unit_label"),
        result("amount_per_area", "Per sprayed area", 'IF({rate_base}="","",{rate_base}/{to_base})', "amount", digits=3),
        result("amount_first_load", "In the first load", _per_load("{pass_volumes.first_load_volume}"), "amount"),
        result("pour_first", "First load, as poured", pour_text("first_base"), "text", width=24),
        result("amount_full_load", "In a later full load", _per_load("{pass_volumes.later_load_volume}"), "amount", note="What is added; the tank still holds the unusable volume."),
        result("pour_full", "Later full load, as poured", pour_text("full_base"), "text", width=24),
        result("amount_last_load", "In the last load", _per_load("{pass_volumes.last_load_volume}"), "amount"),
        result("pour_last", "Last load, as poured", pour_text("last_base"), "text", width=24),
        result("amount_even_load", "In an even load", _per_load("{pass_volumes.even_load_volume}"), "amount"),
        result("amount_total", "Total", _per_load("{pass_volumes.mixed_volume}"), "amount"),
        working("first_base", "First load in base units", 'IF({amount_first_load}="","",ROUND(ROUND({amount_first_load}*{pour_base},6),1))', "amount", digits=1),
        working("full_base", "Later full load in base units", 'IF({amount_full_load}="","",ROUND(ROUND({amount_full_load}*{pour_base},6),1))', "amount", digits=1),
        working("last_base", "Last load in base units", 'IF({amount_last_load}="","",ROUND(ROUND({amount_last_load}*{pour_base},6),1))', "amount", digits=1),
        working("total_own", "Total in base units as sold",
                'IF(OR({amount_total}="",{own_scale}=""),"",{amount_total}*{to_base}*{own_scale})', "factor"),
        working("own_scale", "Base units as sold per base unit poured", _ITEM % "own_scale", "factor"),
        working("liquid_part", "Liquid per spray volume",
                'IF(OR({product}="",{form}="dry"),0,IF(OR({form}="",{phase}<>"liquid",{poured}=""),"",{poured}/{passes.carrier}/base_per_volume))', "factor",
                note="Follows what the product is, never the unit of its rate; blank where a density is missing."),
        working("unit_price", "Price per base unit poured", _ITEM % "unit_price", "money_per_base"),
        result("cost", "Cost", 'IF(OR({amount_total}="",{unit_price}=""),"",{amount_total}*{to_base}*{unit_price})', "money"),
        working("unpriced", "Has no price", 'IF({product}="",0,IF({cost}="",1,0))', "count"),
    ),
    rows="under:passes:products",
    kind="result",
    caution="Check every amount against the label in your hand before you pour.",
)


def _water(volume: str) -> str:
    return 'IF(OR({pass_volumes.%s}="",{liquid_part}=""),"",{pass_volumes.%s}*(1-{liquid_part}))' % (volume, volume)


PASS_WATER = Table(
    "pass_water",
    "Water",
    "Water that is added with each load: what the liquid products leave room for.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        working("liquid_part", "Liquid products per spray volume",
                'IF(COUNT({mix_lines.liquid_part:block})<{room.products},"",SUM({mix_lines.liquid_part:block}))', "factor"),
        result("water_first_load", "Water in the first load", _water("first_load_volume"), "volume"),
        result("water_full_load", "Water in a later full load", _water("later_load_volume"), "volume"),
        result("water_last_load", "Water in the last load", _water("last_load_volume"), "volume"),
        result("water_even_load", "Water in an even load", _water("even_load_volume"), "volume"),
        result("water_total", "Water in all", _water("mixed_volume"), "volume"),
        result("first_fill", "Water before the first product", 'IF({water_first_load}="","",{water_first_load}*first_fill)', "volume",
               note="Of the first load."),
    ),
    rows="as:passes",
    kind="result",
)

VOLUME_TABLES = (PASS_VOLUMES, FIELD_CROPS, PASS_CROPS, *TANK_TABLES, MIX_LINES, PASS_WATER, PASS_TIMES)
