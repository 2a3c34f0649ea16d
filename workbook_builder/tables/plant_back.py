"""Plant-back: every crop that is planted after a spray, this season's and the next, also after sprays of earlier seasons."""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK, Column, Table
from workbook_builder.tables.label_workings import match_columns, strictest_of
from workbook_builder.tables.short import check, result, row_number, slot_number, working

#: How a crop stands to a spray: it is not judged, it is planted later, its planting date is not known, or it is the same day.
NOT_JUDGED, PLANTED_LATER, DATE_UNKNOWN, SAME_DAY = 0, 1, 2, 3
THIS_CROP, NEXT_CROP = "0", "1"


@dataclass(frozen=True)
class Spray:
    """What was sprayed, in formulas: which field and product, when, and what its label says of the crop.

    Parameters
    ----------
    product, field_row, product_no, needed : str
    day, last_day : str
        First and last day of the spray.
    own_crop : str
        1 where the spray belongs to the crop planted and the label names that crop.
    undated : str
        State of this season's crop where its planting date is blank.
    carried_days, carried_months : str
        Interval typed with the spray itself, where the plant-back table has none.
    """

    product: str
    field_row: str
    product_no: str
    needed: str
    day: str
    last_day: str
    own_crop: str = "0"
    undated: int = DATE_UNKNOWN
    carried_days: str = '""'
    carried_months: str = '""'


def _of_field(table: str, key: str) -> str:
    return "INDEX({%s.%s:all},{field_row})" % (table, key)


def _either(later: str, this: str, following: str) -> str:
    """Formula of what this season's crop or the next one has."""
    return {THIS_CROP: this, NEXT_CROP: following}.get(later, f"IF({later}=1,{following},{this})")


def _date(key: str) -> str:
    value = _of_field("fields", key)
    return 'IF(%s="","",%s)' % (value, value)


def planted_columns(spray: Spray, later: str) -> tuple[Column, ...]:
    """Return the columns that judge one crop planted after a spray.

    Parameters
    ----------
    spray : Spray
    later : str
        Formula: 0 for this season's crop, 1 for the next.
    """
    def of_crop(this: str, following: str) -> str:
        return 'IF({field_row}="","",%s)' % _either(later, this, following)

    chosen = "AND({near_row}=\"\",{named_row}=\"\")"
    unsure = 'IF({near_row}="",0,IF(INDEX({plant_back_facts.any_no:all},{near_row})=0,1,0))'
    return (
        result("product", "Product", spray.product, "name"),
        working("field_row", "Field row", f'IF({{product}}="","",{spray.field_row})'),
        result("next_crop", "Crop planted", of_crop(_of_field("fields", "crop") + '&""', _of_field("fields", "next_crop") + '&""'), "name"),
        *(
            working(f"planted_{key}", f"Crop planted: {header}", of_crop(_of_field("field_crops", f"crop_{key}"), _of_field("field_crops", f"next_{key}")), "text")
            for key, header in (("name", "one name"), ("wider", "wider crop"), ("family", "crops it may be"), ("group", "group"))
        ),
        result("planting_date", "Planned planting", of_crop(_date("planting_date"), _date("next_planting_date")), "date"),
        working("day", "Sprayed on", f'IF({{field_row}}="","",{spray.day})', "date"),
        working("last_day", "Last day of it", f'IF({{field_row}}="","",{spray.last_day})', "date"),
        working("state", "How the crop stands to it",
                'IF(OR({field_row}="",{planted_name}="fallow",AND({next_crop}="",{planting_date}="")),0,'
                f'IF({{planting_date}}="",{_either(later, str(spray.undated), "1")},IF({{day}}="",{later},IF({{planting_date}}>{{day}},1,IF({{planting_date}}={{day}},3,0)))))', "count",
                note="0: planted before, or fallow; 1: planted later; 2: planting date of this season's crop not entered; 3: on the same day."),
        working("number", "Product number", f'IF({{state}}=0,"",{spray.product_no})'),
        working("needed", "Interval needed", f'IF({{state}}=0,0,{spray.needed})', "count"),
        *match_columns("plant_back_facts", "{number}", "planted"),
        working("every", "Only the row of any crop", f'IF({{found_row}}="",0,IF({chosen},1,0))', "count"),
        working("held", "Row counts", 'IF({state}=0,0,IF(AND({state}>1,OR({every}=1,{found_row}="")),0,1))', "count",
                note="Of a crop planted on the day, or with no planting date, only a row that names it is asked."),
        working("days", "Days", f'IF({{held}}=0,"",IF({{found_row}}="",{spray.carried_days},{strictest_of("plant_back_facts", "days")}))', "days"),
        working("months", "Months", f'IF({{held}}=0,"",IF({{found_row}}="",{spray.carried_months},{strictest_of("plant_back_facts", "months")}))', "count"),
        working("by_days", "Earliest by days", 'IF(OR({last_day}="",{days}=""),"",{last_day}+{days})', "date"),
        working("by_months", "Earliest by months", 'IF(OR({last_day}="",{months}=""),"",EDATE({last_day},{months}))', "date"),
        working("months_rule", "Months are the longer", 'IF({months}="",0,IF({days}="",1,IF(SUM({by_months})>=SUM({by_days}),1,0)))', "count"),
        result("interval", "Interval", 'IF({months_rule}=1,{months},{days})', "count"),
        result("interval_unit", "Unit", 'IF({interval}="","",IF({months_rule}=1,"months","days"))', "text"),
        result("earliest_planting", "Earliest planting", 'IF(COUNT({by_days},{by_months})=0,"",MAX({by_days},{by_months}))', "date",
               note="Calendar months clip to the end of a shorter month."),
        result("margin_days", "Days to spare", 'IF(OR({earliest_planting}="",{planting_date}=""),"",{planting_date}-{earliest_planting})', "days"),
        working("unsure", "Row may not mean the crop", unsure, "count"),
        working("own_crop", "The label names the crop it was sprayed for", f'IF({{state}}<>1,0,{_either(later, spray.own_crop, "0")})', "count"),
        check("status", "Status",
              f'IF({{held}}=0,"",IF({{next_crop}}="",IF({{needed}}=1,"{NOT_ENTERED}",""),IF({{interval}}="",IF({{needed}}=1,"{NOT_ENTERED}",""),'
              f'IF({{last_day}}="","{NOT_ENTERED}",IF({{margin_days}}="",IF({{unsure}}=1,"{NOT_ENTERED}",IF({{interval}}=0,"{OK}","{LOOK}")),'
              f'IF({{margin_days}}<0,IF(AND({{every}}=1,{{own_crop}}=1),"{NOT_ENTERED}","{NOT_ALLOWED}"),IF({{unsure}}=1,"{NOT_ENTERED}","{OK}")))))))'),
        check("finding", "Finding",
              f'IF(OR({{status}}="",{{status}}="{OK}"),"",{{product}}&": "&IF({{status}}="{NOT_ALLOWED}",{{next_crop}}&" is planned "&(0-{{margin_days}})&IF({{margin_days}}=-1," day"," days")&" before it may be planted",'
              f'IF({{status}}="{LOOK}","no planting date entered for "&{{next_crop}},'
              'IF({next_crop}="","a planting date is entered, but not the crop",IF({interval}="","no plant-back interval entered for "&{next_crop},'
              'IF({last_day}="","the day it was sprayed is not entered",IF({unsure}=1,"the plant-back row for "&INDEX({plant_back.next_crop:all},{near_row})&" may or may not mean "&{next_crop}&"; write one name in both",'
              '"its label names "&{next_crop}&", but only the plant-back row of any crop is entered, "&{interval}&" "&{interval_unit}&": enter its own")))))))', "long_text"),
    )


def _of_passes(key: str, title: str, about: str, later: str) -> Table:
    """Table of each product of each pass against one crop planted after it."""
    spray = Spray(
        product="{mix_lines.product}",
        field_row="{pass_volumes.field_row}",
        product_no="{product_limits.product_no}",
        needed="{product_limits.needed}",
        day="{pass_times.day}",
        last_day="{pass_times.last_day}",
        own_crop='IF(OR({pass_crops.crop_name}<>{planted_name},{product_limits.named_row}="",{product_limits.forbidden}=1),0,1)',
    )
    return Table(
        key, title, about,
        (
            result("pass", "Pass", 'IF({state}=0,"",{mix_lines.pass})', "name"),
            result("field", "Field", 'IF({state}=0,"",{mix_lines.field})', "name"),
            *planted_columns(spray, later),
        ),
        rows="as:mix_lines",
        kind="result",
        sheet="Plant-back checks",
        caution="Labels may add conditions of rain, soil pH or a bioassay that no table holds.",
    )


PLANT_BACK_CHECKS = _of_passes("plant_back_checks", "Plant-back checks", "Each product of each pass against the crop planted next on the field.", NEXT_CROP)
PLANTING_CHECKS = _of_passes(
    "planting_checks", "Plant-back checks, this crop", "Each product of each pass against this season's crop, where it is planted after the pass.", THIS_CROP,
)


def _carried(unit: str) -> str:
    return 'IF(OR({earlier_sprays.interval}="",{earlier_sprays.interval_unit}<>"%s"),"",{earlier_sprays.interval})' % unit


EARLIER_FACTS = Table(
    "earlier_facts",
    "Earlier spray workings",
    "Field and product of each spray of earlier seasons.",
    (
        working("field_row", "Field row", 'IF({earlier_sprays.field}="","",IFERROR(MATCH({earlier_sprays.field},{fields.field:all},0),""))'),
        working("product_row", "Product row", 'IF({earlier_sprays.product}="","",IFERROR(MATCH({earlier_sprays.product},{products.product:all},0),""))'),
        working("product_no", "Product number", 'IF({product_row}="","",INDEX({product_facts.product_no:all},{product_row}))'),
        working("day", "Sprayed on", 'IF({earlier_sprays.date}="","",{earlier_sprays.date})', "date"),
    ),
    rows="as:earlier_sprays",
    kind="working",
    sheet="Workings passes",
)

_SEVERITIES = ((NOT_ALLOWED, 1), (NOT_ENTERED, 2), (LOOK, 3), (OK, 4))


def _severity(status: str) -> str:
    chain = '""'
    for word, number in reversed(_SEVERITIES):
        chain = f'IF({status}="{word}",{number},{chain})'
    return chain


EARLIER_CHECKS = Table(
    "earlier_checks",
    "Plant-back of earlier sprays",
    "Each spray of an earlier season against this season's crop and the next.",
    (
        slot_number(),
        working("later", "Next crop", "{slot}-1", "count"),
        result("field", "Field", 'IF({state}=0,"",{earlier_sprays.field})', "name"),
        *planted_columns(Spray(
            product='{earlier_sprays.product}&""',
            field_row="{earlier_facts.field_row}",
            product_no="{earlier_facts.product_no}",
            needed="1",
            day="{earlier_facts.day}",
            last_day="{earlier_facts.day}",
            undated=PLANTED_LATER,
            carried_days=_carried("days"),
            carried_months=_carried("months"),
        ), "{later}"),
        working("severity", "Severity", _severity("{status}"), "count"),
        working("key", "Field and severity", 'IF({severity}="","",{field_row}*10+{severity})'),
        working("crop_no", "Field and crop", 'IF({field_row}="","",{field_row}*2+{later})'),
        working("crop_key", "Field, crop and severity", 'IF({severity}="","",{crop_no}*10+{severity})'),
    ),
    rows="under:earlier_sprays:both_crops",
    kind="result",
    sheet="Plant-back checks",
    caution="The interval on the label of the year it was sprayed governs.",
)


def _worst_row() -> str:
    chain = '""'
    for _, number in reversed(_SEVERITIES):
        chain = "IFERROR(MATCH({pass_volumes.field_row}*10+%d,{earlier_checks.key:all},0),%s)" % (number, chain)
    return chain


EARLIER_PASSES = Table(
    "earlier_passes",
    "Earlier sprays by pass",
    "What earlier sprays leave a field, told once, at the field's first pass.",
    (
        row_number(),
        working("first", "First pass on the field", 'IF({pass_volumes.field_row}="",0,IF(MATCH({pass_volumes.field_row},{pass_volumes.field_row:all},0)={row_no},1,0))', "count"),
        working("row", "Worst line", 'IF({first}=0,"",' + _worst_row() + ")"),
        check("status", "Status", 'IF({row}="","",INDEX({earlier_checks.status:all},{row}))'),
        check("finding", "Finding", 'IF({row}="","",INDEX({earlier_checks.finding:all},{row}))', "long_text"),
    ),
    rows="as:passes",
    kind="working",
    sheet="Workings passes",
)

PLANT_BACK_TABLES = (PLANT_BACK_CHECKS, PLANTING_CHECKS, EARLIER_FACTS, EARLIER_CHECKS, EARLIER_PASSES)
