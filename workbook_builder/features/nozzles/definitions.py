"""Flow, pressure and catch of nozzles: plain functions, constants as published."""

from __future__ import annotations

import math
from collections.abc import Sequence

from workbook_builder.core.adding import added
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.rounding import rounded

#: ISO 10625 nominal sizes: size, colour, L/min at 3 bar, gal/min at 40 psi, how sure.
#: Read from memory; 01 to 08 with high confidence, 10 to 20 with medium.
SIZES = (
    ("01", "orange", 0.40, 0.10, "from memory, high"),
    ("015", "green", 0.60, 0.15, "from memory, high"),
    ("02", "yellow", 0.80, 0.20, "from memory, high"),
    ("025", "lilac", 1.00, 0.25, "from memory, high"),
    ("03", "blue", 1.20, 0.30, "from memory, high"),
    ("04", "red", 1.60, 0.40, "from memory, high"),
    ("05", "brown", 2.00, 0.50, "from memory, high"),
    ("06", "grey", 2.40, 0.60, "from memory, high"),
    ("08", "white", 3.20, 0.80, "from memory, high"),
    ("10", "light blue", 4.00, 1.00, "from memory, medium"),
    ("15", "light green", 6.00, 1.50, "from memory, medium"),
    ("20", "black", 8.00, 2.00, "from memory, medium"),
)
#: ANSI/ASABE S572.3 categories, finest first: symbol, name, colour.  Order, symbols and
#: colours from memory (high); the colours are not those of the sizes.
DROPLETS = (
    ("XF", "Extremely Fine", "purple"),
    ("VF", "Very Fine", "red"),
    ("F", "Fine", "orange"),
    ("M", "Medium", "yellow"),
    ("C", "Coarse", "blue"),
    ("VC", "Very Coarse", "green"),
    ("XC", "Extremely Coarse", "white"),
    ("UC", "Ultra Coarse", "black"),
)


def nozzle_flow(carrier: float, speed: float, spacing: float, divisor: float = 5940.0) -> float:
    """Return the flow that each nozzle must give [gal/min] or [L/min].

    Parameters
    ----------
    carrier : float
        Spray volume per area [gal/ac] or [L/ha].
    speed : float
        [mph] or [km/h].
    spacing : float
        Nozzle spacing [in] or [cm].
    divisor : float
        5940 for US units, 60000 for metric ones (600 with metres).

    References
    ----------
    University of Missouri Extension G1270A; UF/IFAS EDIS WG013: gal/min = gal/ac x mph x in / 5940.
    """
    return carrier * speed * spacing / divisor


def carrier_factor(density: float | str, water: float) -> float:
    """Return the flow of water that stands for a flow of a carrier of another density, over that flow.

    1 where no density is given.

    Parameters
    ----------
    density : float or ""
        Of the carrier [mass/volume].
    water : float
        Of water [same unit].

    References
    ----------
    Square-root law of flow and density; conversion factors of nozzle charts, from memory:
    1.13 for 10.65 lb/gal.
    """
    return 1.0 if density == "" else math.sqrt(float(density) / water)


def pressure_for(flow: float, rated_flow: float, rated_pressure: float) -> float:
    """Return the pressure at which a nozzle gives a flow, in the unit of its rated pressure.

    References
    ----------
    Square-root law: double the flow needs four times the pressure.
    """
    return rated_pressure * (flow / rated_flow) ** 2


def flow_at(pressure: float, rated_flow: float, rated_pressure: float) -> float:
    """Return the flow of a nozzle at a pressure, in the unit of its rated flow."""
    return rated_flow * math.sqrt(pressure / rated_pressure)


def duty_cycle(flow: float, pulsed_flow: float) -> float:
    """Return the share of time that a pulsed nozzle is open to give a flow."""
    return flow / pulsed_flow


def sizes_between(flow: float, flows: list[float], reference: float, low: float,
                  high: float) -> tuple[int, int]:
    """Return which nominal sizes give a flow within a pressure range, as places counted from 0:
    first and one past the last.

    Parameters
    ----------
    flow : float
        Flow wanted of each nozzle.
    flows : list of float
        Nominal flows at the reference pressure, smallest first.
    reference, low, high : float
        Reference pressure and the range wanted, one unit.
    """
    least = round(flow * math.sqrt(reference / high), 6) - 5e-7
    most = round(flow * math.sqrt(reference / low), 6) + 5e-7
    return added(each <= least for each in flows), added(each <= most for each in flows)


def catch_course(spacing: float, factor: float = 4083.75) -> float:
    """Return the length of the 1/128-acre course [ft] for a spacing [in]:
    fluid ounces caught are then gallons per acre.
    """
    return factor / spacing


def catch_rate(catch: float, spacing: float, course: float, factor: float = 4083.75) -> float:
    """Return the spray volume per area that a catch stands for [gal/ac] or [L/ha].

    Parameters
    ----------
    catch : float
        Caught from one nozzle while the course is driven [fl oz] or [mL].
    spacing : float
        Nozzle spacing, or band width [in] or [cm].
    course : float
        Length driven [ft] or [m].
    factor : float
        4083.75 for US units (43560 x 12 / 128), 1000 for metric ones.

    References
    ----------
    LSU AgCenter, Ounces equal gallons; OMAFRA field sprayer method: L/ha = 0.2 x mL / m over 50 m.
    """
    return catch * factor / (spacing * course)


def deviation(value: float, mean: float) -> float:
    """Return how far a value lies from a mean, as a share of the mean."""
    return value / mean - 1


def mean_caught(test: float, tests: Sequence[float | str], catches: Sequence[float | str]) -> float:
    """Return the mean of what the nozzles of one test gave, in the unit of the catches.

    `tests` says which test each belongs to.
    """
    mine = [float(catch) for of, catch in zip(tests, catches, strict=True) if of == test]
    return added(mine) / len(mine)


def droplets_in_words(finest: float | str, coarsest: float | str, finest_symbol: str,
                      coarsest_symbol: str) -> str:
    """Say which droplet categories the labels want, by rank and symbol of the ends.

    Blank when no label says.
    """
    if "" not in (finest, coarsest):
        contradict = float(finest) > float(coarsest)
        return (f"labels contradict: {finest_symbol} or coarser and {coarsest_symbol} or finer" if contradict
                else f"{finest_symbol} to {coarsest_symbol}")
    return (f"{finest_symbol} or coarser" if finest_symbol else f"{coarsest_symbol} or finer"
            if coarsest_symbol else "")


def droplet_status(rank: float | str, finest: float | str, coarsest: float | str) -> str:
    """Judge a droplet category by rank, 1 finest, against the labels' range.

    Blank ends are open, and where both are nothing is said.
    """
    if finest == "" and coarsest == "":
        return ""
    if rank == "":
        return NOT_ENTERED
    return (NOT_ALLOWED if (finest != "" and float(rank) < float(finest))
            or (coarsest != "" and float(rank) > float(coarsest)) else OK)


def pressure_status(known: int, pressure: float, low: float, high: float, pulsed: int, slow: float,
                    fast: float, least: float | str) -> str:
    """Judge a nozzle: its pressure against the range of its chart and, pulsed, its duty cycles.

    Parameters
    ----------
    known : int
        1 when all these figures are entered.
    pressure, low, high : float
        [pressure].
    pulsed : int
    slow, fast, least : float
        Duty cycle at the slowest and the fastest speed and the least one advised [share].
    """
    if not known:
        return NOT_ENTERED
    inside = rounded(pressure - low, 3) >= 0 and rounded(high - pressure, 3) >= 0
    open_enough = not pulsed or (rounded(slow - float(least or 0), 4) >= 0 and rounded(fast - 1, 4) <= 0)
    return OK if inside and open_enough else LOOK


def catch_finding(mean: float | str, rate: float | str, from_mean: float, above_new: float | str,
                  from_wanted: float | str, limit: float | str, wear: float | str) -> str:
    """Say what is wrong with the catch of a nozzle, blank where nothing is.

    Parameters
    ----------
    mean, rate : float or ""
        Mean of the test, and the spray volume per area that the catch stands for.
    from_mean, above_new, from_wanted : float or ""
        Deviation from the mean, from a new nozzle and from the carrier rate wanted [share].
    limit, wear : float or ""
        Most that is accepted from mean or carrier rate, and above a new nozzle [share].
    """
    if "" in (mean, rate):
        return "Catch, or spacing of the sprayer's nozzles, not entered"
    if rounded(float(above_new or 0) - float(wear or 0), 6) > 0:
        return "Worn: replace it"
    if rounded(abs(from_mean) - float(limit or 0), 6) > 0:
        return ("Gives more than its neighbours: replace it" if from_mean > 0
                else "Gives less than its neighbours: clean it")
    off = rounded(abs(float(from_wanted or 0)) - float(limit or 0), 6) > 0
    return "Spray volume is off: check pressure and speed" if off else ""


def catch_status(mean: float | str, rate: float | str, *figures: float | str) -> str:
    """Judge the catch of a nozzle; the figures are those of :func:`catch_finding`."""
    if "" in (mean, rate):
        return NOT_ENTERED
    return LOOK if catch_finding(mean, rate, *figures) else OK  # type: ignore[arg-type]
