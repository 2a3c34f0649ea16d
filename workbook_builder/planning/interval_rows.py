"""Re-entry, harvest, grazing, rain-free and plant-back intervals."""

from __future__ import annotations

import calendar
import datetime as dt
from typing import Any

from workbook_builder.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.planning.draft import EPOCH, Cells, Draft, at, first_rows, number
from workbook_builder.planning.product_rows import by_crop
from workbook_builder.planning.rounding import number_text, whole_below
from workbook_builder.room import folded

INTERVAL_KEYS = ("rei", "rain", "phi", "grazing")
_LATE_END = "Start time or work rate not entered: re-entry counts from midnight at the end of the day"


def add_months(day: int, months: int) -> int:
    """Return a day number some calendar months later, clipped to the end of a shorter month.

    Parameters
    ----------
    day : int
        Day number (1900 date system).
    months : int
    """
    start = EPOCH + dt.timedelta(days=day)
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return (dt.date(year, month + 1, min(start.day, last)) - EPOCH).days


def longest(values: list[Any]) -> Any:
    """Return the longest interval that is entered; blank when none is.

    References
    ----------
    40 CFR 170.407(c): the re-entry interval of a mixture is the longest of its products.
    """
    return max((value for value in values if value != ""), default="")


def first_and_more(names: list[str]) -> str:
    """Return the first name and how many more there are; blank for none."""
    if not names:
        return ""
    return names[0] + (f" and {len(names) - 1} more" if len(names) > 1 else "")


def days_text(days: float) -> str:
    """Return a number of days in words, ``1 day`` or ``12 days``."""
    return f"{number_text(days)} {'day' if days == 1 else 'days'}"


def line_intervals(draft: Draft) -> list[Cells]:
    """Label intervals of each product of each pass."""
    rows = []
    for line, limits in zip(draft["mix_lines"], draft["product_limits"], strict=True):
        out = Cells()
        out["rei"] = at(draft["products"], line["product_row"], "rei_hours")
        out["rain"] = at(draft["products"], line["product_row"], "rainfast_hours")
        out["phi"] = at(draft["label_limits"], limits["label_row"], "phi_days")
        out["grazing"] = at(draft["label_limits"], limits["label_row"], "grazing_days")
        for key in INTERVAL_KEYS:
            out[f"{key}_missing"] = int(limits["needed"] == 1 and out[key] == "")
        rows.append(out)
    return rows


def intervals(draft: Draft) -> list[Cells]:
    """Intervals of every pass."""
    rows = []
    for number_, volume in enumerate(draft["pass_volumes"]):
        times = draft["pass_times"][number_]
        lines = draft.under("line_intervals", number_, draft.slots("products"))
        out = Cells(field=volume["field"], end=times["end"], after_harvest=0)
        out["pass"] = volume["pass"]
        names = [line["product"] for line in draft.under("mix_lines", number_, draft.slots("products"))]
        for key, name in zip(INTERVAL_KEYS, ("rei_hours", "rain_hours", "phi_days", "grazing_days"), strict=True):
            out[name] = longest([line[key] for line in lines])
            gaps = [product for product, line in zip(names, lines, strict=True) if line[f"{key}_missing"]]
            out[f"{key}_missing"] = first_and_more(gaps)
        _reentry(draft, out, times)
        _rain(out)
        _harvest(draft, out, volume, times)
        _grazing(out, times)
        _overall(out)
        rows.append(out)
    return rows


def _reentry(draft: Draft, out: Cells, times: Cells) -> None:
    if out["end"] != "" and out["rei_hours"] != "":
        out["reentry_at"] = out["end"] + out["rei_hours"] / 24
    if out["pass"] == "":
        return
    if out["rei_missing"]:
        out["posting"] = out["reentry_status"] = NOT_ENTERED
        out["reentry_finding"] = f"Re-entry interval not entered: {out['rei_missing']}"
        return
    if out["rei_hours"] != "":
        signs = out["rei_hours"] > draft.form("assumptions")["posting_hours"]
        out["posting"] = "Signs" if signs else "Signs or word of mouth"
    if out["reentry_at"] != "":
        out["reentry_status"] = OK if times["end_known"] == 1 else LOOK
        out["reentry_finding"] = "" if times["end_known"] == 1 else _LATE_END


def _rain(out: Cells) -> None:
    if out["end"] != "" and out["rain_hours"] != "":
        out["rain_free_until"] = out["end"] + out["rain_hours"] / 24
    if out["pass"] == "":
        return
    if out["rain_missing"]:
        out["rain_status"], out["rain_finding"] = NOT_ENTERED, f"Rain-free hours not entered: {out['rain_missing']}"
    elif out["rain_hours"] != "":
        out["rain_status"] = OK


def _harvest(draft: Draft, out: Cells, volume: Cells, times: Cells) -> None:
    out["harvest_date"] = at(draft["fields"], volume["field_row"], "harvest_date")
    day, planned = times["last_day"], out["harvest_date"]
    if planned != "" and day != "":
        out["after_harvest"] = int(times["day"] > planned)
    if day != "" and out["phi_days"] != "":
        # Nobody goes in to harvest while re-entry is closed.
        out["earliest_harvest"] = max(day + out["phi_days"], whole_below(number(out["reentry_at"])))
        if planned != "" and not out["after_harvest"]:
            out["harvest_margin_days"] = planned - out["earliest_harvest"]
    if out["pass"] != "" and not (out["phi_days"] == "" and out["phi_missing"] == ""):
        out["harvest_status"] = _harvest_status(out, folded(volume["crop"]) == "fallow")
        out["harvest_finding"] = _harvest_finding(out)


def _harvest_status(out: Cells, fallow: bool) -> str:
    margin = out["harvest_margin_days"]
    if margin != "" and margin < 0:
        return NOT_ALLOWED
    if out["after_harvest"] and margin == "":
        return OK
    if out["phi_missing"]:
        return NOT_ENTERED
    return OK if margin != "" or fallow else LOOK


def _harvest_finding(out: Cells) -> str:
    status = out["harvest_status"]
    if status == NOT_ALLOWED:
        return f"Planned harvest is too early by {days_text(-out['harvest_margin_days'])}"
    if status == NOT_ENTERED:
        return f"Preharvest interval not entered: {out['phi_missing']}"
    return "No harvest date entered to check against" if status == LOOK else ""


def _grazing(out: Cells, times: Cells) -> None:
    if times["last_day"] != "" and out["grazing_days"] != "":
        out["earliest_grazing"] = times["last_day"] + out["grazing_days"]
    if out["pass"] == "":
        return
    if out["grazing_missing"]:
        out["grazing_status"] = NOT_ENTERED
        out["grazing_finding"] = f"Grazing interval not entered: {out['grazing_missing']}"
    elif out["grazing_days"] != "":
        out["grazing_status"] = OK


def _overall(out: Cells) -> None:
    found = {out[key] for key in ("reentry_status", "rain_status", "harvest_status", "grazing_status")}
    out["status"] = next((word for word in (NOT_ALLOWED, NOT_ENTERED, LOOK) if word in found), "")
    if not out["status"] and out["reentry_status"] != "":
        out["status"] = OK


def plant_back_checks(draft: Draft) -> list[Cells]:
    """Each product of each pass against the crop planned next."""
    keys = first_rows(draft["plant_back_facts"], "key")
    slots = draft.slots("products")
    rows = []
    for number_, line in enumerate(draft["mix_lines"]):
        out = Cells()
        volume, times = draft["pass_volumes"][number_ // slots], draft["pass_times"][number_ // slots]
        if line["product"] != "" and volume["field_row"] != "":
            out["next_crop"] = at(draft["fields"], volume["field_row"], "next_crop")
        if out["next_crop"] != "":
            out["pass"], out["field"], out["product"] = line["pass"], line["field"], line["product"]
            _plant_back(draft, out, keys, times, volume, draft["product_limits"][number_]["needed"])
        rows.append(out)
    return rows


def _plant_back(
    draft: Draft, out: Cells, keys: dict[object, int], times: Cells, volume: Cells, needed: Any
) -> None:
    row = out["row"] = by_crop(keys, out["product"], out["next_crop"])
    out["next_planting_date"] = at(draft["fields"], volume["field_row"], "next_planting_date")
    if row == "":
        if needed == 1:
            out["status"] = NOT_ENTERED
            out["finding"] = f"{out['product']}: no plant-back interval entered for {out['next_crop']}"
        return
    typed = draft["plant_back"][int(row) - 1]
    out["interval"], out["interval_unit"] = number(typed["interval"]), typed["interval_unit"]
    day = times["last_day"]
    if day != "":
        months = folded(out["interval_unit"]) == "months"
        out["earliest_planting"] = add_months(day, int(out["interval"])) if months else day + out["interval"]
        if out["next_planting_date"] != "":
            out["margin_days"] = out["next_planting_date"] - out["earliest_planting"]
    _plant_back_status(out)


def _plant_back_status(out: Cells) -> None:
    margin, product, crop = out["margin_days"], out["product"], out["next_crop"]
    if margin == "":
        out["status"], out["finding"] = LOOK, f"{product}: no planting date entered for {crop}"
    elif margin < 0:
        out["status"] = NOT_ALLOWED
        out["finding"] = f"{product}: {crop} is planned {days_text(-margin)} before it may be planted"
    else:
        out["status"] = OK
