"""Economic injury levels and thresholds: plain functions."""

from __future__ import annotations

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.rounding import rounded

Known = float | str


def yield_value(price: Known, crop_yield: Known) -> Known:
    """Return the value of the crop [money/area]: price times expected yield,
    or the price of a whole area's crop where no yield is given.
    """
    return "" if price == "" else float(price) * (1 if crop_yield == "" else float(crop_yield))


def injury_level(cost: Known, value: Known, injury: float, damage: float, control: float) -> Known:
    """Return the economic injury level [pests], C / (V I D K); blank where a term is not known.

    Parameters
    ----------
    cost : float or ""
        C, cost of control [money/area].
    value : float or ""
        V, value of the crop [money/area], or of a unit of yield where the damage is told in units of yield.
    injury : float
        I, injury per pest.
    damage : float
        D, part of the yield lost per unit of injury, or yield lost per area.
    control : float
        K, share of the damage that the control prevents.

    References
    ----------
    Pedigo's EIL = C / (V x I x D x K), as printed in university lecture slides, Pest Management Concepts (2).
    """
    prevented = 0.0 if value == "" else float(value) * injury * damage * control
    return "" if cost == "" or prevented == 0 else float(cost) / prevented


def cost_all_sprayed(product: float, carrier: float, sprayed: Known, application: float,
                     area: float) -> Known:
    """Return what a pass costs where all of its field is sprayed [money/area].

    Parameters
    ----------
    product, carrier : float
        On the ground that is sprayed [money].
    sprayed, area : float
        Ground that is sprayed, and the field [area].
    application : float
        Driving over the whole field [money].
    """
    return (product + carrier) / float(sprayed) + application / area if sprayed else ""


def gain(count: Known, level: Known, cost: Known) -> Known:
    """Return what controlling a count gains over its cost [money/area]:
    the loss prevented is the cost times count over injury level.
    """
    return ("" if "" in (count, level, cost) or float(level) == 0
            else float(cost) * float(count) / float(level) - float(cost))


def threshold_status(count: Known, threshold: Known, planned: int) -> str:
    """Judge a count against its threshold, and whether a pass is planned.

    Parameters
    ----------
    count, threshold : float or ""
        In the same unit.
    planned : int
        1 where a pass against the pest is planned.

    Notes
    -----
    A pass planned below the threshold is looked at, and so is a threshold that is reached without a pass.
    """
    if "" in (count, threshold):
        return NOT_ENTERED
    reached = rounded(float(count) - float(threshold), 6) >= 0
    return OK if reached == bool(planned) else LOOK
