"""What was done, as the log says: what landed where, and what in the log contradicts itself or the field."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from workbook_builder.core.rounding import number_text, rounded, shown
from workbook_builder.features.records.inputs import (
    AMOUNT_DOUBT,
    AREA_DOUBT,
    LOADS_DOUBT,
    PACE_DOUBT,
    VOLUME_DOUBT,
)

BLANKS = ("", None)


def carrier_landed(planned: Any, method: str, volume: Any, area: Any) -> float:
    """Return the spray volume per area that landed [volume/area]: as logged of a boom,
    as planned of a spot nozzle, wherever it sprays.
    """
    if not planned or method.casefold() == "spot" or not volume or not area:
        return planned or 0
    return float(volume / area)


def ground_sprayed(method: str, area: Any, volume: Any, carrier: Any) -> Any:
    """Return the ground that a logged amount landed on [area]; blank when it is not known.

    Parameters
    ----------
    method : str
        A spot nozzle gives its carrier rate wherever it sprays; a boom sprays the area treated.
    area : float or ""
        Area treated [area].
    volume : float or ""
        Volume sprayed [volume].
    carrier : float or ""
        Carrier rate planned [volume/area].
    """
    if method.casefold() != "spot":
        return area or ""
    return volume / carrier if volume and carrier else ""


def part_treated(treated: Any, method: str, area: Any) -> float:
    """Return the part of a field that was treated: all of it until the log says otherwise; a spot pass drives
    over the whole field.
    """
    return float(treated / area) if treated != "" and method.casefold() != "spot" and area else 1


def amount_on(rate_base: float, carried: float, per: float, to_base: float) -> float:
    """Return the amount of a product [amount unit].

    Parameters
    ----------
    rate_base : float
        Base units per area.
    carried, per : float
        What it goes by: volume sprayed over the carrier rate, or ground sprayed over 1.
    to_base : float
        Base units in the amount unit.
    """
    return rate_base * carried / per / to_base


def amount_by_mix(by_volume: Any, rate_base: Any, ground: Any, to_base: Any) -> Any:
    """Return the amount that the rate of the mix makes it [amount unit]: by the volume sprayed,
    or else by the ground.
    """
    return (by_volume if by_volume != "" or "" in (rate_base, ground)
            else amount_on(rate_base, ground, 1, to_base))


def cost_logged(amount: Any, to_base: float, unit_price: float, planned: Any, part: float) -> Any:
    """Return the cost of a product [money]: of the amount logged,
    or else as planned for the part of the field treated.
    """
    if amount != "":
        return amount * to_base * unit_price
    return "" if planned == "" else planned * part


def apart(value: float, other: float, tolerance: float) -> bool:
    """Return whether a value lies farther from another than a part of the other."""
    return rounded(abs(value - other) - other * tolerance, 6) > 0


def over(value: float, other: float, tolerance: float) -> bool:
    """Return whether a value is larger than another by more than a part of it."""
    return rounded(value - other * (1 + tolerance), 6) > 0


def amount_doubtful(measured: Any, by_mix: Any) -> bool:
    """Return whether an amount measured is far from what the rate of the mix makes it.

    Not where either is blank.
    """
    return measured not in BLANKS and by_mix not in BLANKS and apart(measured, by_mix, AMOUNT_DOUBT)


def contradictions(area: Any, field_area: Any, volume: Any, by_plan: Any, method: Any, typed: Any,
                   of_loads: Any, covered: Any, reach: Any) -> list[str]:
    """Return which figures of the log of a pass cannot all be right: ``area``, ``volume``, ``loads``,
    ``covered``, ``pace``.

    Parameters
    ----------
    area, field_area : float or ""
        Treated, and of the field [area].
    volume, by_plan : float or ""
        Sprayed, and what the carrier rate puts on the area treated [volume].
    method : str
        The volume of a ``spot`` pass may be as small as the spots.
    typed, of_loads, covered : float or ""
        Volume typed, and volume and area of the loads logged.
    reach : float or ""
        What boom and speed drive over in the hours logged [area].
    """
    spot, said = str(method).casefold() == "spot", []
    if area not in BLANKS and field_area and over(area, field_area, AREA_DOUBT):
        said.append("area")
    known = volume not in BLANKS and by_plan not in BLANKS
    if known and (over(volume, by_plan, VOLUME_DOUBT) or (not spot and apart(volume, by_plan, VOLUME_DOUBT))):
        said.append("volume")
    if typed not in BLANKS and of_loads and apart(of_loads, volume, LOADS_DOUBT):
        said.append("loads")
    if field_area and covered and over(covered, field_area, AREA_DOUBT):
        said.append("covered")
    if area not in BLANKS and reach not in BLANKS and over(area, reach, PACE_DOUBT):
        said.append("pace")
    return said


def _figure(value: Any, digits: int = 1) -> str:
    return number_text(shown(value or 0, digits))


def doubts(
    area: Any, field_area: Any, volume: Any, by_plan: Any, method: str, typed: Any, of_loads: Any,
    covered: Any, reach: Any, hours: Any, strangers: int, log_day: Any,
    area_unit: str, volume_unit: str, doubtful: Sequence[int], products: Sequence[str],
    measured: Sequence[Any], by_mix: Sequence[Any],
) -> str:
    """Say what in the log of a pass cannot all be right: with the field, the carrier rate, the loads,
    the clock and the mix.

    Parameters
    ----------
    area, field_area, volume, by_plan, method, typed, of_loads, covered, reach
        As :func:`contradictions` takes them.
    hours : float or ""
        By the log [h].
    strangers : int
        Amounts used of products that are not in the mix.
    log_day : float or ""
        Day sprayed [day number].
    area_unit, volume_unit : str
    doubtful, products, measured, by_mix : sequence
        Of each line of the mix: whether its amount is in doubt, its name, the amount measured and by the mix.
    """
    words = {
        "area": f"area treated {_figure(area)} {area_unit}, the field has {_figure(field_area)}",
        "volume": f"volume sprayed {_figure(volume)} {volume_unit}, the carrier rate puts {_figure(by_plan)} "
                  f"on the area treated",
        "loads": f"loads logged hold {_figure(of_loads)} {volume_unit}, volume sprayed is {_figure(volume)}",
        "covered": f"loads logged cover {_figure(covered)} {area_unit}, the field has {_figure(field_area)}",
        "pace": f"{_figure(area)} {area_unit} in {_figure(hours)} h, the sprayer drives over "
                f"{_figure(reach)}",
    }
    said = [words[kind] for kind in contradictions(area, field_area, volume, by_plan, method, typed, of_loads,
                                                   covered, reach)]
    if 1 in doubtful:
        line = list(doubtful).index(1)
        said.append(f"amount of {products[line]} used is {_figure(measured[line], 2)}, the rate of the mix "
                    f"makes it {_figure(by_mix[line], 2)}")
    if strangers > 0:
        said.append("amounts used name a product that is not in the mix, which no limit judges")
    if log_day == "" and any(amount != "" for amount in measured):
        said.append("amounts used are typed, but not the date sprayed")
    return "".join(f"; {sentence}" for sentence in said)
