"""A progress bar on stderr, on terminals alone, once a job has taken a while."""

from __future__ import annotations

import os
import shutil
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, TextIO

import typer

from workbook_builder.steps import listening

#: A bar that only flashes up tells nobody anything [seconds].
PATIENCE = 1.0
#: The bar moves in steps of this size [share].
STEP = 0.01
#: Room for what is done now, so that the bar does not jump; less on a narrow terminal [characters].
LABEL_WIDTH, NARROW = 26, 60


class Bar:
    """Draws what is told, from the moment it is worth drawing.

    Parameters
    ----------
    stream : text stream
    patience : float
        How long nothing is shown [seconds].
    """

    def __init__(self, stream: TextIO, patience: float = PATIENCE) -> None:
        self._stream = stream
        self._from = time.monotonic() + patience
        self._bar: Any = None
        self._done = 0

    def __call__(self, what: str, share: float) -> None:
        """Show what is done now and the share that is done before it."""
        if self._bar is None:
            if time.monotonic() < self._from:
                return
            self._bar = typer.progressbar(length=round(1 / STEP), label=_label(what), file=self._stream,
                                          show_eta=False,
                                          width=max(8, min(36, _columns() - LABEL_WIDTH - 12)))
            self._bar.__enter__()
        self._bar.label = _label(what)
        steps = max(0, round(share / STEP) - self._done)
        self._done += steps
        self._bar.update(steps)
        self._bar.render_progress()

    def close(self, whole: bool) -> None:
        """Leave the line, with a full bar where the job came to its end."""
        if self._bar is not None:
            if whole:
                self("Done", 1)
            self._bar.__exit__(None, None, None)


@contextmanager
def progress_shown(quiet: bool = False) -> Iterator[None]:
    """Show how far the work inside is, unless asked to be quiet or where nobody looks."""
    if quiet or not on_terminal():
        yield
        return
    bar, whole = Bar(sys.stderr), False
    try:
        with listening(bar):
            yield
        whole = True
    finally:
        bar.close(whole)


def on_terminal() -> bool:
    """Return whether messages go to a terminal that can draw."""
    return sys.stderr is not None and sys.stderr.isatty() and os.environ.get("TERM") != "dumb"


def _columns() -> int:
    return shutil.get_terminal_size().columns


def _label(what: str) -> str:
    width = LABEL_WIDTH if _columns() >= NARROW else max(8, _columns() - 22)
    return what[:width].ljust(width)
