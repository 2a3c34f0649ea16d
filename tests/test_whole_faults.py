"""Whatever goes wrong while a command writes: the old file is whole, the new one whole or absent,
and nothing else is left.
"""

from __future__ import annotations

import errno
import os
import threading
import time
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
from workbook_builder.commands.demo_files import demo_names
from workbook_builder.finish.write import DRAFT_ENDING

#: How a command is called so that it replaces what stands in a folder.
COMMANDS: dict[str, Callable[[Path], list[str]]] = {
    "build": lambda room: ["build", str(METRIC), "-o", str(room / "out.xlsx"), "--json",
                           str(room / "plan.json"), "--ics", str(room / "season.ics"), "--replace"],
    "new": lambda room: ["new", str(room / "book.xlsx"), "--replace"],
    "print": lambda room: ["print", str(METRIC), "-o", str(room / "sheets")],
    "demo": lambda room: ["demo", str(room / "demo"), "--replace"],
    "next-season": lambda room: ["next-season", str(METRIC), "-o", str(room / "next.xlsx"), "--replace"],
    "build of many": lambda room: ["build", str(METRIC), str(METRIC.parent / "demo"), "-o",
                                   str(room / "many"), "--jobs", "1", "--replace"],
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
    return {path.relative_to(room).as_posix(): path.read_bytes() for path in sorted(room.rglob("*"))
            if path.is_file()}


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch, metric: Built) -> None:
    """Let every build return one finished workbook at once: only the writing is in question here."""
    monkeypatch.setattr(build_module, "build_source", lambda *_arguments, **_options: metric)
    monkeypatch.setattr("workbook_builder.input_book.input_book", lambda *_arguments, **_options: metric.data)
    monkeypatch.setattr("workbook_builder.build.build_inputs", lambda *_arguments, **_options: metric)
    monkeypatch.setattr("workbook_builder.roll_over.roll_over",
                        lambda inputs, *_arguments, **_options: inputs, raising=False)
    for name in ("read_and_check", "checked"):
        monkeypatch.setattr(build_module, name, lambda *_arguments: (metric.plan.inputs, []))
    monkeypatch.setattr("workbook_builder.planning.make_plan", lambda *_arguments: metric.plan)
    monkeypatch.setattr("workbook_builder.printing.documents",
                        lambda *_arguments: {"mix-cards": "<p>1</p>", "pick-list": "<p>2</p>",
                                             "posting": "<p>3</p>"})
    monkeypatch.setattr("workbook_builder.commands.build.kept_lines", lambda *_arguments: [])
    monkeypatch.setattr("workbook_builder.export.json_text.plan_as_json", lambda *_arguments: '{"plan": 1}')
    monkeypatch.setattr("workbook_builder.export.ics.plan_as_ics", lambda *_arguments: "BEGIN:VCALENDAR")
    monkeypatch.setattr("workbook_builder.many.work.facts_of", lambda *_arguments: {})
    monkeypatch.setattr("workbook_builder.many.summary.summary_workbook", lambda *_arguments: b"summary")
    monkeypatch.setattr("workbook_builder.commands.demo_files.demo_files",
                        lambda units: {name: name.encode() for name in demo_names(units)})


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
    name: str, fault: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    written: dict[str, dict[str, bytes]]
) -> None:
    """At the first write and at the second, whichever step fails, files are old or new,
    and no piece of one is left.
    """
    (tmp_path / "sound").mkdir()
    new = sound(name, tmp_path / "sound", written)
    error = FAULTS[fault]
    steps = STEPS if fault != "open elsewhere" else ("os.replace",)
    for number, (step, at) in enumerate((step, at) for step in steps for at in (0, 1)):
        room = tmp_path / str(number)
        for path in new:
            (room / path).parent.mkdir(parents=True, exist_ok=True)
            (room / path).write_bytes(old_content(path))
        module, function = step.split(".")
        place = __import__(module)
        broken = Fault(error, getattr(place, function), at)
        with monkeypatch.context() as patch:
            patch.setattr(place, function, broken)
            outcome = CliRunner().invoke(app, COMMANDS[name](room))
        whole_or_old(name, room, new, step)
        if broken.calls > at and fault != "interrupted" and step not in ("os.fsync", "os.link"):
            assert outcome.exit_code in (1, 2), (step, at, outcome.output)
            assert str(error.strerror) in " ".join(outcome.stderr.split()), (step, at, outcome.stderr)


def old_content(path: str) -> bytes:
    """Return what stood under a name before, of the kind that may be replaced."""
    return {".json": b'{"old": 1}', ".ics": b"BEGIN:VCALENDAR old"}.get(Path(path).suffix, b"old")


def whole_or_old(name: str, room: Path, new: dict[str, bytes], step: str) -> None:
    """Assert that every file is what it was or what it should be; files kept beside are old."""
    for path, data in contents(room).items():
        assert not path.endswith(".part"), (name, step, path)
        assert data in (b"old", old_content(path), new.get(path, b"old")), (name, step, path)
    assert new.keys() <= contents(room).keys()


class OneFault(Fault):
    """Fails at one call alone, so that what was begun can be put back."""

    def __call__(self, *arguments: Any, **options: Any) -> Any:
        """Fail at the chosen call only."""
        self.calls += 1
        if self.calls == self.at + 1:
            raise self.error
        return self.real(*arguments, **options)


#: Files of these commands belong together; of many clients each has its own.
TOGETHER = [name for name in COMMANDS if name not in ("build of many", "new")]


@pytest.mark.parametrize("there", [True, False], ids=["over old files", "into an empty folder"])
@pytest.mark.parametrize("name", TOGETHER)
def test_all_outputs_or_none(name: str, there: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                             written: dict[str, dict[str, bytes]]) -> None:
    """Whichever file a full disk stops, all that the command writes is new or all is as it was,
    and the message says which file failed.
    """
    (tmp_path / "sound").mkdir()
    new = sound(name, tmp_path / "sound", written)
    for step in ("os.fsync", "os.replace") if there else ("os.fsync", "os.link"):
        for at in sorted({0, 1, 2, len(new) - 1, len(new)}):
            room = tmp_path / f"{step} {at}"
            room.mkdir()
            for path in new if there else ():
                (room / path).parent.mkdir(parents=True, exist_ok=True)
                (room / path).write_bytes(old_content(path))
            function = step.removeprefix("os.")
            broken = OneFault(OSError(errno.ENOSPC, "No space left on device"), getattr(os, function), at)
            with monkeypatch.context() as patch:
                patch.setattr(os, function, broken)
                outcome = CliRunner().invoke(app, COMMANDS[name](room))
            found = contents(room)
            old = {path: old_content(path) for path in new} if there else {}
            if outcome.exit_code == 0:
                assert {path: found[path] for path in new} == new, (step, at)
                assert broken.calls <= at or step == "os.link" or at >= len(new), (step, at)
            else:
                assert found == old, (step, at, outcome.stderr)
                told = " ".join(outcome.stderr.split())
                assert "No space left on device; nothing was changed" in told, (step, at)


def test_what_cannot_be_put_back_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the system refuses to put a file back as well,
    the message names it instead of saying that nothing was changed.
    """
    for name in ("out.xlsx", "plan.json", "season.ics"):
        (tmp_path / name).write_bytes(b"old" if name == "out.xlsx" else b"{}" if name == "plan.json"
                                      else b"BEGIN:VCALENDAR")
    monkeypatch.setattr(os, "replace", Fault(PermissionError(errno.EACCES, "Permission denied"),
                                             os.replace, 1))

    outcome = CliRunner().invoke(app, COMMANDS["build"](tmp_path))

    told = " ".join(outcome.stderr.split())
    assert outcome.exit_code == 2
    assert "plan.json: Permission denied; written all the same: " in told
    assert "out.xlsx" in told.partition("all the same:")[2]
    assert "nothing was changed" not in told
    assert (tmp_path / "plan.json").read_bytes() == b"{}"


@pytest.mark.parametrize("second", ["--json", "--ics"])
@pytest.mark.parametrize("spelling", ["out.xlsx", "./out.xlsx", "sub/../out.xlsx", "link.xlsx"])
def test_two_outputs_of_one_name(second: str, spelling: str, tmp_path: Path,
                                 monkeypatch: pytest.MonkeyPatch) -> None:
    """Two outputs on one path are wrong usage, however the path is spelt, and nothing is written."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "sub").mkdir()
    (tmp_path / "link.xlsx").symlink_to(tmp_path / "out.xlsx")
    before = contents(tmp_path)

    outcome = CliRunner().invoke(app, ["build", str(METRIC), "-o", "out.xlsx", second, spelling])

    assert outcome.exit_code == 2
    assert "Two outputs would both be written to" in " ".join(outcome.stderr.split())
    assert contents(tmp_path) == before


def test_a_draft_left_by_a_killed_run_is_swept(tmp_path: Path) -> None:
    """What a run that was killed in the middle of a write left is removed by a later one,
    unless it may still be written.
    """
    for name, hours in (("old", 2), ("young", 0)):
        draft = tmp_path / f".{name}{DRAFT_ENDING}"
        draft.write_bytes(b"half")
        os.utime(draft, (time.time() - hours * 3600,) * 2)

    assert CliRunner().invoke(app, COMMANDS["new"](tmp_path)).exit_code == 0

    assert sorted(contents(tmp_path)) == [f".young{DRAFT_ENDING}", "book.xlsx"]


@pytest.mark.parametrize("name", ["build", "new"])
def test_two_at_once(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two runs into one new file: one wins, the other is told, and the file is whole."""
    # The library of the command line sets this and takes it away again for each option, which two threads of
    # one process do in each other's way.
    monkeypatch.setenv("PYDANTIC_DISABLE_PLUGINS", "1")
    outcomes: list[int] = []
    call = [part for part in COMMANDS[name](tmp_path) if part != "--replace"]
    if name == "build":
        call = call[:4]

    def start() -> None:
        outcomes.append(int(app(call, standalone_mode=False) or 0))

    threads = [threading.Thread(target=start) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert sorted(outcomes) == [0, 2]
    assert len(contents(tmp_path)) == 1


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    """A folder without the right to write is named, and nothing is left in it."""
    tmp_path.chmod(0o500)
    outcome = CliRunner().invoke(app, COMMANDS["new"](tmp_path))
    tmp_path.chmod(0o700)

    assert outcome.exit_code == 2
    assert "Permission denied" in outcome.stderr
    assert contents(tmp_path) == {}
