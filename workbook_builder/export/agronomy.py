"""Views of the agronomy sheets."""

from __future__ import annotations

from workbook_builder.export.view import PlainRow, View, plain, plain_rows
from workbook_builder.features.cover.columns import WEEKS
from workbook_builder.plan import Plan


def water(plan: Plan) -> list[PlainRow]:
    """Hardness and ammonium sulfate of every pass."""
    keys = ("pass", "field", "water", "hardness", "grains", "ams_equation", "ams_per_100", "ams_in_mix", "suffers", "ph_note", "status", "finding")
    return plain_rows(plan, "water_checks", keys, "pass")


def jar(plan: Plan) -> list[PlainRow]:
    """Jar amounts of every mix in mixing order: mL for liquids, g for dry products."""
    found = []
    for row in plan.tables["jar"]:
        if row["item"] != "":
            liquid = row["phase"] == "liquid"
            amount = row["ml"] if liquid else row["g"]
            found.append({
                "mix": row["mix"], "order": row["order"], "product": row["product"], "amount": None if amount == "" else amount,
                "amount_unit": "mL" if liquid else "g", "teaspoons": None if row["tsp"] == "" else row["tsp"],
                "jar": plan.tables["jar_choice"][0]["jar"], "carrier": None if row["carrier"] == "" else row["carrier"],
            })
    return found


def effective_modes(plan: Plan) -> list[PlainRow]:
    """Effective groups of every pass on every driver weed of its field."""
    keys = ("pass", "field", "weed", "density_class", "resistant", "effective_groups", "groups", "wanted", "residual_days", "covered_to", "status", "finding")
    return plain_rows(plan, "effective_modes", keys, "weed")


def cover_weeks(plan: Plan) -> list[PlainRow]:
    """Weeks of each field in which driver weeds come up, and whether residuals hold all of them."""
    start = plan.tables["cover_season"][0]["start"]
    found = []
    for row in plan.tables["field_weeks"]:
        for week in range(1, WEEKS + 1):
            if row[f"w{week}"] != "":
                found.append({"field": row["field"], "week_from": plain(start + 7 * (week - 1), "date"), "status": row[f"w{week}"]})
    return found


def weed_cover(plan: Plan) -> list[PlainRow]:
    """Each driver weed over the season."""
    keys = ("field", "weed", "passes", "enough", "best", "emerges_from", "emerges_to", "uncovered_weeks", "gap_from", "gap_to", "status", "finding")
    return plain_rows(plan, "weed_cover", keys, "weed")


def mode_reliance(plan: Plan) -> list[PlainRow]:
    """How much each field leans on one group."""
    return plain_rows(plan, "mode_reliance", ("field", "uses", "top_group", "top_uses", "top_seasons", "top_share", "status", "finding"), "top_share")


def suggestions(plan: Plan) -> list[PlainRow]:
    """What single change would fix a pass."""
    keys = ("pass", "field", "weed", "have", "product", "adds_group", "would_have", "cost_per_area", "cost", "suggestion")
    return plain_rows(plan, "suggestions", keys, "weed")


def nozzle_choices(plan: Plan) -> list[PlainRow]:
    """Colour-coded sizes that give the flow of each pass."""
    return plain_rows(plan, "nozzle_choices", ("pass", "field", "size", "colour", "flow", "rated_flow", "pressure"), "size")


def sprayer_checks(plan: Plan) -> list[PlainRow]:
    """Nozzle, pressure and droplets of every pass."""
    keys = (
        "pass", "field", "flow", "nozzle", "pressure", "droplet", "wanted", "pressure_status", "pressure_finding", "droplet_status", "droplet_finding",
    )
    return plain_rows(plan, "sprayer_checks", keys, "pass")


def catch_checks(plan: Plan) -> list[PlainRow]:
    """Every catch against its neighbours, a new nozzle and the carrier wanted."""
    keys = ("sprayer", "position", "course", "rate", "mean", "from_mean", "above_new", "from_wanted", "speed", "status", "finding")
    return plain_rows(plan, "catch_checks", keys, "sprayer")


VIEWS: dict[str, View] = {
    "effective_modes": effective_modes, "weed_cover": weed_cover, "cover_weeks": cover_weeks, "mode_reliance": mode_reliance, "suggestions": suggestions,
    "water": water, "jar": jar,
    "nozzle_choices": nozzle_choices, "sprayer_checks": sprayer_checks, "catch_checks": catch_checks,
}
