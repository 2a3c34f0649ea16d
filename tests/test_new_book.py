"""The input workbook teaches itself and is a valid source."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from cli_help import DEMO, METRIC, run
from openpyxl import load_workbook
from test_lifecycle import saved_by_libreoffice, typed

from workbook_builder.build import read_and_check
from workbook_builder.check.names import REQUIRED_TABLES
from workbook_builder.features import INPUT_TABLES
from workbook_builder.layout.input_book import lesson


@pytest.fixture(params=["us", pytest.param("metric", marks=pytest.mark.nightly)])
def units(request: pytest.FixtureRequest) -> str:
    """Both systems of units."""
    return str(request.param)


@cache
def made(*options: str) -> bytes:
    """Return the book that the command makes with these options, made once."""
    with TemporaryDirectory() as folder:
        assert run("new", Path(folder, "book.xlsx"), *options).exit_code == 0
        return Path(folder, "book.xlsx").read_bytes()


def new_book(path: Path, *options: str) -> Path:
    """Put the book of the command at a path of a test's own."""
    path.write_bytes(made(*options))
    return path


def test_us_units_are_taken_where_none_are_named(tmp_path: Path) -> None:
    """A book made without naming units is the one in US units, to the byte."""
    assert run("new", tmp_path / "book.xlsx").exit_code == 0
    assert (tmp_path / "book.xlsx").read_bytes() == made("--units", "us")


def test_example_book_reads_like_the_demo(tmp_path: Path, units: str) -> None:
    """The filled book holds the same inputs as the shipped folder; settings keep their defaults."""
    path, folder = (new_book(tmp_path / "book.xlsx", "--example", "--units", units),
                    DEMO if units == "us" else METRIC)

    inputs, problems = read_and_check(path)
    expected, _ = read_and_check(folder)

    assert problems == []
    for table in INPUT_TABLES:
        assert typed(inputs)[table.key] == typed(expected)[table.key]
    assert inputs.extras == {}


def test_links_lead_to_sheets_that_are_there(tmp_path: Path) -> None:
    """Every link of the book is a place in it, on one of its sheets.

    None has an outside target, which filters of mail object to.
    """
    book = load_workbook(new_book(tmp_path / "book.xlsx", "--example", "--units", "us"))
    links = [cell.hyperlink for sheet in book.worksheets for cell in sheet._cells.values()
             if cell.hyperlink is not None]

    assert len(links) > 20
    assert [link for link in links if link.target is not None
            or (link.location or "").rpartition("!")[0].strip("'") not in book.sheetnames] == []


def test_blank_book_asks_for_what_is_needed(tmp_path: Path, units: str) -> None:
    """A blank book has no other problems than the rows and cells that must be filled in."""
    path = new_book(tmp_path / "book.xlsx", "--units", units)

    inputs, problems = read_and_check(path)

    assert inputs.system == units
    assert {problem.code for problem in problems} == {"required-blank", "empty-table"}
    assert sum(problem.code == "empty-table" for problem in problems) == len(REQUIRED_TABLES) - 1


@pytest.mark.nightly
@pytest.mark.parametrize("saved_by", ["openpyxl", "LibreOffice"])
def test_book_filled_in_by_hand_builds(tmp_path: Path, saved_by: str) -> None:
    """One row in each needed table, typed into the blank book and saved by another program, is enough."""
    path = tmp_path / "book.xlsx"
    run("new", path)
    book = load_workbook(path)
    rows = {
        "Fields": {"Field": "Home", "Area": 80, "Crop": "fallow"},
        "Sprayers": {"Sprayer": "Boom", "Main tank": 1000},
        "Products": {"Product": "Burner", "Kind": "herbicide", "Formulation": "SL", "Package size": 2.5,
                     "Package unit": "gal", "Package price": 60},
        "Mixes": {"Mix": "One", "Product": "Burner", "Rate": 32, "Rate unit": "fl oz/ac"},
        "Passes": {"Pass": "First", "Field": "Home", "Mix": "One", "Method": "broadcast",
                   "Date": "2026-05-01", "Carrier rate": 15, "Sprayer": "Boom"},
    }
    for title, cells in rows.items():
        sheet = book[title]
        headers = {str(cell.value).removesuffix(" *").partition(" (")[0]: cell.column for cell in sheet[4]
                   if cell.value}
        for header, value in cells.items():
            sheet.cell(5, headers[header]).value = value
    farm = book["Farm"]
    farm["B5"].value, farm["B6"].value = "Home place", 2026
    book.save(path)
    source = saved_by_libreoffice(path, tmp_path / "saved") if saved_by == "LibreOffice" else path

    outcome = run("build", source, "-o", tmp_path / "built.xlsx")
    assert outcome.exit_code == 0, outcome.stderr


def test_every_input_cell_is_explained(tmp_path: Path, units: str) -> None:
    """Every input table has its sheet.

    Required headers are marked; every column has a message, lists have drop-downs.
    """
    book = load_workbook(new_book(tmp_path / "book.xlsx", "--units", units))

    assert book.sheetnames[0] == "Start here"
    for table in INPUT_TABLES:
        sheet = book[table.sheet_title]
        rules = {rule.promptTitle: rule for rule in sheet.data_validations.dataValidation}
        for column in table.columns:
            rule = rules[column.header_in(units)[:32]]
            assert rule.showInputMessage
            assert rule.prompt.startswith("Required." if column.required else "May be blank.")
            assert rule.type == "list" or not column.choices
        if not table.is_form:
            marked = {str(cell.value).partition(" (")[0].removesuffix(" *") for cell in sheet[4]
                      if str(cell.value).endswith(" *")}
            assert marked == {column.header_in(units) for column in table.columns if column.required}


def test_a_blank_book_shows_what_one_starts_with(tmp_path: Path) -> None:
    """A blank book shows the sheets of a first plan, names the others and how to get them,
    and reads what is typed on a hidden one; an example hides none.
    """
    book = load_workbook(new_book(tmp_path / "book.xlsx", "--units", "us"))
    example = load_workbook(new_book(tmp_path / "example.xlsx", "--example", "--units", "us"))
    seen = [sheet.title for sheet in book.worksheets if sheet.sheet_state == "visible"]
    told = [str(cell.value) for cell in book["Start here"]["A"]]
    away = told[told.index("More sheets, hidden until you need them") + 1 :]

    assert (seen == ["Start here", "Farm", "Fields", "Sprayers", "Spot terms", "Products", "Ingredients",
                     "Label limits", "Plant-back", "Mixes", "Passes", "Lists for drop-downs"])
    assert "Unhide" in away[0]
    assert [cell.hyperlink.location.rpartition("!")[0].strip("'") for cell in book["Start here"]["A"]
            if cell.hyperlink] == seen[1:-1]
    assert ([line.partition(":")[0] for line in away[1:]]
            == [sheet.title for sheet in book.worksheets if sheet.sheet_state == "hidden"])
    assert {sheet.sheet_state for sheet in example.worksheets} == {"visible"}

    book["Rain"]["A5"], book["Rain"]["B5"], book["Rain"]["C5"] = "Home", "2026-05-01", 0.4
    book.save(tmp_path / "typed.xlsx")
    assert [row["amount"] for _, row in read_and_check(tmp_path / "typed.xlsx")[0].filled("rain")] == [0.4]


def test_the_foot_of_a_blank_book_keeps_its_size(tmp_path: Path) -> None:
    """Sheet and page number print at full size, however much a wide table shrinks."""
    for sheet in load_workbook(new_book(tmp_path / "new.xlsx")):
        assert sheet.HeaderFooter.scaleWithDoc is False, sheet.title


def test_messages_name_unit_and_example_and_fit() -> None:
    """A message says the unit and an example, and never outgrows the 255 characters a message may have."""
    column = next(column for table in INPUT_TABLES for column in table.columns if column.key == "area")

    assert "In ac." in lesson(column, "us", "$", "80")
    assert lesson(column, "us", "$", "80").endswith("Example: 80")
    assert all(len(lesson(column, "metric", "€", "x" * 300)) <= 255 for table in INPUT_TABLES
               for column in table.columns)


@pytest.mark.nightly
@pytest.mark.parametrize("filled", [(), ("--example",)], ids=["blank", "filled"])
def test_book_is_sound(tmp_path: Path, units: str, filled: tuple[str, ...]) -> None:
    """The format checker finds no error."""
    from openxml_audit import OpenXmlValidator

    path = tmp_path / "book.xlsx"
    run("new", path, *filled, "--units", units)

    assert [error.description for error in OpenXmlValidator().validate(path).errors] == []


def test_drop_downs_lead_somewhere_and_no_book_is_overwritten(tmp_path: Path, units: str) -> None:
    """Drop-downs point at cells that exist, and an existing book is left alone."""
    path = new_book(tmp_path / "book.xlsx", "--units", units)

    book = load_workbook(path)
    for sheet in book.worksheets:
        for rule in sheet.data_validations.dataValidation:
            if rule.type == "list" and "!" in rule.formula1:
                assert rule.formula1.partition("!")[0].strip("'") in book.sheetnames
    assert run("new", path).exit_code == 2
    assert run("new", tmp_path / "x.xlsx", "--units", "cubits").exit_code == 2


#: What a first plan of four fields, five products and twenty passes may ask for.
MOST_TABLES, MOST_CELLS = 6, 120


def test_a_first_plan_asks_for_little(tmp_path: Path) -> None:
    """Six tables and at most 120 typed cells make a farm of four fields,
    five products and twenty passes that builds.
    """
    path = tmp_path / "book.xlsx"
    assert run("new", path, "--fields", "4").exit_code == 0
    book = load_workbook(path)
    products = {
        "Burner": ("herbicide", "SL", 2.5, "gal", 60), "Grass stop": ("herbicide", "EC", 1, "gal", 90),
        "Broad stop": ("herbicide", "SC", 1, "gal", 140),
        "Wetter": ("adjuvant", "SL", 2.5, "gal", 30), "Salt": ("water conditioner", "SG", 51, "lb", 25),
    }
    mixes = (
        ("Burndown", "Burner", 31), ("Burndown", "Salt", 3), ("Preemerge", "Grass stop", 22),
        ("Early", "Broad stop", 7), ("Early", "Wetter", 5),
        ("Late", "Broad stop", 6), ("Harvest aid", "Burner", 19),
    )
    names = ("Burndown", "Preemerge", "Early", "Late", "Harvest aid")
    tables: dict[str, list[dict[str, object]]] = {
        "Farm": [{"Farm": "First Farm", "Season": 2027}],
        "Fields": [{"Area": 40 + 5 * n, "Crop": "corn"} for n in range(4)],
        "Sprayers": [{"Sprayer": "Boom", "Main tank": 800}],
        "Products": [
            {"Product": name, "Kind": kind, "Formulation": form, "Package size": size, "Package unit": unit,
             "Package price": price}
            for name, (kind, form, size, unit, price) in products.items()
        ],
        "Mixes": [{"Mix": mix, "Product": product, "Rate": rate, "Rate unit": "lb/ac" if product == "Salt"
                   else "fl oz/ac"} for mix, product, rate in mixes],
        "Passes": [
            {"Pass": name, "Field": "all", "Method": "broadcast", "Date": f"2027-0{4 + n}-10",
             "Carrier rate": 12, "Sprayer": "Boom"} for n, name in enumerate(names)
        ],
    }
    typed_cells = sum(type_into(book[title], rows) for title, rows in tables.items())
    book.save(path)
    outcome = run("build", path, "-o", tmp_path / "built.xlsx")

    assert outcome.exit_code == 0, outcome.stderr
    assert len(tables) <= MOST_TABLES
    assert typed_cells <= MOST_CELLS
    assert len([row for row in read_and_check(tmp_path / "built.xlsx")[0].rows("passes") if row]) == 20


def type_into(sheet: Any, rows: list[dict[str, object]]) -> int:
    """Type rows under their headers, or the one row of a form beside its labels; return how many cells."""
    if sheet.title == "Farm":
        labels = {str(cell.value).removesuffix(" *"): cell.row for cell in sheet["A"] if cell.value
                  and cell.row > 4}
        for label, value in rows[0].items():
            sheet.cell(labels[label], 2).value = value
    else:
        header = {str(cell.value).removesuffix(" *").partition(" (")[0]: cell.column for cell in sheet[4]}
        for line, row in enumerate(rows, 5):
            for title, value in row.items():
                sheet.cell(line, header[title]).value = value
    return sum(map(len, rows))
