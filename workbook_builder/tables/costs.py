"""Cost per acre or hectare: by pass, field, crop, pass name and whole farm."""

from __future__ import annotations

from workbook_builder.columns import Table
from workbook_builder.tables.short import check, result, row_number, slot_number, working

COST_PASSES = Table(
    "cost_passes",
    "Cost by pass",
    "What each pass costs: products, carrier and application, per field area and per sprayed area.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("herbicide_cost", "Herbicides", 'IF({pass_volumes.loads}="","",SUMIF({mix_lines.kind:block},"herbicide",{mix_lines.cost:block}))', "money"),
        result("product_cost", "Products in all", 'IF({pass_volumes.loads}="","",SUM({mix_lines.cost:block}))', "money"),
        result("adjuvant_cost", "Adjuvants and others", 'IF({product_cost}="","",{product_cost}-{herbicide_cost})', "money"),
        result("carrier_cost", "Carrier", 'IF({pass_volumes.mixed_volume}="","",{pass_volumes.mixed_volume}*water_cost)', "money"),
        working("per_area", "Charge per area", 'IF({pass_volumes.sprayer_row}="",0,SUM(INDEX({sprayers.cost_per_area:all},{pass_volumes.sprayer_row})))', "money_per_area"),
        working("per_hour", "Cost per hour", 'IF({pass_volumes.sprayer_row}="",0,SUM(INDEX({sprayers.cost_per_hour:all},{pass_volumes.sprayer_row})))', "money_per_hour"),
        result("application_cost", "Application", 'IF({pass_volumes.area}="","",{per_area}*{pass_volumes.area}+{per_hour}*SUM({pass_times.hours}))', "money",
               note="The whole field is driven over, spot passes too."),
        result("total_cost", "Total", 'IF(OR({product_cost}="",{application_cost}=""),"",{product_cost}+{carrier_cost}+{application_cost})', "money"),
        result("cost_per_field_area", "Per field area", 'IF({total_cost}="","",IF({pass_volumes.area}=0,"",{total_cost}/{pass_volumes.area}))', "money_per_area"),
        result("cost_per_sprayed_area", "Per sprayed area", 'IF({total_cost}="","",IF({pass_volumes.sprayed_area}=0,"",{total_cost}/{pass_volumes.sprayed_area}))', "money_per_area"),
        working("unpriced", "Products without a price",
                'SUM({mix_lines.unpriced:block})', "count"),
        check("status", "Status",
              'IF({pass}="","",IF({unpriced}>0,"Not entered",IF({per_area}+{per_hour}=0,"Review",IF(AND({per_hour}>0,{pass_times.hours}=""),"Not entered","OK"))))'),
        check("finding", "Finding",
              'IF({status}="Review","The sprayer has no cost per area or hour",IF({status}="Not entered",IF({unpriced}>0,"A product has no price",'
              '"Cost per hour needs speed, width and efficiency"),""))', "long_text"),
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
        result("field", "Field", 'IF({fields.field}="","",{fields.field})', "name"),
        result("crop", "Crop", 'IF({fields.crop}="","",{fields.crop})', "name"),
        result("passes", "Passes", 'IF({field}="","",COUNTIF({pass_volumes.field_row:all},{row_no}))', "count"),
        result("product_cost", "Products", 'IF({field}="","",SUMIF({pass_volumes.field_row:all},{row_no},{cost_passes.product_cost:all}))', "money"),
        result("carrier_cost", "Carrier", 'IF({field}="","",SUMIF({pass_volumes.field_row:all},{row_no},{cost_passes.carrier_cost:all}))', "money"),
        result("application_cost", "Application", 'IF({field}="","",SUMIF({pass_volumes.field_row:all},{row_no},{cost_passes.application_cost:all}))', "money"),
        result("total_cost", "Total", 'IF({field}="","",{product_cost}+{carrier_cost}+{application_cost})', "money"),
        result("cost_per_area", "Per area", 'IF(OR({field}="",SUM({fields.area})=0),"",{total_cost}/{fields.area})', "money_per_area"),
    ),
    rows="as:fields",
    kind="result",
)

_FIRST = 'IF({%s}="","",MATCH({%s},{%s:all},0))'
_RUNNING = "SUM({running:above},IF({first}={row_no},1,0))"

CROP_ROWS = Table(
    "crop_rows",
    "Crop workings",
    "Counts each crop of the season once.",
    (
        row_number(),
        working("first", "First field with the crop", _FIRST % ("fields.crop", "fields.crop", "fields.crop")),
        working("running", "Crops so far", _RUNNING),
    ),
    rows="as:fields",
    kind="working",
    sheet="Workings passes",
)

COST_CROPS = Table(
    "cost_crops",
    "Cost by crop",
    "What the season's passes cost by crop.",
    (
        slot_number("Place"),
        working("row", "First field with it", 'IFERROR(MATCH({slot},{crop_rows.running:all},0),"")'),
        result("crop", "Crop", 'IF({row}="","",INDEX({fields.crop:all},{row}))', "name"),
        result("area", "Area", 'IF({row}="","",SUMIF({crop_rows.first:all},{row},{fields.area:all}))', "area"),
        result("product_cost", "Products", 'IF({row}="","",SUMIF({crop_rows.first:all},{row},{cost_fields.product_cost:all}))', "money"),
        result("carrier_cost", "Carrier", 'IF({row}="","",SUMIF({crop_rows.first:all},{row},{cost_fields.carrier_cost:all}))', "money"),
        result("application_cost", "Application", 'IF({row}="","",SUMIF({crop_rows.first:all},{row},{cost_fields.application_cost:all}))', "money"),
        result("total_cost", "Total", 'IF({row}="","",{product_cost}+{carrier_cost}+{application_cost})', "money"),
        result("cost_per_area", "Per area", 'IF({row}="","",IF({area}=0,"",{total_cost}/{area}))', "money_per_area"),
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
        working("first", "First row with the pass", _FIRST % ("passes.pass", "passes.pass", "passes.pass")),
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
        result("pass", "Pass", 'IF({row}="","",INDEX({passes.pass:all},{row}))', "name"),
        result("fields", "Fields", 'IF({row}="","",COUNTIF({pass_rows.first:all},{row}))', "count"),
        result("area", "Field area", 'IF({row}="","",SUMIF({pass_rows.first:all},{row},{pass_volumes.area:all}))', "area"),
        result("total_cost", "Total", 'IF({row}="","",SUMIF({pass_rows.first:all},{row},{cost_passes.total_cost:all}))', "money"),
        result("cost_per_area", "Per field area", 'IF({row}="","",IF({area}=0,"",{total_cost}/{area}))', "money_per_area"),
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
        result("driven_area", "Area driven over", "SUM({pass_volumes.area:all})", "area"),
        result("sprayed_area", "Area sprayed", "SUM({pass_volumes.sprayed_area:all})", "area"),
        result("volume", "Volume mixed", "SUM({pass_volumes.mixed_volume:all})", "volume"),
        result("product_cost", "Products", "SUM({cost_passes.product_cost:all})", "money"),
        result("carrier_cost", "Carrier", "SUM({cost_passes.carrier_cost:all})", "money"),
        result("application_cost", "Application", "SUM({cost_passes.application_cost:all})", "money"),
        result("total_cost", "Total", "{product_cost}+{carrier_cost}+{application_cost}", "money"),
        result("cost_per_area", "Per field area", 'IF({area}=0,"",{total_cost}/{area})', "money_per_area"),
        result("mean_modes", "Mean herbicide groups per pass", 'IF(COUNT({mode_checks.modes_in_pass:all})=0,"",AVERAGE({mode_checks.modes_in_pass:all}))', "number",
               note="Evans et al. 2016 compared 1.5 with 2.5 groups per application.", source="Evans et al. 2016, Pest Manag Sci 72:74-80"),
    ),
    rows="form",
    kind="result",
    sheet="Cost summary",
)

COST_TABLES = (COST_FARM, COST_CROPS, COST_PASS_NAMES, COST_FIELDS, COST_PASSES, CROP_ROWS, PASS_ROWS)
