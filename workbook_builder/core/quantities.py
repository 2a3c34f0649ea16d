"""Quantity kinds: what a column measures, its unit in both systems, and its digits.

Units are named here once; conversion factors come from pint through
:mod:`workbook_builder.core.units`.
"""

from __future__ import annotations

from dataclasses import dataclass

US = "us"
METRIC = "metric"
SYSTEMS = (US, METRIC)


@dataclass(frozen=True)
class Quantity:
    """A quantity kind.

    Parameters
    ----------
    us, metric : str
        Unit label in each system (blank when the number has no unit).
    digits : int
        Decimal places shown.
    form : str
        ``number``, ``text``, ``name``, ``code``, ``date``, ``time``, ``moment`` (date and time),
        ``share`` (0 to 1, shown as %), ``money`` or ``whole``.
    """

    us: str = ""
    metric: str = ""
    digits: int = 0
    form: str = "number"

    def unit(self, system: str, currency: str = "$") -> str:
        """Return the unit label in one system, with the currency sign filled in."""
        label = self.us if system == US else self.metric
        return label.replace("$", currency)


#: Kinds of text that break into lines where they stand as results.
WRAPPED = ("long_text", "sentence", "one_line")


QUANTITIES: dict[str, Quantity] = {
    "text": Quantity(form="text"),
    "name": Quantity(form="name"),
    "long_text": Quantity(form="text"),
    # Text kept on one line, shrunk where it is longer than its cell.
    "one_line": Quantity(form="text"),
    # Text that runs over into the free cells beside it.
    "sentence": Quantity(form="text"),
    "status": Quantity(form="text"),
    # A letter or a day of the month in a narrow cell of its own.
    "day_mark": Quantity(form="text"),
    "unit_label": Quantity(form="text"),
    "date": Quantity(form="date"),
    "time": Quantity(form="time"),
    "moment": Quantity(form="moment"),
    "count": Quantity(form="whole"),
    "index": Quantity(form="whole"),
    "season": Quantity(form="whole"),
    # A whole number, or a number with letters: groups of insecticides and fungicides.
    "code": Quantity(form="code"),
    "number": Quantity(digits=2),
    "factor": Quantity(digits=6),
    "amount": Quantity(digits=2),
    "share": Quantity("%", "%", 0, "share"),
    "percent": Quantity("%", "%", 1),
    "area": Quantity("ac", "ha", 2),
    "volume": Quantity("gal", "L", 1),
    "carrier": Quantity("gal/ac", "L/ha", 1),
    "speed": Quantity("mph", "km/h", 1),
    "length": Quantity("ft", "m", 1),
    "spacing": Quantity("in", "cm", 1),
    "rain": Quantity("in", "mm", 2),
    "small_area": Quantity("sq ft", "m2", 2),
    "density_of_weeds": Quantity("per sq ft", "per m2", 2),
    "work_rate": Quantity("ac/h", "ha/h", 1),
    "hours": Quantity("h", "h", 2),
    "minutes": Quantity("min", "min", 0),
    "days": Quantity("days", "days", 0, "whole"),
    "years": Quantity("years", "years", 1),
    "whole_years": Quantity("years", "years", 0, "whole"),
    "fuel_rate": Quantity("gal/h", "L/h", 1),
    "density": Quantity("lb/gal", "kg/L", 3),
    "mass_per_area": Quantity("lb/ac", "kg/ha", 4),
    "mass_per_volume": Quantity("lb/gal", "g/L", 3),
    "money": Quantity("$", "$", 2, "money"),
    "money_per_area": Quantity("$/ac", "$/ha", 2, "money"),
    "money_per_hour": Quantity("$/h", "$/h", 2, "money"),
    "money_per_volume": Quantity("$/gal", "$/L", 4, "money"),
    "money_per_base": Quantity("$/base unit", "$/base unit", 6, "money"),
    "latitude": Quantity("deg N", "deg N", 4),
    "longitude": Quantity("deg E", "deg E", 4),
    "ppm": Quantity("ppm", "ppm", 0),
    "ph": Quantity(digits=1),
    "degrees": Quantity("deg", "deg", 3),
    "temperature": Quantity("deg F", "deg C", 1),
    "delta_t": Quantity("deg C", "deg C", 1),
    "flow": Quantity("gal/min", "L/min", 3),
    "pressure": Quantity("psi", "bar", 1),
    "small_volume": Quantity("fl oz", "mL", 1),
    "ams_rate": Quantity("lb/100 gal", "kg/100 L", 2),
    "milliliters": Quantity("mL", "mL", 2),
    "grams": Quantity("g", "g", 2),
    "teaspoons": Quantity("tsp", "tsp", 2),
}


def quantity(name: str) -> Quantity:
    """Return the quantity kind called `name`.

    Raises
    ------
    KeyError
        When no such kind is declared.
    """
    return QUANTITIES[name]
