"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, plain

#: Check of the JSON -> table and column of the amount, and column of the figure in the label.
_LEAST = {
    "rate": ("product_limits", "rate", "min_rate"), "least carrier": ("as_logged", "carrier", "min_carrier"),
    "greatest carrier": ("as_logged", "carrier", "max_carrier"),
    "weed height": ("passes", "weed_height", "max_weed_height"),
    "group applications": ("least_checks", "group_passes", "max_group_passes"),
}


def least_checks(plan: Planned) -> list[PlainRow]:
    """Return every figure that a label gives besides its maxima, with what the pass has."""
    found = []
    for at, (row, line, named) in enumerate(zip(plan.tables["least_checks"], plan.tables["mix_lines"],
                                                plan.tables["product_limits"], strict=True)):
        for check, (table, amount, least) in _LEAST.items():
            if row[least] != "":
                of = plan.tables[table][at if table in ("product_limits", "least_checks")
                                        else line["parent_no"] - 1]
                found.append({
                    "pass": named["pass"], "field": named["field"], "product": named["name"], "check": check,
                    "amount": plain(of[amount], "number"), "least": row[least], "status": row["status"],
                    "finding": row["finding"] or None,
                })
    return found


def stage_checks(plan: Planned) -> list[PlainRow]:
    """Return every product of a pass whose label speaks of stage, height or date."""
    rows = zip(plan.tables["stage_checks"], plan.tables["product_limits"], strict=True)
    dates, sizes = ("first_day", "end_day", "last_day"), ("min_crop_height", "max_crop_height")
    return [
        {
            "pass": named["pass"], "field": named["field"], "product": named["name"],
            **{key: plain(row[key] if row[key] != -1 else "", "date") for key in dates},
            **{key: plain(row[key], "number") for key in sizes}, "status": row["status"],
            "finding": row["finding"] or None,
        }
        for row, named in rows if row["status"] != ""
    ]


VIEWS = (
    View("least_checks",
         "Least rate, carrier, height of weeds and applications of a group, as labels give them, with what "
         "each pass has.", least_checks),
    View("stage_checks", "Crop stage, height and date of each product whose label speaks of them.",
         stage_checks),
)
