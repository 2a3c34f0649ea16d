"""Whether an engine recalculates a small farm to what Python plans, without a new workbook for each farm."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

from engine_help import need_engine
from farms_strategy import build_small
from fast_farms import OpenBooks
from live_book import where

from workbook_builder.core.inputs import Inputs
from workbook_builder.verify import compare_after, edit_in_sheet, edited

#: Table, row counted from 0, column, value.
Typed = tuple[str, int, str, Any]


@cache
def open_books() -> OpenBooks:
    """Return the workbooks that this process keeps open in IronCalc, for all farms it is asked about."""
    return OpenBooks()


def differences(inputs: Inputs, engine_name: str, edits: Sequence[Typed] = ()) -> list[str]:
    """Return where a farm differs from its plan in an engine, as it is and after some edits.

    IronCalc has the farm typed into an open workbook; the other programs read one of its own.
    """
    engine = need_engine(engine_name)
    if engine_name == "IronCalc":
        book = open_books().holding(inputs)
        found = [where(book.built, each) for each in book.differences()[:5]]
        for edit in edits:
            book.change(*edit)
        return found + [f"edited: {where(book.built, each)}" for each in (book.differences()[:5] if edits else ())]
    built, after = build_small(inputs), inputs
    for edit in edits:
        after = edited(after, *edit)
    found = [where(built, each) for each in compare_after(built, engine, inputs, [])[:5]]
    typed = [edit_in_sheet(built.placement, *edit) for edit in edits]
    return found + [f"edited: {where(built, each)}" for each in (compare_after(built, engine, after, typed)[:5] if edits else ())]
