"""Least rates, carrier, stages and dates of labels: plain functions."""

from __future__ import annotations

from datetime import timedelta

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import EPOCH
from workbook_builder.core.rounding import rounded

Known = float | str
#: Stands for a stage whose date nobody typed for the field.
NO_DATE = -1


def rate_floor(area: float, volume: float, carrier: float, unit: Known) -> Known:
    """Return the least rate of a label in its own unit; blank where the label gives none, or the unit cannot be compared.

    Parameters
    ----------
    area : float
        Least rate by area [base/area], 0 for none.
    volume : float
        Least rate by spray volume [base/volume], 0 for none.
    carrier : float
        Carrier rate [volume/area].
    unit : float or ""
        Base units of one label unit [base/area].
    """
    floor = max(area, volume * carrier)
    return rounded(floor / float(unit), 9) if floor and unit else ""


def least_status(rate: Known, least: Known, carrier: Known, low: float, high: float, height: Known, tallest: float, sprays: float, most_sprays: float) -> str:
    """Judge a product of a pass against the least and greatest figures of its label; 0 or blank stands for none given.

    Parameters
    ----------
    rate, least : float or ""
        Rate in the pass and least rate, in the unit of the label.
    carrier, low, high : float
        Carrier rate, and the least and greatest the label allows [volume/area].
    height, tallest : float
        Height of the weeds at the pass, and the greatest the label names [length].
    sprays, most_sprays : int
        Applications of its group on the field this season, and the most the label allows.

    Notes
    -----
    A rate below the label's is lawful in most places, though it breeds resistance, so it is looked at; what the label
    says of carrier, or of applications of a group, is not to be broken.

    References
    ----------
    UF/IFAS EDIS PI015 on rates below the label's.
    """
    if (low and (carrier == "" or rounded(float(carrier) - low, 6) < 0)) or (high and carrier != "" and rounded(float(carrier) - high, 6) > 0):
        return NOT_ENTERED if carrier == "" else NOT_ALLOWED
    if most_sprays and sprays > most_sprays:
        return NOT_ALLOWED
    if (least != "" and rate == "") or (tallest and height == ""):
        return NOT_ENTERED
    if (least != "" and rounded(float(rate) - float(least), 6) < 0) or (tallest and rounded(float(height) - tallest, 6) > 0):
        return LOOK
    return OK if least != "" or low or high or tallest or most_sprays else ""


def earlier_in_year(day: Known, limit: Known) -> int:
    """Return 1 where a day comes before another in the year, whichever year each is of; 0 where one is not known."""
    if "" in (day, limit):
        return 0
    one, other = ((EPOCH + timedelta(days=int(each))) for each in (day, limit))
    return int((one.month, one.day) < (other.month, other.day))


def last_day(planted: Known, days: Known) -> Known:
    """Return the last day of a number of days after planting; `NO_DATE` where the planting date is not known."""
    return "" if days == "" else int(planted) + int(days) if planted else NO_DATE


def stage_status(day: Known, first: Known, end: Known, last: Known, height: Known, low: Known, high: Known, after: Known, before: Known) -> str:
    """Judge the day of a pass against what a label says of the crop's stage and height and of dates: all of it has to hold.

    Parameters
    ----------
    day : int or ""
        Day of the pass.
    first, end : int or ""
        Day from which the stage allows it, and the day of the stage before which it must be; `NO_DATE` where the field has no such date.
    last : int or ""
        Last day after planting; `NO_DATE` where the planting date is not known.
    height, low, high : float or ""
        Height of the crop at the pass, and the label's least and greatest.
    after, before : int or ""
        First and last day of the year that the label allows, as days of any year.

    References
    ----------
    VanGessel, Univ. of Delaware Weekly Crop Update: where a label gives height and collars, the one reached first governs.
    """
    stages = [value for value in (first, end, last) if value != ""]
    sized = low != "" or high != ""
    if not stages and not sized and after == before == "":
        return ""
    if day != "":
        starts, ends, closes = (float(value or NO_DATE) for value in (first, end, last))
        if starts > float(day) or 0 < ends <= float(day) or 0 < closes < float(day) or earlier_in_year(day, after) or earlier_in_year(before, day):
            return NOT_ALLOWED
    if height != "" and ((low != "" and float(height) < float(low)) or (high != "" and float(height) > float(high))):
        return NOT_ALLOWED
    return NOT_ENTERED if NO_DATE in stages or (sized and height == "") or day == "" else OK
