"""Label limits: an amount against its limit, on the basis and in the unit the label counts in."""

from __future__ import annotations

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.rounding import rounded
from workbook_builder.features.labels.definitions import ON_ACTIVE

Known = float | str


def against_limit(amount: Known, limit: Known, needed: Known) -> str:
    """Judge an amount against a label limit in the same unit.

    Parameters
    ----------
    amount, limit : float or ""
    needed : int or ""
        1 when the label must give the limit, 0 when it need not, blank for no product.

    Returns
    -------
    str
        ``OK``, ``Not allowed``, ``Not entered`` or blank.
    """
    if needed == "":
        return ""
    if limit == "":
        return NOT_ENTERED if needed == 1 else ""
    if amount == "":
        return NOT_ENTERED
    return NOT_ALLOWED if rounded(float(amount) - float(limit), 6) > 0 else OK


def against_near_limit(amount: Known, limit: Known, needed: Known, unsure: int) -> str:
    """Judge an amount against a limit whose row may only nearly name the crop, which is no OK.

    Parameters
    ----------
    amount, limit, needed : float or ""
        As in :func:`against_limit`.
    unsure : int
        0 when the row names the crop, 1 when one of any crop stands beside it, 2 when it stands alone.
    """
    held = against_limit(amount, limit, needed)
    return (OK, LOOK, NOT_ENTERED)[unsure] if held == OK else held


def label_unit(per_area: Known, per_volume: float, carrier: float) -> Known:
    """Return the base units per area [base/area] in one label unit.

    Blank where the product cannot be turned into it.

    Parameters
    ----------
    per_area : float or ""
        Base units of a unit by area [base/area].
    per_volume : float
        Base units of a unit by spray volume [base/volume].
    carrier : float
        Carrier rate [volume/area].
    """
    return "" if per_area == "" else float(per_area) + per_volume * carrier


def in_label_units(amount: Known, unit: Known) -> Known:
    """Return base units per area in label units.

    Blank where either is not known or the unit holds nothing.
    """
    return "" if amount == "" or not unit else float(amount) / float(unit)


def limit_shown(unit: Known, *limits: Known) -> Known:
    """Return the lowest of some limits [base/area] in label units,
    rounded to the nine digits a label could state.
    """
    known = [float(limit) for limit in limits if limit != ""]
    return rounded(min(known) / float(unit), 9) if known and unit else ""


def counted_as(mass: float, ratio: Known) -> Known:
    """Return a mass [mass/area] as the acid equivalent or the active ingredient it holds by a ratio.

    Blank where that is not known.
    """
    return "" if ratio == "" else mass * float(ratio)


def on_basis(on: int, acid: Known, active: Known, ratio: float) -> Known:
    """Return an amount on the basis its limit is compared on.

    Parameters
    ----------
    on : int
        What is counted: acid equivalent or active ingredient.
    acid, active : float or ""
        The amount as either [mass/area].
    ratio : float
        Acid equivalent in a unit of the limit as it was typed.
    """
    if on == ON_ACTIVE:
        return active
    return "" if acid == "" else float(acid) / ratio


def time_order(day: float, trip: Known) -> float:
    """Return when an application comes among those on its ground: by its last day, trips of one day apart."""
    return day + (0 if trip == "" else float(trip)) / 1000000


def repeat_status(needed: int, passes: Known, most: Known, days: Known, interval: Known) -> str:
    """Judge how often and how soon a product is used again on a field.

    Parameters
    ----------
    needed : int
        1 when the label must give both figures.
    passes, most : int or ""
        Applications planned and allowed in the season.
    days, interval : float or ""
        Days since the last application and the label's retreatment interval [days].
    """
    too_many = "" not in (passes, most) and float(passes) > float(most)
    too_soon = "" not in (days, interval) and float(days) < float(interval)
    if too_many or too_soon:
        return NOT_ALLOWED
    if needed == 1 and "" in (most, interval):
        return NOT_ENTERED
    return "" if most == interval == "" else OK


def room_to_round(amount: float | str, most: float | str, in_season: float | str,
                  most_in_season: float | str) -> float:
    """Return how often a planned amount may go into its limits, 10 at most; 10 where nothing limits it.

    Parameters
    ----------
    amount, most : float or ""
        Per application [unit of the label].
    in_season, most_in_season : float or ""
        In the season [unit of the label].
    """
    pairs = ((amount, most), (in_season, most_in_season))
    return min([10.0, *(float(limit) / float(planned) for planned, limit in pairs if limit != ""
                        and planned != "" and float(planned) > 0)])
