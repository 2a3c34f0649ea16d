"""Tables and columns that every plan needs."""

from __future__ import annotations

from collections.abc import Sequence

from workbook_builder.check.places import place_of, where
from workbook_builder.check.problems import Problem
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs

#: Tables without which there is nothing to plan.
REQUIRED_TABLES = ("farm", "fields", "products", "mixes", "sprayers", "passes")


def check_required(inputs: Inputs, tables: Sequence[Table]) -> list[Problem]:
    """Return a problem for each required table without rows and each required column nobody filled.

    A table that reading already reported as missing is passed over.
    """
    problems = []
    for table in tables:
        if place_of(inputs, table).missing:
            continue
        rows = [row for _, row in inputs.filled(table.key)]
        if rows:
            problems += _missing_columns(inputs, table)
        elif table.key in REQUIRED_TABLES:
            problems.append(_empty(inputs, table))
    return problems


def _empty(inputs: Inputs, table: Table) -> Problem:
    place = where(inputs, table)
    if table.key not in inputs.tables:
        return Problem("missing-table", f"the table {table.title} is missing", file=place["file"])
    message = f"the table {table.title} has no rows"
    return Problem("empty-table", message, place["file"], place["sheet"], fix="Fill in at least one row")


def _missing_columns(inputs: Inputs, table: Table) -> list[Problem]:
    rows = [row for _, row in inputs.filled(table.key)]
    return [
        Problem("missing-column", f"the column {column.header} is missing", **where(inputs, table, key=column.key))
        for column in table.columns
        if column.typed and column.required and not any(column.key in row for row in rows)
    ]
