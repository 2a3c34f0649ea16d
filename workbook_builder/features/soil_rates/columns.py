"""Label rates by texture, organic matter, pH and residue,
and the row that holds for each product of each pass.
"""

from __future__ import annotations

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import check, result, row_number, working
from workbook_builder.features.labels.columns import (
    first_of_crop,
    limit_column,
    match_columns,
    product_columns,
    row_keys,
    unit_columns,
)
from workbook_builder.features.labels.names import ANY, crop_columns
from workbook_builder.features.soil_rates.definitions import OPEN, UNKNOWN, range_from, range_to, soil_status

TEXTURES = ("coarse", "medium", "fine")
#: Figure of the soil -> column of the fields, with its header and its quantity in the label rows.
SOIL = (("organic_matter", "Organic matter", "percent", 100.0), ("soil_ph", "Soil pH", "ph", 14.0),
        ("residue", "Residue on the ground", "percent", 100.0))

SOIL_RATES = Table(
    "soil_rates",
    "Rates by soil",
    "What a label allows by soil: one row for each line of its table; a blank cell does not ask.",
    (
        Column("product", "Product", "name", required=True, choices="products.product",
               note="Choose from the products."),
        Column("crop", "Crop", "name", choices="crops.crop", suggest_only=True,
               note="As the field has it; blank for every crop."),
        Column("texture", "Texture", choices=TEXTURES,
               note="As the label groups textures; blank for every texture."),
        *(Column(f"{key}_{end}", f"{header}, {end}", quantity, minimum=0, maximum=most, digits=1,
                 note=f"{'Least' if end == 'from' else 'Greatest'} of the row, itself included.")
          for key, header, quantity, most in SOIL for end in ("from", "to")),
        Column("rate_low", "Rate from", "amount", minimum=0, maximum=100000,
               note="Least rate on this soil, in the unit of the row."),
        Column("rate_high", "Rate to", "amount", minimum=0, maximum=100000,
               note="Greatest rate on this soil, in the unit of the row."),
        Column("rate_unit", "Rate unit", "unit_label", required=True, choices="rate_units.rate_unit",
               note="A unit of the product per area."),
    ),
    caution="The label in your hand governs; these figures are typed in by people.",
)


def _texture(of: str, blank: str) -> str:
    """Formula of a texture as a number, so that a label row holds a range of it as of the other figures."""
    return ("".join(f'IF({{{of}}}="{name}",{rank},' for rank, name in enumerate(TEXTURES, 1)) + blank
            + ")" * len(TEXTURES))


SOIL_FACTS = Table(
    "soil_facts",
    "Soil rate workings",
    "Lookup key and ranges of each row, and its rates in base units of the product.",
    (
        row_number(),
        *product_columns("soil_rates"),
        *crop_columns("{soil_rates.crop}", blank=ANY),
        *row_keys("{product_no}"),
        working("order", "Place", '{row_no}+IF({soil_rates.texture}="",10000,0)', "count", needs="product_no",
                note="A row that names the texture comes before one of every texture."),
        *(working(f"texture_{end}", f"Texture {end}", _texture("soil_rates.texture", every), "number")
          for end, every in (("from", f"{UNKNOWN:g}"), ("to", f"{OPEN:.0f}"))),
        *(working(f"{key}_from", f"{header} from",
                  f'IF(AND({{soil_rates.{key}_from}}="",{{soil_rates.{key}_to}}=""),{UNKNOWN:g},'
                  f'IF({{soil_rates.{key}_from}}="",0,{{soil_rates.{key}_from}}))', "number",
                  twin=range_from, takes=f"soil_rates.{key}_from soil_rates.{key}_to")
          for key, header, *_ in SOIL),
        *(working(f"{key}_to", f"{header} to",
                  f'IF({{soil_rates.{key}_to}}="",{OPEN:.0f},{{soil_rates.{key}_to}})', "number",
                  twin=range_to, takes=f"soil_rates.{key}_to") for key, header, *_ in SOIL),
        *unit_columns("soil_rates"),
        limit_column("rate_low_base", "Rate from", "soil_rates.rate_low"),
        limit_column("rate_high_base", "Rate to", "soil_rates.rate_high"),
    ),
    rows="as:soil_rates",
    kind="working",
    sheet="Workings products",
)


_KEYS = ("texture", *(key for key, *_ in SOIL))
#: Places of the first rows whose ranges hold the soil of the field: of its crop, and of any.
_OWN, _EVERY = first_of_crop("soil_facts", "order",
                             "".join(f',{{soil_facts.{key}_from:all}},"<="&{{{key}}},'
                                     f'{{soil_facts.{key}_to:all}},">="&{{{key}}}' for key in _KEYS),
                             "{product_limits.product_no}")

SOIL_LINES = Table(
    "soil_lines",
    "Rates by soil, each pass",
    "Each product of each pass against the row of its label that holds for the soil of the field.",
    (
        working("rows", "Rows of the product",
                'IF({product_limits.product_no}="",0,COUNTIF({soil_facts.product_no:all},'
                '{product_limits.product_no}))', "count"),
        *match_columns("soil_facts", "{product_limits.product_no}", "pass_crops.crop"),
        working("here", "Of this crop, or of any", 'IF({found_row}="",0,1)', "count"),
        working("texture", "Texture",
                f'IF(OR({{rows}}=0,{{pass_volumes.field_row}}=""),{UNKNOWN:g},'
                f'{_texture("fields.texture@pass_volumes.field_row", f"{UNKNOWN:g}")})', "number"),
        *(working(key, header,
                  f'IF(OR({{rows}}=0,{{pass_volumes.field_row}}=""),{UNKNOWN:g},'
                  f'IF({{fields.{key}@pass_volumes.field_row}}="",{UNKNOWN:g},'
                  f'{{fields.{key}@pass_volumes.field_row}}))', "number")
          for key, header, *_ in SOIL),
        working("own", "Place of the row of the crop",
                f'IF(OR({{rows}}=0,{{pass_volumes.field_row}}=""),0,{_OWN})', "count"),
        working("found", "Row that holds",
                f'IF(OR({{rows}}=0,{{pass_volumes.field_row}}=""),0,'
                f'IFERROR(MATCH(IF({{own}}>0,{{own}},{_EVERY}),{{soil_facts.order:all}},0),0))', "count",
                note="One that names the crop, or nearly names it, before one of any."),
        working("unsure", "Row may not mean the crop", 'IF(AND({own}>0,{named_row}=""),1,0)', "count"),
        result("low", "Rate from",
               'IF({found}=0,"",IF({soil_rates.rate_low@found}="","",{soil_rates.rate_low@found}))',
               "amount", digits=3),
        result("high", "Rate to",
               'IF({found}=0,"",IF({soil_rates.rate_high@found}="","",{soil_rates.rate_high@found}))',
               "amount", digits=3),
        working("low_base", "Rate from, base units", 'IF({found}=0,"",{soil_facts.rate_low_base@found})',
                "factor"),
        working("high_base", "Rate to, base units", 'IF({found}=0,"",{soil_facts.rate_high_base@found})',
                "factor"),
        check("status", "Status",
              'IF({rows}=0,"",IF({here}=0,"Review",IF(OR({found}=0,{product_limits.landing}="",'
              'AND({low_base}="",{high_base}="")),"Not entered",'
              'IF(IF({high_base}="",1=0,ROUND({product_limits.landing}-{high_base},6)>0),"Not allowed",'
              'IF({unsure}=1,"Not entered",IF(IF({low_base}="",1=0,ROUND({product_limits.landing}-{low_base},'
              '6)<0),"Review","OK"))))))',
              twin=soil_status, takes="rows here found product_limits.landing low_base high_base unsure"),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",{product_limits.said}&": "&IF({here}=0,"its rates by soil '
              'name other crops only",IF({found}=0,"no row of its rates by soil fits this field: texture, '
              'organic matter, pH or residue not entered, or not on the label",'
              'IF({status}="Not entered",IF({unsure}=1,"the row of its rates by soil for '
              '"&{soil_rates.crop@found}&" may or may not mean "&{pass_crops.crop}&"; write one name in '
              'both","rate, or its rate by soil, not known"),"the rate is "&IF({status}="Review","under '
              '"&ROUND(ROUND({low},6),3),"over "&ROUND(ROUND({high},6),3))&" '
              '"&{soil_rates.rate_unit@found}&" for this soil"))))', "long_text"),
    ),
    rows="as:mix_lines",
    kind="result",
    caution="The label is the law: these checks only compare what was typed in.",
)

TABLES = (SOIL_RATES, SOIL_FACTS, SOIL_LINES)

CHECKS = (CheckKind("Rate by soil", "soil_lines", "status", "finding", "mix_lines", rank=35),)
