"""Unit conversion through pint, and the unit tables the workbook prints.

Printed labels stand for few units, which are read at once; pint's whole list is for the headers of other
people's files, and only loaded for them.  Amount units are the ones people pour
or weigh; ``fl oz`` (volume) and ``oz`` (mass) are different units and never mixed.
"""

from __future__ import annotations

from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any

from workbook_builder.core.quantities import METRIC, US

if TYPE_CHECKING:
    import pint

LIQUID = "liquid"
DRY = "dry"

#: Amount unit label -> (pint unit, phase).
AMOUNT_UNITS: dict[str, tuple[str, str]] = {
    "fl oz": ("us_fl_oz", LIQUID),
    "pt": ("us_pint", LIQUID),
    "qt": ("us_quart", LIQUID),
    "gal": ("us_gallon", LIQUID),
    "mL": ("milliliter", LIQUID),
    "L": ("liter", LIQUID),
    "oz": ("avdp_oz", DRY),
    "lb": ("avdp_lb", DRY),
    "g": ("gram", DRY),
    "kg": ("kilogram", DRY),
}

#: Unit label of the other quantities -> pint expression.
FIELD_UNITS: dict[str, str] = {
    "ac": "field_acre",
    "ha": "hectare",
    "sq ft": "foot ** 2",
    "m2": "meter ** 2",
    "ft": "foot",
    "m": "meter",
    "in": "inch",
    "cm": "centimeter",
    "mm": "millimeter",
    "mph": "mile / hour",
    "km/h": "kilometer / hour",
    "h": "hour",
    "min": "minute",
    "psi": "psi",
    "bar": "bar",
    "tsp": "us_tsp",
    "tbsp": "us_tbsp",
    "$": "dimensionless",
}

#: Base unit of each phase in each system: what working columns count in.
BASE_UNITS = {
    (US, LIQUID): "fl oz",
    (US, DRY): "oz",
    (METRIC, LIQUID): "mL",
    (METRIC, DRY): "g",
}

PERCENT_BY_VOLUME = "% v/v"


@cache
def registry() -> pint.UnitRegistry[Any]:
    """Return pint's whole list and the units of the field: whatever a header may name."""
    import pint

    return _with(pint.UnitRegistry(cache_folder=None), "units.txt")


@cache
def declared() -> pint.UnitRegistry[Any]:
    """Return the units that printed labels stand for, and no others:
    a hundredth of the time that the whole list takes.
    """
    import pint

    return _with(pint.UnitRegistry(None, cache_folder=None), "base_units.txt", "units.txt")


def _with(units: pint.UnitRegistry[Any], *files: str) -> pint.UnitRegistry[Any]:
    """Return a registry with the definitions of files of the package."""
    for name in files:
        units.load_definitions(resources.files("workbook_builder").joinpath(
            "data", name).read_text("utf-8").splitlines())
    return units


def pint_name(label: str) -> str:
    """Return the pint expression for a printed unit label such as ``gal/ac``.

    Raises
    ------
    KeyError
        When the label is not one of ours.
    """
    if label in FIELD_UNITS:
        return FIELD_UNITS[label]
    top, slash, bottom = label.partition("/")
    name = AMOUNT_UNITS[top][0] if top in AMOUNT_UNITS else FIELD_UNITS[top]
    if not slash:
        return name
    below = AMOUNT_UNITS[bottom][0] if bottom in AMOUNT_UNITS else FIELD_UNITS[bottom]
    return f"({name}) / ({below})"


def tidy(value: float) -> float:
    """Return a number without the dust of binary fractions: 756.7, not 756.6999999999999."""
    return float(f"{value:.12g}")


@cache
def factor(from_unit: str, to_unit: str) -> float:
    """Return how many `to_unit` one `from_unit` is.

    Parameters
    ----------
    from_unit, to_unit : str
        Printed labels, for instance ``gal/ac`` and ``L/ha``.

    Raises
    ------
    KeyError
        For a label that is not declared.
    pint.DimensionalityError
        When the two measure different things (also a ``TypeError``).
    """
    units = declared()
    return float(units.Quantity(1.0, pint_name(from_unit)).to(pint_name(to_unit)).magnitude)


def phase(unit: str) -> str:
    """Return ``liquid`` or ``dry`` for an amount unit label."""
    return AMOUNT_UNITS[unit][1]


def base_unit(system: str, unit: str) -> str:
    """Return the base unit that amounts in `unit` are counted in."""
    return BASE_UNITS[(system, phase(unit))]


def area_unit(system: str) -> str:
    """Return the label of the farm's unit of area."""
    return "ac" if system == US else "ha"


def length_unit(system: str) -> str:
    """Return the label of the farm's unit of length on the ground."""
    return "ft" if system == US else "m"


def volume_unit(system: str) -> str:
    """Return the label of the farm's unit of spray volume."""
    return "gal" if system == US else "L"


def mass_unit(system: str) -> str:
    """Return the label of the farm's unit of weight."""
    return "lb" if system == US else "kg"


def rate_units(system: str) -> list[str]:
    """Return the rate units a farm of this system may type, most used first."""
    area, volume = area_unit(system), volume_unit(system)
    first = [PERCENT_BY_VOLUME]
    liquid_first = sorted(AMOUNT_UNITS, key=lambda u: (factor_system(u) != system, phase(u) == DRY))
    per_area = [f"{unit}/{area}" for unit in liquid_first]
    per_volume = [f"{unit}/100 {volume}" for unit in liquid_first]
    return per_area + first + per_volume + active_rate_units(system)


def active_rate_units(system: str) -> list[str]:
    """Return the rate units that count the active ingredient or the acid equivalent of the product."""
    weights = ("lb", "oz") if system == US else ("kg", "g")
    return [f"{weight} {counts}/{area_unit(system)}" for counts in ("ai", "ae") for weight in weights]


def factor_system(unit: str) -> str:
    """Return the system an amount unit belongs to."""
    return METRIC if unit in ("mL", "L", "g", "kg") else US


def split_rate_unit(unit: str) -> tuple[str, str]:
    """Split a rate unit into its amount unit and basis.

    Returns
    -------
    (amount_unit, basis) : tuple of str
        Basis is ``area``, ``percent`` or ``per 100``; the amount unit of a percent rate is
        blank (the caller chooses the one people pour).

    Raises
    ------
    ValueError
        When the text is not a rate unit.
    """
    if unit == PERCENT_BY_VOLUME:
        return "", "percent"
    amount, slash, per = unit.partition("/")
    if not slash or amount not in AMOUNT_UNITS:
        raise ValueError(f"{unit!r} is not a rate unit")
    return amount, "per 100" if per.startswith("100 ") else "area"
