"""Sources that cannot be read, and tables that are not all there: a problem each, never a traceback."""

from __future__ import annotations

import io
import os
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from test_read_builders import TABLES, codes, farm, said, write_book, write_folder

from workbook_builder.check import check_inputs
from workbook_builder.read import read_source, safety, text_files

#: Tries of each random damage: more in the long run.
MANY = 150 if os.environ.get("MANY_TRIES") else 30


def _repack(path: Path, change: Callable[[dict[str, bytes]], object]) -> Path:
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    change(parts)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    return path


SHEET, ENTITY = "xl/worksheets/sheet1.xml", '<!DOCTYPE a [<!ENTITY b "c">]>'
IN_UTF16 = f'<?xml version="1.0" encoding="utf-16"?>{ENTITY}'
#: What is done to the parts of a workbook, and what comes of it.
BROKEN_BOOKS: dict[str, tuple[Callable[[dict[str, bytes]], object], str]] = {
    "entity declared": (lambda parts: parts.update({SHEET: ENTITY.encode() + parts[SHEET]}),
                        "suspicious-file"),
    "entity declared in another encoding": (
        lambda parts: parts.update({SHEET: (IN_UTF16 + parts[SHEET].decode()).encode("utf-16")}),
        "suspicious-file"),
    "part missing": (lambda parts: parts.pop("xl/workbook.xml"), "not-a-workbook"),
    "markup cut short": (lambda parts: parts.update({SHEET: parts[SHEET][:-40]}), "not-a-workbook"),
    "flood packed small": (lambda parts: parts.update({"xl/media/flood.xml": b" " * (safety.SMALL_PART + 1)}),
                           "suspicious-file"),
}


@pytest.mark.parametrize(("change", "code"), BROKEN_BOOKS.values(), ids=BROKEN_BOOKS)
def test_broken_workbooks(tmp_path: Path, change: Callable[[dict[str, bytes]], object], code: str) -> None:
    """A workbook that is damaged, or made to do harm, is one problem."""
    inputs, problems = read_source(_repack(write_book(tmp_path / "book.xlsx", farm()), change), TABLES)

    assert [code] == codes(problems)
    assert problems[0].file == "book.xlsx"
    assert dict(inputs.tables) == {}


NOT_BOOKS = [
    ("blank file", b"", "not-a-workbook"), ("plain text", b"field,area\n", "not-a-workbook"),
    ("old binary or encrypted", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "locked-file"),
    ("zip header alone", b"PK\x03\x04", "not-a-workbook"),
    ("picture", b"\x89PNG\r\n\x1a\n" + bytes(100), "not-a-workbook"),
]


@pytest.mark.parametrize(("data", "code"), [case[1:] for case in NOT_BOOKS],
                         ids=[case[0] for case in NOT_BOOKS])
def test_files_that_are_no_workbooks(tmp_path: Path, data: bytes, code: str) -> None:
    """A file that is no workbook is one problem, whatever its name says."""
    path = tmp_path / "book.xlsx"
    path.write_bytes(data)

    _, problems = read_source(path, TABLES)

    assert [code] == codes(problems)


def test_a_zip_of_something_else(tmp_path: Path) -> None:
    """A zip that holds no workbook is not a workbook."""
    path = tmp_path / "book.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("letter.txt", "dear grower")

    assert codes(read_source(path, TABLES)[1]) == ["not-a-workbook"]


@pytest.mark.parametrize(("module", "limit", "most"),
                         [(safety, "LARGEST_UNPACKED", 1000), (text_files, "LARGEST_FILE", 100)])
def test_a_file_that_is_too_large(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, module: object, limit: str,
                                  most: int) -> None:
    """A workbook is not opened when its parts together are too large,
    and a file that is too large is not even read.
    """
    monkeypatch.setattr(module, limit, most)

    assert codes(read_source(write_book(tmp_path / "book.xlsx", farm()), TABLES)[1]) == ["file-too-large"]


@pytest.mark.parametrize("name", ["nowhere", "x" * 5000, "bad\0name"])
def test_a_path_that_leads_nowhere(tmp_path: Path, name: str) -> None:
    """A missing path is a problem, and so is one that no system can hold."""
    assert codes(read_source(tmp_path / name, TABLES)[1]) == ["missing-source"]


@pytest.mark.parametrize("place", ["empty", "farm/fields.csv"])
def test_what_is_no_source(tmp_path: Path, place: str) -> None:
    """A folder without CSV files is no source, and one CSV file is not a farm.

    The message asks for its folder.
    """
    write_folder(tmp_path / "farm", farm())
    (tmp_path / "empty").mkdir()

    assert codes(read_source(tmp_path / place, TABLES)[1]) == ["not-a-source"]


BAD_FILES = [
    ("quote never closed", b'field,area,crop\n"Bench,80,fallow\n', "broken-csv", 2),
    ("text behind a quote", b'field,area,crop\n"Bench"s,80,fallow\n', "broken-csv", 2),
    ("bytes of no encoding", b"field,area,crop\nB\x81\x8d,80,fallow\n", "unreadable-file", None),
    ("zero bytes in the text", b"field,area,crop\nBen\x00ch,80,fallow\n" + b"x" * 500,
     "unreadable-file", None),
    ("workbook under a CSV name", b"PK\x03\x04rest", "unreadable-file", None),
    ("no header row", b"Bench,80,fallow\nCreek,120,fallow\n", "missing-header", 1),
    ("decimal comma in a comma file", b"field,area,crop\nBench,80,5,fallow\n", "too-many-cells", 2),
]


@pytest.mark.parametrize(("data", "code", "row"), [case[1:] for case in BAD_FILES],
                         ids=[case[0] for case in BAD_FILES])
def test_bad_csv_files(tmp_path: Path, data: bytes, code: str, row: int | None) -> None:
    """A CSV file that cannot be read names the file and the line; the other files are read all the same."""
    folder = write_folder(tmp_path / "farm", farm())
    (folder / "fields.csv").write_bytes(data)

    inputs, problems = read_source(folder, TABLES)

    assert [(code, row, "")] == said(problems)
    assert problems[0].file == "fields.csv"
    assert len(inputs.rows("passes")) == 2


@pytest.mark.parametrize("table", ["farm", "fields", "products", "mixes", "sprayers", "passes"])
def test_a_required_table_that_is_missing(tmp_path: Path, table: str) -> None:
    """Each table that every plan needs is asked for by name."""
    tables = farm()
    del tables[table]

    inputs, problems = read_source(write_folder(tmp_path / "farm", tables), TABLES)

    assert codes(problems) == ["missing-table"]
    assert inputs.rows(table) == []


@pytest.mark.parametrize("table",
                         ["ingredients", "label_limits", "ingredient_limits", "plant_back", "past_use"])
def test_an_optional_table_that_is_missing(tmp_path: Path, table: str) -> None:
    """Tables that may be missing are not asked for."""
    tables = farm()
    del tables[table]

    inputs, problems = read_source(write_folder(tmp_path / "farm", tables), TABLES)

    assert problems == []
    assert table not in inputs.tables


def test_a_misspelt_required_table(tmp_path: Path) -> None:
    """A missing table is matched with the file nobody knows."""
    folder = write_folder(tmp_path / "farm", farm())
    (folder / "fields.csv").rename(folder / "feilds.csv")

    _, problems = read_source(folder, TABLES)

    assert codes(problems) == ["missing-table"]
    assert problems[0].fix == "Is it 'feilds.csv'?"


def test_a_misspelt_optional_table(tmp_path: Path) -> None:
    """A file with the header row of a table that is not there is a problem, with its rows and the right name.
    """
    folder = write_folder(tmp_path / "farm", farm())
    (folder / "past_use.csv").rename(folder / "past_uses.csv")

    _, problems = read_source(folder, TABLES)

    assert codes(problems) == ["unknown-sheet"]
    assert problems[0].is_error
    assert "its 1 row would be left out" in problems[0].message
    assert "past_use.csv" in problems[0].fix


def test_a_table_given_twice(tmp_path: Path) -> None:
    """Two files for one table are a problem."""
    folder = write_folder(tmp_path / "farm", farm())
    (folder / "plant-back.csv").write_bytes((folder / "plant_back.csv").read_bytes())

    assert codes(read_source(folder, TABLES)[1]) == ["duplicate-table"]


HEADER_FAULTS = [
    ("required column missing", ["field", "acres", "crop"], [("missing-column", 1, "Area")]),
    ("column given twice", ["field", "area", "crop", "Area (ac)"], [("duplicate-column", 1, "Area (ac)")]),
    ("optional column misspelt", ["field", "area", "crop", "harvst date"],
     [("unknown-column", 1, "harvst date")]),
    ("unit of the other system", ["field", "Area (ha)", "crop"], [("unit-converted", 1, "Area (ha)")]),
    ("unit of another measure", ["field", "Area (psi)", "crop"], [("unit-mismatch", 1, "Area (psi)")]),
    ("unit nobody knows", ["field", "Area (mornings)", "crop"], [("unknown-unit", 1, "Area (mornings)")]),
]


@pytest.mark.parametrize(("header", "expected"), [case[1:] for case in HEADER_FAULTS],
                         ids=[case[0] for case in HEADER_FAULTS])
def test_faults_of_a_header(tmp_path: Path, header: list[str], expected: list[tuple[str, int, str]]) -> None:
    """A header that misses, doubles, misspells or misjudges a column is reported in its row."""
    rows = [header, ["Bench", "80", "fallow", "81" if "Area (ac)" in header else ""]]

    _, problems = read_source(write_folder(tmp_path / "farm", farm(fields=rows)), TABLES)

    assert expected == said(problems)


def test_a_missing_line_of_a_form(tmp_path: Path) -> None:
    """A form without a required line asks for it."""
    rows = [["farm", "units"], ["North Bench", "us"]]

    _, problems = read_source(write_book(tmp_path / "book.xlsx", farm(farm=rows)), TABLES)

    assert said(problems) == [("missing-column", None, "Season")]


def test_a_form_with_two_rows(tmp_path: Path) -> None:
    """A form has one row; another is a problem."""
    tables = farm()
    tables["farm"].append(["South Bench", "2026", "us"])

    assert said(read_source(write_folder(tmp_path / "farm", tables), TABLES)[1]) == [("too-many-rows", 3, "")]


def test_cells_without_a_header(tmp_path: Path) -> None:
    """A cell of a workbook beyond the headers is warned of."""
    tables = farm()
    tables["fields"][1].append("loam")

    _, problems = read_source(write_book(tmp_path / "book.xlsx", tables), TABLES)

    assert said(problems) == [("no-header", 5, "H")]


def test_an_empty_file_of_a_form(tmp_path: Path) -> None:
    """A blank farm file asks for each required line."""
    folder = write_folder(tmp_path / "farm", farm())
    (folder / "farm.csv").write_text("")

    assert codes(read_source(folder, TABLES)[1]) == ["missing-column"] * 3


@settings(max_examples=MANY, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.binary(max_size=300))
def test_no_csv_bytes_raise(tmp_path: Path, data: bytes) -> None:
    """Whatever bytes a CSV file holds, reading ends in problems at worst."""
    folder = write_folder(tmp_path / "farm", farm())
    (folder / "fields.csv").write_bytes(data)
    (folder / "farm.csv").write_bytes(data)

    check_inputs(read_source(folder, TABLES)[0], TABLES)


@settings(max_examples=MANY, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(cells=st.lists(st.lists(st.text(st.characters(exclude_categories=["Cs"]), max_size=12), min_size=9,
                               max_size=9), max_size=4))
def test_no_cell_text_raises(tmp_path: Path, cells: list[list[str]]) -> None:
    """Whatever text stands in cells, reading ends in problems at worst."""
    clean = [[cell.encode("utf-8", "replace").decode() for cell in row] for row in cells]
    tables = farm()
    tables["passes"][1:] = clean

    check_inputs(read_source(write_folder(tmp_path / "farm", tables), TABLES)[0], TABLES)


@settings(max_examples=MANY, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(at=st.integers(0, 10**6), byte=st.integers(0, 255), part=st.integers(0, 10**6))
def test_no_damaged_workbook_raises(tmp_path: Path, at: int, byte: int, part: int) -> None:
    """A workbook with any byte of any part changed is read or refused, never a crash."""
    path = write_book(tmp_path / "book.xlsx", farm())
    data = io.BytesIO(path.read_bytes())
    with zipfile.ZipFile(data) as archive:
        parts = {name: bytearray(archive.read(name)) for name in archive.namelist()}
    name = sorted(parts)[part % len(parts)]
    parts[name][at % len(parts[name])] = byte
    with zipfile.ZipFile(path, "w") as archive:
        for each, content in parts.items():
            archive.writestr(each, bytes(content))

    check_inputs(read_source(path, TABLES)[0], TABLES)
