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
from workbook_builder.printing.cards import Place, place_of
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.keep_off import sketch
from workbook_builder.printing.pages import render
from workbook_builder.printing.pouring import lines_of
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
    """One pass with one mix, and the fields it goes to."""

    typed: Cells
    places: tuple[Place, ...]
    products: tuple[PostedProduct, ...]
    keep_off: tuple[tuple[tuple[str, ...], Cells], ...]


def posting_notices(plan: Plan, choice: Choice, theme: Theme = DEFAULT_THEME) -> str:
    """Return one notice a pass and mix as HTML."""
    return render("posting_notice.html", plan, "Posting notices", theme, choice.printed, pages=notices(plan, choice), sketch=sketch)


def notices(plan: Plan, choice: Choice) -> list[Notice]:
    """Return the notices of the chosen passes, in sheet order: fields that get one mix in one pass stand on one."""
    groups: dict[tuple[str, str], list[int]] = {}
    for row in choice.rows(plan):
        typed = plan.tables["passes"][row]
        groups.setdefault((folded(typed["pass"]), folded(typed["mix"])), []).append(row)
    return [_notice(plan, rows) for rows in groups.values()]


def _notice(plan: Plan, rows: list[int]) -> Notice:
    products = [_product(plan, line) for line in lines_of(plan, "mix_lines", rows[0])]
    posted = tuple(product for product in products if product is not None)
    return Notice(plan.tables["passes"][rows[0]], tuple(place_of(plan, row) for row in rows), posted, _keep_off([plan.tables["buffers"][row] for row in rows]))


def _keep_off(buffers: list[Cells]) -> tuple[tuple[tuple[str, ...], Cells], ...]:
    """Return how far people keep away, told once for the fields where it is the same, with their names."""
    alike: dict[tuple[object, ...], list[Cells]] = {}
    for row in buffers:
        if row["exclusion_zone"] != "" and (row["exclusion_zone"] or row["downwind_buffer"]):
            alike.setdefault((row["exclusion_zone"], row["downwind_buffer"], row["downwind_side"]), []).append(row)
    return tuple((tuple(dict.fromkeys(str(row["field"]) for row in rows)), rows[0]) for rows in alike.values())


def _product(plan: Plan, line: Cells) -> PostedProduct | None:
    """Return a product as posted, or None for one that is no pesticide (an adjuvant, say)."""
    number = str(at(plan.tables["products"], line["product_row"], "registration_no"))
    names = [str(row["active_ingredient"]) for row in plan.tables["ingredients"] if folded(row["product"]) == folded(line["product"])]
    if line["product_row"] == "" or (not names and not at(plan.tables["product_facts"], line["product_row"], "pesticide")):
        return None
    return PostedProduct(str(line["product"]), number, ", ".join(names), at(plan.tables["product_facts"], line["product_row"], "rei"))
