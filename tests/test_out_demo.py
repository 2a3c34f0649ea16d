"""The demo kept in the repository is what the code makes today."""

from __future__ import annotations

from pathlib import Path

import pytest

from workbook_builder.build import Built
from workbook_builder.commands.demo_files import WORKBOOK, demo_files
from workbook_builder.finish.parts import read_parts

OUT_DEMO = Path(__file__).parents[1] / "out_demo"
REMEDY = "run: workbook-builder demo out_demo --replace"


@pytest.fixture(scope="module")
def files(demo: Built) -> dict[str, bytes]:
    """The demo's files as the code makes them now, its workbook built once for all tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("workbook_builder.build.build_source", lambda _source: demo)
        return demo_files("us")


def test_demo_files_are_the_ones_kept(files: dict[str, bytes]) -> None:
    """The same files, no more and no fewer, pictures aside."""
    kept = {path.relative_to(OUT_DEMO).as_posix() for path in OUT_DEMO.rglob("*") if path.is_file()}

    assert {name for name in kept if not name.startswith("pictures/")} == set(files), REMEDY


def test_demo_texts_are_up_to_date(files: dict[str, bytes]) -> None:
    """Inputs and JSON are the same to the byte."""
    stale = [name for name, data in files.items() if name != WORKBOOK and not name.endswith(".xlsx")
             and (OUT_DEMO / name).read_bytes() != data]

    assert stale == [], REMEDY


def test_demo_workbook_is_up_to_date(files: dict[str, bytes]) -> None:
    """Every part of every workbook is the same to the byte, however it is compressed."""
    for name in (name for name in files if name.endswith(".xlsx")):
        made, kept = read_parts(files[name]), read_parts((OUT_DEMO / name).read_bytes())
        stale = [part for part in sorted({*made, *kept}) if made.get(part) != kept.get(part)]
        assert stale == [], f"{name}: {REMEDY}"
