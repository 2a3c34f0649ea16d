"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, plain


def mix_lines(plan: Planned) -> list[PlainRow]:
    """Product amounts with the volumes and water they belong to: what is added in the first load,
    a later full load and the last one.
    """
    keys = (
        "pass", "field", "product", "amount_per_area", "amount_first_load", "amount_full_load",
        "amount_last_load", "amount_even_load",
        "amount_total", "amount_unit", "cost",
    )
    found = []
    for line in plan.tables["mix_lines"]:
        if line["product"] == "":
            continue
        typed, volume, water = (plan.tables[table][line["parent_no"] - 1]
                                for table in ("passes", "pass_volumes", "pass_water"))
        row = {key: plain(line[key], "number") for key in keys[:3]}
        row["method"] = typed["method"]
        for key in ("sprayed_area", "volume", "full_loads", "first_load_volume", "last_load_volume", "loads",
                    "mixed_volume"):
            row[key] = plain(volume[key], "number")
        for key in ("water_first_load", "water_full_load", "water_last_load", "water_total"):
            row[key] = plain(water[key], "number")
        row.update({key: plain(line[key], "number") for key in keys[3:]})
        found.append(row)
    return found


VIEWS = (
    View("mix_lines",
         "Product amounts with the volumes and water they belong to: what is added in the first load, a "
         "later full load and the last one.", mix_lines),
)
