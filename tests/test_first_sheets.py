"""The tabs as people meet them: few, each with its answer on top, legible on paper and on a phone."""

from __future__ import annotations

import io
from typing import Any

import pytest
from farms_strategy import build_small
from openpyxl import load_workbook
from openpyxl.utils import range_boundaries
from small_farm import small_farm, small_plan

from workbook_builder.build import Built, place
from workbook_builder.core.place import ANSWER_ROW, TOP_ROW, column_letter
from workbook_builder.features import BY_KEY, TYPED_TABLES
from workbook_builder.features.checks import CHECK_KINDS
from workbook_builder.features.tabs import TAB_OF, TABS, tab_of
from workbook_builder.layout.guides import NOUGHT
from workbook_builder.layout.look import STATUS_COLOURS
from workbook_builder.planning import make_plan
from workbook_builder.theme import contrast

#: What a phone shrinks a sheet to that it shows in a preview; common practice, no source.
PREVIEW_ZOOM = 0.6
#: Tabs of a farm that uses all there is, and of one that sprays without a spot machine.
MOST_TABS, USUAL_TABS = 20, 12


@pytest.fixture(scope="module")
def book(demo_values: Any) -> Any:
    """The demo workbook with the values people see."""
    return demo_values


def test_tabs_are_few(demo: Built, book: Any) -> None:
    """A farm with everything in use shows at most twenty tabs, a plain one at most twelve,
    and nothing else shows.
    """
    seen = [sheet.title for sheet in book.worksheets if sheet.sheet_state == "visible"]

    assert seen == [tab.title for tab in TABS if tab not in demo.placement.away]
    assert len(seen) <= MOST_TABS
    assert len(TABS) - len(place(make_plan(small_farm())).away) <= USUAL_TABS


def test_a_tab_nobody_uses_shows_when_asked() -> None:
    """A tab for which nothing is typed stays away until somebody names it, in any case of letters."""
    without, asked = make_plan(small_farm()), make_plan(small_farm(), asked=["weather"])

    assert "Weather" in {tab.title for tab in place(without).away}
    assert "Weather" not in {tab.title for tab in place(asked).away}


def test_the_first_tab_names_what_is_away() -> None:
    """What nobody uses yet is named on the first tab with the way to get it, and what is used is not."""
    inputs = small_farm()
    book = load_workbook(io.BytesIO(build_small(inputs).data))
    said = str(book["Season"].cell(7, 2).value)
    away = [tab.title for tab in TABS if tab.title not in book.sheetnames]

    assert away
    assert said.startswith(f"Not in this book yet: {', '.join(away)}.")
    assert f'--with "{away[0].lower()}"' in said
    parts = str(book["Season"].cell(8, 2).value)
    assert parts.startswith("Not shown yet: crop stages (Farm); hard water, least figures and stages of "
                            "labels, rates by soil, nutrients (Products).")
    assert "Nutrient" not in {cell.value for cell in book["Products"][6]}


def test_a_part_of_a_tab_comes_with_what_is_typed_for_it() -> None:
    """A least carrier brings its columns, a stage on a label the table of stage dates too,
    tested water what labels say of it, and none what else nobody uses.
    """
    label = {"product": "Product", "crop": "any", "rate_unit": "fl oz/ac", "max_rate": 40}
    away = [place(make_plan(small_farm(label_limits={**label, **cells}))).parts_away
            for cells in ({}, {"min_carrier": 10}, {"before_stage": "V9"})]
    away.append(place(make_plan(small_farm(farm={"water_ca_ppm": 80}))).parts_away)

    assert [sorted(part for parts in each.values() for part in parts) for each in away] == [
        ["crop stages", "hard water", "least figures and stages of labels", "nutrients", "rates by soil"],
        ["crop stages", "hard water", "nutrients", "rates by soil"],
        ["hard water", "nutrients", "rates by soil"],
        ["crop stages", "least figures and stages of labels", "nutrients", "rates by soil"],
    ]


def test_every_typed_table_stands_on_one_tab(demo: Built) -> None:
    """What people type is on a tab, whole, and nowhere twice."""
    placed = {(tab.title, block.table) for tab in TABS for block in tab.blocks}

    assert len(placed) == len({table for _, table in placed})
    for table in TYPED_TABLES:
        spot = demo.placement.spots[table.key]
        assert {spot.sheet_of(column.key) for column in table.columns} == {TAB_OF[table.key]}, table.key


def test_tabs_name_what_is_declared() -> None:
    """No block, answer or figure shown large names a table or column that nobody declares,
    which would be left out in silence.
    """
    named = [(block.table, key) for tab in TABS for block in tab.blocks for key in block.shows.split()
             or [""]]
    named += [cell for tab in TABS for cell in tab.cells]

    assert [(table, key) for table, key in named if table not in BY_KEY
            or (key and key not in BY_KEY[table].by_key)] == []


def test_every_check_is_told_on_a_tab(demo: Built) -> None:
    """The tab that a finding names is there, and shows whenever the check can be open."""
    titles = {tab.title for tab in TABS}

    assert {tab_of(kind.table) for kind in CHECK_KINDS} <= titles
    assert {row["where"] for row in demo.plan.tables["causes"]} <= titles


def test_every_tab_opens_with_its_answer(demo: Built, book: Any) -> None:
    """The farm stands in the first row, the answer large below it, and what to do below that."""
    banner = demo.plan.tables["glance"][0]["banner"]
    for tab in TABS:
        sheet = book[tab.title]
        assert sheet["B1"].value == banner
        answer = sheet.cell(ANSWER_ROW, 2)
        assert answer.font.size == 20
        key, _, cell = tab.answer.partition(".")
        assert (answer.value or "") == (demo.plan.tables[key][0][cell] if tab.answer else tab.title)


def test_pieces_do_not_overlap(demo: Built) -> None:
    """No two tables of a sheet share a cell, nor do those on the hidden sheets."""
    for title, planned in demo.placement.sheets.items():
        taken: set[tuple[int, int]] = set()
        for piece in planned.pieces:
            cells = {(row, column) for row in range(piece.header_row, piece.last_row + 1)
                     for column in range(piece.column, piece.last_column + 1)}
            assert not cells & taken, (title, piece.table.key)
            taken |= cells


def test_nothing_stands_under_a_table_people_lengthen(demo: Built) -> None:
    """Below a table that people add rows to, its columns are free to the end of the sheet."""
    for planned in demo.placement.front.values():
        for piece in planned.pieces:
            below = [other for other in planned.pieces if other.header_row > piece.last_row
                     and other.column <= piece.last_column and other.last_column >= piece.column]
            assert piece.table.rows != "typed" or not below, piece.table.key


def test_season_answers_on_one_page(demo: Built, book: Any) -> None:
    """What to fix, by cause, what each field costs and when it opens, and what comes next stand on one page.
    """
    sheet = book["Season"]
    texts = {str(cell.value) for row in sheet.iter_rows(max_row=60) for cell in row if cell.value is not None}
    assert {"What to fix, by cause", "Each field: back in, harvest and cost",
            "The next 14 days: S spray, C closed, ? not known, L look, R record",
            demo.plan.tables["glance"][0]["verdict"]} <= texts
    assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 1)
    assert all(row["cause"] in texts for row in demo.plan.tables["to_fix"] if row["cause"])


def test_figures_of_season_lead_to_their_tabs(book: Any) -> None:
    """The words under each large figure are a link to the tab that tells more, inside the workbook."""
    links = {cell.value: cell.hyperlink for row in book["Season"].iter_rows(max_row=8) for cell in row
             if cell.hyperlink is not None}

    assert {words.partition(" (")[0]: link.location.rpartition("!")[0].strip("'")
            for words, link in links.items()} == {
        "To fix in all": "Label check", "Cost per field area": "Cost", "Cost of the season": "Cost",
        "Passes and fields planned": "Passes", "Products to order": "Orders"}
    assert all(link.target is None for link in links.values())


def test_causes_that_find_no_room_are_counted(demo: Built) -> None:
    """Where there are more causes than lines, the sentence on top says how many more."""
    causes, room = demo.plan.tables["causes"], demo.plan.room.slots["fixes"]
    open_now = sum(1 for row in causes if row["count"])
    said = demo.plan.tables["glance"][0]["first_thing"]

    assert open_now > room
    assert f"{open_now - room} more causes" in said


def test_load_sheet_opens_on_the_first_pass(farm: Built) -> None:
    """Where nobody chose a load, the sheet shows the first one of the first pass."""
    first = farm.plan.tables["passes"][0]
    assert farm.plan.tables["load_choice"][0] == {"pass": first["pass"], "field": first["field"], "load": 1}
    state = farm.plan.tables["pass_open"][0]["status"]
    assert str(farm.plan.tables["load_sheet"][0]["status"]).split(":")[0].split(";")[0] == state != ""
    assert farm.plan.tables["load_sheet"][0]["volume"] > 0
    assert farm.plan.tables["load_lines"][0]["product"] != ""


def test_load_sheet_is_large_and_one_page(demo: Built, book: Any) -> None:
    """Large type, product and amounts side by side, one page."""
    sheet, spot = book["Mix sheet"], demo.placement.spots["load_lines"]
    header = [sheet.cell(spot.header_row, spot.numbers["slot"] + number).value for number in range(7)]
    assert header == ["Order", "Product", "As poured", "Off by", "Amount", "Unit", "Done"]
    assert sheet.cell(spot.first_row, spot.numbers["product"]).font.size >= 14
    assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 1)


def test_status_colours_are_legible() -> None:
    """Ink on its own fill, or on white, reaches 4.5 to 1, and every status is told by its word too."""
    assert all(contrast(ink, fill or "FFFFFF") >= 4.5 for ink, fill in STATUS_COLOURS.values())
    assert contrast(NOUGHT, "FFFFFF") >= 4.5


def test_a_phone_shows_verdict_and_cost_first(demo: Built, book: Any) -> None:
    """On a phone of 390 by 844 pixels the first tab shows verdict and cost of the season without scrolling,
    as a preview shrinks it.
    """
    sheet, spot = book["Season"], demo.placement.spots["glance"]
    assert spot.places["verdict"] == ("Season", 2, ANSWER_ROW)
    last = max(spot.row_of(key) for key in ("verdict", "cost_per_field_area"))
    points = [sheet.row_dimensions[row].height or 15 for row in range(1, last + 1)]
    # 96 pixels an inch of 72 points; a letter of the sheet's font is 7 pixels wide; the row numbers take 30.
    wide = (30 + sum(sheet.column_dimensions[column_letter(number)].width * 7 + 5
                     for number in range(1, spot.numbers["cost_per_field_area"] + 1)))
    assert spot.row_of("cost_per_field_area") == TOP_ROW
    assert sum(points) * 96 / 72 < 844
    assert wide * PREVIEW_ZOOM < 390


def test_what_prints_is_what_shows(demo: Built, book: Any) -> None:
    """Every tab has a print area that begins with its answer.

    What is hidden has none, which keeps it out of every program's print.
    """
    for title, planned in demo.placement.sheets.items():
        assert bool(book[title].print_area) == (planned.tab is not None), title
        if planned.tab is not None:
            assert range_boundaries(book[title].print_area.rpartition("!")[2].replace("$", ""))[:2] == (1, 1)


def test_ranges_across_columns_hold_what_they_name() -> None:
    """Where a formula reads several columns of a row as one range, they stand side by side as declared."""
    import re

    found = [(table, first, last) for table in BY_KEY.values() for column in table.columns
             for text in column.formulas
             for first, last in re.findall(r"\{([a-z_0-9]+)\}:\{([a-z_0-9]+)\}", text)]
    shown = {block.table: set(block.shows.split()) for tab in TABS for block in tab.blocks}
    assert found
    for table, first, last in found:
        keys = [column.key for column in table.columns]
        between = set(keys[keys.index(first) : keys.index(last) + 1])
        assert not between & shown.get(table.key, set()), (table.key, first, last)


def test_the_cost_of_no_area_is_said_in_words() -> None:
    """Without an area there is no cost an area, and the tab Cost opens with a sentence and not with an error.
    """
    told = {area: small_plan(fields={"area": area}).tables["answers"][0]["cost"] for area in (80.0, None)}

    assert told[80.0].startswith("The season costs ")
    assert told[None] == "What the season costs an area is not known yet"
