"""Workbooks as earlier releases wrote them: they read with every typed cell, and build.

Each is kept in `tests/earlier_formats`, its parts unpacked and packed again as one, beside the
values that were typed into it.
"""

from __future__ import annotations

import json
import lzma
import re
from pathlib import Path
from typing import Any

import pytest

from workbook_builder.build import build_inputs, checked, read_inputs
from workbook_builder.check import errors_in
from workbook_builder.commands.earlier import Earlier
from workbook_builder.core.own import own_sheets
from workbook_builder.features import BY_KEY, TABLES
from workbook_builder.file_format import CUSTOM_PART, FORMAT
from workbook_builder.finish.package import pack
from workbook_builder.finish.parts import WORKBOOK_PART, read_parts
from workbook_builder.planning import make_plan
from workbook_builder.read.headers import column_named

KEPT = sorted((Path(__file__).parent / "earlier_formats").glob("*.xlsx.xz"))
#: Built and checked in every run, as that of today's format is read in every run; the others are left to the
#: long run.
EVERY_RUN = "1_built_metric"
#: Built workbooks of format 1 are those of the shipped farms; later ones are of a small farm.
SMALL = re.compile(r"(?!1_)\d+_built")


def unpacked(kept: Path, folder: Path) -> Path:
    """Return the workbook as a file of its own."""
    path = folder / kept.name.removesuffix(".xz")
    path.write_bytes(lzma.decompress(kept.read_bytes()))
    return path


def typed_into(kept: Path) -> dict[str, list[dict[str, Any]]]:
    """Return what was typed into the workbook: table -> rows, dates and times as text."""
    rows: dict[str,
               list[dict[str, Any]]] = json.loads(lzma.decompress(kept.with_name(
                   kept.name.replace(".xlsx", ".json")).read_bytes()))
    return rows


def each(kind: str) -> list[Any]:
    """Return the kept workbooks of a kind as cases, large ones but the first for the long run alone."""
    return [
        pytest.param(path, id=path.name, marks=[pytest.mark.nightly] if "_built_" in path.name
                     and EVERY_RUN not in path.name and (kind or not path.name.startswith(str(FORMAT)))
                     else [])
        for path in KEPT if kind in path.name
    ]


def as_text(value: Any) -> Any:
    """Return dates and times as the kept values hold them."""
    return value.isoformat() if hasattr(value, "isoformat") else value


def test_built_and_input_workbooks_of_both_systems_are_kept() -> None:
    """A built workbook and one to type into are kept, in US and in metric units."""
    assert ({path.name.partition(".")[0] for path in KEPT}
            >= {"1_built_us", "1_built_metric", "1_input_us", "1_input_metric"})
    assert {f"{FORMAT}_built_us", f"{FORMAT}_input_metric"} <= {path.name.partition(".")[0] for path in KEPT}


@pytest.mark.parametrize(("name", "said"),
                         [("1_built_metric", [f"Read: written by format 1; read as {FORMAT}."]),
                          (f"{FORMAT}_input_metric", [])])
def test_build_says_which_format_was_read(name: str, said: list[str], tmp_path: Path) -> None:
    """`build` names the format of a source that was written in another than today's."""
    assert Earlier(unpacked(KEPT[0].with_name(f"{name}.xlsx.xz"), tmp_path)).format_line() == said


def test_a_sheet_the_program_wrote_is_never_taken_for_the_users_own(tmp_path: Path) -> None:
    """A result sheet whose title nobody knows any longer is passed over, since the file says who wrote it.

    One the user made is carried along.
    """
    parts = read_parts(unpacked(KEPT[0].with_name(f"{FORMAT}_input_metric.xlsx.xz"), tmp_path).read_bytes())
    for part in (WORKBOOK_PART, CUSTOM_PART):
        assert b"Start here" in parts[part]
        parts[part] = parts[part].replace(b"Start here", b"Once upon a time")
    (tmp_path / "renamed.xlsx").write_bytes(pack(parts))
    assert read_inputs(tmp_path / "renamed.xlsx")[0].extras == {}

    parts[CUSTOM_PART] = parts[CUSTOM_PART].replace(b"Once upon a time", b"Another")
    (tmp_path / "own.xlsx").write_bytes(pack(parts))
    assert list(own_sheets(read_inputs(tmp_path / "own.xlsx")[0].extras)) == ["Once upon a time"]


@pytest.mark.parametrize("kept", each(""))
def test_an_earlier_workbook_reads_with_every_typed_cell(kept: Path, tmp_path: Path) -> None:
    """Every typed cell of an earlier workbook is read under its key of today,
    and nothing in it is taken for the user's own.
    """
    inputs, problems = read_inputs(unpacked(kept, tmp_path))
    wanted = typed_into(kept)
    found = {key: [{name: as_text(value) for name, value in row.items() if value is not None}
                   for row in inputs.rows(key)] for key in wanted}

    assert (sum(len(row) for rows in wanted.values() for row in rows)
            > (200 if SMALL.match(kept.name) else 500))
    assert found == wanted
    assert problems == []
    assert inputs.extras == {}


@pytest.mark.parametrize("kept", each("_built_"))
def test_an_earlier_workbook_builds_with_the_figures_it_showed(kept: Path, tmp_path: Path) -> None:
    """An earlier workbook builds, and its first sheet is still found and read."""
    path = unpacked(kept, tmp_path)
    inputs, problems = checked(*read_inputs(path))
    built = build_inputs(inputs, problems)

    assert errors_in(problems) == []
    assert built.data[:2] == b"PK"
    assert (set(Earlier(path).figures() or {}) >= {"not_allowed", "not_entered", "look", "open", "passes",
                                                   "total_cost"})


@pytest.mark.parametrize("kept", each("_input_"))
def test_an_earlier_input_workbook_plans(kept: Path, tmp_path: Path) -> None:
    """A workbook that was typed into under earlier headers checks and plans."""
    inputs, problems = checked(*read_inputs(unpacked(kept, tmp_path)))

    assert errors_in(problems) == []
    assert make_plan(inputs).tables["glance"][0]["passes"] > 0


def test_headers_are_known_by_key_title_and_earlier_title_with_and_without_unit() -> None:
    """A header is found under its key, its title of either system, and every earlier title.

    A question mark may be left out.
    """
    classes, limits = BY_KEY["pressure_classes"], BY_KEY["label_limits"]

    for header in ("evidence_area", "Acres behind this number", "Hectares behind this number",
                   "Evidence area", "Evidence area (ha)", "EVIDENCE AREA *"):
        assert column_named(header, classes) is classes.by_key["evidence_area"]
    for header in ("OK over growing crop", "OK over growing crop?", "Over the standing crop"):
        assert column_named(header, limits) is limits.by_key["over_crop"]
    assert column_named("Evidence", classes) is None


def test_no_earlier_title_is_the_title_of_another_column_of_its_table() -> None:
    """An earlier title leads to one column only, so no cell can be read under the wrong header."""
    for table in TABLES:
        titles = [title.casefold() for column in table.columns for title in (column.header, *column.was)
                  if column.typed]
        assert len(titles) == len(set(titles)), table.key


def test_files_of_a_folder_are_found_under_earlier_names(tmp_path: Path) -> None:
    """A CSV file is found under the key of its table, the name of its tab and an earlier name of the tab."""
    (tmp_path / "fields.csv").write_text("field,area\nHome,80\n")
    for name in ("conditions.csv", "weather_readings.csv", "Readings.csv"):
        (tmp_path / name).write_text("pass,field,date,time,wind\nFirst,Home,2026-05-01,08:00,6\n")
        inputs, _ = read_inputs(tmp_path)
        assert [row["wind"] for row in inputs.rows("conditions")] == [6], name
        (tmp_path / name).unlink()
