"""What a cell shows beside its number: percent signs, currencies and words of its format are read,
never passed over.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from openpyxl.styles.numbers import BUILTIN_FORMATS
from test_read_builders import TABLES, changed, codes, farm, write_book, write_folder

from workbook_builder.check import Problem
from workbook_builder.core.inputs import Inputs
from workbook_builder.read import read_source
from workbook_builder.read.unit_words import Shown, shown_by


def read_formatted(folder: Path, table: str, row: int, key: str, value: Any, number_format: str,
                   currency: str = "$") -> tuple[Inputs, list[Problem]]:
    """Read the sound farm with one cell typed in a format of its own."""
    tables = changed(table, row, key, value)
    tables["farm"][0].append("currency")
    tables["farm"][1].append(currency)
    at = tables[table][0].index(key) + 1
    path = write_book(folder / "book.xlsx", tables)
    book = load_workbook(path)
    title = {each.key: each for each in TABLES}[table].title
    book[title].cell(row + 3, at).number_format = number_format
    book.save(path)
    return read_source(path, TABLES)


#: Format -> what it shows, by ECMA-376 Part 1, 18.8.31 (from memory).
FORMATS = {
    "General": Shown(), "0.00": Shown(), "#,##0.00": Shown(), "0.00%": Shown(True), '0" %"': Shown(words="%"),
    r"0\%": Shown(words="%"),
    '#,##0" ha"': Shown(words="ha"), '0.0" L/ha"': Shown(words="L/ha"),
    "[$\u20ac-407] #,##0.00": Shown(money="\u20ac"), "#,##0.00 [$EUR]": Shown(money="EUR"),
    "[Red]0.00;[Blue]-0.00": Shown(), "0.00;-0.00%": Shown(), "[>=100]0": Shown(), "[$-409]0.00": Shown(),
    "#,##0.00_);(#,##0.00)": Shown(),
    "#,##0,": Shown(words="1000"), "0.0,,": Shown(words="1000 1000"), "$#,##0": Shown(money="$"),
    "@": Shown(), "0.00E+00": Shown(),
}


@pytest.mark.parametrize("number_format", FORMATS)
def test_what_a_format_shows(number_format: str) -> None:
    """A number format is taken apart into percent, words and currency of its first section."""
    assert shown_by(number_format) == FORMATS[number_format]


#: name, table, row, column, stored, format, value read, code
CELLS = [
    ("a quarter of a percent", "mixes", 4, "rate", 0.0025, "0.00%", 0.25, "percent-shown"),
    ("half of the weight", "ingredients", 3, "content", 0.5, "0%", 50, "percent-shown"),
    ("percent of a rate per area", "mixes", 2, "rate", 0.32, "0%", None, "percent-shown"),
    ("percent of an area", "fields", 2, "area", 0.8, "0%", None, "percent-shown"),
    ("percent of a share", "passes", 3, "sprayed_share", 0.3, "0%", 0.3, ""),
    ("percent in words for a rate", "mixes", 4, "rate", 0.25, '0.00" %"', 0.25, ""),
    ("hectares in the format", "fields", 2, "area", 80, '0" ha"', None, "unit-mismatch"),
    ("acres in the format", "fields", 2, "area", 80, '0" acres"', 80, ""),
    ("a word in the format", "fields", 2, "area", 80, '"about "0', 80, ""),
    ("thousands left out", "fields", 2, "area", 80000, "#,##0,", None, "unit-mismatch"),
    ("euros in the format", "products", 2, "package_price", 62.5, "#,##0.00 [$\u20ac-1]", None,
     "currency-mismatch"),
    ("dollars in the format", "products", 2, "package_price", 62.5, '"$"#,##0.000', 62.5, ""),
    ("money of the computer", "products", 2, "package_price", 62.5, '"$"#,##0.00_);\\("$"#,##0.00\\)', 62.5,
     ""),
]


@pytest.mark.parametrize(("table", "row", "key", "stored", "number_format", "value", "code"),
                         [case[1:] for case in CELLS], ids=[case[0] for case in CELLS])
def test_cells_that_show_more(tmp_path: Path, table: str, row: int, key: str, stored: float,
                              number_format: str, value: Any, code: str) -> None:
    """A cell is read as it is seen: converted with a note,
    or a problem at its place where it shows another unit or currency.
    """
    inputs, problems = read_formatted(tmp_path, table, row, key, stored, number_format)

    assert codes(problems) == [code] * bool(code)
    assert (inputs.rows(table)[row - 2][key] == (pytest.approx(value, rel=1e-12)
                                                 if value is not None else None))
    assert all(problem.row == row + 3 and problem.sheet for problem in problems)


def test_money_formats_of_the_computer_have_no_currency(tmp_path: Path) -> None:
    """A built-in money format shows the currency of the computer, so a farm that counts in EUR may use it."""
    inputs, problems = read_formatted(tmp_path, "products", 2, "package_price", 62.5,
                                      BUILTIN_FORMATS[8], "EUR")

    assert problems == []
    assert inputs.rows("products")[0]["package_price"] == 62.5


def test_euro_signs_and_codes_are_one_currency(tmp_path: Path) -> None:
    """A farm that counts in EUR may type amounts with the sign."""
    tables = changed("products", 2, "package_price", "\u20ac62.50")
    tables["farm"] = [["farm", "season", "units", "currency"], ["North Bench", "2026", "us", "EUR"]]

    inputs, problems = read_source(write_folder(tmp_path / "farm", tables), TABLES)

    assert problems == []
    assert inputs.rows("products")[0]["package_price"] == 62.5


@pytest.mark.parametrize(("text", "value", "code"),
                         [("0.25 %", 0.25, ""), ("0.25%", 0.25, ""), ("0.25", 0.25, "")])
def test_percent_signs_as_text(tmp_path: Path, text: str, value: float, code: str) -> None:
    """A rate in % v/v may carry its own percent sign."""
    inputs, problems = read_source(write_folder(tmp_path / "farm", changed("mixes", 4, "rate", text)), TABLES)

    assert codes(problems) == [code] * bool(code)
    assert inputs.rows("mixes")[2]["rate"] == value


def test_own_columns_keep_their_numbers(tmp_path: Path) -> None:
    """A number of the user's own is carried along as stored, whatever its cell shows."""
    tables = farm()
    for row, value in zip(tables["fields"], ("Share", 0.25, 1), strict=True):
        row.append(value)
    path = write_book(tmp_path / "book.xlsx", tables)
    book = load_workbook(path)
    for row in (5, 6):
        book["Fields"].cell(row, 8).number_format = "0%"
    book["Fields"].cell(5, 4).value, book["Fields"].cell(5, 4).number_format = date(2026, 5, 20), "yyyy-mm-dd"
    book.save(path)

    extras = read_source(path, TABLES)[0].extras["fields"]["Share"]

    assert extras == [0.25, 1]
    assert [type(value) for value in extras] == [float, int]
