"""Cost per acre or hectare, one figure everywhere: by pass, field, crop, pass name and whole farm."""

from __future__ import annotations

from operator import sub

from workbook_builder.core.adding import total
from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import (
    check,
    part_of,
    result,
    row_number,
    slot_number,
    told_whole,
    working,
)
from workbook_builder.features.cost.definitions import (
    NO_TRIP,
    application_cost,
    assumed_cost,
    carrier_cost,
    cost_judgement,
    hours_paid,
    per_area,
)
from workbook_builder.features.loads.lines import summed

#: What the cost of a pass, a field, a crop and the farm is the sum of.
PARTS = (("product_cost", "Products"), ("carrier_cost", "Carrier"), ("application_cost", "Application"),
         ("fee", "Spot fees"))
_SUM, _PARTS = "+".join("{%s}" % key for key, _ in PARTS), " ".join(key for key, _ in PARTS)


def _total(needs: str) -> Column:
    return result("total_cost", "Total", _SUM, "money", needs=needs, twin=lambda *parts: total(parts),
                  takes=_PARTS)


def _per_area(key: str, header: str, amount: str, area: str, needs: str) -> Column:
    return result(key, header, f'IF(SUM({{{area}}})=0,"",{{{amount}}}/{{{area}}})', "money_per_area",
                  needs=needs, twin=per_area, takes=f"{amount} {area}")


def _summed(formula: str, area: str, needs: str,
            average: tuple[str, str] = ("cost_per_area", "Per area")) -> tuple[Column, ...]:
    """Columns of a summary: the sum of each part, their total, and that by area.

    `formula` has one place for the part.
    """
    parts = (result(key, header, formula % key, "money", needs=needs) for key, header in PARTS)
    return (*parts, _total(needs), _per_area(*average, "total_cost", area, needs))


TRIPS = Table(
    "trips",
    "Trip workings",
    "What is driven for each pass: a spot pass in one trip with its partner pass is driven and paid once, "
    "with the partner.",
    (
        working("partner_row", "Row of the partner",
                'IF(OR({passes.method}<>"spot",{passes.partner_pass}=""),"",'
                'IFERROR(MATCH({passes.partner_pass}&"|"&{passes.field},{pass_volumes.key:all},0),""))'),
        working("alone", "Partner in another trip",
                'IF(OR({passes.method}<>"spot",{passes.partner_pass}=""),0,1-{together})', "count"),
        working("together", "In the partner's trip",
                'IF(OR({partner_row}="",{pass_volumes.sprayer_row}="",{pass_times.day}=""),0,'
                'IF(AND({passes.method@partner_row}="broadcast",'
                "{pass_volumes.sprayer_row@partner_row}={pass_volumes.sprayer_row},"
                "{pass_times.day@partner_row}={pass_times.day}),1,0))", "count",
                note="Same field, sprayer and day, and the partner a broadcast pass."),
        working("area", "Area driven for it", "IF({together}=1,0,{pass_volumes.area}*{as_logged.part})",
                "area", needs="pass_volumes.area",
                twin=lambda together, area, part: 0 if together else area * part,
                takes="together pass_volumes.area as_logged.part",
                note="As logged where an area treated was typed."),
        working("hours", "Hours paid for it",
                'IF({together}=0,IF({work_rates.hours}="","",{work_rates.hours}*{as_logged.part}),'
                'IF({pass_times.by_load}=0,0,'
                "MAX(0,SUM({pass_volumes.loads})-SUM({pass_volumes.loads@partner_row}))"
                "*{work_rates.refill_minutes}/60))", "hours", twin=hours_paid,
                takes="together work_rates.hours as_logged.part pass_times.by_load pass_volumes.loads "
                      "pass_volumes.loads@partner_row work_rates.refill_minutes",
                note="In the partner's trip only the stops for more loads than the partner has."),
    ),
    rows="as:passes",
    kind="working",
    sheet="Workings money",
)

_OF_SPRAYER = 'IF({pass_volumes.sprayer_row}="",0,SUM({%s@pass_volumes.sprayer_row}))'

_JUDGED = "unpriced per_area per_hour trips.hours trips.alone"

COST_PASSES = Table(
    "cost_passes",
    "Cost by pass",
    "What each pass costs: products, carrier, application and spot fee, per field area and per sprayed area.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("herbicide_cost", "Pesticides", summed("applied_lines.cost")[:-1]
               + ',{product_limits.needed:all},1)', "money", needs="pass_volumes.loads", was=("Herbicides",)),
        result("product_cost", "Products in all", summed("applied_lines.cost"), "money",
               needs="pass_volumes.loads", note="Of what the log says was used, else of what is planned."),
        working("planned_cost", "Products as planned", summed("mix_lines.cost"), "money",
                needs="pass_volumes.loads"),
        result("adjuvant_cost", "Adjuvants and others", "{product_cost}-{herbicide_cost}", "money",
               needs="product_cost", twin=sub, takes="product_cost herbicide_cost"),
        result("carrier_cost", "Carrier",
               'IF({as_logged.volume}="",{pass_volumes.planned_volume}*{as_logged.part},'
               '{as_logged.volume})*water_cost', "money",
               needs="pass_volumes.planned_volume", twin=carrier_cost,
               takes="as_logged.volume pass_volumes.planned_volume as_logged.part assumptions.water_cost"),
        working("per_area", "Charge per area", _OF_SPRAYER % "sprayers.cost_per_area", "money_per_area"),
        working("per_hour", "Machine and driver per hour", _OF_SPRAYER % "sprayer_costs.full_hour",
                "money_per_hour"),
        result("application_cost", "Application", "{per_area}*{trips.area}+{per_hour}*SUM({trips.hours})",
               "money", needs="product_cost pass_volumes.area",
               twin=application_cost, takes="per_area trips.area per_hour trips.hours",
               note="Charges, machine and driver, owning and your own time; the whole field is driven over, "
                    "spot passes too, but one trip is paid once."),
        result("fee", "Spot fee",
               'IF({spot_uses.term_row}="",0,SUM({spot_terms.fee@spot_uses.term_row})*{pass_volumes.area})',
               "money", needs="application_cost",
               twin=lambda fee, area: (fee or 0) * area,
               takes="spot_terms.fee@spot_uses.term_row pass_volumes.area"),
        _total("application_cost"),
        _per_area("cost_per_field_area", "Per field area", "total_cost", "pass_volumes.area", "total_cost"),
        _per_area("cost_per_sprayed_area", "Per sprayed area", "total_cost", "as_logged.sprayed",
                  "total_cost"),
        working("unfinished", "Part of it left to spray",
                'IF({pass_times.log_day}="",0,IF(ROUND({order_volumes.to_do},6)>0,1,0))', "count"),
        working("unpriced", "Products without a price", summed("mix_lines.unpriced"), "count"),
        working("lacking", "Something is missing from it",
                'IF({pass}="",0,IF(OR({total_cost}="",{pass_volumes.mix_no}="",{unpriced}>0,AND({per_hour}>0,'
                '{trips.hours}=""),AND({spot_uses.on}=1,{spot_uses.term_row}="")),1,0))',
                "count"),
        check("status", "Status",
              'IF({unpriced}>0,"Not entered",IF({per_area}+{per_hour}=0,"Review",'
              'IF(AND({per_hour}>0,{trips.hours}=""),"Not entered",IF({trips.alone}=1,"Review","OK"))))',
              needs="pass", twin=part_of(cost_judgement, 0), takes=_JUDGED),
        check("finding", "Finding",
              f'IF({{status}}="Review",IF({{per_area}}+{{per_hour}}=0,"The sprayer has no cost per area or '
              f'hour","{NO_TRIP}"),'
              'IF({status}="Not entered",IF({unpriced}>0,"A product has no price","Cost per hour needs '
              'speed, width and efficiency"),""))', "long_text",
              needs="pass", twin=part_of(cost_judgement, 1), takes=_JUDGED),
    ),
    rows="as:passes",
    kind="result",
)

COST_FIELDS = Table(
    "cost_fields",
    "Cost by field",
    "What the season's passes cost on each field.",
    (
        row_number(),
        result("field", "Field", "{fields.field}", "name", needs="fields.field"),
        result("crop", "Crop", "{fields.crop}", "name", needs="fields.crop"),
        result("passes", "Passes", "COUNTIF({pass_volumes.field_row:all},{row_no})", "count", needs="field"),
        *_summed("SUMIF({pass_volumes.field_row:all},{row_no},{cost_passes.%s:all})", "fields.area", "field"),
    ),
    rows="as:fields",
    kind="result",
)

_RUNNING = "SUM({running:above},IF({first}={row_no},1,0))"

CROP_ROWS = Table(
    "crop_rows",
    "Crop workings",
    "Counts each crop that passes belong to once, and each field once in it.",
    (
        row_number(),
        working("first", "First pass in the crop", "MATCH({pass_volumes.crop},{pass_volumes.crop:all},0)",
                needs="pass_volumes.crop"),
        working("running", "Crops so far", _RUNNING),
        working("ground", "Field and crop", "{pass_volumes.field_row}*100000+{first}", needs="first"),
        working("area", "Field area, counted once",
                'IF({ground}="",0,IF(MATCH({ground},{ground:all},0)={row_no},SUM({pass_volumes.area}),0))',
                "area"),
    ),
    rows="as:passes",
    kind="working",
    sheet="Workings passes",
)

COST_CROPS = Table(
    "cost_crops",
    "Cost by crop",
    "What the season's passes cost by crop; a pass after the harvest belongs to the next one.",
    (
        slot_number("Place"),
        working("row", "First pass in it", 'IFERROR(MATCH({slot},{crop_rows.running:all},0),"")'),
        result("crop", "Crop", "{pass_volumes.crop@row}", "name", needs="row"),
        result("area", "Area", "SUMIF({crop_rows.first:all},{row},{crop_rows.area:all})", "area", needs="row",
               note="Fields with a pass in this crop."),
        *_summed("SUMIF({crop_rows.first:all},{row},{cost_passes.%s:all})", "area", "row"),
    ),
    rows="list:crops",
    kind="result",
    sheet="Cost summary",
)

PASS_ROWS = Table(
    "pass_rows",
    "Pass workings",
    "Counts each pass name once.",
    (
        row_number(),
        working("first", "First row with the pass", "MATCH({passes.pass},{passes.pass:all},0)",
                needs="passes.pass"),
        working("running", "Pass names so far", _RUNNING),
    ),
    rows="as:passes",
    kind="working",
    sheet="Workings passes",
)

COST_PASS_NAMES = Table(
    "cost_pass_names",
    "Cost by pass name",
    "What each pass costs over all its fields.",
    (
        slot_number("Place"),
        working("row", "First row with it", 'IFERROR(MATCH({slot},{pass_rows.running:all},0),"")'),
        result("pass", "Pass", "{passes.pass@row}", "name", needs="row"),
        result("fields", "Fields", "COUNTIF({pass_rows.first:all},{row})", "count", needs="row"),
        result("area", "Field area", "SUMIF({pass_rows.first:all},{row},{pass_volumes.area:all})",
               "area", needs="row"),
        result("total_cost", "Total", "SUMIF({pass_rows.first:all},{row},{cost_passes.total_cost:all})",
               "money", needs="row"),
        _per_area("cost_per_area", "Per field area", "total_cost", "area", "row"),
    ),
    rows="list:pass_names",
    kind="result",
    sheet="Cost summary",
)

COST_FARM = Table(
    "cost_farm",
    "Farm totals",
    "The whole farm in a few figures.",
    (
        result("area", "Field area", "SUM({fields.area:all})", "area"),
        result("passes", "Passes and fields", "COUNT({cost_passes.total_cost:all})", "count"),
        result("driven_area", "Area driven", "SUM({trips.area:all})", "area", note="One trip counts once.",
               was=("Area driven over",)),
        result("sprayed_area", "Area sprayed", "SUM({as_logged.sprayed:all})", "area"),
        result("volume", "Volume mixed", "SUM({pass_volumes.planned_volume:all})", "volume"),
        *_summed("SUM({cost_passes.%s:all})", "area", "", ("cost_per_field_area", "Per field area")),
        *(column for key, header in PARTS for column in told_whole(key, header, key)),
        result("holds", "It holds",
               "&".join('"%s%s "&{%s_told}' % (", " if place else "", header.lower(), key)
                        for place, (key, header) in enumerate(PARTS)), "sentence",
               note="Everything: owning machines and your own time are in the application."),
        result("assumed", "Assumed in it",
               'IF(OR({carrier_cost}=0,ROUND(water_cost-usual_water_cost,9)<>0),"",'
               '"carrier at 0."&RIGHT("0000"&ROUND(ROUND(water_cost,6)*10000,0),4)&" per "&liquid_name_1&": "'
               '&{carrier_cost_told}&IF({estimated}=0,"","; "))'
               '&IF({estimated}=0,"","usual machine figures: "&{estimated}&IF({estimated}=1," sprayer",'
               '" sprayers"))', "sentence", twin=assumed_cost,
               takes="carrier_cost assumptions.water_cost factors.usual_water_cost factors.liquid_name_1 "
                     "estimated",
               note="What nobody typed: the carrier cost, and for machines oil, labor hours, repairs or "
                    "value when sold; change it on the sheets of assumptions and sprayers."),
        working("estimated", "Sprayers counted by usual figures", "SUM({sprayer_costs.estimated:all})",
                "count"),
        working("lacking", "Passes that lack a figure", "SUM({cost_passes.lacking:all})", "count"),
        working("unfinished", "Passes half done", "SUM({cost_passes.unfinished:all})", "count"),
        result("left_out", "Missing from it",
               'IF({lacking}=0,"","what "&{lacking}&IF({lacking}=1," pass lacks"," passes lack")&": price, '
               'hours, fee or amount")&IF(OR({lacking}=0,{unfinished}=0),"","; ")'
               '&IF({unfinished}=0,"","what "&{unfinished}&IF({unfinished}=1," pass has"," passes have")'
               '&" left to spray")', "sentence"),
        result("mean_modes", "Mean herbicide groups per pass",
               'IF(COUNT({mode_checks.modes_in_pass:all})=0,"",AVERAGE({mode_checks.modes_in_pass:all}))',
               "number",
               note="Evans et al. 2016 compared 1.5 with 2.5 groups per application.",
               source="Evans et al. 2016, Pest Manag Sci 72:74-80"),
    ),
    rows="form",
    kind="result",
    sheet="Cost summary",
)

TABLES = (COST_FARM, COST_CROPS, COST_PASS_NAMES, COST_FIELDS, COST_PASSES, CROP_ROWS, PASS_ROWS, TRIPS)

CHECKS = (
    CheckKind("Cost", "cost_passes", "status", "finding", rank=250),
)
