"""The analysis of fertilizers, what is wanted on each field, and the nutrients of every pass."""

from __future__ import annotations

from operator import mul

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import belonging, check, lines_of, place, result, typed_in, working
from workbook_builder.features.nutrients.definitions import nutrient, nutrient_status, product_mass

NUTRIENTS = ("N", "P2O5", "K2O", "S", "Ca", "Mg", "B", "Cu", "Fe", "Mn", "Mo", "Zn")
_NUTRIENT = Column("nutrient", "Nutrient", required=True, choices=NUTRIENTS,
                   note="As the analysis counts: phosphate as P2O5, potash as K2O, all others as the "
                        "element.")

ANALYSIS = Table(
    "analysis",
    "Fertilizer analysis",
    "What each fertilizer holds, by weight: one row a nutrient, for every nutrient to be counted.",
    (
        Column("product", "Product", "name", required=True, choices="products.product",
               note="Choose from the products; a liquid needs its density there."),
        _NUTRIENT,
        Column("percent", "Percent by weight", "percent", required=True, minimum=0, maximum=100, digits=3,
               note="28 of 28-0-0."),
        Column("leaf_most", "Most on leaves", "mass_per_area", minimum=0, maximum=1000, digits=2,
               note="Of the nutrient in one pass over the crop; more may burn. From the label or a guide for "
                    "the stage of the crop."),
    ),
)

NUTRIENTS_WANTED = Table(
    "nutrients_wanted",
    "Nutrients wanted",
    "How much of a nutrient each field is to get from these passes in the season.",
    (
        Column("field", "Field", "name", required=True, choices="fields.field",
               note="Choose from the fields."),
        _NUTRIENT,
        Column("wanted", "Wanted", "mass_per_area", required=True, minimum=0, maximum=1000, digits=2,
               note="Over the season, as a mean of the field."),
    ),
)

ANALYSIS_FACTS = Table(
    "analysis_facts",
    "Analysis workings",
    "Product and number of each row of the analysis.",
    (
        place("product_row", "Product row", "analysis.product", "products.product"),
        working("running", "Rows so far", 'SUM({running:above},IF({nutrient_no}="",0,1))', "count"),
        working("nutrient_no", "Number of the nutrient",
                "MATCH({analysis.nutrient},{analysis.nutrient:all},0)",
                needs="analysis.nutrient product_row"),
    ),
    rows="as:analysis",
    kind="working",
    sheet="Workings products",
)

WANTED_FACTS = Table(
    "wanted_facts",
    "Nutrient workings",
    "Lookup key of each amount wanted.",
    (
        place("field_row", "Field row", "nutrients_wanted.field", "fields.field"),
        working("key", "Key", '{field_row}&"|"&{nutrients_wanted.nutrient}', "text",
                needs="field_row nutrients_wanted.nutrient"),
    ),
    rows="as:nutrients_wanted",
    kind="working",
    sheet="Workings products",
)

MIX_ROW_NUTRIENTS = Table(
    "mix_row_nutrients",
    "Mix row nutrients",
    "Which rows of a mix have an analysis.",
    (working("analyzed", "Has an analysis",
             'IF({mix_rows.product_row}="",0,IF(COUNTIF({analysis_facts.product_row:all},'
             '{mix_rows.product_row})>0,1,0))', "count"),),
    rows="as:mixes",
    kind="working",
    sheet="Workings mixes",
)

PASS_NUTRIENTS = Table(
    "pass_nutrients",
    "Nutrient lines of passes",
    "How many lines each pass has among the nutrients: all rows of the analysis where its mix holds a "
    "product of it.",
    lines_of("lines", "Rows of the analysis",
             'IF({pass_volumes.mix_no}="",0,IF(SUMIF({mix_rows.mix_no:all},{pass_volumes.mix_no},'
             '{mix_row_nutrients.analyzed:all})=0,0,COUNT({analysis_facts.nutrient_no:all})))'),
    rows="as:passes",
    kind="working",
    sheet="Workings passes",
)

_LINES = "{mix_lines.parent_no:all},{parent_no},{mix_lines.product_row:all},{product_row}"

NUTRIENT_LINES = Table(
    "nutrients",
    "Nutrients by pass",
    "What each row of the analysis brings in each pass, on ground that is sprayed and as a mean of the "
    "field.",
    (
        *belonging("pass_nutrients.lines_before"),
        working("slot", "Row of the analysis",
                'IF({row_no}>{pass_nutrients.lines_before}+{pass_nutrients.lines},"",'
                'IFERROR(MATCH({row_no}-{pass_nutrients.lines_before},{analysis_facts.running:all},0),""))'),
        working("product_row", "Product row",
                'IF(COUNTIFS({mix_lines.parent_no:all},{parent_no},{mix_lines.product_row:all},'
                '{analysis_facts.product_row@slot})=0,"",{analysis_facts.product_row@slot})', needs="slot"),
        result("pass", "Pass", "{pass_volumes.pass}", "name", needs="product_row"),
        result("field", "Field", "{pass_volumes.field}", "name", needs="product_row"),
        result("nutrient", "Nutrient", "{analysis.nutrient@slot}", "text", needs="product_row"),
        working("amount", "Base units as sold per area",
                f'IF(COUNTIFS({_LINES},{{product_limits.unknown:all}},1)>0,"",'
                f'SUMIFS({{product_limits.own_rate:all}},{_LINES}))', "factor", needs="product_row"),
        working("mass", "Product per sprayed area",
                'IF(AND({product_facts.phase@product_row}="liquid",{product_facts.dry_per_liquid@product_row}'
                '=""),"",'
                '{amount}*IF({product_facts.phase@product_row}="liquid",'
                '{product_facts.dry_per_liquid@product_row},1)/{factors.dry_step_1})', "mass_per_area",
                needs="amount",
                twin=product_mass,
                takes="amount product_facts.phase@product_row product_facts.dry_per_liquid@product_row "
                      "factors.dry_step_1"),
        working("own", "Nutrient of this product",
                'IF({analysis.percent@slot}="","",{mass}*{analysis.percent@slot}/100)', "mass_per_area",
                needs="mass", twin=nutrient, takes="mass analysis.percent@slot"),
        working("key", "Pass and nutrient", "{parent_no}*1000+{analysis_facts.nutrient_no@slot}",
                needs="product_row"),
        working("lacks", "Not known", 'IF({product_row}="","",IF({own}="",1,0))', "count"),
        working("opens", "First of its nutrient", "IF(MATCH({key},{key:all},0)={row_no},1,0)",
                "count", needs="key"),
        result("per_sprayed_area", "Per sprayed area",
               'IF(SUMIF({key:all},{key},{lacks:all})>0,"",SUMIF({key:all},{key},{own:all}))',
               "mass_per_area", digits=2, needs="key", note="Of all products of the pass."),
        result("per_field_area", "Per field area", "{per_sprayed_area}*{pass_volumes.share}", "mass_per_area",
               digits=2, needs="per_sprayed_area pass_volumes.share", twin=mul,
               takes="per_sprayed_area pass_volumes.share"),
        working("field_key", "Field and nutrient",
                "{pass_volumes.field_row}*1000+{analysis_facts.nutrient_no@slot}",
                needs="product_row pass_volumes.field_row"),
        working("blank", "Unknown in the season", 'IF({opens}<>1,0,IF({per_field_area}="",1,0))', "count"),
        working("counted", "Counted in the season", 'IF({opens}<>1,0,SUM({per_field_area}))',
                "mass_per_area"),
        result("season_total", "Season, per field area",
               'IF(SUMIF({field_key:all},{field_key},{blank:all})>0,"",SUMIF({field_key:all},{field_key},'
               '{counted:all}))', "mass_per_area", digits=2, needs="field_key"),
        working("wanted_row", "Row of what is wanted",
                'IFERROR(MATCH({pass_volumes.field_row}&"|"&{nutrient},{wanted_facts.key:all},0),"")',
                needs="field_key"),
        typed_in("wanted", "Wanted", "nutrients_wanted.wanted", "wanted_row", "mass_per_area",
                 "result", digits=2),
        typed_in("leaf_most", "Most on leaves", "analysis.leaf_most", "slot", "mass_per_area",
                 "result", digits=2),
        check("status", "Status",
              'IF({per_sprayed_area}="","Not entered",'
              'IF(OR(IF({leaf_most}="",1=0,ROUND({per_sprayed_area}-{leaf_most},6)>0),'
              'IF(OR({season_total}="",{wanted}=""),1=0,ROUND({season_total}-{wanted},6)>0)),"Review","OK"))',
              needs="product_row", twin=nutrient_status,
              takes="per_sprayed_area leaf_most season_total wanted"),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",{nutrient}&": "&IF({status}="Not entered","rate, density '
              'or percent of a product not entered",'
              'IF(IF({leaf_most}="",1=0,ROUND({per_sprayed_area}-{leaf_most},6)>0),'
              'ROUND(ROUND({per_sprayed_area},6),2)&" in one pass may burn leaves, which bear "'
              '&ROUND(ROUND({leaf_most},6),2),'
              'ROUND(ROUND({season_total},6),2)&" over the season is more than the "&ROUND(ROUND({wanted},6),'
              '2)&" wanted")))', "long_text"),
    ),
    rows="of:passes:nutrient_lines",
    kind="result",
    caution="Burn depends on stage, heat, sun and nozzle; streams burn less than a flat fan. Ask your guide "
            "before spraying fertilizer on leaves.",
)

TABLES = (ANALYSIS, NUTRIENTS_WANTED, ANALYSIS_FACTS, WANTED_FACTS, MIX_ROW_NUTRIENTS, PASS_NUTRIENTS,
          NUTRIENT_LINES)

CHECKS = (CheckKind("Nutrients", "nutrients", "status", "finding", "nutrients", rank=205),)
