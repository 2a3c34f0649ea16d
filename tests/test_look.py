"""The look of the workbook: headers whole, pages legible, spare rows quiet."""

from __future__ import annotations

from typing import Any

import pytest
from openpyxl.utils import range_boundaries

from workbook_builder.build import Built
from workbook_builder.core.columns import Column
from workbook_builder.core.place import Piece, column_letter
from workbook_builder.core.quantities import quantity
from workbook_builder.layout.book import BIG_TYPE
from workbook_builder.layout.charts import COLUMN_CM
from workbook_builder.layout.guides import title_with_unit
from workbook_builder.layout.pages import is_filled
from workbook_builder.layout.paper import LEAST_SCALE, Way, best_way, room
from workbook_builder.layout.widths import BOLD, wrapped_lines
from workbook_builder.text_widths import text_width


@pytest.fixture(scope="module")
def book(demo_book: Any) -> Any:
    """One demo workbook as its file says it is."""
    return demo_book


def width(sheet: Any, number: int) -> float:
    """Return the width of a column [characters]; the library keeps equal neighbours in one group."""
    found = [line.width for line in sheet.column_dimensions.values() if line.min
             and line.min <= number <= line.max]
    return float(found[0]) if found else 8.43


def test_headers_are_whole(demo: Built, book: Any) -> None:
    """Every header of every tab shows whole in its column and row."""
    for title, planned in demo.placement.front.items():
        sheet = book[title]
        for piece in planned.pieces:
            for number, column in enumerate(() if piece.table.is_form else piece.columns, piece.column):
                header = title_with_unit(column, demo.plan.system, demo.plan.inputs.currency)
                if column.quantity == "day_mark":
                    # A number in the middle of a narrow cell, which needs no room around it.
                    assert text_width(header) * BOLD <= width(sheet, number), (title, column.key)
                    continue
                lines = wrapped_lines(header, width(sheet, number), True)
                assert sheet.row_dimensions[piece.header_row].height >= 15 * lines, (title, column.key)


def figure(value: float, column: Column) -> str:
    """Return what a cell shows of a number."""
    kind = quantity(column.quantity)
    digits = kind.digits if column.digits is None else column.digits
    return f"{value:.{digits}%}" if kind.form == "share" else f"{value:,.{digits}f}"


def test_names_and_numbers_are_whole(demo: Built, book: Any) -> None:
    """A name fits its column or breaks into lines, and no number is wider than its column."""
    for title, planned in demo.placement.front.items():
        sheet = book[title]
        big = BIG_TYPE if planned.tab is not None and planned.tab.big else 1.0
        for piece in planned.pieces:
            for number, column in enumerate(() if piece.table.is_form else piece.columns, piece.column):
                for row in demo.plan.tables[piece.table.key]:
                    value = row[column.key]
                    if isinstance(value, float) and column.quantity not in ("date", "moment", "time"):
                        assert (len(figure(value, column))
                                + 0.5) * big <= width(sheet, number), (title, column.key, value)


def test_what_stays_off_paper_widens_no_page(demo: Built, book: Any) -> None:
    """The printed area ends before the first block that does not print,
    but where a chart of a block that does reaches further.
    """
    for title, planned in demo.placement.front.items():
        off = min((piece.column for piece in planned.pieces if not piece.paper), default=None)
        last = range_boundaries(book[title].print_area.rpartition("!")[2].replace("$", ""))[2]
        printed = [chart.anchor._from.col + 1 + chart.anchor.ext.width / 360_000 / COLUMN_CM
                   for chart in book[title]._charts if off and chart.anchor._from.col + 1 < off]
        assert off is None or last < max(off, *printed, 0), title


def filled(piece: Piece, built: Built) -> list[Any]:
    """Return the rows of a table that are about something."""
    rows = built.plan.tables[piece.table.key]
    last = max((number for number, row in enumerate(rows, 1) if is_filled(row, piece.table)), default=0)
    return rows[:last]


def test_headers_are_repeated_only_over_their_own_rows(demo: Built, book: Any) -> None:
    """A row repeated on further pages holds the headers of the table that the first page cuts,
    and no tab of the demo cuts a table without it but where a chart stands beside the headers.
    """
    repeated = {}
    for title, planned in demo.placement.front.items():
        sheet = book[title]
        if sheet.page_setup.fitToHeight == 1:
            assert sheet.print_title_rows is None
            continue
        wide, tall = room("us", sheet.page_setup.orientation == "portrait")
        last = range_boundaries(sheet.print_area.rpartition("!")[2].replace("$", ""))
        scale = min(1.0, wide / sum(width(sheet, number) for number in range(1, last[2] + 1)))
        down = [sum(sheet.row_dimensions[row].height or 15 for row in range(1, upto + 1)) * scale
                for upto in range(1, last[3] + 1)]
        first = sum(height <= tall for height in down)
        printed = [piece for piece in planned.pieces if piece.paper]
        cut = {piece.header_row for piece in printed
               if piece.header_row <= first < piece.header_row + len(filled(piece, demo))}
        if cut and not all(piece.table.is_form for piece in printed):
            assert len(cut) == 1
            beside = [chart for chart in sheet._charts if chart.anchor._from.row < min(cut)]
            repeated[title] = (sheet.print_title_rows or "").replace("$", "")
            assert repeated[title] == ("" if beside else "{0}:{0}".format(*cut)), title
    assert {title for title, rows in repeated.items() if rows} >= {"Label check", "Mixes"}


def test_type_prints_legibly(demo: Built, book: Any) -> None:
    """A tab takes as many pages side by side as keep its type at 8 pt or more."""
    for title, planned in demo.placement.front.items():
        sheet = book[title]
        last = range_boundaries(sheet.print_area.rpartition("!")[2].replace("$", ""))[2]
        wide = sum(width(sheet, number) for number in range(1, last + 1))
        across = room("us", sheet.page_setup.orientation == "portrait")[0] * sheet.page_setup.fitToWidth
        assert planned.tab is None or across / wide >= LEAST_SCALE - 0.001, title


@pytest.mark.parametrize(("key", "named"), [("open_points", "status"), ("full_fields", "field")])
def test_numbers_of_spare_rows_do_not_show(key: str, named: str, demo: Built, book: Any) -> None:
    """A row about nothing shows neither noughts nor its rule; one with a name shows all."""
    spot = demo.placement.spots[key]
    piece = next(piece for piece in demo.placement.sheets[spot.sheet].pieces if piece.table.key == key)
    first = f"{column_letter(piece.column)}{piece.first_row}"
    rules = [(rule.formula, rule.dxf) for area in book[spot.sheet].conditional_formatting
             for rule in area.rules if rule.type == "expression"]
    blank = [dxf for formula, dxf in rules if formula == [f'${spot.cell(named)}=""']]
    assert any(dxf.border is not None and dxf.border.bottom.color.rgb.endswith("FFFFFF") for dxf in blank)
    numbers = [row for row in demo.plan.tables[key] if row[named] == ""
               and any(isinstance(row[column.key], (int, float)) for column in piece.columns)]
    assert (bool(numbers) == ([f'AND(${spot.cell(named)}="",ISNUMBER({first}))']
                              in [formula for formula, _ in rules]))


def test_the_fewest_pages_win_and_then_the_largest_type() -> None:
    """What fits one page at full size prints so.

    What is a little wider shrinks, down to the least that is legible, before it takes two.
    """
    across, down = room("us", False)
    assert best_way(across, down, "us") == Way(False, 1, 1, 1.0)
    little = best_way(across * 1.3, down / 2, "us")
    assert (little.across, little.scale >= LEAST_SCALE) == (1, True)
    assert best_way(across * 2, down / 2, "us").across == 2
    # Two pages that both show the names of the rows hold less, and their type stays legible too.
    wide = across * 2 / LEAST_SCALE
    assert best_way(wide * 0.999, down / 4, "us").across == 2
    assert best_way(wide * 0.999, down / 4, "us", repeated=30.0).across == 3
    assert best_way(wide - 31.0, down / 4, "us", repeated=30.0).scale >= LEAST_SCALE
    assert best_way(across, down * 1.2, "us").down == 1
    assert best_way(across * 3, down * 3, "us", one_page=True).scale == pytest.approx(1 / 3)


def test_lists_of_spot_passes_hold_no_other_passes(demo: Built) -> None:
    """Lists of spot passes hold them one below the other, from the first row on."""
    tables = demo.plan.tables
    spot = [(row["pass"], row["field"]) for row in tables["passes"] if row["method"] == "spot"]
    for key in ("spot_passes", "spot_checks_list"):
        listed = [(row["pass"], row["field"]) for row in tables[key]]
        assert listed[: len(spot)] == spot
        assert set(listed[len(spot) :]) <= {("", "")}


@pytest.mark.parametrize(("key", "named"), [("product_limits", "name"), ("pick_list", "product"),
                                            ("ahead", "field"), ("to_fix", "cause")])
def test_lists_hold_no_holes(key: str, named: str, demo: Built) -> None:
    """A list of results shows its filled rows first, and blank ones only at its end."""
    filled = [row[named] != "" for row in demo.plan.tables[key]]
    assert filled[0]
    assert filled == sorted(filled, reverse=True)
