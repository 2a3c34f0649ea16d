"""Ctrl-C, remembered: a library may swallow the exception, and the run must stop all the same."""

from __future__ import annotations

import signal
import threading
from types import FrameType

_asked = threading.Event()


def listen(stop: type[BaseException] = KeyboardInterrupt) -> None:
    """Raise `stop` at Ctrl-C from now on, and remember that it was asked for.

    Parameters
    ----------
    stop : exception class
        What to raise; a process at work for another ends in silence with `SystemExit`.
    """

    def on_interrupt(number: int, frame: FrameType | None) -> None:
        _asked.set()
        raise stop

    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGINT, on_interrupt)


def asked() -> bool:
    """Return whether somebody asked this process to stop."""
    return _asked.is_set()


def raise_if_asked() -> None:
    """Stop now where a library turned the interruption into something else.

    Raises
    ------
    KeyboardInterrupt
        When somebody asked for it.
    """
    if asked():
        raise KeyboardInterrupt
