"""Looks back at sprayed fields, respray flags, and trials of detection settings."""

from __future__ import annotations

from workbook_builder.core.adding import added
from workbook_builder.core.columns import LOOK, OK
from workbook_builder.core.draft import Cells, Draft, at, first_rows, number
from workbook_builder.core.rounding import number_text, rounded
from workbook_builder.features.reentry.closures import Closures
from workbook_builder.features.shares.rows import pass_keys, pass_row


def look_facts(draft: Draft) -> list[Cells]:
    """Which look is the latest of its pass, and whether the field was closed on its day."""
    keys = pass_keys(draft)
    closures = Closures.of(draft)
    facts = [Cells(pass_row=pass_row(keys, row)) for row in draft["look_log"]]
    for fact, row in zip(facts, draft["look_log"], strict=True):
        if fact["pass_row"] != "" and row["rating"] != "" and row["date"] != "":
            fact["counted"] = fact["pass_row"]
        closures.fill(fact, "look", at(draft["pass_volumes"], fact["pass_row"], "field_row"), row["date"])
    for fact, row in zip(facts, draft["look_log"], strict=True):
        if fact["counted"] != "":
            pairs = zip(facts, draft["look_log"], strict=True)
            fact["later"] = added(other["counted"] == fact["counted"] and look["date"] > row["date"] for other, look in pairs if other["counted"] != "")
            fact["latest"] = fact["counted"] if fact["later"] == 0 else ""
    return facts


def follow_up(draft: Draft) -> list[Cells]:
    """When to look again after each pass, and whether to respray."""
    latest, assumed, closures = first_rows(draft["look_facts"], "latest"), draft.form("spot_assumptions"), Closures.of(draft)
    rows = []
    for row_no, (volume, times) in enumerate(zip(draft["pass_volumes"], draft["pass_times"], strict=True), 1):
        out = Cells(row_no=row_no, field=volume["field"], contact=0)
        out["pass"] = volume["pass"]
        if volume["mix_no"] != "":
            out["contact"] = draft["mix_contact"][volume["mix_no"] - 1]["contact"]
        _dates(out, times["last_day"], assumed)
        for key in ("early", "first", "second"):
            closures.fill(out, key, volume["field_row"], out[f"{key}_look"])
        if out["pass"] != "":
            look = out["look_row"] = latest.get(row_no, "")
            out["looked"], out["rating"] = at(draft["look_log"], look, "date"), at(draft["look_log"], look, "rating")
            _rating(out, assumed["respray_below"])
        rows.append(out)
    return rows


def _dates(out: Cells, day: object, assumed: Cells) -> None:
    if isinstance(day, str):
        return
    keys = {"first_look": "first_look_days", "second_look": "second_look_days"}
    if out["contact"]:
        keys["early_look"] = "contact_look_days"
    for key, days in keys.items():
        out[key] = day + assumed[days]


def _rating(out: Cells, respray_below: float) -> None:
    if out["rating"] == "":
        return
    low = out["rating"] < respray_below
    out["respray"], out["status"] = ("yes", LOOK) if low else ("no", OK)
    if low:
        under = number_text(respray_below)
        out["finding"] = f"Rated {number_text(out['rating'])}: under {under}, look for survivors and weigh a respray"


def control(before: float, after: float) -> float:
    """Return control [%]: weeds gone of the weeds there were."""
    return 100 * (1 - after / before)


def detection_results(draft: Draft) -> list[Cells]:
    """What each trial of a detection setting sprayed, killed and cost."""
    keys = pass_keys(draft)
    rows = []
    for row in draft["detection_trials"]:
        out = Cells(pass_row=pass_row(keys, row))
        if out["pass_row"] != "":
            out["pass"], out["field"], out["setting"] = row["pass"], row["field"], row["setting"]
            _trial_cost(draft, out, row)
            _trial_control(draft, out, row)
        rows.append(out)
    for out in rows:
        if out["cost_per_area"] != "" and out["control"] != "":
            out["better"] = added(_beats(other, out) for other in rows)
            out["verdict"] = "Review: beaten on both" if out["better"] else OK
    return rows


def _trial_cost(draft: Draft, out: Cells, row: Cells) -> None:
    volume, cost = draft["pass_volumes"][out["pass_row"] - 1], draft["cost_passes"][out["pass_row"] - 1]
    out["carrier"] = number(at(draft["passes"], out["pass_row"], "carrier"))
    out["planned_volume"], out["planned_cost"] = volume["mixed_volume"], cost["planned_cost"]
    mixed = number(out["planned_volume"])
    out["mixture_value"] = (number(out["planned_cost"]) / mixed if mixed else 0) + draft.form("assumptions")["water_cost"]
    if number(row["area_covered"]) and row["volume_sprayed"] != "":
        out["per_area"] = row["volume_sprayed"] / row["area_covered"]
        out["cost_per_area"] = rounded(out["per_area"] * out["mixture_value"], 6)
        if out["carrier"]:
            out["sprayed_share"] = out["per_area"] / out["carrier"]


def _trial_control(draft: Draft, out: Cells, row: Cells) -> None:
    if row["weeds_after"] == "":
        return
    if number(row["weeds_before"]):
        out["control"] = rounded(control(row["weeds_before"], row["weeds_after"]), 6)
    if number(row["frame_area"]):
        out["escapes"] = row["weeds_after"] / row["frame_area"] * draft.form("spot_factors")["small_per_area"]
    if out["cost_per_area"] != "" and number(out["control"]) > 0:
        out["cost_per_point"] = out["cost_per_area"] / out["control"]


def _beats(other: Cells, out: Cells) -> bool:
    if other["pass_row"] != out["pass_row"] or other["cost_per_area"] == "" or other["control"] == "":
        return False
    cost, kill = other["cost_per_area"] - out["cost_per_area"], other["control"] - out["control"]
    return bool((cost <= 0 and kill > 0) or (cost < 0 and kill >= 0))
