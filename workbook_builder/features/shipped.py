"""Rows of every list that is shipped or made for a unit system, whichever feature it belongs to."""

from __future__ import annotations

from workbook_builder.core.inputs import Row
from workbook_builder.features.names import declared
from workbook_builder.features.reference.data import reference_rows


def shipped_rows(system: str) -> dict[str, list[Row]]:
    """Return the rows of every shipped or derived table, by table key."""
    return {**reference_rows(system), **{key: rows(system) for key, rows in declared("columns", "GIVEN")}}
