"""Typed tables that stand side by side on a tab are found again, whatever people name and wherever rows were put in."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from farms_strategy import build_small
from openpyxl import load_workbook
from small_farm import small_farm

from workbook_builder.build import Built, read_inputs


@pytest.fixture(scope="module")
def built() -> Built:
    """A small farm, built."""
    return build_small(small_farm(), 4)


def test_a_name_like_a_heading_is_a_name(built: Built, tmp_path: Path) -> None:
    """A product called like the table beside it ends neither its own table nor that one, though the cell beside it is blank."""
    book = load_workbook(io.BytesIO(built.data))
    spot, rows = built.placement.spots["products"], len(built.plan.inputs.rows("products"))
    sheet = book[spot.sheet]
    sheet[spot.cell("product", rows)].value = "Ingredients"
    sheet[spot.cell("product", rows + 1)].value = "After it"
    book.save(tmp_path / "named.xlsx")

    inputs, _ = read_inputs(tmp_path / "named.xlsx")

    assert [row.get("product") for row in inputs.rows("products")][rows:] == ["Ingredients", "After it"]
    assert inputs.rows("ingredients") == built.plan.inputs.rows("ingredients")


def test_rows_put_in_above_the_headings_do_no_harm(built: Built, tmp_path: Path) -> None:
    """Tables are found by their headings, however far down these were pushed."""
    book = load_workbook(io.BytesIO(built.data))
    for title in ("Farm", "Products", "Passes"):
        book[title].insert_rows(3, 2)
    book.save(tmp_path / "pushed.xlsx")

    inputs, _ = read_inputs(tmp_path / "pushed.xlsx")

    for key in ("fields", "sprayers", "products", "ingredients", "label_limits", "passes"):
        typed = [{name: value for name, value in row.items() if value is not None} for row in inputs.rows(key)]
        assert typed == [{name: value for name, value in row.items() if value is not None} for row in built.plan.inputs.rows(key)], key
