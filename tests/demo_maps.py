"""The maps of the shipped farms as their tables: ``python -m tests.demo_maps`` maps the simulated logs and
writes them.
"""

from __future__ import annotations

import csv
import io
import tempfile
from decimal import Decimal
from importlib import resources
from pathlib import Path

from workbook_builder.commands.map_logs import Wanted, mapped
from workbook_builder.features import BY_KEY
from workbook_builder.features.spray_map.inputs import OF_A_LOG
from workbook_builder.maps.demo import BOUNDARIES, LAYERS, PASSES, demo_map_files

FOLDERS = {"us": "demo", "metric": "demo_metric"}
#: Tables that the command writes; those without a row get no file.
WRITTEN = (*OF_A_LOG, "map_recurrence")


def demo_maps(units: str) -> dict[str, str]:
    """Return file name -> CSV of the maps of one shipped farm."""
    with tempfile.TemporaryDirectory() as name, resources.as_file(resources.files("workbook_builder") / "data"
                                                                  / FOLDERS[units]) as book:
        folder = Path(name)
        for file, data in demo_map_files(units).items():
            (folder / file).write_bytes(data)
        logs = tuple(folder / each.file for each in PASSES[units])
        inputs = mapped(Wanted(logs, folder / BOUNDARIES, (folder / LAYERS,)), book).told.plan.inputs
    return {BY_KEY[table].file_name: as_csv(table, list(inputs.rows(table))) for table in WRITTEN
            if inputs.rows(table)}


def as_csv(table: str, rows: list[dict[str, object]]) -> str:
    """Return rows of a typed table as CSV under its keys."""
    held = io.StringIO()
    writer = csv.DictWriter(held, [column.key for column in BY_KEY[table].columns], lineterminator="\n")
    writer.writeheader()
    # No power of ten, which few people read.
    writer.writerows({key: format(Decimal(repr(value)), "f") if isinstance(value, float) else value
                      for key, value in row.items()} for row in rows)
    return held.getvalue()


if __name__ == "__main__":
    for units, shipped in FOLDERS.items():
        for file, text in demo_maps(units).items():
            (Path(__file__).parents[1] / "workbook_builder" / "data" / shipped
             / file).write_text(text, "utf-8")
