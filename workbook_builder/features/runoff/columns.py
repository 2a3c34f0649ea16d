"""Runoff points: what the products of a pass ask for, what the field has, and what is still needed."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.core.short import check, result, row_number, working
from workbook_builder.features.labels.columns import product_columns
from workbook_builder.features.runoff.inputs import POINTS_CAUTION, RUNOFF_CLASSES

SHEET = "Workings runoff"

MITIGATION_LABEL_FACTS = Table(
    "mitigation_label_facts",
    "Runoff label workings",
    "Lookup keys of each row of the runoff labels: by its product's name, and by its registration.",
    (
        working("key", "Key", 'IF({mitigation_labels.product}="","",{mitigation_labels.product}&"|"&{mitigation_labels.field})', "text"),
        *product_columns("mitigation_labels"),
        working("number_key", "Key of the registration", 'IF({product_no}="","",{product_no}&"|"&{mitigation_labels.field})', "text"),
    ),
    rows="as:mitigation_labels",
    kind="working",
    sheet=SHEET,
)

MITIGATION_FACTS = Table(
    "mitigation_facts",
    "Runoff measure workings",
    "Each measure's field, and whether it is the first of its category there.",
    (
        row_number(),
        working("field_row", "Field row", 'IF({mitigation.field}="","",IFERROR(MATCH({mitigation.field},{fields.field:all},0),""))'),
        working("points", "Points", 'IF(OR({field_row}="",{mitigation.points}=""),"",{mitigation.points})', "count"),
        working("unpointed", "Has no points", 'IF({field_row}="",0,IF({points}="",1,0))', "count"),
        working("category_key", "Field and category",
                'IF(OR({points}="",{points}=0,{mitigation.category}=""),"",{field_row}&"|"&{mitigation.category})', "text"),
        working("opens", "First of its category", 'IF({category_key}="",0,IF(MATCH({category_key},{category_key:all},0)={row_no},1,0))', "count"),
    ),
    rows="as:mitigation",
    kind="working",
    sheet=SHEET,
)

_LABEL = 'IF({row}="","",IF(INDEX({mitigation_labels.%s:all},{row})="","",INDEX({mitigation_labels.%s:all},{row})))'

MITIGATION_LINES = Table(
    "mitigation_lines",
    "Runoff workings",
    "Points that label and bulletin of each product of each pass ask for.",
    (
        working("row", "Label row",
                'IF({mix_lines.product}="","",IFERROR(MATCH({mix_lines.product}&"|"&{pass_volumes.field},{mitigation_label_facts.key:all},0),'
                'IFERROR(MATCH({mix_lines.product}&"|",{mitigation_label_facts.key:all},0),IF({product_limits.product_no}="","",'
                'IFERROR(MATCH({product_limits.product_no}&"|"&{pass_volumes.field},{mitigation_label_facts.number_key:all},0),'
                'IFERROR(MATCH({product_limits.product_no}&"|",{mitigation_label_facts.number_key:all},0),""))))))',
                note="Where its own name has no row, that of another name of the registration."),
        working("section", "Label has the section", 'IF({row}="","",INDEX({mitigation_labels.label_section:all},{row})&"")', "text"),
        working("label", "Points on the label", _LABEL % ("label_points", "label_points"), "count"),
        working("bulletin", "Points in the bulletin", _LABEL % ("bulletin_points", "bulletin_points"), "count"),
        working("checked", "Bulletin checked", _LABEL % ("bulletin_checked", "bulletin_checked"), "date"),
        working("asks", "Asks for points", 'IF({row}="",0,IF(AND({section}="no",{label}="",{bulletin}=""),0,1))', "count"),
        working("missing", "Figure missing", 'IF({asks}=0,0,IF({section}="no",0,IF(AND({section}="yes",{label}<>"",{bulletin}<>""),0,1)))', "count"),
        working("points", "Points asked", 'IF(AND({label}="",{bulletin}=""),"",MAX({label},{bulletin}))', "count"),
    ),
    rows="as:mix_lines",
    kind="working",
    sheet=SHEET,
)


def _yes(key: str, points: str) -> str:
    return 'IF(INDEX({mitigation_fields.%s:all},{facts_row})&""="yes",%s,0)' % (key, points)


def _relief() -> str:
    steps = "".join(f'IF({{runoff_class}}="{name}",relief_{name.replace(" ", "_")},' for name in RUNOFF_CLASSES)
    return steps + '""' + ")" * len(RUNOFF_CLASSES)


def _of_passes(status: str) -> str:
    return 'COUNTIFS({pass_volumes.field_row:all},{field_rows.row_no},{mitigation_checks.status:all},"%s")' % status


FIELD_POINTS = Table(
    "field_points",
    "Runoff points",
    "What each field has towards the runoff points that its passes ask for.",
    (
        result("field", "Field", 'IF({fields.field}="","",{fields.field})', "name"),
        working("facts_row", "Row of the runoff fields", 'IF({field}="","",IFERROR(MATCH({field},{mitigation_fields.field:all},0),""))'),
        result("runoff_class", "County class", 'IF({facts_row}="","",INDEX({mitigation_fields.runoff_class:all},{facts_row})&"")', "text"),
        result("relief", "County relief", _relief(), "count"),
        result("measure_points", "Measures", 'IF({field}="","",SUMIF({mitigation_facts.field_row:all},{field_rows.row_no},{mitigation_facts.points:all}))', "count"),
        working("unpointed", "Measures without points", 'IF({field}="",0,SUMIF({mitigation_facts.field_row:all},{field_rows.row_no},{mitigation_facts.unpointed:all}))', "count"),
        result("categories", "Categories", 'IF({field}="","",SUMIF({mitigation_facts.field_row:all},{field_rows.row_no},{mitigation_facts.opens:all}))', "count"),
        result("category_points", "For several", 'IF({field}="","",IF({categories}>=2,points_categories,0))', "count"),
        result("advice_points", "Expert or program", 'IF({field}="","",IF({facts_row}="",0,MAX(%s,%s)))' % (_yes("expert", "points_expert"), _yes("program", "points_program")), "count",
               note="One or the other, the higher one."),
        result("record_points", "Records", 'IF({field}="","",IF({facts_row}="",0,%s))' % _yes("records", "points_records"), "count"),
        result("sensor_points", "Sensors", 'IF({field}="","",IF({facts_row}="",0,%s))' % _yes("sensors", "points_sensors"), "count"),
        result("have", "Points it has", 'IF({field}="","",SUM({relief},{measure_points},{category_points},{advice_points},{record_points},{sensor_points}))', "count",
               source="points add: TPSA"),
        result("exemption", "Exemption",
               'IF({facts_row}="","",IF(INDEX({mitigation_fields.exemption:all},{facts_row})<>"",INDEX({mitigation_fields.exemption:all},{facts_row})&"",'
               'IF(INDEX({mitigation_fields.managed_distance:all},{facts_row})="","",IF(INDEX({mitigation_fields.managed_distance:all},{facts_row})>=managed_needed,"managed land downhill",""))))', "text",
               source="EPA Mitigation Menu (30 Apr 2025)"),
        result("asking", "Passes that ask", 'IF({field}="","",COUNTIFS({pass_volumes.field_row:all},{field_rows.row_no},{mitigation_checks.asks:all},1))', "count"),
        result("needed", "Most asked",
               'IF(SUM({asking})=0,"",IFERROR(_xlfn.MAXIFS({mitigation_checks.needed:all},{pass_volumes.field_row:all},{field_rows.row_no}),0))', "count"),
        result("still", "Still needed",
               'IF(SUM({asking})=0,"",IFERROR(_xlfn.MAXIFS({mitigation_checks.still:all},{pass_volumes.field_row:all},{field_rows.row_no}),0))', "count"),
        check("status", "Status",
              'IF(SUM({asking})=0,"",IF(%s>0,"Not allowed",IF(%s>0,"Not entered","OK")))' % (_of_passes("Not allowed"), _of_passes("Not entered"))),
    ),
    rows="as:fields",
    kind="result",
    caution=POINTS_CAUTION,
)

_BLOCK = "{mitigation_lines.%s:block}"
_MISSING = _BLOCK % "missing"


def _most(key: str, how: str = "MAX") -> str:
    block = _BLOCK % key
    return f'IF(COUNT({block})=0,"",{how}({block}))'


MITIGATION_CHECKS = Table(
    "mitigation_checks",
    "Runoff by pass",
    "Runoff points that each pass asks for against those its field has; blank where no product's label was said to ask.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        working("asks", "Asks for points", 'IF({pass}="",0,MAX(%s))' % (_BLOCK % "asks"), "count"),
        result("label_points", "On labels", _most("label"), "count", note="The highest of the mix."),
        result("bulletin_points", "In bulletins", _most("bulletin"), "count", note="The highest of the mix."),
        result("checked", "Bulletins checked", _most("checked", "MIN"), "date", note="The longest ago."),
        result("needed", "Points asked", 'IF({asks}=0,"",%s)' % _most("points"), "count", source="the higher of label and bulletin: TPSA"),
        result("asked_by", "Asked by", 'IF({needed}="","",INDEX({mix_lines.product:block},MATCH({needed},%s,0)))' % (_BLOCK % "points"), "name"),
        result("have", "The field has", 'IF(OR({asks}=0,{pass_volumes.field_row}=""),"",INDEX({field_points.have:all},{pass_volumes.field_row}))', "count"),
        working("spot_acres", "Acres of a spot pass", 'IF(OR({passes.method}<>"spot",{pass_volumes.sprayed_area}=""),"",{pass_volumes.sprayed_area}*acres_per_area)', "factor"),
        working("small_spot", "Small spot", 'IF({spot_acres}="",0,IF({spot_acres}<spot_exempt_acres,1,0))', "count"),
        result("exemption", "Exemption",
               'IF({asks}=0,"",IF({small_spot}=1,"small spot",IF({pass_volumes.field_row}="","",INDEX({field_points.exemption:all},{pass_volumes.field_row})&"")))', "text"),
        result("still", "Still needed", 'IF(OR({needed}="",{have}=""),"",IF({exemption}<>"",0,MAX(0,{needed}-{have})))', "count"),
        working("missing", "Figures missing for",
                'IF(OR({asks}=0,SUM(%s)=0),"",INDEX({mix_lines.product:block},MATCH(1,%s,0))&IF(SUM(%s)>1," and "&(SUM(%s)-1)&" more",""))' % ((_MISSING,) * 4), "name"),
        working("no_class", "County class missing", 'IF({have}="",0,IF(INDEX({field_points.relief:all},{pass_volumes.field_row})="",1,0))', "count"),
        working("unpointed", "Measures without points", 'IF({have}="",0,INDEX({field_points.unpointed:all},{pass_volumes.field_row}))', "count"),
        check("status", "Status",
              'IF({asks}=0,"",IF({exemption}<>"","OK",IF({have}="","Not entered",IF(AND(SUM({still})>0,{no_class}+{unpointed}=0),"Not allowed",'
              'IF(OR({missing}<>"",SUM({still})>0),"Not entered","OK")))))'),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",IF({status}="Not allowed",{asked_by}&" asks for "&{needed}&" points, the field has "&{have}&": "&{still}&" still needed",'
              'IF({have}="","Field is missing",IF({missing}<>"","Points of label or bulletin not entered: "&{missing},'
              'IF({no_class}=1,"Runoff class of the county not entered: "&{still}&" points short without it","A measure has no points: "&{still}&" points short without them")))))', "long_text"),
    ),
    rows="as:passes",
    kind="result",
    caution=POINTS_CAUTION,
)

MITIGATION_TABLES = (FIELD_POINTS, MITIGATION_CHECKS, MITIGATION_LABEL_FACTS, MITIGATION_FACTS, MITIGATION_LINES)
