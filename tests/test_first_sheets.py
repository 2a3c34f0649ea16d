"""The first sheets as people meet them: one screen, one page, the first pass on the mix sheet."""

from __future__ import annotations

from typing import Any

import pytest

from workbook_builder.build import Built
from workbook_builder.layout.guides import NOUGHT
from workbook_builder.layout.look import STATUS_COLOURS
from workbook_builder.theme import contrast

#: What a phone shrinks a sheet to that it shows in a preview; common practice, no source.
PREVIEW_ZOOM = 0.6


@pytest.fixture(scope="module")
def book(demo_values: Any) -> Any:
    """The demo workbook with the values people see."""
    return demo_values


def test_at_a_glance_answers_on_one_page(demo: Built, book: Any) -> None:
    """What to fix, by cause, and what it costs stand on one page, above row 45."""
    sheet = book["At a glance"]
    texts = {str(cell.value) for row in sheet.iter_rows(max_row=45) for cell in row if cell.value is not None}
    assert {"What to fix", "What it costs", demo.plan.tables["glance"][0]["verdict"]} <= texts
    assert sheet.page_setup.fitToHeight == 1
    assert all(row["cause"] in texts for row in demo.plan.tables["to_fix"] if row["cause"])


def test_links_lead_to_sheets_that_are_there(book: Any) -> None:
    """Every link of the workbook names one of its sheets."""
    for sheet in book.worksheets:
        for link in sheet._hyperlinks:
            assert (link.location or "").rpartition("!")[0].strip("'") in book.sheetnames


def test_load_sheet_opens_on_the_first_pass(farm: Built) -> None:
    """Where nobody chose a load, the sheet shows the first one of the first pass."""
    first = farm.plan.tables["passes"][0]
    assert farm.plan.tables["load_choice"][0] == {"pass": first["pass"], "field": first["field"], "load": 1}
    assert farm.plan.tables["load_sheet"][0]["status"] == "OK"
    assert farm.plan.tables["load_lines"][0]["product"] != ""


def test_load_sheet_is_large_and_one_page(book: Any) -> None:
    """Large type, product and amounts side by side, workings folded away, one page."""
    sheet = book["Mix sheet"]
    header = next(row for row in sheet.iter_rows() if row[0].value == "Product")
    assert [cell.value for cell in header[:5]] == ["Product", "As poured", "Amount", "Unit", "Done"]
    assert sheet.cell(header[0].row + 1, 1).font.size >= 14
    assert sheet.column_dimensions["A"].width >= 35
    assert sheet.page_setup.fitToHeight == 1
    hidden = [row for row, line in sheet.row_dimensions.items() if line.hidden]
    assert [sheet.cell(row, 1).value for row in hidden] == ["Row of the pass", "Number of the mix", "Full loads of the pass", "Liquid products per spray volume"]


def test_status_colours_are_legible() -> None:
    """Ink on its own fill reaches 4.5 to 1, and every status is told by its word too."""
    assert all(contrast(ink, fill) >= 4.5 for ink, fill in STATUS_COLOURS.values())
    assert contrast(NOUGHT, "FFFFFF") >= 4.5


def test_a_phone_shows_verdict_and_cost_first(demo: Built, book: Any) -> None:
    """On a phone of 390 by 844 pixels the first sheet shows verdict and cost of the season without scrolling: high enough up at full size, and narrow enough as a preview shrinks it."""
    sheet, spot = book["At a glance"], demo.placement.spots["glance"]
    last = max(spot.form_rows[key] for key in ("verdict", "total_cost"))
    points = [sheet.row_dimensions[row].height or sheet.sheet_format.defaultRowHeight or 15 for row in range(1, last + 1)]
    # 96 pixels an inch of 72 points; a letter of the sheet's font is 7 pixels wide; the row numbers take 30.
    high = sum(points) * 96 / 72
    wide = 30 + sum(sheet.column_dimensions[letter].width * 7 + 5 for letter in "AB" if letter <= spot.value_column)
    assert high < 844
    assert wide * PREVIEW_ZOOM < 390
