"""Bad cells: each is reported with its code, its row and its column, and nothing else is."""

from __future__ import annotations

from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import pytest
from test_read_builders import TABLES, changed, said, write_book, write_folder

from workbook_builder.read import read_source

#: name, table, row, column, cell, code
BAD_TEXT = [
    ("words for an area", "fields", 2, "area", "eighty", "not-a-number"),
    ("unit typed behind an area", "fields", 2, "area", "80 ac", "not-a-number"),
    ("decimal comma in an area", "fields", 2, "area", "80,5", "ambiguous-number"),
    ("two decimal points", "fields", 2, "area", "8.0.5", "not-a-number"),
    ("digits joined by underscores", "fields", 2, "area", "1_000", "not-a-number"),
    ("infinity in words", "fields", 2, "area", "inf", "not-a-number"),
    ("not a number in words", "fields", 2, "area", "nan", "not-a-number"),
    ("hexadecimal", "fields", 2, "area", "0x50", "not-a-number"),
    ("number beyond all measure", "fields", 2, "area", "1e999", "not-finite"),
    ("negative area", "fields", 2, "area", "-5", "below-minimum"),
    ("area of nothing", "fields", 2, "area", "0", "below-minimum"),
    ("area of a country", "fields", 2, "area", "1000000", "above-maximum"),
    ("blank area", "fields", 2, "area", "", "required-blank"),
    ("blank area of spaces", "fields", 2, "area", "   ", "required-blank"),
    ("blank crop", "fields", 3, "crop", "", "required-blank"),
    ("error value for an area", "fields", 2, "area", "#N/A", "excel-error"),
    ("error value for a name", "fields", 2, "crop", "#REF!", "excel-error"),
    ("error value for a share", "passes", 3, "sprayed_share", "#SPILL!", "excel-error"),
    ("star in a field name", "fields", 2, "field", "Bench*", "wildcard-in-name"),
    ("question mark in a field name", "fields", 2, "field", "Bench?", "wildcard-in-name"),
    ("tilde in a product name", "products", 2, "product", "Clear~2", "wildcard-in-name"),
    ("bar in a mix name", "mixes", 2, "mix", "A|B", "wildcard-in-name"),
    ("bell in a name", "fields", 2, "field", "Ben\x07ch", "control-character"),
    ("vertical tab in notes", "fields", 2, "notes", "wet\x0bcorner", "control-character"),
    ("zero-width space in a name", "fields", 2, "field", "Ben\u200bch", "control-character"),
    ("name as long as a page", "fields", 2, "field", "x" * 121, "too-long"),
    ("text as long as a page", "products", 2, "registration_no", "x" * 256, "too-long"),
    ("notes longer than a cell", "fields", 2, "notes", "x" * 32768, "too-long"),
    ("date with slashes", "fields", 2, "planting_date", "5/14/2026", "not-a-date"),
    ("date with dots", "fields", 2, "planting_date", "14.05.2026", "not-a-date"),
    ("date in words", "fields", 2, "planting_date", "14 May 2026", "not-a-date"),
    ("date without separators", "fields", 2, "planting_date", "20260514", "not-a-date"),
    ("serial number in a CSV file", "fields", 2, "planting_date", "46156", "not-a-date"),
    ("day that does not exist", "fields", 2, "planting_date", "2026-02-30", "not-a-date"),
    ("week date", "fields", 2, "planting_date", "2026-W20-4", "not-a-date"),
    ("date before the calendar is safe", "fields", 2, "planting_date", "1900-02-28", "date-too-early"),
    ("blank date of a pass", "passes", 2, "date", "", "required-blank"),
    ("hour beyond the day", "passes", 2, "start_time", "25:00", "not-a-time"),
    ("minutes beyond the hour", "passes", 2, "start_time", "07:75", "not-a-time"),
    ("time without minutes", "passes", 2, "start_time", "7", "not-a-time"),
    ("afternoon on a long clock", "passes", 2, "start_time", "13:30 pm", "not-a-time"),
    ("share typed as a plain percent", "passes", 3, "sprayed_share", "30", "share-over-one"),
    ("share beyond the whole field", "passes", 3, "sprayed_share", "130 %", "share-over-one"),
    ("negative share", "passes", 3, "sprayed_share", "-10 %", "below-minimum"),
    ("share in words", "passes", 3, "sprayed_share", "some %", "not-a-number"),
    ("share below the least efficiency", "sprayers", 2, "field_efficiency", "1 %", "below-minimum"),
    ("method nobody knows", "passes", 2, "method", "sensor", "not-a-choice"),
    ("kind misspelt", "products", 2, "kind", "herbacide", "not-a-choice"),
    ("package unit misspelt", "products", 2, "package_unit", "gallon", "not-a-choice"),
    ("content unit unknown", "ingredients", 2, "content_unit", "ppm", "not-a-choice"),
    ("yes-or-no answered maybe", "products", 2, "restricted_use", "maybe", "not-a-choice"),
    ("interval in weeks", "plant_back", 2, "interval_unit", "weeks", "not-a-choice"),
    ("half a pass", "label_limits", 2, "max_passes", "1.5", "not-whole"),
    ("half a group", "ingredients", 2, "mode_group", "9.5", "not-whole"),
    ("group number too high", "ingredients", 2, "mode_group", "120", "above-maximum"),
    ("negative price", "products", 2, "package_price", "-62.5", "below-minimum"),
    ("price in brackets", "products", 2, "package_price", "(62.50)", "not-a-number"),
    ("money of another country", "products", 2, "package_price", "\u20ac62.50", "currency-mismatch"),
    ("price with a word", "products", 2, "package_price", "about 60", "not-a-number"),
    ("season as a word", "farm", 2, "season", "next year", "not-a-number"),
    ("season of long ago", "farm", 2, "season", "1926", "below-minimum"),
    ("units nobody uses", "farm", 2, "units", "imperial", "not-a-choice"),
    ("farm without a name", "farm", 2, "farm", "", "required-blank"),
    ("units left open", "farm", 2, "units", "", "required-blank"),
    ("latitude beyond the pole", "farm", 2, "latitude", "95", "above-maximum"),
    ("water too sour", "farm", 2, "water_ph", "15", "above-maximum"),
    ("modes counted in halves", "farm", 2, "wanted_modes", "1.5", "not-whole"),
]


@pytest.mark.parametrize(
    ("table", "row", "column", "cell", "code"), [case[1:] for case in BAD_TEXT],
    ids=[case[0] for case in BAD_TEXT]
)
def test_bad_text_in_a_csv_file(tmp_path: Path, table: str, row: int, column: str, cell: str,
                                code: str) -> None:
    """A bad cell of a CSV file is reported once, with its line and its header."""
    _, problems = read_source(write_folder(tmp_path / "farm", changed(table, row, column, cell)), TABLES)

    assert [(code, row, column)] == said(problems)
    assert f"{table}.csv" == problems[0].file
    assert problems[0].is_error


#: name, table, row of the sheet, column, cell, code
BAD_TYPED = [
    ("true for an area", "fields", 2, "area", True, "boolean"),
    ("date for an area", "fields", 2, "area", datetime(2026, 5, 14), "not-a-number"),
    ("text for an area", "fields", 2, "area", "80 acres", "not-a-number"),
    ("true for a date", "passes", 2, "date", True, "boolean"),
    ("small number for a date", "passes", 2, "date", 14, "not-a-date"),
    ("huge number for a date", "passes", 2, "date", 20260514, "not-a-date"),
    ("time alone for a date", "passes", 2, "date", time(7, 30), "not-a-date"),
    ("slashed text for a date", "passes", 2, "date", "5/14/2026", "not-a-date"),
    ("date of 1900", "passes", 2, "date", date(1900, 1, 15), "date-too-early"),
    ("whole day for a time", "passes", 2, "start_time", 1.5, "not-a-time"),
    ("date for a time", "passes", 2, "start_time", datetime(2026, 5, 14, 7, 30), "not-a-time"),
    ("true for a time", "passes", 2, "start_time", False, "boolean"),
    ("date for a field name", "fields", 2, "field", datetime(2026, 1, 2), "not-text"),
    ("true for a field name", "fields", 2, "field", True, "not-text"),
    ("error value for an area", "fields", 2, "area", "#DIV/0!", "excel-error"),
    ("error value for a share", "passes", 3, "sprayed_share", "#DIV/0!", "excel-error"),
    ("formula never calculated", "fields", 2, "area", "=40*2", "formula-without-value"),
    ("plain percent for a share", "passes", 3, "sprayed_share", 30, "share-over-one"),
    ("whole number with a fraction", "plant_back", 2, "interval", 7.25, "not-whole"),
    ("blank carrier", "passes", 3, "carrier", "", "required-blank"),
]


@pytest.mark.parametrize(
    ("table", "row", "column", "cell", "code"), [case[1:] for case in BAD_TYPED],
    ids=[case[0] for case in BAD_TYPED]
)
def test_bad_cell_in_a_workbook(tmp_path: Path, table: str, row: int, column: str, cell: Any,
                                code: str) -> None:
    """A bad cell of a workbook is reported once, with its sheet, its row and its printed header."""
    path = write_book(tmp_path / "book.xlsx", changed(table, row, column, cell))

    _, problems = read_source(path, TABLES)

    header = {each.key: each for each in TABLES}[table].by_key[column].header
    assert [(code, row + 3, header)] == said(problems)
    assert {each.key: each for each in TABLES}[table].title == problems[0].sheet


def test_a_form_in_a_workbook_names_the_row_of_the_label(tmp_path: Path) -> None:
    """A bad cell of a form is found by its label's own row."""
    _, problems = read_source(write_book(tmp_path / "book.xlsx", changed("farm", 2, "latitude", 120)), TABLES)

    assert said(problems) == [("above-maximum", 7, "Latitude")]


def test_the_message_says_what_is_wrong_and_what_would_be_right(tmp_path: Path) -> None:
    """A problem reads as a sentence with its place, the fault and the remedy."""
    folder = write_folder(tmp_path / "farm", changed("passes", 3, "sprayed_share", "30"))

    _, problems = read_source(folder, TABLES)

    expected = ("passes.csv, row 3, column sprayed_share: 30 is more than 1, which stands for 100 %. Type 30 "
                "% or 0.3.")
    assert expected == str(problems[0])


def test_all_problems_are_collected(tmp_path: Path) -> None:
    """One run reports every bad cell, in the order of the tables."""
    tables = changed("fields", 2, "area", "eighty")
    tables["passes"][1][4] = "soon"
    tables["passes"][2][6] = "much"

    _, problems = read_source(write_folder(tmp_path / "farm", tables), TABLES)

    assert (said(problems) == [("not-a-number", 2, "area"), ("not-a-date", 2, "date"),
                               ("not-a-number", 3, "carrier")])


WARNINGS = [
    ("notes that begin like a formula", "fields", 2, "notes", "=1+1", "looks-like-formula", "=1+1"),
    ("notes with a plus", "fields", 2, "notes", "+wet", "looks-like-formula", "+wet"),
    ("name with an equals sign", "fields", 3, "field", "=Creek", "looks-like-formula", "=Creek"),
    ("name with a dash in front", "fields", 2, "crop", "-fallow", "looks-like-formula", "-fallow"),
    ("name with an at sign", "fields", 2, "crop", "@home", "looks-like-formula", "@home"),
    ("guarded text of a CSV file", "fields", 2, "notes", "'=1+1", "looks-like-formula", "=1+1"),
    ("date with a time", "fields", 2, "planting_date", "2026-05-14 08:00", "date-with-time",
     date(2026, 5, 14)),
]


@pytest.mark.parametrize(
    ("table", "row", "column", "cell", "code", "value"),
    [case[1:] for case in WARNINGS],
    ids=[case[0] for case in WARNINGS],
)
def test_doubtful_cells(tmp_path: Path, table: str, row: int, column: str, cell: str, code: str,
                        value: Any) -> None:
    """A doubtful cell is kept and warned of."""
    inputs, problems = read_source(write_folder(tmp_path / "farm", changed(table, row, column, cell)), TABLES)

    assert [(code, row, column)] == said(problems)
    assert not problems[0].is_error
    assert value == inputs.rows(table)[row - 2][column]


@pytest.mark.parametrize(("typed", "ends"), [("20-30 %", (0.2, 0.3)), ("20 % to 40 %", (0.2, 0.4)),
                                             ("0.1 \u2013 0.3", (0.1, 0.3)), ("5..15", (0.05, 0.15)),
                                             ("10 to 60", (0.1, 0.6))])
def test_a_range_for_a_share_is_read_as_low_middle_and_high(tmp_path: Path, typed: str,
                                                            ends: tuple[float, float]) -> None:
    """Whoever is unsure of a share types a range, in the words people use."""
    inputs, problems = read_source(write_folder(tmp_path / "farm",
                                                changed("passes", 3, "sprayed_share", typed)), TABLES)

    row = inputs.rows("passes")[1]
    assert problems == []
    assert ((row["share_low"], row["sprayed_share"], row["share_high"])
            == pytest.approx((ends[0], sum(ends) / 2, ends[1])))


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("light", "'light' is no share. Type one number, for instance 30 % or 0.3; or leave it blank and "
                  "choose a pressure class"),
        ("about a third",
         "'about a third' is no share. Type one number, for instance 30 % or 0.3; or leave it blank and "
         "choose a pressure class"),
    ],
)
def test_a_word_for_a_share_is_answered_with_what_can_be_typed(tmp_path: Path, typed: str,
                                                               answer: str) -> None:
    """Whoever is unsure of a share is told the number to type, and where to say how unsure it is."""
    [problem] = read_source(write_folder(tmp_path / "farm", changed("passes", 3, "sprayed_share", typed)),
                            TABLES)[1]

    assert f"passes.csv, row 3, column sprayed_share: {answer}" in str(problem)


def test_a_range_for_another_share_is_answered_too(tmp_path: Path) -> None:
    """Shares that no pressure class describes are answered with a number alone."""
    [problem] = read_source(write_folder(tmp_path / "farm",
                                         changed("sprayers", 2, "field_efficiency", "60 to 70 %")), TABLES)[1]

    assert str(problem).endswith("Type one number, the middle for instance: 65 %.")
