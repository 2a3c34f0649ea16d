"""Write files under their final names only when all of them are whole."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import shutil
import sys
import tempfile
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

#: What a file's name gets, with a number from the second on, when a new file takes its place.
KEPT_MARK = ".before"
#: Ending of a file that is still being written, and after how many seconds nobody writes it any more.
DRAFT_ENDING = ".workbook.part"
STALE = 3600
#: How often in a row a file may be gone when it is to be kept, though its name is there.
MISSES = 100
#: The file system has no hard links.
_NO_LINKS = {errno.EPERM, errno.EACCES, errno.ENOSYS, errno.EOPNOTSUPP, errno.EMLINK,
             errno.EXDEV, errno.EINVAL}


class AlreadyThere(FileExistsError):
    """The target, `path`, exists and replacing it was not asked for."""

    def __init__(self, path: Path) -> None:
        self.path = path
        super().__init__(errno.EEXIST, "already exists", str(path))

    def __str__(self) -> str:
        return f"{self.path} already exists; choose another name or ask to replace it"


class CannotWrite(OSError):
    """The file `path` could not be written for `cause`, and none of those that go with it but `left`,
    which could not be put back.
    """

    def __init__(self, path: Path, cause: OSError, left: Sequence[Path] = ()) -> None:
        self.path, self.cause, self.left = path, cause, tuple(left)
        super().__init__(cause.errno, cause.strerror, str(path))

    def __str__(self) -> str:
        reason = self.cause.strerror or str(self.cause)
        rest = (f"written all the same: {', '.join(map(str, self.left))}" if self.left
                else "nothing was changed")
        return f"cannot write {self.path}: {reason}; {rest}"


class SameFile(ValueError):
    """Two outputs would be one file, `path`; nothing was written."""

    def __init__(self, path: Path) -> None:
        self.path = path
        super().__init__(path)

    def __str__(self) -> str:
        return f"two outputs would both be written to {self.path}"


@dataclass(frozen=True)
class Output:
    """One file to write."""

    path: Path
    data: bytes
    replace: bool = True  # Allow an existing file
    keep: bool = False  # Keep an existing file beside the new one
    make_folder: bool = False  # Make its folder where there is none

    @cached_property
    def target(self) -> Path:
        """The file itself, where the path is a link."""
        return Path(os.path.realpath(self.path))


#: Every file this process has published, for whoever has to say so when it is stopped.
PUBLISHED: list[Path] = []


def write_atomically(path: Path, data: bytes, replace: bool = False) -> Path | None:
    """Write a file so that its name shows the whole content or what was there before.

    Parameters
    ----------
    path : Path
        The target; its folder must exist.
    data : bytes
        The content.
    replace : bool
        Allow an existing file; the old one is kept beside it.

    Returns
    -------
    Path or None
        Where the old file is kept (``name.before.xlsx``), None when there was none.

    Raises
    ------
    AlreadyThere, CannotWrite
        As :func:`write_together`.
    """
    return write_together([Output(path, data, replace, keep=True)])[0]


def write_together(outputs: Sequence[Output]) -> list[Path | None]:
    """Write all files or none: each is first written whole beside its place, then all get their names.

    Returns
    -------
    list of Path or None
        Where each old file is kept, None where there was none or it need not be kept.

    Raises
    ------
    SameFile
        Two outputs name one file.
    AlreadyThere
        A target exists and may not be replaced, also when another program made it
        between the start and the end of this call.
    CannotWrite
        The system refused; what was there before is there again.
    """
    refuse_same([output.path for output in outputs])
    done = _Writing()
    at = outputs[0].path if outputs else Path()
    try:
        for output in outputs:
            at = output.path
            target = output.target
            if target.exists() and not output.replace:
                raise AlreadyThere(output.path)
            if target.is_dir():
                raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
            if target.exists() and not target.is_file():
                # Giving a file the name of a device would take the device from everybody.
                raise OSError(errno.EINVAL, "it is a device or a pipe, not a file")
            done.stage(output)
        for output in outputs:
            at = output.path
            done.publish(output)
    except BaseException as problem:
        left = done.undo()
        if isinstance(problem, FileExistsError):
            raise problem if isinstance(problem, AlreadyThere) else AlreadyThere(at) from None
        if isinstance(problem, OSError):
            raise CannotWrite(at, problem, left) from problem
        raise
    return done.finish()


def refuse_same(paths: Iterable[Path]) -> None:
    """Refuse paths of which two are one file.

    Raises
    ------
    SameFile
        Naming the second of them.
    """
    seen: list[Path] = []
    for path in paths:
        place = Path(os.path.realpath(path))
        for other in seen:
            # Systems that take capitals for small letters say so only of files that are there.
            alike = (str(place) == str(other) or (sys.platform in ("win32", "darwin")
                                                  and str(place).casefold() == str(other).casefold()))
            if alike or (place.exists() and other.exists() and place.samefile(other)):
                raise SameFile(path)
        seen.append(place)


class _Writing:
    """Files on their way to their names, and the way back."""

    def __init__(self) -> None:
        self._swept: set[Path] = set()
        self._drafts: dict[Path, Path] = {}
        self._folders: list[Path] = []
        self._done: list[tuple[Output, Path | None]] = []

    def stage(self, output: Output) -> None:
        """Write the whole content beside its place."""
        folder = output.target.parent
        if output.make_folder:
            new = [each for each in (folder, *folder.parents) if not each.exists()]
            folder.mkdir(parents=True, exist_ok=True)
            self._folders += new
        if folder not in self._swept:
            self._swept.add(folder)
            # Remove what a run that was ended in the middle of a write left long ago.
            with contextlib.suppress(OSError):
                for entry in os.scandir(folder):
                    if (entry.name.startswith(".") and entry.name.endswith(DRAFT_ENDING)
                        and entry.stat().st_mtime < time.time() - STALE):
                        os.unlink(entry.path)
        self._drafts[output.target] = _write_draft(output.target, output.data)

    def publish(self, output: Output) -> None:
        """Give a draft its name; an old file keeps one of its own."""
        draft, target, kept = self._drafts[output.target], output.target, None
        if output.replace:
            kept = _keep_old(target)
            try:
                os.replace(draft, target)
            except BaseException:
                if kept is not None:
                    os.unlink(kept)
                raise
        else:
            # Give the draft its name, failing when that name is taken, with no moment in between.
            try:
                os.link(draft, target)
            except OSError as problem:
                if problem.errno not in _NO_LINKS:
                    raise
                os.close(os.open(target, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
                try:
                    os.replace(draft, target)
                except BaseException:
                    os.unlink(target)
                    raise
        self._done.append((output, kept))
        PUBLISHED.append(output.path)

    def undo(self) -> list[Path]:
        """Put everything back as it was; return what could not be."""
        left = []
        for output, kept in reversed(self._done):
            try:
                if kept is None:
                    os.unlink(output.target)
                else:
                    os.replace(kept, output.target)
                PUBLISHED.remove(output.path)
            except (OSError, KeyboardInterrupt, SystemExit):
                # Whoever stops the run again while it tidies up gets the rest put back all the same.
                left.append(output.path)
        self._tidy()
        for folder in self._folders:
            with contextlib.suppress(OSError):
                folder.rmdir()
        return left

    def finish(self) -> list[Path | None]:
        """Leave only what is wanted, and return where old files are kept."""
        self._tidy()
        for folder in {output.target.parent for output, _ in self._done}:
            # Ask the system to keep the new name through a power cut, where it can.
            with contextlib.suppress(OSError):
                handle = os.open(folder, os.O_RDONLY)
                try:
                    os.fsync(handle)
                finally:
                    os.close(handle)
        for output, kept in self._done:
            if kept is not None and not output.keep:
                with contextlib.suppress(OSError):
                    os.unlink(kept)
        return [kept if output.keep else None for output, kept in self._done]

    def _tidy(self) -> None:
        for draft in self._drafts.values():
            with contextlib.suppress(OSError):
                os.unlink(draft)


def _write_draft(target: Path, data: bytes) -> Path:
    """Write the whole content to a hidden file in the same folder and return its path."""
    handle, name = tempfile.mkstemp(prefix=f".{target.stem[:40]}.", suffix=DRAFT_ENDING, dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        # The permissions a new file gets here.
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(name, 0o666 & ~mask)
    except BaseException:
        os.unlink(name)
        raise
    return Path(name)


def _keep_old(target: Path) -> Path | None:
    """Keep the present file under a name of its own, the target staying in place."""
    number, missed = 1, 0
    while target.exists():
        mark = KEPT_MARK if number == 1 else f"{KEPT_MARK}-{number}"
        kept = target.with_name(f"{target.stem}{mark}{target.suffix}")
        try:
            # Link or copy a file to a name that must be free.
            try:
                os.link(target, kept)
            except OSError as problem:
                if problem.errno not in _NO_LINKS:
                    raise
                with open(kept, "xb") as file:
                    try:
                        file.write(target.read_bytes())
                        file.flush()
                        os.fsync(file.fileno())
                    except BaseException:
                        os.unlink(kept)
                        raise
                shutil.copystat(target, kept)
        except FileExistsError:
            number += 1
        except FileNotFoundError:
            # Another writer gave the name a new file between the two looks at it; its file is the one to
            # keep.
            missed += 1
            if missed > MISSES:
                raise
        else:
            return kept
    return None


def is_kept_copy(path: Path) -> bool:
    """Tell whether a file, by its name, was kept when a new one took its place."""
    return re.search(rf"{re.escape(KEPT_MARK)}(-\d+)?$", path.stem) is not None
