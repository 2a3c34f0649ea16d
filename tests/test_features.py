"""A feature is a folder: take one away with its word in the list, and the rest works and documents itself."""

from __future__ import annotations

import os
import pickle
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from small_farm import small_farm

from workbook_builder.features import BY_KEY
from workbook_builder.features.names import NAMES
from workbook_builder.features.tabs import TABS
from workbook_builder.planning import make_plan

ROOT = Path(__file__).parents[1]
#: Tables that list what the other features hold.
LISTS = {"contents", "room", "all_checks", "check_list", "causes", "to_fix", "pass_open", "points_found",
         "open_points", "glance", "load_sheet", "pass_events", "pass_ahead", "ahead", "coming_from"}
WITHOUT = """
import io, pickle, sys
from pathlib import Path
sys.path.insert(0, "tests")
import workbook_builder
assert Path(workbook_builder.__file__).is_relative_to(Path.cwd())
from openpyxl import load_workbook
from small_farm import small_farm
from workbook_builder.build import build_inputs
from workbook_builder.docs_reference import pages
from workbook_builder.export.json_text import plan_as_json
from workbook_builder.planning import make_plan
built = build_inputs(small_farm())
sheets = load_workbook(io.BytesIO(built.data)).sheetnames
told = "".join(pages().values()) + plan_as_json(built.plan)
rows_of = {key: [dict(row) for row in rows] for key, rows in built.plan.tables.items()}
Path("left.pickle").write_bytes(pickle.dumps((rows_of, sheets, told)))
"""


@pytest.mark.parametrize("names",
                         ["two_tanks", *(pytest.param(name, marks=pytest.mark.nightly)
                                         for name in ("jar", "runoff", "nozzles buffers", "pollinators",
                                                      "soil_rates", "label_depth"))])
def test_a_feature_can_be_taken_away(names: str, tmp_path: Path) -> None:
    """Without its folder and its word, and those of what leans on it, the rest builds the same numbers,
    and nothing speaks of it any more.
    """
    tables, sheets, told = without(names.split(), tmp_path)
    whole = make_plan(small_farm()).tables
    gone = whole.keys() - tables.keys()

    assert gone
    assert {key for key in tables.keys() - LISTS if [dict(row) for row in whole[key]] != tables[key]} == set()
    assert not ({BY_KEY[key].sheet_title for key in gone} - {BY_KEY[key].sheet_title for key in tables}
                - {tab.title for tab in TABS}) & set(sheets)
    assert [key for key in gone if f"`{key}`" in told or f'"{key}":' in told] == []


def without(gone: list[str], folder: Path) -> tuple[dict[str, list[dict[str, Any]]], list[str], str]:
    """Return the plan, the sheets and the words of a program without some features."""
    for part in ("workbook_builder", "templates"):
        # With what Python made of the files, which it need not make again.
        shutil.copytree(ROOT / part, folder / part)
    (folder / "tests").mkdir()
    shutil.copy(ROOT / "tests" / "small_farm.py", folder / "tests")
    names = folder / "workbook_builder" / "features" / "names.py"
    for name in gone:
        shutil.rmtree(folder / "workbook_builder" / "features" / name)
        text = names.read_text("utf-8")
        assert f'"{name}", ' in text
        names.write_text(text.replace(f'"{name}", ', ""), "utf-8")
    subprocess.run([sys.executable, "-c", WITHOUT], cwd=folder, env={**os.environ, "PYTHONPATH": str(folder)},
                   check=True, timeout=600)
    found: tuple[dict[str, list[dict[str, Any]]], list[str],
                 str] = pickle.loads((folder / "left.pickle").read_bytes())
    return found


def test_every_folder_is_in_the_list() -> None:
    """No feature is forgotten, and each says in one sentence what it answers."""
    folders = {path.parent.name for path in (ROOT / "workbook_builder" / "features").glob("*/__init__.py")}

    assert set(NAMES) == folders
    assert [name for name in NAMES
            if not (ROOT / "workbook_builder" / "features" / name
                    / "__init__.py").read_text("utf-8").startswith('"""')] == []
