"""Ordering in whole packages: plain functions."""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.core.rounding import whole_above


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
    packages = whole_above(missing / package_size)
    return Order(missing, packages, on_hand + packages * package_size - wanted)
