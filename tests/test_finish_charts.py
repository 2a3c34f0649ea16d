"""Charts carry their points."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from engine_help import MOMENT
from openpyxl import Workbook, load_workbook
from openpyxl.chart import BarChart, Reference, ScatterChart, Series

from workbook_builder.finish import finish, insert_chart_points
from workbook_builder.finish.chart_cache import cells_of_range, format_finder
from workbook_builder.finish.parts import read_parts


@pytest.fixture(scope="module")
def finished() -> bytes:
    """Build a workbook with a bar chart over texts and a scatter chart over formulas."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Bo's & <co>"
    rows = [("Pass", "Cost"), ("early", "=1+1"), ("late & last", None), ("fallow", "=10/4"),
            (None, '=""'), ("x", 7)]
    for row in rows:
        sheet.append(row)
    sheet["B2"].number_format = '0.0" gal"'
    bars = BarChart()
    bars.add_data(Reference(sheet, min_col=2, min_row=1, max_row=6), titles_from_data=True)
    bars.set_categories(Reference(sheet, min_col=1, min_row=2, max_row=6))
    sheet.add_chart(bars, "D1")
    dots = ScatterChart()
    dots.scatterStyle = "lineMarker"
    run = Reference(sheet, min_col=2, min_row=2, max_row=6)
    dots.series.append(Series(run, run, title="typed"))
    sheet.add_chart(dots, "D20")
    return finish(book, {"Bo's & <co>": {"B2": 2.0, "B4": 2.5, "B5": ""}}, MOMENT)


def test_points_read_back(finished: bytes) -> None:
    """Numbers come from formulas and typed cells; blanks and empty texts are missing points."""
    bars, dots = load_workbook(io.BytesIO(finished)).active._charts
    cache = bars.series[0].val.numRef.numCache

    assert (cache.ptCount, [(point.idx, point.v) for point in cache.pt]) == (5, [(0, 2), (2, 2.5), (4, 7)])
    assert [point.v for point in dots.series[0].xVal.numRef.numCache.pt] == [2, 2.5, 7]
    assert [point.v for point in bars.series[0].tx.strRef.strCache.pt] == ["Cost"]


def test_points_carry_their_number_format(finished: bytes) -> None:
    """A chart shows its numbers in the format of their first cell."""
    bars = load_workbook(io.BytesIO(finished)).active._charts[0]

    assert bars.series[0].val.numRef.numCache.formatCode == '0.0" gal"'


@pytest.mark.parametrize("code", ["0%", "0.00", "yyyy-mm-dd", "General"])
def test_number_format_is_found(code: str) -> None:
    """Formats kept by number and formats spelled out are both found; no cell means General."""
    book = Workbook()
    book.active["B2"] = 0.5
    book.active["B2"].number_format = code
    target = io.BytesIO()
    book.save(target)

    find = format_finder(read_parts(target.getvalue()))

    assert [find("Sheet", "B2"), find("Sheet", "Z9"), find("Nowhere", "A1")] == [code, "General", "General"]


def test_text_categories_become_text(finished: bytes) -> None:
    """Categories that hold words are referred to as words, or a preview would number them."""
    category = load_workbook(io.BytesIO(finished)).active._charts[0].series[0].cat

    assert category.numRef is None
    points = [(point.idx, point.v) for point in category.strRef.strCache.pt]
    assert points == [(0, "early"), (1, "late & last"), (2, "fallow"), (4, "x")]
    assert category.strRef.f == "'Bo''s & <co>'!$A$2:$A$6"


def test_points_are_replaced_not_doubled(finished: bytes) -> None:
    """Inserting points twice gives the same parts as once."""
    parts = read_parts(finished)

    assert insert_chart_points(parts) == parts


def test_charts_pass_the_file_checker(finished: bytes, tmp_path: Path) -> None:
    """The file checker finds no error in a workbook with charts and their points."""
    audit = pytest.importorskip("openxml_audit")
    path = tmp_path / "book.xlsx"
    path.write_bytes(finished)

    assert [error.description for error in audit.OpenXmlValidator().validate(path).errors] == []


@pytest.mark.parametrize(
    ("place", "expected"),
    [
        ("'A b''s'!$B$5:$B$6", ("A b's", ["B5", "B6"])),
        ("Loads!$Z$1:$AA$2", ("Loads", ["Z1", "AA1", "Z2", "AA2"])),
        ("'S'!A1", ("S", ["A1"])), ("(A!$B$1,A!$C$1)", None), ("a_name", None), ("A!$B:$B", None),
    ],
)
def test_cells_of_a_range(place: str, expected: object) -> None:
    """A plain range is spelled out cell by cell; anything else is left alone."""
    assert cells_of_range(place) == expected
