"""What the tests of the command line share."""

from __future__ import annotations

import csv
import pickle
import shutil
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from farms_strategy import spare_rows
from openpyxl import Workbook
from typer.testing import CliRunner

from workbook_builder import build
from workbook_builder.build import Built, build_inputs
from workbook_builder.cli import app
from workbook_builder.core.inputs import Inputs

DEMO = Path(__file__).parents[1] / "workbook_builder" / "data" / "demo"
METRIC = DEMO.with_name("demo_metric")
#: Two fields and three passes, invented: what commands do with files can be seen on it as well.
SMALL = Path(__file__).with_name("small_metric_farm")


@lru_cache(6)
def _built(asked: bytes) -> Built:
    inputs, rest, options = pickle.loads(asked)
    return build_inputs(inputs, *rest, **options)


def _build_once(inputs: Inputs, *rest: Any, **options: Any) -> Built:
    """Stand in for the build where the very same was built before:
    that the same inputs give the same bytes is tested elsewhere.
    """
    return _built(pickle.dumps((inputs, rest, options)))


def run(*arguments: object) -> Any:
    """Run the program in this process and return exit code, stdout and stderr."""
    # Few spare rows: what the commands do does not hang on how many, and each build takes half as long.
    with spare_rows(3), pytest.MonkeyPatch.context() as patch:
        if build.build_inputs is build_inputs:
            patch.setattr(build, "build_inputs", _build_once)
        outcome = CliRunner().invoke(app, [str(argument) for argument in arguments])
    assert outcome.exception is None or isinstance(outcome.exception, SystemExit), outcome.exception
    assert "Traceback" not in outcome.output
    return outcome


def copied(folder: Path, source: Path = METRIC) -> Path:
    """Return a copy of a shipped farm that may be changed."""
    target = folder / "farm"
    shutil.copytree(source, target)
    return target


def as_book(source: Path, target: Path) -> Path:
    """Write a folder of CSV tables as a plain workbook, a sheet a table."""
    book = Workbook()
    book.remove(book.active)
    for path in sorted(source.glob("*.csv")):
        sheet = book.create_sheet(path.stem)
        with path.open(newline="") as file:
            for row in csv.reader(file):
                sheet.append(row)
    book.save(target)
    return target


def change_rows(folder: Path, table: str, change: Callable[[list[dict[str, str]]], Any]) -> None:
    """Read a CSV table, let `change` edit its rows in place, and write it again."""
    path = folder / f"{table}.csv"
    with path.open(newline="") as file:
        reader = csv.DictReader(file)
        rows, headers = list(reader), list(reader.fieldnames or [])
    change(rows)
    headers = [header for header in headers if not rows or header in rows[0]]
    with path.open("w", newline="") as file:
        writer = csv.DictWriter(file, headers)
        writer.writeheader()
        writer.writerows(rows)


def set_cell(folder: Path, table: str, row: int, column: str, text: str) -> None:
    """Put text into one cell of a CSV table (row counted from 0)."""

    def change(rows: list[dict[str, str]]) -> None:
        rows[row][column] = text

    change_rows(folder, table, change)
