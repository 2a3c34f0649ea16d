"""Plant-back: how a crop stands to a spray, and from when on it may be planted."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.features.intervals.definitions import add_months

#: How a crop stands to a spray: it is not judged, it is planted later, its planting date is not known, or it
#: is the same day.
NOT_JUDGED, PLANTED_LATER, DATE_UNKNOWN, SAME_DAY = 0, 1, 2, 3
FALLOW = "fallow"


def earliest_planting(day: Any, days: Any, months: Any) -> Any:
    """Return the first day a crop may be planted: the later of an interval in days and one in calendar
    months.

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
    if day == "" or days == months == "":
        return ""
    return max(day if days == "" else day + days, day if months == "" else add_months(day, int(months)))


def longer_unit(day: Any, days: Any, months: Any) -> str:
    """Return which of two intervals ends later, ``days`` or ``months``: months where the day is not known,
    blank where there is none.

    Parameters
    ----------
    day, days, months
        As :func:`earliest_planting` takes them.
    """
    if months == "":
        return "" if days == "" else "days"
    return "months" if "" in (day, days) or earliest_planting(day, "", months) >= day + days else "days"


def state_of(later: bool, undated: int, crop_name: str, crop: str, planted: Any, day: Any) -> int:
    """Return how a crop of a field stands to a spray.

    Parameters
    ----------
    later : bool
        Whether it is the next crop and not this season's.
    undated : int
        State of this season's crop without a planting date.
    crop_name, crop : str
        Its one name and as typed.
    planted, day : int or ""
        Day of planting and first day of the spray [day number].
    """
    if crop_name.casefold() == FALLOW or crop == planted == "":
        return NOT_JUDGED
    if planted == "":
        return PLANTED_LATER if later else undated
    if day == "":
        return PLANTED_LATER if later else NOT_JUDGED
    return PLANTED_LATER if planted > day else SAME_DAY if planted == day else NOT_JUDGED


def planting_status(
    held: int, crop: str, interval: Any, last_day: Any, margin: Any, every: int, unsure: int, needed: int = 1,
    state: int = NOT_JUDGED, sprayed_for: str = "", planted: str = "", named_row: Any = "",
    forbidden: Any = "",
) -> str:
    """Judge one crop planted after one spray.

    Parameters
    ----------
    held, every, unsure : int
        1 where the plant-back row counts, where it is only that of any crop,
        and where it may not mean the crop.
    crop : str
        Crop planted.
    interval, margin : int or ""
        Interval of the label, in its unit, and days to spare [d].
    last_day : int or ""
        Last day of the spray [day number].
    needed : int
        1 where the label must give an interval.
    state, sprayed_for, planted, named_row, forbidden
        How this season's crop stands to the spray, the crop sprayed for and the crop planted,
        the label row that names it, and whether that forbids it:
        a label that names the crop itself has an interval of its own for it,
        which that of any crop does not replace.
    """
    if not held:
        return ""
    if crop == "" or interval == "":
        return NOT_ENTERED if needed == 1 else ""
    if last_day == "":
        return NOT_ENTERED
    if margin != "" and margin < 0:
        own_crop = (state == PLANTED_LATER and sprayed_for.casefold() == planted.casefold()
                    and named_row != "" and forbidden != 1)
        return NOT_ENTERED if every and own_crop else NOT_ALLOWED
    if unsure:
        return NOT_ENTERED
    return OK if margin != "" or interval == 0 else LOOK
