"""Workings of label figures: one row beside each typed row,
and the strictest figures of rows that may mean one crop.
"""

from __future__ import annotations

from operator import mul

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import part_of, place, working
from workbook_builder.features.labels.definitions import limit_basis
from workbook_builder.features.labels.names import ANY, active_columns, crop_columns, other_crops
from workbook_builder.features.products.definitions import phase_scale

SHEET = "Workings products"


def product_columns(table: str) -> tuple[Column, ...]:
    """Return the columns of the product a typed row speaks of."""
    return (
        place("product_row", "Product row", f"{table}.product", "products.product"),
        working("product_no", "Product number", "{product_facts.product_no@product_row}", needs="product_row",
                note="Two names of one registration are one product."),
    )


def row_keys(number: str) -> tuple[Column, ...]:
    """Return the columns by which rows of one product (or ingredient) and crop are told apart.

    Parameters
    ----------
    number : str
        Formula of the number of the product or ingredient: a token.
    """
    needs = number.strip("{}")
    return (
        working("key", "Key", number + '&"|"&{crop_name}', "text", needs=needs),
        working("family_key", "Key of crops it may be", number + '&"|"&{crop_family}', "text", needs=needs),
        *other_crops(),
        working("other_key", "Key of other crops it may be", number + '&":"&{crop_other}', "text",
                needs=f"{needs} crop_other"),
        working("key_no", "First row of the key", "MATCH({key},{key:all},0)", needs="key"),
        working("family_no", "First row of crops it may be", "MATCH({family_key},{family_key:all},0)",
                needs="key"),
        working("any_no", "First row of any crop",
                'IF({key}="",0,IFERROR(MATCH(' + number + f'&"|{ANY}",{{key:all}},0),0))'),
    )


def strictest(key: str, header: str, values: str, quantity: str, most: bool = False) -> tuple[Column, ...]:
    """Return the strictest figure of the rows of one crop,
    and of all rows that may mean the crop together with those of any.

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
    pick = "MAX" if most else "MIN"

    def of(rows: str, row: str) -> tuple[str, str]:
        chosen = f"{{{rows}:all}},{{{row}}}"
        return f'COUNTIFS({chosen},{{{values}:all}},">=0")=0', f"_xlfn.{pick}IFS({{{values}:all}},{chosen})"

    no_own, own = of("key_no", "key_no")
    no_family, family = of("family_no", "family_no")
    no_any, every = of("key_no", "any_no")
    near = f'IF({no_family},IF({no_any},"",{every}),IF({no_any},{family},{pick}({family},{every})))'
    return (
        working(f"own_{key}", f"{header}, crop named", f'IF({no_own},"",{own})', quantity, needs="key_no"),
        working(f"near_{key}", f"{header}, crop nearly named", near, quantity, needs="key_no"),
    )


def unit_columns(table: str) -> tuple[Column, ...]:
    """Return the columns that turn the rate unit of a typed row into base units of its product.

    Parameters
    ----------
    table : str
        Key of the typed table; its workings have the columns of :func:`product_columns`.
    """
    return (
        place("rate_row", "Rate unit row", f"{table}.rate_unit", "rate_units.rate_unit"),
        working("unit_phase", "Phase of the unit", '{rate_units.phase@rate_row}&""', "text", needs="rate_row",
                note="Blank where the unit counts the active ingredient: then nothing can be compared."),
        working("own_phase", "Phase of the product", "{product_facts.phase@product_no}", "text",
                needs="product_row"),
        working("dry_per_liquid", "Dry base units per liquid base unit",
                "{product_facts.dry_per_liquid@product_row}", "factor", needs="product_row"),
        working("scale", "Product base units per unit base",
                'IF({unit_phase}={own_phase},1,IF({dry_per_liquid}="","",IF({unit_phase}="liquid",'
                '{dry_per_liquid},1/{dry_per_liquid})))', "factor",
                needs="unit_phase own_phase", twin=phase_scale, takes="unit_phase own_phase dry_per_liquid"),
        working("unit_area", "Base units of one label unit, by area",
                "{scale}*{rate_units.per_area@rate_row}", "factor", needs="scale", twin=mul,
                takes="scale rate_units.per_area@rate_row"),
    )


def limit_column(key: str, header: str, typed: str, unit: str = "area") -> Column:
    """Declare a limit in base units of the product; blank where its unit counts otherwise."""
    return working(key, f"{header}, base units by {unit.replace('volume', 'spray volume')}",
                   f'IF({{unit_{unit}}}=0,"",{{{typed}}}*{{unit_{unit}}})', "factor",
                   needs=f"unit_{unit} {typed}",
                   twin=lambda limit, unit: limit * unit if unit else "", takes=f"{typed} unit_{unit}")


LABEL_FACTS = Table(
    "label_facts",
    "Label workings",
    "Lookup key of each label row, its limits in base units of the product, and the strictest figures for "
    "its crop.",
    (
        *product_columns("label_limits"),
        *crop_columns("{label_limits.crop}", blank=ANY),
        *row_keys("{product_no}"),
        *unit_columns("label_limits"),
        working("unit_volume", "Base units of one label unit, by spray volume",
                "{scale}*{rate_units.per_volume@rate_row}", "factor",
                needs="scale", twin=mul, takes="scale rate_units.per_volume@rate_row"),
        limit_column("rate_area", "Max rate", "label_limits.max_rate"),
        limit_column("rate_volume", "Max rate", "label_limits.max_rate", "volume"),
        limit_column("least_area", "Least rate", "label_limits.min_rate"),
        limit_column("least_volume", "Least rate", "label_limits.min_rate", "volume"),
        limit_column("season_area", "Max per season", "label_limits.max_rate_season"),
        working("ounces", "Ounces of a liquid",
                'IF(AND({rate_units.amount_unit@rate_row}="oz",{product_row}<>""),'
                'IF({product_facts.form@product_row}="liquid",1,0),0)', "count", needs="rate_row",
                note="Counted as weight, which fluid ounces are not."),
        working("forbidden", "Says not allowed", 'IF({label_limits.allowed}="no",1,0)', "count",
                needs="product_no"),
        *strictest("rate_area", "Max rate by area", "rate_area", "factor"),
        *strictest("rate_volume", "Max rate by spray volume", "rate_volume", "factor"),
        *strictest("season_area", "Max per season", "season_area", "factor"),
        *strictest("max_passes", "Max applications", "label_limits.max_passes", "count"),
        *strictest("retreat_days", "Retreatment interval", "label_limits.retreat_days", "days", most=True),
        *strictest("phi_days", "Preharvest interval", "label_limits.phi_days", "days", most=True),
        *strictest("grazing_days", "Grazing interval", "label_limits.grazing_days", "days", most=True),
        *strictest("least_area", "Least rate by area", "least_area", "factor", most=True),
        *strictest("least_volume", "Least rate by spray volume", "least_volume", "factor", most=True),
        *strictest("min_rate", "Least rate typed", "label_limits.min_rate", "amount", most=True),
        *strictest("min_carrier", "Least carrier", "label_limits.min_carrier", "carrier", most=True),
        *strictest("max_carrier", "Greatest carrier", "label_limits.max_carrier", "carrier"),
        *strictest("max_weed_height", "Weeds up to", "label_limits.max_weed_height", "spacing"),
        *strictest("max_group_passes", "Max applications of its group", "label_limits.max_group_passes",
                   "count"),
        *strictest("ounces", "Ounces of a liquid", "ounces", "count", most=True),
        *strictest("forbidden", "Says not allowed", "forbidden", "count", most=True),
    ),
    rows="as:label_limits",
    kind="working",
    sheet=SHEET,
)

INGREDIENT_LIMIT_FACTS = Table(
    "ingredient_limit_facts",
    "Ingredient limit workings",
    "Lookup key of each ingredient limit, and the limits in the plan's mass per area on one basis.",
    (
        *active_columns("{ingredient_limits.active_ingredient}",
                        "IFERROR(MATCH({active_plain},{ingredient_facts.active_parent:all},0),0)>0"),
        working("active_no", "Ingredient number",
                'IFERROR(MATCH({active_parent},{ingredient_facts.active_parent:all},0),"")',
                needs="active_plain"),
        *crop_columns("{ingredient_limits.crop}", blank=ANY),
        *row_keys("{active_no}"),
        place("unit_row", "Unit row", "ingredient_limits.unit", "limit_units.unit"),
        working("counts", "Counted as", '{limit_units.counts@unit_row}&""', "text", needs="unit_row"),
        working("basis", "Compared on",
                'IF(OR({counts}="ae",{active_ratio}=1),1,IF({counts}="ai",IF({active_ratio}="",2,1),'
                'IF({active_found}="",2,"")))', "count", needs="unit_row active_no",
                twin=part_of(limit_basis, 0), takes="counts active_ratio active_found",
                note="1: acid equivalent, 2: active ingredient; blank where the unit of a salt, ester or "
                     "acid says neither."),
        working("to_basis", "Basis units in a unit", 'IF(AND({basis}=1,{counts}="ai"),{active_ratio},1)',
                "factor", needs="basis", digits=4,
                twin=part_of(limit_basis, 1), takes="counts active_ratio active_found"),
        *(
            working(key, header, f"{{{typed}}}*{{limit_units.factor@unit_row}}*{{to_basis}}", "mass_per_area",
                    needs=f"basis {typed}",
                    twin=lambda limit, factor, to_basis: limit * factor * to_basis,
                    takes=f"{typed} limit_units.factor@unit_row to_basis")
            for key, header, typed in (
                ("pass_limit", "Max per application", "ingredient_limits.max_pass"),
                ("season_limit", "Max per season", "ingredient_limits.max_season"),
            )
        ),
        *strictest("pass_limit", "Max per application", "pass_limit", "mass_per_area"),
        *strictest("season_limit", "Max per season", "season_limit", "mass_per_area"),
        *strictest("least_basis", "Least basis", "basis", "count"),
        *strictest("most_basis", "Most basis", "basis", "count", most=True),
    ),
    rows="as:ingredient_limits",
    kind="working",
    sheet=SHEET,
)

PLANT_BACK_FACTS = Table(
    "plant_back_facts",
    "Plant-back workings",
    "Lookup key of each plant-back row, and the longest intervals for its crop.",
    (
        *product_columns("plant_back"),
        *crop_columns("{plant_back.next_crop}", blank=ANY),
        *row_keys("{product_no}"),
        working("days", "Days", 'IF({plant_back.interval_unit}="days",{plant_back.interval},"")', "days",
                needs="plant_back.interval"),
        working("months", "Months", 'IF({plant_back.interval_unit}="months",{plant_back.interval},"")',
                "count", needs="plant_back.interval"),
        *strictest("days", "Days", "days", "days", most=True),
        *strictest("months", "Months", "months", "count", most=True),
    ),
    rows="as:plant_back",
    kind="working",
    sheet=SHEET,
)


def match_columns(facts: str, number: str, crop: str, prefix: str = "",
                  header: str = "") -> tuple[Column, ...]:
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
    nameless = f'{number}="",{name}="",{name}="{ANY}"'
    of_group = (f'IF({group}="","",IFERROR(MATCH({number}&"|"&{group},{families},0),'
                f'IFERROR(MATCH({number}&":*|"&{group}&"|*",{others},0),"")))')
    widest = f'IF({wider}="","",IFERROR(MATCH({number}&"|"&{wider},{keys},0),""))'
    return (
        working(f"{prefix}named_row", f"{header}Row that names the crop",
                f'IF(OR({nameless}),"",IFERROR(MATCH({number}&"|"&{name},{keys},0),{widest}))'),
        working(f"{prefix}near_row", f"{header}Row that nearly names it",
                f'IF(OR({nameless},{named}<>""),"",IFERROR(MATCH({number}&"|"&{family},{families},0),'
                f'IFERROR(MATCH({number}&":*|"&{family}&"|*",{others},0),{of_group})))'),
        working(f"{prefix}found_row", f"{header}Row used",
                f'IF({named}<>"",{named},IF({near}<>"",{near},IF(OR({nameless}),"",'
                f'IFERROR(MATCH({number}&"|{ANY}",{keys},0),""))))'),
    )


def first_of_crop(facts: str, place: str, conditions: str, number: str, prefix: str = "") -> tuple[str, str]:
    """Return the formulas of the first row that meets conditions:
    of those for the crop that :func:`match_columns` found, and of those of any; 0 for none.

    Parameters
    ----------
    facts, place : str
        Table of workings with the columns of :func:`row_keys`, and its column whose least figure comes first.
    conditions : str
        Further ranges and criteria, each after a comma.
    number : str
        Formula of the number of the product.
    prefix : str
        Start of the keys of the rows found.
    """
    def of(rows: str, row: str) -> str:
        return f"IFERROR(_xlfn.MINIFS({{{facts}.{place}:all}},{{{facts}.{rows}:all}},{row}{conditions}),0)"

    named, near = f"{prefix}named_row", f"{prefix}near_row"
    own = (f'IF({{{named}}}<>"",{of("key_no", f"{{{facts}.key_no@{named}}}")},IF({{{near}}}<>"",'
           f'{of("family_no", f"{{{facts}.family_no@{near}}}")},0))')
    return own, of("key", f'{number}&"|{ANY}"')


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
    return (f'IF({found}="","",IF({near}="",{{{facts}.own_{key}@{prefix}found_row}},'
            f'{{{facts}.near_{key}@{prefix}near_row}}))')



TABLES = (LABEL_FACTS, INGREDIENT_LIMIT_FACTS, PLANT_BACK_FACTS)
