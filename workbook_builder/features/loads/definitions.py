"""Spray volume, tank loads and the product in them: plain functions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import STEP_DIGITS, number_text, rounded, shown, whole_above, whole_below
from workbook_builder.features.shares.definitions import NO_SHARE

NO_DAY = "Date of this pass not entered: no interval can be counted from it"
#: Base units in the units that people pour and weigh by, and their names, as the farm counts.


@dataclass(frozen=True)
class Loads:
    """How a spray volume is split into tank fills; volumes in [volume].

    Attributes
    ----------
    full, count : int
        Full loads, and all loads.
    remainder : float
        Spray volume left after the full loads.
    first, later, last : float
        To add for the first load, the unusable volume included where it fills an empty tank;
        for a later full load; and for
        the last, part load, 0 if there is none.
    even : float
        To add for each load when all are made equal.
    mixed : float
        Mixed in all.
    """

    full: int
    remainder: float
    first: float
    later: float
    last: float
    count: int
    even: float
    mixed: float


def spray_volume(area: float, share: float, carrier: float) -> float:
    """Return the spray volume [volume] of ground sprayed at a carrier rate.

    Parameters
    ----------
    area : float
        Field area [area].
    share : float
        Share of it that is sprayed, 0 to 1.
    carrier : float
        Spray volume per sprayed area [volume/area].
    """
    return area * share * carrier


def split_into_loads(volume: float, tank: float, unusable: float = 0.0, opens: bool = True) -> Loads:
    """Split a spray volume into full loads and one last load.

    Parameters
    ----------
    volume : float
        Spray volume wanted at the nozzles [volume].
    tank : float
        Tank volume [volume].
    unusable : float
        Mixture that the tank must hold and the pump cannot draw [volume].
    opens : bool
        Whether the first load fills an empty tank.  Otherwise the unusable volume is there, left
        from the same mix before, as it is before every later load: it is mixed once for a run of fills.

    Raises
    ------
    ValueError
        When the tank holds no more than the unusable volume.
    """
    usable = tank - unusable
    if usable <= 0:
        raise ValueError("the tank must hold more than the unusable volume")
    full = whole_below(volume / usable)
    remainder = rounded(volume - full * usable, STEP_DIGITS)
    count = full + (1 if remainder > 0 else 0)
    left = unusable if opens and count else 0
    first = (usable if full else remainder) + left if count else 0
    last = remainder + (0 if full else left) if remainder > 0 else 0
    return Loads(full, remainder, first, usable, last, count, volume / count if count else 0, volume + left)


def too_small_to_agitate(last: float, unusable: float, tank: float, least: float) -> bool:
    """Return whether a last load leaves the tank too empty for its agitator.

    Parameters
    ----------
    last : float
        Spray volume of the last load [volume].
    unusable : float
        What is in the tank below it [volume].
    tank : float
        Tank volume [volume].
    least : float
        Least share of the tank that agitates.
    """
    return last > 0 and rounded(last + unusable - least * tank, STEP_DIGITS) < 0


def even_loads(last: float, loads: int, even: float, unit: str) -> str:
    """Advise even loads instead of a last one [volume] too small to agitate.

    Parameters
    ----------
    last, even : float
        The last load, and each of even loads [`unit`].
    loads : int
    unit : str
    """
    small, each = (number_text(shown(volume, 1)) for volume in (last, even))
    return (f"The last load of {small} {unit} is too small to agitate: mix {number_text(loads)} even loads "
            f"of {each} {unit}")


def loads_needed(volume: float, usable: float) -> int:
    """Return the number of fills for a spray volume [volume] at `usable` [volume] each."""
    return whole_above(volume / usable)


def amount_in(rate: float, volume: float, carrier: float) -> float:
    """Return the product in a volume of mixture.

    Parameters
    ----------
    rate : float
        Product per sprayed area [amount/area].
    volume : float
        Volume of mixture [volume].
    carrier : float
        Spray volume per sprayed area [volume/area].

    References
    ----------
    SDSU Extension, "Pesticide mixing and sprayer calibration equations": product per tank
    = rate per acre / gallons per acre x tank gallons.
    """
    return rate * volume / carrier


def load_volume(
    log_row: Any, mixed: Any, load: int, loads: Any, logged: Any, first: Any, remainder: Any,
    later: Any, last: Any,
    too_small: Any = 0, even: Any = "", opens: Any = 0, unusable: Any = 0,
) -> Any:
    """Return what is added in one load [volume], blank past the last load.

    Parameters
    ----------
    log_row, mixed : int and float, or blank
        Row of the load log that tells of it, and what was mixed then.
    load, loads, logged : int
        The load, loads of the pass in all, and how many of them are logged.
    first, later, last : float
        The next load to be mixed, a full one after it, and the last one [volume].
    remainder : float
        What the last load holds less than a full one; nought where it is full [volume].
    too_small, even : int and float
        Whether the last load would not agitate, and what each load then holds, all alike [volume].
    opens, unusable : int and float
        Whether the first load fills an empty tank, and what its pump cannot draw [volume].
    """
    if log_row != "":
        return mixed
    if load > (loads or 0):
        return ""
    if too_small:
        return even + (opens * unusable if load == 1 else 0)
    if load == 1 + (logged or 0):
        return first
    return later if load < loads or not remainder else last


def covered_area(full_volume: float, unusable: float, carrier: float) -> float:
    """Return the sprayed area that a load covers [area].

    Parameters
    ----------
    full_volume : float
        What the tank holds with the load in it [volume].
    unusable : float
        What the pump cannot draw [volume].
    carrier : float
        Spray volume per sprayed area [volume/area].
    """
    return (full_volume - unusable) / carrier


def room_taken(form: str, phase: str, poured: float | str, carrier: float | str,
               base_per_volume: float) -> float | str:
    """Return the room a product takes in a volume of mixture [share]; blank where it is not known.

    Parameters
    ----------
    form : str
        What the product is, ``liquid``, ``dry`` or blank; a dry one counts as no volume.
    phase : str
        What it is poured as: a liquid without its density stays as dry as its rate.
    poured : float or ""
        Base units per sprayed area.
    carrier : float
        Spray volume per sprayed area [volume/area].
    base_per_volume : float
        Liquid base units in a unit of spray volume.
    """
    if form == "dry":
        return 0
    return (float(poured) / float(carrier) / base_per_volume if form == phase == "liquid"
            and poured != "" else "")


def pass_state(
    loads: Any, mix_no: Any, crop: str, day: Any, liquid_part: Any, mix_status: str, mix_finding: str,
    too_small: Any, last: Any, even: Any, unit: str, method: str, share: Any, area: Any,
) -> tuple[str, str]:
    """Return the status and the finding of a pass's volumes, the worst first.

    Parameters
    ----------
    loads, mix_no, crop, day
        Blank where they do not follow from what was entered.
    liquid_part : float or ""
        Room the liquid products take in the spray volume [share].
    mix_status, mix_finding : str
        What is open about the mix.
    too_small : int
        Whether the last load does not agitate; `last` and `even` loads are in the `unit`.
    method, share, area
        A spot pass needs the share of its field that is sprayed.
    """
    if folded(method) == "spot" and share == "" and area != "":
        return NOT_ENTERED, NO_SHARE
    if "" in (loads, mix_no):
        return NOT_ENTERED, "Field, mix, method, carrier or sprayer is missing, or the tank is too small"
    if crop == "":
        return (NOT_ENTERED,
                "Crop of this pass not entered: type the next crop of the field, or the crop of the pass")
    if day == "":
        return NOT_ENTERED, NO_DAY
    if liquid_part != "" and rounded(liquid_part - 1, STEP_DIGITS) > 0:
        return (NOT_ALLOWED,
                f"The liquid products alone take {number_text(shown(liquid_part * 100, 0))} % of the spray "
                f"volume")
    if mix_status != OK:
        return mix_status, mix_finding
    if too_small:
        return LOOK, even_loads(last, loads, even, unit)
    return OK, ""


def work_rate(speed: float, width: float, efficiency: float, divisor: float) -> float:
    """Return the effective work rate [area/h].

    Parameters
    ----------
    speed : float
        [mph] or [km/h].
    width : float
        [ft] or [m].
    efficiency : float
        Field efficiency, 0 to 1.
    divisor : float
        8.25 for acres, 10 for hectares.

    References
    ----------
    Iowa State University PM 696: acres per hour = mph x ft x efficiency / 8.25.
    """
    return speed * width * efficiency / divisor

