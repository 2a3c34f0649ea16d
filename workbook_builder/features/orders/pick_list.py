"""What to fetch from the store for some passes: amounts, whole packages and what is short."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from workbook_builder.core.draft import Cells, number
from workbook_builder.core.rounding import whole_above
from workbook_builder.features.orders.definitions import PACKAGE_DIGITS

if TYPE_CHECKING:
    from workbook_builder.planning import Plan


@dataclass(frozen=True)
class PickLine:
    """One product to fetch.

    Attributes
    ----------
    product : Cells
        Its row of the products.
    phase : str
        ``liquid`` or ``dry``, as sold; blank when the package unit is not known.
    base : float
        Amount over all the passes, in base units as sold.
    packages : int or None
        Whole packages that hold it; None when the package is not known.
    short : float
        What the store lacks, in the package unit.
    unknown : int
        Passes whose amount could not be worked out.
    """

    product: Cells
    phase: str
    base: float
    package_base: float
    packages: int | None
    short: float
    unknown: int

    @property
    def in_package_units(self) -> float:
        """Amount in the unit of the package."""
        return (self.base / self.package_base * number(self.product["package_size"])
                if self.package_base else 0)


def pick_lines(plan: Plan, rows: Iterable[int]) -> list[PickLine]:
    """Add up the products of some passes.

    Parameters
    ----------
    plan : Plan
    rows : iterable of int
        Rows of the passes, counted from 0.

    Returns
    -------
    list of PickLine
        In the order of the product table.

    Notes
    -----
    Packages are rounded up to whole ones after rounding to six digits, as everywhere.
    """
    chosen = {row + 1 for row in rows}
    base: dict[int, float] = {}
    unknown: dict[int, int] = {}
    for of_pass, line in zip(plan.tables["mix_lines"], plan.tables["pick_list"], strict=True):
        at = line["product_row"]
        if at != "" and of_pass["parent_no"] in chosen:
            base[at] = base.get(at, 0) + number(line["base"])
            unknown[at] = unknown.get(at, 0) + (line["base"] == "")
    found = []
    for at in sorted(base):
        product, facts = plan.tables["products"][at - 1], plan.tables["product_facts"][at - 1]
        package = number(facts["package_base"])
        packages = whole_above(base[at] / package, PACKAGE_DIGITS) if package else None
        wanted = base[at] / package * number(product["package_size"]) if package else 0.0
        short = max(0.0, wanted - number(product["on_hand"]))
        found.append(PickLine(product, str(facts["phase"]), base[at], package, packages, short, unknown[at]))
    return found
