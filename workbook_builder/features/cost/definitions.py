"""Cost of passes, by area and in words: plain functions."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.rounding import number_text, rounded, shown, with_commas

NO_TRIP = "Partner pass is no broadcast pass of this field, day and sprayer: a trip of its own is counted"


def per_area(amount: float, area: Any) -> Any:
    """Return an amount per area, blank without an area."""
    return amount / area if area else ""


def application_cost(per_area: float, area: float, per_hour: float, hours: Any) -> float:
    """Return the cost of driving over a field [money].

    Parameters
    ----------
    per_area : float
        Charge per field area [money/area].
    area : float
        Area driven over [area].
    per_hour : float
        Machine and driver, owning and own time [money/h].
    hours : float or ""
        Hours of work [h].
    """
    return float(per_area * area + per_hour * (hours or 0))


def hours_beside_partner(loads: float, partner_loads: float, refill_minutes: float) -> float:
    """Return what a spot pass adds to the hours of its partner's trip [h].

    Both tanks are filled at one stop, so only loads beyond the partner's cost a stop more.

    Parameters
    ----------
    loads, partner_loads : float
        Loads of the spot pass and of the broadcast pass driven with it.
    refill_minutes : float
        Filling and hauling per stop [min].
    """
    return max(0, loads - partner_loads) * refill_minutes / 60


def hours_paid(together: int, hours: Any, part: float, by_load: int, loads: Any, partner_loads: Any,
               refill_minutes: Any) -> Any:
    """Return the hours paid for a pass [h]: of the part of the field treated,
    or beside the partner it shares a trip with.
    """
    if together:
        return hours_beside_partner(loads or 0, partner_loads or 0, refill_minutes if by_load else 0)
    return "" if hours == "" else hours * part


def carrier_cost(logged: Any, mixed: float, part: float, price: float) -> float:
    """Return the cost of the carrier [money]: of the volume logged,
    or else of the volume mixed for the part of the field treated.
    """
    return float(price * (mixed * part if logged == "" else logged))


def cost_judgement(unpriced: int, per_area: float, per_hour: float, hours: Any,
                   alone: int) -> tuple[str, str]:
    """Return status and finding of the cost of a pass.

    Parameters
    ----------
    unpriced : int
        Products without a price.
    per_area, per_hour : float
        What the sprayer costs [money/area], [money/h].
    hours : float or ""
        Hours paid [h].
    alone : int
        1 when the partner pass is driven in another trip.
    """
    if unpriced:
        return NOT_ENTERED, "A product has no price"
    if per_area + per_hour == 0:
        return LOOK, "The sprayer has no cost per area or hour"
    if per_hour > 0 and hours == "":
        return NOT_ENTERED, "Cost per hour needs speed, width and efficiency"
    return (LOOK, NO_TRIP) if alone else (OK, "")


def assumed_cost(carrier_cost: float, price: float, usual_price: float, volume_unit: str,
                 estimated: int) -> str:
    """Say what in the cost of the farm nobody typed: the carrier at its usual price,
    and the sprayers counted by usual figures.
    """
    said = []
    if carrier_cost and rounded(price - usual_price, 9) == 0:
        said.append(f"carrier at {shown(price, 4):.4f} per {volume_unit}: "
                    f"{with_commas(shown(carrier_cost, 0))}")
    if estimated:
        said.append(f"usual machine figures: {number_text(estimated)} sprayer{'' if estimated == 1 else 's'}")
    return "; ".join(said)
