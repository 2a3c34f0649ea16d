"""Water quality: hardness, the ammonium sulfate it asks for, and what each mix carries."""

from __future__ import annotations

from workbook_builder.columns import Column, Table
from workbook_builder.tables.short import check, result, working


def _test_columns(prefix: str, without_ph: str) -> tuple[Column, ...]:
    """Columns worked out from one water test.

    Parameters
    ----------
    prefix : str
        Token of the test's figures, with ``%s`` for the ion.
    without_ph : str
        What the pH note gives where no pH is entered.
    """
    ca, mg, na, k, fe, ph = (prefix % ion for ion in ("ca_ppm", "mg_ppm", "na_ppm", "k_ppm", "fe_ppm", "ph"))
    return (
        result("hardness", "Hardness", f'IF(OR({ca}="",{mg}=""),"",hardness_per_ca*{ca}+hardness_per_mg*{mg})', "ppm",
               note="As calcium carbonate, from calcium and magnesium.", source="2.497 Ca + 4.118 Mg, Standard Methods 2340 B, from memory"),
        result("grains", "Grains per gallon", 'IF({hardness}="","",{hardness}/ppm_per_grain)', "number", digits=1),
        result("hardness_class", "Class",
               'IF({hardness}="","",IF({hardness}<=soft_to,"soft",IF({hardness}<=moderate_to,"moderately hard",IF({hardness}<=hard_to,"hard","very hard"))))', "text",
               source="USGS classes, from memory"),
        result("ams_equation", "Ammonium sulfate by the equation",
               f'IF(OR({ca}="",{mg}="",{na}="",{k}=""),"",(ams_per_k*{k}+ams_per_na*{na}+ams_per_ca*{ca}+ams_per_mg*{mg}+ams_per_fe*SUM({fe}))*ams_unit)', "ams_rate",
               note="What the minerals tie up; iron not entered counts as 0.", source="NDSU Crop & Pest Report 2 Jul 2015"),
        result("ph_note", "pH",
               f'IF({ph}="",{without_ph},IF({ph}>ph_high,"Alkaline, pH "&ROUND(ROUND({ph},6),1)&": look for a pH range on the labels",'
               f'IF({ph}<ph_low,"Acid, pH "&ROUND(ROUND({ph},6),1)&": look for a pH range on the labels","pH "&ROUND(ROUND({ph},6),1)&" is usual")))', "text", width=46),
    )


FARM_WATER = Table(
    "farm_water",
    "Water on the Farm sheet",
    "Hardness and ammonium sulfate need of the farm's own water.",
    (
        working("ams_floor_used", "Least ammonium sulfate used", 'IF(ams_floor="",usual_ams_floor,ams_floor)', "ams_rate"),
        *_test_columns("{farm.water_%s}", '"pH not entered"'),
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
        result("source", "Water source", 'IF({water_tests.source}="","",{water_tests.source})', "name"),
        *_test_columns("{water_tests.%s}", 'IF({source}="","","pH not entered")'),
    ),
    rows="as:water_tests",
    kind="result",
    sheet="Water test results",
)

_CARES = 'IF({cares}=0,"",IF(INDEX({products.%s:all},{mix_lines.product_row})="","",INDEX({products.%s:all},{mix_lines.product_row})))'

WATER_LINES = Table(
    "water_lines",
    "Water workings",
    "Which products of each pass suffer in hard water, and the ammonium sulfate each one brings.",
    (
        working("cares", "Hurt by hard water?",
                'IF({mix_lines.product_row}="",0,IF(INDEX({products.water_sensitive:all},{mix_lines.product_row})="yes",1,0))', "count"),
        working("label_low", "Label range from", _CARES % ("ams_low", "ams_low"), "ams_rate"),
        working("label_high", "Label range to", _CARES % ("ams_high", "ams_high"), "ams_rate"),
        working("conditioner", "Is a water conditioner", 'IF({mix_lines.kind}="water conditioner",1,0)', "count"),
        working("content", "Ammonium sulfate in a base unit",
                'IF({conditioner}=0,"",IF({mix_lines.phase}="dry",1/{factors.dry_step_1},IF({mix_lines.product_row}="","",'
                'IF(INDEX({products.ams_content:all},{mix_lines.product_row})="","",INDEX({products.ams_content:all},{mix_lines.product_row})/{factors.base_per_volume}))))', "factor"),
        working("ams", "Ammonium sulfate per 100 volumes",
                'IF(OR({content}="",{mix_lines.rate_base}=""),"",100*{content}*{mix_lines.rate_base}/{passes.carrier})', "ams_rate"),
        working("unknown", "Conditioner of unknown content", 'IF(AND({conditioner}=1,{ams}=""),1,0)', "count"),
    ),
    rows="as:mix_lines",
    kind="working",
    sheet="Workings passes",
)


def _of_water(key: str) -> str:
    return 'IF({pass}="","",IF({passes.water_source}="",{farm_water.%s},IF({source_row}="","",INDEX({water_facts.%s:all},{source_row}))))' % (key, key)


WATER_CHECKS = Table(
    "water_checks",
    "Water quality",
    "Which mixes suffer in the water they are mixed with, and how much ammonium sulfate that water asks for.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("water", "Water", 'IF({pass}="","",IF({passes.water_source}="","Farm water",{passes.water_source}))', "name"),
        working("source_row", "Row in the water tests", 'IF({passes.water_source}="","",IFERROR(MATCH({passes.water_source},{water_tests.source:all},0),""))'),
        result("hardness", "Hardness", _of_water("hardness"), "ppm"),
        result("grains", "Grains per gallon", _of_water("grains"), "number", digits=1),
        result("ams_equation", "By the equation", _of_water("ams_equation"), "ams_rate", source="NDSU Crop & Pest Report 2 Jul 2015"),
        working("label_low", "Label range from", "MAX({water_lines.label_low:block})", "ams_rate"),
        working("label_high", "Label range to", 'IF(COUNT({water_lines.label_high:block})=0,"",MIN({water_lines.label_high:block}))', "ams_rate"),
        result("ams_per_100", "Ammonium sulfate advised",
               'IF({ams_equation}="","",IF({label_high}="",MAX({ams_equation},{farm_water.ams_floor_used},{label_low}),'
               'MIN(MAX({ams_equation},{farm_water.ams_floor_used},{label_low}),{label_high})))', "ams_rate",
               note="The equation, but no less than the floor, and within the label's own range."),
        result("ams_in_mix", "In the mix", 'IF({pass_volumes.mix_no}="","",SUM({water_lines.ams:block}))', "ams_rate"),
        working("unknown", "Conditioners of unknown content", "SUM({water_lines.unknown:block})", "count"),
        working("cares", "Products hurt by it", "SUM({water_lines.cares:block})", "count"),
        result("suffers", "Hurt by hard water?",
               'IF({cares}=0,"",INDEX({mix_lines.product:block},MATCH(1,{water_lines.cares:block},0))&IF({cares}>1," and "&({cares}-1)&" more",""))', "name"),
        result("ph_note", "pH", _of_water("ph_note"), "text", width=46),
        working("short", "Less than advised", 'IF(OR({ams_per_100}="",{ams_in_mix}=""),0,IF(ROUND(ROUND({ams_per_100}-{ams_in_mix},6),2)>0,1,0))', "count"),
        working("over", "More than the label", 'IF(OR({label_high}="",{ams_in_mix}=""),0,IF(ROUND(ROUND({ams_in_mix}-{label_high},6),2)>0,1,0))', "count"),
        check("status", "Status",
              'IF({cares}=0,"",IF({ams_per_100}="","Not entered",IF({unknown}>0,"Not entered",IF(OR({short}=1,{over}=1),"Review","OK"))))'),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",IF({ams_per_100}="","Water test not complete: calcium, magnesium, sodium and potassium are needed",'
              'IF({unknown}>0,"Ammonium sulfate content of a water conditioner not entered",'
              'IF({over}=1,"Ammonium sulfate "&ROUND(ROUND({ams_in_mix},6),2)&", the label gives up to "&ROUND(ROUND({label_high},6),2),'
              '{suffers}&": ammonium sulfate "&ROUND(ROUND({ams_in_mix},6),2)&" of "&ROUND(ROUND({ams_per_100},6),2)&" advised"&IF({hardness}>=hard_water,", hard water","")))))', "long_text"),
    ),
    rows="as:passes",
    kind="result",
    caution="The label decides whether a conditioner may or must be used, and how much.",
)

WATER_TABLES = (FARM_WATER, WATER_FACTS, WATER_CHECKS, WATER_LINES)
