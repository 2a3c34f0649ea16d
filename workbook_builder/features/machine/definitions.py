"""What a machine costs to own and whether it pays: plain functions.

Two timings of net present value are kept apart by name: `present_value_now` counts the
first flow today, `present_value_after_a_year` counts it at the end of the first year (the
timing of a spreadsheet's NPV function).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from typing import Any

from workbook_builder.core.adding import added, total

#: An internal rate of return is looked for between these rates.
LOWEST_RATE, HIGHEST_RATE = -0.999999, 1e6
#: No rate is told of a premium of which less than this part comes back, or that comes back this many times in
#: a year.
TENTH, MANY_TIMES = 0.1, 10


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


def remaining_share(years: float, hours_per_year: float, start: float, by_years: float,
                    by_hours: float) -> float:
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
    for year, so_far in enumerate(running):
        if round(so_far, 6) >= 0:
            return float(year) if year == 0 else year - 1 - running[year - 1] / worth[year]
    return None


def yearly_flows(price: float, trade: float, years: int, benefit: float) -> list[float]:
    """Return the money in and out of each year, the outlay first and the trade-in with the last return
    [money].
    """
    return [-price, *[benefit] * (years - 1), benefit + trade]


def paid_back(year: float, price: float, benefit: float, rate: float = 0.0) -> float:
    """Return what the returns have paid back of the price by the end of a year [money], trade-in left out."""
    return added(benefit / (1 + rate) ** past for past in range(1, int(year) + 1)) - price


def first_guess(price: float, trade: float, years: float, benefit: float) -> float:
    """Return where to look for the rate of return first [1/year]: what is left over each year,
    of the mean value.
    """
    return (max(-0.9, min(3, (benefit - depreciation(price, trade, years)) / mean_value(price, trade)))
            if price + trade else 0)


def no_rate(price: float, trade: float, years: float, benefit: float) -> str:
    """Say why a machine has no rate of return worth telling; blank where it has one.

    Parameters
    ----------
    price, trade : float
        Paid now and received at the end [money].
    years : float
        [years].
    benefit : float
        Return of each year [money].
    """
    if price <= 0:
        return "Nothing is paid"
    if benefit <= 0:
        return "It never saves what it costs to keep"
    if benefit * years + trade < TENTH * price:
        return "Less than a tenth of the premium comes back"
    # Engines search a rate from a guess and lose their way far from it.
    return "Paid back more than ten times in a year" if benefit + trade > MANY_TIMES * price else ""


def saving_in_crop(typed: Any, area: float, nets: Sequence[Any], sprayers: Sequence[Any],
                   crops: Sequence[Any], sprayer: int, crop: int) -> Any:
    """Return what a crop's area saves [money/area]: as typed, or else the mean of this plan's spot passes.

    Blank where there are none.

    Parameters
    ----------
    typed : float or ""
    area : float
        Spot sprayed in this plan by the sprayer in the crop [area].
    nets, sprayers, crops : sequence
        Net saving [money], sprayer and crop of every spot pass.
    sprayer, crop : int
    """
    if typed != "" or not area:
        return typed
    return total(net for net, *of in zip(nets, sprayers, crops, strict=True) if of == [sprayer, crop]) / area


def saving_per_area(
    typed: Any, use_area: float, missing: int, savings: Sequence[Any], machines: Sequence[Any], machine: int,
    plan_area: float, plan_net: float
) -> Any:
    """Return what a machine saves [money/area]: as typed, or by crop,
    or else the mean of this plan's spot passes.

    Parameters
    ----------
    typed : float or ""
    use_area : float
        Area a year by crop [area].
    missing : int
        Crops whose saving is not known.
    savings, machines : sequence
        Saved a year [money] and machine of every crop row.
    machine : int
    plan_area, plan_net : float
        Spot sprayed in this plan [area] and its net saving [money].
    """
    if typed != "":
        return typed
    if use_area > 0:
        return ("" if missing else total(saving for saving, of in zip(savings, machines, strict=True)
                                         if of == machine) / use_area)
    return plan_net / plan_area if plan_area > 0 else ""


def annual_net(figures: dict[str, float], insurance_rate: float) -> float:
    """Return what is left over per year after all costs of the machine [money/year].

    Parameters
    ----------
    figures : dict
        ``price``, ``trade`` [money], ``life`` [years], ``rate`` [1/year], ``saving``, ``fee``,
        ``upkeep`` [money/area] and ``area`` [area/year].
    insurance_rate : float
        Per year, as a share of the price.
    """
    factor = capital_recovery_factor(figures["rate"], figures["life"])
    recovery = capital_recovery(figures["price"], figures["trade"], factor, figures["rate"])
    return ((figures["saving"] - figures["fee"] - figures["upkeep"]) * figures["area"]
            - insurance_rate * figures["price"] - recovery)


def swing_bar(low: float, entered: float, high: float) -> tuple[float, float, float, float, float]:
    """Return the parts that a bar from one result to another is stacked of, on a scale on which nothing
    stands still [money/year].

    Both shades meet at what is left as entered.  A stack grows away from nothing, so the shade that lies
    nearer to nothing comes first, and a shade that reaches beyond nothing goes on from there on the other
    side.

    Parameters
    ----------
    low, entered, high : float
        What is left over with a figure moved down, as entered and moved up [money/year].

    Returns
    -------
    tuple of float
        What stays blank between nothing and the bar; moved down, moved up, moved down after moved up, and
        moved up beyond nothing.
    """
    blank = sorted((0.0, low, high))[1]
    # Whether the shade moved up is the nearer one, also where next to nothing is left as entered.
    if high < entered if round(entered, 6) >= 0 else high > entered:
        return blank, 0.0, entered - blank, low - entered, high - blank
    return blank, entered - blank, high - entered, low - blank, 0.0


def verdict(live: int, years: Any, most_years: int, worth: Any) -> str:
    """Say whether a machine pays, by its worth today [money].

    `most_years` is what the list of years holds.
    """
    if not live:
        too_long = (years or 0) > most_years
        return ("Review: more years than the list holds; build anew" if too_long
                else "Not entered: a figure of its row is missing")
    return ("OK: it pays within the years kept" if worth >= 0
            else "Review: it does not pay within the years kept")
