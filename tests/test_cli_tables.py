"""``build --tables``: every result as a CSV file."""

from __future__ import annotations

import csv
from pathlib import Path

import pandas as pd
import pytest
from cli_help import DEMO, SMALL, run

from workbook_builder import plan
from workbook_builder.frames import result_tables


@pytest.fixture(scope="module")
def tables(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The tables of a small farm."""
    folder = tmp_path_factory.mktemp("farm")
    assert run("build", SMALL, "-o", folder / "farm.xlsx", "--tables", folder / "tables").exit_code == 0
    return folder / "tables"


def test_every_result_is_a_csv_file(tables: Path) -> None:
    """Each result table stands in a file named after its key; its costs add up to what the plan says."""
    assert {path.stem for path in tables.iterdir()} == {table.key for table in result_tables()}
    costs = pd.read_csv(tables / "cost_passes.csv")
    assert costs["total_cost"].sum() == pytest.approx(plan(SMALL).frame("cost_passes")["total_cost"].sum())


def test_dates_are_written_alike_everywhere(tables: Path) -> None:
    """A date stands as year, month and day, which every program and country reads alike."""
    with (tables / "intervals.csv").open(newline="") as file:
        found = [row["earliest_harvest"] for row in csv.DictReader(file) if row["earliest_harvest"]]

    assert found
    assert all(pd.Timestamp(day).strftime("%Y-%m-%d") == day for day in found)


@pytest.mark.parametrize("target", ["file.txt", "no/such/folder", "full"])
def test_strange_folders_are_left_alone(target: str, tmp_path: Path) -> None:
    """A file, a folder in no folder and a folder of other things are refused before anything is built."""
    (tmp_path / "file.txt").write_text("mine")
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "photo.jpg").write_bytes(b"mine")

    outcome = run("build", SMALL, "-o", tmp_path / "farm.xlsx", "--tables", tmp_path / target)

    assert outcome.exit_code == 2
    assert not (tmp_path / "farm.xlsx").exists()


def test_tables_go_with_one_source(tmp_path: Path) -> None:
    """Several sources at once have no tables, and the message says what to do."""
    outcome = run("build", SMALL, DEMO, "-o", tmp_path, "--tables", tmp_path / "tables")

    assert outcome.exit_code == 2
    assert "one source" in outcome.stderr
