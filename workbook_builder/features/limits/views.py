"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, plain, table_view


def limit_checks(plan: Planned) -> list[PlainRow]:
    """Limits by product and by active ingredient, per pass and per season."""
    found = []
    unit = plan.tables["factors"][0]["mass_unit"]
    for row in plan.tables["product_limits"]:
        for basis, amount, limit, status in (
            ("pass", "rate", "max_rate", "rate_status"),
            ("season", "season_amount", "max_season", "season_status"),
            ("passes", "passes", "max_passes", "repeat_status"),
        ):
            if row[status] != "":
                found.append(_limit(row, basis, row["name"], None, row[amount], row[limit],
                                    row["unit"], row[status]))
    for row in plan.tables["pass_ingredients"]:
        for basis, amount, limit, status in (
            ("pass", "amount", "pass_limit", "pass_status"),
            ("season", "season_amount", "season_limit", "season_status"),
        ):
            if row[status] != "":
                found.append(_limit(row, basis, None, row["name"], row[amount], row[limit],
                                    unit, row[status]))
    return found


def _limit(row: PlainRow, basis: str, product: object, active: object, amount: object, limit: object,
           unit: object, status: object) -> PlainRow:
    return {
        "pass": row["pass"], "field": row["field"], "basis": basis, "product": product,
        "active_ingredient": active,
        "amount": plain(amount, "number"), "limit": plain(limit, "number"), "unit": plain(unit, "number"),
        "counts": plain(row.get("counts", ""), "number"), "status": status,
    }


VIEWS = (
    table_view(
        "crop_on_label", "Whether the label of each product of each pass names the crop of the pass.",
        "pass field product=name crop status=crop_status finding=crop_finding",
        "crop_status", table="product_limits",
    ),
    View("limit_checks", "Limits by product and by active ingredient, per pass and per season.",
         limit_checks),
)
