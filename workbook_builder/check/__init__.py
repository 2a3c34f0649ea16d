"""Checking the inputs of a farm before anything is planned."""

from __future__ import annotations

from collections.abc import Sequence

from workbook_builder.check.names import REQUIRED_TABLES, check_duplicates, check_names, check_required
from workbook_builder.check.passes import check_passes, spread_passes
from workbook_builder.check.problem_codes import PROBLEM_CODES
from workbook_builder.check.problems import (
    Place,
    PlacedRows,
    Problem,
    ProblemsFound,
    Shelf,
    errors_in,
    nearest,
)
from workbook_builder.check.products import check_products, check_weeds
from workbook_builder.check.records import check_records
from workbook_builder.check.season import check_clock_times, check_season
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs

__all__ = [
    "PROBLEM_CODES", "REQUIRED_TABLES", "Place", "PlacedRows", "Problem", "ProblemsFound",
    "check_inputs", "errors_in", "nearest", "spread_passes",
]


def check_inputs(inputs: Inputs, tables: Sequence[Table]) -> tuple[Inputs, list[Problem]]:
    """Check the inputs of one farm: references, duplicates, and what no farm could mean.

    Parameters
    ----------
    inputs : Inputs
        As read; cells that could not be read are None and pass.
    tables : sequence of Table
        The typed tables.

    Returns
    -------
    (inputs, problems) : tuple
        New inputs with every name in one spelling, and all problems, of each kind in the
        order of the tables and their rows.
    """
    problems = check_required(inputs, tables)
    checked, found = check_names(inputs, tables)
    # A name typed twice is told before the rows that lack the name it should have been.
    problems += check_duplicates(checked, tables)
    problems += found
    shelf = Shelf(checked, {table.key: table for table in tables})
    for check in (check_products, check_passes, check_season, check_records, check_clock_times, check_weeds):
        problems += check(shelf)
    return checked, problems
