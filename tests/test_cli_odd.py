"""The program used oddly: readers that leave, places that take nothing, Ctrl-C, devices, narrow terminals,
folders of the wrong kind.
"""

from __future__ import annotations

import json
import os
import signal
import stat
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli_help import METRIC, SMALL, copied, run

from workbook_builder.commands.progress import Bar
from workbook_builder.finish import CannotWrite, write_atomically

pty = pytest.importorskip("pty",
                          reason="this system has no terminals, pipes and groups of processes of this kind")
REPOSITORY = Path(__file__).parents[1]
PROGRAM = [sys.executable, "-m", "workbook_builder"]


def started(*arguments: object, **options: object) -> subprocess.Popen[str]:
    """Start the real program in a group of its own."""
    environment = {**os.environ, "PYTHONPATH": str(REPOSITORY), "COLUMNS": "80"}
    command = [*PROGRAM, *map(str, arguments)]
    return subprocess.Popen(command, text=True, env=environment, start_new_session=True,
                            **{"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **options})


@pytest.mark.nightly
def test_a_reader_that_leaves_is_no_failure() -> None:
    """When the reader of the output has enough, the program ends in silence."""
    program = started("check", METRIC.with_name("demo"), stdin=subprocess.DEVNULL)
    program.stdout.readline()  # type: ignore[union-attr]
    program.stdout.close()  # type: ignore[union-attr]

    assert program.stderr.read() == ""  # type: ignore[union-attr]
    assert program.wait(600) == 0


@pytest.mark.nightly
def test_no_place_to_write_to(tmp_path: Path) -> None:
    """Started without stdin, stdout and stderr, as from a desktop, the program does its work."""
    closed = " ".join(f"'{part}'" for part in (*PROGRAM, "check", METRIC, "--json", tmp_path / "plan.json"))

    done = subprocess.run(["sh", "-c", f"{closed} <&- >&- 2>&-"], check=False,
                          env={**os.environ, "PYTHONPATH": str(REPOSITORY)}, timeout=600)

    assert done.returncode == 0
    assert json.loads((tmp_path / "plan.json").read_text())["cost_farm"]


@pytest.mark.skipif(not Path("/dev/full").is_char_device(),
                    reason="this system has no device that is always full")
def test_a_full_disk_is_told_as_such() -> None:
    """When the output has no room, one sentence says so."""
    with open("/dev/full", "w") as full:
        program = started("check", SMALL, stdout=full)
        told = program.communicate(timeout=600)[1]

    assert program.returncode == 2
    assert told.startswith("There is no room left on the disk")


@pytest.mark.parametrize("seconds", [0.3, 1.5, pytest.param(4.0, marks=pytest.mark.nightly)])
def test_ctrl_c_leaves_nothing_behind(tmp_path: Path, seconds: float) -> None:
    """A build stopped while it starts, reads or lays out ends with 130,
    without a traceback and without a file.
    """
    program = started("build", METRIC, "-o", tmp_path / "out.xlsx")
    time.sleep(seconds)
    os.killpg(program.pid, signal.SIGINT)
    output, told = program.communicate(timeout=600)

    if program.returncode == 0:
        pytest.skip("the build was done before it could be stopped")
    if program.returncode == -signal.SIGINT:
        pytest.skip("Python itself had not started yet")
    assert (program.returncode, output, told) == (130, "", "Stopped. Nothing was written.\n")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.nightly
def test_ctrl_c_stops_many_clients(tmp_path: Path) -> None:
    """Processes at work for many clients end with the run that started them, and in silence."""
    program = started("build", METRIC, METRIC.with_name("demo"), copied(tmp_path), "-o", tmp_path / "out",
                      "--jobs", "2")
    time.sleep(4)
    os.killpg(program.pid, signal.SIGINT)
    told = program.communicate(timeout=600)[1]

    assert program.returncode == 130
    assert told in ("Stopped. 0 of 3 clients built, each whole; the others were not touched, and there is no "
                    "new summary.\n", "Stopped. Nothing was written.\n")
    assert list((tmp_path / "out").rglob("*")) == []
    assert ended(program.pid)


@pytest.mark.parametrize("sign",
                         ["SIGTERM", *(pytest.param(sign, marks=pytest.mark.nightly)
                                       for sign in ("SIGKILL", "SIGHUP"))])
def test_processes_end_with_the_run_that_started_them(tmp_path: Path, sign: str) -> None:
    """However the run of many clients is ended, its processes are gone within 5 seconds,
    and no half-written file is left.
    """
    program = started("build", METRIC, METRIC.with_name("demo"), copied(tmp_path), "-o", tmp_path / "out",
                      "--jobs", "2")
    wait_for_group(program.pid, 4)
    time.sleep(2)

    os.kill(program.pid, getattr(signal, sign))
    program.wait(60)

    assert ended(program.pid, 5)
    told = program.stderr.read()  # type: ignore[union-attr]
    if sign == "SIGKILL":
        # Nobody is left who could say anything but Python, of what it tidied up.
        assert "Traceback" not in told
    else:
        assert told.startswith("Stopped. ")
    assert list((tmp_path / "out").rglob("*.part*")) == []


def wait_for_group(group: int, processes: int) -> None:
    """Wait until a group holds so many processes: the run, the one that tidies up after it,
    and those at work.
    """
    until = time.monotonic() + 300
    while time.monotonic() < until:
        listed = subprocess.run(["ps", "-eo", "pgid="], capture_output=True, text=True,
                                check=True).stdout.split()
        if listed.count(str(group)) >= processes:
            return
        time.sleep(0.1)
    raise AssertionError(f"never {processes} processes")


def ended(group: int, seconds: float = 120) -> bool:
    """Return whether every process of a group is gone, the one that tidies up after the others included."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.1)
    return False


def test_a_swallowed_interruption_still_stops(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A library that turns Ctrl-C into an error of its own does not make the program report a fault."""
    from typer.testing import CliRunner

    from workbook_builder import interruption
    from workbook_builder.cli import app

    def swallowed(*anything: object) -> None:
        interruption._asked.set()
        raise TypeError("expected <class 'float'>")

    monkeypatch.setattr("workbook_builder.build.make_plan", swallowed)
    try:
        outcome = CliRunner().invoke(app, ["build", str(METRIC), "-o", str(tmp_path / "out.xlsx")])
    finally:
        interruption._asked.clear()

    assert (outcome.exit_code, outcome.stdout, outcome.stderr) == (130, "", "Stopped. Nothing was written.\n")


@pytest.mark.nightly
def test_a_device_is_never_replaced(tmp_path: Path) -> None:
    """A pipe or a device keeps its place: JSON is written into it, a workbook is refused."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(CannotWrite, match="device or a pipe"):
        write_atomically(pipe, b"data", replace=True)

    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    program = started("verify", SMALL, "--json", pipe)
    program.communicate(timeout=600)
    outcome = started("check", SMALL, "--json", "/dev/null")
    outcome.communicate(timeout=600)
    os.close(reader)

    assert outcome.returncode == 0
    assert stat.S_ISFIFO(pipe.stat().st_mode)
    assert Path("/dev/null").is_char_device()
    assert [path.name for path in tmp_path.iterdir()] == ["pipe"]


def everything(reader: int) -> str:
    """Return what was drawn on a terminal that is closed now."""
    data = b""
    while True:
        try:
            more = os.read(reader, 4096)
        except OSError:
            more = b""
        if not more:
            os.close(reader)
            return data.decode()
        data += more


def test_a_bar_fits_a_narrow_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """Progress is drawn on a terminal, within its width, and not before the job has taken a while."""
    monkeypatch.setenv("COLUMNS", "40")
    reader, writer = pty.openpty()
    with os.fdopen(writer, "w") as terminal:
        patient = Bar(terminal, patience=60)
        patient("Planning", 0.5)
        patient.close(whole=True)
        bar = Bar(terminal, patience=0)
        bar("Laying out the sheets", 0.25)
        bar("Finishing", 0.75)
        bar.close(whole=True)
    drawn = everything(reader).replace("\x1b[?25l", "").replace("\x1b[?25h", "").split("\r")

    lines = [line.strip() for line in drawn if line.strip()]
    assert (list(dict.fromkeys(line.split("[")[0].strip() for line in lines))
            == ["Laying out the she", "Finishing", "Done"])
    assert lines[-1].endswith("100%")
    assert max(map(len, lines)) < 40


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("print", METRIC, "--from", "2026-13-01"), "--from 2026-05-01"),
        (("print", METRIC, "--from", "2026-05-09", "--to", "2026-05-01"),
         "--from 2026-05-01 --to 2026-05-09"),
        (("print", METRIC, "-o", "file.txt"), "is a file"),
        (("demo", "taken"), "--replace (the demo that is there is written over)"),
        (("verify", "."), "is a folder"),
        (("build",), "For example: workbook-builder build"),
        (("build", METRIC, "-o", "x.xlsx", "--jobs", "0"), "For example: workbook-builder build"),
        (("build", "clients", "-o", "x.xlsx"), "2 sources (one, two)"),
        (("build", "clients", "-o", "out", "--json", "-"), "need a folder for their plans"),
    ],
)
def test_wrong_usage_is_told_with_its_remedy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                                             arguments: tuple[object, ...], words: str) -> None:
    """What cannot be done ends with 2 and says what would be right, and nothing is written."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "file.txt").write_text("mine")
    for folder in ("taken/inputs", "clients/one", "clients/two"):
        (tmp_path / folder).mkdir(parents=True)
        (tmp_path / folder / "farm.csv").write_text("farm\n")
    before = sorted(tmp_path.rglob("*"))

    outcome = run(*arguments)

    assert outcome.exit_code == 2
    assert words in outcome.stderr
    assert sorted(tmp_path.rglob("*")) == before


def test_a_folder_of_sources_names_them(tmp_path: Path) -> None:
    """Commands for one farm, given a folder that holds several sources, say which there are."""
    (tmp_path / "birch").mkdir()
    (tmp_path / "birch" / "farm.csv").write_text("farm\n")

    outcome = run("check", tmp_path)

    assert outcome.exit_code == 1
    assert f"Give one of the sources in it: '{tmp_path / 'birch'}'." in outcome.stderr


def test_a_folder_nobody_may_open_is_a_client_that_fails(tmp_path: Path,
                                                         monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder that cannot be opened is told as a failed client with the reason, and hides no other."""
    from workbook_builder.many import FAILED, Task, build_client, clients_in

    for name in ("shut", "open"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "farm.csv").write_text("farm\n")
    listing = Path.iterdir

    def guarded(folder: Path) -> Iterator[Path]:
        if folder.name == "shut":
            raise PermissionError(13, "Permission denied", str(folder))
        return listing(folder)

    monkeypatch.setattr(Path, "iterdir", guarded)

    assert [client.name for client in clients_in([tmp_path])] == ["open", "shut"]
    outcome = build_client(Task("shut", tmp_path / "shut", tmp_path / "shut.xlsx"))
    assert outcome.state == FAILED
    assert "Permission denied" in outcome.messages[0]


def test_an_input_book_is_nothing_to_verify(tmp_path: Path) -> None:
    """verify says how to build an input workbook instead of comparing nothing."""
    book = tmp_path / "my farm.xlsx"
    run("new", book, "--example")

    outcome = run("verify", book)

    assert outcome.exit_code == 2
    assert f"workbook-builder build '{book}' -o '{tmp_path / 'my farm-plan.xlsx'}'" in outcome.stderr
