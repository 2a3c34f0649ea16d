"""What a machine costs to own and whether it pays: plain functions.

Two timings of net present value are kept apart by name: `present_value_now` counts the
first flow today, `present_value_after_a_year` counts it at the end of the first year (the
timing of a spreadsheet's NPV function).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

from workbook_builder.core.adding import added

#: An internal rate of return is looked for between these rates.
LOWEST_RATE, HIGHEST_RATE = -0.999999, 1e6


def capital_recovery_factor(rate: float, years: float) -> float:
    """Return the yearly payment per unit of money borrowed now [1/year].

    Parameters
    ----------
    rate : float
        Interest per year, as a share.
    years : float
        [years], above 0.

    References
    ----------
    Standard annuity: i (1 + i)^n / ((1 + i)^n - 1); 1/n without interest.
    """
    if rate == 0:
        return 1 / years
    growth = (1 + rate) ** years
    return float(rate * growth / (growth - 1))


def capital_recovery(price: float, sale_value: float, factor: float, rate: float) -> float:
    """Return depreciation and interest together, per year [money/year].

    Parameters
    ----------
    price, sale_value : float
        Paid now and received at the end [money].
    factor : float
        Capital recovery factor [1/year].
    rate : float
        Interest per year, as a share.

    References
    ----------
    Iowa State PM 710: (P - S) CRF + S i.
    """
    return (price - sale_value) * factor + sale_value * rate


def depreciation(price: float, sale_value: float, years: float) -> float:
    """Return the yearly loss of value [money/year]: (P - S) / n."""
    return (price - sale_value) / years


def mean_value(price: float, sale_value: float) -> float:
    """Return the mean value over the years kept [money]: (P + S) / 2."""
    return (price + sale_value) / 2


def remaining_share(years: float, hours_per_year: float, start: float, by_years: float, by_hours: float) -> float:
    """Return the share of the list price left after some years.

    Parameters
    ----------
    years : float
        Age [years].
    hours_per_year : float
        Use [h/year].
    start, by_years, by_hours : float
        The three figures C1, C2 and C3 of the machine class.

    References
    ----------
    ASAE D497.7 Table 4: (C1 - C2 n^0.5 - C3 h^0.5)^2; coefficients from memory, table
    values of Iowa State A3-29 reproduced.
    """
    return float(max(0.0, start - by_years * years**0.5 - by_hours * hours_per_year**0.5) ** 2)


def repairs_share(hours: float, first: float, power: float) -> float:
    """Return repairs to date as a share of the list price.

    Parameters
    ----------
    hours : float
        Hours worked so far [h].
    first, power : float
        The two repair figures of the machine class.

    References
    ----------
    ASAE D497.7 Table 3: RF1 (h / 1000)^RF2; from memory.
    """
    # Nothing is worn by no work, whatever the power.
    return float(first * (hours / 1000) ** power) if hours else 0.0


def fuel_and_lube(fuel: float, price: float, lube: float) -> float:
    """Return fuel with oil and grease [money/h].

    Parameters
    ----------
    fuel : float
        [volume/h].
    price : float
        [money/volume].
    lube : float
        Oil and grease as a share of fuel cost.

    References
    ----------
    Iowa State PM 710 and the machinery-cost equations citing ASAE Standards 2000: 15 %.
    """
    return fuel * price * (1 + lube)


def cost_per_area(fixed: float, per_area: float, area: float) -> float:
    """Return the cost of an area [money/area] at a yearly area [area] with fixed cost [money]."""
    return fixed / area + per_area


def break_even_area(fixed: float, saving_per_area: float) -> float | None:
    """Return the yearly area [area] at which savings [money/area] cover fixed cost [money].

    Returns
    -------
    float or None
        None when nothing is saved, so that no area is enough.
    """
    return fixed / saving_per_area if saving_per_area > 0 else None


def present_value_now(rate: float, flows: Sequence[float]) -> float:
    """Return the net present value with the first flow counted today [money].

    Parameters
    ----------
    rate : float
        Per year, as a share.
    flows : sequence of float
        One a year, the first one now [money].
    """
    return added(flow / (1 + rate) ** year for year, flow in enumerate(flows))


def present_value_after_a_year(rate: float, flows: Sequence[float]) -> float:
    """Return the net present value with the first flow counted after a year [money]."""
    return present_value_now(rate, flows) / (1 + rate)


def internal_rate(flows: Sequence[float]) -> float | None:
    """Return the yearly rate at which the flows are worth nothing today.

    Parameters
    ----------
    flows : sequence of float
        An outlay first, then returns [money].

    Returns
    -------
    float or None
        None when no rate does it.
    """
    low, high = LOWEST_RATE, HIGHEST_RATE
    if present_value_now(low, flows) <= 0 or present_value_now(high, flows) >= 0:
        return None
    for _ in range(200):
        middle = (low + high) / 2
        if present_value_now(middle, flows) > 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def payback(flows: Sequence[float], rate: float = 0.0) -> float | None:
    """Return the years until the flows have paid the first one back, part years by proportion.

    Parameters
    ----------
    flows : sequence of float
        The outlay (negative) now, then one return a year [money].
    rate : float
        Discount rate per year; 0 for the simple payback.

    Returns
    -------
    float or None
        None when they never do.
    """
    worth = [flow / (1 + rate) ** year for year, flow in enumerate(flows)]
    running = list(accumulate(worth))
    for year, total in enumerate(running):
        if round(total, 6) >= 0:
            return float(year) if year == 0 else year - 1 - running[year - 1] / worth[year]
    return None
