"""Taking plain rows out of a plan."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from workbook_builder.core.draft import Cells, moment
from workbook_builder.core.quantities import quantity
from workbook_builder.features import BY_KEY
from workbook_builder.plan import Plan

PlainRow = dict[str, Any]
View = Callable[[Plan], list[PlainRow]]


def plain(value: object, form: str) -> object:
    """Return a plan value as JSON holds it: ISO dates, blank as None."""
    if value == "" or value is None:
        return None
    if form == "date" and isinstance(value, (int, float)):
        return moment(value).date().isoformat()
    if form == "moment" and isinstance(value, (int, float)):
        return moment(value).isoformat(timespec="minutes")
    return value


def plain_rows(plan: Plan, table: str, keys: Mapping[str, str] | Iterable[str], needs: str) -> list[PlainRow]:
    """Return the rows of one plan table that are not blank.

    Parameters
    ----------
    plan : Plan
    table : str
    keys : mapping or iterable of str
        Columns to take; a mapping gives output name -> column key.
    needs : str
        Column that must be filled for a row to count.
    """
    names = keys if isinstance(keys, Mapping) else {key: key for key in keys}
    columns = BY_KEY[table].by_key
    forms = {key: quantity(columns[key].quantity).form for key in names.values()}

    def row_of(row: Cells) -> PlainRow:
        return {name: plain(row[key], forms[key]) for name, key in names.items()}

    return [row_of(row) for row in plan.tables[table] if row[needs] != ""]
