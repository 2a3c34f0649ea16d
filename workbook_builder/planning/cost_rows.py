"""Cost by pass, field, crop, pass name and farm."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from workbook_builder.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.planning.adding import added
from workbook_builder.planning.draft import Cells, Draft, at, first_rows, number
from workbook_builder.room import folded

PARTS = ("product_cost", "carrier_cost", "application_cost")


def total(values: Iterable[Any]) -> float:
    """Return the sum of the numbers, blanks and text left out, as SUM does."""
    return float(added(value for value in values if not isinstance(value, str)))


def application_cost(per_area: float, area: float, per_hour: float, hours: float) -> float:
    """Return the cost of driving over a field [money].

    Parameters
    ----------
    per_area : float
        Charge per field area [money/area].
    area : float
        Field area [area].
    per_hour : float
        Machine and driver [money/h].
    hours : float
        Hours of work [h].
    """
    return per_area * area + per_hour * hours


def cost_passes(draft: Draft) -> list[Cells]:
    """What each pass costs."""
    rows = []
    for number_, volume in enumerate(draft["pass_volumes"]):
        lines = draft.under("mix_lines", number_, draft.slots("products"))
        out = Cells(field=volume["field"], unpriced=added(line["unpriced"] for line in lines))
        out["pass"] = volume["pass"]
        for key in ("per_area", "per_hour"):
            out[key] = number(at(draft["sprayers"], volume["sprayer_row"], f"cost_{key}"))
        _cost(draft, out, volume, lines, draft["pass_times"][number_]["hours"])
        _cost_status(out, draft["pass_times"][number_]["hours"])
        rows.append(out)
    return rows


def _cost(draft: Draft, out: Cells, volume: Cells, lines: list[Cells], hours: Any) -> None:
    if volume["loads"] != "":
        out["herbicide_cost"] = total(line["cost"] for line in lines if folded(line["kind"]) == "herbicide")
        out["product_cost"] = total(line["cost"] for line in lines)
        out["adjuvant_cost"] = out["product_cost"] - out["herbicide_cost"]
        out["carrier_cost"] = volume["mixed_volume"] * draft.form("assumptions")["water_cost"]
    if volume["area"] != "":
        out["application_cost"] = application_cost(out["per_area"], volume["area"], out["per_hour"], number(hours))
    if out["product_cost"] != "" and out["application_cost"] != "":
        out["total_cost"] = out["product_cost"] + out["carrier_cost"] + out["application_cost"]
        out["cost_per_field_area"] = out["total_cost"] / volume["area"] if volume["area"] else ""
        out["cost_per_sprayed_area"] = out["total_cost"] / volume["sprayed_area"] if volume["sprayed_area"] else ""


def _cost_status(out: Cells, hours: Any) -> None:
    if out["pass"] == "":
        return
    if out["unpriced"] > 0:
        out["status"], out["finding"] = NOT_ENTERED, "A product has no price"
    elif out["per_area"] + out["per_hour"] == 0:
        out["status"], out["finding"] = LOOK, "The sprayer has no cost per area or hour"
    elif out["per_hour"] > 0 and hours == "":
        out["status"], out["finding"] = NOT_ENTERED, "Cost per hour needs speed, width and efficiency"
    else:
        out["status"] = OK


def cost_fields(draft: Draft) -> list[Cells]:
    """What the season costs on each field."""
    passes = list(zip(draft["pass_volumes"], draft["cost_passes"], strict=True))
    by_field: dict[Any, list[Cells]] = {}
    for volume, cost in passes:
        by_field.setdefault(volume["field_row"], []).append(cost)
    rows = []
    for row_no, field in enumerate(draft["fields"], 1):
        out = Cells(row_no=row_no, field=field["field"], crop=field["crop"])
        if field["field"] != "":
            own = by_field.get(row_no, [])
            out["passes"] = len(own)
            _add_parts(out, own, field["area"])
        rows.append(out)
    return rows


def _add_parts(out: Cells, costs: list[Cells], area: Any) -> None:
    for key in PARTS:
        out[key] = total(cost[key] for cost in costs)
    out["total_cost"] = total(out[key] for key in PARTS)
    if number(area):
        out["cost_per_area"] = out["total_cost"] / area


def counted_once(rows: list[Cells], key: str) -> list[Cells]:
    """Number the different values of a column as they first turn up."""
    firsts, running, facts = first_rows(rows, key), 0, []
    for row_no, row in enumerate(rows, 1):
        value = row[key]
        first: object = "" if value == "" else firsts[folded(value)]
        running += first == row_no
        facts.append(Cells(row_no=row_no, first=first, running=running))
    return facts


def crop_rows(draft: Draft) -> list[Cells]:
    """Crops counted once."""
    return counted_once(draft["fields"], "crop")


def pass_rows(draft: Draft) -> list[Cells]:
    """Pass names counted once."""
    return counted_once(draft["passes"], "pass")


def cost_crops(draft: Draft) -> list[Cells]:
    """What the season costs by crop."""
    firsts = first_rows(draft["crop_rows"], "running")
    rows = []
    for slot in range(1, draft.slots("crops") + 1):
        out = Cells(slot=slot, row=firsts.get(slot, ""))
        if out["row"] != "":
            own = [n for n, fact in enumerate(draft["crop_rows"]) if fact["first"] == out["row"]]
            out["crop"] = at(draft["fields"], out["row"], "crop")
            out["area"] = total(draft["fields"][n]["area"] for n in own)
            _add_parts(out, [draft["cost_fields"][n] for n in own], out["area"])
        rows.append(out)
    return rows


def cost_pass_names(draft: Draft) -> list[Cells]:
    """What each pass costs over all its fields."""
    firsts = first_rows(draft["pass_rows"], "running")
    rows = []
    for slot in range(1, draft.slots("pass_names") + 1):
        out = Cells(slot=slot, row=firsts.get(slot, ""))
        if out["row"] != "":
            own = [n for n, fact in enumerate(draft["pass_rows"]) if fact["first"] == out["row"]]
            out["pass"], out["fields"] = at(draft["passes"], out["row"], "pass"), len(own)
            out["area"] = total(draft["pass_volumes"][n]["area"] for n in own)
            out["total_cost"] = total(draft["cost_passes"][n]["total_cost"] for n in own)
            out["cost_per_area"] = out["total_cost"] / out["area"] if out["area"] else ""
        rows.append(out)
    return rows


def cost_farm(draft: Draft) -> list[Cells]:
    """The whole farm in a few figures."""
    out = Cells(area=total(row["area"] for row in draft["fields"]))
    out["passes"] = added(row["total_cost"] != "" for row in draft["cost_passes"])
    for key, source in (("driven_area", "area"), ("sprayed_area", "sprayed_area"), ("volume", "mixed_volume")):
        out[key] = total(row[source] for row in draft["pass_volumes"])
    for key in PARTS:
        out[key] = total(row[key] for row in draft["cost_passes"])
    out["total_cost"] = total(out[key] for key in PARTS)
    out["cost_per_area"] = out["total_cost"] / out["area"] if out["area"] else ""
    modes = [row["modes_in_pass"] for row in draft["mode_checks"] if row["modes_in_pass"] != ""]
    out["mean_modes"] = added(modes) / len(modes) if modes else ""
    return [out]
