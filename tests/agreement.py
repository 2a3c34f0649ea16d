"""Whether an engine recalculates a small farm to what Python plans, without a new workbook for each farm."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

from engine_help import need_engine
from farms_strategy import EVERY_TAB, build_small
from fast_farms import BARE, MOST, roomy
from live_book import LiveBook, where

from workbook_builder.core.inputs import Inputs
from workbook_builder.verify import compare_after, edit_in_sheet, edited

#: Rows of tables of which a farm made to try one feature has more than a few.
ROWS = {"fields": 12, "passes": 13, "products": 10, "mixes": 15, "ingredients": 9, "label_limits": 10,
        "ingredient_limits": 6, "plant_back": 5, "spray_log": 13, "amounts_used": 5, "conditions": 10,
        "soil_rates": 8}
#: Lists under passes, mixes and fields: so many that most of those farms fill no more.
SLOTS = {
    "products": 11, "ingredients": 9, "lines": 54, "ingredient_lines": 57, "nutrient_lines": 20,
    "nozzle_lines": 14, "weed_lines": 10, "groups": 5, "mixes": 10,
    "crops": 6, "pass_names": 14, "gaps": 9, "carried": 18, "spot": 6, "steps": 7,
}
#: Rows of each table for which the open workbooks have room.
MOST_ROWS = MOST | ROWS
#: The farms typed into the open workbooks of this process, for what wants to look at them again.
SEEN: list[Inputs] = []
#: Table, row counted from 0, column, value.
Typed = tuple[str, int, str, Any]


@cache
def open_book(system: str) -> LiveBook:
    """Return the workbook that this process keeps open in IronCalc for the farms made to try one feature."""
    return LiveBook(build_small(roomy(BARE[system], MOST_ROWS), 0, EVERY_TAB, slots=SLOTS))


def differences(inputs: Inputs, engine_name: str, edits: Sequence[Typed] = ()) -> list[str]:
    """Return where a farm differs from its plan in an engine, as it is and after some edits.

    IronCalc has the farm typed into a workbook kept open, where that has room for it;
    else each program reads one of its own.
    """
    engine = need_engine(engine_name)
    if engine_name == "IronCalc":
        book = open_book(inputs.system)
        if book.refill(inputs):
            SEEN.append(inputs)
        else:
            book = LiveBook(build_small(inputs, asked=EVERY_TAB if edits else ()))
        found = [where(book.built, each) for each in book.differences()[:5]]
        for edit in edits:
            book.change(*edit)
        return (found + [f"edited: {where(book.built, each)}"
                         for each in (book.differences()[:5] if edits else ())])
    built = build_small(inputs)
    # What a build fills in, such as the first pass as the one chosen, stands in the sheet as well.
    before = after = built.plan.inputs
    for edit in edits:
        after = edited(after, *edit)
    found = [where(built, each) for each in compare_after(built, engine, before, [])[:5]]
    typed = [edit_in_sheet(built.placement, *edit) for edit in edits]
    return (found + [f"edited: {where(built, each)}"
                     for each in (compare_after(built, engine, after, typed)[:5] if edits else ())])
