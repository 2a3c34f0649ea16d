"""Flow, pressure and catch of nozzles: plain functions, constants as published."""

from __future__ import annotations

import math

from workbook_builder.core.adding import added

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


def sizes_between(flow: float, flows: list[float], reference: float, low: float, high: float) -> tuple[int, int]:
    """Return which nominal sizes give a flow within a pressure range, as places counted from 0: first and one past the last.

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
    """Return the length of the 1/128-acre course [ft] for a spacing [in]: fluid ounces caught are then gallons per acre."""
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
