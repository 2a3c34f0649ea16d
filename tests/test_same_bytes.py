"""Same in, same out: neither the order of sets, the place,
the language nor the clock leaves a mark in any output.
"""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import workbook_builder

TESTS = Path(__file__).parent
PACKAGE = Path(workbook_builder.__file__).parent

#: Builds everything from the smallest farm and prints a digest of each output.
MAKE = """
import datetime, hashlib, locale, os
language = locale.setlocale(locale.LC_ALL, "")
if os.environ.get("ANOTHER_DAY"):
    import time_machine
    time_machine.travel(datetime.datetime.fromisoformat(os.environ["ANOTHER_DAY"])).start()
if os.environ.get("EXACT_SUMS"):
    import builtins, math
    plain_sum = builtins.sum
    def exact_sum(values, /, start=0):
        values = list(values)
        if any(type(value) is float for value in values):
            return math.fsum([start, *values])
        return plain_sum(values, start)
    builtins.sum = exact_sum
print(language, datetime.date.today().isoformat())
from small_farm import small_farm
from workbook_builder.build import MOMENT, build_inputs
from workbook_builder.export.ics import plan_as_ics
from workbook_builder.export.json_text import plan_as_json
from workbook_builder.input_book import input_book
from workbook_builder.printing import Choice, documents
built = build_inputs(small_farm(products={"rei_hours": 72.0, "restricted_use": "yes"},
                                farm={"time_zone": "America/Chicago"}))
made = {"workbook": built.data, "json": plan_as_json(built.plan, ()).encode(),
        "calendar": plan_as_ics(built.plan, MOMENT).encode(),
        "input workbook": input_book("us", True, "guide")}
made |= {name: page.encode() for name, page in documents(built.plan, Choice()).items()}
for name, data in made.items():
    print(name, hashlib.sha256(data).hexdigest())
"""

LEAP_DAY = "2028-02-29T12:00:00+00:00"

#: Calls that tell the time, the place or a chance.
TELLING = {"now", "utcnow", "today", "localtime", "gmtime", "ctime", "uuid1", "uuid4", "getnode",
           "gethostname", "getuser", "getpid", "urandom"}
#: Where an output says when it was made: the foot of printed pages, and the stamp by which a calendar program
#: knows the newer file.
ALLOWED = {"commands/print_sheets.py:now", "export/ics.py:now"}


def digests(**variant: str) -> tuple[str, list[str]]:
    """Make everything in a process of its own.

    Return the language and day it ran in, and a line for each output.
    """
    path = os.pathsep.join((str(TESTS), str(PACKAGE.parent)))
    ended = subprocess.run([sys.executable, "-c", MAKE], env={**os.environ, "PYTHONPATH": path, **variant},
                           capture_output=True, text=True, timeout=300, check=False)
    assert ended.returncode == 0, ended.stderr
    setting, *lines = ended.stdout.splitlines()
    return setting, lines


@pytest.fixture(scope="module")
def here() -> tuple[str, list[str]]:
    """Everything made in the plainest setting, today."""
    return digests(PYTHONHASHSEED="1", TZ="UTC", LC_ALL="C.UTF-8")


@pytest.fixture
def language(tmp_path: Path) -> dict[str, str]:
    """Turkish, made for this test: a decimal comma, other names of days,
    other capitals of i; the plain one where none can be made.
    """
    target, maker = tmp_path / "tr_TR.UTF-8", shutil.which("localedef")
    made = (maker and subprocess.run([maker, "-i", "tr_TR", "-f", "UTF-8", str(target)], capture_output=True,
                                     check=False).returncode == 0)
    return {"LOCPATH": str(tmp_path), "LC_ALL": target.name} if made else {"LC_ALL": "C"}


@pytest.mark.nightly
@pytest.mark.parametrize("more", [{"EXACT_SUMS": "1", "ANOTHER_DAY": LEAP_DAY}, {}], ids=str)
def test_every_output_is_the_same_elsewhere(here: tuple[str, list[str]], language: dict[str, str],
                                            more: dict[str, str]) -> None:
    """Another hash seed, time zone, language and home, exact sums and a leap day give the same bytes of
    workbook, books, pages, JSON and calendar.
    """
    setting, there = digests(PYTHONHASHSEED="4242", TZ="Pacific/Auckland", HOME="/nonexistent",
                             USER="someone", COLUMNS="40", **language, **more)

    assert setting.split()[0] != here[0].split()[0]
    assert there == here[1]
    assert len(there) >= 7


@pytest.mark.nightly
def test_every_output_is_the_same_where_sums_are_exact(here: tuple[str, list[str]]) -> None:
    """Python 3.12 and newer make up for rounding when they add fractions; no output depends on it."""
    assert digests(PYTHONHASHSEED="1", TZ="UTC", LC_ALL="C.UTF-8", EXACT_SUMS="1") == here


@pytest.mark.nightly
@pytest.mark.parametrize("moment", [LEAP_DAY, "2040-12-31T23:59:58+00:00"])
def test_every_output_is_the_same_on_another_day(here: tuple[str, list[str]], moment: str) -> None:
    """On a leap day, and while one year turns into the next, the same inputs give the same bytes."""
    setting, there = digests(PYTHONHASHSEED="1", TZ="UTC", LC_ALL="C.UTF-8", ANOTHER_DAY=moment)

    assert setting.split()[1] == moment[:10] != here[0].split()[1]
    assert there == here[1]


def test_no_clock_is_asked() -> None:
    """But for the stamps of prints and calendars the package never asks for the day, the machine,
    its user or a chance, so another day gives the same file.
    """
    asked = set()
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            name = (node.func.attr if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
                    else "")
            if name in TELLING:
                asked.add(f"{path.relative_to(PACKAGE).as_posix()}:{name}")

    assert asked <= ALLOWED
