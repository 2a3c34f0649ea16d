"""What the program says: results on stdout, messages on stderr, colour only on terminals."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

import typer

if TYPE_CHECKING:
    from workbook_builder.check.problems import Problem

COLOURS = {"Not allowed": "red", "Not entered": "magenta", "Review": "yellow", "OK": "cyan", "error": "red",
           "warning": "yellow"}


def paint(text: str, colour: str, stream: TextIO, bold: bool = True) -> str:
    """Return the text in colour when the stream is a terminal that wants colour."""
    wanted = stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    return typer.style(text, fg=colour or None, bold=bold) if wanted else text


def say(text: str) -> None:
    """Print a message on stderr."""
    typer.echo(text, err=True)


def result(text: str = "") -> None:
    """Print a result on stdout."""
    typer.echo(text)


def typed(path: Path) -> str:
    """Return a path as it is typed behind a command, in quotes where it needs them."""
    import shlex

    return shlex.quote(str(path))


def counted(number: int, one: str, many: str = "") -> str:
    """Return a number with its noun: ``1 field``, ``1,200 fields``."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def _by_place(problems: Sequence[Problem], out: TextIO) -> list[str]:
    places: dict[str, list[Problem]] = {}
    for problem in problems:
        name = ", ".join(part for part in (problem.file, f"sheet {problem.sheet}" if problem.sheet else "")
                         if part)
        places.setdefault(name, []).append(problem)
    lines = []
    for place, group in places.items():
        if place:
            lines.append(f"  {paint(place, '', out)}")
        for problem in group:
            parts = (f"row {problem.row}" if problem.row is not None else "", f"column {problem.column}"
                     if problem.column else "")
            where = ", ".join(part for part in parts if part)
            first = (f"    {where}: {problem.message}." if where
                     else f"    {problem.message[:1].upper()}{problem.message[1:]}.")
            stop = "" if problem.fix.endswith(("?", "...", ".")) else "."
            lines += [first, *([f"      {problem.fix}{stop}"] if problem.fix else [])]
    return lines


def print_problems(problems: Iterable[Problem]) -> None:
    """Print problems on stderr, errors first, those of one file or sheet together."""
    out, found = sys.stderr, list(problems)
    lines: list[str] = []
    for severity, title in (("error", "to fix before anything can be built"), ("warning", "to look at")):
        group = [problem for problem in found if problem.severity == severity]
        if group:
            lines.append(paint(f"{counted(len(group), severity)} {title}", COLOURS[severity], out))
            lines += _by_place(group, out)
    for line in lines:
        say(line)


def open_counts(glance: dict[str, Any]) -> str:
    """Return the numbers of points to fix in words, from the glance row of a plan."""
    parts = [f"{glance[key]} {word}"
             for key, word in (("not_allowed", "Not allowed"), ("not_entered", "Not entered"),
                               ("look", "Review")) if glance[key]]
    return ", ".join(parts) if parts else "nothing open"
