"""Whatever is not recognised is named with what it holds: a renamed tab,
file or column never drops its rows without a word.
"""

from __future__ import annotations

import csv
import shutil
from pathlib import Path

import pytest
from openpyxl import load_workbook
from test_read_builders import TABLES, codes, farm, said, write_book, write_folder

from workbook_builder.build import read_and_check
from workbook_builder.check import Problem
from workbook_builder.check.names import REQUIRED_TABLES
from workbook_builder.core.columns import Table
from workbook_builder.core.quantities import US
from workbook_builder.features import TYPED_TABLES
from workbook_builder.read import read_source
from workbook_builder.read.cells import Reading
from workbook_builder.read.grid import Grid
from workbook_builder.read.rows import read_rows

DEMO = Path(__file__).parents[1] / "workbook_builder" / "data" / "demo"
OPTIONAL = [table for table in TYPED_TABLES if not table.is_form and table.key not in REQUIRED_TABLES]


def header_of(table: Table) -> list[str]:
    """Return the header row that the program prints above a table."""
    return [column.header_in(US) for column in table.columns if column.typed]


def unknown(problems: list[Problem]) -> list[Problem]:
    """Return the problems about what nobody knows."""
    return [problem for problem in problems if problem.code in ("unknown-sheet", "unknown-column")]


@pytest.mark.parametrize("table", OPTIONAL, ids=[table.key for table in OPTIONAL])
def test_a_table_under_another_name(tmp_path: Path, table: Table) -> None:
    """Whichever optional table goes by a name nobody knows, its header row gives it away,
    and its rows are counted.
    """
    folder = write_folder(tmp_path / "farm", farm())
    for name in {table.key, table.title}:
        (folder / f"{name}.csv").unlink(missing_ok=True)
    with open(folder / "Zettel 7.csv", "w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([header_of(table), *[["x"] * len(header_of(table))] * 89])

    _, problems = read_source(folder, TYPED_TABLES)

    [problem] = unknown(problems)
    assert problem.is_error
    assert (problem.file, problem.code) == ("Zettel 7.csv", "unknown-sheet")
    assert "its 89 rows would be left out" in problem.message
    assert f"that of {table.title}:" in problem.message
    assert table.file_name in problem.fix


@pytest.mark.parametrize("table", [table for table in TYPED_TABLES if not table.is_form],
                         ids=lambda table: table.key)
def test_a_column_under_another_name(table: Table) -> None:
    """Whichever optional column goes by a name nobody knows, it is named with the number of its cells."""
    header = header_of(table)
    for at, column in enumerate(column for column in table.columns if column.typed):
        if column.required:
            continue
        changed = [*header[:at], "Zettel 7", *header[at + 1 :]]
        found = read_rows(Grid("t.csv", "", [changed, ["x"] * len(header), ["y"] * len(header)], [1, 2, 3]),
                          table, Reading())
        [problem] = unknown(found.problems)
        assert (problem.row, problem.column, problem.is_error) == (1, "Zettel 7", False)
        assert "2 cells" in problem.message
        assert found.extras == {"Zettel 7": ["x", "y"]}


def test_a_renamed_tab_of_a_built_book(tmp_path: Path) -> None:
    """A renamed tab of a workbook is a problem.

    A copy of one that is still there is warned of, and so is a sheet of notes.
    """
    path = write_book(tmp_path / "book.xlsx", farm())
    book = load_workbook(path)
    book["Past use"].title = "Modes of the years before"
    copy = book.copy_worksheet(book["Fields"])
    copy.title = "Fields of last year"
    notes = book.create_sheet("What Ann said")
    notes["B3"] = "Spray the creek first"
    book.create_sheet("Sheet1")
    book.save(path)

    _, problems = read_source(path, TABLES)

    assert [(problem.sheet, problem.is_error) for problem in unknown(problems)] == [
        ("Modes of the years before", True), ("Fields of last year", False), ("What Ann said", False)
    ]
    assert codes(problems) == ["unknown-sheet"] * 3
    assert "its 2 rows are carried along unread" in problems[1].message
    assert problems[0].file == "book.xlsx"


@pytest.mark.parametrize(("name", "is_error"),
                         [("past_use.txt", True), ("years before.tab", True), ("past_use.xlsx", False),
                          ("past-use.ods", False), ("README.txt", None), (".past_use.txt", None)])
def test_files_of_another_kind(tmp_path: Path, name: str, is_error: bool | None) -> None:
    """A table under the ending of another kind of file is a problem or a warning.

    Files that have nothing to do with tables are passed over.
    """
    folder = write_folder(tmp_path / "farm", farm())
    text = (folder / "past_use.csv").read_bytes()
    (folder / "past_use.csv").unlink()
    (folder / name).write_bytes(text if "README" not in name
                                else b"Fields, passes and products of an invented farm")

    _, problems = read_source(folder, TABLES)

    assert ([(problem.code, problem.file, problem.is_error) for problem in problems]
            == ([("unknown-sheet", name, is_error)] if is_error is not None else []))


def test_a_cell_under_no_header(tmp_path: Path) -> None:
    """In a CSV file too, a column without a header is told, with the number of its cells."""
    tables = farm(fields=[["field", "area", "", "crop"], ["Bench", "80", "loam", "fallow"],
                          ["Creek", "120", "sand", "fallow"]])

    _, problems = read_source(write_folder(tmp_path / "farm", tables), TABLES)

    assert said(problems) == [("no-header", 2, "C")]
    assert "2 cells" in problems[0].message


def test_a_form_with_a_line_that_nobody_knows(tmp_path: Path) -> None:
    """A line of a form, the first as well, is named when its label is not known.

    Two of one name are both kept.
    """
    lines = [["Nickname", "Long field"], ["farm", "North Bench"], ["season", "2026"], ["units", "us"],
             ["Nickname", "Short field"], ["latitud", "48"]]

    inputs, problems = read_source(write_folder(tmp_path / "farm", farm(farm=lines)), TABLES)

    assert [(problem.row, problem.column) for problem in problems] == [(6, "latitud"), (5, "Nickname")]
    assert "Did you mean 'Latitude'?" in problems[0].fix
    assert (inputs.extras["farm"] == {"Nickname": ["Long field"], "Nickname (2)": ["Short field"],
                                      "latitud": ["48"]})


def test_the_demo_is_known_throughout(tmp_path: Path) -> None:
    """Nothing in the invented farm is unknown, and taking the headers of one file away is told."""
    folder = shutil.copytree(DEMO, tmp_path / "farm")
    assert unknown(read_and_check(folder)[1]) == []

    scouting = next(path for path in folder.iterdir() if path.stem.lower() == "scouting")
    rows = sum(1 for line in scouting.read_text("utf-8").splitlines() if line.strip()) - 1
    scouting.rename(folder / "frames.csv")

    [problem] = unknown(read_and_check(folder)[1])
    assert f"its {rows} rows" in problem.message
    assert problem.is_error
