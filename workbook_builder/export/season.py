"""Views of the season's plan: amounts, order, modes, limits, intervals and costs."""

from __future__ import annotations

from workbook_builder.core.columns import OPEN_STATUSES, WORKING
from workbook_builder.export.view import PlainRow, View, plain_rows
from workbook_builder.features.cost.columns import COST_FARM
from workbook_builder.plan import Plan


def mix_lines(plan: Plan) -> list[PlainRow]:
    """Product amounts with the volumes and water they belong to: what is added in the first load, a later full load and the last one."""
    slots = plan.room.slots["products"]
    keys = (
        "pass", "field", "product", "amount_per_area", "amount_first_load", "amount_full_load", "amount_last_load", "amount_even_load",
        "amount_total", "amount_unit", "cost",
    )
    found = []
    for number, line in enumerate(plan.tables["mix_lines"]):
        if line["product"] == "":
            continue
        typed, volume = plan.tables["passes"][number // slots], plan.tables["pass_volumes"][number // slots]
        row = {key: _number(line[key]) for key in keys[:3]}
        row["method"] = typed["method"]
        for key in ("sprayed_area", "volume", "full_loads", "first_load_volume", "last_load_volume", "loads", "mixed_volume"):
            row[key] = _number(volume[key])
        for key in ("water_first_load", "water_full_load", "water_last_load", "water_total"):
            row[key] = _number(plan.tables["pass_water"][number // slots][key])
        row.update({key: _number(line[key]) for key in keys[3:]})
        found.append(row)
    return found


def _number(value: object) -> object:
    return None if value == "" else value


def mode_use(plan: Plan) -> list[PlainRow]:
    """Uses of each group on each field, one row a season."""
    season = plan.tables["farm"][0]["season"]
    found = []
    for row in plan.tables["mode_rotation"]:
        for back, key in ((3, "back_3"), (2, "back_2"), (1, "back_1"), (0, "planned")):
            if row["mode_group"] != "" and row[key]:
                found.append({"field": row["field"], "season": season - back, "mode_group": row["mode_group"], "uses": row[key]})
    return found


def limit_checks(plan: Plan) -> list[PlainRow]:
    """Limits by product and by active ingredient, per pass and per season."""
    found = []
    unit = plan.tables["factors"][0]["mass_unit"]
    for row in plan.tables["product_limits"]:
        for basis, amount, limit, status in (
            ("pass", "rate", "max_rate", "rate_status"), ("season", "season_amount", "max_season", "season_status"),
            ("passes", "passes", "max_passes", "repeat_status"),
        ):
            if row[status] != "":
                found.append(_limit(row, basis, row["name"], None, row[amount], row[limit], row["unit"], row[status]))
    for row in plan.tables["pass_ingredients"]:
        for basis, amount, limit, status in (
            ("pass", "amount", "pass_limit", "pass_status"), ("season", "season_amount", "season_limit", "season_status"),
        ):
            if row[status] != "":
                found.append(_limit(row, basis, None, row["name"], row[amount], row[limit], unit, row[status]))
    return found


def _limit(row: PlainRow, basis: str, product: object, active: object, amount: object, limit: object, unit: object, status: object) -> PlainRow:
    return {
        "pass": row["pass"], "field": row["field"], "basis": basis, "product": product, "active_ingredient": active,
        "amount": _number(amount), "limit": _number(limit), "unit": _number(unit), "counts": _number(row.get("counts", "")), "status": status,
    }


def mode_checks(plan: Plan) -> list[PlainRow]:
    """Groups in each pass and what is flagged about them."""
    return plain_rows(plan, "mode_checks", ("field", "pass", "groups", "modes_in_pass", "status", "finding"), "status")


def adding_order(plan: Plan) -> list[PlainRow]:
    """Order of adding of every mix."""
    return plain_rows(plan, "adding_order", ("mix", "step", "product", "adding_step", "why", "pause", "guides_differ"), "step")


def intervals(plan: Plan) -> list[PlainRow]:
    """Re-entry, harvest, grazing and rain-free times of every pass."""
    keys = (
        "field", "pass", "end", "rei_hours", "reentry_at", "because_of_pass", "posting", "earliest_harvest", "harvest_margin_days",
        "earliest_grazing", "rain_free_until", "status",
    )
    return plain_rows(plan, "intervals", keys, "pass")


def field_intervals(plan: Plan) -> list[PlainRow]:
    """When people are back in each field and when its crop may be cut, and because of which pass."""
    keys = ("field", "back_in_from", "because_of_pass", "earliest_harvest", "harvest_because_of_pass", "status")
    return plain_rows(plan, "field_intervals", keys, "field")


def crop_on_label(plan: Plan) -> list[PlainRow]:
    """Whether the label of each product of each pass names the crop of the pass."""
    keys = {"pass": "pass", "field": "field", "product": "name", "crop": "crop", "status": "crop_status", "finding": "crop_finding"}
    return plain_rows(plan, "product_limits", keys, "crop_status")


def plant_back_checks(plan: Plan) -> list[PlainRow]:
    """Plant-back of every spray against every crop planted after it: this season's passes, then sprays of earlier seasons (without a pass)."""
    keys = (
        "product", "next_crop", "planting_date", "interval", "interval_unit", "earliest_planting", "margin_days", "status", "finding",
    )
    of_passes = [row for table in ("planting_checks", "plant_back_checks") for row in plain_rows(plan, table, ("field", "pass", *keys), "status")]
    earlier = [{"field": row["field"], "pass": None, **row} for row in plain_rows(plan, "earlier_checks", ("field", *keys), "status")]
    return [*of_passes, *earlier]


def cost_passes(plan: Plan) -> list[PlainRow]:
    """Cost of every pass."""
    keys = (
        "field", "pass", "herbicide_cost", "adjuvant_cost", "product_cost", "carrier_cost", "application_cost", "fee", "total_cost",
        "cost_per_field_area", "cost_per_sprayed_area",
    )
    return plain_rows(plan, "cost_passes", keys, "total_cost")


def cost_farm(plan: Plan) -> list[PlainRow]:
    """Farm totals, one row; the cost per field area holds everything and stands under its earlier name too."""
    keys = tuple(column.key for column in COST_FARM.columns if column.role != WORKING)
    return [{**row, "cost_per_area": row["cost_per_field_area"]} for row in plain_rows(plan, "cost_farm", keys, "total_cost")]


def open_points(plan: Plan) -> list[PlainRow]:
    """Every open check, worst first, however long the list on the sheet is; those of the farm as a whole name no pass."""
    keys = ("status", "pass", "field", "check", "finding")
    of_farm = [{"pass": None, "field": None, **row} for row in plain_rows(plan, "farm_checks", ("status", "check", "finding"), "status")]
    rows = [row for row in plain_rows(plan, "all_checks", keys, "status") + of_farm if row["status"] in OPEN_STATUSES]
    return sorted(({key: row[key] for key in keys} for row in rows), key=lambda row: OPEN_STATUSES.index(row["status"]))


def to_fix(plan: Plan) -> list[PlainRow]:
    """Causes of what is open, worst first, each with its number of lines and the first place."""
    return plain_rows(plan, "to_fix", ("cause", "count", "example", "status", "finding", "where"), "cause")


VIEWS: dict[str, View] = {
    "mix_lines": mix_lines,
    "adding_order": adding_order,
    "mode_use": mode_use,
    "mode_checks": mode_checks,
    "crop_on_label": crop_on_label,
    "limit_checks": limit_checks,
    "intervals": intervals,
    "field_intervals": field_intervals,
    "plant_back_checks": plant_back_checks,
    "cost_passes": cost_passes,
    "cost_farm": cost_farm,
    "open_points": open_points,
    "to_fix": to_fix,
}
