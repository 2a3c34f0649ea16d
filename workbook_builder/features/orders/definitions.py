"""Ordering in whole packages: plain functions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from workbook_builder.core.adding import total
from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.rounding import number_text, rounded, shown, whole_above, with_commas
from workbook_builder.features.records.inputs import AREA_DOUBT

INCOMPLETE = "Package size, unit, price or density is missing"


@dataclass(frozen=True)
class Order:
    """What to order of one product.

    Attributes
    ----------
    missing : float
        Wanted less on hand, never below none [package unit].
    packages : int
    leftover : float
        In store at the season's end [package unit].
    """

    missing: float
    packages: int
    leftover: float


def order_by(first_use: float, delivery_days: float) -> float:
    """Return the last day to order on [day number].

    Parameters
    ----------
    first_use : float
        Day of the first pass that needs the product [day number].
    delivery_days : float
        From ordering to delivery [days].
    """
    return first_use - delivery_days


#: A ten-thousandth of a package is nothing: what is measured out is known to no more.
PACKAGE_DIGITS = 4


def order(wanted: float, on_hand: float, package_size: float) -> Order:
    """Return the whole packages that cover what is wanted.

    Parameters
    ----------
    wanted, on_hand : float
        [package unit].
    package_size : float
        Amount in one package [package unit], above 0.
    """
    missing = max(0.0, wanted - on_hand)
    packages = whole_above(missing / package_size, PACKAGE_DIGITS)
    return Order(missing, packages, on_hand + packages * package_size - wanted)


def part_left(remaining_area: Any, area: Any) -> float:
    """Return the part of a field still to do by the load log, all of it where the log does not say."""
    return float(remaining_area / area) if remaining_area != "" and area else 1


def part_to_do(left: float, method: str, log_day: Any, treated: Any, area: Any) -> float:
    """Return the part of a pass to buy for: none once it is logged, and what is left of one half done.

    Parameters
    ----------
    left : float
        Part of the field still to do by the load log and the record of a ``spot`` pass [share].
    method : str
    log_day : float or ""
        Day of the record [day number].
    treated, area : float or ""
        Area treated by the record, and of the field [area].
    """
    if log_day == "" or method.casefold() == "spot":
        return left
    rest = 1 - treated / area if treated != "" and area else 0
    return float(rest) if rounded(rest - AREA_DOUBT, 6) > 0 else 0


def share_done(left: float, logged: Any, mean: Any) -> float:
    """Return the share of a field that is sprayed already: by the log on the part driven,
    or else the mean expected of it.
    """
    return min(1, (mean or 0) if logged == "" else logged) * (1 - left) if left != 1 else 0


def volume_to_mix(slot: Any, plan: Any, volume: float, to_do: float, opens: Any, unusable: float) -> Any:
    """Return what is still to mix of a pass [volume]: as the plan of a spot pass says,
    or by the part of it left to do.
    """
    if slot != "":
        return plan
    rest = volume * to_do
    return rest + (opens * unusable if rounded(rest, 6) > 0 else 0)


def in_packages(base: float, package_base: Any, package_size: float) -> Any:
    """Return an amount in the unit of its package.

    `base` and `package_base` are in base units, blank where a package is not known.
    """
    return base / package_base * package_size if package_base else ""


def needed(products: Sequence[Any], product: int, bases: Sequence[Any], package_base: Any,
           package_size: float) -> Any:
    """Return what all passes need of one product in the unit of its package.

    `products` and `bases` stand for the lines of the passes.
    """
    return in_packages(total(base for of, base in zip(products, bases, strict=True) if of == product),
                       package_base, package_size)


def saved(cost: Any, other_cost: Any, packages: Any) -> float:
    """Return what the cheapest other package size saves [money]."""
    return max(0, cost - other_cost) if packages and "" not in (cost, other_cost) else 0


def order_judgement(
    wanted: Any, uncounted: int, price: Any, drop_date: Any, first_use: Any, packages: Any, cheaper: float,
    leftover: Any, other_left: Any, unit: str, currency: str
) -> tuple[str, str]:
    """Return status and finding of what is ordered of a product.

    Parameters
    ----------
    wanted : float or ""
        [package unit].
    uncounted : int
        Lines of passes that could not be counted.
    price : float or ""
        Of a package [money].
    drop_date, first_use : float or ""
        Day of delivery and of the first pass that needs it [day number].
    packages : int or ""
    cheaper : float
        Saved by another package size [money].
    leftover, other_left : float or ""
        Left at the season's end, and in the best other package size [package unit].
    unit : str
    currency : str
        Sign before money.
    """
    if uncounted or "" in (wanted, price):
        return NOT_ENTERED, INCOMPLETE
    said = []
    if packages and "" not in (drop_date, first_use) and drop_date > first_use:
        said.append("Delivered after it is first needed.")
    if shown(cheaper, 0) > 0:
        said.append(f"Another package size saves {currency}{with_commas(shown(cheaper, 0))}.")
    if packages and "" not in (leftover, other_left) and rounded(leftover - other_left, 6) > 0:
        said.append(f"Another package size leaves {number_text(shown(leftover - other_left, 1))} {unit} "
                    f"less.")
    return LOOK if said else OK, " ".join(said)
