"""Run an outside program with a time limit and no trace left when it hangs."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

from workbook_builder.engines.base import EngineFailed


def run_program(name: str, path: Path, command: Sequence[str], seconds: float,
                settings: Mapping[str, str]) -> str:
    """Run a command to its end and return what it printed.

    Parameters
    ----------
    name : str
        The engine, for messages.
    path : Path
        The workbook, for messages.
    command : sequence of str
        Program and arguments.
    seconds : float
        Time limit; then the program and all it started are ended.
    settings : mapping of str to str
        Environment variables to add.

    Raises
    ------
    EngineFailed
        It took too long, could not start or ended with an error.
    """
    try:
        process = subprocess.Popen(
            command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
            env={**os.environ, **settings}, start_new_session=True,
        )
    except OSError as problem:
        raise EngineFailed(name, path, f"{command[0]} did not start: {problem}") from problem
    with process:
        try:
            printed = process.communicate(timeout=seconds)[0].decode("utf-8", "replace").strip()
        except BaseException as problem:
            _end(process)
            if isinstance(problem, subprocess.TimeoutExpired):
                raise EngineFailed(name, path, f"not done after {seconds:g} seconds") from None
            raise
    if process.returncode != 0:
        raise EngineFailed(name, path, printed or f"the program ended with code {process.returncode}")
    return printed


def _end(process: subprocess.Popen[bytes]) -> None:
    """End the program and the programs it started, and wait a little for the last of them."""
    if not hasattr(os, "killpg"):
        process.kill()
        process.wait()
        return
    with contextlib.suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()
        for _turn in range(40):
            os.killpg(process.pid, 0)
            time.sleep(0.05)
