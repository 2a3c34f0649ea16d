"""Live means live: one edit of every input column, in the workbook and in Python."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from engine_help import need_engine
from farms_strategy import build_small
from live_book import LiveBook, where
from trimmed_farm import trimmed

from workbook_builder.build import Built
from workbook_builder.columns import Column
from workbook_builder.inputs import Inputs
from workbook_builder.quantities import quantity
from workbook_builder.tables import BY_KEY, TYPED_TABLES

#: Fixed when the workbook is built: formats and unit lists follow from them.
FIXED_AT_BUILD = {("farm", "units"), ("farm", "currency")}
#: Rows to type into below the filled ones.
SPARE = 3
#: Fields of the large farm that have every kind of pass, records, checks and money among them.
FIELDS = {"South Terrace", "Long Strip", "Home Place", "Creek 80"}
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


@pytest.fixture(scope="module")
def books(demo: Built, metric: Built) -> dict[str, LiveBook]:
    """Both farms, with few spare rows, open in the engine for the whole file."""
    need_engine("ironcalc")
    farms = {"us": trimmed(demo.plan.inputs, FIELDS), "metric": metric.plan.inputs}
    return {name: LiveBook(build_small(inputs, SPARE)) for name, inputs in farms.items()}


def test_every_table_has_rows_to_edit(books: dict[str, LiveBook]) -> None:
    """Edits change what is there: hardly a table of the farms is blank."""
    blank = {name: {t.key for t in TYPED_TABLES if not t.is_form and not any(book.inputs.filled(t.key))} for name, book in books.items()}

    assert blank["us"] & blank["metric"] == set()
    assert blank["us"] == set()


def differences_after(book: LiveBook, table: str, index: int, key: str, value: Any) -> list[str]:
    """Change one input, compare every formula cell, and put the input back."""
    before = book.inputs
    book.change(table, index, key, value)
    found = [where(book.built, each) for each in book.differences()[:5]]
    book.restore(before, [(table, index, key)])
    return found


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize(("table", "key"), CASES)
def test_changed_input_recalculates(books: dict[str, LiveBook], table: str, key: str, system: str) -> None:
    """Changing an input in the workbook gives what Python plans for the changed input."""
    book = books[system]
    column, rows = BY_KEY[table].by_key[key], book.inputs.rows(table)
    index = min(2, max(0, len(rows) - 1))
    value = another(book.inputs, column, rows[index].get(key) if rows else None)

    assert differences_after(book, table, index, key, value) == []


@pytest.mark.parametrize(("table", "key"), CASES)
def test_cleared_input_recalculates(books: dict[str, LiveBook], table: str, key: str) -> None:
    """Clearing an input in the workbook gives what Python plans without it."""
    if BY_KEY[table].by_key[key].default is not None and BY_KEY[table].is_form:
        pytest.skip("a cleared setting reads as its default in Python and as blank in the sheet")

    assert differences_after(books["metric"], table, 0, key, None) == []


@pytest.mark.parametrize("system", ["us", "metric"])
def test_every_edit_was_put_back(books: dict[str, LiveBook], system: str) -> None:
    """After all edits the workbook shows what it showed at first, so that no edit hid behind another."""
    assert [where(books[system].built, each) for each in books[system].differences()[:5]] == []
