"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, plain, plain_rows


def plant_back_checks(plan: Planned) -> list[PlainRow]:
    """Plant-back of every spray against every crop planted after it: this season's passes,
    then sprays of earlier seasons (without a pass).
    """
    keys = (
        "product", "next_crop", "planting_date", "interval", "interval_unit", "earliest_planting",
        "margin_days", "status", "finding",
    )
    of_passes = [row for table in ("planting_checks", "plant_back_checks")
                 for row in plain_rows(plan, table, ("field", "pass", *keys), "status")]
    earlier = [{"field": row["field"], "pass": None, **row}
               for row in plain_rows(plan, "earlier_checks", ("field", *keys), "status")]
    return [*of_passes, *earlier]


def rain_plant_back(plan: Planned) -> list[PlainRow]:
    """Return every spray and crop planted after it whose label has plant-back rows by rain or soil pH."""
    keys = {"product": "text", "next_crop": "text", "planting_date": "date", "interval": "number",
            "interval_unit": "text", "earliest_planting": "date", "status": "text", "finding": "text"}
    found = []
    for table, facts in (("planting_checks", "planted_crops"), ("plant_back_checks", "planted_crops"),
                         ("earlier_checks", "earlier_facts")):
        for row, parent in zip(plan.tables[table],
                               plan.tables["earlier_checks" if facts == "earlier_facts" else "mix_lines"],
                               strict=True):
            if row["asking"] and row["status"]:
                which = "this" if table == "planting_checks" or row.get("slot") == 1 else "next"
                fell = plan.tables[facts][parent["parent_no"] - 1][f"{which}_rain"]
                found.append({"field": row["field"], "pass": row.get("pass") or None, "rain": fell,
                              "soil_ph_asked": row["asking"] == 2, "row_holds": row["rain_row"] != "",
                              **{key: plain(row[key], form) for key, form in keys.items()}})
    return found


VIEWS = (
    View("plant_back_checks",
         "Plant-back of every spray against every crop planted after it: this season's passes, then sprays "
         "of earlier seasons (without a pass).", plant_back_checks),
    View("rain_plant_back",
         "Plant-back where the label hangs it on rain or soil pH: the rain counted since each spray, and "
         "what holds.", rain_plant_back),
)
