"""Same in, same out: neither the order of sets, the place, the language nor the clock leaves a mark in any output."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import workbook_builder

TESTS = Path(__file__).parent
PACKAGE = Path(workbook_builder.__file__).parent

#: Builds everything from the smallest farm and prints a digest of each output.
MAKE = """
import hashlib, locale
try:
    locale.setlocale(locale.LC_ALL, "")
except locale.Error:
    pass
from small_farm import small_farm
from workbook_builder.build import MOMENT, build_inputs
from workbook_builder.export.ics import plan_as_ics
from workbook_builder.export.json_text import plan_as_json
from workbook_builder.input_book import input_book
from workbook_builder.printing import Choice, documents
built = build_inputs(small_farm(products={"rei_hours": 72.0, "restricted_use": "yes"}, farm={"time_zone": "America/Chicago"}))
made = {"workbook": built.data, "json": plan_as_json(built.plan, ()).encode(), "calendar": plan_as_ics(built.plan, MOMENT).encode(),
        "input book": input_book("us", True, "guide")}
made |= {name: page.encode() for name, page in documents(built.plan, Choice()).items()}
for name, data in made.items():
    print(name, hashlib.sha256(data).hexdigest())
"""

#: Calls that tell the time, the place or a chance.
TELLING = {"now", "utcnow", "today", "localtime", "gmtime", "ctime", "uuid1", "uuid4", "getnode", "gethostname", "getuser", "getpid", "urandom"}
#: Where they are used for something else than an output.
ALLOWED: set[str] = set()


def digests(**variant: str) -> str:
    """Make everything in a process of its own and return what it prints."""
    path = os.pathsep.join((str(TESTS), str(PACKAGE.parent)))
    ended = subprocess.run([sys.executable, "-c", MAKE], env={**os.environ, "PYTHONPATH": path, **variant}, capture_output=True, text=True, timeout=120, check=False)
    assert ended.returncode == 0, ended.stderr
    return ended.stdout


def test_every_output_is_the_same_elsewhere() -> None:
    """Another hash seed, time zone, language, home and moment give the same bytes of workbook, books, pages, JSON and calendar."""
    here = digests(PYTHONHASHSEED="1", TZ="UTC", LC_ALL="C.UTF-8")
    there = digests(PYTHONHASHSEED="4242", TZ="Pacific/Auckland", LC_ALL="tr_TR.UTF-8", LANG="de_DE.UTF-8", HOME="/nonexistent", USER="someone", COLUMNS="40")

    assert here.splitlines() == there.splitlines()
    assert len(here.splitlines()) >= 7


def test_no_clock_is_asked() -> None:
    """The package never asks for the day, the machine, its user or a chance, so another day gives the same file."""
    asked = set()
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            name = node.func.attr if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) else ""
            if name in TELLING:
                asked.add(f"{path.relative_to(PACKAGE).as_posix()}:{name}")

    assert asked <= ALLOWED
