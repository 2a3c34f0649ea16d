"""Views of the money: full cost, spot against broadcast, machine, orders."""

from __future__ import annotations

from workbook_builder.export.view import PlainRow, View, plain_rows
from workbook_builder.plan import Plan

_LAYERS = (
    "products", "carrier", "fuel", "hired_labor", "charge", "fee", "cash_cost", "own_labor", "depreciation", "interest", "insurance",
    "repairs", "full_cost", "cash_per_area", "full_per_area",
)


def full_costs(plan: Plan) -> list[PlainRow]:
    """Both layers of cost of every pass."""
    return plain_rows(plan, "full_costs", ("field", "pass", "hours", *_LAYERS, "counted"), "full_cost")


def full_fields(plan: Plan) -> list[PlainRow]:
    """Both layers of cost of every field."""
    return plain_rows(plan, "full_fields", ("field", "crop", "area", *_LAYERS), "field")


def work_rates(plan: Plan) -> list[PlainRow]:
    """Work rate of every pass with refills counted."""
    keys = ("field", "pass", "theoretical_rate", "area_per_load", "field_hours", "refill_hours", "hours", "rate", "efficiency", "counted")
    return plain_rows(plan, "work_rates", keys, "hours")


def sprayer_costs(plan: Plan) -> list[PlainRow]:
    """What every sprayer costs to own, to run and against hiring."""
    keys = (
        "sprayer", "year_area", "depreciation", "interest", "insurance", "repairs", "owning", "running_hour", "running_area", "own_area",
        "hire_area", "hire_even_area", "advice",
    )
    return plain_rows(plan, "sprayer_costs", keys, "sprayer")


def spot_against_broadcast(plan: Plan) -> list[PlainRow]:
    """Every spot pass against broadcasting the same mix."""
    keys = (
        "field", "pass", "area", "share", "product_saved", "water_saved", "carrier_saved", "refills_saved", "hours_saved", "time_saved", "fee",
        "escapes", "again", "net", "net_per_area", "break_even_share", "broadcast_cost", "spot_cost", "net_p10", "net_p50", "net_p90",
        "chance", "status", "finding",
    )
    return plain_rows(plan, "spot_against_broadcast", keys, "pass")


def spot_season(plan: Plan) -> list[PlainRow]:
    """All spot passes together, one row."""
    return plain_rows(plan, "spot_season", tuple(plan.tables["spot_season"][0]), "passes")


def machine_payback(plan: Plan) -> list[PlainRow]:
    """Whether each dearer machine pays."""
    keys = (
        "sprayer", "area_per_year", "saving_per_area", "annual_cost", "annual_net", "break_even_area", "payback_years",
        "discounted_payback_years", "npv", "npv_after_a_year", "irr", "no_rate", "verdict",
    )
    return plain_rows(plan, "machine_payback", keys, "sprayer")


def machine_ranked(plan: Plan) -> list[PlainRow]:
    """Swings of each machine's figures, largest first."""
    return plain_rows(plan, "machine_ranked", ("place", "sprayer", "figure", "low", "high", "size", "turns"), "figure")


def order_list(plan: Plan) -> list[PlainRow]:
    """What to order of every product."""
    keys = (
        "product", "supplier", "drop_date", "first_use", "delivery_days", "order_by", "unit", "expected", "wanted", "on_hand", "missing", "packages",
        "cost", "leftover", "leftover_value", "status", "finding",
    )
    return plain_rows(plan, "order_list", keys, "product")


def pick_list(plan: Plan) -> list[PlainRow]:
    """What to take along for each pass."""
    return plain_rows(plan, "pick_list", ("pass", "field", "date", "product", "amount", "unit", "packages", "rest"), "product")


VIEWS: dict[str, View] = {
    "work_rates": work_rates,
    "sprayer_costs": sprayer_costs,
    "full_costs": full_costs,
    "full_fields": full_fields,
    "spot_against_broadcast": spot_against_broadcast,
    "spot_season": spot_season,
    "machine_payback": machine_payback,
    "machine_ranked": machine_ranked,
    "order_list": order_list,
    "pick_list": pick_list,
}
