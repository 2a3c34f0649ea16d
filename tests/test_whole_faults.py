"""Whatever goes wrong while a command writes: the old file is whole, the new one whole or absent, and nothing else is left."""

from __future__ import annotations

import errno
import os
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from cli_help import METRIC
from typer.testing import CliRunner

from workbook_builder import build as build_module
from workbook_builder.build import Built
from workbook_builder.cli import app

#: How a command is called so that it replaces what stands in a folder.
COMMANDS: dict[str, Callable[[Path], list[str]]] = {
    "build": lambda room: ["build", str(METRIC), "-o", str(room / "out.xlsx"), "--json", str(room / "plan.json"), "--ics", str(room / "season.ics"), "--replace"],
    "new": lambda room: ["new", str(room / "book.xlsx"), "--replace"],
    "print": lambda room: ["print", str(METRIC), "-o", str(room / "sheets")],
    "demo": lambda room: ["demo", str(room / "demo"), "--replace"],
    "next-season": lambda room: ["next-season", str(METRIC), "-o", str(room / "next.xlsx"), "--replace"],
    "build of many": lambda room: ["build", str(METRIC), str(METRIC.parent / "demo"), "-o", str(room / "many"), "--jobs", "1", "--replace"],
}
STEPS = ("tempfile.mkstemp", "os.fsync", "os.chmod", "os.replace", "os.link")


@dataclass
class Fault:
    """Fails from the given call on, or only then.

    Parameters
    ----------
    error : exception
    real : callable
        What is called before and, after a passing fault, again.
    at : int
        Number of the call that fails, from 0.
    """

    error: BaseException
    real: Callable[..., Any]
    at: int = 0
    calls: int = 0

    def __call__(self, *arguments: Any, **options: Any) -> Any:
        """Fail at the chosen call."""
        self.calls += 1
        if self.calls > self.at:
            raise self.error
        return self.real(*arguments, **options)


def contents(room: Path) -> dict[str, bytes]:
    """Return every file below a folder, hidden ones too."""
    return {path.relative_to(room).as_posix(): path.read_bytes() for path in sorted(room.rglob("*")) if path.is_file()}


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch, metric: Built) -> None:
    """Let every build return one finished workbook at once: only the writing is in question here."""
    monkeypatch.setattr(build_module, "build_source", lambda *_arguments, **_options: metric)
    monkeypatch.setattr("workbook_builder.input_book.input_book", lambda *_arguments, **_options: metric.data)
    monkeypatch.setattr("workbook_builder.build.build_inputs", lambda *_arguments, **_options: metric)
    monkeypatch.setattr("workbook_builder.roll_over.roll_over", lambda inputs, *_arguments, **_options: inputs, raising=False)


@pytest.fixture(scope="module")
def written() -> dict[str, dict[str, bytes]]:
    """What each command writes into an empty folder, kept between tests."""
    return {}


def sound(name: str, room: Path, written: dict[str, dict[str, bytes]]) -> dict[str, bytes]:
    """Return what the command writes when nothing goes wrong."""
    if name not in written:
        outcome = CliRunner().invoke(app, COMMANDS[name](room))
        assert outcome.exit_code == 0, outcome.output
        written[name] = contents(room)
    return written[name]


FAULTS = {
    "disk full": OSError(errno.ENOSPC, "No space left on device"),
    "open elsewhere": PermissionError(errno.EACCES, "Permission denied"),
    "interrupted": KeyboardInterrupt(),
}


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("name", COMMANDS)
def test_a_failing_step_leaves_whole_files(
    name: str, fault: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, written: dict[str, dict[str, bytes]]
) -> None:
    """At the first write and at the second, whichever step fails, files are old or new, and no piece of one is left."""
    (tmp_path / "sound").mkdir()
    new = sound(name, tmp_path / "sound", written)
    error = FAULTS[fault]
    steps = STEPS if fault != "open elsewhere" else ("os.replace",)
    for number, (step, at) in enumerate((step, at) for step in steps for at in (0, 1)):
        room = tmp_path / str(number)
        for path in new:
            (room / path).parent.mkdir(parents=True, exist_ok=True)
            (room / path).write_bytes(b"old")
        module, function = step.split(".")
        place = __import__(module)
        broken = Fault(error, getattr(place, function), at)
        with monkeypatch.context() as patch:
            patch.setattr(place, function, broken)
            outcome = CliRunner().invoke(app, COMMANDS[name](room))
        whole_or_old(name, room, new, step)
        if broken.calls > at and fault != "interrupted" and step not in ("os.fsync", "os.link"):
            assert outcome.exit_code in (1, 2), (step, at, outcome.output)
            assert str(error.strerror) in " ".join(outcome.stderr.split()), (step, at, outcome.stderr)  # type: ignore[attr-defined]


def whole_or_old(name: str, room: Path, new: dict[str, bytes], step: str) -> None:
    """Assert that every file is what it was or what it should be; files kept beside are old."""
    for path, data in contents(room).items():
        assert not path.endswith(".part"), (name, step, path)
        assert data in (b"old", new.get(path, b"old")), (name, step, path)
    assert new.keys() <= contents(room).keys()


@pytest.mark.parametrize("name", ["build", "new"])
def test_two_at_once(name: str, tmp_path: Path) -> None:
    """Two runs into one new file: one wins, the other is told, and the file is whole."""
    outcomes: list[int] = []
    call = [part for part in COMMANDS[name](tmp_path) if part != "--replace"]
    if name == "build":
        call = call[:4]

    def start() -> None:
        outcomes.append(_quiet_run(call))

    threads = [threading.Thread(target=start) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert sorted(outcomes) == [0, 2]
    assert len(contents(tmp_path)) == 1


def _quiet_run(call: list[str]) -> int:
    return int(app(call, standalone_mode=False) or 0)


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    """A folder without the right to write is named, and nothing is left in it."""
    tmp_path.chmod(0o500)
    outcome = CliRunner().invoke(app, COMMANDS["new"](tmp_path))
    tmp_path.chmod(0o700)

    assert outcome.exit_code == 2
    assert "Permission denied" in outcome.stderr
    assert contents(tmp_path) == {}
