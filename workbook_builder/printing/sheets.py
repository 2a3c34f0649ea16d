"""Every sheet that carries a code."""

from __future__ import annotations

from collections.abc import Iterator

from workbook_builder.planning import Plan
from workbook_builder.printing.cards import cards
from workbook_builder.printing.choice import Choice, NothingToPrint
from workbook_builder.printing.codes import Code
from workbook_builder.printing.spot_sheets import sheets


def titles(plan: Plan, choice: Choice) -> Iterator[tuple[Code, str]]:
    """Give the code and the title of every mix card and spot sheet of a plan."""
    try:
        for card in cards(plan, choice):
            yield card.code, f"{card.title}, {card.passes}"
    except NothingToPrint:
        # A farm may have spot passes alone.
        pass
    for sheet in sheets(plan, choice):
        yield sheet.code, sheet.title
