"""The same workbooks under every Python at hand: each part of the file is the same to the byte."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from conftest import DATA

REPOSITORY = Path(__file__).parents[1]
MINORS = (11, 12, 13, 14)
SOURCE = "demo_metric"
ASK = "import sys; print(*sys.version_info[:2], sys.executable)"
#: Builds one farm with the package found in a folder: that of an environment, or this checkout.
BUILD = """
import sys
from pathlib import Path
import workbook_builder
from workbook_builder.build import build_source
package = Path(workbook_builder.__file__).parent
assert Path(sys.argv[1]) in package.parents, package
Path("book.xlsx").write_bytes(build_source(Path(sys.argv[2])).data)
"""
pytestmark = pytest.mark.nightly


def run(*command: object, folder: Path, path: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run a command in a folder, without this checkout on its path unless it is named.

    Lxml, which writes other markup, is left out everywhere.
    """
    clean = ({key: value for key, value in os.environ.items() if key not in ("PYTHONPATH", "VIRTUAL_ENV")}
             | {"OPENPYXL_LXML": "False"})
    clean |= {"PYTHONPATH": str(path)} if path else {}
    return subprocess.run([str(part) for part in command], cwd=folder, env=clean, capture_output=True,
                          text=True, check=False)


def candidates(minor: int) -> list[str]:
    """Return where an interpreter of this version may be: on the path,
    or among the versions that pyenv keeps.
    """
    name = f"python3.{minor}"
    kept = Path(os.environ.get("PYENV_ROOT") or Path.home() / ".pyenv") / "versions"
    return [path for path in (shutil.which(name), *map(str, sorted(kept.glob(f"3.{minor}.*/bin/{name}"))))
            if path]


def other_pythons(folder: Path) -> dict[int, str]:
    """Return one interpreter for each other version that runs (a shim on the path may lead nowhere)."""
    found: dict[int, str] = {}
    for minor in MINORS:
        for path in candidates(minor):
            answer = run(path, "-c", ASK, folder=folder)
            if (answer.returncode == 0 and answer.stdout.startswith(f"3 {minor} ")
                and minor != sys.version_info.minor):
                found.setdefault(minor, path)
    return found


def built_by(python: str, folder: Path) -> bytes:
    """Install the project into an environment of this interpreter and return the workbook that it builds
    there.
    """
    run(python, "-m", "venv", folder / "venv", folder=folder)
    inside = folder / "venv" / ("Scripts" if os.name == "nt" else "bin") / "python"
    installed = run(inside, "-m", "pip", "install", "-q", "--disable-pip-version-check", REPOSITORY,
                    folder=folder)
    if installed.returncode and os.environ.get("CI") != "true":
        pytest.skip(f"pip cannot install the project: {installed.stderr.strip().splitlines()[-1:]}")
    assert installed.returncode == 0, installed.stderr[-2000:]
    ended = run(inside, "-c", BUILD, folder, DATA / SOURCE, folder=folder)
    assert ended.returncode == 0, ended.stderr[-2000:]
    return (folder / "book.xlsx").read_bytes()


def parts(path: Path) -> dict[str, bytes]:
    """Return the parts of a workbook.

    How tightly they are packed may differ with the library that packs them.
    """
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def different(first: dict[str, bytes], second: dict[str, bytes]) -> list[str]:
    """Return the names of all parts that are not the same in both."""
    return sorted(name for name in first.keys() | second.keys() if first.get(name) != second.get(name))


def test_parts_are_the_same_under_other_pythons(tmp_path: Path) -> None:
    """Each other Python at hand installs the project and builds the metric demo farm part by part as this one
    does.
    """
    if os.environ.get("WORKBOOK_OTHER_PYTHONS") != "1":
        pytest.skip("installs the project several times, which takes minutes: set WORKBOOK_OTHER_PYTHONS=1")
    pythons = other_pythons(tmp_path)
    if not pythons:
        pytest.skip("no other Python from 3.11 to 3.14 is on the path or among the versions that pyenv keeps")
    ended = run(sys.executable, "-c", BUILD, REPOSITORY, DATA / SOURCE, folder=tmp_path, path=REPOSITORY)
    assert ended.returncode == 0, ended.stderr[-2000:]
    here = parts(tmp_path / "book.xlsx")

    found = {}
    for minor, python in pythons.items():
        folder = tmp_path / str(minor)
        folder.mkdir()
        built_by(python, folder)
        found[f"3.{minor}"] = different(here, parts(folder / "book.xlsx"))

    assert len(here) > 50
    assert {version: names for version, names in found.items() if names} == {}


def test_a_changed_part_is_named() -> None:
    """A part that differs, and one that only one of the two holds, is named."""
    assert different({"a": b"1", "b": b"2"}, {"a": b"1", "b": b"3", "c": b""}) == ["b", "c"]
