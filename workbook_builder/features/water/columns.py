"""Water quality: hardness, the ammonium sulfate it asks for, and what each mix carries."""

from __future__ import annotations

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import check, place, result, typed_in, working
from workbook_builder.features.loads.lines import of_first, outermost, summed
from workbook_builder.features.water.definitions import (
    AMS_PER_PPM,
    advised_ammonium_sulfate,
    ammonium_sulfate,
    ammonium_sulfate_brought,
    ammonium_sulfate_content,
    ammonium_sulfate_status,
    grains,
    hardness,
    hardness_class,
    ph_note,
)


def _test_columns(prefix: str, named: str = "") -> tuple[Column, ...]:
    """Columns worked out from one water test: `prefix` is the token of its figures, with ``%s`` for the ion,
    `named` that of its name.
    """
    ca, mg, na, k, fe, ph = (prefix % ion for ion in ("ca_ppm", "mg_ppm", "na_ppm", "k_ppm", "fe_ppm", "ph"))
    return (
        result("hardness", "Hardness", f"hardness_per_ca*{{{ca}}}+hardness_per_mg*{{{mg}}}", "ppm",
               needs=f"{ca} {mg}", twin=hardness, takes=f"{ca} {mg}",
               note="As calcium carbonate, from calcium and magnesium.",
               source="2.497 Ca + 4.118 Mg, Standard Methods 2340 B, from memory"),
        result("grains", "Grains per gallon", "{hardness}/ppm_per_grain", "number", digits=1,
               needs="hardness", twin=grains, takes="hardness"),
        result("hardness_class", "Class",
               'IF({hardness}<=soft_to,"soft",IF({hardness}<=moderate_to,"moderately hard",'
               'IF({hardness}<=hard_to,"hard","very hard")))', "text",
               needs="hardness", twin=hardness_class, takes="hardness", source="USGS classes, from memory"),
        result("ams_equation", "Ammonium sulfate by the equation",
               f"(ams_per_k*{{{k}}}+ams_per_na*{{{na}}}+ams_per_ca*{{{ca}}}+ams_per_mg*{{{mg}}}"
               f"+ams_per_fe*SUM({{{fe}}}))*ams_unit", "ams_rate",
               needs=f"{ca} {mg} {na} {k}", takes=f"agronomy_factors.ams_unit {k} {na} {ca} {mg} {fe}",
               twin=lambda unit, *ppm: ammonium_sulfate(dict(zip(AMS_PER_PPM, ppm, strict=True))) * unit,
               note="What the minerals tie up; iron not entered counts as 0.",
               source="NDSU Crop & Pest Report 2 Jul 2015"),
        result("ph_note", "pH",
               f'IF({{{ph}}}="","pH not entered",IF({{{ph}}}>ph_high,"Alkaline, pH "&ROUND(ROUND({{{ph}}},6),'
               f'1)&": look for a pH range on the labels",'
               f'IF({{{ph}}}<ph_low,"Acid, pH "&ROUND(ROUND({{{ph}}},6),1)&": look for a pH range on the '
               f'labels","pH "&ROUND(ROUND({{{ph}}},6),1)&" is usual")))',
               "text", width=46, needs=named, twin=ph_note,
               takes=f"{ph} agronomy_settings.ph_low agronomy_settings.ph_high"),
    )


WATER_TESTS = Table(
    "water_tests",
    "Water tests",
    "One row per tested water besides the one on the Farm sheet: wells, ponds, town water.",
    (
        Column("source", "Water source", "name", required=True,
               note="A name that no other water has; passes refer to it."),
        Column("test_date", "Tested on", "date", note="Date of the sample."),
        Column("ca_ppm", "Calcium", "ppm", minimum=0, maximum=5000, note="From the water test."),
        Column("mg_ppm", "Magnesium", "ppm", minimum=0, maximum=5000, note="From the water test."),
        Column("na_ppm", "Sodium", "ppm", minimum=0, maximum=20000, note="From the water test."),
        Column("k_ppm", "Potassium", "ppm", minimum=0, maximum=5000, note="From the water test."),
        Column("fe_ppm", "Iron", "ppm", minimum=0, maximum=500, digits=1,
               note="From the water test; blank counts as 0."),
        Column("ph", "pH", "ph", minimum=0, maximum=14, note="From the water test."),
        Column("notes", "Notes", "long_text", note="Anything worth remembering."),
    ),
)

FARM_WATER = Table(
    "farm_water",
    "Water on the Farm sheet",
    "Hardness and ammonium sulfate need of the farm's own water.",
    (
        working("ams_floor_used", "Least ammonium sulfate used", 'IF(ams_floor="",usual_ams_floor,ams_floor)',
                "ams_rate"),
        *_test_columns("farm.water_%s"),
    ),
    rows="form",
    kind="result",
    sheet="Water test results",
)

WATER_FACTS = Table(
    "water_facts",
    "Other waters",
    "Hardness and ammonium sulfate need of each tested water.",
    (
        result("source", "Water source", "{water_tests.source}", "name", needs="water_tests.source"),
        *_test_columns("water_tests.%s", "source"),
    ),
    rows="as:water_tests",
    kind="result",
    sheet="Water test results",
)

WATER_LINES = Table(
    "water_lines",
    "Water workings",
    "Which products of each pass suffer in hard water, what their labels say of ammonium sulfate, and how "
    "much each one brings.",
    (
        working("cares", "Hurt by hard water?",
                'IF({mix_lines.product_row}="",0,IF({products.water_sensitive@mix_lines.product_row}="yes",'
                '1,0))', "count"),
        working("label_low", "Label range from", "{product_facts.ams_low@mix_lines.product_row}", "ams_rate",
                needs="mix_lines.product_row"),
        working("label_high", "Label range to", "{product_facts.ams_high@mix_lines.product_row}", "ams_rate",
                needs="mix_lines.product_row"),
        typed_in("typed", "Content typed", "products.ams_content", "mix_lines.product_row", "density"),
        working("conditioner", "Is a water conditioner", 'IF({mix_lines.kind}="water conditioner",1,0)',
                "count"),
        working("content", "Ammonium sulfate in a base unit",
                'IF({mix_lines.form}="dry",IF(OR(SUM({typed})>0,AND({conditioner}=1,{typed}="")),'
                '1/{factors.dry_step_1},0),'
                'IF({typed}="",IF({conditioner}=1,"",0),{typed}/{factors.base_per_volume}))', "factor",
                needs="mix_lines.product_row",
                twin=ammonium_sulfate_content,
                takes="mix_lines.form conditioner typed factors.dry_step_1 factors.base_per_volume",
                note="A dry conditioner is pure unless its content says 0; other products bring what is "
                     "typed, whatever their kind."),
        working("ams", "Ammonium sulfate per 100 volumes",
                'IF({content}=0,0,IF(OR({mix_lines.poured}="",{mix_lines.phase}<>{mix_lines.form}),"",'
                '100*{content}*{mix_lines.poured}/{passes.carrier}))', "ams_rate",
                needs="content", twin=ammonium_sulfate_brought,
                takes="content mix_lines.poured mix_lines.phase mix_lines.form passes.carrier"),
        working("unknown", "Brings an unknown amount", 'IF({mix_lines.product_row}="",0,IF({ams}="",1,0))',
                "count"),
        working("doubtful", "Fertilizer of unknown content",
                'IF(AND(OR({mix_lines.kind}="fertilizer",{mix_lines.kind}="foliar fertilizer"),'
                '{typed}=""),1,0)', "count"),
    ),
    rows="as:mix_lines",
    kind="working",
    sheet="Workings passes",
)


def _of_water(key: str) -> str:
    return ('IF({passes.water_source}="",{farm_water.%s},IF({source_row}="","",{water_facts.%s@source_row}))'
            % (key, key))


def _first(mark: str, value: int) -> str:
    """The first product of the mix with a mark."""
    return of_first("mix_lines.product", f"water_lines.{mark}", value)


_HAVE, _ASKED, _LOW, _HIGH = (f"ROUND(ROUND({{{key}}},6),2)"
                              for key in ("ams_in_mix", "asked", "label_low", "label_high"))
_BROUGHT = "ammonium sulfate content not entered"

WATER_CHECKS = Table(
    "water_checks",
    "Water quality",
    "Which mixes suffer in the water they are mixed with, and how much ammonium sulfate that water asks for.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("water", "Water", 'IF({passes.water_source}="","Farm water",{passes.water_source})', "name",
               needs="pass"),
        place("source_row", "Row in the water tests", "passes.water_source", "water_tests.source"),
        result("hardness", "Hardness", _of_water("hardness"), "ppm", needs="pass"),
        result("grains", "Grains per gallon", _of_water("grains"), "number", digits=1, needs="pass"),
        result("ams_equation", "By the equation", _of_water("ams_equation"), "ams_rate", needs="pass",
               source="NDSU Crop & Pest Report 2 Jul 2015"),
        working("label_low", "Label range from", outermost("water_lines.label_low", none="0"), "ams_rate"),
        working("label_high", "Label range to", outermost("water_lines.label_high", "MIN"), "ams_rate"),
        working("banned", "A label forbids ammonium sulfate", 'IF({label_high}="",0,IF({label_high}=0,1,0))',
                "count"),
        result("ams_per_100", "Ammonium sulfate advised",
               'IF({banned}=1,0,IF({ams_equation}="","",MIN(MAX({ams_equation},{farm_water.ams_floor_used},'
               '{label_low}),{label_high})))', "ams_rate", needs="pass",
               twin=advised_ammonium_sulfate,
               takes="ams_equation farm_water.ams_floor_used label_low label_high",
               note="The equation, but no less than the floor, and within the range of every label in the "
                    "mix; a label that forbids it wins."),
        result("ams_in_mix", "In the mix", summed("water_lines.ams"), "ams_rate",
               needs="pass_volumes.mix_no"),
        working("unknown", "Products that bring an unknown amount", summed("water_lines.unknown"), "count"),
        working("doubtful", "Fertilizers of unknown content", summed("water_lines.doubtful"), "count"),
        working("cares", "Products hurt by it", summed("water_lines.cares"), "count"),
        result("asked", "Ammonium sulfate asked for",
                'IF({cares}>0,{ams_per_100},IF({label_high}="",{label_low},MIN({label_low},{label_high})))',
                "ams_rate",
                note="Where no product is hurt by hard water, what the labels ask for at least."),
        result("suffers", "Hurt by hard water?",
               'IF({cares}=0,"",%s&IF({cares}>1," and "&({cares}-1)&" more",""))' % _first("cares", 1),
               "name"),
        result("ph_note", "pH", _of_water("ph_note"), "text", width=46, needs="pass"),
        working("short", "Less than asked for",
                'IF(OR({asked}="",{ams_in_mix}=""),0,IF(ROUND(ROUND({asked}-{ams_in_mix},6),2)>0,1,0))',
                "count"),
        working("over", "More than the label",
                'IF(OR({label_high}="",{ams_in_mix}=""),0,IF(ROUND(ROUND({ams_in_mix}-{label_high},6),2)>0,'
                '1,0))', "count"),
        working("apart", "Labels that no amount satisfies",
                'IF({label_high}="",0,IF({label_low}>{label_high},1,0))', "count"),
        check("status", "Status",
              'IF(AND({cares}=0,{label_low}=0,{label_high}=""),"",IF(AND({banned}=1,SUM({ams_in_mix})>0),'
              '"Not allowed",'
              'IF(OR({unknown}>0,AND({banned}=1,{doubtful}>0),{asked}=""),"Not entered",'
              'IF({short}+{over}+{apart}>0,"Review","OK"))))',
              twin=ammonium_sulfate_status,
              takes="cares label_low label_high ams_in_mix asked unknown doubtful"),
        check("finding", "Finding",
              f'IF({{status}}="OK","",IF({{status}}="Not allowed",{_first("label_high", 0)}'
              f'&": its label forbids ammonium sulfate, the mix carries "&{_HAVE},'
              f'IF({{unknown}}>0,{_first("unknown", 1)}&": {_BROUGHT}, or the density it takes to count it",'
              f'IF({{status}}="Not entered",IF({{banned}}=1,{_first("doubtful", 1)}'
              f'&": {_BROUGHT}, and a label in the mix forbids any",'
              '"Water test not complete: calcium, magnesium, sodium and potassium are needed"),'
              f'IF({{apart}}=1,"Labels in the mix differ: ammonium sulfate from "&{_LOW}&" on one, up to "'
              f'&{_HIGH}&" on another",'
              f'IF({{over}}=1,"Ammonium sulfate "&{_HAVE}&", the label gives up to "&{_HIGH},'
              f'IF({{cares}}=0,"Ammonium sulfate "&{_HAVE}&", a label asks for "&{_ASKED}&" or more",'
              f'{{suffers}}&": ammonium sulfate "&{_HAVE}&" of "&{_ASKED}&" advised"'
              f'&IF({{hardness}}>=hard_water,", hard water",""))))))))', "long_text", needs="status"),
    ),
    rows="as:passes",
    kind="result",
    caution="The label decides whether a conditioner may or must be used, and how much.",
)

TABLES = (WATER_TESTS, FARM_WATER, WATER_FACTS, WATER_CHECKS, WATER_LINES)

CHECKS = (
    CheckKind("Water for the mix", "water_checks", "status", "finding", rank=220),
)
