"""Each product of each pass against what its label says of least rates, carrier, weeds,
the crop's stage and dates.
"""

from __future__ import annotations

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK, Column, Table
from workbook_builder.core.short import check, place, result, working
from workbook_builder.features.label_depth.definitions import (
    NO_DATE,
    OVER_CROP,
    PLANTING_UNKNOWN,
    earlier_in_year,
    last_day,
    least_status,
    over_crop,
    rate_floor,
    stage_status,
)
from workbook_builder.features.labels.columns import strictest_of

_FOUND = "{product_limits.found_row}"
_LABEL = "label_limits.%s@product_limits.found_row"

CROP_STAGES = Table(
    "crop_stages",
    "Crop stages",
    "When each field reaches the stages that its labels name, as seen or as expected.",
    (
        Column("field", "Field", "name", required=True, choices="fields.field",
               note="Choose from the fields."),
        Column("stage", "Stage", "name", required=True,
               note="As the label limits call it: V8, R1, flag leaf."),
        Column("date", "Reached on", "date", required=True, note="First day at this stage."),
    ),
)

STAGE_FACTS = Table(
    "stage_facts",
    "Stage workings",
    "Lookup key of each stage of each field.",
    (
        place("field_row", "Field row", "crop_stages.field", "fields.field"),
        working("key", "Key", '{field_row}&"|"&{crop_stages.stage}', "text",
                needs="field_row crop_stages.stage"),
    ),
    rows="as:crop_stages",
    kind="working",
    sheet="Workings products",
)


def _figure(key: str, header: str, quantity: str) -> Column:
    """Declare the strictest figure of all rows that may mean the crop; blank where none gives one."""
    return working(key, header, strictest_of("label_facts", key, "product_limits."), quantity)


def _past(amount: str, limit: str, way: str) -> str:
    """Formula that tells whether an amount is past a limit, under or over it.

    Never where there is no limit.
    """
    return f'IF({{{limit}}}="",1=0,ROUND({{{amount}}}-{{{limit}}},6){way}0)'


_UNDER_CARRIER, _OVER_CARRIER = (_past("as_logged.carrier", "min_carrier", "<"),
                                 _past("as_logged.carrier", "max_carrier", ">"))
_TOO_OFTEN, _UNDER_RATE, _TALL = (_past("group_passes", "max_group_passes", ">"),
                                  _past("product_limits.rate", "min_rate", "<"),
                                  _past("passes.weed_height", "max_weed_height", ">"))
_NO_CARRIER = "AND(COUNT({min_carrier},{max_carrier})>0,{as_logged.carrier}=0)"
_NO_RATE = 'AND({min_rate_typed}<>"",OR({min_rate}="",{product_limits.rate}=""))'
_NO_HEIGHT = 'AND({max_weed_height}<>"",{passes.weed_height}="")'
_STATUS = (
    f'IF({{mix_lines.product}}="","",IF(OR(AND({{as_logged.carrier}}>0,OR({_UNDER_CARRIER},{_OVER_CARRIER})),'
    f'{_TOO_OFTEN}),"{NOT_ALLOWED}",'
    f'IF(OR({_NO_CARRIER},{_NO_RATE},{_NO_HEIGHT},AND({{max_group_passes}}<>"",{{group_passes}}=0)),'
    f'"{NOT_ENTERED}",'
    f'IF({_UNDER_RATE},"{LOOK}",IF({_TALL},"{LOOK}",IF(COUNT({{min_rate_typed}},{{min_carrier}},'
    f'{{max_carrier}},{{max_weed_height}},{{max_group_passes}})=0,"","{OK}"))))))'
)
_THREE = "ROUND(ROUND({},6),3)".format

LEAST_CHECKS = Table(
    "least_checks",
    "Least figures of labels",
    "Each product of each pass against the least and greatest its label names: rate, carrier, height of "
    "weeds, applications of its group.",
    (
        _figure("least_area", "Least rate by area", "factor"),
        _figure("least_volume", "Least rate by spray volume", "factor"),
        working("min_rate_typed", "Least rate typed",
                strictest_of("label_facts", "min_rate", "product_limits."), "amount",
                note="In whatever unit; where it cannot be compared, the least rate is blank."),
        result("min_rate", "Least rate",
               'IF(OR(SUM({product_limits.label_unit})=0,COUNT({least_area},{least_volume})=0),"",'
               'ROUND(MAX(SUM({least_area}),SUM({least_volume})*{as_logged.carrier})'
               '/{product_limits.label_unit},9))', "amount", digits=3,
               twin=rate_floor, takes="least_area least_volume as_logged.carrier product_limits.label_unit"),
        _figure("min_carrier", "Least carrier", "carrier"),
        _figure("max_carrier", "Greatest carrier", "carrier"),
        _figure("max_weed_height", "Weeds up to", "spacing"),
        _figure("max_group_passes", "Most applications of its group", "count"),
        working("group_passes", "Applications of its group on the field",
                'IF({max_group_passes}="",0,IFERROR(_xlfn.MAXIFS({pass_ingredients.group_passes:all},'
                '{pass_ingredients.line_no:all},{product_limits.row_no}),0))', "count",
                note="0 where its group is not known."),
        check("status", "Status", _STATUS, twin=lambda product, *figures: least_status(*figures)
              if product else "",
              takes="mix_lines.product product_limits.rate min_rate_typed min_rate as_logged.carrier "
                    "min_carrier max_carrier passes.weed_height max_weed_height group_passes "
                    "max_group_passes"),
        check("finding", "Finding",
              f'IF(OR({{status}}="",{{status}}="OK"),"",{{product_limits.said}}&": "&IF({{status}}="Not '
              f'entered",IF({_NO_CARRIER},"carrier rate not entered",'
              f'IF({_NO_RATE},"least rate cannot be checked: a rate is not known",IF({_NO_HEIGHT},'
              f'"height of the weeds not entered",'
              f'"applications of its group cannot be counted: group not entered"))),'
              f'IF(AND({{as_logged.carrier}}>0,{_UNDER_CARRIER}),'
              f'"carrier rate "&{_THREE("{as_logged.carrier}")}&" is under the least of "'
              f'&{_THREE("{min_carrier}")},'
              f'IF({_OVER_CARRIER},"carrier rate "&{_THREE("{as_logged.carrier}")}&" is over the greatest of '
              f'"&{_THREE("{max_carrier}")},'
              f'IF({_TOO_OFTEN},{{group_passes}}&" applications of its group on the field, the label allows "'
              f'&{{max_group_passes}},'
              f'IF({_UNDER_RATE},{_THREE("{product_limits.rate}")}&" is under the least rate of "'
              f'&{_THREE("{min_rate}")}&" "&{{product_limits.unit}},'
              f'"weeds of "&{_THREE("{passes.weed_height}")}&" are taller than the "'
              f'&{_THREE("{max_weed_height}")}&" of the label"))))))', "long_text"),
    ),
    rows="as:mix_lines",
    kind="result",
    caution="The label is the law: these checks only compare what was typed in.",
)


def _stage_day(key: str, header: str, label: str) -> Column:
    """Declare the day on which the field reaches a stage that the label names."""
    token = "{" + _LABEL % label + "}"
    return working(key, header,
                   f'IF({_FOUND}="","",IF({token}="","",IFERROR(INDEX({{crop_stages.date:all}},'
                   f'MATCH({{pass_volumes.field_row}}&"|"&{token},{{stage_facts.key:all}},0)),{NO_DATE})))',
                   "date",
                   note=f"{NO_DATE} where the field has no date for it.")


def _of_label(key: str, header: str, quantity: str) -> Column:
    token = "{" + _LABEL % key + "}"
    return working(key, header, f'IF({_FOUND}="","",IF({token}="","",{token}))', quantity)


def _in_year(token: str) -> str:
    return f"MONTH({token})*100+DAY({token})"


STAGE_CHECKS = Table(
    "stage_checks",
    "Stage and date",
    "Each product of each pass against what its label says of the crop's stage and height and of dates; all "
    "of it has to hold, so what is reached first governs.",
    (
        _stage_day("first_day", "Stage from", "from_stage"),
        _stage_day("end_day", "Stage before", "before_stage"),
        working("last_day", "Last day after planting",
                f'IF({_FOUND}="","",IF({{{_LABEL % "planting_days"}}}="","",'
                f'IF(SUM({{fields.planting_date@pass_volumes.field_row}})=0,{NO_DATE},'
                f'{{fields.planting_date@pass_volumes.field_row}}+{{{_LABEL % "planting_days"}}})))', "date",
                twin=lambda found, planted, days: "" if found == "" else last_day(planted, days),
                takes=f"product_limits.found_row fields.planting_date@pass_volumes.field_row "
                      f"{_LABEL % 'planting_days'}"),
        _of_label("min_crop_height", "Crop from", "spacing"),
        _of_label("max_crop_height", "Crop up to", "spacing"),
        _of_label("after_date", "Not before", "date"),
        _of_label("before_date", "Not after", "date"),
        working("early", "Too early in the year",
                f'IF(OR({{after_date}}="",{{pass_times.day}}=""),0,'
                f'IF({_in_year("{pass_times.day}")}<{_in_year("{after_date}")},1,0))', "count",
                twin=earlier_in_year, takes="pass_times.day after_date"),
        working("late", "Too late in the year",
                f'IF(OR({{before_date}}="",{{pass_times.day}}=""),0,'
                f'IF({_in_year("{pass_times.day}")}>{_in_year("{before_date}")},1,0))', "count",
                twin=earlier_in_year, takes="before_date pass_times.day"),
        working("over", "Over the growing crop",
                f'IF(OR({_FOUND}="",{{pass_times.day}}="",{{pass_crops.crop_name}}="fallow"),0,'
                f'IF({{{_LABEL % "over_crop"}}}<>"no",0,'
                f'IF(AND({{pass_crops.turn}}=1,{{pass_crops.planted}}=0),{PLANTING_UNKNOWN},'
                f'IF(AND({{pass_crops.standing}}=1,'
                f'{{pass_times.day}}>IF({{pass_crops.turn}}=1,{{pass_crops.planted}},'
                f'{{pass_crops.next_planted}})),{OVER_CROP},0))))', "count",
                twin=over_crop,
                takes=f"product_limits.found_row {_LABEL % 'over_crop'} pass_crops.crop_name pass_times.day "
                      "fields.planting_date@pass_volumes.field_row "
                      "fields.next_planting_date@pass_volumes.field_row "
                      "fields.harvest_date@pass_volumes.field_row",
                note=f"{OVER_CROP}: where the label forbids it; {PLANTING_UNKNOWN}: the planting date is not "
                     "entered."),
        check("status", "Status",
              'IF(COUNT({first_day},{end_day},{last_day},{min_crop_height},{max_crop_height},{after_date},'
              '{before_date})+{over}=0,"",IF({over}=1,"Not allowed",'
              'IF(AND({pass_times.day}<>"",OR(SUM({first_day})>SUM({pass_times.day}),AND(SUM({end_day})>0,'
              'SUM({end_day})<=SUM({pass_times.day})),'
              'AND(SUM({last_day})>0,SUM({last_day})<SUM({pass_times.day})),{early}+{late}>0)),"Not allowed",'
              'IF(AND({passes.crop_height}<>"",OR(AND({min_crop_height}<>"",'
              'SUM({passes.crop_height})<SUM({min_crop_height})),AND({max_crop_height}<>"",'
              'SUM({passes.crop_height})>SUM({max_crop_height})))),"Not allowed",'
              f'IF(OR(MIN({{first_day}},{{end_day}},{{last_day}})={NO_DATE},AND({{passes.crop_height}}="",'
              f'COUNT({{min_crop_height}},{{max_crop_height}})>0),{{pass_times.day}}="",'
              f'{{over}}={PLANTING_UNKNOWN}),"Not entered","OK")))))',
              twin=stage_status,
              takes="pass_times.day first_day end_day last_day passes.crop_height min_crop_height "
                    "max_crop_height after_date before_date over"),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",{product_limits.said}&": "&IF({status}="Not entered",'
              f'IF(OR(MIN({{first_day}},{{end_day}},{{last_day}})={NO_DATE},{{over}}={PLANTING_UNKNOWN}),'
              f'"date of a stage, or of planting, not entered for this field",IF({{pass_times.day}}="",'
              f'"date of the pass not entered","height of the crop not entered")),'
              'IF({over}=1,"not OK over the growing crop by Label limits, and the crop is '
              'planted",'
              'IF(SUM({first_day})>SUM({pass_times.day}),"before the stage "&{%s},'
              'IF(AND(SUM({end_day})>0,SUM({end_day})<=SUM({pass_times.day})),"must be sprayed before the '
              'stage "&{%s},'
              'IF(AND(SUM({last_day})>0,SUM({last_day})<SUM({pass_times.day})),'
              '"more than "&{%s}&" days after planting",IF({early}=1,"too early in the year for the label",'
              'IF({late}=1,"too late in the year for the label",'
              '"crop of "&{passes.crop_height}&" is outside the heights of the label"))))))))'
              % tuple(_LABEL % key for key in ("from_stage", "before_stage", "planting_days")), "long_text"),
    ),
    rows="as:mix_lines",
    kind="result",
    caution="Cut-offs differ by year, state and label; none is built in.",
)

TABLES = (CROP_STAGES, STAGE_FACTS, LEAST_CHECKS, STAGE_CHECKS)

CHECKS = (
    CheckKind("Least rate and carrier", "least_checks", "status", "finding", "mix_lines", rank=42),
    CheckKind("Crop stage and date", "stage_checks", "status", "finding", "mix_lines", rank=44),
)
