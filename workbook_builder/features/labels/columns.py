"""Workings of label figures: one row beside each typed row, and the strictest figures of rows that may mean one crop."""

from __future__ import annotations

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import working
from workbook_builder.features.labels.names import ANY, active_columns, crop_columns, other_crops

SHEET = "Workings products"


def row_keys(number: str) -> tuple[Column, ...]:
    """Return the columns by which rows of one product (or ingredient) and crop are told apart.

    Parameters
    ----------
    number : str
        Formula of the number of the product or ingredient.
    """
    return (
        working("key", "Key", f'IF({number}="","",{number}&"|"&{{crop_name}})', "text"),
        working("family_key", "Key of crops it may be", f'IF({number}="","",{number}&"|"&{{crop_family}})', "text"),
        *other_crops(),
        working("other_key", "Key of other crops it may be", f'IF(OR({number}="",{{crop_other}}=""),"",{number}&":"&{{crop_other}})', "text"),
        working("key_no", "First row of the key", 'IF({key}="","",MATCH({key},{key:all},0))'),
        working("family_no", "First row of crops it may be", 'IF({key}="","",MATCH({family_key},{family_key:all},0))'),
        working("any_no", "First row of any crop", f'IF({{key}}="",0,IFERROR(MATCH({number}&"|{ANY}",{{key:all}},0),0))'),
    )


def strictest(key: str, header: str, values: str, quantity: str, most: bool = False) -> tuple[Column, ...]:
    """Return the strictest figure of the rows of one crop, and of all rows that may mean the crop together with those of any.

    Parameters
    ----------
    key, header : str
        The columns are called ``own_`` and ``near_`` before the key.
    values : str
        Column the figures stand in.
    quantity : str
        Kind of quantity.
    most : bool
        Whether the largest figure is the strictest.
    """
    pick, worst, idle = ("_xlfn.MAXIFS", "MAX", "-1") if most else ("_xlfn.MINIFS", "MIN", "1E+99")

    def of(rows: str, row: str) -> tuple[str, str]:
        count = f'COUNTIFS({{{rows}:all}},{{{row}}},{{{values}:all}},">=0")'
        return count, f"{pick}({{{values}:all}},{{{rows}:all}},{{{row}}})"

    (own, own_pick), (family, family_pick), (every, every_pick) = of("key_no", "key_no"), of("family_no", "family_no"), of("key_no", "any_no")
    both = f"{worst}(IF({family}=0,{idle},{family_pick}),IF({every}=0,{idle},{every_pick}))"
    return (
        working(f"own_{key}", f"{header}, crop named", f'IF({{key_no}}="","",IF({own}=0,"",{own_pick}))', quantity),
        working(f"near_{key}", f"{header}, crop nearly named", f'IF({{key_no}}="","",IF({family}+{every}=0,"",{both}))', quantity),
    )




def product_columns(table: str) -> tuple[Column, ...]:
    """Return the columns of the product a typed row speaks of."""
    return (
        working("product_row", "Product row", 'IF({%s.product}="","",IFERROR(MATCH({%s.product},{products.product:all},0),""))' % (table, table)),
        working("product_no", "Product number", 'IF({product_row}="","",INDEX({product_facts.product_no:all},{product_row}))',
                note="Two names of one registration are one product."),
    )


def _rate(limit: str, unit: str) -> str:
    """Formula of a limit in base units of the product; blank where its unit counts otherwise."""
    return 'IF(OR({%s}="",{label_limits.%s}=""),"",IF({%s}=0,"",{label_limits.%s}*{%s}))' % (unit, limit, unit, limit, unit)


LABEL_FACTS = Table(
    "label_facts",
    "Label workings",
    "Lookup key of each label row, its limits in base units of the product, and the strictest figures for its crop.",
    (
        *product_columns("label_limits"),
        *crop_columns("{label_limits.crop}", blank=ANY),
        *row_keys("{product_no}"),
        working("rate_row", "Rate unit row", 'IF({label_limits.rate_unit}="","",IFERROR(MATCH({label_limits.rate_unit},{rate_units.rate_unit:all},0),""))'),
        working("unit_phase", "Phase of the unit", 'IF({rate_row}="","",INDEX({rate_units.phase:all},{rate_row}))', "text"),
        working("own_phase", "Phase of the product", 'IF({product_row}="","",INDEX({product_facts.phase:all},{product_no}))', "text"),
        working("dry_per_liquid", "Dry base units per liquid base unit",
                'IF({product_row}="","",INDEX({product_facts.dry_per_liquid:all},{product_row}))', "factor"),
        working("scale", "Product base units per unit base",
                'IF(OR({unit_phase}="",{own_phase}=""),"",IF({unit_phase}={own_phase},1,IF({dry_per_liquid}="","",'
                'IF({own_phase}="dry",{dry_per_liquid},1/{dry_per_liquid}))))', "factor"),
        working("unit_area", "Base units of one label unit, by area", 'IF({scale}="","",{scale}*INDEX({rate_units.per_area:all},{rate_row}))', "factor"),
        working("unit_volume", "Base units of one label unit, by spray volume",
                'IF({scale}="","",{scale}*INDEX({rate_units.per_volume:all},{rate_row}))', "factor"),
        working("rate_area", "Max rate, base units by area", _rate("max_rate", "unit_area"), "factor"),
        working("rate_volume", "Max rate, base units by spray volume", _rate("max_rate", "unit_volume"), "factor"),
        working("season_area", "Max per season, base units by area", _rate("max_rate_season", "unit_area"), "factor"),
        working("ounces", "Ounces of a liquid", 'IF({rate_row}="","",IF(AND(INDEX({rate_units.amount_unit:all},{rate_row})="oz",{product_row}<>""),IF(INDEX({product_facts.form:all},{product_row})="liquid",1,0),0))', "count",
                note="Counted as weight, which fluid ounces are not."),
        working("forbidden", "Says not allowed", 'IF({product_no}="","",IF({label_limits.allowed}="no",1,0))', "count"),
        *strictest("rate_area", "Max rate by area", "rate_area", "factor"),
        *strictest("rate_volume", "Max rate by spray volume", "rate_volume", "factor"),
        *strictest("season_area", "Max per season", "season_area", "factor"),
        *strictest("max_passes", "Max applications", "label_limits.max_passes", "count"),
        *strictest("retreat_days", "Retreatment interval", "label_limits.retreat_days", "days", most=True),
        *strictest("phi_days", "Preharvest interval", "label_limits.phi_days", "days", most=True),
        *strictest("grazing_days", "Grazing interval", "label_limits.grazing_days", "days", most=True),
        *strictest("ounces", "Ounces of a liquid", "ounces", "count", most=True),
        *strictest("forbidden", "Says not allowed", "forbidden", "count", most=True),
    ),
    rows="as:label_limits",
    kind="working",
    sheet=SHEET,
)

#: What an ingredient limit is compared on: acid equivalent, or active ingredient where the acid is not known.
ON_ACID, ON_ACTIVE = 1, 2

INGREDIENT_LIMIT_FACTS = Table(
    "ingredient_limit_facts",
    "Ingredient limit workings",
    "Lookup key of each ingredient limit, and the limits in the plan's mass per area on one basis.",
    (
        *active_columns("{ingredient_limits.active_ingredient}", 'IFERROR(MATCH({active_plain},{ingredient_facts.active_parent:all},0),0)>0'),
        working("active_no", "Ingredient number", 'IF({active_plain}="","",IFERROR(MATCH({active_parent},{ingredient_facts.active_parent:all},0),""))'),
        *crop_columns("{ingredient_limits.crop}", blank=ANY),
        *row_keys("{active_no}"),
        working("unit_row", "Unit row", 'IF({ingredient_limits.unit}="","",IFERROR(MATCH({ingredient_limits.unit},{limit_units.unit:all},0),""))'),
        working("counts", "Counted as", 'IF({unit_row}="","",INDEX({limit_units.counts:all},{unit_row})&"")', "text"),
        working("basis", "Compared on",
                'IF(OR({unit_row}="",{active_no}=""),"",IF(OR({counts}="ae",{active_ratio}=1),1,IF({counts}="ai",IF({active_ratio}="",2,1),IF({active_found}="",2,""))))', "count",
                note="1: acid equivalent, 2: active ingredient; blank where the unit of a salt, ester or acid says neither."),
        working("to_basis", "Basis units in a unit", 'IF({basis}="","",IF(AND({basis}=1,{counts}="ai"),{active_ratio},1))', "factor", digits=4),
        working("pass_limit", "Max per application",
                'IF(OR({basis}="",{ingredient_limits.max_pass}=""),"",{ingredient_limits.max_pass}*INDEX({limit_units.factor:all},{unit_row})*{to_basis})', "mass_per_area"),
        working("season_limit", "Max per season",
                'IF(OR({basis}="",{ingredient_limits.max_season}=""),"",{ingredient_limits.max_season}*INDEX({limit_units.factor:all},{unit_row})*{to_basis})', "mass_per_area"),
        *strictest("pass_limit", "Max per application", "pass_limit", "mass_per_area"),
        *strictest("season_limit", "Max per season", "season_limit", "mass_per_area"),
        *strictest("least_basis", "Least basis", "basis", "count"),
        *strictest("most_basis", "Most basis", "basis", "count", most=True),
    ),
    rows="as:ingredient_limits",
    kind="working",
    sheet=SHEET,
)


def _interval(unit: str) -> str:
    return 'IF(OR({plant_back.interval}="",{plant_back.interval_unit}<>"%s"),"",{plant_back.interval})' % unit


PLANT_BACK_FACTS = Table(
    "plant_back_facts",
    "Plant-back workings",
    "Lookup key of each plant-back row, and the longest intervals for its crop.",
    (
        *product_columns("plant_back"),
        *crop_columns("{plant_back.next_crop}", blank=ANY),
        *row_keys("{product_no}"),
        working("days", "Days", _interval("days"), "days"),
        working("months", "Months", _interval("months"), "count"),
        *strictest("days", "Days", "days", "days", most=True),
        *strictest("months", "Months", "months", "count", most=True),
    ),
    rows="as:plant_back",
    kind="working",
    sheet=SHEET,
)


def match_columns(facts: str, number: str, crop: str, prefix: str = "", header: str = "") -> tuple[Column, ...]:
    """Return the columns that find the row of a product (or ingredient) for a crop.

    Parameters
    ----------
    facts : str
        Key of the table of workings.
    number : str
        Formula of the number of the product or ingredient, blank where there is nothing to find.
    crop : str
        Table and start of the keys of the crop's columns, as ``pass_crops.crop``.
    prefix, header : str
        Start of the keys and headers, where a table looks for more than one crop.
    """
    named, near = f"{{{prefix}named_row}}", f"{{{prefix}near_row}}"
    name, wider, family, group = (f"{{{crop}_{key}}}" for key in ("name", "wider", "family", "group"))
    keys, families, others = (f"{{{facts}.{key}:all}}" for key in ("key", "family_key", "other_key"))
    of_group = f'IF({group}="","",IFERROR(MATCH({number}&"|"&{group},{families},0),IFERROR(MATCH({number}&":*|"&{group}&"|*",{others},0),"")))'
    widest = f'IF({wider}="","",IFERROR(MATCH({number}&"|"&{wider},{keys},0),""))'
    return (
        working(f"{prefix}named_row", f"{header}Row that names the crop", f'IF(OR({number}="",{name}="",{name}="{ANY}"),"",IFERROR(MATCH({number}&"|"&{name},{keys},0),{widest}))'),
        working(f"{prefix}near_row", f"{header}Row that nearly names it", f'IF(OR({number}="",{name}="",{name}="{ANY}",{named}<>""),"",IFERROR(MATCH({number}&"|"&{family},{families},0),IFERROR(MATCH({number}&":*|"&{family}&"|*",{others},0),{of_group})))'),
        working(f"{prefix}found_row", f"{header}Row used",
                f'IF({named}<>"",{named},IF({near}<>"",{near},IF(OR({number}="",{name}="",{name}="{ANY}"),"",IFERROR(MATCH({number}&"|{ANY}",{keys},0),""))))'),
    )


def strictest_of(facts: str, key: str, prefix: str = "") -> str:
    """Return the formula of the strictest figure for the crop that :func:`match_columns` found a row for.

    Parameters
    ----------
    facts, key : str
        Table of workings and figure.
    prefix : str
        Start of the keys of the rows found, a table's with its dot.
    """
    found, near = f"{{{prefix}found_row}}", f"{{{prefix}near_row}}"
    return f'IF({found}="","",IF({near}="",INDEX({{{facts}.own_{key}:all}},{found}),INDEX({{{facts}.near_{key}:all}},{near})))'


LABEL_WORKINGS = (LABEL_FACTS, INGREDIENT_LIMIT_FACTS, PLANT_BACK_FACTS)
