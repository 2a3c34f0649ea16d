"""Label rates by texture, organic matter, pH and residue, and the row that holds for each product of each pass."""

from __future__ import annotations

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import check, result, row_number, working
from workbook_builder.features.labels.columns import limit_column, product_columns, unit_columns
from workbook_builder.features.soil_rates.definitions import OPEN, UNKNOWN, range_from, range_to, soil_status

#: Figure of the soil -> column of the fields, with its header and its quantity in the label rows.
SOIL = (("organic_matter", "Organic matter", "percent", 100.0), ("soil_ph", "Soil pH", "ph", 14.0), ("residue", "Residue on the ground", "percent", 100.0))

SOIL_RATES = Table(
    "soil_rates",
    "Rates by soil",
    "What a label allows by soil: one row for each line of its table; a blank cell does not ask.",
    (
        Column("product", "Product", "name", required=True, choices="products.product", note="Choose from the products."),
        Column("crop", "Crop", "name", choices="crops.crop", suggest_only=True, note="As the field has it; blank for every crop."),
        Column("texture", "Texture", choices=("coarse", "medium", "fine"), note="As the label groups textures; blank for every texture."),
        *(Column(f"{key}_{end}", f"{header}, {end}", quantity, minimum=0, maximum=most, digits=1, note=f"{'Least' if end == 'from' else 'Greatest'} of the row, itself included.")
          for key, header, quantity, most in SOIL for end in ("from", "to")),
        Column("rate_low", "Rate from", "amount", minimum=0, maximum=100000, note="Least rate on this soil, in the unit of the row."),
        Column("rate_high", "Rate to", "amount", minimum=0, maximum=100000, note="Greatest rate on this soil, in the unit of the row."),
        Column("rate_unit", "Rate unit", "unit_label", required=True, choices="rate_units.rate_unit", note="A unit of the product per area."),
    ),
    caution="The label in your hand governs; these figures are typed in by people.",
)


SOIL_FACTS = Table(
    "soil_facts",
    "Soil rate workings",
    "Lookup key and ranges of each row, and its rates in base units of the product.",
    (
        row_number(),
        *product_columns("soil_rates"),
        working("key", "Key", '{product_no}&"|"&IF({soil_rates.crop}="","any",{soil_rates.crop})&"|"&IF({soil_rates.texture}="","any",{soil_rates.texture})', "text", needs="product_no"),
        *(working(f"{key}_from", f"{header} from",
                  f'IF(AND({{soil_rates.{key}_from}}="",{{soil_rates.{key}_to}}=""),{UNKNOWN:g},IF({{soil_rates.{key}_from}}="",0,{{soil_rates.{key}_from}}))', "number",
                  twin=range_from, takes=f"soil_rates.{key}_from soil_rates.{key}_to") for key, header, *_ in SOIL),
        *(working(f"{key}_to", f"{header} to", f'IF({{soil_rates.{key}_to}}="",{OPEN:.0f},{{soil_rates.{key}_to}})', "number", twin=range_to, takes=f"soil_rates.{key}_to") for key, header, *_ in SOIL),
        *unit_columns("soil_rates"),
        limit_column("rate_low_base", "Rate from", "soil_rates.rate_low"),
        limit_column("rate_high_base", "Rate to", "soil_rates.rate_high"),
    ),
    rows="as:soil_rates",
    kind="working",
    sheet="Workings products",
)


def _first(crop: str, texture: str) -> str:
    """Formula of the first row of the product whose ranges hold the soil of the field; 0 for none."""
    ranges = "".join(f',{{soil_facts.{key}_from:all}},"<="&{{{key}}},{{soil_facts.{key}_to:all}},">="&{{{key}}}' for key, *_ in SOIL)
    return f'IFERROR(_xlfn.MINIFS({{soil_facts.row_no:all}},{{soil_facts.key:all}},{{product_limits.product_no}}&"|"&{crop}&"|"&{texture}{ranges}),0)'


_CROP, _TEXTURE, _ANY = "{pass_volumes.crop}", "{fields.texture@pass_volumes.field_row}", '"any"'

SOIL_LINES = Table(
    "soil_lines",
    "Rates by soil, each pass",
    "Each product of each pass against the row of its label that holds for the soil of the field.",
    (
        working("rows", "Rows of the product", 'IF({product_limits.product_no}="",0,COUNTIF({soil_facts.product_no:all},{product_limits.product_no}))', "count"),
        working("here", "Of them of this crop, or of any",
                'IF({rows}=0,0,COUNTIF({soil_facts.key:all},{product_limits.product_no}&"|"&{pass_volumes.crop}&"|*")+COUNTIF({soil_facts.key:all},{product_limits.product_no}&"|any|*"))', "count"),
        *(working(key, header, f'IF(OR({{rows}}=0,{{pass_volumes.field_row}}=""),{UNKNOWN:g},IF({{fields.{key}@pass_volumes.field_row}}="",{UNKNOWN:g},{{fields.{key}@pass_volumes.field_row}}))', "number")
          for key, header, *_ in SOIL),
        working("named", "Row of the crop", f'IF(OR({{rows}}=0,{{pass_volumes.field_row}}=""),0,MAX({_first(_CROP, _TEXTURE)},IF({_first(_CROP, _TEXTURE)}>0,0,{_first(_CROP, _ANY)})))', "count"),
        working("found", "Row that holds", f'IF(OR({{rows}}=0,{{named}}>0,{{pass_volumes.field_row}}=""),{{named}},MAX({_first(_ANY, _TEXTURE)},IF({_first(_ANY, _TEXTURE)}>0,0,{_first(_ANY, _ANY)})))', "count",
                note="One that names crop and texture before one that leaves them open."),
        result("low", "Rate from", 'IF({found}=0,"",IF({soil_rates.rate_low@found}="","",{soil_rates.rate_low@found}))', "amount", digits=3),
        result("high", "Rate to", 'IF({found}=0,"",IF({soil_rates.rate_high@found}="","",{soil_rates.rate_high@found}))', "amount", digits=3),
        working("low_base", "Rate from, base units", 'IF({found}=0,"",{soil_facts.rate_low_base@found})', "factor"),
        working("high_base", "Rate to, base units", 'IF({found}=0,"",{soil_facts.rate_high_base@found})', "factor"),
        check("status", "Status",
              'IF({rows}=0,"",IF({here}=0,"Review",IF(OR({found}=0,{product_limits.landing}="",AND({low_base}="",{high_base}="")),"Not entered",'
              'IF(IF({high_base}="",1=0,ROUND({product_limits.landing}-{high_base},6)>0),"Not allowed",IF(IF({low_base}="",1=0,ROUND({product_limits.landing}-{low_base},6)<0),"Review","OK")))))',
              twin=soil_status, takes="rows here found product_limits.landing low_base high_base"),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",{product_limits.said}&": "&IF({here}=0,"its rates by soil name other crops only",IF({found}=0,"no row of its rates by soil fits this field: texture, organic matter, pH or residue not entered, or not on the label",'
              'IF({status}="Not entered","rate, or its rate by soil, not known","the rate is "&IF({status}="Review","under "&ROUND(ROUND({low},6),3),"over "&ROUND(ROUND({high},6),3))&" "&{soil_rates.rate_unit@found}&" for this soil"))))', "long_text"),
    ),
    rows="as:mix_lines",
    kind="result",
    caution="The label is the law: these checks only compare what was typed in.",
)

TABLES = (SOIL_RATES, SOIL_FACTS, SOIL_LINES)

CHECKS = (CheckKind("Rate by soil", "soil_lines", "status", "finding", "mix_lines", rank=35),)
