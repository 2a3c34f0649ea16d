"""Good values: how each kind may be written, and what type it has once read."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import pytest
from test_read_builders import TABLES, changed, farm, write_book, write_folder

from workbook_builder.features import BY_KEY
from workbook_builder.read import read_source
from workbook_builder.read.cells import Reading, read_cell
from workbook_builder.read.numbers import (
    BadCell,
    decimal_sign,
    number_from_text,
    percent_from_text,
    split_currency,
)
from workbook_builder.read.texts import is_garbled, mended_letters

NUMBERS = [
    ("12", 12), ("+12", 12), ("-3", -3), ("\u22123", -3), ("12.0", 12.0), (".5", 0.5), ("5.", 5.0),
    ("1E+05", 1e5),
    ("1,250", 1250), ("1,250.5", 1250.5), ("12,345,678", 12345678), ("1 250", 1250), ("1\u00a0250.5", 1250.5),
    ("1\u202f250", 1250),
]


@pytest.mark.parametrize(("text", "expected"), NUMBERS)
def test_numbers_with_a_decimal_point(text: str, expected: float) -> None:
    """Numbers may carry signs, exponents and complete thousands groups."""
    assert expected == number_from_text(text)


COMMA_NUMBERS = [
    ("12,5", 12.5), ("1.250,5", 1250.5), ("1.250.000", 1250000), ("0,125", 0.125), (",5", 0.5), ("12", 12),
    ("1.5", 1.5), ("0.125", 0.125), ("1 250,5", 1250.5), ("-3,25", -3.25),
]


@pytest.mark.parametrize(("text", "expected"), COMMA_NUMBERS)
def test_numbers_with_a_decimal_comma(text: str, expected: float) -> None:
    """Files with semicolons write decimals with a comma; a point that can only be one is read as one."""
    assert expected == number_from_text(text, decimal_comma=True)


@pytest.mark.parametrize(
    ("text", "decimal_comma"), [("1.250", True), ("-12.345", True), ("0,500", False), ("12,50", False)]
)
def test_numbers_with_two_readings_are_refused(text: str, decimal_comma: bool) -> None:
    """A number that may mean two things is never guessed at."""
    with pytest.raises(BadCell) as caught:
        number_from_text(text, decimal_comma)

    assert caught.value.code == "ambiguous-number"


@pytest.mark.parametrize(
    ("text", "expected"), [("30 %", 0.3), ("30%", 0.3), ("0.5 %", 0.005), ("7%", 0.07), ("0.3", None)]
)
def test_percent(text: str, expected: float | None) -> None:
    """A percent sign divides by a hundred without leaving crumbs."""
    assert expected == percent_from_text(text)


MONEY = [
    ("$62.50", "$", ("62.50", "$")), ("62.50 $", "$", ("62.50", "$")), ("-$5", "$", ("-5", "$")),
    ("5", "$", ("5", "")),
    ("EUR 5", "$", ("5", "EUR")), ("5 CAD", "CAD", ("5", "CAD")),
    ("\u20ac1,250", "\u20ac", ("1,250", "\u20ac")),
]


@pytest.mark.parametrize(("text", "currency", "expected"), MONEY)
def test_currency_signs(text: str, currency: str, expected: tuple[str, str]) -> None:
    """A currency sign or code before or behind the amount is set aside."""
    assert expected == split_currency(text, currency)


TEXT_CELLS = [
    ("fields", "area", "1,250.5", 1250.5), ("fields", "field", "  North\u00a0  Bench ", "North Bench"),
    ("fields", "field", "12", "12"), ("fields", "field", "007", "007"),
    ("fields", "field", "Cafe\u0301", "Caf\u00e9"),
    ("fields", "notes", "wet corner\nstones", "wet corner\nstones"), ("fields", "notes", "", None),
    ("fields", "planting_date", "2026-5-4", date(2026, 5, 4)),
    ("fields", "planting_date", "2026-05-04T00:00:00", date(2026, 5, 4)),
    ("fields", "planting_date", "2026-05-04 00:00:00", date(2026, 5, 4)),
    ("passes", "start_time", "7:30", time(7, 30)),
    ("passes", "start_time", "07:30:15", time(7, 30, 15)), ("passes", "start_time", "7:30 pm", time(19, 30)),
    ("passes", "start_time", "12:05 AM", time(0, 5)), ("passes", "method", "SPOT", "spot"),
    ("passes", "sprayed_share", "0.3", 0.3), ("passes", "sprayed_share", "1", 1),
    ("products", "package_unit", "FL  OZ", "fl oz"), ("products", "package_unit", "floz", "fl oz"),
    ("products", "package_price", "$1,062.50", 1062.5), ("products", "restricted_use", "YES", "yes"),
    ("ingredients", "content_unit", "%w/w", "% w/w"), ("ingredients", "mode_group", "9.0", 9),
]


@pytest.mark.parametrize(("table", "column", "cell", "expected"), TEXT_CELLS)
def test_text_cells(tmp_path: Path, table: str, column: str, cell: str, expected: Any) -> None:
    """Each way of writing a value gives the value and its type."""
    inputs, _ = read_source(write_folder(tmp_path / "farm", changed(table, 2, column, cell)), TABLES)

    value = inputs.rows(table)[0][column]
    assert (expected, type(expected)) == (value, type(value))


TYPED_CELLS = [
    ("fields", "field", 12, "12"), ("fields", "field", 12.0, "12"),
    ("fields", "planting_date", datetime(2026, 5, 14), date(2026, 5, 14)),
    ("fields", "planting_date", date(2026, 5, 14), date(2026, 5, 14)),
    ("fields", "planting_date", "2026-05-14", date(2026, 5, 14)),
    ("fields", "planting_date", 46156, date(2026, 5, 14)),
    ("passes", "start_time", time(7, 30), time(7, 30)),
    ("passes", "start_time", timedelta(hours=7, minutes=30), time(7, 30)),
    ("passes", "start_time", 0.3125, time(7, 30)), ("passes", "start_time", "07:30", time(7, 30)),
    ("passes", "sprayed_share", 0.3, 0.3), ("passes", "sprayed_share", "30 %", 0.3),
    ("products", "restricted_use", True, "yes"), ("products", "package_price", 62.5, 62.5),
    ("ingredients", "mode_group", 9.0, 9),
]


@pytest.mark.parametrize(("table", "column", "cell", "expected"), TYPED_CELLS)
def test_typed_cells(tmp_path: Path, table: str, column: str, cell: Any, expected: Any) -> None:
    """Each kind of workbook cell gives the value and its type."""
    inputs, problems = read_source(write_book(tmp_path / "book.xlsx", changed(table, 2, column, cell)),
                                   TABLES)

    value = inputs.rows(table)[0][column]
    assert [problem for problem in problems if problem.is_error] == []
    assert (expected, type(expected)) == (value, type(value))


def test_every_row_holds_every_typed_column(tmp_path: Path) -> None:
    """A row that is not blank has a key for each column a person may type, given or not."""
    inputs, _ = read_source(write_folder(tmp_path / "farm", farm()), TABLES)

    for table in TABLES:
        for _, row in inputs.filled(table.key):
            assert [column.key for column in table.columns if column.typed] == list(row)


def test_the_same_farm_reads_the_same_from_both_kinds_of_source(tmp_path: Path) -> None:
    """A folder of CSV files and a workbook with the same cells give equal tables."""
    from_folder, _ = read_source(write_folder(tmp_path / "farm", farm()), TABLES)
    # The prices and areas are text in both; the workbook writes them beside printed headers.
    from_book, _ = read_source(write_book(tmp_path / "book.xlsx", farm()), TABLES)

    assert dict(from_folder.tables) == dict(from_book.tables)


def test_reading_back_what_was_read_changes_nothing(tmp_path: Path) -> None:
    """Values written to a workbook with their types come back equal."""
    first, _ = read_source(write_folder(tmp_path / "farm", farm()), TABLES)
    typed = {
        table.key: [list(keys), *([row.get(key) for key in keys] for row in first.rows(table.key))]
        for table in TABLES
        if table.key in first.tables
        for keys in [[column.key for column in table.columns if column.typed]]
    }

    again, problems = read_source(write_book(tmp_path / "book.xlsx", typed), TABLES)

    assert problems == []
    assert dict(first.tables) == dict(again.tables)


def test_blank_cells_of_a_form_take_their_defaults(tmp_path: Path) -> None:
    """A form's blank optional cells hold the declared default, or None where there is none."""
    inputs, _ = read_source(write_folder(tmp_path / "farm", farm()), TABLES)

    form = inputs.form("farm")
    assert (form["look_back_seasons"], form["wanted_modes"], form["currency"],
            form["latitude"]) == (3, 2, "$", None)


def test_an_optional_table_that_is_absent_is_absent(tmp_path: Path) -> None:
    """Settings nobody wrote are left to the caller, who has the defaults."""
    inputs, problems = read_source(write_folder(tmp_path / "farm", farm()), TABLES)

    assert problems == []
    assert "assumptions" not in inputs.tables


@pytest.mark.parametrize(("cells", "sign"), [
    (["1,500"], None), (["1.500"], None), (["1,500", "2.5"], False), (["1.500", "2,5"], True),
    (["0,125"], True), (["0.125"], False), (["12.3456"], False),
    (["2.5", "2,5"], None), ([], None), (["2026-05-14", "07:30", "a.b", None, 2.5], None), (["12,5 %"], True),
    (["12.5%"], False),
])
def test_what_says_which_sign_parts_decimals(cells: list[Any], sign: bool | None) -> None:
    """Only a number that can be read one way tells how the others of its file are meant."""
    assert decimal_sign(cells) is sign


@pytest.mark.parametrize(("text", "readings"), [("1,500", "1500 or 1.5"), ("1.250", "1250 or 1.25"),
                                                ("-12,000", "-12000 or -12.0")])
def test_three_digits_behind_one_sign(text: str, readings: str) -> None:
    """Where nothing tells thousands from decimals, both readings are named."""
    with pytest.raises(BadCell) as caught:
        number_from_text(text, None)

    assert caught.value.fix == f"Type {readings}"


GARBLED = [(text, encoding) for text in ("Ca\u00f1ada", "na\u00efve caf\u00e9", "Gr\u00fcn \u2013 na\u00df")
           for encoding in ("cp1252", "cp850", "cp437", "mac_roman")]


@pytest.mark.parametrize(("text", "encoding"), GARBLED)
def test_letters_opened_in_a_wrong_encoding(text: str, encoding: str) -> None:
    """Text saved as UTF-8 and opened in an encoding of older programs is told, with what it said."""
    assert mended_letters(text.encode().decode(encoding)) == text


@pytest.mark.parametrize("text",
                         ["Ca\u00f1ada", "\u00c5rhus", "3 \u00bd \u00b0", "\u0160koda \u2013 \u017elut\u00fd",
                          "\u5317\u65b9", "caf\u00e9", "\u221a2 \u00b1 1", "\u201cwet\u201d \u20ac"])
def test_letters_that_are_right(text: str) -> None:
    """Text with letters of any language is not doubted."""
    assert not is_garbled(text)


@pytest.mark.parametrize("column", ["notes", "field"])
@pytest.mark.parametrize(("text", "fix"), [("Ca\u00c3\u00b1ada", "Did you mean 'Ca\u00f1ada'?"),
                                           ("Ca\ufffdada", "Type it again; its letters are lost")])
def test_garbled_text_is_kept_and_warned_of(tmp_path: Path, column: str, text: str, fix: str) -> None:
    """Such a text is kept as it stands, and named at its place."""
    tables = changed("fields", 3, column, text)
    tables["passes"][2][1] = tables["fields"][2][0]

    inputs, problems = read_source(write_folder(tmp_path / "farm", tables), TABLES)

    assert {(problem.code, problem.fix, problem.is_error) for problem in problems
            if problem.file == "fields.csv"} == {("garbled-text", fix, False)}
    assert inputs.rows("fields")[1][column] == text


def test_a_guessed_encoding_is_told(tmp_path: Path) -> None:
    """A file that is not in UTF-8 is read as Windows Latin,
    and its first letters that hang on the guess are shown.
    """
    folder = write_folder(tmp_path / "farm", changed("fields", 3, "notes", "wei\u00df"), encoding="cp1252")

    _, problems = read_source(folder, TABLES)

    assert ([(problem.code, problem.row, problem.is_error) for problem in problems]
            == [("doubtful-encoding", 3, False)])
    assert "'wei\u00df'" in problems[0].message


def test_earlier_and_other_words_of_a_choice_are_read_as_the_word_of_today() -> None:
    """A liter is a litre, in capitals too; what is no word of the choice stays none."""
    column = BY_KEY["jar_choice"].by_key["jar"]

    assert read_cell("Liter", column, Reading()) == ("litre", [])
    assert read_cell("quart", column, Reading()) == ("quart", [])
    assert [remark.code for remark in read_cell("gallon", column, Reading())[1]] == ["not-a-choice"]
