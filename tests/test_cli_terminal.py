"""The program on a terminal: it completes, colours only what a terminal shows, and is always called the same.
"""

from __future__ import annotations

import os
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest

from workbook_builder.commands.messages import paint

PROGRAM = [sys.executable, "-m", "workbook_builder"]


def answer(**asked: str) -> str:
    """Return what the program prints when a shell asks it."""
    done = subprocess.run(PROGRAM, capture_output=True, text=True, check=False, cwd=Path(__file__).parents[1],
                          env={**os.environ, **asked}, timeout=600)
    return done.stdout


@pytest.mark.parametrize(("typed", "place", "offered"),
                         [("workbook-builder bu", 1, "build"), ("workbook-builder build --jo", 2, "--jobs"),
                          ("workbook-builder pr", 1, "print")])
def test_the_shell_is_told_how_to_go_on(typed: str, place: int, offered: str) -> None:
    """Half a command or option is completed."""
    assert answer(_WORKBOOK_BUILDER_COMPLETE="complete_bash", COMP_WORDS=typed,
                  COMP_CWORD=str(place)).split() == [offered]


def test_it_is_called_by_its_name() -> None:
    """Help names the program as it is typed, also when Python starts it as a module."""
    done = subprocess.run([*PROGRAM, "--help"], capture_output=True, text=True, check=True,
                          cwd=Path(__file__).parents[1], timeout=600)
    assert done.stdout.split()[:2] == ["Usage:", "workbook-builder"]


class Terminal(StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """Say so."""
        return True


def test_colour_only_where_it_is_wanted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Colour goes to terminals alone, and to none where NO_COLOR is set or the terminal is dumb."""
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert "\x1b[" in paint("Review", "yellow", Terminal())
    assert paint("Review", "yellow", StringIO()) == "Review"
    monkeypatch.setenv("TERM", "dumb")
    assert paint("Review", "yellow", Terminal()) == "Review"
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("NO_COLOR", "1")
    assert paint("Review", "yellow", Terminal()) == "Review"
