"""The reader of raw values, the editor of workbook files and the comparison."""

from __future__ import annotations

import io
import random
from pathlib import Path

import pytest
from engine_help import finished_workbook, saved_workbook

from workbook_builder.engines import (
    CellError,
    Edit,
    apply_edits,
    compare_cells,
    read_formulas,
    read_raw_values,
)
from workbook_builder.engines.compare import same_value
from workbook_builder.finish import UnwritableValue, read_parts
from workbook_builder.finish.package import pack
from workbook_builder.finish.sheet_cells import cell_formulas, cell_values, shared_strings


def test_every_kind_of_cell_is_read() -> None:
    """Shared, inline and formula texts, errors, truth values and numbers are told apart."""
    xml = (
        '<sheetData><row r="1"><c r="A1" s="1"><v>1.5</v></c><c r="B1" t="s"><v>1</v></c><c r="C1" '
        't="b"><v>1</v></c>'
        '<c r="D1" t="e"><f aca="false">1/0</f><v>#DIV/0!</v></c><c r="E1" t="str"><f>x</f><v>a &amp; '
        'b</v></c>'
        '<c r="F1" t="str"><f>x</f><v></v></c><c r="G1" s="2"/><c r="H1"><f>x</f><v/></c><c s="4" t="n" '
        'r="I1">\n'
        '<v>2</v></c><c r="J1" t="inlineStr"><is><r><t>a</t></r><r><t xml:space="preserve"> '
        'b</t></r></is></c></row>'
        "</sheetData>"
    )

    assert cell_values(xml, ["zero", "one"]) == {
        "A1": 1.5, "B1": "one", "C1": True, "D1": CellError("#DIV/0!"), "E1": "a & b", "F1": "",
        "I1": 2.0, "J1": "a b",
    }


def test_shared_texts() -> None:
    """Shared texts keep their order, join their runs and leave out reading aids."""
    xml = (b'<sst><si><t>a</t></si><si/><si><r><t>b</t></r><r><t>c&#10;</t></r><rPh '
           b'sb="0"><t>x</t></rPh></si></sst>')

    assert shared_strings({"xl/sharedStrings.xml": xml}) == ["a", "", "bc\n"]


def test_shared_formulas_are_written_out() -> None:
    """A formula shared down a run reads in each cell as that cell's own."""
    xml = (
        '<c r="B1"><f t="shared" ref="B1:B2" si="0">A1*$C$1</f><v>1</v></c>'
        '<c r="B2"><f t="shared" si="0"/><v>1</v></c><c r="B3"><f>A1&gt;2</f><v>1</v></c>'
    )

    assert cell_formulas(xml) == {"B1": "A1*$C$1", "B2": "A2*$C$1", "B3": "A1>2"}


def test_reader_agrees_with_the_workbook_library(tmp_path: Path) -> None:
    """What is read from a finished file is what was put in."""
    path = tmp_path / "book.xlsx"
    path.write_bytes(finished_workbook({"A": {"A1": "x", "A2": "=A1"}, "B": {"C3": 7}}, {"A": {"A2": "x"}}))

    assert read_raw_values(path) == {"A": {"A1": "x", "A2": "x"}, "B": {"C3": 7.0}}
    assert read_formulas(path) == {"A": {"A2": "A1"}, "B": {}}


def test_edits_keep_formats_and_neighbours(tmp_path: Path) -> None:
    """An edit changes one cell's content; its format and all other cells stay."""
    from openpyxl import load_workbook

    first = load_workbook(io.BytesIO(saved_workbook({"S": {"A1": 1, "C1": 3, "C3": "=A1", "B5": "t"}})))
    first["S"]["C1"].number_format = "0.00"
    first["S"]["D1"].number_format = "0.0%"
    first["S"].row_dimensions[3].height = 33
    path, out = tmp_path / "a.xlsx", tmp_path / "b.xlsx"
    first.save(path)

    edits = [
        Edit("S", place, value) for place, value in (("C1", 9), ("D1", 0.5), ("B1", "=2"),
                                                     ("AA3", True), ("A4", 1))
    ]
    apply_edits(path, [*edits, Edit("S", "B5", None)], out)

    sheet = load_workbook(out)["S"]
    found = {cell.coordinate: cell.value for row in sheet.iter_rows() for cell in row
             if cell.value is not None}
    assert found == {"A1": 1, "B1": "=2", "C1": 9, "D1": 0.5, "C3": "=A1", "AA3": True, "A4": 1}
    assert sheet["B1"].data_type == "s"
    assert (sheet["C1"].number_format, sheet["D1"].number_format) == ("0.00", "0.0%")
    assert sheet.row_dimensions[3].height == 33


def test_many_random_edits(tmp_path: Path) -> None:
    """Edits at random places of a sparse sheet, an empty one too, all land where they should."""
    chance = random.Random(3)
    places = [f"{chance.choice('ABCXYZ')}{chance.randint(1, 40)}" for _ in range(60)]
    cells = {place: number for number, place in enumerate(places[:40])}
    edits = {place: 1000 + number for number, place in enumerate(places[20:])}
    path, out = tmp_path / "a.xlsx", tmp_path / "b.xlsx"
    path.write_bytes(saved_workbook({"S": cells, "Blank": {}}))

    apply_edits(path, [Edit(title, place, value) for title in ("S", "Blank")
                       for place, value in edits.items()], out)

    assert read_raw_values(out) == {"S": cells | edits, "Blank": edits}


def test_an_edit_that_no_cell_can_hold(tmp_path: Path) -> None:
    """A number that is not finite is refused with its place."""
    path = tmp_path / "a.xlsx"
    path.write_bytes(saved_workbook({"S": {"A1": 1}}))

    with pytest.raises(UnwritableValue, match="'S', cell A1"):
        apply_edits(path, [Edit("S", "A1", float("nan"))], tmp_path / "b.xlsx")


def test_sheets_are_found_by_title_not_by_number() -> None:
    """The part that holds a sheet is found through the relationships."""
    parts = read_parts(saved_workbook({"One": {"A1": 1}, "Two": {"A1": 2}}))
    links = parts["xl/_rels/workbook.xml.rels"]
    swapped = links.replace(b"sheet1.xml", b"sheetX.xml").replace(b"sheet2.xml", b"sheet1.xml")
    parts["xl/_rels/workbook.xml.rels"] = swapped.replace(b"sheetX.xml", b"sheet2.xml")

    assert read_raw_values(pack(parts)) == {"One": {"A1": 2.0}, "Two": {"A1": 1.0}}


@pytest.mark.parametrize(
    ("expected", "actual", "same"),
    [
        (1.0, 1.0 + 5e-8, True), (1.0, 1.0 + 5e-7, False), (1e9, 1e9 + 50.5, True), (1e9, 1e9 + 1, False),
        (4.6e10, 4.6e10 + 2, False), (1e17, 1e17 + 64, True), (0.0, 5e-10, True), (0.0, 1e-6, False),
        ("", None, True),
        (None, "", True), ("a", "A", False), ("1", 1.0, False), (1.0, "1", False), (True, 1.0, True),
        (False, "", False), (0.0, None, False), (CellError("#N/A"), CellError("#N/A"), True),
        (CellError("#N/A"), "#N/A", False), (CellError("#N/A"), 0.0, False),
    ],
)
def test_same_value(expected: object, actual: object, same: bool) -> None:
    """Numbers are compared by size of difference, texts to the letter, blank equals empty text."""
    assert same_value(expected, actual) is same


def test_differences_name_the_cell() -> None:
    """Each difference tells where it is and what was found; a tolerance may depend on the cell."""
    expected: dict[str, dict[str, object]] = {"S": {"A1": 1.0, "A2": 2.0}, "T": {"B1": "x"}}
    actual = {"S": {"A1": 1.01, "A2": 2.01, "Z9": 5.0}}

    found = compare_cells(expected, actual, lambda sheet, reference: 0.1 if reference == "A1" else 1e-7)

    assert [str(one) for one in found] == ["S!A2: expected 2.0, found 2.01", "T!B1: expected 'x', found None"]
