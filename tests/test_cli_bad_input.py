"""Bad input gets a clear problem with its place and exit code 1: no traceback, no file."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from cli_help import METRIC, change_rows, copied, run, set_cell
from conftest import shipped_inputs

from workbook_builder.build import read_and_check
from workbook_builder.check import errors_in

Spoil = Callable[[Path], object]


def drop_column(table: str, column: str) -> Spoil:
    """Return what takes a column out of a table."""
    return lambda farm: change_rows(farm, table, lambda rows: [row.pop(column) for row in rows])


def put(table: str, column: str, text: str, row: int = 0) -> Spoil:
    """Return what puts text into one cell."""
    return lambda farm: set_cell(farm, table, row, column, text)


def twice(table: str) -> Spoil:
    """Return what repeats the first row of a table."""
    return lambda farm: change_rows(farm, table, lambda rows: rows.append(rows[0]))


def emptied(table: str) -> Spoil:
    """Return what leaves a table its header only."""

    def spoil(farm: Path) -> None:
        path = farm / f"{table}.csv"
        path.write_text(path.read_text().splitlines()[0] + "\n")

    return spoil


def without_density(farm: Path) -> None:
    """A product sold by volume is given by weight and has no density."""
    change_rows(farm, "products", lambda rows: rows[0].update(density="", package_unit="L"))
    product = (farm / "products.csv").read_text().splitlines()[1].split(",")[0].strip('"')
    change_rows(farm, "mixes", lambda rows: [row.update(rate="1", rate_unit="kg/ha") for row in rows
                                             if row["product"] == product])


#: What is wrong, how to make it so, and words that the message must hold.
CASES: dict[str, tuple[Spoil, tuple[str, ...]]] = {
    "missing table": (lambda farm: (farm / "products.csv").unlink(), ("Products", "missing")),
    "missing column": (drop_column("fields", "area"), ("fields.csv", "Area", "missing")),
    "misspelt column": (
        lambda farm: (farm / "fields.csv").write_text((farm / "fields.csv").read_text().replace(
            "area", "aera", 1)),
        ("fields.csv", "Is it the column 'aera'?"),
    ),
    "duplicate field": (twice("fields"), ("fields.csv", "row")),
    "duplicate product": (twice("products"), ("products.csv", "row")),
    "duplicate pass": (twice("passes"), ("passes.csv", "row")),
    "negative number": (put("fields", "area", "-5"), ("fields.csv", "row 2", "column area")),
    "absurd number": (put("fields", "area", "1e12"), ("fields.csv", "row 2", "column area")),
    "text in a number cell": (put("fields", "area", "forty"),
                              ("fields.csv", "row 2", "column area", "number")),
    "not a number at all": (put("fields", "area", "nan"), ("fields.csv", "row 2", "column area")),
    "date as text": (put("passes", "date", "some time in May"),
                     ("passes.csv", "row 2", "column date", "date")),
    "impossible date": (put("passes", "date", "2026-02-30"), ("passes.csv", "row 2", "column date")),
    "blank required cell": (put("passes", "carrier", ""), ("passes.csv", "row 2", "column carrier")),
    "unknown unit": (put("mixes", "rate_unit", "buckets/ha"), ("mixes.csv", "row 2", "column rate_unit")),
    "unknown product": (put("mixes", "product", "Nothing Known"), ("mixes.csv", "row 2", "column product")),
    "unknown mix": (put("passes", "mix", "No such mix"), ("passes.csv", "row 2", "column mix")),
    "unknown field": (put("passes", "field", "Nowhere"), ("passes.csv", "row 2", "column field")),
    "unknown sprayer": (put("passes", "sprayer", "Nobody's boom"), ("passes.csv", "row 2", "column sprayer")),
    "unknown group": (put("ingredients", "mode_group", "77"),
                      ("ingredients.csv", "row 2", "column mode_group")),
    "empty table": (emptied("passes"), ("passes.csv", "no rows")),
    "table without a header": (lambda farm: (farm / "fields.csv").write_text("1,2,3\n4,5,6\n"),
                               ("fields.csv", "header")),
    "quote that never closes": (
        lambda farm: (farm / "fields.csv").write_text((farm / "fields.csv").read_text() + '"open'),
        ("fields.csv",),
    ),
    "bytes that are no text": (lambda farm: (farm / "fields.csv").write_bytes(b"\x00\x01\x02" * 99),
                               ("fields.csv",)),
}


@pytest.mark.parametrize("command", ["build", "check"])
@pytest.mark.parametrize("name", CASES)
def test_bad_input_is_named_with_its_place(tmp_path: Path, name: str, command: str) -> None:
    """Every kind of bad data is told with file, row and column, ends with 1 and leaves no file."""
    spoil, words = CASES[name]
    farm, target = copied(tmp_path), tmp_path / "out.xlsx"
    spoil(farm)

    outcome = run(command, farm, *(("-o", target) if command == "build" else ()))

    assert outcome.exit_code == 1
    assert not target.exists()
    assert [path.name for path in tmp_path.iterdir()] == ["farm"]
    told = " ".join(outcome.stderr.split())
    assert [word for word in words if word not in told] == [], told


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("text.xlsx", b"just words"), ("empty.xlsx", b""), ("cut.xlsx", b"PK\x03\x04" + b"\0" * 50),
        ("old.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600), ("one.csv", b"field,area\nA,1\n"),
        ("picture.png", b"\x89PNG\r\n\x1a\n"),
    ],
)
@pytest.mark.parametrize("command", ["build", "check", "verify"])
def test_no_workbook(tmp_path: Path, name: str, content: bytes, command: str) -> None:
    """A file that is no workbook is named, and nothing is written."""
    source, target = tmp_path / name, tmp_path / "out.xlsx"
    source.write_bytes(content)

    outcome = run(command, source, *(("-o", target) if command == "build" else ()))

    assert outcome.exit_code == 1
    assert name in outcome.stderr or f"'{name}'" in outcome.stderr
    assert not target.exists()


def test_missing_source(tmp_path: Path) -> None:
    """A path that is not there is one problem, not a list of missing tables."""
    outcome = run("build", tmp_path / "nowhere", "-o", tmp_path / "out.xlsx")

    assert outcome.exit_code == 1
    assert outcome.stderr.startswith("1 error")
    assert "Check the spelling of the path" in outcome.stderr


def test_empty_folder(tmp_path: Path) -> None:
    """A folder without CSV files is told what to put into it."""
    outcome = run("check", tmp_path)

    assert outcome.exit_code == 1
    assert "fields.csv" in outcome.stderr


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may read everything")
def test_unreadable_file(tmp_path: Path) -> None:
    """A file nobody may read is named with the reason."""
    farm = copied(tmp_path)
    (farm / "fields.csv").chmod(0)

    outcome = run("check", farm)

    assert outcome.exit_code == 1
    assert "fields.csv" in outcome.stderr


def semicolons(farm: Path) -> None:
    """Every table with semicolons, in Windows Latin, with a name that needs it."""
    set_cell(farm, "fields", 0, "notes", "Grünland am Bach")
    for path in farm.glob("*.csv"):
        rows = list(csv.reader(io.StringIO(path.read_text())))
        with path.open("w", newline="", encoding="cp1252") as file:
            csv.writer(file, delimiter=";").writerows(rows)


def formula_like(farm: Path) -> None:
    """A note that begins like a formula."""
    set_cell(farm, "fields", 0, "notes", "=1+1")


@pytest.mark.parametrize("spoil", [semicolons, formula_like])
def test_unusual_input_is_read(tmp_path: Path, spoil: Spoil) -> None:
    """Semicolons, another encoding and text that begins like a formula are read."""
    farm = copied(tmp_path, METRIC)
    spoil(farm)
    read, problems = read_and_check(farm)

    assert errors_in(problems) == []
    assert read.rows("fields")[0]["notes"] == {semicolons: "Grünland am Bach", formula_like: "=1+1"}[spoil]
    plain = shipped_inputs("demo_metric")[0].tables
    assert ({key: [{**row, "notes": None} for row in rows] for key, rows in read.tables.items()}
            == {key: [{**row, "notes": None} for row in rows] for key, rows in plain.items()})


def test_a_weight_without_density_is_warned_of_and_not_entered(tmp_path: Path) -> None:
    """A liquid rated by weight without a density is named at its place, and the plan says Not entered,
    not OK.
    """
    farm = copied(tmp_path)
    without_density(farm)

    outcome = run("check", farm)

    assert outcome.exit_code == 0
    assert "mixes.csv" in outcome.stderr
    assert "density" in outcome.stderr
    assert "Not entered" in outcome.stdout
