"""Every drop-down of the input workbook and of the built workbook lists the column that defines the name."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import pytest
from openpyxl import load_workbook
from openpyxl.utils import range_boundaries

from workbook_builder.build import Built
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.place import Placement, Spot
from workbook_builder.core.room import Room
from workbook_builder.features import BY_KEY, TYPED_TABLES
from workbook_builder.features.tabs import TAB_OF
from workbook_builder.input_book import book_tables, input_book, shipped_farm
from workbook_builder.planning import given_tables

#: Column that holds a name -> the column that defines such names; written by hand, so that no declaration
#: vouches for itself.
DEFINED_IN = {
    "field": "fields.field", "product": "products.product", "sprayer": "sprayers.sprayer", "mix": "mixes.mix",
    "pass": "passes.pass",
    "partner_pass": "passes.pass", "pressure_class": "pressure_classes.pressure_class",
    "water_source": "water_tests.source",
    "weed": "ratings.weed", "crop": "crops.crop", "next_crop": "crops.crop",
    "active_ingredient": "active_list.active_ingredient",
    "rate_unit": "rate_units.rate_unit", "formulation": "formulation_codes.code", "size": "nozzle_sizes.size",
    "time_zone": "time_zones.time_zone",
}
#: A year's use by crop belongs to a row of the machine table.
OTHERWISE = {("machine_use", "sprayer"): "machine.sprayer"}
#: Lists of the built workbook worked out from a typed column: each name once, and no blank between.
WORKED_OUT = {"mixes.mix": "mix_list.mix", "passes.pass": "cost_pass_names.pass"}
#: Fewer drop-downs than this would mean that the tests look past them.
FEWEST = 45


def drop_downs(book: Any, tables: Iterable[Table],
               spots: Mapping[str, Spot]) -> Iterator[tuple[str, str, tuple[str, str, list[Any]]]]:
    """Yield every column with a drop-down from a range: its name, the column that defines it,
    and the range's sheet, header and cells.
    """
    for table in tables:
        spot = spots[table.key]
        rules = {str(rule.sqref).partition(":")[0]: rule
                 for rule in book[spot.sheet].data_validations.dataValidation}
        for column in table.columns:
            if isinstance(column.choices, str) and column.choices:
                rule = rules[spot.cell(column.key)]
                assert rule.type == "list"
                wanted = OTHERWISE.get((table.key, column.key), DEFINED_IN[column.key])
                yield f"{table.key}.{column.key}", wanted, cells_of(book, rule.formula1)


def cells_of(book: Any, place: str) -> tuple[str, str, list[Any]]:
    """Return sheet, header and cells of a range of one column, written as a formula writes it."""
    title, _, corners = place.rpartition("!")
    sheet = book[title.strip("'").replace("''", "'")]
    left, top, right, bottom = range_boundaries(corners.replace("$", ""))
    assert left == right
    return (sheet.title, str(sheet.cell(top - 1, left).value).removesuffix(" *"),
            [sheet.cell(row, left).value for row in range(top, bottom + 1)])


def typed_tables(farm: Built) -> list[Table]:
    """Return the typed tables that a workbook holds: all but those that nobody types into."""
    held = [table for table in TYPED_TABLES if table.key in farm.placement.spots]
    assert ({table.key for table in TYPED_TABLES} - {table.key for table in held}
            == {key for key in farm.plan.room.resting if "." not in key})
    return held


def declared(name: str) -> tuple[Table, Column]:
    """Return table and column of a name such as ``fields.field``."""
    table, _, key = name.partition(".")
    return BY_KEY[table], BY_KEY[table].by_key[key]


def names(rows: Iterable[Any], key: str) -> set[str]:
    """Return the names that stand in a column."""
    return {str(row[key]) for row in rows if row.get(key) not in (None, "")}


def assert_offers(name: str, wanted: str, listed: tuple[str, str, list[Any]], inputs: Inputs,
                  shown: str) -> None:
    """Check that a drop-down is the column shown, and offers every name that its table defines, and no other.
    """
    (table, column), (defining, key) = declared(shown), declared(wanted)
    rows = ([row for _, row in inputs.filled(defining.key)] if defining.is_typed
            else given_tables(inputs)[defining.key])
    sheet, header, cells = listed
    assert header == column.header, name
    assert sheet in (table.sheet_title, TAB_OF.get(table.key)) or not defining.is_typed, name
    assert {str(cell) for cell in cells if cell not in (None, "")} == names(rows, key.key) != set(), name


@pytest.mark.parametrize("units", [pytest.param("us", marks=pytest.mark.nightly), "metric"])
def test_input_book_lists_what_was_typed(units: str) -> None:
    """In the input workbook each list is the very column that defines the name,
    or a list that is shipped with it.
    """
    book, inputs = load_workbook(io.BytesIO(input_book(units, True, "Guide"))), shipped_farm(units)
    tables = book_tables()
    placement = Placement(tables, Room({table.key: 1 for table in tables}, {}))
    found = list(drop_downs(book, [table for table in tables if table.is_typed], placement.spots))

    for name, wanted, listed in found:
        assert_offers(name, wanted, listed, inputs, wanted)
    assert len(found) >= FEWEST


def test_built_workbook_lists_the_names_defined(farm: Built) -> None:
    """In the built workbook each list is the column that defines the name, or holds each of its names once.
    """
    book = load_workbook(io.BytesIO(farm.data), data_only=True)
    found = list(drop_downs(book, typed_tables(farm), farm.placement.spots))

    for name, wanted, listed in found:
        assert_offers(name, wanted, listed, farm.plan.inputs, WORKED_OUT.get(wanted, wanted))
        if wanted in WORKED_OUT:
            offered = [cell for cell in listed[2] if cell not in (None, "")]
            assert len(offered) == len(set(offered)), name
            assert listed[2][: len(offered)] == offered, name
    assert len(found) >= FEWEST


def test_a_list_reaches_the_last_row_people_may_fill(farm: Built) -> None:
    """A name typed into the last spare row of its table is offered too."""
    book = load_workbook(io.BytesIO(farm.data), data_only=True)
    for name, wanted, (_, _, cells) in drop_downs(book, typed_tables(farm), farm.placement.spots):
        if declared(wanted)[0].is_typed and wanted not in WORKED_OUT:
            assert len(cells) == farm.placement.row_count(wanted.partition(".")[0]), name
