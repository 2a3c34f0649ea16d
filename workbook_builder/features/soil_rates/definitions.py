"""Rates by soil: plain functions."""

from __future__ import annotations

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.rounding import rounded

Known = float | str
#: Stands for a soil figure that nobody entered: only rows that do not ask for it fit.
UNKNOWN = -1.0
#: Ends a range whose upper end is open.
OPEN = 1e9


def range_from(low: Known, high: Known) -> float:
    """Return where a range of a label row begins: below everything where the row does not ask."""
    return UNKNOWN if low == high == "" else 0.0 if low == "" else float(low)


def range_to(high: Known) -> float:
    """Return where a range of a label row ends."""
    return OPEN if high == "" else float(high)


def soil_status(rows: float, here: float, found: float, rate: Known, low: Known, high: Known,
                unsure: float = 0) -> str:
    """Judge a rate against the row of the label that holds for the soil of the field.

    Parameters
    ----------
    rows, here, found : int
        Rows of the product, those of them of the crop or of any, and number of the one that fits, 0 for none.
    rate, low, high : float or ""
        Base units on an area [base/area].
    unsure : int
        1 where the row may not mean the crop: then only what is over its rate is sure.

    Notes
    -----
    Rows that name other crops only are looked at.  Where no row fits, a figure of the soil is missing,
    or the label has no rate for it: neither is OK.
    """
    if not rows:
        return ""
    if not here:
        return LOOK
    if not found or rate == "" or low == high == "":
        return NOT_ENTERED
    if high != "" and rounded(float(rate) - float(high), 6) > 0:
        return NOT_ALLOWED
    if unsure:
        return NOT_ENTERED
    return LOOK if low != "" and rounded(float(rate) - float(low), 6) < 0 else OK
