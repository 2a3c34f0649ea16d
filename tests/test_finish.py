"""Cells with their values, and fixed bytes, of a finished workbook."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
import time
import zipfile
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import numpy
import pytest
from engine_help import MOMENT, finished_workbook, need_engine, small_book

from workbook_builder.engines import read_raw_values
from workbook_builder.finish import UnfilledFormula, UnknownSheet, UnwritableValue, finish
from workbook_builder.finish.parts import read_parts

SHEETS: dict[str, dict[str, Any]] = {
    "First": {"A1": 1.5, "B1": "=A1*2", "B2": '="a"&"b"', "B3": "=A1>1", "B4": '=""', "B5": "=1/3",
              "B6": "=2+2"},
    "Bo's & <co>": {"A1": "text", "AB12": "=First!B1&A1"},
}
VALUES: dict[str, dict[str, object]] = {
    "First": {"B1": 3.0, "B2": 'a<b> & "c"\n ', "B3": True, "B4": "", "B5": 1 / 3, "B6": 4},
    "Bo's & <co>": {"AB12": "3text"},
}


def test_values_read_back() -> None:
    """A reader of values finds every value, and a reader of formulas every formula."""
    from openpyxl import load_workbook

    finished = finished_workbook(SHEETS, VALUES)

    values = load_workbook(io.BytesIO(finished), data_only=True)
    formulas = load_workbook(io.BytesIO(finished))
    for title, cells in VALUES.items():
        for place, value in cells.items():
            assert (values[title][place].value or "") == value
            assert formulas[title][place].value == SHEETS[title][place]
    assert {
        title: {place: read_raw_values(finished)[title][place] for place in VALUES[title]} for title in VALUES
    } == VALUES


def test_formats_survive() -> None:
    """A formatted formula cell keeps its format beside its value."""
    from openpyxl import load_workbook

    book = small_book({"S": {"A1": "=1/4"}})
    book["S"]["A1"].number_format = "0.0%"

    cell = load_workbook(io.BytesIO(finish(book, {"S": {"A1": 0.25}}, MOMENT)), data_only=True)["S"]["A1"]

    assert (cell.value, cell.number_format) == (0.25, "0.0%")


def test_what_the_library_writes_stays() -> None:
    """Links, joined cells, heights, hidden rows, notes and the extent of a sheet come through beside the
    cells.
    """
    from openpyxl import load_workbook
    from openpyxl.comments import Comment

    book = small_book({"S": {"B2": "there", "C4": 5, "D9": "=C4"}})
    sheet = book["S"]
    sheet["B2"].hyperlink = "#'S'!C4"
    sheet["C4"].comment = Comment("as measured", "")
    sheet.merge_cells("B5:D5")
    sheet.row_dimensions[7].height, sheet.row_dimensions[8].hidden = 33, True

    again = load_workbook(io.BytesIO(finish(book, {"S": {"D9": 5}}, MOMENT)))["S"]

    assert (again["B2"].value, again["B2"].hyperlink.location
            or again["B2"].hyperlink.target) == ("there", "#'S'!C4")
    assert (again["C4"].value, again["C4"].comment.text) == (5, "as measured")
    assert [str(area) for area in again.merged_cells.ranges] == ["B5:D5"]
    assert (again.row_dimensions[7].height, again.row_dimensions[8].hidden,
            again.dimensions) == (33, True, "B2:D9")


def test_dates_are_stored_as_numbers() -> None:
    """A date stands in the file as its day number, so every program reads it alike."""
    sheet = read_parts(finished_workbook({"S": {"A1": datetime(2026, 3, 1), "A2": date(1900, 1, 1)}},
                                         {}))["xl/worksheets/sheet1.xml"].decode()

    assert "<v>46082</v>" in sheet
    assert "<v>1</v>" in sheet


def test_a_formula_without_a_value_is_named() -> None:
    """A formula cell left without a value stops the build and names sheet and cell."""
    with pytest.raises(UnfilledFormula, match=r"Bo's & <co>.*AB12") as caught:
        finished_workbook(SHEETS, {"First": VALUES["First"]})

    assert (caught.value.sheet, caught.value.reference) == ("Bo's & <co>", "AB12")
    assert isinstance(caught.value, KeyError)


def test_a_formula_of_an_unknown_kind_is_named() -> None:
    """A formula that cannot be filled is never passed over in silence."""
    from openpyxl.worksheet.formula import ArrayFormula

    with pytest.raises(UnfilledFormula, match="'S' has a formula cell of a kind"):
        finished_workbook({"S": {"A1": ArrayFormula("A1", "=SUM(B1:B2*1)")}}, {"S": {"A1": 1}})


def test_text_of_several_styles_is_refused() -> None:
    """Text the writer does not know how to write is refused with its place, not lost."""
    from openpyxl.cell.rich_text import CellRichText

    with pytest.raises(UnwritableValue, match=r"'S', cell B2.*several styles"):
        finished_workbook({"S": {"B2": CellRichText("a ", "pea")}}, {})


@pytest.mark.parametrize(
    ("value", "reason"),
    [
        (float("nan"), "finite"), (float("-inf"), "finite"), (numpy.float64("nan"), "finite"),
        (None, "neither"),
        (datetime(2026, 1, 1), "neither"), ("x" * 32768, "32768 characters"), ("a\x00b", "control character"),
    ],
)
def test_values_that_no_cell_can_hold(value: object, reason: str) -> None:
    """Such a value is refused with its place and the reason."""
    with pytest.raises(UnwritableValue, match=f"'S', cell A1.*{reason}"):
        finished_workbook({"S": {"A1": "=1"}}, {"S": {"A1": value}})


def test_values_for_an_unknown_sheet() -> None:
    """Values for a sheet that is not there are refused."""
    with pytest.raises(UnknownSheet, match="'Nowhere'"):
        finished_workbook({"S": {"A1": 1}}, {"Nowhere": {}})


@pytest.mark.parametrize(
    ("value", "stored"),
    [
        (0.1 + 0.2, "<v>0.30000000000000004</v>"), (3.0, "<v>3</v>"), (-0.0, "<v>0</v>"),
        (1e300, "<v>1e+300</v>"),
        (numpy.float64(0.1), "<v>0.1</v>"), (numpy.int64(7), "<v>7</v>"),
        (numpy.bool_(True), ' t="b"><f>1</f><v>1</v>'), (numpy.str_("a"), ' t="str"><f>1</f><v>a</v>'),
        (False, ' t="b"><f>1</f><v>0</v>'), ("", ' t="str"><f>1</f><v></v>'), ("a\r\nb", "<v>a&#13;\nb</v>"),
    ],
)
def test_stored_form(value: object, stored: str) -> None:
    """Numbers are stored in full, in the shortest text that gives the same number again."""
    sheet = read_parts(finished_workbook({"S": {"A1": "=1"}},
                                         {"S": {"A1": value}}))["xl/worksheets/sheet1.xml"]

    assert stored in sheet.decode()


def test_same_bytes_at_another_time() -> None:
    """The clock leaves no mark: saved at two moments, finished to the same bytes."""
    first = finished_workbook(SHEETS, VALUES)
    time.sleep(2.1)  # one step of a zip's clock

    assert first == finished_workbook(SHEETS, VALUES)


def test_same_bytes_under_another_hash_seed() -> None:
    """The order of sets and dictionaries leaves no mark."""
    code = ("import hashlib, test_finish as t;print(hashlib.sha256(t.finished_workbook(t.SHEETS, "
            "t.VALUES)).hexdigest())")
    here = Path(__file__).parent
    prints = set()
    for seed in ("0", "1", "77"):
        search = os.pathsep.join([str(here), str(here.parent)])
        settings = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": search}
        done = subprocess.run([sys.executable, "-c", code], env=settings, capture_output=True,
                              text=True, check=True)
        prints.add(done.stdout)

    assert len(prints) == 1


def test_zip_tells_nothing_of_the_machine() -> None:
    """Entries have a fixed order, date, system and permissions."""
    with zipfile.ZipFile(io.BytesIO(finished_workbook(SHEETS, VALUES))) as package:
        entries = package.infolist()

    names = [entry.filename for entry in entries]
    assert (names[:4] == ["[Content_Types].xml", "_rels/.rels", "xl/workbook.xml",
                          "xl/_rels/workbook.xml.rels"])
    assert names[-2:] == ["docProps/app.xml", "docProps/core.xml"]
    assert {(entry.date_time, entry.create_system, entry.external_attr) for entry in entries} == {
        ((1980, 1, 1, 0, 0, 0), 3, 0o100644 << 16)
    }


@pytest.mark.parametrize(
    "moment",
    [
        datetime(2026, 3, 1, 12, 0, 0),
        datetime(2026, 3, 1, 12, 0, 0, tzinfo=UTC),
        datetime(2026, 3, 1, 6, 0, 0, tzinfo=timezone(timedelta(hours=-6))),
    ],
)
def test_properties_are_pinned(moment: datetime) -> None:
    """Creator, both times and the program's name are ours; the title given stays."""
    from openpyxl import Workbook, load_workbook

    book = Workbook()
    book.properties.title = "A season"
    book.properties.creator = None

    finished = finish(book, {}, moment)

    properties = load_workbook(io.BytesIO(finished)).properties
    assert (properties.title, properties.creator) == ("A season", "workbook_builder")
    assert properties.created == properties.modified == datetime(2026, 3, 1, 12)
    assert b"workbook_builder" in read_parts(finished)["docProps/app.xml"]
    assert b"penpyxl" not in b"".join(read_parts(finished).values())


def test_programs_are_asked_to_calculate_on_opening() -> None:
    """The flag that makes a spreadsheet program calculate once on opening stays set."""
    assert b'fullCalcOnLoad="1"' in read_parts(finished_workbook(SHEETS, VALUES))["xl/workbook.xml"]


def test_cached_values_are_shown_without_calculation(tmp_path: Path) -> None:
    """A LibreOffice with its usual settings shows the cached values: it trusts the file's origin."""
    need_engine("LibreOffice")
    path = tmp_path / "book.xlsx"
    path.write_bytes(finished_workbook({"S": {"A1": "=1+1", "B1": '="a"'}}, {"S": {"A1": 999, "B1": "kept"}}))
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    command = ["soffice", profile, "--headless", "--convert-to", "csv", "--outdir", str(tmp_path), str(path)]

    subprocess.run(command, check=True, capture_output=True, timeout=120)

    assert (tmp_path / "book.csv").read_text().strip() == "999,kept"


def test_blank_cells_are_blank() -> None:
    """A formatted blank cell is stored without a kind, which one engine would read as a nought."""
    book = small_book({"S": {"A1": 1, "B1": "x"}})
    book["S"]["C1"].number_format = "0.00"

    sheet = read_parts(finish(book, {}, MOMENT))["xl/worksheets/sheet1.xml"].decode()

    assert '<c r="A1"><v>1</v></c><c r="B1" t="s"><v>0</v></c><c r="C1" s="1"/>' in sheet


def test_texts_are_shared() -> None:
    """Texts move to one list, each once, spaces included."""
    from openpyxl import Workbook, load_workbook

    texts = ["pea", " two  spaces ", "pea", "a & <b>", "=1+1"]
    book = Workbook()
    for row, text in enumerate(texts, 1):
        cell = book.active.cell(row, 1, text)
        cell.data_type = "s"
        cell.quotePrefix = text.startswith("=")
    book.create_sheet("Second")["B2"] = "pea"

    finished = finish(book, {}, MOMENT)

    again = load_workbook(io.BytesIO(finished))
    assert [cell.value for cell in again["Sheet"]["A"]] == texts
    assert again["Sheet"]["A5"].data_type == "s"
    assert again["Sheet"]["A5"].quotePrefix
    assert again["Second"]["B2"].value == "pea"
    parts = read_parts(finished)
    assert b'count="6" uniqueCount="4"' in parts["xl/sharedStrings.xml"]
    assert not [name for name, part in parts.items() if b"inlineStr" in part]


def test_fonts_are_in_standard_order() -> None:
    """Font properties stand in the order of the standard, and none gets lost."""
    from openpyxl import Workbook, load_workbook
    from openpyxl.styles import Font

    book = Workbook()
    font = Font(name="Arial", size=14, bold=True, italic=True, underline="single",
                color="FF112233", strike=True)
    book.active["A1"].font = font

    finished = finish(book, {}, MOMENT)

    assert load_workbook(io.BytesIO(finished)).active["A1"].font == font
    styles = read_parts(finished)["xl/styles.xml"].decode()
    assert (styles.index('<sz val="14"') < styles.index('<color rgb="FF112233"')
            < styles.index('<name val="Arial"'))


def test_names_of_what_prints_stand_last() -> None:
    """Print areas of all sheets come after other names, and repeated rows after those.

    The workbook reads the same.
    """
    from openpyxl import Workbook, load_workbook
    from openpyxl.workbook.defined_name import DefinedName

    book = Workbook()
    for title in ("First", "Second"):
        sheet = book.create_sheet(title)
        sheet.print_title_rows, sheet.print_area = "2:2", "A1:C9"
    book.defined_names["rate"] = DefinedName("rate", attr_text="First!$A$1")

    finished = finish(book, {}, MOMENT)

    names = re.findall(r'<definedName name="([^"]+)"', read_parts(finished)["xl/workbook.xml"].decode())
    assert (names == ["rate", "_xlnm.Print_Area", "_xlnm.Print_Area", "_xlnm.Print_Titles",
                      "_xlnm.Print_Titles"])
    again = load_workbook(io.BytesIO(finished))
    assert ([(sheet.print_title_rows, sheet.print_area) for sheet in again.worksheets[1:]]
            == [("$2:$2", "'First'!$A$1:$C$9"), ("$2:$2", "'Second'!$A$1:$C$9")])


def test_no_repair_prompt_is_predicted(tmp_path: Path) -> None:
    """The file checker finds no error in a finished workbook."""
    audit = pytest.importorskip("openxml_audit")
    path = tmp_path / "book.xlsx"
    path.write_bytes(finished_workbook(SHEETS, VALUES))

    assert [error.description for error in audit.OpenXmlValidator().validate(path).errors] == []
