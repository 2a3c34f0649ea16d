"""The farm that the tutorial has people type, as tables."""

from __future__ import annotations

import csv
import re
from pathlib import Path

TUTORIAL = Path(__file__).parents[1] / "docs" / "tutorial.md"
TABLE = re.compile(r"^\*\*([\w -]+)\*\*:.*\n\n((?:\|.*\n)+)", re.MULTILINE)


def typed_rows() -> dict[str, list[list[str]]]:
    """Return sheet title -> header and rows, as they stand in the tutorial."""
    found = {}
    for title, block in TABLE.findall(TUTORIAL.read_text("utf-8")):
        lines = [[cell.strip() for cell in line.strip("|").split("|")] for line in block.splitlines()]
        found[title] = [lines[0], *lines[2:]]
    return found


def write_farm(folder: Path) -> Path:
    """Write the farm of the tutorial as a folder of CSV files."""
    folder.mkdir()
    for title, rows in typed_rows().items():
        with (folder / f"{title.lower().replace('-', '_').replace(' ', '_')}.csv").open(
            "w", newline="") as file:
            csv.writer(file).writerows(rows)
    return folder
