"""Full cost in two layers: cash, and cash with ownership and own labor."""

from __future__ import annotations

from collections.abc import Callable

from workbook_builder.core.adding import total
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import result, working
from workbook_builder.features.cost.definitions import per_area
from workbook_builder.features.full_cost.definitions import by_the_hour, charge

#: Key, header and column of the sprayer's cost per hour of the parts that go by the hour.
HOURLY = (
    ("fuel", "Fuel, oil and grease", "fuel_hour"),
    ("depreciation", "Depreciation", "depreciation_hour"),
    ("interest", "Interest", "interest_hour"),
    ("insurance", "Insurance and housing", "insurance_hour"),
    ("repairs", "Repairs", "repairs_hour"),
)
CASH_PARTS = ("products", "carrier", "fuel", "hired_labor", "charge", "fee")
OWN_PARTS = ("own_labor", "depreciation", "interest", "insurance", "repairs")
PARTS = CASH_PARTS + OWN_PARTS
HEADERS = {
    "products": "Products", "carrier": "Carrier and hauling", "hired_labor": "Hired labor",
    "charge": "Charges and custom rate",
    "fee": "Spot fees", "own_labor": "Own labor", **{key: header for key, header, _ in HOURLY},
}


def _plus(keys: tuple[str, ...]) -> str:
    return "+".join("{%s}" % key for key in keys)


def _layer(key: str, header: str, parts: tuple[str, ...], needs: str = "") -> Column:
    return result(key, header, _plus(parts), "money", needs=needs, twin=lambda *parts: total(parts),
                  takes=" ".join(parts))


def _layers_by_area(headers: tuple[str, str], area: str, needs: str) -> tuple[Column, ...]:
    return tuple(
        result(f"{layer}_per_area", header, f'IF(SUM({{{area}}})=0,"",{{{layer}_cost}}/{{{area}}})',
               "money_per_area", needs=needs, twin=per_area, takes=f"{layer}_cost {area}")
        for layer, header in zip(("cash", "full"), headers, strict=True)
    )


def _of_hour(source: str) -> str:
    return "sprayer_costs.%s@pass_volumes.sprayer_row" % source


def _labor(key: str, share: str, hired: Callable[[float], float]) -> Column:
    return result(key, HEADERS[key], 'IF({known}=0,"",SUM({%s})*SUM({hours})*%s)'
                  % (_of_hour("labor_hour"), share), "money",
                  twin=lambda known, rate, hours, share: by_the_hour(known, rate, hours, hired(share or 0)),
                  takes=f"known {_of_hour('labor_hour')} hours farm.hired_share")


_HOURLY = {
    key: result(key, header, 'IF({known}=0,"",SUM({%s})*SUM({hours}))' % _of_hour(source), "money",
                twin=by_the_hour, takes=f"known {_of_hour(source)} hours")
    for key, header, source in HOURLY
}

FULL_COSTS = Table(
    "full_costs",
    "Full cost by pass",
    "Every pass in two layers: cash out of the pocket, and the full cost with ownership and your own time.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        working("known", "Can be counted",
                'IF(OR({cost_passes.product_cost}="",{pass_volumes.area}="",'
                '{pass_volumes.sprayer_row}=""),0,1)', "count"),
        result("hours", "Hours", "{trips.hours}", "hours", note="Paid for this pass: one trip is paid once."),
        result("products", HEADERS["products"], 'IF({known}=0,"",{cost_passes.product_cost})', "money",
               note="Pesticides, adjuvants and fertilizers."),
        result("carrier", HEADERS["carrier"], 'IF({known}=0,"",{cost_passes.carrier_cost})', "money"),
        _HOURLY["fuel"],
        _labor("hired_labor", "SUM({farm.hired_share})", lambda hired: hired),
        result("charge", HEADERS["charge"],
               'IF({known}=0,"",SUM({sprayers.cost_per_area@pass_volumes.sprayer_row})*{trips.area}'
               "+SUM({sprayer_costs.charge_hour@pass_volumes.sprayer_row})*SUM({hours}))", "money",
               twin=charge, takes="known sprayers.cost_per_area@pass_volumes.sprayer_row trips.area "
                                  "sprayer_costs.charge_hour@pass_volumes.sprayer_row hours",
               note="Charge per area, and the cost per hour where a sprayer is not counted in parts."),
        result("fee", HEADERS["fee"], 'IF({known}=0,"",{cost_passes.fee})', "money"),
        _layer("cash_cost", "Cash cost", CASH_PARTS, "products"),
        _labor("own_labor", "(1-SUM({farm.hired_share}))", lambda hired: 1 - hired),
        *(_HOURLY[key] for key in ("depreciation", "interest", "insurance", "repairs")),
        _layer("full_cost", "Full cost", ("cash_cost", *OWN_PARTS), "products"),
        *_layers_by_area(("Cash per field area", "Full per field area"), "pass_volumes.area", "products"),
        result("counted", "How counted",
               'IF({known}=0,"",IF({trips.together}=1,"in the trip of "&{passes.partner_pass},'
               'IF(SUM({sprayer_costs.in_parts@pass_volumes.sprayer_row})=0,"by the cost per hour typed",'
               'IF({hours}="","no work rate: hours missing",'
               'IF(SUM({sprayer_costs.owned@pass_volumes.sprayer_row})=0,"in parts, owning left out",'
               '"in parts")))))', "text"),
    ),
    rows="as:passes",
    kind="result",
)


def _sums(formula: str, needs: str = "") -> tuple[Column, ...]:
    """Return the columns of a summary; `formula` has one place for the key of the part."""
    parts = {key: result(key, HEADERS[key], formula % key, "money", needs=needs) for key in PARTS}
    cash, full = (_layer("cash_cost", "Cash cost", CASH_PARTS, needs),
                  _layer("full_cost", "Full cost", ("cash_cost", *OWN_PARTS), needs))
    own = (parts[key] for key in OWN_PARTS)
    return (*(parts[key] for key in CASH_PARTS), cash, *own, full,
            *_layers_by_area(("Cash per area", "Full per area"), "area", needs))


FULL_FARM = Table(
    "full_farm",
    "Full cost of the farm",
    "The season in two layers: cash, and cash with ownership and your own time.",
    (
        result("area", "Field area", "SUM({fields.area:all})", "area"),
        result("hours", "Hours of spraying", "SUM({full_costs.hours:all})", "hours", digits=1),
        *_sums("SUM({full_costs.%s:all})"),
    ),
    rows="form",
    kind="result",
    sheet="Full cost summary",
)

FULL_CROPS = Table(
    "full_crops",
    "Full cost by crop",
    "Both layers by crop.",
    (
        result("crop", "Crop", "{cost_crops.crop}", "name"),
        result("area", "Area", "{cost_crops.area}", "area"),
        *_sums("SUMIF({crop_rows.first:all},{cost_crops.row},{full_costs.%s:all})", "cost_crops.row"),
    ),
    rows="as:cost_crops",
    kind="result",
    sheet="Full cost summary",
)

FULL_PASS_NAMES = Table(
    "full_pass_names",
    "Full cost by pass name",
    "Both layers by pass name, over all its fields.",
    (
        result("pass", "Pass", "{cost_pass_names.pass}", "name"),
        result("area", "Field area", "{cost_pass_names.area}", "area"),
        *_sums("SUMIF({pass_rows.first:all},{cost_pass_names.row},{full_costs.%s:all})",
               "cost_pass_names.row"),
    ),
    rows="as:cost_pass_names",
    kind="result",
    sheet="Full cost summary",
)


#: What the chart stacks: columns of the field table and the parts they hold.
STACKED = (
    ("products_area", "Products per area", ("products",)),
    ("carrier_area", "Carrier per area", ("carrier",)),
    ("running_area", "Running per area", ("fuel", "hired_labor", "charge", "own_labor")),
    ("fee_area", "Fees per area", ("fee",)),
    ("owning_area", "Owning per area", ("depreciation", "interest", "insurance", "repairs")),
)

FULL_FIELDS = Table(
    "full_fields",
    "Full cost by field",
    "Both layers by field; the chart stacks them.",
    (
        result("field", "Field", "{cost_fields.field}", "name"),
        result("crop", "Crop", "{cost_fields.crop}", "name"),
        result("area", "Area", "{fields.area}", "area", needs="fields.area"),
        *_sums("SUMIF({pass_volumes.field_row:all},{cost_fields.row_no},{full_costs.%s:all})", "field"),
        *(result(key, header, "(%s)/{area}" % _plus(parts), "money_per_area", needs="full_per_area",
                 twin=lambda area, *parts: per_area(total(parts), area), takes=" ".join(("area", *parts)))
          for key, header, parts in STACKED),
    ),
    rows="as:fields",
    kind="result",
)

TABLES = (FULL_FARM, FULL_CROPS, FULL_PASS_NAMES, FULL_FIELDS, FULL_COSTS)
