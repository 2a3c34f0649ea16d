"""Which crop each pass belongs to, and whether it is in the ground on that day."""

from __future__ import annotations

from typing import Any

from workbook_builder.planning.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.planning.name_lists import crop_cells
from workbook_builder.room import folded

THIS_CROP, NEXT_CROP, OTHER_CROP = 1, 2, 3
#: What a label row says for every crop not named; no pass is sprayed in it.
EVERY_CROP = "any"


def turn_of(day: Any, cut: float, next_planted: float) -> int:
    """Return whose turn it is on a field: 1 for this season's crop, 2 for the next one.

    Parameters
    ----------
    day : float or ""
        Day of the pass [day number].
    cut, next_planted : float
        Harvest of this crop and planting of the next one [day number], 0 where not entered.
        On the day of the harvest the crop still stands.
    """
    if day == "":
        return THIS_CROP
    after_harvest, replanted = 0 < cut < day, 0 < next_planted <= day
    return NEXT_CROP if after_harvest or replanted else THIS_CROP


def in_the_ground(turn: int, day: Any, planted: float, next_planted: float) -> bool:
    """Return whether the crop that comes in this turn is planted by that day.

    Parameters
    ----------
    turn : int
    day : float or ""
        Day of the pass [day number].
    planted, next_planted : float
        [day number], 0 where not entered: this season's crop is then taken to be planted, the next one not.
    """
    if day == "":
        return True
    return bool(day >= planted if turn == THIS_CROP else 0 < next_planted <= day)


def crop_number(turn: int, crop: Cells, field: Cells) -> int:
    """Return which crop of its field a pass counts for: this season's, the next one, or any other that was typed.

    Parameters
    ----------
    turn : int
        Whose turn it is by the day.
    crop, field : Cells
        Names of the crop typed, and of both crops of the field: maize is corn, and a crop easily taken for one
        of them counts with it, so that no spelling splits a season's amounts.
    """
    for key in ("name", "family"):
        own = crop[f"crop_{key}"]
        matching = [number_ for number_, which in ((THIS_CROP, "crop"), (NEXT_CROP, "next")) if folded(own) == folded(field[f"{which}_{key}"])]
        if matching:
            return turn if len(matching) == 2 else matching[0]
    return OTHER_CROP


def days_of_passes(draft: Draft) -> list[Any]:
    """Return the day of every pass row: as logged, or else as planned; blank when neither is typed."""
    logged = first_rows(draft["log_facts"], "key")
    days = []
    for row in draft["passes"]:
        key = "" if row["pass"] == "" else f"{row['pass']}|{row['field']}"
        sprayed = at(draft["spray_log"], find(logged, key), "date")
        days.append(row["date"] if sprayed == "" else sprayed)
    return days


def field_crops(draft: Draft) -> list[Cells]:
    """One name for both crops of each field."""
    return [Cells(**crop_cells(draft, row["crop"]), **crop_cells(draft, row["next_crop"], "next")) for row in draft["fields"]]


def pass_crops(draft: Draft) -> list[Cells]:
    """Which crop each pass belongs to."""
    fields = first_rows(draft["fields"], "field")
    rows = []
    for row, day in zip(draft["passes"], days_of_passes(draft), strict=True):
        field_row = find(fields, row["field"])
        out = Cells(typed="" if folded(row["crop"]) == EVERY_CROP else row["crop"])
        for key, source in (("planted", "planting_date"), ("cut", "harvest_date"), ("next_planted", "next_planting_date")):
            out[key] = number(at(draft["fields"], field_row, source))
        if field_row != "":
            _crop(out, day, draft["fields"][field_row - 1])  # type: ignore[operator]
        out.update(crop_cells(draft, out["crop"]))
        if field_row != "":
            out["crop_no"] = out["turn"] if out["typed"] == "" else crop_number(out["turn"], out, draft["field_crops"][field_row - 1])  # type: ignore[operator]
        rows.append(out)
    return rows


def _crop(out: Cells, day: Any, field: Cells) -> None:
    out["this_crop"], out["next_crop"] = field["crop"], field["next_crop"]
    turn = out["turn"] = turn_of(day, out["cut"], out["next_planted"])
    out["standing"] = int(in_the_ground(turn, day, out["planted"], out["next_planted"]))
    by_day = out["this_crop"] if turn == THIS_CROP else out["next_crop"]
    out["crop"] = by_day if out["typed"] == "" else out["typed"]
