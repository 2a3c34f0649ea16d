"""Cost by pass, field, crop, pass name and farm: one total, everything in."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text, rounded, shown

PARTS = ("product_cost", "carrier_cost", "application_cost", "fee")
NO_TRIP = "Partner pass is no broadcast pass of this field, day and sprayer: a trip of its own is counted"


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
        Area driven over [area].
    per_hour : float
        Machine and driver, owning and own time [money/h].
    hours : float
        Hours of work [h].
    """
    return per_area * area + per_hour * hours


def hours_beside_partner(loads: float, partner_loads: float, refill_minutes: float) -> float:
    """Return what a spot pass adds to the hours of its partner's trip [h].

    Both tanks are filled at one stop, so only loads beyond the partner's cost a stop more.

    Parameters
    ----------
    loads, partner_loads : float
        Loads of the spot pass and of the broadcast pass driven with it.
    refill_minutes : float
        Filling and hauling per stop [min].
    """
    return max(0, loads - partner_loads) * refill_minutes / 60


def trips(draft: Draft) -> list[Cells]:
    """What is driven and paid for each pass: one trip once."""
    keys, rows = first_rows(draft["pass_volumes"], "key"), []
    tables = (draft[key] for key in ("passes", "pass_volumes", "work_rates", "pass_times", "as_logged"))
    for typed, volume, work, times, log in zip(*tables, strict=True):
        out = Cells(together=0, alone=0)
        out["area"], out["hours"] = ("" if whole == "" else whole * log["part"] for whole in (volume["area"], work["hours"]))
        if folded(typed["method"]) == "spot" and typed["partner_pass"] != "":
            out["partner_row"] = find(keys, f"{typed['partner_pass']}|{typed['field']}")
            out["together"] = int(_one_trip(draft, out["partner_row"], volume["sprayer_row"], times["day"]))
            out["alone"] = 1 - out["together"]
        if out["together"]:
            out["area"] = "" if volume["area"] == "" else 0
            partner_loads = number(draft["pass_volumes"][out["partner_row"] - 1]["loads"])
            minutes = work["refill_minutes"] if times["by_load"] else 0
            out["hours"] = hours_beside_partner(number(volume["loads"]), partner_loads, minutes)
        rows.append(out)
    return rows


def _one_trip(draft: Draft, partner_row: Any, sprayer_row: Any, day: Any) -> bool:
    """Return whether a partner is a broadcast pass of the same sprayer and day; pass names are looked up on the field."""
    if "" in (partner_row, sprayer_row, day):
        return False
    place = partner_row - 1
    same = draft["pass_volumes"][place]["sprayer_row"] == sprayer_row and draft["pass_times"][place]["day"] == day
    return same and folded(draft["passes"][place]["method"]) == "broadcast"


def cost_passes(draft: Draft) -> list[Cells]:
    """What each pass costs."""
    rows = []
    for number_, volume in enumerate(draft["pass_volumes"]):
        lines, log = draft.under("mix_lines", number_, draft.slots("products")), draft["as_logged"][number_]
        to_do = draft["order_volumes"][number_]["to_do"] if draft["pass_times"][number_]["log_day"] != "" else 0
        out = Cells(field=volume["field"], unfinished=int(rounded(to_do, 6) > 0), unpriced=added(line["unpriced"] for line in lines))
        out["pass"] = volume["pass"]
        out["per_area"] = number(at(draft["sprayers"], volume["sprayer_row"], "cost_per_area"))
        out["per_hour"] = number(at(draft["sprayer_costs"], volume["sprayer_row"], "full_hour"))
        trip, use = draft["trips"][number_], draft["spot_uses"][number_]
        if volume["loads"] != "":
            used = draft.under("applied_lines", number_, draft.slots("products"))
            out["planned_cost"] = total(line["cost"] for line in lines)
            out["product_cost"] = total(line["cost"] for line in used)
            out["herbicide_cost"] = total(own["cost"] for own, line in zip(used, lines, strict=True) if folded(line["kind"]) == "herbicide")
            _cost(draft, out, volume["mixed_volume"] * log["part"] if log["volume"] == "" else log["volume"], trip)
            out["fee"] = number(at(draft["spot_terms"], use["term_row"], "fee")) * volume["area"]
            _total(out, volume["area"], number(log["sprayed"]))
        _cost_status(out, trip)
        no_terms = use["on"] == 1 and use["term_row"] == ""
        out["lacking"] = int(out["pass"] != "" and ("" in (out["total_cost"], volume["mix_no"]) or out["status"] == NOT_ENTERED or no_terms))
        rows.append(out)
    return rows


def _cost(draft: Draft, out: Cells, carrier: float, trip: Cells) -> None:
    out["adjuvant_cost"] = out["product_cost"] - out["herbicide_cost"]
    out["carrier_cost"] = carrier * draft.form("assumptions")["water_cost"]
    out["application_cost"] = application_cost(out["per_area"], trip["area"], out["per_hour"], number(trip["hours"]))


def _total(out: Cells, area: float, sprayed: float) -> None:
    out["total_cost"] = total(out[key] for key in PARTS)
    out["cost_per_field_area"] = out["total_cost"] / area if area else ""
    out["cost_per_sprayed_area"] = out["total_cost"] / sprayed if sprayed else ""


def _cost_status(out: Cells, trip: Cells) -> None:
    if out["pass"] == "":
        return
    if out["unpriced"] > 0:
        out["status"], out["finding"] = NOT_ENTERED, "A product has no price"
    elif out["per_area"] + out["per_hour"] == 0:
        out["status"], out["finding"] = LOOK, "The sprayer has no cost per area or hour"
    elif out["per_hour"] > 0 and trip["hours"] == "":
        out["status"], out["finding"] = NOT_ENTERED, "Cost per hour needs speed, width and efficiency"
    elif trip["alone"]:
        out["status"], out["finding"] = LOOK, NO_TRIP
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
    """Crops that passes belong to counted once, and each field once in its crop."""
    rows, seen = counted_once(draft["pass_volumes"], "crop"), set()
    for out, volume in zip(rows, draft["pass_volumes"], strict=True):
        out["area"] = 0
        if out["first"] != "":
            out["ground"] = volume["field_row"] * 100000 + out["first"]
            out["area"] = 0 if out["ground"] in seen else number(volume["area"])
            seen.add(out["ground"])
    return rows


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
            out["crop"] = at(draft["pass_volumes"], out["row"], "crop")
            out["area"] = total(draft["crop_rows"][n]["area"] for n in own)
            _add_parts(out, [draft["cost_passes"][n] for n in own], out["area"])
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
    out["driven_area"] = total(row["area"] for row in draft["trips"])
    out["sprayed_area"] = total(row["sprayed"] for row in draft["as_logged"])
    out["volume"] = total(row["mixed_volume"] for row in draft["pass_volumes"])
    for key in PARTS:
        out[key] = total(row[key] for row in draft["cost_passes"])
    out["total_cost"] = total(out[key] for key in PARTS)
    out["cost_per_field_area"] = out["total_cost"] / out["area"] if out["area"] else ""
    _in_words(draft, out)
    modes = [row["modes_in_pass"] for row in draft["mode_checks"] if row["modes_in_pass"] != ""]
    out["mean_modes"] = added(modes) / len(modes) if modes else ""
    return [out]


def _in_words(draft: Draft, out: Cells) -> None:
    """Say what the total holds, what of it nobody typed, and what is missing from it."""
    words = ("products", "carrier", "application", "spot fees")
    out["holds"] = ", ".join(f"{word} {number_text(shown(out[key], 0))}" for word, key in zip(words, PARTS, strict=True))
    for key, table in (("estimated", "sprayer_costs"), ("lacking", "cost_passes"), ("unfinished", "cost_passes")):
        out[key] = added(row[key] for row in draft[table])
    factors, water, said = draft.form("factors"), draft.form("assumptions")["water_cost"], []
    if out["carrier_cost"] and rounded(water - factors["usual_water_cost"], 9) == 0:
        said.append(f"carrier at {shown(water, 4):.4f} per {factors['liquid_name_1']}: {number_text(shown(out['carrier_cost'], 0))}")
    if out["estimated"]:
        said.append(f"usual machine figures: {number_text(out['estimated'])} sprayer{'' if out['estimated'] == 1 else 's'}")
    out["assumed"] = "; ".join(said)
    missing = []
    if out["lacking"]:
        lack = "what 1 pass lacks" if out["lacking"] == 1 else f"what {number_text(out['lacking'])} passes lack"
        missing.append(f"{lack}: price, hours, fee or amount")
    if out["unfinished"]:
        have = "1 pass has" if out["unfinished"] == 1 else f"{number_text(out['unfinished'])} passes have"
        missing.append(f"what {have} left to spray")
    out["left_out"] = "; ".join(missing)
