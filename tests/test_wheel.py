"""The wheel carries everything: installed into a clean environment and run from another folder."""

from __future__ import annotations

import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).parents[1]
pytestmark = pytest.mark.nightly


def call(*command: object, folder: Path) -> str:
    """Run a command in a folder, without this checkout on its path, and return its stdout."""
    clean = {key: value for key, value in os.environ.items() if key not in ("PYTHONPATH", "VIRTUAL_ENV")}
    done = subprocess.run([str(part) for part in command], cwd=folder, env=clean, capture_output=True,
                          text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from a copy of what the repository holds."""
    target = tmp_path_factory.mktemp("wheel")
    call(sys.executable, "-m", "build", "--wheel", "--outdir", target, REPOSITORY, folder=target)
    return next(target.glob("*.whl"))


def test_wheel_holds_data_and_templates(wheel: Path) -> None:
    """Shipped lists, both demo farms and all templates are in the wheel; tests are not."""
    names = set(zipfile.ZipFile(wheel).namelist())
    data = [path.relative_to(REPOSITORY).as_posix()
            for path in (REPOSITORY / "workbook_builder" / "data").rglob("*.*")]
    templates = [f"workbook_builder/{path.relative_to(REPOSITORY).as_posix()}"
                 for path in (REPOSITORY / "templates").rglob("*.*")]

    assert len(templates) > 0
    assert {name for name in (*data, *templates) if "__pycache__" not in name} <= names
    assert not [name for name in names if name.startswith("tests")]


def test_installed_program_runs_elsewhere(wheel: Path, tmp_path: Path) -> None:
    """In a clean environment and another folder the demo is written, and verified by an engine."""
    venv.create(tmp_path / "venv", with_pip=True)
    scripts = tmp_path / "venv" / ("Scripts" if os.name == "nt" else "bin")
    call(scripts / "python", "-m", "pip", "install", "-q", wheel, folder=tmp_path)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()

    call(scripts / "workbook-builder", "demo", "somewhere", folder=elsewhere)

    assert (elsewhere / "somewhere" / "demo_farm.xlsx").is_file()
    assert "agree" in call(scripts / "workbook-builder", "verify", "somewhere/demo_farm.xlsx",
                           folder=elsewhere)
    assert "workbook_builder" not in {path.name for path in elsewhere.iterdir()}
