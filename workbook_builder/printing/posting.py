"""Posting notices: what a central place must show of an application, filled in as far as planned.

The elements are those of 40 CFR 170.311(b): product, registration number and active
ingredient; crop or site and its location; dates and times of start and end; re-entry
interval.  Anything that only happens in the field is a blank to write in.
"""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.core.draft import Cells, at
from workbook_builder.core.room import folded
from workbook_builder.planning import Plan
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.fit import scale_for, text_height
from workbook_builder.printing.pages import render
from workbook_builder.theme import DEFAULT_THEME, Theme


@dataclass(frozen=True)
class PostedProduct:
    """One registered product on a notice."""

    product: str
    registration: str
    ingredients: str
    rei_hours: object


@dataclass(frozen=True)
class Notice:
    """One pass on one field, ready to print."""

    typed: Cells
    crop: str
    area: object
    sprayed_area: object
    times: Cells
    intervals: Cells
    products: tuple[PostedProduct, ...]

    @property
    def scale(self) -> float:
        """Scale at which the notice stays on one page."""
        return scale_for(self._height)

    def _height(self, width: float) -> float:
        total = 470 + text_height(f"{self.typed['field']} {self.crop}", width / 2 - 20, 15, True)
        total += text_height(str(self.typed["pass"]), width / 2 - 20, 15, True)
        for each in self.products:
            columns = ((each.product, True), (each.registration, False), (each.ingredients, False))
            total += 10 + max(text_height(text, width * 0.26, 12, bold) for text, bold in columns)
        return total


def posting_notices(plan: Plan, choice: Choice, theme: Theme = DEFAULT_THEME) -> str:
    """Return one notice a pass and field as HTML."""
    return render("posting_notice.html", plan, "Posting notices", theme, pages=notices(plan, choice))


def notices(plan: Plan, choice: Choice) -> list[Notice]:
    """Return the notices of the chosen passes, in sheet order."""
    return [_notice(plan, row) for row in choice.rows(plan)]


def _notice(plan: Plan, row: int) -> Notice:
    volume = plan.tables["pass_volumes"][row]
    products = [_product(plan, line) for line in plan.tables["mix_lines"] if line["parent_no"] == row + 1 and line["product"] != ""]
    return Notice(
        plan.tables["passes"][row], str(volume["crop"]), volume["area"], volume["sprayed_area"], plan.tables["pass_times"][row],
        plan.tables["intervals"][row], tuple(product for product in products if product is not None),
    )


def _product(plan: Plan, line: Cells) -> PostedProduct | None:
    """Return a product as posted, or None for one that is no pesticide (an adjuvant, say)."""
    number = str(at(plan.tables["products"], line["product_row"], "registration_no"))
    names = [str(row["active_ingredient"]) for row in plan.tables["ingredients"] if folded(row["product"]) == folded(line["product"])]
    if line["product_row"] == "" or (not names and not at(plan.tables["product_facts"], line["product_row"], "pesticide")):
        return None
    return PostedProduct(str(line["product"]), number, ", ".join(names), at(plan.tables["product_facts"], line["product_row"], "rei"))
