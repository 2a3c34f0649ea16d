"""Write a file under its final name only when it is whole."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import shutil
import tempfile
from pathlib import Path

#: What a file's name gets, with a number from the second on, when a new file takes its place.
KEPT_MARK = ".before"
#: The file system has no hard links.
_NO_LINKS = {errno.EPERM, errno.EACCES, errno.ENOSYS, errno.EOPNOTSUPP, errno.EMLINK, errno.EXDEV, errno.EINVAL}


class AlreadyThere(FileExistsError):
    """The target exists and replacing it was not asked for.

    Parameters
    ----------
    path : Path
        The target.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        super().__init__(errno.EEXIST, "already exists", str(path))

    def __str__(self) -> str:
        """Name the file and the way out."""
        return f"{self.path} already exists; choose another name or ask to replace it"


class CannotWrite(OSError):
    """The file could not be written; whatever stood under its name still stands there.

    Parameters
    ----------
    path : Path
        The target.
    cause : OSError
        What the system said.
    """

    def __init__(self, path: Path, cause: OSError) -> None:
        self.path = path
        self.cause = cause
        super().__init__(cause.errno, cause.strerror, str(path))

    def __str__(self) -> str:
        """Name the file and the reason."""
        reason = self.cause.strerror or str(self.cause)
        return f"cannot write {self.path}: {reason}; nothing was changed"


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
    AlreadyThere
        The target exists and `replace` is false, also when another program made it
        between the start and the end of this call.
    CannotWrite
        The system refused; nothing is left behind.
    """
    target = Path(os.path.realpath(path))
    if target.exists() and not replace:
        raise AlreadyThere(path)
    try:
        if target.is_dir():
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
        if target.exists() and not target.is_file():
            # Giving a file the name of a device would take the device from everybody.
            raise OSError(errno.EINVAL, "it is a device or a pipe, not a file")
        return _write(target, data, replace)
    except FileExistsError:
        raise AlreadyThere(path) from None
    except OSError as cause:
        raise CannotWrite(path, cause) from cause


def _write(target: Path, data: bytes, replace: bool) -> Path | None:
    """Write beside the target, then give the file its name."""
    draft = _write_draft(target, data)
    try:
        kept = _publish(draft, target, replace)
    finally:
        with contextlib.suppress(FileNotFoundError):
            os.unlink(draft)
    _sync_folder(target.parent)
    return kept


def _write_draft(target: Path, data: bytes) -> Path:
    """Write the whole content to a hidden file in the same folder and return its path."""
    handle, name = tempfile.mkstemp(prefix=f".{target.stem[:40]}.", suffix=".part", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, _usual_mode())
    except BaseException:
        os.unlink(name)
        raise
    return Path(name)


def _publish(draft: Path, target: Path, replace: bool) -> Path | None:
    """Give the draft its final name; return where an old file is kept."""
    if not replace:
        _publish_new(draft, target)
        return None
    kept = _keep_old(target)
    try:
        os.replace(draft, target)
    except BaseException:
        if kept is not None:
            os.unlink(kept)
        raise
    return kept


def _publish_new(draft: Path, target: Path) -> None:
    """Give the draft its name, failing when that name is taken, with no moment in between."""
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


def _keep_old(target: Path) -> Path | None:
    """Keep the present file under a name of its own, the target staying in place."""
    number = 1
    while target.exists():
        mark = KEPT_MARK if number == 1 else f"{KEPT_MARK}-{number}"
        kept = target.with_name(f"{target.stem}{mark}{target.suffix}")
        try:
            _copy_exclusively(target, kept)
        except FileExistsError:
            number += 1
        else:
            return kept
    return None


def is_kept_copy(path: Path) -> bool:
    """Tell whether a file, by its name, was kept when a new one took its place."""
    return re.search(rf"{re.escape(KEPT_MARK)}(-\d+)?$", path.stem) is not None


def _copy_exclusively(source: Path, copy: Path) -> None:
    """Link or copy a file to a name that must be free."""
    try:
        os.link(source, copy)
    except OSError as problem:
        if problem.errno not in _NO_LINKS:
            raise
        with open(copy, "xb") as file:
            try:
                file.write(source.read_bytes())
                file.flush()
                os.fsync(file.fileno())
            except BaseException:
                os.unlink(copy)
                raise
        shutil.copystat(source, copy)


def _usual_mode() -> int:
    """Return the permissions a new file gets here."""
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _sync_folder(folder: Path) -> None:
    """Ask the system to keep the new name through a power cut, where it can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
