"""Full cost in two layers, by pass, field, crop, pass name and farm."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.draft import Cells, Draft, number
from workbook_builder.features.cost.rows import total
from workbook_builder.features.full_cost.columns import CASH_PARTS, HOURLY, OWN_PARTS, PARTS, STACKED


def full_costs(draft: Draft) -> list[Cells]:
    """Both layers of every pass row."""
    rows = []
    for number_, (volume, plain) in enumerate(zip(draft["pass_volumes"], draft["cost_passes"], strict=True)):
        out = Cells(field=volume["field"], known=0, hours=draft["trips"][number_]["hours"])
        out["pass"] = volume["pass"]
        if "" not in (plain["product_cost"], volume["area"], volume["sprayer_row"]):
            out["known"] = 1
            sprayer = draft["sprayer_costs"][volume["sprayer_row"] - 1]
            out.update(herbicides=plain["herbicide_cost"], products=plain["product_cost"], carrier=plain["carrier_cost"])
            out["fee"] = plain["fee"]
            _machine(draft, out, sprayer, number_)
            _layers(out, volume["area"])
        rows.append(out)
    return rows


def _machine(draft: Draft, out: Cells, sprayer: Cells, number_: int) -> None:
    typed, trip = draft["passes"][number_], draft["trips"][number_]
    hours, hired = number(out["hours"]), number(draft.form("farm")["hired_share"])
    for key, _, source in HOURLY:
        out[key] = sprayer[source] * hours
    labor = sprayer["labor_hour"] * hours
    out["hired_labor"], out["own_labor"] = labor * hired, labor * (1 - hired)
    per_area = draft["cost_passes"][number_]["per_area"]
    out["charge"] = per_area * trip["area"] + sprayer["charge_hour"] * hours
    if trip["together"]:
        out["counted"] = f"in the trip of {typed['partner_pass']}"
    elif not sprayer["in_parts"]:
        out["counted"] = "by the cost per hour typed"
    elif out["hours"] == "":
        out["counted"] = "no work rate: hours missing"
    else:
        out["counted"] = "in parts" if sprayer["owned"] else "in parts, owning left out"


def _layers(out: Cells, area: Any) -> None:
    out["cash_cost"] = added(out[key] for key in CASH_PARTS)
    out["full_cost"] = out["cash_cost"] + added(out[key] for key in OWN_PARTS)
    for layer in ("cash", "full"):
        out[f"{layer}_per_area"] = out[f"{layer}_cost"] / area if number(area) else ""


def _summed(out: Cells, costs: Iterable[Cells]) -> Cells:
    """Fill a summary row from the rows it sums."""
    rows = list(costs)
    out.update({key: total(row[key] for row in rows) for key in PARTS})
    _layers(out, out["area"])
    return out


def _grouped(draft: Draft, keys: list[Any], wanted: Any) -> list[Cells]:
    return [cost for key, cost in zip(keys, draft["full_costs"], strict=True) if key == wanted]


def full_farm(draft: Draft) -> list[Cells]:
    """Both layers of the whole farm."""
    out = Cells(area=total(row["area"] for row in draft["fields"]), hours=total(row["hours"] for row in draft["full_costs"]))
    return [_summed(out, draft["full_costs"])]


def full_crops(draft: Draft) -> list[Cells]:
    """Both layers by crop."""
    keys = [row["first"] for row in draft["crop_rows"]]
    return [
        _summed(Cells(crop=row["crop"], area=row["area"]), _grouped(draft, keys, row["row"])) if row["row"] != "" else Cells()
        for row in draft["cost_crops"]
    ]


def full_pass_names(draft: Draft) -> list[Cells]:
    """Both layers by pass name."""
    keys = [row["first"] for row in draft["pass_rows"]]
    rows = []
    for row in draft["cost_pass_names"]:
        out = Cells(area=row["area"])
        out["pass"] = row["pass"]
        rows.append(_summed(out, _grouped(draft, keys, row["row"])) if row["row"] != "" else Cells())
    return rows


def full_fields(draft: Draft) -> list[Cells]:
    """Both layers by field."""
    keys = [row["field_row"] for row in draft["pass_volumes"]]
    rows = []
    for row_no, (field, plain) in enumerate(zip(draft["fields"], draft["cost_fields"], strict=True), 1):
        out = Cells(field=plain["field"], crop=plain["crop"], area=field["area"])
        if out["field"] != "":
            _summed(out, _grouped(draft, keys, row_no))
            if number(out["area"]):
                out.update({key: added(out[part] for part in parts) / out["area"] for key, _, parts in STACKED})
        rows.append(out)
    return rows
