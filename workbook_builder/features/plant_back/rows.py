"""Plant-back: every crop that is planted after a spray, this season's and the next, also after sprays of earlier seasons."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text
from workbook_builder.features.intervals.rows import add_months, days_text
from workbook_builder.features.labels.rows import Labels
from workbook_builder.features.plant_back.columns import CROPS, NOT_JUDGED, PLANTED_LATER, SAME_DAY

FALLOW = "fallow"
SEVERITY = {NOT_ALLOWED: 1, NOT_ENTERED: 2, LOOK: 3, OK: 4}


def earliest_planting(day: Any, days: Any, months: Any) -> Any:
    """Return the first day a crop may be planted: the later of an interval in days and one in calendar months.

    Parameters
    ----------
    day : int or ""
        Last day of the spray [day number].
    days, months : int or ""
        Intervals [d], [calendar months]; blank where the label gives none.

    Returns
    -------
    int or ""
        Day number; blank without a day or an interval.
    """
    if day == "" or (days == "" and months == ""):
        return ""
    return max(([] if days == "" else [day + days]) + ([] if months == "" else [add_months(day, int(months))]))


def state_of(later: bool, crop_name: str, crop: str, planted: Any, day: Any, undated: int) -> int:
    """Return how a crop of a field stands to a spray.

    Parameters
    ----------
    later : bool
        Whether it is the next crop and not this season's.
    crop_name, crop : str
        Its one name and as typed.
    planted, day : int or ""
        Day of planting and first day of the spray [day number].
    undated : int
        State of this season's crop without a planting date.
    """
    if folded(crop_name) == FALLOW or (crop == "" and planted == ""):
        return NOT_JUDGED
    if planted == "":
        return PLANTED_LATER if later else undated
    if day == "":
        return PLANTED_LATER if later else NOT_JUDGED
    return PLANTED_LATER if planted > day else SAME_DAY if planted == day else NOT_JUDGED


def planted(draft: Draft, which: str, field_row: Any, day: Any, undated: int) -> dict[str, Any]:
    """Return one crop of a field and how it stands to a spray.

    Parameters
    ----------
    draft : Draft
    which : str
        ``this`` or ``next`` crop.
    field_row : int or ""
    day : int or ""
        First day of the spray [day number].
    undated : int
        State of this season's crop without a planting date.
    """
    if field_row == "":
        return {f"{which}_state": NOT_JUDGED}
    _, crop, date, names = CROPS[which]
    field, called = draft["fields"][field_row - 1], draft["field_crops"][field_row - 1]
    out = {key: called[f"{names}_{key}"] for key in ("name", "wider", "family", "group")}
    state = state_of(which == "next", out["name"], field[crop], field[date], day, undated)
    return {f"{which}_{key}": value for key, value in {**out, "crop": field[crop], "planted": field[date], "state": state}.items()}


@dataclass(frozen=True)
class Spray:
    """What was sprayed.

    Parameters
    ----------
    product : str
    product_no, needed : int or ""
        Number of the product, 1 where its label must give an interval.
    last_day : int or ""
        Last day [day number].
    own_crop : bool
        Whether it is for the crop planted and its label names that crop.
    carried : dict of str to int
        Interval typed with the spray itself, by unit.
    """

    product: str
    product_no: Any
    needed: Any
    last_day: Any
    own_crop: bool = False
    carried: Mapping[str, Any] = field(default_factory=dict)


def _judge(draft: Draft, out: Cells, backs: Labels, spray: Spray, crop: Cells, which: str) -> None:
    """Judge one crop planted after one spray.

    Parameters
    ----------
    draft : Draft
    out : Cells
        The row to fill.
    backs : Labels
        Plant-back rows.
    spray : Spray
    crop : Cells
        Row with the crop's columns, whose keys start with `which`.
    which : str
    """
    out["every"], out["unsure"], out["held"] = 0, 0, 0
    state = crop[f"{which}_state"]
    if state == NOT_JUDGED or spray.product == "":
        return
    out["product"], out["next_crop"], out["planting_date"], out["number"] = spray.product, crop[f"{which}_crop"], crop[f"{which}_planted"], spray.product_no
    out.update(backs.match(out["number"], crop, which))
    found = out["found_row"] != ""
    out["every"] = int(found and out["named_row"] == "" and out["near_row"] == "")
    if out["near_row"] != "":
        out["unsure"] = int(draft["plant_back_facts"][out["near_row"] - 1]["any_no"] == 0)
    # Of a crop planted on the day, or with no planting date, only a row that names it is asked.
    out["held"] = int(state == PLANTED_LATER or (found and not out["every"]))
    if out["held"]:
        for key in ("days", "months"):
            out[key] = backs.strictest(out, key) if found else spray.carried.get(key, "")
    _interval(out, spray.last_day)
    _status(out, spray)
    out["finding"] = _finding(draft, out, spray.last_day)


def _interval(out: Cells, day: Any) -> None:
    """Which of two intervals rules, and the first day of planting."""
    days, months = out["days"], out["months"]
    out["by_days"] = "" if "" in (day, days) else day + days
    out["by_months"] = "" if "" in (day, months) else add_months(day, int(months))
    by_months = months != "" and (days == "" or day == "" or out["by_months"] >= out["by_days"])
    out["interval"] = months if by_months else days
    if out["interval"] != "":
        out["interval_unit"] = "months" if by_months else "days"
    out["earliest_planting"] = earliest_planting(day, days, months)
    if "" not in (out["earliest_planting"], out["planting_date"]):
        out["margin_days"] = out["planting_date"] - out["earliest_planting"]


def _status(out: Cells, spray: Spray) -> None:
    margin = out["margin_days"]
    if not out["held"]:
        return
    if out["next_crop"] == "" or out["interval"] == "":
        out["status"] = NOT_ENTERED if spray.needed == 1 else ""
    elif spray.last_day == "":
        out["status"] = NOT_ENTERED
    elif margin != "" and margin < 0:
        out["status"] = NOT_ENTERED if out["every"] and spray.own_crop else NOT_ALLOWED
    elif out["unsure"]:
        out["status"] = NOT_ENTERED
    else:
        out["status"] = OK if margin != "" or out["interval"] == 0 else LOOK


def _finding(draft: Draft, out: Cells, last_day: Any) -> str:
    crop, status = out["next_crop"], out["status"]
    if status in ("", OK):
        return ""
    if status == NOT_ALLOWED:
        said = f"{crop} is planned {days_text(-out['margin_days'])} before it may be planted"
    elif status == LOOK:
        said = f"no planting date entered for {crop}"
    elif crop == "":
        said = "a planting date is entered, but not the crop"
    elif out["interval"] == "":
        said = f"no plant-back interval entered for {crop}"
    elif last_day == "":
        said = "the day it was sprayed is not entered"
    elif out["unsure"]:
        near = at(draft["plant_back"], out["near_row"], "next_crop")
        said = f"the plant-back row for {near} may or may not mean {crop}; write one name in both"
    else:
        length = f"{number_text(out['interval'])} {out['interval_unit']}"
        said = f"its label names {crop}, but only the plant-back row of any crop is entered, {length}: enter its own"
    return f"{out['product']}: {said}"


def plant_back_checks(draft: Draft) -> list[Cells]:
    """Each product of each pass against the crop planted next."""
    return _of_passes(draft, "next")


def planting_checks(draft: Draft) -> list[Cells]:
    """Each product of each pass against this season's crop, where it is planted later."""
    return _of_passes(draft, "this")


def _of_passes(draft: Draft, which: str) -> list[Cells]:
    backs, slots, rows = Labels(draft["plant_back_facts"]), draft.slots("products"), []
    for index, (line, limits) in enumerate(zip(draft["mix_lines"], draft["product_limits"], strict=True)):
        place, out = index // slots, Cells()
        crop = draft["planted_crops"][place]
        meant = which == "this" and crop["this_state"] == PLANTED_LATER and folded(draft["pass_crops"][place]["crop_name"]) == folded(crop["this_name"])
        own_crop = meant and limits["named_row"] != "" and limits["forbidden"] != 1
        spray = Spray(line["product"], limits["product_no"], limits["needed"], draft["pass_times"][place]["last_day"], own_crop)
        _judge(draft, out, backs, spray, crop, which)
        if out["product"] != "":
            out["pass"], out["field"] = line["pass"], line["field"]
        rows.append(out)
    return rows


def earlier_checks(draft: Draft) -> list[Cells]:
    """Each spray of an earlier season against this season's crop and the next."""
    backs, rows = Labels(draft["plant_back_facts"]), []
    for typed, fact in zip(draft["earlier_sprays"], draft["earlier_facts"], strict=True):
        carried = {unit: typed["interval"] if folded(typed["interval_unit"]) == unit else "" for unit in ("days", "months")}
        spray = Spray(typed["product"], fact["product_no"], 1, fact["day"], carried=carried)
        for slot, which in enumerate(CROPS, 1):
            out = Cells(slot=slot, state=fact[f"{which}_state"])
            out.update((f"planted_{key}", fact[f"{which}_{key}"]) for key in ("name", "wider", "family", "group"))
            _judge(draft, out, backs, spray, fact, which)
            if out["product"] != "":
                out["field"] = typed["field"]
            if fact["field_row"] != "":
                out["crop_no"] = fact["field_row"] * 2 + slot - 1
            out["severity"] = SEVERITY.get(out["status"], "")
            if out["severity"] != "":
                out["crop_key"], out["key"] = out["crop_no"] * 10 + out["severity"], fact["field_row"] * 10 + out["severity"]
            rows.append(out)
    return rows


def earlier_passes(draft: Draft) -> list[Cells]:
    """What earlier sprays leave each field, at the field's first pass."""
    keys, seen, rows = first_rows(draft["earlier_checks"], "key"), set(), []
    for row_no, volume in enumerate(draft["pass_volumes"], 1):
        out, field = Cells(row_no=row_no, first=0), volume["field_row"]
        if field != "" and field not in seen:
            seen.add(field)
            out["first"] = 1
            found = (find(keys, field * 10 + severity) for severity in SEVERITY.values())
            out["row"] = next((row for row in found if row != ""), "")
            out["status"], out["finding"] = (at(draft["earlier_checks"], out["row"], key) for key in ("status", "finding"))
        rows.append(out)
    return rows


PLANT_BACK_PLANNERS = (
    ("plant_back_checks", plant_back_checks),
    ("planting_checks", planting_checks),
    ("earlier_checks", earlier_checks),
    ("earlier_passes", earlier_passes),
)
