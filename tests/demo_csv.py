"""The text of the shipped demo farms, table by table."""

from __future__ import annotations

import csv
from importlib import resources

from workbook_builder.features import TYPED_TABLES
from workbook_builder.features.names import declared

FARMS = ("demo", "demo_metric")
#: What every demo farm fills.
FILLED = ("farm", "products", "weeds", "water", "nozzles", "shares")
TABLES = {table.key: table for table in declared("columns", "TABLES", FILLED) if table.kind == "input"}
Line = dict[str, str]
Farm = dict[str, list[Line]]


def load(folder: str) -> Farm:
    """Return the lines of every table of one demo farm."""
    place = resources.files("workbook_builder").joinpath("data", folder)
    files = {table.key: place.joinpath(table.file_name) for table in TYPED_TABLES}
    return {key: list(csv.DictReader(file.read_text("utf-8").splitlines())) for key, file in files.items()
            if file.is_file()}


def herbicides(farm: Farm) -> set[str]:
    """Return the names of the products that are herbicides."""
    return {line["product"] for line in farm["products"] if line["kind"] == "herbicide"}
