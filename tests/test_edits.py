"""Live means live: one edit of every input column, in the workbook and in Python."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Sequence
from functools import cache
from typing import Any

import pytest
from conftest import shipped_inputs
from engine_help import need_engine
from farms_strategy import EVERY_TAB, build_small
from live_book import LiveBook, where
from trimmed_farm import trimmed

from workbook_builder.build import Built
from workbook_builder.core.columns import Column
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.quantities import quantity
from workbook_builder.features import BY_KEY, TYPED_TABLES

#: Fixed when the workbook is built: formats and unit lists follow from them.
FIXED_AT_BUILD = {("farm", "units"), ("farm", "currency")}
#: Rows to type into below the filled ones.
SPARE = 2
#: Fields of the large farm that have every kind of pass, records, checks and money among them.
FIELDS = {"Long Strip", "Creek 80", "Draw Field", "School Section"}
#: How many columns are edited at once, and how many of one table, where rows are found by them and where not.
FEW, MANY = (30, 2), (120, 14)
Edit = tuple[str, int, str, Any]
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
    if form == "code":
        return 15 if value != 15 else 4
    if form == "whole":
        return int(value or 0) + 1
    if form == "share":
        return 0.42
    return round(float(value or 3) * 1.25, 3)


@cache
def farms() -> dict[str, Inputs]:
    """Return some fields of the large farm, and the metric farm."""
    us, metric = (shipped_inputs(folder)[0] for folder in ("demo", "demo_metric"))
    return {"us": trimmed(us, FIELDS), "metric": metric}


@pytest.fixture(scope="module")
def books(metric_whole: Built) -> dict[str, LiveBook]:
    """Both farms, with few spare rows, open in the engine for the whole file."""
    need_engine("ironcalc")
    return {"us": LiveBook(build_small(farms()["us"], SPARE, EVERY_TAB)), "metric": LiveBook(metric_whole)}


def test_every_table_has_rows_to_edit(books: dict[str, LiveBook]) -> None:
    """Edits change what is there: hardly a table of the farms is blank."""
    blank = {name: {t.key for t in TYPED_TABLES if not t.is_form and not any(book.inputs.filled(t.key))}
             for name, book in books.items()}

    assert blank["us"] & blank["metric"] == set()
    assert blank["us"] == set()


def stays(case: tuple[str, str]) -> bool:
    """Whether a cleared cell reads as its default in Python and as blank in the sheet,
    so that the two can't be compared.
    """
    return BY_KEY[case[0]].is_form and BY_KEY[case[0]].by_key[case[1]].default is not None


def edit_of(book: LiveBook, case: tuple[str, str], how: str, number: int = 0) -> Edit:
    """Return where and what to type so that a column is changed, or cleared.

    Each further one of a table in a row of its own, while there are some.
    """
    table, key = case
    column, rows = BY_KEY[table].by_key[key], book.inputs.rows(table)
    if how == "cleared":
        return table, number % max(1, len(rows)), key, None
    index = (min(2, max(0, len(rows) - 1)) + number) % max(1, len(rows))
    return table, index, key, another(book.inputs, column, rows[index].get(key) if rows else None)


def edits_of(book: LiveBook, batch: Sequence[tuple[str, str]], how: str) -> list[Edit]:
    """Return all edits of a batch."""
    return [edit_of(book, case, how, sum(case[0] == table for table, _ in batch[:number]))
            for number, case in enumerate(batch)]


def likes(case: tuple[str, str]) -> str:
    """Return what a column counts as in a batch: the squares of a map, all alike and each for itself,
    are never too many.
    """
    numbered = case[1][-2:].isdigit()
    return f"{case[0]}.{case[1]}" if numbered else case[0]


def differences_after(book: LiveBook, edits: Sequence[Edit]) -> list[str]:
    """Change some inputs at once, compare every formula cell, and put the inputs back.

    Where it differs say which edit does it.
    """
    before = book.inputs
    try:
        for edit in edits:
            book.change(*edit)
        found = [f"{edits}: {where(book.built, each)}" for each in book.differences()[:5]]
    finally:
        book.restore(before, [(table, index, key) for table, index, key, _ in edits])
    if not found or len(edits) == 1:
        return found
    half = len(edits) // 2
    return (differences_after(book, edits[:half]) + differences_after(book, edits[half:])) or found


def links(case: tuple[str, str]) -> bool:
    """Whether rows are found by the column, so that an edit of it may hide what other edits do."""
    column = BY_KEY[case[0]].by_key[case[1]]
    return (column.required or (isinstance(column.choices, str) and column.choices != "")
            or quantity(column.quantity).form == "name")


def has_unit(case: tuple[str, str]) -> bool:
    """Whether a column is typed in another unit, or another currency, on a metric farm."""
    kind = quantity(BY_KEY[case[0]].by_key[case[1]].quantity)
    return kind.us != kind.metric or kind.form == "money"


def batches(cases: Sequence[tuple[str, str]]) -> list[list[tuple[str, str]]]:
    """Return the columns in groups that are edited at once: fewer, and of different tables,
    where rows are found by them.
    """
    found: list[list[tuple[str, str]]] = []
    for linking, (size, of_one) in ((True, FEW), (False, MANY)):
        mixed: list[list[tuple[str, str]]] = []
        for case in (case for case in cases if links(case) == linking):
            fitting = (batch for batch in mixed if len(batch) < size
                       and sum(likes(case) == likes(other) for other in batch) < of_one)
            batch = next(fitting, None)
            if batch is None:
                mixed.append(batch := [])
            batch.append(case)
        found += mixed
    return found


def holds(system: str, case: tuple[str, str]) -> bool:
    """Whether the farm has rows of the column's table."""
    return BY_KEY[case[0]].is_form or any(farms()[system].filled(case[0]))


#: What is tried in every run: all columns changed and cleared, on the metric farm where it has rows of their
#: table, and those with a unit changed on both.
TRIED = {
    ("metric", "changed"): [case for case in CASES if holds("metric", case)],
    ("us", "changed"): [case for case in CASES if has_unit(case) or not holds("metric", case)],
    ("metric", "cleared"): [case for case in CASES if holds("metric", case) and not stays(case)],
    ("us", "cleared"): [case for case in CASES if not holds("metric", case) and not stays(case)],
}
BATCHES = [(*how, batch) for how, cases in TRIED.items() for batch in batches(cases)]


@pytest.mark.parametrize(("system", "edit", "batch"), BATCHES, ids=lambda value: f"{'.'.join(value[0])}..."
                         if isinstance(value, list) else value)
def test_edited_inputs_recalculate(books: dict[str, LiveBook], system: str, edit: str,
                                   batch: list[tuple[str, str]]) -> None:
    """Changing or clearing inputs in the workbook gives what Python plans for the changed inputs."""
    book = books[system]

    assert differences_after(book, edits_of(book, batch, edit)) == []


@pytest.mark.nightly
@pytest.mark.parametrize(("system", "edit"), [("us", "changed"), ("us", "cleared"), ("metric", "changed"),
                                              ("metric", "cleared")])
@pytest.mark.parametrize("case", CASES, ids=".".join)
def test_each_edit_by_itself_recalculates(books: dict[str, LiveBook], case: tuple[str, str], system: str,
                                          edit: str) -> None:
    """No edit hides behind another: each column is changed and cleared alone."""
    if edit == "cleared" and stays(case):
        pytest.skip("a cleared setting reads as its default in Python and as blank in the sheet")

    assert differences_after(books[system], [edit_of(books[system], case, edit)]) == []


def test_every_column_is_edited_in_every_run() -> None:
    """All typed columns are changed and cleared in some batch, and no batch edits many columns of a table."""
    edited = {(edit, case) for _, edit, batch in BATCHES for case in batch}

    assert {case for edit, case in edited if edit == "changed"} == set(CASES)
    assert {case for edit, case in edited if edit == "cleared"} == {case for case in CASES if not stays(case)}
    for _, _, batch in BATCHES:
        size, of_one = FEW if links(batch[0]) else MANY
        assert len(batch) <= size
        assert max(Counter(map(likes, batch)).values()) <= of_one


@pytest.mark.parametrize("system", ["us", "metric"])
def test_every_edit_was_put_back(books: dict[str, LiveBook], system: str) -> None:
    """After all edits the workbook shows what it showed at first, so that no edit hid behind another."""
    assert [where(books[system].built, each) for each in books[system].differences()[:5]] == []
