"""All that the usual run leaves out, in one command: ``python -m tests.nightly``.

It takes two hours or three.  At its end stands one table: what was run, for how long, and what fell short.
With ``--write`` the table goes into ``docs/nightly.md``; ``--only NAME`` runs the named steps,
and the page keeps the rows of the others.
"""

from __future__ import annotations

import argparse
import datetime
import importlib.util
import os
import platform
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).parents[1]
PAGE = TOP / "docs" / "nightly.md"
#: Where pytest tells how many tests came out how.
OUTCOMES = re.compile(r"\d+ (?:passed|failed|skipped|errors?)")


@dataclass(frozen=True)
class Step:
    """One part of the long run.

    Parameters
    ----------
    name, what : str
        How it is called; what it does, for the table.
    arguments : tuple of str
        What Python is called with; ``{room}`` stands for an empty folder.
    settings : mapping
        Variables of the environment it needs.
    missing : callable, optional
        Says what keeps it from running here, or nothing.
    told : callable, optional
        Picks what the table shows from what it printed.
    """

    name: str
    what: str
    arguments: tuple[str, ...]
    settings: Mapping[str, str]
    missing: Callable[[], str] = lambda: ""
    told: Callable[[str], str] = lambda text: ""


def outcomes(text: str) -> str:
    """Return how many tests came out how."""
    return ", ".join(OUTCOMES.findall(text.strip().rpartition("\n")[2]))


def found_in(pattern: str) -> Callable[[str], str]:
    """Return a reader of everything a pattern finds."""
    return lambda text: "; ".join(re.findall(pattern, text))


def _needs_module(name: str) -> Callable[[], str]:
    return lambda: "" if importlib.util.find_spec(name) else f"{name} is not installed"


def _needs_program(name: str) -> Callable[[], str]:
    return lambda: "" if shutil.which(name) else f"{name} is not installed"


def steps(farms: int) -> tuple[Step, ...]:
    """Return the parts of the long run in their order."""
    tests = ("-m", "pytest", "-n", "auto", "--dist", "loadscope", "-p", "no:cacheprovider")
    return (
        Step("left out",
             "tests marked nightly: 300 farms built afresh, every edit by itself, broken functions and "
             "formulas, LibreOffice, the wheel, clusters, pages of the documents",
             (*tests, "-m", "nightly"), {"WORKBOOK_OTHER_PYTHONS": "1", "MANY_TRIES": "1"}, told=outcomes),
        Step("many farms", f"{farms:,} random farms, every formula cell recalculated",
             ("-m", "tests.many_farms", "--farms", str(farms)), {},
             told=found_in(r"[\d,]+ farms, \d+ faults(?=\s*# )")),
        Step("mutants", "about one in nine of all columns and functions is broken; the farms of the usual "
                        "run must notice", ("-m", "tests.mutants", "--every", "9"), {},
             told=found_in(r"\| (?:formula|function) \| \d+ \| \d+ \| \d+ \|")),
        Step("fuzz", "bytes thrown at the readers, led by the branches they reach",
             ("tests/fuzz_readers.py", "-max_total_time=120"), {}, _needs_module("atheris"),
             found_in(r"Done \d+ runs in \d+ second")),
        Step("faults",
             "the program is killed, and starved of room, memory and rights, over files of an earlier run",
             ("-m", "tests.fault_run", "--tries", "200"), {},
             lambda: "" if os.name == "posix" else "limits are set the POSIX way",
             found_in(r"\d+ tries, \d+ faults")),
        Step("fourth judge",
             "HyperFormula, which npm fetches, recalculates every formula cell of both shipped farms and of "
             "one with every tab", ("-m", "tests.hyperformula_judge"), {},
             _needs_program("npm"), found_in(r"[\d,]+ formula cells, \d+ differences")),
        Step("pictures", "the sheets drawn, on paper and at the width of a phone",
             ("-m", "tests.screens", "out_demo/demo_farm.xlsx", "{room}"), {}, _needs_program("soffice")),
    )


def run(step: Step, room: Path) -> tuple[str, float, str]:
    """Run a step, showing what it prints; return how it ended, its minutes, and what it told."""
    why = step.missing()
    if why:
        return f"not run: {why}", 0.0, ""
    print(f"== {step.name}: {step.what}", flush=True)
    started, lines = time.monotonic(), []
    command = [sys.executable, *(argument.format(room=room) for argument in step.arguments)]
    with subprocess.Popen(command, cwd=TOP, env={**os.environ, **step.settings}, stdout=subprocess.PIPE,
                          stderr=subprocess.STDOUT, text=True) as process:
        assert process.stdout is not None
        for line in process.stdout:
            print(line, end="", flush=True)
            lines.append(line)
    ended = "done" if process.returncode == 0 else f"FELL SHORT (exit code {process.returncode})"
    return ended, (time.monotonic() - started) / 60, step.told("".join(lines))


def page(rows: list[tuple[Step, str, float, str]], before: str = "") -> str:
    """Return the page of a run, with the rows of steps that were not run as they stand in the page of before.
    """
    line_of = {line.split(" | ")[0].removeprefix("| "): line for line in before.splitlines()
               if line.startswith("| ")}
    day = datetime.date.today().isoformat()
    line_of |= {step.name: f"| {step.name} | {step.what} | {day} | {minutes:.0f} | {told.replace('|', '/')} "
                           f"| {ended} |" for step, ended, minutes, told in rows}
    lines = [line_of[step.name] for step in steps(0) if step.name in line_of]
    return "\n".join([
        "# The long run", "",
        f"Written by `python -m tests.nightly --write` under Python {platform.python_version()} on "
        f"{os.cpu_count()} processors.", "",
        "| part | what it does | day | minutes | what it told | how it ended |",
        "|---|---|---|---|---|---|", *lines, "",
    ])


def main() -> int:
    """Run every step, however the others end; print the table and, when asked, write the page."""
    parser = argparse.ArgumentParser(description="Run what the usual tests leave out.")
    parser.add_argument("--farms", type=int, default=600, help="random farms of the step `many farms`")
    parser.add_argument("--only", nargs="*", default=[], help="names of steps")
    parser.add_argument("--write", action="store_true", help="write docs/nightly.md")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as room:
        rows = [(step, *run(step, Path(room))) for step in steps(asked.farms) if not asked.only
                or step.name in asked.only]
    print(page(rows))
    if asked.write:
        PAGE.write_text(page(rows, PAGE.read_text("utf-8") if PAGE.is_file() else ""), "utf-8")
    return int(any(ended.startswith("FELL") for _, ended, _, _ in rows))


if __name__ == "__main__":
    sys.exit(main())
