"""What blooms on each field and beside it, what the labels of each mix say of bees,
and each pass against both.
"""

from __future__ import annotations

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import check, place, result, working
from workbook_builder.features.pollinators import definitions as bees

SHEET = "Workings records"
#: Stands for a bloom whose end nobody typed.
OPEN = 1_000_000
_IN_BLOOM, _FORAGING = bees.CLASSES[bees.BLOOM], bees.CLASSES[bees.FORAGING]

BLOOM = Table(
    "bloom",
    "Bloom",
    "What blooms on each field and beside it, weeds too, and when; asked for where a label says something of "
    "bees.",
    (
        Column("field", "Field", "name", required=True, choices="fields.field",
               note="Choose from the fields."),
        Column("where", "Where", required=True, choices=("field", "neighbours"),
               also=(("neighbors", "neighbours"), ("neighbor", "neighbours"), ("neighbour", "neighbours")),
               note="On the field itself, or on ground beside it; a row for each, and more where several "
                    "things bloom."),
        Column("blooms", "Blooms?", choices=("yes", "no"),
               note="no where nothing of it flowers while the field is sprayed: then no dates are "
                    "asked for."),
        Column("plant", "Plant", "name", note="Crop or weed."),
        Column("from", "From", "date",
               note="First open flower, as seen or as expected; blank counts as long ago."),
        Column("to", "To", "date", note="Last petals fallen; blank counts as not yet."),
    ),
)

BLOOM_FACTS = Table(
    "bloom_facts",
    "Bloom workings",
    "Field and days of each row of bloom.",
    (
        place("field_row", "Field row", "bloom.field", "fields.field"),
        working("key", "Key", '{field_row}&"|"&{bloom.where}', "text", needs="field_row bloom.where"),
        working("known", "Tells of bloom",
                'IF({key}="",0,IF(OR({bloom.blooms}="no",COUNT({bloom.from},{bloom.to})>0),1,0))', "count"),
        working("first", "First day", 'IF(OR({known}=0,{bloom.blooms}="no"),"",SUM({bloom.from}))', "date"),
        working("last", "Last day", f'IF({{bloom.to}}="",{OPEN},{{bloom.to}})', "date", needs="first"),
    ),
    rows="as:bloom",
    kind="working",
    sheet=SHEET,
)

_NAMES = "{product_facts.product_no:all},{product_facts.product_no}"


def _of_names(key: str, header: str, typed: str, pick: str, quantity: str) -> Column:
    """Declare the strictest figure under all names of a product."""
    figures = "{products.%s:all}" % typed
    return working(key, header,
                   f'IF(COUNTIFS({_NAMES},{figures},">=0")=0,"",_xlfn.{pick}({figures},{_NAMES}))', quantity,
                   needs="product_facts.product_no")


BEE_PRODUCTS = Table(
    "bee_products",
    "Bee workings of products",
    "What the label of each product says of bees, under all its names.",
    (
        working("insecticide", "Is an insecticide",
                'IF(OR({products.kind}="insecticide",COUNTIFS({ingredient_facts.product_row:all},'
                '{product_facts.row_no},{ingredient_facts.scheme:all},"insecticide")>0),1,0)', "count"),
        working("rank", "Class, strictest of its names",
                'IF(SUM({product_facts.product_no})=0,"",'
                + "".join(f'IF(COUNTIFS({_NAMES},{{products.bees:all}},"{bees.CLASSES[rank]}")>0,{rank},'
                          for rank in (bees.BLOOM, bees.FORAGING, bees.NONE)) + '""))))', "count"),
        working("untold", "Class not entered",
                f'IF(OR({{product_facts.pesticide}}=0,{{rank}}<>""),0,IF(SUMIFS({{insecticide:all}},'
                f'{_NAMES})>0,{bees.OF_INSECTICIDE},{bees.OF_PESTICIDE}))', "count"),
        _of_names("hours", "Residue hours", "bee_hours", "MAXIFS", "hours"),
        _of_names("typed_cold", "No foraging below, typed", "bee_cold", "MINIFS", "temperature"),
        working("cold", "No foraging below",
                f'IF({{rank}}<>{bees.FORAGING},"",IF({{typed_cold}}="",{bees.NEVER_COLD:g},{{typed_cold}}))',
                "temperature"),
    ),
    rows="as:products",
    kind="working",
    sheet=SHEET,
)

_FIGURES = (("rank", "Class", "count", "MAXIFS"), ("untold", "Class not entered", "count", "MAXIFS"),
            ("hours", "Residue hours", "hours", "MAXIFS"),
            ("cold", "No foraging below", "temperature", "MINIFS"))
_OF_MIX = "{mix_rows.mix_no:all},{mix_list.row_no}"

BEE_ROWS = Table(
    "bee_rows",
    "Bee workings of mix rows",
    "What the label of the product in each row of a mix says of bees.",
    tuple(working(key, header, "{bee_products.%s@mix_rows.product_row}" % key, quantity,
                  needs="mix_rows.product_row") for key, header, quantity, _ in _FIGURES),
    rows="as:mixes",
    kind="working",
    sheet=SHEET,
)


def _first_product(key: str, header: str, figure: str, none: str) -> Column:
    """Declare the first product of a mix with the largest of a figure."""
    first = f"_xlfn.MINIFS({{mix_rows.row_no:all}},{_OF_MIX},{{bee_rows.{figure}:all}},{{{figure}}})"
    return working(key, header, f'IF({none},"",INDEX({{mixes.product:all}},{first}))', "name")


MIX_BEES = Table(
    "mix_bees",
    "Bee workings of mixes",
    "The strictest that the labels of each mix say of bees.",
    (
        *(working(key, header,
                  f'IF(COUNTIFS({_OF_MIX},{{bee_rows.{key}:all}},">-2000")=0,"",'
                  f'_xlfn.{pick}({{bee_rows.{key}:all}},{_OF_MIX}))', quantity)
          for key, header, quantity, pick in _FIGURES),
        _first_product("strictest", "Product with the strictest class", "rank", '{rank}=""'),
        _first_product("silent", "Product whose class is not entered", "untold", "SUM({untold})=0"),
    ),
    rows="as:mix_list",
    kind="working",
    sheet=SHEET,
)


def _of_mix(key: str, header: str, quantity: str) -> Column:
    return working(key, header, "{mix_bees.%s@pass_volumes.mix_no}" % key, quantity,
                   needs="pass_volumes.mix_no")


def _blooming(where: str) -> str:
    """Formula of how many rows of a field's bloom hold on the days of the pass."""
    return (f'IF({{rows}}=0,0,COUNTIFS({{bloom_facts.key:all}},{{pass_volumes.field_row}}&"|{where}",'
            f'{{bloom_facts.first:all}},"<="&{{pass_times.last_day}},{{bloom_facts.last:all}},'
            f'">="&{{pass_times.day}}))')


_BEES_FLY = f"OR({{rank}}={bees.BLOOM},AND({{rank}}={bees.FORAGING},{{forage}}=1))"
_DAY_HIDDEN = f'AND({{rank}}={bees.FORAGING},{{field_blooms}}+{{near_blooms}}>0,{{forage}}="")'

POLLINATORS = Table(
    "pollinators",
    "Bees",
    "Each pass against what its labels say of bees: what blooms on the field and beside it, the hours in "
    "which bees forage, and residues.",
    (
        _of_mix("rank", "Class", "count"),
        _of_mix("untold", "Class not entered", "count"),
        result("restriction", "Bees: label says",
               f'IF({{rank}}={bees.BLOOM},"{_IN_BLOOM}",IF({{rank}}={bees.FORAGING},"{_FORAGING}",'
               f'"{bees.CLASSES[bees.NONE]}"))', "text", needs="rank"),
        working("rows", "Rows of bloom of its field",
                'IF(OR({pass_volumes.field_row}="",{pass_times.day}=""),0,'
                'COUNTIF({bloom_facts.field_row:all},{pass_volumes.field_row}))', "count"),
        working("told", "Bloom is entered",
                'IF({rows}=0,0,IF(AND(COUNTIF({bloom_facts.key:all},{pass_volumes.field_row}&"|field")>0,'
                'COUNTIF({bloom_facts.key:all},{pass_volumes.field_row}&"|neighbours")>0,'
                'COUNTIFS({bloom_facts.field_row:all},{pass_volumes.field_row},{bloom_facts.known:all},'
                '1)={rows}),1,0))', "count"),
        working("field_blooms", "Blooms on the field", _blooming("field"), "count"),
        working("near_blooms", "Blooms beside it", _blooming("neighbours"), "count"),
        result("blooming", "In bloom",
               'IF({field_blooms}>0,IF({near_blooms}>0,"field and neighbours","field"),IF({near_blooms}>0,'
               '"neighbours",IF({told}=1,"nothing","")))', "text", needs="restriction"),
        working("air", "Temperature at the pass",
                'IF({log_weather.temperature}<>"",{log_weather.temperature},IF({pass_weather.reading_row}="",'
                '"",IF({conditions.temperature@pass_weather.reading_row}="","",'
                '{conditions.temperature@pass_weather.reading_row})))', "temperature"),
        _of_mix("cold", "No foraging below", "temperature"),
        working("start", "Start", 'IF({pass_times.clock}="","",{pass_times.start})', "moment"),
        working("forage", "Bees forage",
                'IF(AND({air}<>"",{cold}<>"",ROUND(SUM({air})-SUM({cold}),6)<0),0,'
                'IF(OR({start}="",{daylight.sunset}=""),"",IF(AND({start}>={daylight.sunrise},'
                '{start}<{daylight.sunset}),1,'
                'IF({pass_times.end_known}<>1,"",IF({pass_times.end}>{daylight.sunrise}'
                '+IF({start}>={daylight.sunset},1,0),1,0)))))', "count",
                twin=bees.foraging,
                takes="start pass_times.end_known pass_times.end daylight.sunrise daylight.sunset air cold"),
        _of_mix("hours", "Residue hours", "hours"),
        result("clear", "Residue gone", "{pass_times.end}+{hours}/24", "moment", needs="hours pass_times.end",
               twin=lambda end, hours: end + hours / 24, takes="pass_times.end hours",
               note="Not corrected for a night in which the clock is changed."),
        working("flight", "Bees fly again",
                "{daylight.sunrise}+MAX(0,ROUNDUP(ROUND({pass_times.end}-{daylight.sunrise},6),0))", "moment",
                needs="clear daylight.sunrise",
                twin=bees.next_flight, takes="pass_times.end daylight.sunrise",
                note="At the next sunrise, taken to be as early as that of the day."),
        working("late_blooms", "Blooms until residue is gone",
                'IF({rows}=0,0,COUNTIFS({bloom_facts.field_row:all},{pass_volumes.field_row},'
                '{bloom_facts.first:all},"<="&INT({clear}),{bloom_facts.last:all},'
                '">="&INT(IF({flight}="",{pass_times.day},{flight}))))', "count", needs="clear"),
        working("residue", "Residue hurts bees",
                'IF(SUM({late_blooms})=0,0,IF({flight}="","",IF(ROUND({clear}-{flight},6)>0,1,0)))', "count",
                twin=bees.residue_left, takes="hours late_blooms clear flight"),
        check("status", "Bees: status",
              f'IF({{pass_volumes.mix_no}}="","",IF(AND({{field_blooms}}>0,{_BEES_FLY}),"Not allowed",'
              f'IF(OR({{untold}}={bees.OF_INSECTICIDE},AND({{untold}}={bees.OF_PESTICIDE},'
              f'{{field_blooms}}+{{near_blooms}}>0),AND(SUM({{rank}})>0,{{told}}=0),{_DAY_HIDDEN},'
              f'{{residue}}=""),"Not entered",'
              f'IF(OR(AND({{near_blooms}}>0,{_BEES_FLY}),{{residue}}=1),"Review",IF({{rank}}="","","OK")))))',
              twin=lambda mix, *terms: "" if mix == "" else bees.bee_status(*terms),
              takes="pass_volumes.mix_no rank untold told field_blooms near_blooms forage residue"),
        check("finding", "Bees: finding",
              f'IF(OR({{status}}="",{{status}}="OK"),"",IF({{status}}="Not entered",'
              f'IF(SUM({{untold}})>IF({{field_blooms}}+{{near_blooms}}>0,0,1),'
              f'{{mix_bees.silent@pass_volumes.mix_no}}&": what its label says of bees is not entered '
              f'(Products)",'
              '{mix_bees.strictest@pass_volumes.mix_no}&": "&IF(AND(SUM({rank})>0,{told}=0),'
              '"bloom of the field and of its neighbours not entered (tab Weather)",'
              '"start time, length of the work or place not entered, so nobody knows whether bees fly")),'
              f'IF({_BEES_FLY},{{mix_bees.strictest@pass_volumes.mix_no}}&": "&IF({{status}}="Review",'
              f'"neighbours bloom, keep drift off them","its label forbids it"&IF({{rank}}={bees.BLOOM},'
              f'" in bloom"," while bees forage, start after sunset or be done before sunrise")),'
              '"residue of "&ROUND(ROUND({hours},6),1)&" h is still there when bees fly again, and something '
              'blooms")))', "long_text"),
    ),
    rows="as:passes",
    kind="result",
    caution="Ask where hives stand and warn their keepers; states may ask for notice. The label is the law.",
)

TABLES = (BLOOM, BLOOM_FACTS, BEE_PRODUCTS, BEE_ROWS, MIX_BEES, POLLINATORS)

CHECKS = (CheckKind("Bees", "pollinators", "status", "finding", rank=275),)
