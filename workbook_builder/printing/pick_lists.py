"""Pick lists: what to fetch from the store, for each pass or for a range of dates."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from workbook_builder.core.columns import NOT_ALLOWED
from workbook_builder.core.draft import Cells, number
from workbook_builder.core.room import folded
from workbook_builder.features.orders.pick_list import PickLine, pick_lines
from workbook_builder.planning import Plan
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.pages import Wording, render
from workbook_builder.theme import DEFAULT_THEME, Theme


@dataclass(frozen=True)
class PickRow:
    """One product on a pick list, ready to print."""

    product: str
    registration: str
    restricted: bool
    packages: str
    package: str
    amount: str
    on_hand: str
    short: str
    unknown: int


@dataclass(frozen=True)
class PickPage:
    """One pick list, ready to print."""

    heading: str
    passes: tuple[Cells, ...]
    rows: tuple[PickRow, ...]
    #: Passes of it that are not allowed as planned.
    stopped: tuple[str, ...]


def pick_list(plan: Plan, choice: Choice, theme: Theme = DEFAULT_THEME) -> str:
    """Return one pick list a pass name, or a single one when a range of dates is chosen, as HTML."""
    return render("pick_list.html", plan, "Pick list", theme, choice.printed, pages=pick_pages(plan, choice))


def pick_pages(plan: Plan, choice: Choice) -> list[PickPage]:
    """Return the pick lists of the chosen passes."""
    rows = choice.rows(plan)
    first, last = choice.first_day, choice.last_day
    if first or last:
        heading = f"{first} to {last}" if first and last else f"from {first}" if first else f"until {last}"
        return [_page(plan, heading, rows)]
    groups: dict[str, list[int]] = {}
    for row in rows:
        groups.setdefault(folded(plan.tables["passes"][row]["pass"]), []).append(row)
    return [_page(plan, str(plan.tables["passes"][group[0]]["pass"]), group) for group in groups.values()]


def _page(plan: Plan, heading: str, rows: Iterable[int]) -> PickPage:
    rows = list(rows)
    wording = Wording.of(plan)
    # Late where no day is entered; passes of one day stay in the order of the workbook.
    passes = tuple(sorted((plan.tables["passes"][row] for row in rows),
                          key=lambda row: number(row["date"]) or math.inf))
    states = ((plan.tables["passes"][row], plan.tables["pass_open"][row]["status"]) for row in rows)
    stopped = tuple(f"{typed['pass']} on {typed['field']}" for typed, state in states if state == NOT_ALLOWED)
    return PickPage(heading, passes, tuple(_row(line, wording) for line in pick_lines(plan, rows)), stopped)


def _row(line: PickLine, wording: Wording) -> PickRow:
    product = line.product
    unit = str(product["package_unit"])
    return PickRow(
        product=str(product["product"]), registration=str(product["registration_no"])
        if folded(product["registration_no"]) != "none" else "",
        restricted=folded(product["restricted_use"]) == "yes",
        packages=wording.number(line.packages, 0) or "not entered",
        package=f"{wording.number(product['package_size'], 3)} {unit}".strip(),
        amount=f"{wording.number(line.in_package_units, 2)} {unit}".strip() if line.package_base
        else "not entered",
        on_hand=f"{wording.number(number(product['on_hand']), 2)} {unit}" if product["on_hand"] != ""
        else "not entered",
        short=f"{wording.number(line.short, 2)} {unit}" if line.short > 0 and line.package_base else "",
        unknown=line.unknown,
    )
