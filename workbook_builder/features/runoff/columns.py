"""Runoff points: what the products of a pass ask for, what the field has, and what is still needed."""

from __future__ import annotations

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import Table
from workbook_builder.core.short import check, listed, or_blank, place, result, row_number, typed_in, working
from workbook_builder.features.labels.columns import product_columns
from workbook_builder.features.loads.lines import counted, first_and_more, marked, of_first, outermost
from workbook_builder.features.runoff.definitions import (
    points_asked,
    points_of_measures,
    spot_is_small,
    still_needed,
    verdict,
)
from workbook_builder.features.runoff.inputs import (
    MITIGATION,
    MITIGATION_FIELDS,
    MITIGATION_LABELS,
    MITIGATION_SETTINGS,
    POINTS_CAUTION,
    RUNOFF_CLASSES,
)

SHEET = "Workings runoff"

MITIGATION_LABEL_FACTS = Table(
    "mitigation_label_facts",
    "Runoff label workings",
    "Lookup keys of each row of the runoff labels: by its product's name, and by its registration.",
    (
        working("key", "Key", '{mitigation_labels.product}&"|"&{mitigation_labels.field}', "text",
                needs="mitigation_labels.product"),
        *product_columns("mitigation_labels"),
        working("number_key", "Key of the registration", '{product_no}&"|"&{mitigation_labels.field}', "text",
                needs="product_no"),
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
        place("field_row", "Field row", "mitigation.field", "fields.field"),
        working("points", "Points", "{mitigation.points}", "count", needs="field_row mitigation.points"),
        working("unpointed", "Has no points", 'IF({field_row}="",0,IF({points}="",1,0))', "count"),
        working("category_key", "Field and category",
                'IF({points}=0,"",{field_row}&"|"&{mitigation.category})', "text",
                needs="points mitigation.category"),
        working("opens", "First of its category",
                'IF({category_key}="",0,IF(MATCH({category_key},{category_key:all},0)={row_no},1,0))',
                "count"),
    ),
    rows="as:mitigation",
    kind="working",
    sheet=SHEET,
)

MITIGATION_LINES = Table(
    "mitigation_lines",
    "Runoff workings",
    "Points that label and bulletin of each product of each pass ask for.",
    (
        working("row", "Label row",
                'IFERROR(MATCH({mix_lines.product}&"|"&{pass_volumes.field},'
                '{mitigation_label_facts.key:all},0),'
                'IFERROR(MATCH({mix_lines.product}&"|",{mitigation_label_facts.key:all},0),'
                'IF({product_limits.product_no}="","",'
                'IFERROR(MATCH({product_limits.product_no}&"|"&{pass_volumes.field},'
                '{mitigation_label_facts.number_key:all},0),'
                'IFERROR(MATCH({product_limits.product_no}&"|",{mitigation_label_facts.number_key:all},0),'
                '"")))))', needs="mix_lines.product",
                note="Where its own name has no row, that of another name of the registration."),
        working("section", "Label has the section", '{mitigation_labels.label_section@row}&""',
                "text", needs="row"),
        typed_in("label", "Points on the label", "mitigation_labels.label_points", "row", "count"),
        typed_in("bulletin", "Points in the bulletin", "mitigation_labels.bulletin_points", "row", "count"),
        typed_in("checked", "Bulletin checked", "mitigation_labels.bulletin_checked", "row", "date"),
        working("asks", "Asks for points",
                'IF({row}="",0,IF(AND({section}="no",{label}="",{bulletin}=""),0,1))', "count"),
        working("missing", "Figure missing",
                marked('AND({asks}=1,{section}<>"no",OR({section}<>"yes",{label}="",{bulletin}=""))'),
                "count"),
        working("points", "Points asked", 'IF(AND({label}="",{bulletin}=""),"",MAX({label},{bulletin}))',
                "count", twin=points_asked, takes="label bulletin"),
    ),
    rows="as:mix_lines",
    kind="working",
    sheet=SHEET,
)


def _yes(key: str) -> str:
    """Points that a yes on the runoff fields earns."""
    return f'IF({{mitigation_fields.{key}@facts_row}}&""="yes",points_{key},0)'


def _of_measures(key: str) -> str:
    return f"SUMIF({{mitigation_facts.field_row:all}},{{field_rows.row_no}},{{mitigation_facts.{key}:all}})"


def _of_passes(status: str) -> str:
    return ('COUNTIFS({pass_volumes.field_row:all},{field_rows.row_no},{mitigation_checks.status:all},"%s")'
            % status)


def _most_of_passes(key: str) -> str:
    return (f'IF(SUM({{asking}})=0,"",IFERROR(_xlfn.MAXIFS({{mitigation_checks.{key}:all}},'
            f'{{pass_volumes.field_row:all}},{{field_rows.row_no}}),0))')


_TALLY = ("relief", "measure_points", "category_points", "advice_points", "record_points", "sensor_points")

FIELD_POINTS = Table(
    "field_points",
    "Runoff points",
    "What each field has towards the runoff points that its passes ask for.",
    (
        result("field", "Field", or_blank("fields.field"), "name"),
        place("facts_row", "Row of the runoff fields", "field", "mitigation_fields.field"),
        result("runoff_class", "County class", '{mitigation_fields.runoff_class@facts_row}&""', "text",
               needs="facts_row"),
        result("relief", "County relief",
               "".join(f'IF({{runoff_class}}="{name}",relief_{name.replace(" ", "_")},'
                       for name in RUNOFF_CLASSES) + '""' + ")" * len(RUNOFF_CLASSES), "count"),
        result("measure_points", "Measures", _of_measures("points"), "count", needs="field"),
        working("unpointed", "Measures without points", 'IF({field}="",0,%s)' % _of_measures("unpointed"),
                "count"),
        result("categories", "Categories", _of_measures("opens"), "count", needs="field"),
        result("category_points", "For several", "IF({categories}>=2,points_categories,0)", "count",
               needs="field"),
        result("advice_points", "Expert or program",
               'IF({facts_row}="",0,MAX(%s,%s))' % (_yes("expert"), _yes("program")), "count", needs="field",
               note="One or the other, the higher one."),
        result("record_points", "Records", 'IF({facts_row}="",0,%s)' % _yes("records"), "count",
               needs="field"),
        result("sensor_points", "Sensors", 'IF({facts_row}="",0,%s)' % _yes("sensors"), "count",
               needs="field"),
        result("have", "Points it has", "SUM(%s)" % ",".join(f"{{{key}}}" for key in _TALLY), "count",
               needs="field",
               twin=lambda *tally: points_of_measures(tally), takes=" ".join(_TALLY),
               source="points add: TPSA"),
        result("exemption", "Exemption",
               'IF({mitigation_fields.exemption@facts_row}<>"",{mitigation_fields.exemption@facts_row}&"",'
               'IF({mitigation_fields.managed_distance@facts_row}="","",'
               'IF({mitigation_fields.managed_distance@facts_row}>=managed_needed,"managed land downhill",'
               '"")))', "text",
               needs="facts_row", source="EPA Mitigation Menu (30 Apr 2025)"),
        result("asking", "Passes that ask",
               "COUNTIFS({pass_volumes.field_row:all},{field_rows.row_no},{mitigation_checks.asks:all},1)",
               "count", needs="field"),
        result("needed", "Most asked", _most_of_passes("needed"), "count"),
        result("still", "Still needed", _most_of_passes("still"), "count"),
        check("status", "Status",
              'IF(SUM({asking})=0,"",IF(%s>0,"Not allowed",IF(%s>0,"Not entered","OK")))'
              % (_of_passes("Not allowed"), _of_passes("Not entered"))),
    ),
    rows="as:fields",
    kind="result",
    caution=POINTS_CAUTION,
)

def _most(key: str, how: str = "MAX") -> str:
    return outermost(f"mitigation_lines.{key}", how)


MITIGATION_CHECKS = Table(
    "mitigation_checks",
    "Runoff points beside every pass",
    "Runoff points that each pass asks for against those its field has; blank where no product's label was "
    "said to ask.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        working("asks", "Asks for points",
                'IF({pass}="",0,IF(%s>0,1,0))' % counted("mitigation_lines.asks", 1), "count"),
        working("running", "Passes that ask so far", "SUM({running:above},{asks})", "count"),
        result("label_points", "On labels", _most("label"), "count", note="The highest of the mix."),
        result("bulletin_points", "In bulletins", _most("bulletin"), "count", note="The highest of the mix."),
        result("checked", "Bulletins checked", _most("checked", "MIN"), "date", note="The longest ago."),
        result("needed", "Points asked", 'IF({asks}=0,"",%s)' % _most("points"), "count",
               source="the higher of label and bulletin: TPSA"),
        result("asked_by", "Asked by", of_first("mix_lines.product", "mitigation_lines.points", "{needed}"),
               "name", needs="needed"),
        result("have", "The field has", 'IF({asks}=0,"",{field_points.have@pass_volumes.field_row})', "count",
               needs="pass_volumes.field_row"),
        working("spot_acres", "Acres of a spot pass",
                'IF({passes.method}<>"spot","",{pass_volumes.sprayed_area}*acres_per_area)', "factor",
                needs="pass_volumes.sprayed_area",
                twin=lambda method, area, acres: area * acres if method.casefold() == "spot" else "",
                takes="passes.method pass_volumes.sprayed_area factors.acres_per_area"),
        working("small_spot", "Small spot", 'IF({spot_acres}="",0,IF({spot_acres}<spot_exempt_acres,1,0))',
                "count",
                twin=spot_is_small, takes="spot_acres mitigation_settings.spot_exempt_acres"),
        result("exemption", "Exemption",
               'IF({asks}=0,"",IF({small_spot}=1,"small spot",IF({pass_volumes.field_row}="","",'
               '{field_points.exemption@pass_volumes.field_row}&"")))', "text"),
        result("still", "Still needed", 'IF({exemption}<>"",0,MAX(0,{needed}-{have}))', "count",
               needs="needed have", twin=still_needed, takes="needed have exemption"),
        working("missing", "Figures missing for",
                'IF({asks}=0,"",%s)' % first_and_more("mitigation_lines.missing"), "name"),
        working("no_class", "County class missing",
                'IF({have}="",0,IF({field_points.relief@pass_volumes.field_row}="",1,0))', "count"),
        working("unpointed", "Measures without points",
                'IF({have}="",0,{field_points.unpointed@pass_volumes.field_row})', "count"),
        check("status", "Status",
              'IF({asks}=0,"",IF({exemption}<>"","OK",IF({have}="","Not entered",'
              'IF(AND(SUM({still})>0,{no_class}+{unpointed}=0),"Not allowed",'
              'IF(OR({missing}<>"",SUM({still})>0),"Not entered","OK")))))', twin=verdict,
              takes="asks still exemption have missing no_class unpointed"),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",IF({status}="Not allowed",{asked_by}&" asks for "&{needed}'
              '&" points, the field has "&{have}&": "&{still}&" still needed",'
              'IF({have}="","Field is missing",IF({missing}<>"","Points of label or bulletin not entered: '
              '"&{missing},'
              'IF({no_class}=1,"Runoff class of the county not entered: "&{still}&" points short without it",'
              '"A measure has no points: "&{still}&" points short without them")))))', "long_text"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)

#: What the list shows of each pass that asks for points.
_LISTED = "label_points bulletin_points checked needed asked_by have exemption still status finding"

MITIGATION_LIST = Table(
    "mitigation_list",
    "Runoff by pass",
    "Only the passes whose products ask for runoff points, one below the other; the list refills by itself.",
    (
        row_number(),
        working("row", "Row of the pass", 'IFERROR(MATCH({row_no},{mitigation_checks.running:all},0),"")'),
        *(listed(MITIGATION_CHECKS.by_key[key], "mitigation_checks", "row")
          for key in ("pass", "field", *_LISTED.split())),
    ),
    rows="as:passes",
    kind="result",
    caution=POINTS_CAUTION,
    shows="mitigation_checks",
)

RUNOFF_ANSWER = Table(
    "runoff_answer",
    "Runoff in short",
    "The sentence that the tab opens with.",
    (
        working("answer", "Answer",
                'IF(COUNTIF({mitigation_checks.status:all},"Not allowed")=0,"No pass is known to lack runoff '
                'points",'
                'COUNTIF({mitigation_checks.status:all},"Not allowed")&" of "'
                '&SUMPRODUCT(({mitigation_checks.status:all}<>"")*1)&" passes that ask for runoff points '
                'lack them")', "sentence"),
    ),
    rows="form",
    kind="working",
    sheet="Workings runoff",
)

TABLES = (
    RUNOFF_ANSWER,
    MITIGATION_LABELS, MITIGATION_FIELDS, MITIGATION, FIELD_POINTS, MITIGATION_LIST, MITIGATION_SETTINGS,
    MITIGATION_CHECKS,
    MITIGATION_LABEL_FACTS,
    MITIGATION_FACTS, MITIGATION_LINES,
)

CHECKS = (
    CheckKind("Runoff points", "mitigation_checks", "status", "finding", rank=240),
)
