"""Plant-back that hangs on rain and soil pH: rain typed by field,
and label rows that hold only once enough has fallen, or on some soils.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import place, result, row_number, working
from workbook_builder.features.labels.columns import first_of_crop, match_columns, product_columns, row_keys
from workbook_builder.features.labels.names import ANY, crop_columns

SHEET = "Workings products"
#: Stands for rain that has not fallen yet.
NOT_FALLEN = -1
#: Soil pH of a row that does not ask for it: below and above every soil, also one whose pH is not known.
_LOWEST, _HIGHEST = -1, 99

RAIN = Table(
    "rain",
    "Rain",
    "Rain by field and day, as your gauge says; asked for where a plant-back interval hangs on rain.",
    (
        Column("field", "Field", "name", required=True, choices="fields.field",
               note="Choose from the fields."),
        Column("date", "Date", "date", required=True,
               note="Day it fell, or the last day of what the amount covers."),
        Column("amount", "Rain", "rain", required=True, minimum=0, maximum=5000,
               note="Irrigation counts where the label counts it."),
    ),
)

RAIN_PLANT_BACK = Table(
    "rain_plant_back",
    "Plant-back by rain and soil",
    "Plant-back rows of labels that hold only where enough rain fell, or by soil pH; a row that holds wins "
    "over Plant-back.",
    (
        Column("product", "Product", "name", required=True, choices="products.product",
               note="Choose from the products."),
        Column("next_crop", "Next crop", "name", choices="crops.crop", suggest_only=True,
               note="Crop, or any, or blank for every crop not named."),
        Column("rain", "Rain needed", "rain", minimum=0, maximum=5000,
               note="Fallen since the day of the spray; blank where the row does not ask."),
        Column("starts", "Counts from that rain", choices=("yes", "no"),
               note="yes where the interval begins only when that rain has fallen; else it counts from the "
                    "spray and holds where the rain falls before planting."),
        Column("ph_from", "Soil pH from", "ph", minimum=2, maximum=12,
               note="Least soil pH of the row, itself included."),
        Column("ph_below", "Soil pH below", "ph", minimum=2, maximum=12,
               note="The row holds on soils under this pH."),
        Column("interval", "Interval", "count", required=True, minimum=0, maximum=2000,
               note="Number of days or calendar months."),
        Column("interval_unit", "Interval unit", required=True, choices=("days", "months"),
               note="days or months (calendar months)."),
    ),
    caution="The label in your hand governs; these figures are typed in by people.",
)

RAIN_FACTS = Table(
    "rain_facts",
    "Rain workings",
    "Rain of each field so far, row by row.",
    (
        place("field_row", "Field row", "rain.field", "fields.field"),
        result("so_far", "Rain so far",
               'ROUND(SUMIFS({rain.amount:all},{field_row:all},{field_row},{rain.date:all},'
               '"<="&{rain.date}),6)', "rain", needs="field_row rain.date"),
    ),
    rows="as:rain",
    kind="working",
    sheet=SHEET,
)


def _interval(unit: str) -> Column:
    return working(unit, unit.title(),
                   f'IF({{rain_plant_back.interval_unit}}="{unit}",{{rain_plant_back.interval}},"")',
                   "days" if unit == "days" else "count", needs="rain_plant_back.interval")


RAIN_PLANT_BACK_FACTS = Table(
    "rain_plant_back_facts",
    "Workings of plant-back by rain",
    "Lookup key of each row, what it asks for, and its place among rows that hold together: the one that "
    "asks for the most rain comes first.",
    (
        row_number(),
        *product_columns("rain_plant_back"),
        *crop_columns("{rain_plant_back.next_crop}", blank=ANY),
        *row_keys("{product_no}"),
        working("asks_ph", "Asks for soil pH",
                'IF(COUNT({rain_plant_back.ph_from},{rain_plant_back.ph_below})>0,1,0)', "count"),
        working("ph_from", "Soil pH from", f"IF({{asks_ph}}=0,{_LOWEST},SUM({{rain_plant_back.ph_from}}))",
                "ph"),
        working("ph_below", "Soil pH below",
                f'IF({{rain_plant_back.ph_below}}="",{_HIGHEST},{{rain_plant_back.ph_below}})', "ph"),
        working("least", "Rain that must have fallen",
                'IF({rain_plant_back.starts}="yes",0,SUM({rain_plant_back.rain}))', "rain", needs="key"),
        working("order", "Place", 'COUNTIF({least:all},">"&{least})*1000+{row_no}', needs="least"),
        _interval("days"),
        _interval("months"),
    ),
    rows="as:rain_plant_back",
    kind="working",
    sheet=SHEET,
)


def fallen(field_row: str, last_day: str, this_planted: str, next_planted: str) -> tuple[Column, ...]:
    """Declare the rain on a field up to a spray, and from the day after it until the day before each
    planting.

    Parameters
    ----------
    field_row, last_day, this_planted, next_planted : str
        Columns of the row of the field, the last day of the spray, and the plantings;
        rain counts on where one is blank.
    """
    rain, day = (f"SUMIFS({{rain.amount:all}},{{rain_facts.field_row:all}},{{{field_row}}},{{rain.date:all}}",
                 f"{{{last_day}}}")
    needs = f"{field_row} {last_day}"
    return (
        working("rain_before", "Rain up to the spray", f'{rain},"<="&{day})', "rain", needs=needs),
        *(working(f"{which}_rain", f"{header}: rain since the spray",
                  f'ROUND({rain},">"&{day},{{rain.date:all}},"<"&IF({{{planted}}}="",1000000,'
                  f'{{{planted}}})),6)', "rain", needs=needs)
          for which, header, planted in (("this", "This crop", this_planted),
                                         ("next", "Next crop", next_planted))),
    )


def row_that_holds(names: str, field_row: str, rain: str, before: str) -> tuple[Column, ...]:
    """Declare which row by rain and soil holds for a product and a crop,
    and the day from which its interval counts.

    Parameters
    ----------
    names : str
        Table and start of the keys of the crop's names.
    field_row : str
        Column of the row of the field.
    rain, before : str
        Formulas of the rain since the spray and up to it.
    """
    facts, acid = "{rain_plant_back_facts.%s:all}", f"SUM({{fields.soil_ph@{field_row}}})"
    holds = (f',{facts % "ph_from"},"<="&{acid},{facts % "ph_below"},">"&{acid},{facts % "least"},'
             f'"<="&SUM({rain})')
    by_acid = first_of_crop("rain_plant_back_facts", "order", f",{facts % 'asks_ph'},1", "{number}", "rain_")
    own, every = first_of_crop("rain_plant_back_facts", "order", holds, "{number}", "rain_")
    needed = f"ROUND(ROUND(SUM({before})+SUM({{rain_plant_back.rain@rain_row}}),6),6)"
    reached = (f'IFERROR(_xlfn.MINIFS({{rain.date:all}},{{rain_facts.field_row:all}},{{{field_row}}},'
               f'{{rain_facts.so_far:all}},">="&{needed}),0)')
    return (
        *match_columns("rain_plant_back_facts", "{number}", names, "rain_", "By rain and soil: "),
        working("asking", "Rows by rain and soil",
                f'IF({{rain_found_row}}="",0,IF(AND({acid}=0,{by_acid[0]}+{by_acid[1]}>0),2,1))', "count",
                note="2: they ask for a soil pH that the field has none of."),
        working("rain_own", "First of those of its crop that holds", f'IF({{asking}}<>1,0,{own})', "count"),
        working("rain_row", "Row of them that holds",
                f'IF({{asking}}<>1,"",IFERROR(MATCH(IF({{rain_own}}>0,{{rain_own}},{every}),'
                f'{facts % "order"},0),""))',
                note="One that names the crop, or nearly names it, before one of any."),
        working("rain_day", "Rain fallen on",
                f'IF({{rain_plant_back.starts@rain_row}}="yes",IF({reached}=0,{NOT_FALLEN},{reached}),"")',
                "date", needs="rain_row",
                note=f"Where the interval counts from it; {NOT_FALLEN} where too little has fallen."),
    )


def begins(day: Any, reached: Any) -> Any:
    """Return the day from which an interval counts [day number]: that of the spray,
    or the later one on which enough rain had fallen; blank where it has not.
    """
    return "" if day == "" or reached == NOT_FALLEN else max(day, reached or 0)


def by_rain(function: Callable[..., Any]) -> Callable[..., Any]:
    """Return a function of the day of a spray as one that takes the day of the rain after it."""
    return lambda day, reached, *more: function(begins(day, reached), *more)


TABLES = (RAIN, RAIN_PLANT_BACK, RAIN_FACTS, RAIN_PLANT_BACK_FACTS)
