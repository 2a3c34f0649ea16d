"""Tables and charts of a tab keep their room: none covers, stretches or runs off another,
on screen and on paper.
"""

from __future__ import annotations

import io
import subprocess
import tempfile
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from farms_strategy import small_built
from openpyxl import load_workbook
from openpyxl.utils import range_boundaries
from small_farm import small_farm
from test_look import width as wide

from tests.pictures import to_pdf
from workbook_builder.build import Built, place
from workbook_builder.core.quantities import WRAPPED
from workbook_builder.features.rotation.definitions import times_running
from workbook_builder.features.tabs import TABS
from workbook_builder.layout.widths import wrapped_lines
from workbook_builder.planning import make_plan

#: Sheets of paper for the demo with every feature in use.
MOST_PAGES = 40
EMU_A_PIXEL, EMU_A_POINT = 9525, 12700


@lru_cache(maxsize=2)
def opened(data: bytes) -> Any:
    """Return a workbook, read once for the tests that only look."""
    return load_workbook(io.BytesIO(data))


def tall(sheet: Any, number: int) -> float:
    """Return the height of a row [points]."""
    return float(sheet.row_dimensions[number].height or 15)


def edges(chart: Any, sheet: Any) -> tuple[int, int, int, int]:
    """Return first row, first column, last row and last column that a chart covers."""
    anchor = chart.anchor
    row, column, height, width = (anchor._from.row + 1, anchor._from.col + 1, anchor.ext.height,
                                  anchor.ext.width)
    last_row, last_column = row, column
    while (height := height - tall(sheet, last_row) * EMU_A_POINT) > 0:
        last_row += 1
    # A program that rounds a column down by a pixel or two must not make two of one.
    while (width := width - int(wide(sheet, last_column) * 7 + 5) * EMU_A_PIXEL) > 3 * EMU_A_PIXEL:
        last_column += 1
    return row, column, last_row, last_column


def test_a_chart_covers_no_table(farm: Built) -> None:
    """No cell of a table, its heading included, lies under a chart."""
    charts = 0
    for title, planned in farm.placement.front.items():
        for chart in opened(farm.data)[title]._charts:
            charts += 1
            row, column, last_row, last_column = edges(chart, opened(farm.data)[title])
            for piece in planned.pieces:
                apart = (piece.header_row - 1 > last_row or piece.last_row < row or piece.column > last_column
                         or piece.last_column < column)
                assert apart, (title, piece.table.key)
    assert charts >= 6


def test_what_is_not_printed_stretches_no_row_of_what_is(farm: Built) -> None:
    """A row is higher than one line only where something that prints breaks there, or is a header there."""
    for title, planned in farm.placement.front.items():
        sheet, printed = opened(farm.data)[title], [piece for piece in planned.pieces if piece.paper]
        if planned.tab is not None and (planned.tab.big or title == "Spray map"):
            continue
        broken = {piece.header_row for piece in printed}
        for piece in printed:
            for number, column in enumerate(piece.columns):
                for index, row in enumerate(farm.plan.tables[piece.table.key]):
                    at, form = ((piece.first_row + number, True) if piece.table.is_form
                                else (piece.first_row + index, False))
                    width = wide(sheet, piece.column + 1 if form else piece.column + number)
                    if column.quantity in WRAPPED and wrapped_lines(str(row[column.key] or ""), width) > 1:
                        broken.add(at)
                    if (form and piece.notes and wrapped_lines(f"{column.note} [{column.source}]",
                                                               wide(sheet, piece.column + 3)) > 1):
                        broken.add(at)
        below = min(piece.header_row for piece in planned.pieces) + 1
        stretched = [row for row in range(below, max(piece.last_row for piece in printed) + 1)
                     if tall(sheet, row) > 18 and row not in broken]
        assert stretched == [], title


@pytest.mark.parametrize("title", [tab.title for tab in TABS])
def test_a_tab_prints_one_page_wide(title: str, farm: Built) -> None:
    """What belongs together stands on one page side by side, in type of 8 pt or more."""
    setup = opened(farm.data)[title].page_setup
    assert setup.fitToWidth == 1


def test_lines_still_to_be_typed_print_where_there_is_room(farm: Built) -> None:
    """The pale lines of the fields are on paper, so that a field typed there prints."""
    last = range_boundaries(opened(farm.data)["Farm"].print_area.rpartition("!")[2].replace("$", ""))[3]
    assert last >= farm.placement.spots["fields"].last_row


def test_what_is_away_is_told_within_the_paper() -> None:
    """The sentences on tabs that are away break into lines before the edge of what prints."""
    built = small_built()
    sheet = opened(built.data)["Season"]
    last = range_boundaries(sheet.print_area.rpartition("!")[2].replace("$", ""))[2]
    for row in (7, 8):
        merged = next(area for area in sheet.merged_cells.ranges if area.min_row == row)
        assert (merged.min_col, merged.max_col <= last,
                sheet.cell(row, 2).alignment.wrap_text) == (2, True, True)
        lines = wrapped_lines(str(sheet.cell(row, 2).value),
                              sum(wide(sheet, number) for number in range(2, merged.max_col + 1)))
        assert tall(sheet, row) >= 15 * lines


def test_what_to_fix_names_a_tab_that_shows() -> None:
    """A clean-out label nobody typed is told on a tab that is there,
    with the way to the one where it is typed.
    """
    inputs = small_farm()
    for key, name in (("products", "product"), ("mixes", "mix"), ("passes", "pass")):
        inputs.tables[key].append({**inputs.tables[key][0], name: "Other",
                                   **({"product": "Other"} if key == "mixes" else {}),
                                   **({"mix": "Other"} if key == "passes" else {})})
    inputs.tables["ingredients"].append({**inputs.tables["ingredients"][0], "product": "Other"})
    plan = make_plan(inputs)
    showing = set(place(plan).front)
    told = [row for row in plan.tables["causes"] if row["count"]]
    finding = next(row["finding"] for row in plan.tables["clean_sequence"] if row["finding"])

    assert "Sprayer" not in showing
    assert "Clean-out on the label not entered" in {row["cause"] for row in told}
    assert {row["where"] for row in told} <= showing
    assert "build --with sprayer" in finding


LISTS = ("5, 9", "3, 9, 14", "2, 9", "9, 4", "19, 14", "", "fungicide 11", "fungicide 11, 3", "1", "77", "77")
RUNNING = (1, 2, 3, 4, 1, 1, 1, 2, 1, 1, 1)


def test_repeats_of_a_group_are_counted() -> None:
    """A group counts as the 2nd, 3rd or 4th time running where it stands in all the lists before it.

    One that the farm does not know counts never.
    """
    known = ["9", "4", "3", "14", "2", "5", "19", "1", "fungicide 11"]
    assert tuple(times_running(known, here, *LISTS[max(0, at - 3) : at][::-1])
                 for at, here in enumerate(LISTS)) == RUNNING


def test_repeats_of_the_demo_are_counted(metric: Built) -> None:
    """Group 9 came last season and comes in both passes of a field, group 4 in both passes only.

    Two seasons back neither came after the other.
    """
    row = next(row for row in metric.plan.tables["rotation_grid"] if row["field"] == "Stone Corner")
    assert [row[f"running_{key}"] for key in ("season_2", "season_1", "pass_1", "pass_2",
                                              "pass_3")] == [1, 1, 2, 3, ""]


def test_the_shades_follow_columns_out_of_sight(farm: Built) -> None:
    """Every season and pass of the rotation has a short rule for each shade, darkest first,
    on the count of its own row that a hidden column keeps.
    """
    spot, sheet = farm.placement.spots["rotation_grid"], opened(farm.data)["Rotation"]
    hidden = {number for line in sheet.column_dimensions.values() if line.hidden
              for number in range(line.min, line.max + 1)}
    counted = [column.key for column in spot.table.columns if column.key.startswith("running_")]
    shaded = [key.removeprefix("running_") for key in counted]
    areas = [area for area in sheet.conditional_formatting if spot.cell("pass_1") in area]
    rules = sorted((rule for area in areas for rule in area.rules if rule.formula
                    and rule.formula[0].startswith("SUM(")), key=lambda rule: rule.priority)
    grey = [sum(int(rule.dxf.fill.bgColor.rgb[-6:][at : at + 2], 16) for at in (0, 2, 4)) for rule in rules]

    # Rules tell of the first cell; the others follow it, so both blocks stand in the same order.
    assert ([rule.formula[0] for rule in rules] == [f"SUM({spot.cell(counted[0])})>={times}"
                                                    for times in (4, 3, 2)])
    assert ([spot.numbers[key] - spot.numbers[counted[0]] for key in counted]
            == [spot.numbers[key] - spot.numbers[shaded[0]] for key in shaded])
    assert {str(area.sqref).split(":")[0] for area in areas
            if any(rule in area.rules for rule in rules)} == {spot.cell(shaded[0])}
    assert {spot.numbers[key] for key in counted} == hidden
    assert grey == sorted(grey)
    assert len(set(grey)) == 3


@pytest.mark.nightly
def test_the_demo_prints_on_few_pages(farm: Built) -> None:
    """The whole workbook takes at most forty pages of letter or A4 paper."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "demo.xlsx"
        path.write_bytes(farm.data)
        try:
            pdf = to_pdf(path, Path(folder))
        except FileNotFoundError:
            pytest.skip("LibreOffice is not here")
        told = subprocess.run(["pdfinfo", str(pdf)], check=True, capture_output=True, text=True).stdout

    assert 15 < int(told.split("Pages:")[1].split()[0]) <= MOST_PAGES
