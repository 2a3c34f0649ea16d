"""Every formula of the built workbook keeps to the rules, and each column holds one formula all the way down.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from graphlib import CycleError, TopologicalSorter

import pytest
from conftest import shipped_inputs
from farms_strategy import EVERY_TAB, build_small
from openpyxl.utils import column_index_from_string

from workbook_builder.build import Built
from workbook_builder.core.formula_rules import ALLOWED_FUNCTIONS, check_formula, functions_in
from workbook_builder.engines import read_formulas
from workbook_builder.features import TABLES

#: Texts in quotes and names of sheets, which may look like cells; then cells.
REFERENCE = re.compile(r"\"(?:[^\"]|\"\")"
                       r"*\"|'(?:[^']|'')*'|(?<![A-Za-z0-9_.$])(\$?)([A-Z]{1,3})(\$?)([0-9]+)(?![A-Za-z0-"
                       r"9_.(])")

#: Texts in quotes; then a cell or a range of cells, with its sheet, and not a function.
AREA = re.compile(r"""
    "(?:[^"]|"")*"
  | (?:(?:'(?P<sheet>(?:[^']|'')+)'|(?<![A-Za-z0-9_.])(?P<word>[A-Za-z_]\w*))!)?
    (?<![A-Za-z0-9_.]) \$?(?P<left>[A-Z]{1,3})\$?(?P<top>[0-9]+)
    (?: :\$?(?P<right>[A-Z]{1,3})\$?(?P<bottom>[0-9]+) )? (?![A-Za-z0-9_.(])
""", re.VERBOSE)

Formulas = dict[str, dict[str, str]]
#: Sheet, column, first and last row.
Area = tuple[str, int, int, int]

def parted(formula: str) -> tuple[str, list[int]]:
    """Return a formula without its row numbers, and the row numbers."""
    rows: list[int] = []

    def noted(match: re.Match[str]) -> str:
        if match[4] is None:
            return match[0]
        rows.append(int(match[4]))
        return f"{match[1]}{match[2]}{match[3]}9"

    return REFERENCE.sub(noted, formula), rows


def is_even(rows: Sequence[int]) -> bool:
    """Return whether rows stay, go on by one a row, or go on by a block each so many rows:
    slots look at their parent's rows.
    """
    run = next((index for index, row in enumerate(rows) if row != rows[0]), 0)
    step = rows[run] - rows[0]
    return all(row == rows[0] + (index // run if run else 0) * step for index, row in enumerate(rows))


@pytest.fixture(scope="module", params=[pytest.param("demo", marks=pytest.mark.nightly), "metric_whole"])
def whole(request: pytest.FixtureRequest) -> Built:
    """A workbook with every tab: the large demo farm's in the long run,
    the metric one's with little room in every run.
    """
    built: Built = (build_small(shipped_inputs("demo")[0], 2, EVERY_TAB) if request.param == "demo"
                    else request.getfixturevalue(request.param))
    return built


@pytest.fixture(scope="module")
def formulas(whole: Built) -> Formulas:
    """Sheet -> cell -> formula, of such a workbook."""
    return {title: {reference: f"={text}" for reference, text in cells.items()}
            for title, cells in read_formulas(whole.data).items()}


def test_every_formula_keeps_to_the_rules(formulas: Formulas) -> None:
    """No formula uses a function outside the list of the allowed, passes a limit or holds an error."""
    texts = {parted(text)[0] for cells in formulas.values() for text in cells.values()}

    assert {text: found for text in texts if (found := check_formula(text))} == {}
    assert {name for text in texts for name in functions_in(text)} <= set(ALLOWED_FUNCTIONS)
    assert len(texts) > 500


def test_every_declared_formula_is_built(whole: Built, formulas: Formulas) -> None:
    """Each declared column with a formula has one in its first row, so that none escapes the rules."""
    missing = []
    for table in TABLES:
        spot = whole.placement.spots[table.key]
        missing += [
            (table.key, column.key) for column in table.columns
            if column.formula and spot.rows
            and spot.cell(column.key, 0) not in formulas[spot.sheet_of(column.key)]
        ]

    assert missing == []


def runs_alike(texts: Sequence[str]) -> bool:
    """Return whether the formulas of a run of rows are one formula."""
    shapes, rows = zip(*(parted(text) for text in texts), strict=True)
    return len(set(shapes)) == 1 and all(is_even(each) for each in zip(*rows, strict=True))


def test_a_column_holds_one_formula(whole: Built, formulas: Formulas) -> None:
    """Every row of a column, or every slot of one number, has the same formula,
    and each row number in it goes on evenly.
    """
    spots, uneven, by_slot, own = whole.placement.spots, {}, set(), set()
    for table in (table for table in TABLES if not table.is_form and spots[table.key].rows):
        spot = spots[table.key]
        parent = table.rows.split(":")[1] if table.rows.startswith("under:") else ""
        slots = spot.rows // spots[parent].rows if parent else 1
        for column in (column for column in table.columns if column.formula):
            name, texts = (f"{table.key}.{column.key}",
                           [formulas[spot.sheet_of(column.key)].get(spot.cell(column.key, index), "none")
                            for index in range(spot.rows)])
            if slots == 1 and isinstance(column.formula, tuple):
                # Each given row is of another kind and is declared by itself.
                own.add(name)
                assert len(column.formula) == spot.rows, name
                continue
            if runs_alike(texts):
                continue
            by_slot.add(name)
            if slots == 1 or not all(runs_alike(texts[slot::slots]) for slot in range(slots)):
                uneven[name] = texts[:3]

    assert uneven == {}
    assert len(by_slot) < 20
    assert len(own) < 20


def areas(formula: str, home: str) -> Iterator[Area]:
    """Yield what a formula reads, column by column."""
    for found in AREA.finditer(formula):
        if found["left"]:
            sheet, top = (found["sheet"] or found["word"] or home).replace("''", "'"), int(found["top"])
            for column in range(column_index_from_string(found["left"]),
                                column_index_from_string(found["right"] or found["left"]) + 1):
                yield sheet, column, top, int(found["bottom"] or top)


def circle(formulas: Formulas) -> list[Area]:
    """Return cells and ranges that lead back to themselves where every cell of a range counts,
    none when there are none.
    """
    rows: dict[tuple[str, int], list[int]] = {}
    order: TopologicalSorter[Area] = TopologicalSorter()
    ranges = set()
    for title, cells in formulas.items():
        for reference, text in cells.items():
            letters, row = re.fullmatch(r"([A-Z]+)([0-9]+)", reference).groups()  # type: ignore[union-attr]
            column, read = column_index_from_string(letters), list(areas(text, title))
            rows.setdefault((title, column), []).append(int(row))
            ranges.update(area for area in read if area[2] != area[3])
            order.add((title, column, int(row), int(row)), *read)
    for standing in rows.values():
        standing.sort()
    for sheet, column, top, bottom in ranges:
        standing = rows.get((sheet, column), [])
        order.add((sheet, column, top, bottom),
                  *((sheet, column, row, row)
                    for row in standing[bisect_left(standing, top) : bisect_right(standing, bottom)]))
    try:
        order.prepare()
    except CycleError as found:
        return list(found.args[1])
    return []


def test_no_range_leads_back_to_its_reader(formulas: Formulas) -> None:
    """Programs that follow a range and not the one cell picked from it see no circle either."""
    assert sum(map(len, formulas.values())) > 10_000
    assert circle(formulas) == []


def test_a_circle_by_range_is_seen() -> None:
    """A cell that picks an earlier row of a list that hangs on it is a circle, also by way of another sheet.

    The rows before it alone are none.
    """
    assert ("A", 1, 2, 2) in circle({"A": {"A1": "=1+1", "A2": "='B b'!C2"},
                                     "B b": {"C2": "=INDEX(A!$A$1:$A$2,1)"}})
    assert circle({"A": {"A1": "=1+1", "A2": "=INDEX($A$1:$A1,1)", "B2": "=SUM(A$1:A2)&\"B2\""}}) == []


def test_an_odd_formula_is_seen() -> None:
    """A copied formula that looks one row too far is uneven; free, fixed and block references are even."""
    assert parted("SUM($B$4:C7,'Sheet A1'!D2)&\"A1\"") == ("SUM($B$9:C9,'Sheet A1'!D9)&\"A1\"", [4, 7, 2])
    assert all(is_even(rows) for rows in ([5, 6, 7, 8], [4, 4, 4, 4], [5, 5, 6, 6], [5, 5, 8, 8], [5]))
    assert not any(is_even(rows) for rows in ([5, 6, 8, 8], [4, 4, 4, 5, 4], [5, 5, 6, 7]))
