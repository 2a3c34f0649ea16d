"""Does spot spraying pay: plain functions of one pass, per field area.

The gain over broadcasting falls in a straight line with the share of the field sprayed, so the share
at which it stops paying has a closed form.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import number
from workbook_builder.core.rounding import gained, number_text, rounded, shown
from workbook_builder.features.shares.beta import share_quantile, told_chance

#: A number, or blank text.
Entered = float | str


def loads_at(share: float, main: float, spot: float) -> float:
    """Return the tank loads per field area at a share of the field sprayed, part loads as parts.

    Parameters
    ----------
    share : float
    main, spot : float
        Loads that all of the ground takes from the main tank and from the tank that spots [1/area].

    Notes
    -----
    A pass that sprays the whole field is sprayed from the main tank, as broadcasting is.
    """
    return main if share >= 1 else spot * share


@dataclass(frozen=True)
class SpotTerms:
    """What decides between spot spraying and broadcasting one pass, per field area.

    Attributes
    ----------
    product, carrier : float
        Products and carrier at the full rate [money/area].
    main_loads, spot_loads : float
        Loads for all of the ground from the main tank and from the tank that spots [1/area].
    refill : float
        Cost of a refill [money].
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
    main_loads: float
    spot_loads: float
    refill: float
    fee: float
    drive: float
    escapes: float
    again: float

    @property
    def broadcast(self) -> float:
        """Cost of broadcasting [money/area]."""
        return self.product + self.carrier + self.main_loads * self.refill + self.drive

    @property
    def start(self) -> float:
        """Gain over broadcasting as the share goes to none [money/area]."""
        return self.broadcast - self.drive - self.escapes - self.fee - self.second_pass(0)

    @property
    def slope(self) -> float:
        """Gain lost from no share to the whole field [money/area]."""
        return (self.product + self.carrier + self.spot_loads * self.refill) * (1 + self.again)

    def second_pass(self, share: float) -> float:
        """Return what doing a spot pass at a share again costs, times its chance [money/area]."""
        refills = loads_at(share, self.main_loads, self.spot_loads) * self.refill
        return self.again * ((self.product + self.carrier) * share + refills + self.fee + self.drive)

    def gain(self, share: float) -> float:
        """Return the gain over broadcasting at a share of the field sprayed [money/area]."""
        refills = loads_at(share, self.main_loads, self.spot_loads) * self.refill
        return self.start - ((self.product + self.carrier) * share + refills) * (1 + self.again)

    @property
    def break_even_share(self) -> Entered:
        """Share above which broadcasting costs less; blank when spot spraying never pays."""
        return "" if self.slope <= 0 or self.start < 0 else min(1.0, self.start / self.slope)


def net_of(added_returns: float, reduced_costs: float, added_costs: float,
           reduced_returns: float = 0.0) -> float:
    """Return the net change of a partial budget [money].

    References
    ----------
    Partial budget: added returns and reduced costs, less added costs and reduced returns.
    """
    return added_returns + reduced_costs - added_costs - reduced_returns


def share_at(chance: float, done: float, left: float, a: float, b: float) -> float:
    """Return the share of the field not exceeded with a chance: what is done of it,
    and a Beta quantile of what is left.
    """
    return min(1.0, done + left * share_quantile(chance, a, b))


def chance_it_pays(even: Entered, done: float, left: float, a: float, b: float) -> float:
    """Return the chance that no more than the break-even share is sprayed.

    None where spot spraying never pays.

    Parameters
    ----------
    even : float or ""
        Break-even share.
    done, left : float
        Share of the field sprayed already; part of the field that is left.
    a, b : float
        Beta shape of what is left.
    """
    if even == "":
        return 0
    return told_chance((number(even) - done) / left, a, b) if left else int(done <= number(even))


def spot_verdict(priced: float, term_row: Entered, net: Entered) -> tuple[str, str]:
    """Return status and finding of a spot pass: Review where it costs more than broadcasting,
    Not entered where a price or its terms are missing.
    """
    if not priced:
        return NOT_ENTERED, "A product has no price"
    if term_row == "":
        return NOT_ENTERED, "No spot terms for this sprayer, use and crop: fee counted as 0"
    if rounded(number(net), 6) >= 0:
        return OK, ""
    return (LOOK,
            f"Broadcasting would cost {number_text(shown(-number(net), 2))} less at this share of the field")


def ratio(part: Entered, whole: Entered) -> Entered:
    """Return a part over the whole, blank where there is none."""
    return number(part) / number(whole) if number(whole) else ""


def season_chance(passes: float, mean: float, spread: float) -> Entered:
    """Return the chance that a season pays, on a normal curve by mean and standard deviation [money].

    Blank without spot passes.

    It is never told as certain, from 0.1 to 99.9 %, while there is a spread.
    """
    if not passes:
        return ""
    return (min(0.999, max(0.001, NormalDist(0, spread).cdf(mean))) if rounded(spread, 6) > 0
            else int(mean >= 0))


def gain_at_price(share: float, start: float, slope: float, product: float, dearer: float,
                  again: float) -> float:
    """Return the gain over broadcasting at another product cost [money/area], rounded as a gain.

    Parameters
    ----------
    share : float
    start, slope : float
        Line of the gain at the cost entered [money/area].
    product, dearer : float
        Products per sprayed area as entered, and at the other cost [money/area].
    again : float
        Chance of a second pass.
    """
    return gained(start - slope * share + (dearer - product) * (1 - share * (1 + again)))
