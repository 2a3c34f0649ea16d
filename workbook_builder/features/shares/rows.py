"""Rows of passes that typed rows speak of."""

from __future__ import annotations

from workbook_builder.core.draft import Cells, Draft, find, first_rows


def pass_keys(draft: Draft) -> dict[object, int]:
    """Return (pass and field, as the lookup key) -> first pass row."""
    keys = [Cells(key="" if row["pass"] == "" else f"{row['pass']}|{row['field']}") for row in draft["passes"]]
    return first_rows(keys, "key")


def pass_row(keys: dict[object, int], row: Cells) -> int | str:
    """Return the pass row that a typed row speaks of, blank when there is none."""
    return "" if row["pass"] == "" or row["field"] == "" else find(keys, f"{row['pass']}|{row['field']}")
