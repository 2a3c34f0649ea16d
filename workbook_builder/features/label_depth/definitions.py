"""Least rates, carrier, stages and dates of labels: plain functions."""

from __future__ import annotations

from datetime import timedelta

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import EPOCH
from workbook_builder.core.rounding import rounded

Known = float | str
#: Stands for a stage whose date nobody typed for the field.
NO_DATE = -1
#: Whether a pass goes over a growing crop that the label wants left alone: it does, or nobody can tell.
OVER_CROP, PLANTING_UNKNOWN = 1, 2


def rate_floor(area: Known, volume: Known, carrier: float, unit: Known) -> Known:
    """Return the least rate of a label in its own unit.

    Blank where the label gives none, or the unit cannot be compared.

    Parameters
    ----------
    area : float or ""
        Least rate by area [base/area].
    volume : float or ""
        Least rate by spray volume [base/volume].
    carrier : float
        Carrier rate [volume/area].
    unit : float or ""
        Base units of one label unit [base/area].
    """
    if area == volume == "" or not unit:
        return ""
    return rounded(max(float(area or 0), float(volume or 0) * carrier) / float(unit), 9)


def _past(amount: Known, limit: Known) -> float:
    """Return how far an amount is over a limit, rounded; 0 where there is no limit."""
    return 0.0 if limit == "" else rounded(float(amount) - float(limit), 6)


def least_status(
    rate: Known, typed: Known, least: Known, carrier: float, low: Known, high: Known, height: Known,
    tallest: Known, sprays: float, most_sprays: Known
) -> str:
    """Judge a product of a pass against the least and greatest figures of its label.

    Blank stands for none given.

    Parameters
    ----------
    rate, least : float or ""
        Rate in the pass and least rate, in the unit of the label; blank where they cannot be told in it.
    typed : float or ""
        Least rate as the label gives it, in whatever unit.
    carrier, low, high : float or ""
        Carrier rate, 0 where it is not known, and the least and greatest the label allows [volume/area].
    height, tallest : float or ""
        Height of the weeds at the pass, and the greatest the label names [length].
    sprays, most_sprays : int or ""
        Applications of its group on the field this season, 0 where its group is not known,
        and the most the label allows.

    Notes
    -----
    A rate below the label's is lawful in most places, though it breeds resistance, so it is looked at;
    what the label
    says of carrier, or of applications of a group, is not to be broken.
     A figure of the label that cannot be compared is not OK.

    References
    ----------
    UF/IFAS EDIS PI015 on rates below the label's.
    """
    if (carrier and (_past(carrier, low) < 0 or _past(carrier, high) > 0)) or _past(sprays, most_sprays) > 0:
        return NOT_ALLOWED
    pairs = ((low, carrier or ""), (high, carrier or ""), (typed, rate), (typed, least), (tallest, height),
             (most_sprays, sprays or ""))
    if any(asked != "" and known == "" for asked, known in pairs):
        return NOT_ENTERED
    if _past(rate, least) < 0 or _past(height, tallest) > 0:
        return LOOK
    return "" if typed == low == high == tallest == most_sprays == "" else OK


def earlier_in_year(day: Known, limit: Known) -> int:
    """Return 1 where a day comes before another in the year, whichever year each is of.

    0 where one is not known.
    """
    if "" in (day, limit):
        return 0
    one, other = ((EPOCH + timedelta(days=int(each))) for each in (day, limit))
    return int((one.month, one.day) < (other.month, other.day))


def last_day(planted: Known, days: Known) -> Known:
    """Return the last day of a number of days after planting.

    `NO_DATE` where the planting date is not known.
    """
    return "" if days == "" else int(planted) + int(days) if planted else NO_DATE


def over_crop(found: Known, allowed: str, crop: str, day: Known, planted: Known, next_planted: Known,
              harvest: Known) -> int:
    """Return whether a pass goes over a crop in the ground that its label does not allow it over.

    Parameters
    ----------
    found : int or ""
        Row of the label, blank where none is found.
    allowed : str
        What the label says of spraying over the crop: ``no`` forbids it.
    crop : str
        Crop of the pass; fallow has none to spare.
    day, planted, next_planted, harvest : float or ""
        Day of the pass, planting of this season's crop and of the next, harvest of this one [day number].

    Returns
    -------
    int
        `OVER_CROP` from the day after planting to the day of harvest, `PLANTING_UNKNOWN` where this
        season's crop has no planting date, else 0.
    """
    if found == "" or allowed != "no" or crop == "fallow" or day == "":
        return 0
    sprayed = float(day)
    if next_planted and sprayed >= float(next_planted):
        return OVER_CROP if sprayed > float(next_planted) else 0
    if harvest and sprayed > float(harvest):
        return 0
    if not planted:
        return PLANTING_UNKNOWN
    return OVER_CROP if sprayed > float(planted) else 0


def stage_status(day: Known, first: Known, end: Known, last: Known, height: Known, low: Known, high: Known,
                 after: Known, before: Known, over: int = 0) -> str:
    """Judge the day of a pass against what a label says of the crop's stage and height and of dates:
    all of it has to hold.

    Parameters
    ----------
    day : int or ""
        Day of the pass.
    first, end : int or ""
        Day from which the stage allows it, and the day of the stage before which it must be;
        `NO_DATE` where the field has no such date.
    last : int or ""
        Last day after planting; `NO_DATE` where the planting date is not known.
    height, low, high : float or ""
        Height of the crop at the pass, and the label's least and greatest.
    after, before : int or ""
        First and last day of the year that the label allows, as days of any year.
    over : int
        See :func:`over_crop`.

    References
    ----------
    VanGessel, Univ. of Delaware Weekly Crop Update: where a label gives height and collars,
    the one reached first governs.
    """
    stages = [value for value in (first, end, last) if value != ""]
    sized = low != "" or high != ""
    if not stages and not sized and after == before == "" and not over:
        return ""
    if over == OVER_CROP:
        return NOT_ALLOWED
    if day != "":
        starts, ends, closes = (float(value or NO_DATE) for value in (first, end, last))
        if (starts > float(day) or 0 < ends <= float(day) or 0 < closes < float(day)
            or earlier_in_year(day, after) or earlier_in_year(before, day)):
            return NOT_ALLOWED
    if (height != "" and ((low != "" and float(height) < float(low))
                          or (high != "" and float(height) > float(high)))):
        return NOT_ALLOWED
    lacks = NO_DATE in stages or (sized and height == "") or day == "" or over == PLANTING_UNKNOWN
    return NOT_ENTERED if lacks else OK
