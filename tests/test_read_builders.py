"""Small builders that the tests of reading and checking share: one invented farm, as CSV files or a workbook.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from copy import deepcopy
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from workbook_builder.check import Problem
from workbook_builder.core.columns import Table
from workbook_builder.features.names import declared

TABLES: tuple[Table, ...] = tuple(table for table in declared("columns", "TABLES", ("farm", "products"))
                                  if table.is_typed)
BY_KEY = {table.key: table for table in TABLES}

Grid = list[list[Any]]

#: One sound farm: table key -> header row of keys, then rows of text.
FARM: dict[str, Grid] = {
    "farm": [["farm", "season", "units"], ["North Bench", "2026", "us"]],
    "fields": [
        ["field", "area", "crop", "planting_date", "harvest_date", "next_crop", "next_planting_date"],
        ["Bench", "80.5", "sunflower", "2026-05-20", "2026-09-25", "winter wheat", "2026-10-05"],
        ["Creek", "120", "fallow", "", "", "", ""],
    ],
    "products": [
        ["product", "kind", "formulation", "package_size", "package_unit", "package_price", "density"],
        ["Test Burner", "herbicide", "SL", "2.5", "gal", "62.5", ""],
        ["Test Granule", "herbicide", "WG", "20", "oz", "140", ""],
        ["Test Wetter", "adjuvant", "SL", "1", "gal", "28", ""],
    ],
    "ingredients": [
        ["product", "active_ingredient", "mode_group", "content", "content_unit"],
        ["Test Burner", "glyphosate", "9", "4.5", "lb ae/gal"],
        ["Test Granule", "tribenuron-methyl", "2", "50", "% w/w"],
    ],
    "label_limits": [
        ["product", "crop", "max_rate", "max_rate_season", "rate_unit", "phi_days"],
        ["Test Burner", "any", "44", "120", "fl oz/ac", "7"],
    ],
    "plant_back": [["product", "next_crop", "interval", "interval_unit"],
                   ["Test Granule", "winter wheat", "2", "months"]],
    "ingredient_limits": [
        ["active_ingredient", "crop", "max_pass", "max_season", "unit"],
        ["glyphosate", "", "1.5", "6", "lb ae/ac"],
    ],
    "mixes": [
        ["mix", "product", "rate", "rate_unit"], ["Burndown", "Test Burner", "32", "fl oz/ac"],
        ["Burndown", "Test Granule", "0.3", "oz/ac"], ["Burndown", "Test Wetter", "0.25", "% v/v"],
    ],
    "sprayers": [["sprayer", "main_tank", "spot_tank", "unusable_volume"], ["Big Boom", "1200", "300", "10"]],
    "passes": [
        ["pass", "field", "mix", "method", "date", "start_time", "carrier", "sprayed_share", "sprayer"],
        ["P1", "Bench", "Burndown", "broadcast", "2026-05-14", "07:30", "10", "", "Big Boom"],
        ["P2", "Creek", "Burndown", "spot", "2026-06-20", "", "15", "30 %", "Big Boom"],
    ],
    "past_use": [["field", "season", "mode_group", "uses"], ["Bench", "2025", "9", "2"]],
}


def farm(**changes: Grid) -> dict[str, Grid]:
    """Return a fresh copy of the sound farm with some tables replaced."""
    return {**deepcopy(FARM), **changes}


def changed(table: str, row: int, column: str, value: Any) -> dict[str, Grid]:
    """Return the sound farm with one cell changed; `row` counts from 1 and the header is row 1."""
    tables = farm()
    header = tables[table][0]
    if column not in header:
        header.append(column)
    line = tables[table][row - 1]
    line.extend([""] * (len(header) - len(line)))
    line[header.index(column)] = value
    return tables


def write_folder(folder: Path, tables: dict[str, Grid], delimiter: str = ",",
                 encoding: str = "utf-8") -> Path:
    """Write tables as CSV files and return the folder."""
    folder.mkdir(exist_ok=True)
    for key, rows in tables.items():
        text = io.StringIO()
        csv.writer(text, delimiter=delimiter).writerows(rows)
        (folder / f"{key}.csv").write_bytes(text.getvalue().encode(encoding))
    return folder


def write_book(path: Path, tables: dict[str, Grid], titled: bool = True) -> Path:
    """Write tables the way the product lays out its sheets and return the path."""
    book = Workbook()
    book.remove(book.active)
    for key, rows in tables.items():
        table = BY_KEY[key]
        sheet = book.create_sheet(table.title if titled else key)
        sheet.append([table.title])
        sheet.append([table.about])
        sheet.append([])
        headers = [table.by_key[key].header if key in table.by_key else key for key in rows[0]]
        for row in [headers, *rows[1:]] if not table.is_form else zip(headers, rows[1], strict=True):
            sheet.append([None if value == "" else value for value in row])
    book.save(path)
    return path


def said(problems: Sequence[Problem]) -> list[tuple[str, int | None, str]]:
    """Return code, row and column of each problem."""
    return [(problem.code, problem.row, problem.column) for problem in problems]


def codes(problems: Sequence[Problem]) -> list[str]:
    """Return the codes of problems."""
    return [problem.code for problem in problems]
