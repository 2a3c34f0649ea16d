"""The text of the shipped demo farms, table by table."""

from __future__ import annotations

import csv
from importlib import resources

from workbook_builder.features import TYPED_TABLES
from workbook_builder.features.farm.columns import FARM_TABLES
from workbook_builder.features.products.inputs import PRODUCT_TABLES
from workbook_builder.features.shares.inputs import SPOT_INPUTS
from workbook_builder.features.weeds.inputs import AGRONOMY_INPUTS

FARMS = ("demo", "demo_metric")
TABLES = {table.key: table for table in (*FARM_TABLES, *PRODUCT_TABLES, *AGRONOMY_INPUTS, *SPOT_INPUTS)}
Line = dict[str, str]
Farm = dict[str, list[Line]]


def load(folder: str) -> Farm:
    """Return the lines of every table of one demo farm."""
    place = resources.files("workbook_builder").joinpath("data", folder)
    files = {table.key: place.joinpath(table.file_name) for table in TYPED_TABLES}
    return {key: list(csv.DictReader(file.read_text("utf-8").splitlines())) for key, file in files.items() if file.is_file()}


def herbicides(farm: Farm) -> set[str]:
    """Return the names of the products that are herbicides."""
    return {line["product"] for line in farm["products"] if line["kind"] == "herbicide"}
