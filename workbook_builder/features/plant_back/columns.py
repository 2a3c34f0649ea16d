"""Plant-back: every crop that is planted after a spray, this season's and the next,
also after sprays of earlier seasons.
"""

from __future__ import annotations

from functools import partial
from operator import sub

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK, Column, Table
from workbook_builder.core.short import check, place, result, row_number, slot_number, working
from workbook_builder.features.labels.columns import match_columns, strictest_of
from workbook_builder.features.plant_back import rain
from workbook_builder.features.plant_back.definitions import (
    DATE_UNKNOWN,
    PLANTED_LATER,
    earliest_planting,
    longer_unit,
    planting_status,
    state_of,
)

SHEET = "Plant-back checks"
_NAMES = (("name", "one name"), ("wider", "wider crop"), ("family", "crops it may be"), ("group", "group"))


def _planted(field_row: str, day: str, undated: int) -> tuple[Column, ...]:
    """Declare both crops of a field and how they stand to a spray.

    Parameters
    ----------
    field_row, day : str
        Columns of the row of the field and of the first day of the spray.
    undated : int
        State of this season's crop where its planting date is blank.
    """
    columns: list[Column] = []
    for which, header, crop, date, names in (("this", "This crop", "crop", "planting_date", "crop"),
                                             ("next", "Next crop", "next_crop",
                                              "next_planting_date", "next")):
        later, planting = int(which == "next"), f"{{fields.{date}@{field_row}}}"
        typed, planted, name = (f"{{{which}_{key}}}" for key in ("crop", "planted", "name"))
        state = (f'IF(OR({name}="fallow",AND({typed}="",{planted}="")),0,IF({planted}="",'
                 f'{1 if later else undated},IF({{{day}}}="",{later},'
                 f"IF({planted}>{{{day}}},1,IF({planted}={{{day}}},3,0)))))")
        columns += (
            working(f"{which}_crop", header, f'{{fields.{crop}@{field_row}}}&""', "name", needs=field_row),
            *(working(f"{which}_{key}", f"{header}: {said}", f"{{field_crops.{names}_{key}@{field_row}}}",
                      "text", needs=field_row) for key, said in _NAMES),
            working(f"{which}_planted", f"{header}: planting", f'IF({planting}="","",{planting})', "date",
                    needs=field_row),
            working(f"{which}_state", f"{header}: how it stands to the spray", state, "count",
                    twin=partial(state_of, bool(later), undated),
                    takes=f"{which}_name {which}_crop {which}_planted {day}",
                    note="0: planted before, or fallow; 1: planted later; 2: planting date of this season's "
                         "crop not entered; 3: on the same day."),
        )
    return tuple(columns)


def _judged(
    product: str, crop: str, planted: str, state: str, names: str, *, product_no: str, last_day: str,
    field_row: str, fell: tuple[str, str],
    needed: str = "", own_crop: str = "", is_own: str = "", carried: str = '""',
) -> tuple[Column, ...]:
    """Declare the columns that judge one crop planted after a spray.

    Parameters
    ----------
    product, crop, planted, state : str
        Formulas of the product, the crop as typed, its planting, and how it stands to the spray.
    names : str
        Table and start of the keys of the crop's names.
    product_no, last_day, field_row, needed : str
        Columns of the number of the product, of the last day of the spray, of the row of the field,
        and of 1 where its label must give an interval (always where left out).
    fell : tuple of str
        Formulas of the rain since the spray and up to it.
    own_crop, is_own : str
        Columns, and the formula of them, that tell whether the spray is for the crop planted and its label
        names that crop.
    carried : str
        Formula of the interval in a ``UNIT`` typed with the spray itself,
        where the plant-back table has none.
    """
    too_soon = (f'IF(AND({{every}}=1,{is_own}),"{NOT_ENTERED}","{NOT_ALLOWED}")' if is_own
                else f'"{NOT_ALLOWED}"')
    sprayed, starts, lacks = (f'OR({{{last_day}}}="",{{rain_day}}={rain.NOT_FALLEN})',
                              f"MAX({{{last_day}}},SUM({{rain_day}}))",
                              f'IF({{{needed}}}=1,"{NOT_ENTERED}","")' if needed else f'"{NOT_ENTERED}"')

    def interval(unit: str) -> str:
        by_rain = f"{{rain_plant_back_facts.{unit}@rain_row}}"
        return (f'IF(OR({{held}}=0,{{asking}}=2),"",IF({{rain_row}}<>"",{by_rain},IF({{found_row}}="",'
                f'{carried.replace("UNIT", unit)},{strictest_of("plant_back_facts", unit)})))')

    return (
        result("product", "Product", f'IF({state}=0,"",{product})', "name"),
        result("next_crop", "Crop planted", crop, "name", needs="product"),
        result("planting_date", "Planned planting", planted, "date", needs="product"),
        working("number", "Product number", f"{{{product_no}}}", needs="product"),
        *match_columns("plant_back_facts", "{number}", names),
        *rain.row_that_holds(names, field_row, *fell),
        working("every", "Only the row of any crop",
                'IF({rain_row}="",IF({found_row}="",0,IF(AND({named_row}="",{near_row}=""),1,0)),'
                'IF(AND({rain_named_row}="",{rain_near_row}=""),1,0))', "count"),
        working("unsure", "Row may not mean the crop",
                'IF({rain_row}<>"",IF(AND({rain_own}>0,{rain_named_row}=""),1,0),IF({near_row}="",0,'
                'IF({plant_back_facts.any_no@near_row}=0,1,0)))', "count"),
        working("held", "Row counts",
                f'IF({{product}}="",0,IF(AND({state}>1,{{rain_named_row}}&{{rain_near_row}}="",'
                f'OR({{every}}=1,{{found_row}}="")),0,1))', "count",
                note="Of a crop planted on the day, or with no planting date, only a row that names it is "
                     "asked."),
        working("days", "Days", interval("days"), "days"),
        working("months", "Months", interval("months"), "count"),
        result("interval", "Interval", 'IF({interval_unit}="months",{months},{days})', "count"),
        result("interval_unit", "Unit",
               f'IF({{months}}="",IF({{days}}="","","days"),IF(OR({{days}}="",{sprayed}),"months",'
               f'IF(EDATE({starts},{{months}})>={starts}+{{days}},"months","days")))', "text",
               twin=rain.by_rain(longer_unit), takes=f"{last_day} rain_day days months",
               note="Of the interval that ends later."),
        result("earliest_planting", "Earliest planting",
               f'IF(OR({sprayed},{{interval_unit}}=""),"",IF({{interval_unit}}="months",EDATE({starts},'
               f'{{months}}),{starts}+{{days}}))', "date",
               twin=rain.by_rain(earliest_planting), takes=f"{last_day} rain_day days months",
               note="Calendar months clip to the end of a shorter month."),
        result("margin_days", "Days to spare", "{planting_date}-{earliest_planting}", "days",
               needs="earliest_planting planting_date", twin=sub, takes="planting_date earliest_planting"),
        check("status", "Status",
              f'IF({{held}}=0,"",IF(OR({{next_crop}}="",{{interval}}=""),{lacks},IF({sprayed},'
              f'"{NOT_ENTERED}",'
              f'IF({{margin_days}}="",IF({{unsure}}=1,"{NOT_ENTERED}",IF({{interval}}=0,"{OK}","{LOOK}")),'
              f'IF({{margin_days}}<0,{too_soon},IF({{unsure}}=1,"{NOT_ENTERED}","{OK}"))))))',
              twin=lambda held, crop, interval, day, reached, *more: planting_status(
                  held, crop, interval, rain.begins(day, reached), *more),
              takes=f"held next_crop interval {last_day} rain_day margin_days every unsure {needed} "
                    f"{own_crop}"),
        check("finding", "Finding",
              f'IF(OR({{status}}="",{{status}}="{OK}"),"",{{product}}&": "&IF({{status}}="{NOT_ALLOWED}",'
              f'{{next_crop}}&" is planned "&ABS({{margin_days}})&IF({{margin_days}}=-1," day"," days")'
              f'&" before it may be planted"&IF({{asking}}>0,"; rain counted since the spray: "'
              f'&ROUND(ROUND(SUM({fell[0]}),6),2)&IF({{farm.units}}="metric"," mm"," in"),""),'
              f'IF({{status}}="{LOOK}","no planting date entered for "&{{next_crop}},'
              'IF({next_crop}="","a planting date is entered, but not the crop",IF({asking}=2,'
              '"soil pH of the field not entered, and its plant-back hangs on it",'
              'IF({interval}="",IF({asking}=1,"no plant-back row holds at this rain and soil pH for ",'
              '"no plant-back interval entered for ")&{next_crop},'
              f'IF({sprayed},IF({{rain_day}}={rain.NOT_FALLEN},"the rain from which its interval counts has '
              f'not fallen, or is not entered","the day it was sprayed is not entered"),IF({{unsure}}=1,'
              '"the plant-back row for "&IF({rain_row}="",{plant_back.next_crop@near_row},'
              '{rain_plant_back.next_crop@rain_near_row})&" may or may not mean "&{next_crop}'
              '&"; write one name in both",'
              '"its label names "&{next_crop}&", but only the plant-back row of any crop is entered, "'
              '&{interval}&" "&{interval_unit}&": enter its own"))))))))', "long_text"),
    )


PLANTED_CROPS = Table(
    "planted_crops",
    "Plantings after each pass",
    "Both crops of the field of each pass, and whether they are planted after it.",
    (*_planted("pass_volumes.field_row", "pass_times.day", DATE_UNKNOWN),
     *rain.fallen("pass_volumes.field_row", "pass_times.last_day", "this_planted", "next_planted")),
    rows="as:passes",
    kind="working",
    sheet="Workings passes",
)


def _of_passes(key: str, title: str, about: str, which: str, own_crop: str = "", is_own: str = "") -> Table:
    """Table of each product of each pass against one crop planted after it."""
    crop, planted, state = ("{planted_crops.%s_%s}" % (which, part) for part in ("crop", "planted", "state"))
    return Table(
        key, title, about,
        (
            result("pass", "Pass", "{mix_lines.pass}", "name", needs="product"),
            result("field", "Field", "{mix_lines.field}", "name", needs="product"),
            *_judged("{mix_lines.product}", crop, planted, state, f"planted_crops.{which}",
                     product_no="product_limits.product_no", last_day="pass_times.last_day",
                     field_row="pass_volumes.field_row",
                     fell=("{planted_crops.%s_rain}" % which, "{planted_crops.rain_before}"),
                     needed="product_limits.needed", own_crop=own_crop, is_own=is_own),
        ),
        rows="as:mix_lines",
        kind="result",
        sheet=SHEET,
        caution="Labels may add conditions, a bioassay say, that no table holds.",
    )


PLANT_BACK_CHECKS = _of_passes("plant_back_checks", SHEET,
                               "Each product of each pass against the crop planted next on the field.",
                               "next")
PLANTING_CHECKS = _of_passes(
    "planting_checks", "Plant-back checks, this crop",
    "Each product of each pass against this season's crop, where it is planted after the pass.", "this",
    "planted_crops.this_state pass_crops.crop_name planted_crops.this_name product_limits.named_row "
    "product_limits.forbidden",
    'AND({planted_crops.this_state}=1,{pass_crops.crop_name}={planted_crops.this_name},'
    '{product_limits.named_row}<>"",{product_limits.forbidden}<>1)',
)

EARLIER_FACTS = Table(
    "earlier_facts",
    "Earlier spray workings",
    "Field and product of each spray of earlier seasons, and both crops of its field.",
    (
        place("field_row", "Field row", "earlier_sprays.field", "fields.field"),
        place("product_row", "Product row", "earlier_sprays.product", "products.product"),
        working("product_no", "Product number", "{product_facts.product_no@product_row}",
                needs="product_row"),
        working("day", "Sprayed on", "{earlier_sprays.date}", "date", needs="earlier_sprays.date"),
        *_planted("field_row", "day", PLANTED_LATER),
        *rain.fallen("field_row", "day", "this_planted", "next_planted"),
    ),
    rows="as:earlier_sprays",
    kind="working",
    sheet="Workings passes",
)

#: Statuses by their severity, the worst first.
_SEVERITIES = tuple(enumerate((NOT_ALLOWED, NOT_ENTERED, LOOK, OK), 1))


def _first_of(part: str) -> str:
    """Return a formula made of one part a severity (its number `{0}`, its status `{1}`),
    each asked where those before give nothing (`{2}`).
    """
    chain = '""'
    for number, word in reversed(_SEVERITIES):
        chain = part.format(number, word, chain)
    return chain


def _of_both(key: str) -> str:
    return "IF({slot}=1,{earlier_facts.this_%s},{earlier_facts.next_%s})" % (key, key)


EARLIER_CHECKS = Table(
    "earlier_checks",
    "Plant-back of earlier sprays",
    "Each spray of an earlier season against this season's crop and the next.",
    (
        slot_number(),
        result("field", "Field", "{earlier_sprays.field}", "name", needs="product"),
        working("state", "How the crop stands to it", _of_both("state"), "count"),
        *(working(f"planted_{key}", f"Crop planted: {said}", _of_both(key), "text") for key, said in _NAMES),
        *_judged('{earlier_sprays.product}&""', _of_both("crop"), _of_both("planted"), "{state}", "planted",
                 product_no="earlier_facts.product_no", last_day="earlier_facts.day",
                 field_row="earlier_facts.field_row", fell=(_of_both("rain"), "{earlier_facts.rain_before}"),
                 carried='IF(OR({earlier_sprays.interval}="",{earlier_sprays.interval_unit}<>"UNIT"),"",'
                         '{earlier_sprays.interval})'),
        working("severity", "Severity", _first_of('IF({{status}}="{1}",{0},{2})'), "count"),
        working("crop_no", "Field and crop", "{earlier_facts.field_row}*2+{slot}-1",
                needs="earlier_facts.field_row"),
        working("crop_key", "Field, crop and severity", "{crop_no}*10+{severity}", needs="severity"),
        working("key", "Field and severity", "{earlier_facts.field_row}*10+{severity}", needs="severity"),
    ),
    rows="under:earlier_sprays:both_crops",
    kind="result",
    sheet=SHEET,
    caution="The interval on the label of the year it was sprayed governs.",
)

EARLIER_PASSES = Table(
    "earlier_passes",
    "Earlier sprays by pass",
    "What earlier sprays leave a field, told once, at the field's first pass.",
    (
        row_number(),
        working("first", "First pass on the field",
                'IF({pass_volumes.field_row}="",0,IF(MATCH({pass_volumes.field_row},'
                '{pass_volumes.field_row:all},0)={row_no},1,0))', "count"),
        working("row", "Worst line",
                'IF({first}=0,"",%s)'
                % _first_of("IFERROR(MATCH({{pass_volumes.field_row}}*10+{0},{{earlier_checks.key:all}},"
                            "0),{2})")),
        check("status", "Status", "{earlier_checks.status@row}", needs="row"),
        check("finding", "Finding", "{earlier_checks.finding@row}", "long_text", needs="row"),
    ),
    rows="as:passes",
    kind="working",
    sheet="Workings passes",
)

TABLES = (*rain.TABLES, PLANT_BACK_CHECKS, PLANTING_CHECKS, EARLIER_CHECKS, PLANTED_CROPS, EARLIER_FACTS,
          EARLIER_PASSES)

CHECKS = (
    CheckKind("Plant-back", "plant_back_checks", "status", "finding", "mix_lines", rank=130),
    CheckKind("Plant-back, this crop", "planting_checks", "status", "finding", "mix_lines", rank=140),
    CheckKind("Plant-back of earlier sprays", "earlier_passes", "status", "finding", rank=150),
)
