"""Does spot spraying pay: plain functions of one pass, per field area.

The gain over broadcasting falls in a straight line with the share of the field sprayed, so the share
at which it stops paying has a closed form.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class SpotTerms:
    """What decides between spot spraying and broadcasting one pass, per field area.

    Attributes
    ----------
    product : float
        Products at the full rate [money/area].
    carrier : float
        Carrier at the full rate [money/area].
    refill_main : float
        Refilling for the whole field from the main tank [money/area].
    refill_spot : float
        Refilling for the whole field from the tank that spots [money/area].
    fee : float
        Charge for spot spraying [money/area].
    drive : float
        Driving over the field, refills left out [money/area].
    escapes : float
        Loss from weeds that spot spraying misses [money/area].
    again : float
        Chance that the spot pass is done again, 0 to 1.
    """

    product: float
    carrier: float
    refill_main: float
    refill_spot: float
    fee: float
    drive: float
    escapes: float
    again: float

    @property
    def start(self) -> float:
        """Gain over broadcasting as the share goes to none [money/area]."""
        spent = self.fee + self.escapes + self.again * (self.fee + self.drive)
        return self.product + self.carrier + self.refill_main - spent

    @property
    def slope(self) -> float:
        """Gain lost from no share to the whole field [money/area]."""
        return (self.product + self.carrier + self.refill_spot) * (1 + self.again)

    def gain(self, share: float) -> float:
        """Return the gain over broadcasting at a share of the field sprayed [money/area].

        Notes
        -----
        A pass that sprays the whole field is sprayed from the main tank, as broadcasting is.
        """
        refill = self.refill_main if share >= 1 else self.refill_spot
        return self.start - (self.product + self.carrier + refill) * share * (1 + self.again)

    @property
    def broadcast(self) -> float:
        """Cost of broadcasting [money/area]."""
        return self.product + self.carrier + self.refill_main + self.drive

    @property
    def break_even_share(self) -> float | None:
        """Share above which broadcasting costs less; None when spot spraying never pays."""
        if self.slope <= 0 or self.start < 0:
            return None
        return min(1.0, self.start / self.slope)


def net_of(added_returns: float, reduced_costs: float, added_costs: float, reduced_returns: float = 0.0) -> float:
    """Return the net change of a partial budget [money].

    References
    ----------
    Partial budget: added returns and reduced costs, less added costs and reduced returns.
    """
    return added_returns + reduced_costs - added_costs - reduced_returns
