"""Live means live: one edit of every input column, in the workbook and in Python."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from engine_help import need_engine

from workbook_builder.build import Built
from workbook_builder.columns import Column
from workbook_builder.inputs import Inputs
from workbook_builder.quantities import quantity
from workbook_builder.tables import BY_KEY, TYPED_TABLES
from workbook_builder.verify import compare_after, edit_in_sheet, edited

#: Fixed when the workbook is built: formats and unit lists follow from them.
FIXED_AT_BUILD = {("farm", "units"), ("farm", "currency")}
CASES = [(t.key, c.key) for t in TYPED_TABLES for c in t.columns if (t.key, c.key) not in FIXED_AT_BUILD]


def _choices(inputs: Inputs, column: Column) -> list[Any]:
    if isinstance(column.choices, tuple):
        return list(column.choices)
    table, key = column.choices.split(".")
    if table == "mix_list":
        table = "mixes"
    if table == "cost_pass_names":
        table = "passes"
    if BY_KEY[table].is_typed:
        return sorted({row[key] for row in inputs.rows(table) if row.get(key)})
    return []


def another(inputs: Inputs, column: Column, value: Any) -> Any:
    """Return a different value that the column could hold."""
    form = quantity(column.quantity).form
    options = [option for option in _choices(inputs, column) if option != value] if column.choices else []
    if options:
        return options[0]
    if form in ("text", "name"):
        return f"{value or 'Other'} two"
    if form == "date":
        return (value or dt.date(2026, 6, 1)) + dt.timedelta(days=9)
    if form == "time":
        return dt.time(15, 45)
    if form == "whole":
        return int(value or 0) + 1
    if form == "share":
        return 0.42
    return round(float(value or 3) * 1.25, 3)


@pytest.mark.parametrize(("table", "key"), CASES)
def test_changed_input_recalculates(demo: Built, metric: Built, table: str, key: str) -> None:
    """Changing an input in the workbook gives what Python plans for the changed input."""
    engine = need_engine("ironcalc")
    for built in (demo, metric):
        inputs, column = built.plan.inputs, BY_KEY[table].by_key[key]
        rows = inputs.rows(table)
        index = min(2, max(0, len(rows) - 1))
        value = another(inputs, column, rows[index].get(key) if rows else None)

        changed = edited(inputs, table, index, key, value)
        edit = edit_in_sheet(built.placement, table, index, key, value)

        assert compare_after(built, engine, changed, [edit])[:5] == []


@pytest.mark.parametrize(("table", "key"), CASES)
def test_cleared_input_recalculates(metric: Built, table: str, key: str) -> None:
    """Clearing an input in the workbook gives what Python plans without it."""
    engine = need_engine("ironcalc")
    inputs = metric.plan.inputs
    if BY_KEY[table].by_key[key].default is not None and BY_KEY[table].is_form:
        pytest.skip("a cleared setting reads as its default in Python and as blank in the sheet")

    changed = edited(inputs, table, 0, key, None)
    edit = edit_in_sheet(metric.placement, table, 0, key, None)

    assert compare_after(metric, engine, changed, [edit])[:5] == []
