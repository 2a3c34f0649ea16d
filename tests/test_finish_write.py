"""A file appears under its name whole or not at all."""

from __future__ import annotations

import errno
import os
import stat
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from workbook_builder.finish import AlreadyThere, CannotWrite, write_atomically
from workbook_builder.finish import write as write_module


def names(folder: Path) -> list[str]:
    """Return the names of all files in a folder, hidden ones too."""
    return sorted(os.listdir(folder))


def no_links(*_arguments: Any, **_settings: Any) -> None:
    """Stand in for a file system without hard links."""
    raise OSError(errno.EPERM, "Operation not permitted")


def disk_full(*_arguments: Any, **_settings: Any) -> None:
    """Stand in for a full disk."""
    raise OSError(errno.ENOSPC, "No space left on device")


def interrupt(*_arguments: Any, **_settings: Any) -> None:
    """Stand in for someone pressing Ctrl-C."""
    raise KeyboardInterrupt


@pytest.fixture(params=[False, True], ids=["links", "no links"])
def linking(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run a test on a file system with hard links and on one without."""
    if request.param:
        monkeypatch.setattr(os, "link", no_links)


@pytest.mark.usefixtures("linking")
def test_new_file(tmp_path: Path) -> None:
    """A new file holds the data, has usual permissions, and nothing else is left."""
    path = tmp_path / "plan.xlsx"
    mask = os.umask(0o022)
    try:
        kept = write_atomically(path, b"data")
    finally:
        os.umask(mask)

    assert kept is None
    assert path.read_bytes() == b"data"
    assert stat.S_IMODE(path.stat().st_mode) == 0o644
    assert names(tmp_path) == ["plan.xlsx"]


@pytest.mark.usefixtures("linking")
def test_existing_file_is_kept_out_of_harm(tmp_path: Path) -> None:
    """Without the wish to replace, an existing file stays as it is."""
    path = tmp_path / "plan.xlsx"
    path.write_bytes(b"old")

    with pytest.raises(AlreadyThere, match=r"plan\.xlsx already exists"):
        write_atomically(path, b"new")

    assert path.read_bytes() == b"old"
    assert names(tmp_path) == ["plan.xlsx"]


@pytest.mark.usefixtures("linking")
def test_file_that_appears_meanwhile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file another program made during the write is not overwritten."""
    path = tmp_path / "plan.xlsx"
    draft = write_module._write_draft

    def slow(target: Path, data: bytes) -> Path:
        path.write_bytes(b"theirs")
        return draft(target, data)

    monkeypatch.setattr(write_module, "_write_draft", slow)
    with pytest.raises(AlreadyThere):
        write_atomically(path, b"ours")

    assert path.read_bytes() == b"theirs"
    assert names(tmp_path) == ["plan.xlsx"]


@pytest.mark.usefixtures("linking")
def test_replacing_keeps_every_old_file(tmp_path: Path) -> None:
    """Each replaced file is kept under a name of its own."""
    path = tmp_path / "plan.xlsx"
    kept = [write_atomically(path, data, replace=True) for data in (b"1", b"2", b"3", b"4")]

    assert [place and place.name for place in kept] == [
        None, "plan.before.xlsx", "plan.before-2.xlsx", "plan.before-3.xlsx",
    ]
    assert path.read_bytes() == b"4"
    assert [place.read_bytes() for place in kept if place] == [b"1", b"2", b"3"]
    assert len(names(tmp_path)) == 4


STEPS = [("os.fsync", False), ("os.chmod", False), ("os.replace", True), ("tempfile.mkstemp", False)]


@pytest.mark.parametrize(("failure", "kind"), [(disk_full, CannotWrite), (interrupt, KeyboardInterrupt)])
@pytest.mark.parametrize(("step", "replacing"),
                         [*STEPS, *((step, True) for step, _ in STEPS), ("os.link", False)])
def test_failing_step_leaves_nothing(
    step: str,
    replacing: bool,
    failure: Callable[..., None],
    kind: type[BaseException],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Whichever step fails, the old file stands alone and as it was."""
    path = tmp_path / "plan.xlsx"
    if replacing:
        path.write_bytes(b"old")
    before = names(tmp_path)
    module, function = step.split(".")
    monkeypatch.setattr(getattr(write_module, module), function, failure)

    with pytest.raises(kind):
        write_atomically(path, b"new", replace=replacing)

    assert names(tmp_path) == before
    assert not replacing or path.read_bytes() == b"old"


@pytest.mark.parametrize("replacing", [False, True])
def test_failure_without_links(replacing: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without hard links, too, a failed last step leaves nothing behind."""
    path = tmp_path / "plan.xlsx"
    if replacing:
        path.write_bytes(b"old")
    before = names(tmp_path)
    monkeypatch.setattr(os, "link", no_links)
    monkeypatch.setattr(os, "replace", disk_full)

    with pytest.raises(CannotWrite, match="No space left on device; nothing was changed"):
        write_atomically(path, b"new", replace=replacing)

    assert names(tmp_path) == before


def test_refused_by_the_system(tmp_path: Path) -> None:
    """A missing folder and a folder in the file's place are named."""
    with pytest.raises(CannotWrite, match=r"cannot write .*missing.*: No such file or directory"):
        write_atomically(tmp_path / "missing" / "plan.xlsx", b"data")
    with pytest.raises(CannotWrite, match="directory"):
        write_atomically(tmp_path, b"data", replace=True)

    assert names(tmp_path) == []


def test_errors_keep_their_fields(tmp_path: Path) -> None:
    """An error is the builtin kind people catch and knows its path and cause."""
    with pytest.raises(OSError, match="cannot write") as caught:
        write_atomically(tmp_path / "missing" / "plan.xlsx", b"data")

    assert isinstance(caught.value, CannotWrite)
    assert caught.value.path == tmp_path / "missing" / "plan.xlsx"
    assert caught.value.errno == errno.ENOENT


def test_link_to_a_file_stays_a_link(tmp_path: Path) -> None:
    """Replacing through a symbolic link changes the file it points to, which is kept beside it."""
    folder = tmp_path / "real"
    folder.mkdir()
    (folder / "plan.xlsx").write_bytes(b"old")
    (tmp_path / "plan.xlsx").symlink_to(folder / "plan.xlsx")

    kept = write_atomically(tmp_path / "plan.xlsx", b"new", replace=True)

    assert (tmp_path / "plan.xlsx").is_symlink()
    assert (folder / "plan.xlsx").read_bytes() == b"new"
    assert kept == folder / "plan.before.xlsx"


@pytest.mark.parametrize(("misses", "written"), [(1, True), (write_module.MISSES + 1, False)])
def test_old_file_replaced_by_another_writer_meanwhile(misses: int, written: bool, tmp_path: Path,
                                                       monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that goes as it is about to be kept is looked at again, but not for ever."""
    path = tmp_path / "plan.xlsx"
    path.write_bytes(b"old")
    left = [FileNotFoundError(errno.ENOENT, "gone")] * misses
    link = os.link

    def gone(source: Path, copy: Path) -> None:
        if left:
            raise left.pop()
        link(source, copy)

    monkeypatch.setattr(os, "link", gone)
    if written:
        assert write_atomically(path, b"new", replace=True) == tmp_path / "plan.before.xlsx"
    else:
        with pytest.raises(CannotWrite):
            write_atomically(path, b"new", replace=True)

    assert path.read_bytes() == (b"new" if written else b"old")


@pytest.mark.usefixtures("linking")
@pytest.mark.parametrize("replacing", [False, True])
def test_many_writers_at_once(replacing: bool, tmp_path: Path) -> None:
    """Of many writers to one new name one wins, and the file is whole at every moment."""
    path = tmp_path / "plan.xlsx"
    outcomes: list[str] = []
    barrier = threading.Barrier(8)

    def build(number: int) -> None:
        barrier.wait()
        try:
            write_atomically(path, bytes([number]) * 100_000, replace=replacing)
            outcomes.append("done")
        except AlreadyThere:
            outcomes.append("refused")

    threads = [threading.Thread(target=build, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert outcomes.count("done") == (8 if replacing else 1)
    assert len(path.read_bytes()) == 100_000
    assert len(set(path.read_bytes())) == 1
    assert not [name for name in names(tmp_path) if name.endswith(".part")]
