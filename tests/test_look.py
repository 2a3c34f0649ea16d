"""The look of the workbook: titles seen, headers whole, pages legible, spare rows quiet."""

from __future__ import annotations

from typing import Any

import pytest
from openpyxl.utils import range_boundaries

from workbook_builder.build import Built
from workbook_builder.layout.pages import ONE_PAGE
from workbook_builder.layout.paper import LEAST_SCALE, Body, best_pages, room
from workbook_builder.layout.widths import wrapped_lines


@pytest.fixture(scope="module")
def book(demo_book: Any) -> Any:
    """One demo workbook as its file says it is."""
    return demo_book


def hidden(sheet: Any, number: int) -> bool:
    """Whether a column is hidden; the library keeps equal neighbours in one group."""
    return any(line.hidden and line.min <= number <= line.max for line in sheet.column_dimensions.values() if line.min)


def width(sheet: Any, first: int, last: int) -> float:
    """Return the width of some columns as shown [characters]."""
    groups = [line for line in sheet.column_dimensions.values() if line.min]
    found = {number: line.width for line in groups for number in range(line.min, line.max + 1)}
    return sum(0 if hidden(sheet, number) else found.get(number, 8.43) for number in range(first, last + 1))


def printed(sheet: Any) -> tuple[int, int]:
    """Return the last printed column and row."""
    return range_boundaries(sheet.print_area.rpartition("!")[2].replace("$", ""))[2:]


def height(sheet: Any) -> float:
    """Return the height of the printed rows [points]."""
    _, first, _, last = range_boundaries(sheet.print_area.rpartition("!")[2].replace("$", ""))
    rows = [sheet.row_dimensions[number] for number in range(first, last + 1)]
    return sum(0 if row.hidden else row.height or 15 for row in rows)


def ours(book: Any) -> list[Any]:
    """Return the sheets of the workbook that people see."""
    return [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"]


def test_every_title_and_way_back_is_seen(book: Any) -> None:
    """Column A, which holds the title, is never folded away, and neither is the link to the contents."""
    for sheet in book.worksheets:
        assert sheet["A1"].value == sheet.title
        assert not hidden(sheet, 1), sheet.title
        links = [cell for cell in sheet[1] if cell.hyperlink]
        assert links or sheet.title == "Contents"
        assert not any(hidden(sheet, cell.column) for cell in links), sheet.title


def test_what_formulas_need_stands_behind_what_people_read(demo: Built, book: Any) -> None:
    """On a sheet people read no folded column stands between two shown ones, and every folded one is hidden."""
    for spot in demo.placement.spots.values():
        if spot.table.is_form or spot.table.kind == "working" or not spot.fold_from:
            continue
        for column in spot.table.columns:
            assert column.folded == (spot.numbers[column.key] >= spot.fold_from), (spot.table.key, column.key)
            assert hidden(book[spot.sheet], spot.numbers[column.key]) == column.folded, (spot.table.key, column.key)


def test_pages_are_legible(book: Any) -> None:
    """No table shrinks to less than half size: a wider one goes on several pages, its names repeated."""
    for sheet in ours(book):
        across = sheet.page_setup.fitToWidth
        page = room("us", sheet.page_setup.orientation == "portrait")[0]
        assert width(sheet, 1, printed(sheet)[0]) / across * 0.5 <= page, sheet.title
        assert bool(sheet.print_title_cols) == (across > 1), sheet.title


def test_headers_and_sentences_are_whole(demo: Built, book: Any) -> None:
    """Every header has the lines it needs, and no line under a heading runs over the printed columns."""
    for spot in demo.placement.spots.values():
        sheet = book[spot.sheet]
        if spot.table.is_hidden:
            continue
        if not spot.table.is_form:
            for column in spot.table.columns:
                number = spot.numbers[column.key]
                lines = wrapped_lines(str(sheet.cell(spot.header_row, number).value), width(sheet, number, number), True)
                assert hidden(sheet, number) or sheet.row_dimensions[spot.header_row].height >= 15 * lines, (spot.sheet, column.key)
        text = sheet.cell(spot.heading_row + 1, spot.first_column).value or ""
        tall = (sheet.row_dimensions[spot.heading_row + 1].height or 15) / 15
        assert wrapped_lines(text, width(sheet, spot.first_column, printed(sheet)[0])) <= max(1, tall), spot.sheet


def test_headers_repeat_where_a_page_follows(demo: Built, book: Any) -> None:
    """A repeated header row belongs to the only table of its sheet; what stands on one page and one-page forms repeat nothing."""
    repeated = {title for title in demo.placement.sheets if book[title].print_title_rows}

    for title, tables in demo.placement.sheets.items():
        sheet = book[title]
        alone = len(tables) == 1 and not tables[0].is_form
        if title in repeated:
            header = demo.placement.spots[tables[0].key].header_row
            assert alone, title
            assert sheet.print_title_rows == f"${header}:${header}", title
        elif alone and sheet.print_area:
            upright = sheet.page_setup.orientation == "portrait"
            scale = min(1.0, room("us", upright)[0] * sheet.page_setup.fitToWidth / width(sheet, 1, printed(sheet)[0]))
            assert sheet.page_setup.fitToHeight == 1 or height(sheet) * scale < room("us", upright)[1], title
        if title in ONE_PAGE:
            assert title not in repeated
            assert sheet.page_setup.fitToHeight == 1
    assert len(repeated) > 20


@pytest.mark.parametrize("key", ["open_points", "sprayer_costs"])
def test_numbers_of_spare_rows_do_not_show(key: str, demo: Built, book: Any) -> None:
    """A row about nothing shows neither its number nor noughts; one with a name shows all."""
    spot = demo.placement.spots[key]
    named = "status" if key == "open_points" else "sprayer"
    formulas = [rule.formula for area in book[spot.sheet].conditional_formatting for rule in area.rules if rule.type == "expression"]
    assert [f'AND(${spot.cell(named)}="",ISNUMBER(A{spot.first_row}))'] in formulas


def test_print_of_the_whole_book_holds_what_people_read(demo: Built, book: Any) -> None:
    """Every sheet shown has a print area; workings and long lists are hidden and have none, which keeps them out of every program's print."""
    for title, tables in demo.placement.sheets.items():
        sheet, back = book[title], tables[0].is_hidden
        assert (sheet.sheet_state == "hidden") == back, title
        assert bool(sheet.print_area) != back, title
        assert all(table.is_hidden == back for table in tables), title


def test_no_page_is_nearly_empty() -> None:
    """A list a little too long for its pages is shrunk to them, a much longer one is not, and a wide one turns."""
    width, height = room("us", True)
    fits = best_pages(Body(width, 20, height * 2, 30), "us")
    assert (fits.upright, fits.across, fits.down, fits.squeezed) == (True, 1, 2, True)
    long = best_pages(Body(width, 20, height * 2.5, 30), "us")
    assert (long.upright, long.down, long.scale, long.squeezed) == (True, 3, 1, False)
    wide = best_pages(Body(room("us", False)[0], 20, height / 2, 30), "us")
    assert (wide.upright, wide.across, wide.down, wide.scale) == (False, 1, 1, 1)


def test_a_wide_table_takes_pages_side_by_side() -> None:
    """A table that would be too small to read goes on as few pages side by side as keep it legible, its names counted on each."""
    width = room("metric", False)[0]
    one = best_pages(Body(width / LEAST_SCALE, 30, 300, 30), "metric")
    two = best_pages(Body(width / LEAST_SCALE + 1, 30, 300, 30), "metric")
    assert (one.across, two.across) == (1, 2)
    assert one.scale == pytest.approx(LEAST_SCALE)
    assert two.scale == pytest.approx(min(1, 2 * width / (width / LEAST_SCALE + 31)))


def test_what_may_not_be_split_takes_the_larger_type() -> None:
    """Held to one page across, a wide table lies on its side even where upright would save a page."""
    held = best_pages(Body(room("us", False)[0] / LEAST_SCALE, 20, room("us", True)[1], 30), "us", 1)
    assert (held.upright, held.across) == (False, 1)
    assert held.scale == pytest.approx(LEAST_SCALE)


def test_lists_of_spot_passes_hold_no_other_passes(demo: Built) -> None:
    """Sheets about spot passes list them one below the other, from the first row on."""
    tables = demo.plan.tables
    spot = [(row["pass"], row["field"]) for row in tables["passes"] if row["method"] == "spot"]
    for key in ("scout_shares", "share_estimates", "spot_checks", "spot_against_broadcast"):
        listed = [(row["pass"], row["field"]) for row in tables[f"{key}_list"]]
        assert listed[: len(spot)] == spot
        assert set(listed[len(spot) :]) <= {("", "")}
        assert demo.placement.spots[key].table.is_hidden
        assert not demo.placement.spots[f"{key}_list"].table.is_hidden


def test_a_blank_row_draws_no_rule(demo: Built, book: Any) -> None:
    """A slot that holds nothing shows neither its line nor the name of a check that was not made."""
    spot = demo.placement.spots["all_checks"]
    rules = [(rule.formula, rule.dxf) for area in book[spot.sheet].conditional_formatting for rule in area.rules if rule.type == "expression"]
    quiet = [dxf for formula, dxf in rules if formula == [f'${spot.cell("pass")}=""']]
    assert any(dxf.border is not None and dxf.border.bottom.color.rgb.endswith("FFFFFF") for dxf in quiet)
    assert any(dxf.font is not None and dxf.font.color.rgb.endswith("FFFFFF") for dxf in quiet)
