"""The input workbook: a workbook to type a farm into, which explains itself and is a valid source."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from importlib import resources

from workbook_builder.build import MOMENT, read_inputs, result_sheets
from workbook_builder.check.names import ALIASES, REQUIRED_TABLES
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.draft import Draft
from workbook_builder.core.evaluate import Workings
from workbook_builder.core.inputs import Inputs, Row
from workbook_builder.core.own import GUIDE_SHEETS
from workbook_builder.core.place import Placement
from workbook_builder.core.room import Room
from workbook_builder.features import BY_KEY, INPUT_TABLES
from workbook_builder.file_format import state_format
from workbook_builder.planning import Plan, given_tables

#: Blank rows of a table: enough for a first farm, few enough to look over.
SPARE_ROWS = 40
#: What shows in a blank book: what must be filled in, what labels say, and what a spot sprayer may do.
USUAL_TABLES = {*REQUIRED_TABLES, "ingredients", "label_limits", "plant_back", "spot_terms"}
SHIPPED = {"us": "demo", "metric": "demo_metric"}
CURRENCY = {"us": "$", "metric": "€"}

Examples = dict[tuple[str, str], str]


def input_book(units: str, example: bool, guide: str, fields: int = 0) -> bytes:
    """Return an input workbook as a file.

    Parameters
    ----------
    units : str
        ``us`` or ``metric``.
    example : bool
        Fill it with the invented farm.
    guide : str
        Text of the first sheet: one line a row, headings end in a colon.
    fields : int
        How many fields a blank one names.
    """
    from workbook_builder.finish import finish
    from workbook_builder.layout.input_book import lay_out_input_book

    shipped = shipped_farm(units)
    inputs = shipped if example else blank_farm(units, fields)
    tables = book_tables()
    rows = {table.key: len(inputs.rows(table.key)) + SPARE_ROWS for table in tables if table.rows == "typed"}
    given = given_tables(shipped)
    rows |= {table.key: len(given[table.key]) for table in tables if table.rows == "given"}
    room = Room(rows, {})
    by_key = {table.key: table for table in tables}
    draft = Draft(inputs, room, by_key, given, Workings(by_key))
    plan = Plan(draft.done, room, inputs)
    # An example of every input column, from the first row of a farm that has one.
    found: Examples = {}
    for table in INPUT_TABLES:
        for column in table.columns:
            value = next((row[column.key] for _, row in shipped.filled(table.key)
                          if row.get(column.key) is not None), None)
            if value is not None and not isinstance(column.choices, tuple):
                found[table.key, column.key] = _as_typed(value, column)
    shown = USUAL_TABLES | {table.key for table in tables if any(inputs.filled(table.key))}
    book = lay_out_input_book(plan, Placement(tables, room), guide, found, REQUIRED_TABLES, shown)
    state_format(book, result_sheets(book.sheetnames, inputs,
                                     {table.sheet_title for table in tables if table.is_typed}))
    return finish(book, {}, MOMENT)


def shipped_farm(units: str) -> Inputs:
    """Return the invented farm that counts in these units."""
    with resources.as_file(resources.files("workbook_builder") / "data" / SHIPPED[units]) as folder:
        return read_inputs(folder)[0]


def blank_farm(units: str, fields: int = 0) -> Inputs:
    """Return inputs that hold the units, the currency sign and names for so many fields, and nothing else."""
    farm: Row = {"units": units, "currency": CURRENCY[units]}
    return Inputs({"farm": [farm],
                   "fields": [{"field": f"Field {number}"} for number in range(1, fields + 1)]})


def book_tables() -> list[Table]:
    """Return the tables of an input workbook: all input tables, and the lists their drop-downs show."""
    typed = [replace(table, columns=tuple(_offered(column) for column in table.columns))
             for table in INPUT_TABLES]
    wanted = {column.choices.partition(".")[0] for table in typed for column in table.columns
              if isinstance(column.choices, str) and column.choices}
    lists = [replace(BY_KEY[key], sheet=GUIDE_SHEETS[1])
             for key in sorted(wanted - {table.key for table in typed}) if BY_KEY[key].rows == "given"]
    return [*typed, *lists]


def _offered(column: Column) -> Column:
    """Return a column whose drop-down shows what was typed, where it would show a list worked out from it."""
    if not isinstance(column.choices, str) or not column.choices:
        return column
    table = BY_KEY[column.choices.partition(".")[0]]
    return (column if table.is_typed or table.rows == "given"
            else replace(column, choices=ALIASES[column.choices]))


def _as_typed(value: object, column: Column) -> str:
    if isinstance(value, dt.time):
        return value.strftime("%H:%M")
    if column.quantity == "share" and isinstance(value, (int, float)):
        return f"{value * 100:g} %"
    return f"{value:g}" if isinstance(value, float) else str(value)
