"""A built workbook is itself a source: read back it equals the inputs, and nothing anyone typed is lost."""

from __future__ import annotations

import datetime as dt
import os
import re
import subprocess
import unicodedata
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from cli_help import run
from farms_strategy import build_small, small_built
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook
from openpyxl.chart import BarChart
from openpyxl.comments import Comment
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import PatternFill
from small_farm import small_farm

from workbook_builder.build import Built, build_inputs, read_and_check, read_inputs
from workbook_builder.commands.earlier import Earlier
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.own import (
    NOTES_SHEET,
    OWN_CELLS,
    OWN_MARK,
    OWN_SHEETS,
    OwnCell,
    OwnFormula,
    OwnSheet,
)
from workbook_builder.features import BY_KEY, TYPED_TABLES
from workbook_builder.finish.package import pack
from workbook_builder.finish.parts import read_parts, sheet_parts
from workbook_builder.kept import what_was_kept


def typed(inputs: Inputs) -> dict[str, list[dict[str, Any]]]:
    """Return what people typed: blank cells and blank rows at the end left out."""
    found = {}
    for table in TYPED_TABLES:
        rows = [{key: value for key, value in row.items() if value is not None}
                for row in inputs.rows(table.key)]
        while rows and not rows[-1]:
            rows.pop()
        if table.is_form:
            defaults = {column.key: column.default_in(inputs.system) for column in table.columns
                        if column.default is not None}
            rows = [{**defaults, **row} for row in rows or [{}]]
        found[table.key] = rows
    return found


def read_back(data: bytes, path: Path) -> Inputs:
    """Write a workbook and read it as a source.

    Only names and texts of the user's own may be remarked upon.
    """
    path.write_bytes(data)
    inputs, problems = read_and_check(path)
    assert [problem for problem in problems
            if problem.code not in ("looks-like-formula", "garbled-text", "unknown-column",
                                    "unknown-sheet")] == []
    return inputs


def saved_by_libreoffice(path: Path, folder: Path) -> Path:
    """Return a copy of a workbook that LibreOffice opened and saved."""
    from engine_help import need_engine

    need_engine("LibreOffice")
    folder.mkdir()
    profile = f"-env:UserInstallation={(folder / 'profile').resolve().as_uri()}"
    command = ["soffice", profile, "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir",
               str(folder), str(path)]
    subprocess.run(command, check=True, capture_output=True, timeout=300,
                   env={**os.environ, "HOME": str(folder)})
    return folder / path.name


@pytest.mark.parametrize("which", ["metric", pytest.param("demo", marks=pytest.mark.nightly)])
def test_read_back_equals_the_inputs(which: str, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """A demo farm, built and read back, is what it was, and builds the same bytes again."""
    farm = request.getfixturevalue(which)

    inputs = read_back(farm.data, tmp_path / "built.xlsx")

    assert typed(inputs) == typed(farm.plan.inputs)
    assert build_inputs(inputs).data == farm.data


@pytest.mark.nightly
def test_copy_saved_by_libreoffice_loses_nothing(metric: Built, tmp_path: Path) -> None:
    """A copy that another program saved reads back the same and builds the same bytes."""
    (tmp_path / "built.xlsx").write_bytes(metric.data)
    copy = saved_by_libreoffice(tmp_path / "built.xlsx", tmp_path / "saved")

    inputs = read_back(copy.read_bytes(), tmp_path / "copy.xlsx")

    assert typed(inputs) == typed(metric.plan.inputs)
    assert build_inputs(inputs).data == metric.data


printable = st.text(st.characters(exclude_categories=("C", "Z"), include_characters=" "),
                    min_size=1, max_size=30)
#: Reading brings letters into their composed form, which for a few rare letters is another one.
words = st.one_of(printable.map(lambda text: unicodedata.normalize("NFC", text)),
                  st.sampled_from(["=1+1", "+5", "-x", "@now", "'quoted", "00123", "1e5", "TRUE",
                                   "2026-05-01", "Grün"])).map(str.strip).filter(bool)
moments = st.datetimes(dt.datetime(1950, 1, 1),
                       dt.datetime(2090, 1, 1)).map(lambda value: value.replace(microsecond=0))
own_values = st.one_of(st.none(), words, st.integers(-10**9, 10**9),
                       st.floats(-1e9, 1e9).map(lambda x: round(x, 6)), st.booleans(), moments)
headers = words.map(lambda text: f"My {text}")


def own_sheets() -> st.SearchStrategy[OwnSheet]:
    """Sheets of the user's own with a few cells anywhere near the top left."""
    places = st.tuples(st.integers(1, 30), st.integers(1, 12))
    cells = st.dictionaries(places, st.builds(OwnCell, own_values.filter(lambda value: value is not None)),
                            min_size=1, max_size=8)
    return st.builds(lambda found: OwnSheet(dict(sorted(found.items()))), cells)


@st.composite
def lived_in_farms(draw: st.DrawFn) -> Inputs:
    """Small farms after a season: notes, blank rows in between, own columns and own sheets."""
    inputs = small_farm()
    extra = [{"field": f"Field {n}", "area": draw(st.floats(0.5, 900).map(lambda x: round(x, 3))),
              "crop": "fallow", "notes": draw(words)} for n in range(draw(st.integers(0, 4)))]
    gap: list[dict[str, Any]] = [{}] * draw(st.integers(0, 2)) if extra else []
    fields = [*inputs.rows("fields"), *gap, *extra]
    columns = draw(st.dictionaries(headers,
                                   st.lists(own_values, min_size=1,
                                            max_size=12).filter(lambda values: values[-1] is not None),
                                   max_size=3))
    lines = draw(st.dictionaries(headers,
                                 own_values.filter(lambda value: value
                                                   is not None).map(lambda value: [value]), max_size=2))
    sheets = draw(st.dictionaries(st.sampled_from(["Map", "Prices 2025", "Läufe"]), own_sheets(), max_size=2))
    extras: dict[str, Any] = {key: found for key, found in (("fields", columns), ("farm", lines)) if found}
    if sheets:
        extras |= {OWN_SHEETS: list(sheets), OWN_CELLS: sheets}
    return Inputs({**inputs.tables, "fields": fields}, extras)


def plain_extras(extras: Any) -> dict[str, Any]:
    """Return extras for comparison: headers as reading tidies them, formats of cells left out."""
    found: dict[str, Any] = {}
    for key, content in extras.items():
        if key == OWN_CELLS:
            found[key] = {title: {place: cell.value for place, cell in sheet.cells.items()}
                          for title, sheet in content.items()}
        elif key == OWN_SHEETS:
            found[key] = sorted(content)
        else:
            found[key] = {" ".join(header.split()): values for header, values in content.items()}
    return found


@pytest.mark.parametrize("tries", [1, pytest.param(40, marks=pytest.mark.nightly)])
def test_whatever_was_typed_survives(tries: int, tmp_path: Path) -> None:
    """Build, read back: equal; build again: the same bytes, so nothing is lost, however often."""

    # No shrinking: a failing farm is small enough to read, and each try builds a workbook.
    @given(lived_in_farms())
    @settings(max_examples=tries, deadline=None, phases=(Phase.explicit, Phase.reuse, Phase.generate),
              suppress_health_check=list(HealthCheck))
    def survives(inputs: Inputs) -> None:
        built = build_small(inputs)

        again = read_back(built.data, tmp_path / "built.xlsx")

        assert typed(again) == typed(inputs)
        assert plain_extras(again.extras) == plain_extras(inputs.extras)
        assert build_small(again).data == built.data

    survives()


@pytest.fixture(scope="module")
def lived_in(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A workbook built from one that saw a season: rows added, columns moved and renamed, notes,
    own things; and what was said of it.
    """
    folder = tmp_path_factory.mktemp("lived_in")
    path, target = folder / "farm.xlsx", folder / "rebuilt.xlsx"
    built = small_built()
    book = load_workbook(_write(path, built.data))
    fields, spot = book["Farm"], built.placement.spots["fields"]
    first, at, wide = spot.first_row, spot.numbers["field"], spot.numbers["notes"]
    assert fields.cell(first - 1, at + 1).value.startswith("Area")
    spare = next(row for row in range(first, 99) if fields.cell(row, at).value is None)
    for step, value in enumerate(("New field", 12.5, "fallow")):
        fields.cell(spare, at + step).value = value
    fields.cell(first - 1, wide + 1).value = "Soil"
    fields.cell(first, wide + 1).value = "loam"
    fields.cell(first, at).comment = Comment("Ask about the gate", "someone")
    _swap_columns(fields, at + 1, at + 2)
    fields.cell(first - 1, at + 1).value = "crop"
    fields.cell(first - 1, at + 2).value = "AREA"
    own = book.create_sheet("Prices I heard")
    own["A1"], own["B2"], own["A4"] = "Product", 17.25, "heard there"
    own["A1"].fill, own["A4"].hyperlink = PatternFill("solid", fgColor="FFCC00"), "https://prices.invalid/"
    own.merge_cells("D1:E2")
    own.add_chart(BarChart(), "G2")
    own.conditional_formatting.add("B2:B9", CellIsRule(operator="greaterThan", formula=["10"]))
    place = built.placement.spots["passes"].cell("field")
    book["Passes"][place].value = str(book["Passes"][place].value).upper()
    book.save(path)
    outcome = run("build", path, "-o", target)
    assert outcome.exit_code == 0
    return target, outcome.stderr


def _write(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


def _swap_columns(sheet: Any, one: int, other: int) -> None:
    for row in range(6, 27):
        left, right = sheet.cell(row, one), sheet.cell(row, other)
        left.value, right.value = right.value, left.value


def test_a_lived_in_workbook_is_rebuilt_whole(lived_in: tuple[Path, str], tmp_path: Path) -> None:
    """Rows added, columns reordered and renamed, notes, own columns and sheets all come through."""
    target = lived_in[0]

    inputs = read_back(target.read_bytes(), tmp_path / "again.xlsx")
    assert {"field": "New field", "area": 12.5, "crop": "fallow"}.items() <= inputs.rows("fields")[-1].items()
    assert inputs.extras["fields"] == {"Soil": ["loam"]}
    assert inputs.extras[OWN_CELLS]["Prices I heard"].cells[2, 2].value == 17.25
    assert inputs.extras[OWN_CELLS][NOTES_SHEET].cells[2, 3].value == "Ask about the gate"
    assert load_workbook(target)["Prices I heard"]["B2"].value == 17.25


def test_build_says_what_became_of_everything(lived_in: tuple[Path, str]) -> None:
    """It says what it kept, what it changed and what it could not place."""
    told = lived_in[1]

    for words in ("Kept: ", "Soil", "your own sheet Prices I heard", NOTES_SHEET,
                  "Changed: Passes, row 1, Field"):
        assert words in told
    assert ("own sheet Prices I heard: 1 chart, 1 merged area, 1 link, 1 rule of conditional format, 1 "
            "coloured cell") in told


def test_own_formulas_leave_results_and_it_is_said(tmp_path: Path) -> None:
    """Formulas on own sheets become their last results; those never calculated are named as lost."""
    sheet = OwnSheet({(1, 1): OwnCell(3)}, formulas=("B2",), lost=("B3", "B4"), gone=("1 chart",))
    built = build_small(replace(small_farm(),
                                extras={OWN_CELLS: {"Sums": sheet}, "load_choice": {"Mine": [1]}}))

    report = what_was_kept(built, {"total_cost": 1.0})

    assert any("formulas on your own sheet Sums" in line and line.endswith(": B2") for line in report.changed)
    assert any("formulas on your own sheet Sums" in line and line.endswith(": B3, B4")
               for line in report.not_placed)
    assert "of your own sheet Sums: 1 chart" in report.not_placed
    assert any("'Mine'" in line for line in report.not_placed)
    assert any(line.startswith(BY_KEY["glance"].by_key["total_cost"].header) for line in report.changed)


@pytest.mark.nightly
def test_own_formulas_of_a_row_or_a_sheet_stay_formulas(tmp_path: Path) -> None:
    """A formula that reads its own row, or its own sheet, is a formula again after a build, with its value.

    It verifies.
    """
    twice = OwnFormula(("=", "*2+", ""), ("area", OWN_MARK + "More"), 165)
    sums = OwnSheet({(1, 1): OwnCell(3), (2, 1): OwnCell(6, formula="=A1*2")})
    extras = {"fields": {"Twice": [twice], "More": [5]}, OWN_SHEETS: ["Sums"], OWN_CELLS: {"Sums": sums}}
    small = small_farm()
    small.rows("fields")[0]["area"] = 80
    built = build_small(replace(small, extras=extras))
    path = _write(tmp_path / "built.xlsx", built.data)

    inputs, problems = read_inputs(path)

    assert inputs.extras == extras
    assert not [problem for problem in problems if problem.code == "own-formula"]
    row = built.placement.spots["fields"].first_row
    shown = load_workbook(path)["Farm"]
    letters = [cell.column_letter for name in extras["fields"] for cell in shown[row - 1]
               if cell.value == name]
    area = built.placement.spots["fields"].letters["area"]
    assert shown[f"{letters[0]}{row}"].value == f"={area}{row}*2+{letters[1]}{row}"
    assert load_workbook(path)["Sums"]["A2"].value == "=A1*2"
    assert run("verify", path).exit_code == 0


@pytest.fixture(scope="module")
def own_formula() -> Built:
    """A small farm whose fields have a column of the user's own with one formula."""
    return build_small(replace(small_farm(),
                               extras={"fields": {"Twice": [OwnFormula(("=", "*2"), ("area",), 165)]}}))


@pytest.mark.parametrize(
    ("formula", "value", "kept", "told"),
    [
        pytest.param("{area}{next}*2", "<v>165</v>", 165, "become their last results: {cell}",
                     marks=pytest.mark.nightly),
        ("SUM({area}{row}:{area}{next})", "<v>165</v>", 165, "become their last results: {cell}"),
        pytest.param("Settings!C7*2", "<v>165</v>", 165, "become their last results: {cell}",
                     marks=pytest.mark.nightly),
        pytest.param("WEBSERVICE({area}{row})", "<v>165</v>", 165, "become their last results: {cell}",
                     marks=pytest.mark.nightly),
        ("{area}{row}*2", "", None, "would leave a blank: {cell}"),
    ],
)
def test_own_formulas_that_become_values_are_told_by_cell(
    own_formula: Built, tmp_path: Path, formula: str, value: str, kept: float | None, told: str
) -> None:
    """A formula that reads other rows or sheets, one of a function nobody vouches for,
    and one without a result are each named by cell.
    """
    built = own_formula
    spot = built.placement.spots["fields"]
    places = {"area": spot.letters["area"], "row": spot.first_row, "next": spot.first_row + 1}
    parts = read_parts(built.data)
    part = sheet_parts(parts)["Farm"]
    old = "<f>{area}{row}*2</f><v>165</v>".format(**places).encode()
    places["cell"] = re.findall(rb'r="([A-Z]+[0-9]+)"', parts[part].partition(old)[0])[-1].decode()
    assert parts[part].count(old) == 1
    parts[part] = parts[part].replace(old, f"<f>{formula.format(**places)}</f>{value}".encode())

    inputs, problems = read_inputs(_write(tmp_path / "changed.xlsx", pack(parts)))

    assert inputs.extras["fields"]["Twice"] == ([kept] if kept else [])
    [message] = [problem.message for problem in problems if problem.code == "own-formula"]
    assert message.endswith(told.format(**places))


def test_what_is_typed_on_results_is_told(tmp_path: Path) -> None:
    """Text that somebody typed on a sheet that is made anew, and a number over a formula,
    are named with their cells; an untouched workbook is told nothing of.
    """
    built = small_built()
    untouched = _write(tmp_path / "built.xlsx", built.data)
    assert Earlier(untouched).typed_on_results(built) == []

    book = load_workbook(untouched)
    spot = built.placement.spots["pass_volumes"]
    sheet, place = spot.sheet_of("volume"), spot.cell("volume")
    book["Season"]["D40"], book[sheet][place] = "call the co-op", 12.5
    book.save(tmp_path / "typed.xlsx")

    assert Earlier(tmp_path / "typed.xlsx").typed_on_results(built) == [
        "Could not place: typed among the results of Season, cell D40: 'call the co-op'",
        f"Could not place: typed over a formula of {sheet}, cell {place}: 12.5",
    ]
    line, _ = Earlier(tmp_path / "typed.xlsx").typed_on_results(small_built("metric"))
    assert line.endswith("or are headers in the units of before")


@pytest.mark.nightly
def test_typed_in_spare_rows_still_verify(tmp_path: Path) -> None:
    """A workbook whose spare rows were typed into is verified in the room it was given."""
    from workbook_builder.engines import Edit, engine_named
    from workbook_builder.verify import compare_after, edited

    built = build_small(small_farm("metric"), 3)
    row = len(built.plan.inputs.rows("fields"))
    edits, inputs = [], built.plan.inputs
    for key, value in (("field", "New field"), ("area", 12.5), ("crop", "fallow")):
        inputs = edited(inputs, "fields", row, key, value)
        edits.append(Edit("Farm", built.placement.spots["fields"].cell(key, row), value))
    assert compare_after(built, engine_named("IronCalc"), inputs, edits) == []

    path = _write(tmp_path / "typed.xlsx", build_inputs(inputs, room=built.plan.room).data)
    assert run("verify", path).exit_code == 0


def test_hidden_characters_in_own_columns_do_no_harm(tmp_path: Path) -> None:
    """A column of the user's own with characters no cell may hold is written without them."""
    built = build_small(replace(small_farm(), extras={"fields": {"My\x01 column": ["a\x02b", "=cmd"]}}))

    inputs = read_back(built.data, tmp_path / "built.xlsx")

    assert inputs.extras["fields"] == {"My column": ["ab", "=cmd"]}


@pytest.mark.nightly
def test_workbook_without_marks_is_still_a_source(tmp_path: Path) -> None:
    """A workbook whose properties were dropped by another program verifies as well."""
    from workbook_builder.file_format import CUSTOM_PART
    from workbook_builder.finish.package import pack
    from workbook_builder.finish.parts import read_parts
    from workbook_builder.marks import marked_room

    parts = read_parts(build_small(small_farm(), 3).data)
    parts[CUSTOM_PART] = parts[CUSTOM_PART].replace(b"{", b"[")
    path = _write(tmp_path / "unmarked.xlsx", pack(parts))

    assert marked_room(path.read_bytes()) is None
    assert run("verify", path).exit_code == 0


def test_plain_book_of_the_users_own_making(tmp_path: Path) -> None:
    """A workbook someone typed by hand, headers in row 1, is a source as well."""
    book = Workbook()
    book.remove(book.active)
    for table in ("farm", "fields", "products", "ingredients", "mixes", "sprayers", "passes"):
        sheet, rows = book.create_sheet(table), small_farm().rows(table)
        sheet.append(list(rows[0]))
        for row in rows:
            sheet.append(list(row.values()))
    book.save(tmp_path / "mine.xlsx")

    assert run("build", tmp_path / "mine.xlsx", "-o", tmp_path / "out.xlsx").exit_code == 0
