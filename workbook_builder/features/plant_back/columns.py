"""Plant-back: every crop that is planted after a spray, this season's and the next, also after sprays of earlier seasons."""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK, Column, Table
from workbook_builder.core.short import check, result, row_number, slot_number, working
from workbook_builder.features.labels.columns import match_columns, strictest_of

#: How a crop stands to a spray: it is not judged, it is planted later, its planting date is not known, or it is the same day.
NOT_JUDGED, PLANTED_LATER, DATE_UNKNOWN, SAME_DAY = 0, 1, 2, 3
#: Both crops of a field: start of their keys, columns of the fields that hold crop and planting, start of the crop's names.
CROPS = {"this": ("This crop", "crop", "planting_date", "crop"), "next": ("Next crop", "next_crop", "next_planting_date", "next")}
SHEET = "Plant-back checks"
_NAMES = (("name", "one name"), ("wider", "wider crop"), ("family", "crops it may be"), ("group", "group"))


def _planted(which: str, field_row: str, day: str, undated: int) -> tuple[Column, ...]:
    """Columns of one crop of a field and how it stands to a spray.

    Parameters
    ----------
    which : str
        ``this`` or ``next`` crop.
    field_row, day : str
        Formulas of the row of the field and of the first day of the spray.
    undated : int
        State of this season's crop where its planting date is blank.
    """
    header, crop, date, names = CROPS[which]
    later = int(which == "next")

    def of(table: str, key: str) -> str:
        return "INDEX({%s.%s:all},%s)" % (table, key, field_row)

    typed, planted, name = (f"{{{which}_{key}}}" for key in ("crop", "planted", "name"))
    state = (
        f'IF(OR({field_row}="",{name}="fallow",AND({typed}="",{planted}="")),0,IF({planted}="",{1 if later else undated},IF({day}="",{later},'
        f"IF({planted}>{day},1,IF({planted}={day},3,0)))))"
    )
    return (
        working(f"{which}_crop", header, f'IF({field_row}="","",{of("fields", crop)}&"")', "name"),
        *(working(f"{which}_{key}", f"{header}: {said}", f'IF({field_row}="","",{of("field_crops", f"{names}_{key}")})', "text") for key, said in _NAMES),
        working(f"{which}_planted", f"{header}: planting", f'IF({field_row}="","",IF({of("fields", date)}="","",{of("fields", date)}))', "date"),
        working(f"{which}_state", f"{header}: how it stands to the spray", state, "count",
                note="0: planted before, or fallow; 1: planted later; 2: planting date of this season's crop not entered; 3: on the same day."),
    )


@dataclass(frozen=True)
class Spray:
    """What was sprayed, and the crop planted after it, in formulas.

    Parameters
    ----------
    product, product_no, needed, last_day : str
        Name and number of the product, 1 where its label must give an interval, last day of the spray.
    crop, planted, state : str
        The crop as typed, its planting, and how it stands to the spray.
    names : str
        Table and start of the keys of the crop's names.
    own_crop : str
        True where the spray is for the crop planted and its label names that crop.
    carried_days, carried_months : str
        Interval typed with the spray itself, where the plant-back table has none.
    """

    product: str
    product_no: str
    needed: str
    last_day: str
    crop: str
    planted: str
    state: str
    names: str
    own_crop: str = "FALSE"
    carried_days: str = '""'
    carried_months: str = '""'


def _judged(spray: Spray) -> tuple[Column, ...]:
    """Columns that judge one crop planted after a spray."""
    months_rule = 'AND({months}<>"",OR({days}="",SUM({by_months})>=SUM({by_days})))'
    needed = f'IF({spray.needed}=1,"{NOT_ENTERED}","")'
    return (
        result("product", "Product", f'IF({spray.state}=0,"",{spray.product})', "name"),
        result("next_crop", "Crop planted", f'IF({{product}}="","",{spray.crop})', "name"),
        result("planting_date", "Planned planting", f'IF({{product}}="","",{spray.planted})', "date"),
        working("number", "Product number", f'IF({{product}}="","",{spray.product_no})'),
        *match_columns("plant_back_facts", "{number}", spray.names),
        working("every", "Only the row of any crop", 'IF({found_row}="",0,IF(AND({named_row}="",{near_row}=""),1,0))', "count"),
        working("unsure", "Row may not mean the crop", 'IF({near_row}="",0,IF(INDEX({plant_back_facts.any_no:all},{near_row})=0,1,0))', "count"),
        working("held", "Row counts", f'IF({{product}}="",0,IF(AND({spray.state}>1,OR({{every}}=1,{{found_row}}="")),0,1))', "count",
                note="Of a crop planted on the day, or with no planting date, only a row that names it is asked."),
        working("days", "Days", f'IF({{held}}=0,"",IF({{found_row}}="",{spray.carried_days},{strictest_of("plant_back_facts", "days")}))', "days"),
        working("months", "Months", f'IF({{held}}=0,"",IF({{found_row}}="",{spray.carried_months},{strictest_of("plant_back_facts", "months")}))', "count"),
        working("by_days", "Earliest by days", f'IF(OR({{days}}="",{spray.last_day}=""),"",{spray.last_day}+{{days}})', "date"),
        working("by_months", "Earliest by months", f'IF(OR({{months}}="",{spray.last_day}=""),"",EDATE({spray.last_day},{{months}}))', "date"),
        result("interval", "Interval", f"IF({months_rule},{{months}},{{days}})", "count"),
        result("interval_unit", "Unit", f'IF({{interval}}="","",IF({months_rule},"months","days"))', "text"),
        result("earliest_planting", "Earliest planting", 'IF(COUNT({by_days},{by_months})=0,"",MAX({by_days},{by_months}))', "date",
               note="Calendar months clip to the end of a shorter month."),
        result("margin_days", "Days to spare", 'IF(OR({earliest_planting}="",{planting_date}=""),"",{planting_date}-{earliest_planting})', "days"),
        check("status", "Status",
              f'IF({{held}}=0,"",IF(OR({{next_crop}}="",{{interval}}=""),{needed},IF({spray.last_day}="","{NOT_ENTERED}",'
              f'IF({{margin_days}}="",IF({{unsure}}=1,"{NOT_ENTERED}",IF({{interval}}=0,"{OK}","{LOOK}")),'
              f'IF({{margin_days}}<0,IF(AND({{every}}=1,{spray.own_crop}),"{NOT_ENTERED}","{NOT_ALLOWED}"),IF({{unsure}}=1,"{NOT_ENTERED}","{OK}"))))))'),
        check("finding", "Finding",
              f'IF(OR({{status}}="",{{status}}="{OK}"),"",{{product}}&": "&IF({{status}}="{NOT_ALLOWED}",{{next_crop}}&" is planned "&(0-{{margin_days}})&IF({{margin_days}}=-1," day"," days")&" before it may be planted",'
              f'IF({{status}}="{LOOK}","no planting date entered for "&{{next_crop}},'
              'IF({next_crop}="","a planting date is entered, but not the crop",IF({interval}="","no plant-back interval entered for "&{next_crop},'
              f'IF({spray.last_day}="","the day it was sprayed is not entered",IF({{unsure}}=1,'
              '"the plant-back row for "&INDEX({plant_back.next_crop:all},{near_row})&" may or may not mean "&{next_crop}&"; write one name in both",'
              '"its label names "&{next_crop}&", but only the plant-back row of any crop is entered, "&{interval}&" "&{interval_unit}&": enter its own")))))))', "long_text"),
    )


PLANTED_CROPS = Table(
    "planted_crops",
    "Plantings after each pass",
    "Both crops of the field of each pass, and whether they are planted after it.",
    (
        *_planted("this", "{pass_volumes.field_row}", "{pass_times.day}", DATE_UNKNOWN),
        *_planted("next", "{pass_volumes.field_row}", "{pass_times.day}", DATE_UNKNOWN),
    ),
    rows="as:passes",
    kind="working",
    sheet="Workings passes",
)


def _of_passes(key: str, title: str, about: str, which: str) -> Table:
    """Table of each product of each pass against one crop planted after it."""
    own_crop = (
        '{planted_crops.this_state}=1,{pass_crops.crop_name}={planted_crops.this_name},{product_limits.named_row}<>"",{product_limits.forbidden}<>1'
    )
    spray = Spray(
        product="{mix_lines.product}", product_no="{product_limits.product_no}", needed="{product_limits.needed}", last_day="{pass_times.last_day}",
        crop="{planted_crops.%s_crop}" % which, planted="{planted_crops.%s_planted}" % which, state="{planted_crops.%s_state}" % which,
        names=f"planted_crops.{which}", own_crop=f"AND({own_crop})" if which == "this" else "FALSE",
    )
    return Table(
        key, title, about,
        (
            result("pass", "Pass", 'IF({product}="","",{mix_lines.pass})', "name"),
            result("field", "Field", 'IF({product}="","",{mix_lines.field})', "name"),
            *_judged(spray),
        ),
        rows="as:mix_lines",
        kind="result",
        sheet=SHEET,
        caution="Labels may add conditions of rain, soil pH or a bioassay that no table holds.",
    )


PLANT_BACK_CHECKS = _of_passes("plant_back_checks", SHEET, "Each product of each pass against the crop planted next on the field.", "next")
PLANTING_CHECKS = _of_passes(
    "planting_checks", "Plant-back checks, this crop", "Each product of each pass against this season's crop, where it is planted after the pass.", "this",
)


def _carried(unit: str) -> str:
    return 'IF(OR({earlier_sprays.interval}="",{earlier_sprays.interval_unit}<>"%s"),"",{earlier_sprays.interval})' % unit


EARLIER_FACTS = Table(
    "earlier_facts",
    "Earlier spray workings",
    "Field and product of each spray of earlier seasons, and both crops of its field.",
    (
        working("field_row", "Field row", 'IF({earlier_sprays.field}="","",IFERROR(MATCH({earlier_sprays.field},{fields.field:all},0),""))'),
        working("product_row", "Product row", 'IF({earlier_sprays.product}="","",IFERROR(MATCH({earlier_sprays.product},{products.product:all},0),""))'),
        working("product_no", "Product number", 'IF({product_row}="","",INDEX({product_facts.product_no:all},{product_row}))'),
        working("day", "Sprayed on", 'IF({earlier_sprays.date}="","",{earlier_sprays.date})', "date"),
        *_planted("this", "{field_row}", "{day}", PLANTED_LATER),
        *_planted("next", "{field_row}", "{day}", PLANTED_LATER),
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


def _of_both(key: str) -> str:
    return "IF({slot}=1,{earlier_facts.this_%s},{earlier_facts.next_%s})" % (key, key)


EARLIER_CHECKS = Table(
    "earlier_checks",
    "Plant-back of earlier sprays",
    "Each spray of an earlier season against this season's crop and the next.",
    (
        slot_number(),
        result("field", "Field", 'IF({product}="","",{earlier_sprays.field})', "name"),
        working("state", "How the crop stands to it", _of_both("state"), "count"),
        *(working(f"planted_{key}", f"Crop planted: {said}", _of_both(key), "text") for key, said in _NAMES),
        *_judged(Spray(
            product='{earlier_sprays.product}&""', product_no="{earlier_facts.product_no}", needed="1", last_day="{earlier_facts.day}",
            crop=_of_both("crop"), planted=_of_both("planted"), state="{state}", names="planted",
            carried_days=_carried("days"), carried_months=_carried("months"),
        )),
        working("severity", "Severity", _severity("{status}"), "count"),
        working("crop_no", "Field and crop", 'IF({earlier_facts.field_row}="","",{earlier_facts.field_row}*2+{slot}-1)'),
        working("crop_key", "Field, crop and severity", 'IF({severity}="","",{crop_no}*10+{severity})'),
        working("key", "Field and severity", 'IF({severity}="","",{earlier_facts.field_row}*10+{severity})'),
    ),
    rows="under:earlier_sprays:both_crops",
    kind="result",
    sheet=SHEET,
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

PLANT_BACK_TABLES = (PLANTED_CROPS, PLANT_BACK_CHECKS, PLANTING_CHECKS, EARLIER_FACTS, EARLIER_CHECKS, EARLIER_PASSES)
