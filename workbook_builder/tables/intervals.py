"""Re-entry, harvest, grazing, rain-free and plant-back intervals."""

from __future__ import annotations

from workbook_builder.columns import Table
from workbook_builder.tables.short import check, result, working

_PRODUCT = 'IF({mix_lines.product_row}="","",IF(INDEX({products.%s:all},{mix_lines.product_row})="","",INDEX({products.%s:all},{mix_lines.product_row})))'
_LABEL = 'IF({product_limits.label_row}="","",IF(INDEX({label_limits.%s:all},{product_limits.label_row})="","",INDEX({label_limits.%s:all},{product_limits.label_row})))'
_MISSING = 'IF({product_limits.needed}=1,IF({%s}="",1,0),0)'

LINE_INTERVALS = Table(
    "line_intervals",
    "Interval workings",
    "Label intervals of each product of each pass.",
    (
        working("rei", "Re-entry hours", _PRODUCT % ("rei_hours", "rei_hours"), "hours"),
        working("rain", "Rain-free hours", _PRODUCT % ("rainfast_hours", "rainfast_hours"), "hours"),
        working("phi", "Preharvest days", _LABEL % ("phi_days", "phi_days"), "days"),
        working("grazing", "Grazing days", _LABEL % ("grazing_days", "grazing_days"), "days"),
        working("rei_missing", "Re-entry missing", _MISSING % "rei", "count"),
        working("rain_missing", "Rain-free missing", _MISSING % "rain", "count"),
        working("phi_missing", "Preharvest missing", _MISSING % "phi", "count"),
        working("grazing_missing", "Grazing missing", _MISSING % "grazing", "count"),
    ),
    rows="as:mix_lines",
    kind="working",
    sheet="Workings passes",
)


def _names(key: str) -> str:
    """First product whose figure is missing, and how many more there are."""
    block = "{line_intervals.%s:block}" % key
    return (
        'IF(SUM(%s)=0,"",INDEX({mix_lines.product:block},MATCH(1,%s,0))&IF(SUM(%s)>1," and "&(SUM(%s)-1)&" more",""))'
        % (block, block, block, block)
    )


def _longest(key: str) -> str:
    return 'IF(COUNT({line_intervals.%s:block})=0,"",MAX({line_intervals.%s:block}))' % (key, key)


INTERVALS = Table(
    "intervals",
    "Intervals",
    "When people may go back in, when the crop may be cut or grazed, and how long it must stay dry.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("end", "End of application", "{pass_times.end}", "moment"),
        result("rei_hours", "Longest re-entry interval", _longest("rei"), "hours", digits=0, source="40 CFR 170.407(c): the longest of the mix"),
        working("rei_missing", "Re-entry missing for", _names("rei_missing"), "name"),
        result("reentry_at", "Re-entry from", 'IF(OR({end}="",{rei_hours}=""),"",{end}+{rei_hours}/24)', "moment"),
        result("posting", "Warning signs", 'IF({pass}="","",IF({rei_missing}<>"","Not entered",IF({rei_hours}="","",IF({rei_hours}>posting_hours,"Signs","Signs or word of mouth"))))', "text",
               note="Some labels demand both signs and word of mouth: the label decides."),
        check("reentry_status", "Re-entry status",
              'IF({pass}="","",IF({rei_missing}<>"","Not entered",IF({reentry_at}="","",IF({pass_times.end_known}=1,"OK","Review"))))'),
        check("reentry_finding", "Re-entry finding",
              'IF({reentry_status}="Not entered","Re-entry interval not entered: "&{rei_missing},'
              'IF({reentry_status}="Review","Start time or work rate not entered: re-entry counts from midnight at the end of the day",""))', "long_text"),
        result("rain_hours", "Rain-free hours", _longest("rain"), "hours", digits=1),
        working("rain_missing", "Rain-free missing for", _names("rain_missing"), "name"),
        result("rain_free_until", "Dry until", 'IF(OR({end}="",{rain_hours}=""),"",{end}+{rain_hours}/24)', "moment"),
        check("rain_status", "Rain-free status", 'IF({pass}="","",IF({rain_missing}<>"","Not entered",IF({rain_hours}="","","OK")))'),
        check("rain_finding", "Rain-free finding", 'IF({rain_status}="Not entered","Rain-free hours not entered: "&{rain_missing},"")', "long_text"),
        result("phi_days", "Longest preharvest interval", _longest("phi"), "days", source="UMN Extension 2024: the most restrictive label of the mix governs"),
        working("phi_missing", "Preharvest missing for", _names("phi_missing"), "name"),
        result("harvest_date", "Planned harvest",
               'IF({pass_volumes.field_row}="","",IF(INDEX({fields.harvest_date:all},{pass_volumes.field_row})="","",INDEX({fields.harvest_date:all},{pass_volumes.field_row})))', "date"),
        working("after_harvest", "Sprayed after harvest", 'IF(OR({harvest_date}="",{pass_times.day}=""),0,IF({pass_times.day}>{harvest_date},1,0))', "count"),
        result("earliest_harvest", "Earliest harvest", 'IF(OR({pass_times.last_day}="",{phi_days}=""),"",MAX({pass_times.last_day}+{phi_days},INT(ROUND(SUM({reentry_at}),6))))', "date",
               note="Day of application is day 0; not before re-entry, where that takes longer.", source="WSU Tree Fruit: no one harvests within the re-entry interval"),
        result("harvest_margin_days", "Days to spare", 'IF(OR({harvest_date}="",{earliest_harvest}="",{after_harvest}=1),"",{harvest_date}-{earliest_harvest})', "days"),
        check("harvest_status", "Harvest status",
              'IF({pass}="","",IF(AND({phi_days}="",{phi_missing}=""),"",IF({harvest_margin_days}<>"",IF({harvest_margin_days}<0,"Not allowed",'
              'IF({phi_missing}<>"","Not entered","OK")),IF({after_harvest}=1,"OK",IF({phi_missing}<>"","Not entered",IF({pass_volumes.crop}="fallow","OK","Review"))))))'),
        check("harvest_finding", "Harvest finding",
              'IF({harvest_status}="Not allowed","Planned harvest is too early by "&(0-{harvest_margin_days})&IF({harvest_margin_days}=-1," day"," days"),'
              'IF({harvest_status}="Not entered","Preharvest interval not entered: "&{phi_missing},'
              'IF({harvest_status}="Review","No harvest date entered to check against","")))', "long_text"),
        result("grazing_days", "Longest grazing interval", _longest("grazing"), "days"),
        working("grazing_missing", "Grazing missing for", _names("grazing_missing"), "name"),
        result("earliest_grazing", "Earliest grazing", 'IF(OR({pass_times.last_day}="",{grazing_days}=""),"",{pass_times.last_day}+{grazing_days})', "date"),
        check("grazing_status", "Grazing status", 'IF({pass}="","",IF({grazing_missing}<>"","Not entered",IF({grazing_days}="","","OK")))'),
        check("grazing_finding", "Grazing finding", 'IF({grazing_status}="Not entered","Grazing interval not entered: "&{grazing_missing},"")', "long_text"),
        check("status", "Status", 'IF(OR({reentry_status}="Not allowed",{harvest_status}="Not allowed"),"Not allowed",'
              'IF(OR({reentry_status}="Not entered",{harvest_status}="Not entered",{rain_status}="Not entered",{grazing_status}="Not entered"),"Not entered",'
              'IF(OR({reentry_status}="Review",{harvest_status}="Review"),"Review",IF({reentry_status}="","","OK"))))'),
    ),
    rows="as:passes",
    kind="result",
    caution="Keep people out until the interval has passed and signs are down; the label and local rules govern.",
)

PLANT_BACK_CHECKS = Table(
    "plant_back_checks",
    "Plant-back checks",
    "Each product of each pass against the crop planned next on the field.",
    (
        result("pass", "Pass", 'IF({next_crop}="","",{mix_lines.pass})', "name"),
        result("field", "Field", 'IF({next_crop}="","",{mix_lines.field})', "name"),
        result("product", "Product", 'IF({next_crop}="","",{mix_lines.product})', "name"),
        result("next_crop", "Next crop",
               'IF(OR({mix_lines.product}="",{pass_volumes.field_row}=""),"",INDEX({fields.next_crop:all},{pass_volumes.field_row})&"")', "name"),
        working("row", "Plant-back row",
                'IF({next_crop}="","",IFERROR(MATCH({product}&"|"&{next_crop},{plant_back_facts.key:all},0),IFERROR(MATCH({product}&"|any",{plant_back_facts.key:all},0),"")))'),
        result("interval", "Interval", 'IF({row}="","",SUM(INDEX({plant_back.interval:all},{row})))', "count"),
        result("interval_unit", "Unit", 'IF({row}="","",INDEX({plant_back.interval_unit:all},{row})&"")', "text"),
        result("earliest_planting", "Earliest planting",
               'IF(OR({row}="",{pass_times.last_day}=""),"",IF({interval_unit}="months",EDATE({pass_times.last_day},{interval}),{pass_times.last_day}+{interval}))', "date",
               note="Calendar months clip to the end of a shorter month."),
        result("next_planting_date", "Planned planting",
               'IF({next_crop}="","",IF(INDEX({fields.next_planting_date:all},{pass_volumes.field_row})="","",INDEX({fields.next_planting_date:all},{pass_volumes.field_row})))', "date"),
        result("margin_days", "Days to spare", 'IF(OR({earliest_planting}="",{next_planting_date}=""),"",{next_planting_date}-{earliest_planting})', "days"),
        check("status", "Status",
              'IF({next_crop}="","",IF({row}="",IF({product_limits.needed}=1,"Not entered",""),IF({margin_days}="","Review",IF({margin_days}<0,"Not allowed","OK"))))'),
        check("finding", "Finding",
              'IF({status}="Not allowed",{product}&": "&{next_crop}&" is planned "&(0-{margin_days})&IF({margin_days}=-1," day"," days")&" before it may be planted",'
              'IF({status}="Not entered",{product}&": no plant-back interval entered for "&{next_crop},'
              'IF({status}="Review",{product}&": no planting date entered for "&{next_crop},"")))', "long_text"),
    ),
    rows="as:mix_lines",
    kind="result",
    caution="Labels may add conditions of rain, soil pH or a bioassay that no table holds.",
)

INTERVAL_TABLES = (LINE_INTERVALS, INTERVALS, PLANT_BACK_CHECKS)
