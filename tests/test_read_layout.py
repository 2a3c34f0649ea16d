"""Where things stand: encodings, delimiters, headers, blank rows, forms and sheets of one's own."""

from __future__ import annotations

import zipfile
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.chart import BarChart
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from test_read_builders import FARM, TABLES, codes, farm, said, write_book, write_folder

from workbook_builder.core.columns import Column, Table
from workbook_builder.read import OWN_SHEETS, read_source
from workbook_builder.read.grid import Grid
from workbook_builder.read.source import _part_of


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_encodings(tmp_path: Path, encoding: str) -> None:
    """Letters beyond ASCII survive every encoding spreadsheet programs write."""
    tables = farm()
    tables["fields"][1][7:] = []
    tables["fields"][0].append("notes")
    tables["fields"][1].append("Ca\u00f1ada, stones \u2013 wet")

    inputs, problems = read_source(write_folder(tmp_path / "farm", tables, encoding=encoding), TABLES)

    # A file of Windows Latin is read rightly, but nothing in it says that it is one.
    assert codes(problems) == ["doubtful-encoding"] * (encoding == "cp1252")
    assert inputs.rows("fields")[0]["notes"] == "Ca\u00f1ada, stones \u2013 wet"


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_delimiters(tmp_path: Path, delimiter: str) -> None:
    """Comma, semicolon and tab are told apart by the headers they uncover."""
    inputs, problems = read_source(write_folder(tmp_path / "farm", farm(), delimiter), TABLES)

    assert problems == []
    assert inputs.rows("fields")[0]["area"] == 80.5


def test_decimal_comma_in_a_semicolon_file(tmp_path: Path) -> None:
    """Semicolon files may write 80,5 and 1.200,25."""
    folder = write_folder(tmp_path / "farm", farm())
    (folder / "fields.csv").write_text("field;area;crop\nBench;80,5;fallow\nCreek;1.200,25;fallow\n")

    inputs, problems = read_source(folder, TABLES)

    assert problems == []
    assert [row["area"] for row in inputs.rows("fields")] == [80.5, 1200.25]


def test_a_first_line_that_tells_the_delimiter(tmp_path: Path) -> None:
    """A line such as sep=; is obeyed, and line numbers still count it."""
    folder = write_folder(tmp_path / "farm", farm())
    (folder / "fields.csv").write_text(
        "sep=;\r\nfield;area;crop\r\nBench;wide;fallow\r\nCreek;2;fallow\r\n", newline=""
    )

    _, problems = read_source(folder, TABLES)

    assert said(problems)[0] == ("not-a-number", 3, "area")


def test_line_numbers_after_a_cell_with_line_breaks(tmp_path: Path) -> None:
    """A quoted cell of several lines does not shift the line numbers of what follows."""
    folder = write_folder(tmp_path / "farm", farm())
    (folder / "fields.csv").write_text('field,area,crop,notes\nBench,80,fallow,"a\nb"\nCreek,wide,fallow,\n')

    _, problems = read_source(folder, TABLES)

    assert said(problems)[0] == ("not-a-number", 4, "area")


HEADERS = [
    ("field", "area", "crop"), ("Field", "Area", "Crop"), ("FIELD", "AREA", "CROP"),
    ("Field *", "Area (ac) *", "Crop *"), ("  field ", "Area [ac]", "crop:"),
    ("Field", "area (acres)", "Crop*"),
]


@pytest.mark.parametrize("headers", HEADERS)
def test_header_variants(tmp_path: Path, headers: tuple[str, ...]) -> None:
    """Headers are known by key or printed title, in any case, with or without unit and required mark."""
    tables = farm(fields=[list(headers), *(row[:3] for row in FARM["fields"][1:])])

    inputs, problems = read_source(write_folder(tmp_path / "farm", tables), TABLES)

    assert problems == []
    assert [row["field"] for row in inputs.rows("fields")] == ["Bench", "Creek"]


def test_printed_titles_with_spaces_and_dots(tmp_path: Path) -> None:
    """Keys may be written with spaces and titles without their dots."""
    tables = farm()
    tables["products"][0][3:5] = ["Package Size", "package unit"]
    for row, value in zip(tables["products"], ("Registration no", "12-3", "", ""), strict=True):
        row.append(value)

    inputs, problems = read_source(write_folder(tmp_path / "farm", tables), TABLES)

    assert problems == []
    assert inputs.rows("products")[0]["registration_no"] == "12-3"


def test_blank_rows_keep_their_places(tmp_path: Path) -> None:
    """Blank rows between filled ones stay, trailing ones go."""
    rows = FARM["fields"]
    blank = [""] * 7
    path = write_book(
        tmp_path / "book.xlsx", farm(fields=[rows[0], blank, rows[1], blank, blank, rows[2], blank, blank])
    )

    inputs, problems = read_source(path, TABLES)

    assert problems == []
    assert [bool(row) for row in inputs.rows("fields")] == [False, True, False, False, True]
    assert [at for at, _ in inputs.filled("fields")] == [2, 5]


def test_a_header_row_further_down(tmp_path: Path) -> None:
    """Lines above the header row are passed over, up to the fifteenth row."""
    rows = [["Our fields"], ["field names as on the map"], [], ["updated in May"], *FARM["fields"]]

    inputs, problems = read_source(write_folder(tmp_path / "farm", farm(fields=rows)), TABLES)

    assert problems == []
    assert len(inputs.rows("fields")) == 2


@pytest.mark.parametrize("titled", [True, False])
def test_sheets_go_by_title_or_key(tmp_path: Path, titled: bool) -> None:
    """A sheet is known by the table's printed title or by its key."""
    inputs, problems = read_source(write_book(tmp_path / "book.xlsx", farm(), titled), TABLES)

    assert problems == []
    assert len(inputs.rows("mixes")) == 3


def test_files_go_by_title_in_any_case(tmp_path: Path) -> None:
    """Label Limits.CSV holds the label limits."""
    folder = write_folder(tmp_path / "farm", farm())
    (folder / "label_limits.csv").rename(folder / "Label Limits.CSV")

    inputs, problems = read_source(folder, TABLES)

    assert problems == []
    assert len(inputs.rows("label_limits")) == 1


@pytest.mark.parametrize(
    "text",
    [
        "key,value\nfarm,Bench\nseason,2026\nunits,metric\n",
        "Farm,Bench\nSeason,2026\nUnits,metric\n",
        "farm,season,units\nBench,2026,metric\n",
    ],
)
def test_shapes_of_a_form(tmp_path: Path, text: str) -> None:
    """A form is read as one row under a header, or as labels with values beside them."""
    folder = write_folder(tmp_path / "farm", farm())
    (folder / "farm.csv").write_text(text)

    inputs, problems = read_source(folder, TABLES)

    assert problems == []
    assert tuple(inputs.form("farm")[key] for key in ("farm", "season", "units")) == ("Bench", 2026, "metric")


def test_a_form_that_is_titled_like_its_first_label(tmp_path: Path) -> None:
    """The title Farm above the label Farm is not taken for the label."""
    inputs, problems = read_source(write_book(tmp_path / "book.xlsx", farm()), TABLES)

    assert problems == []
    assert inputs.form("farm")["farm"] == "North Bench"


def test_assumptions_with_units_and_notes_beside_them(tmp_path: Path) -> None:
    """A form may carry unit and note columns; its own lines are kept as extras."""
    path = write_book(tmp_path / "book.xlsx", farm())
    book = load_workbook(path)
    sheet = book.create_sheet("Assumptions")
    for row in (
        ["Assumptions"], ["What the plan rests on."], ["Item", "Value", "Unit"],
        ["Carrier cost ($/gal)", 0.02, "$/gal"], ["First fill (%)", "40 %", "%"],
        ["Straw sold off", 7, "bales"],
    ):
        sheet.append(row)
    book.save(path)

    inputs, problems = read_source(path, TABLES)

    assert said(problems) == [("unknown-column", 6, "Straw sold off")]
    assert not problems[0].is_error
    form = inputs.form("assumptions")
    assert (form["water_cost"], form["first_fill"], form["posting_hours"]) == (0.02, 0.4, 48)
    assert inputs.extras["assumptions"] == {"Straw sold off": [7]}


def test_own_columns_and_sheets_are_carried_along(tmp_path: Path) -> None:
    """Columns and sheets of the user's own are kept, and ours are left out by name."""
    tables = farm()
    for row, value in zip(tables["fields"], ("Soil", "loam", "=sand"), strict=True):
        row.append(value)
    folder = write_folder(tmp_path / "farm", tables)
    (folder / "neighbours.csv").write_text("name\nEast side\n")
    (folder / "mix_sheet.csv").write_text("anything\n")

    inputs, problems = read_source(folder, TABLES, known_sheets=["mix_sheet.csv"])

    assert ([(problem.code, problem.is_error) for problem in problems]
            == [("unknown-column", False), ("unknown-sheet", False)])
    assert problems[0].message == "the column 'Soil' is not known and is carried along unread (2 cells)"
    assert "its 2 rows are not read" in problems[1].message
    assert dict(inputs.extras) == {"fields": {"Soil": ["loam", "=sand"]}, OWN_SHEETS: ["neighbours.csv"]}


def test_formulas_leave_their_last_result(tmp_path: Path) -> None:
    """A formula in an input cell is read by its stored result, with a warning."""
    path = tmp_path / "book.xlsx"
    write_book(path, farm())
    _store_formula(path, "40*2", "80")

    inputs, problems = read_source(path, TABLES)

    assert said(problems) == [("formula-in-input", 5, "Area")]
    assert inputs.rows("fields")[0]["area"] == 80


def _store_formula(path: Path, formula: str, result: str, kind: str = "") -> None:
    """Replace the cell B5 of the sheet Fields by a formula with a stored result."""
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    name = "xl/worksheets/sheet2.xml"
    sheet = parts[name].decode()
    start = sheet.index('<c r="B5"')
    stop = sheet.index("</c>", start) + len("</c>")
    parts[name] = f'{sheet[:start]}<c r="B5"{kind}><f>{formula}</f><v>{result}</v></c>{sheet[stop:]}'.encode()
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in parts.items():
            archive.writestr(name, data)


def test_the_1904_calendar(tmp_path: Path) -> None:
    """Dates of a workbook that counts from 1904 are the days its owner saw."""
    path = write_book(tmp_path / "book.xlsx", farm())
    book = load_workbook(path)
    book.epoch = CALENDAR_MAC_1904
    book["Passes"]["E5"] = date(2026, 5, 14)
    book["Passes"]["E6"] = 44700
    book.save(path)

    inputs, _ = read_source(path, TABLES)

    assert [date(2026, 5, 14), date(2026, 5, 20)] == [row["date"] for row in inputs.rows("passes")]


def test_tables_that_share_a_sheet() -> None:
    """Two tables one below the other are told apart by their titles."""
    sheet = "Both"
    first = Table("first", "First", "One.", (Column("a", "A"), Column("b", "B")), sheet=sheet)
    second = Table("second", "Second", "Two.", (Column("a", "A"), Column("c", "C")), sheet=sheet)
    cells = [["Both"], ["First"], ["A", "B"], ["x", "y"], [], ["Second"], ["A", "C"], ["p", "q"]]
    grid = Grid("book.xlsx", sheet, cells, list(range(1, 9)))

    assert _part_of(grid, first, (first, second)).rows == [2, 3, 4, 5]
    assert _part_of(grid, second, (first, second)).rows == [6, 7, 8]


def test_a_cell_far_below_does_not_make_a_million_rows(tmp_path: Path) -> None:
    """A cell touched by accident at the foot of the sheet is named with its row, before anything is read."""
    path = write_book(tmp_path / "book.xlsx", farm())
    book = load_workbook(path)
    book["Fields"]["XFD1048576"] = "x"
    book.save(path)

    _, problems = read_source(path, TABLES)

    assert ([(problem.code, problem.sheet, problem.row) for problem in problems]
            == [("too-many-rows", "Fields", 1_048_576)])


def test_chart_sheets_and_hidden_sheets(tmp_path: Path) -> None:
    """Sheets without cells are passed over and hidden ones are read."""
    path = write_book(tmp_path / "book.xlsx", farm())
    book: Workbook = load_workbook(path)
    book.create_chartsheet("Picture").add_chart(BarChart())
    book["Fields"].sheet_state = "hidden"
    book.save(path)

    inputs, problems = read_source(path, TABLES)

    assert problems == []
    assert len(inputs.rows("fields")) == 2


def test_a_result_table_below_an_input_table_is_passed_over(tmp_path: Path) -> None:
    """Where one of our own result tables shares the sheet, even under the same title,
    its rows are not inputs.
    """
    path = write_book(tmp_path / "book.xlsx", farm())
    book = load_workbook(path)
    for row in ([], ["Fields"], ["What each field costs."], ["Field", "Area", "Crop"],
                ["Total", 200.5, "all"]):
        book["Fields"].append(row)
    book.create_sheet("Costs")
    book.save(path)
    result = Table("cost_fields", "Fields", "Costs.", (Column("field", "Field"),), kind="result",
                   rows="as:fields")
    costs = Table("costs", "Costs", "Costs.", (Column("total", "Total"),), kind="result")

    inputs, problems = read_source(path, TABLES, other_tables=(result, costs))

    assert problems == []
    assert [row["field"] for row in inputs.rows("fields")] == ["Bench", "Creek"]
    assert OWN_SHEETS not in inputs.extras


def test_a_formula_that_shows_nothing_is_blank(tmp_path: Path) -> None:
    """A formula whose stored result is text without letters leaves its cell blank."""
    path = write_book(tmp_path / "book.xlsx", farm())
    _store_formula(path, '""', "", ' t="str"')

    inputs, problems = read_source(path, TABLES)

    assert said(problems) == [("formula-in-input", 5, "Area"), ("required-blank", 5, "Area")]
    assert inputs.rows("fields")[0]["area"] is None
