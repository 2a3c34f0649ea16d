"""Which crop each pass belongs to, and whether it is in the ground on that day."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.draft import Cells

THIS_CROP, NEXT_CROP, OTHER_CROP = 1, 2, 3


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


def _crop(out: Cells, day: Any, field: Cells) -> None:
    out["this_crop"], out["next_crop"] = field["crop"], field["next_crop"]
    turn = out["turn"] = turn_of(day, out["cut"], out["next_planted"])
    out["standing"] = int(in_the_ground(turn, day, out["planted"], out["next_planted"]))
    by_day = out["this_crop"] if turn == THIS_CROP else out["next_crop"]
    out["crop"] = by_day if out["typed"] == "" else out["typed"]
