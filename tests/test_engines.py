"""Every engine calculates for itself, takes edits, and reports failures clearly."""

from __future__ import annotations

import io
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from engine_help import every_engine, finished_workbook, need_engine, saved_workbook

from workbook_builder.core.functions import FUNCTIONS
from workbook_builder.core.place import quoted
from workbook_builder.core.rounding import number_text
from workbook_builder.core.values import Cells
from workbook_builder.engines import (
    CellError,
    Edit,
    EngineFailed,
    EngineMissing,
    all_engines,
    compare_cells,
    engine_named,
    first_available,
)
from workbook_builder.engines.gnumeric_engine import shortened
from workbook_builder.engines.libreoffice_engine import LibreOfficeEngine
from workbook_builder.finish import NotAWorkbook, UnknownSheet

CELLS = {
    "A1": 2, "A2": 3, "A3": "pea", "A4": True, "B1": "=A1*A2", "B2": '=A3&" field"', "B3": "=1/3",
    "B4": '=IF(A5="","",A5)', "B5": "=A1>1", "B6": "=1/A6", "B7": "=ISTEXT(A1)",
}
PLANTED = {"B1": 999, "B2": "wrong", "B3": 999, "B4": "wrong", "B5": False, "B6": 999, "B7": True}
TRUE_VALUES = {"B1": 6.0, "B2": "pea field", "B3": 1 / 3, "B4": "", "B5": True,
               "B6": CellError("#DIV/0!"), "B7": False}


@pytest.fixture
def poisoned(tmp_path: Path) -> Path:
    """Write a workbook in which every cached value is wrong."""
    path = tmp_path / "a book.xlsx"
    path.write_bytes(finished_workbook({"First": {"A1": 1}, "Bo's & <co>": CELLS}, {"Bo's & <co>": PLANTED}))
    return path


@every_engine
def test_planted_values_are_overruled(engine_name: str, poisoned: Path) -> None:
    """A wrong cached value never survives an engine run."""
    before = poisoned.read_bytes()

    found = need_engine(engine_name).recalculate(poisoned)

    assert compare_cells({"Bo's & <co>": TRUE_VALUES}, found, 1e-14) == []
    assert {kind: type(found["Bo's & <co>"][kind]) for kind in ("B1", "B2", "B5", "B6")} == {
        "B1": float, "B2": str, "B5": bool, "B6": CellError,
    }
    assert found["First"] == {"A1": 1.0}
    assert before == poisoned.read_bytes()


@every_engine
def test_edits_flow_through(engine_name: str, poisoned: Path) -> None:
    """Numbers, texts, truth values and cleared cells reach every formula that refers to them."""
    sheet = "Bo's & <co>"
    edits = [
        Edit(sheet, "A1", 46082), Edit(sheet, "A2", None), Edit(sheet, "A3", '  rye & "oats" <1>'),
        Edit(sheet, "A5", True), Edit(sheet, "A6", 0.1), Edit("First", "C9", 4.5),
    ]

    found = need_engine(engine_name).recalculate(poisoned, edits)

    expected = {"B1": 0, "B2": '  rye & "oats" <1> field', "B4": True, "B5": True, "B6": 10, "B7": False}
    assert compare_cells({sheet: expected, "First": {"A1": 1, "C9": 4.5}}, found, 1e-14) == []
    assert "A2" not in found[sheet]


@every_engine
def test_edited_text_stays_text(engine_name: str, poisoned: Path) -> None:
    """Text that looks like a formula, a number or an error is stored as the text it is."""
    sheet, texts = ("Bo's & <co>", ("=1+1", "123", "#N/A", "TRUE", "2026-03-01", "'x", "+1",
                                    "=cmd|' /C calc'!A0"))
    places = ["A1", *(f"D{row}" for row in range(2, len(texts) + 1))]
    found = need_engine(engine_name).recalculate(poisoned,
                                                 [Edit(sheet, place, text)
                                                  for place, text in zip(places, texts, strict=True)])[sheet]

    assert [found[place] for place in places] == list(texts)
    assert {type(found[place]) for place in places} == {str}
    assert found["B7"] is True


@every_engine
def test_a_title_is_quoted_where_it_must_be(engine_name: str, tmp_path: Path) -> None:
    """Plain words stand without quotes, what could be a cell, a truth or several words stands in them,
    and every engine finds the sheet.
    """
    plain = ("Season", "Behind_label_check", "abcd1", "_")
    odd = ("Label check", "Bo & co", "2nd", "A1", "xfd9", "R", "c3", "R1C", "R1C1", "true",
           "Größe", "Plant-back")
    titles = (*plain, *odd)
    path = tmp_path / "book.xlsx"
    formulas = {f"A{row}": f"={quoted(title)}!B2+1" for row, title in enumerate(titles, 1)}
    path.write_bytes(saved_workbook({**{title: {"B2": 40 + number} for number, title in enumerate(titles)},
                                     "All": formulas}))

    assert [title for title in titles if quoted(title) == title] == list(plain)
    assert (need_engine(engine_name).recalculate(path)["All"]
            == {f"A{row}": 40 + row for row in range(1, len(titles) + 1)})


@every_engine
def test_blank_cells_with_a_format_are_left_out(engine_name: str, tmp_path: Path) -> None:
    """A formatted blank cell is no value, also after an edit cleared it."""
    from openpyxl import load_workbook

    book = load_workbook(
        io.BytesIO(saved_workbook({"S": {"A1": 1, "A2": 5, "A3": 0, "B1": "=SUM(A2)", "B2": '=C7=""'}}))
    )
    for place in ("A2", "A3", "C7"):
        book["S"][place].number_format = "0.00"
    path = tmp_path / "book.xlsx"
    book.save(path)

    found = need_engine(engine_name).recalculate(path, [Edit("S", "A2", None)])

    assert found == {"S": {"A1": 1.0, "A3": 0.0, "B1": 0.0, "B2": True}}


@every_engine
def test_edit_of_an_unknown_sheet(engine_name: str, poisoned: Path) -> None:
    """An edit on a sheet that is not there names the sheet."""
    with pytest.raises(UnknownSheet, match="Nowhere"):
        need_engine(engine_name).recalculate(poisoned, [Edit("Nowhere", "A1", 1)])


@every_engine
def test_edit_of_a_bad_reference(engine_name: str, poisoned: Path) -> None:
    """An edit of something that is no cell is refused."""
    with pytest.raises(ValueError, match="A0"):
        need_engine(engine_name).recalculate(poisoned, [Edit("First", "A0", 1)])


@every_engine
def test_a_broken_file_is_named(engine_name: str, tmp_path: Path) -> None:
    """A file that is no workbook gives an error, not an empty answer."""
    path = tmp_path / "broken.xlsx"
    path.write_bytes(b"no workbook")

    with pytest.raises((EngineFailed, NotAWorkbook), match=r"broken\.xlsx"):
        need_engine(engine_name).recalculate(path)


def test_libreoffice_runs_side_by_side(poisoned: Path) -> None:
    """Two runs at once do not wait for or disturb each other."""
    engine = need_engine("LibreOffice")
    with ThreadPoolExecutor(2) as pool:
        first, second = pool.map(engine.recalculate, [poisoned, poisoned])

    assert first == second


def test_time_limit(poisoned: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A program that takes too long is ended and named, and leaves no folder behind."""
    need_engine("LibreOffice")
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(folder))

    with pytest.raises(EngineFailed, match=r"LibreOffice could not calculate .*0\.2 seconds"):
        LibreOfficeEngine(seconds=0.2).recalculate(poisoned)

    assert list(folder.iterdir()) == []


def test_missing_programs_are_named(monkeypatch: pytest.MonkeyPatch, poisoned: Path) -> None:
    """Without its program an engine says what is missing, and the first one found is taken."""
    monkeypatch.setenv("PATH", "")
    for name in ("LibreOffice", "Gnumeric"):
        engine = engine_named(name)
        assert "not installed" in str(engine.available())
        with pytest.raises(EngineMissing, match=name):
            engine.recalculate(poisoned)

    monkeypatch.setattr("workbook_builder.engines.ironcalc_engine.find_spec", lambda name: None)
    with pytest.raises(EngineMissing, match="ironcalc"):
        first_available()


def test_numbers_in_texts_of_extended_precision_are_told_as_elsewhere() -> None:
    """Gnumeric with 64 bits of mantissa joins 0.96 to a text as 0.95999999999999999998.

    Every other text stays.
    """
    assert shortened("would cost 0.95999999999999999998 less") == "would cost 0.96 less"
    assert shortened("49.630000000000000001 of 12.5") == "49.63 of 12.5"
    assert ([shortened(value) for value in ("1.2.3", "0.123456789", 0.95999999999999999998, True)]
            == ["1.2.3", "0.123456789", 0.96, True])


def test_engines_by_name() -> None:
    """Engines are found by name in any case; another name lists the ones there are."""
    assert engine_named("ironcalc").name == "IronCalc"
    assert [engine.name for engine in all_engines()] == ["IronCalc", "LibreOffice", "Gnumeric"]
    with pytest.raises(KeyError, match="LibreOffice"):
        engine_named("abacus")


def test_import_is_cheap() -> None:
    """Importing the engines loads no engine and no workbook library."""
    code = (
        "import sys, workbook_builder.engines, workbook_builder.finish;"
        "print(sorted({'ironcalc', 'openpyxl', 'lxml', 'pandas'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"


#: Numbers, of which some differ in their last bit alone, texts that hold numbers, and blanks.  No truths: to
#: LibreOffice they are numbers here, and no cell of ours holds one.
MIXED = (3, 0.1 + 0.2, "3", 0.3, None, "wet", "yes", -2.5, 7, "", 0, 12, None, "0.3", 5.5, 1e9, -0.3,
         3.0000001)
#: What is compared with: in the column, between its numbers, and beyond them.
BOUNDS = (0.3, 3, 0, -2.5, 2.9999999, 1e9, -9, 2e9)


@every_engine
def test_what_is_smaller_or_larger_is_counted_alike(tmp_path: Path, engine_name: str) -> None:
    """COUNTIF with a comparison gives what a program gives, over a column long enough to be kept by size."""
    asked = [(sign, bound) for sign in ("<", "<=", ">", ">=") for bound in BOUNDS]
    cells: dict[str, Any] = {f"A{row}": value for row, value in enumerate(MIXED, 1)}
    cells |= {f"B{row}": bound for row, (_, bound) in enumerate(asked, 1)}
    cells |= {f"C{row}": f'=COUNTIF($A$1:$A${len(MIXED)},"{sign}"&B{row})'
              for row, (sign, _) in enumerate(asked, 1)}
    path = tmp_path / "book.xlsx"
    path.write_bytes(saved_workbook({"S": cells}))
    column = Cells(value if value != "" else None for value in MIXED)
    column.finished = True

    found = need_engine(engine_name).recalculate(path)["S"]

    assert {row: found[f"C{row}"] for row in range(1, len(asked) + 1)} == {
        row: FUNCTIONS["COUNTIF"](column, f"{sign}{number_text(bound)}")
        for row, (sign, bound) in enumerate(asked, 1)}
