"""Ctrl-C and the wish of the system to end, remembered: a library may swallow the exception,
and the run must stop all the same.
"""

from __future__ import annotations

import _thread
import os
import signal
import threading
import time
from collections.abc import Sequence
from types import FrameType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from multiprocessing.synchronize import Event

_asked = threading.Event()
#: In a process at work for another: set when the whole run is stopped.
_run: list[Event] = []
#: Seconds that a process has to end by itself, tidying up, when its run is stopped or its parent is gone.
GRACE = 1.0


#: Signals that ask a program to stop: Ctrl-C, the system, a terminal that is closed.
ASKING = ("SIGINT", "SIGTERM", "SIGHUP")


def listen(stop: type[BaseException] = KeyboardInterrupt, signals: Sequence[str] = ASKING) -> None:
    """Raise `stop` from now on when somebody asks the program to stop, and remember that it was asked for.

    Parameters
    ----------
    stop : exception class
        What to raise; a process at work for another ends in silence with `SystemExit`.
    signals : sequence of str
        Names of signals; those that are not to reach this process, as under ``nohup``, stay unheard.
    """

    def on_interrupt(number: int, frame: FrameType | None) -> None:
        _asked.set()
        raise stop

    if threading.current_thread() is threading.main_thread():
        for number in (getattr(signal, name) for name in signals if hasattr(signal, name)):
            if number == signal.SIGINT or signal.getsignal(number) != signal.SIG_IGN:
                signal.signal(number, on_interrupt)


def serve(stopped: Event) -> None:
    """Prepare a process at work for another: it ends in silence at Ctrl-C or without its parent,
    and hears when the run is stopped.

    It stands here, where nothing heavy is loaded, so that a process hears from its first moment.
    """
    # Whoever runs the process ends it by another signal, which must not be caught.
    listen(SystemExit, ("SIGINT",))
    _run.append(stopped)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """End this process soon after the one that started it, however that ended.

    What is waited for is a pipe on Linux and macOS and a process handle on Windows; the system closes both.
    """
    # Loaded already in a process that was started for another, and by nobody else: help appears the sooner.
    from multiprocessing import parent_process
    from multiprocessing.connection import wait

    parent = parent_process()
    if parent is None:
        return
    wait([parent.sentinel])
    # First as at Ctrl-C, so that no half-written file stays; what does not listen is ended.
    _thread.interrupt_main()
    time.sleep(GRACE)
    os._exit(1)


def asked() -> bool:
    """Return whether somebody asked this process, or the run it belongs to, to stop."""
    return _asked.is_set() or any(run.is_set() for run in _run)


def raise_if_asked() -> None:
    """Stop now where a library turned the interruption into something else.

    Raises
    ------
    KeyboardInterrupt
        When somebody asked for it.
    """
    if asked():
        raise KeyboardInterrupt
