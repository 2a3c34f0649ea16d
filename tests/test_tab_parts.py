"""Typed tables that stand side by side on a tab are found again,
whatever people name and wherever rows were put in.
"""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from farms_strategy import build_small
from openpyxl import load_workbook
from small_farm import small_farm

from workbook_builder.build import Built, read_inputs
from workbook_builder.core.tabs import JOIN
from workbook_builder.features import BY_KEY
from workbook_builder.features.tabs import TABS
from workbook_builder.read.headers import column_named


@pytest.fixture(scope="module")
def built() -> Built:
    """A small farm, built."""
    return build_small(small_farm(), 4)


def test_a_name_like_a_heading_is_a_name(built: Built, tmp_path: Path) -> None:
    """A product called like the table beside it ends neither its own table nor that one,
    though the cell beside it is blank.
    """
    book = load_workbook(io.BytesIO(built.data))
    spot, rows = built.placement.spots["products"], len(built.plan.inputs.rows("products"))
    sheet = book[spot.sheet]
    sheet[spot.cell("product", rows)].value = "Ingredients"
    sheet[spot.cell("product", rows + 1)].value = "After it"
    book.save(tmp_path / "named.xlsx")

    inputs, _ = read_inputs(tmp_path / "named.xlsx")

    assert [row.get("product") for row in inputs.rows("products")][rows:] == ["Ingredients", "After it"]
    assert (inputs.rows("ingredients")
            == [{**row, "scheme": None} for row in built.plan.inputs.rows("ingredients")])


def test_rows_put_in_above_the_headings_do_no_harm(built: Built, tmp_path: Path) -> None:
    """Tables are found by their headings, however far down these were pushed."""
    book = load_workbook(io.BytesIO(built.data))
    for title in ("Farm", "Products", "Passes"):
        book[title].insert_rows(3, 2)
    book.save(tmp_path / "pushed.xlsx")

    inputs, _ = read_inputs(tmp_path / "pushed.xlsx")

    for key in ("fields", "sprayers", "products", "ingredients", "label_limits", "passes"):
        typed = [{name: value for name, value in row.items() if value is not None}
                 for row in inputs.rows(key)]
        assert typed == [{name: value for name, value in row.items() if value is not None}
                         for row in built.plan.inputs.rows(key)], key


def test_no_result_beside_a_typed_table_bears_the_name_of_a_typed_column() -> None:
    """What is joined to a typed table is read as results, so that no typed column stands there twice when the
    workbook is built again.
    """
    checked, typed = 0, None
    for block in (block for tab in TABS for block in tab.blocks):
        table = BY_KEY[block.table]
        if block.way != JOIN:
            typed = table if table.is_typed else None
        elif typed is not None and table is not typed:
            shown = [table.by_key[key] for key in block.shows.split()] or table.columns
            checked += len(shown)
            assert [column.header for column in shown
                    if column_named(column.header, typed) is not None] == [], (typed.key, table.key)
    assert checked > 40
