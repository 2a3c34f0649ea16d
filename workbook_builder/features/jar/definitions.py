"""Amounts for a jar test: plain functions."""

from __future__ import annotations

from collections.abc import Sequence

from workbook_builder.core.adding import added
from workbook_builder.core.inputs import Row
from workbook_builder.core.units import factor, tidy


def jar_sizes() -> list[Row]:
    """Return the jars with their volume [mL]."""
    return [{"jar": jar, "volume_ml": tidy(factor(unit, "mL"))}
            for jar, unit in (("pint", "pt"), ("quart", "qt"), ("litre", "L"))]


def jar_area(jar: float, carrier: float) -> float:
    """Return the area [area] that a jar of spray stands for.

    Parameters
    ----------
    jar : float
        Jar volume [volume].
    carrier : float
        Spray volume per area [volume/area].
    """
    return jar / carrier


def jar_amount(area_rate: float, volume_rate: float, carrier: float, jar: float) -> float:
    """Return the amount of a product in a jar [amount].

    Parameters
    ----------
    area_rate : float
        Amount per area of sprayed ground [amount/area], 0 for a rate by volume.
    volume_rate : float
        Amount per volume of spray [amount/volume], 0 for a rate per area.
    carrier : float
        Spray volume per area [volume/area].
    jar : float
        Jar volume [volume].

    References
    ----------
    Scaling rule: field rate per area x jar volume / carrier volume per area; a quart at
    25 gal/ac stands for 1/100 acre.  GRDC Spray Application Manual 7.5 uses the same rule.
    """
    return area_rate * jar_area(jar, carrier) + volume_rate * jar


def jar_liquids(forms: Sequence[str], volumes: Sequence[float | str], bad_rows: float) -> float | str:
    """Return the volume of all liquid products in a jar [mL],
    blank where a product of the mix does not resolve.

    Parameters
    ----------
    forms : sequence of str
        ``liquid`` or ``dry``, one a product.
    volumes : sequence of float or ""
        Volume of each product [mL].
    bad_rows : float
        Products whose rate, unit or density is missing.
    """
    if bad_rows:
        return ""
    return added(float(volume) for form, volume in zip(forms, volumes, strict=True) if form == "liquid"
                 and volume != "")
