"""The benchmarks in one run, written to ``docs/benchmarks.md``: ``python -m tests.bench [FIELDS ...]``.

Ratios compare processor time in the same run, so they hold on a slow or busy machine too.
Many clients are measured by ``python -m tests.bench.clients``, which takes as long again.
"""

from __future__ import annotations

import json
import os
import re
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from tests.bench.page import PAGE, Figures, page, with_new_figures

SIZES = (20, 50, 100, 200)
#: Recalculation is measured up to this many fields; the engines need minutes beyond.
RECALCULATED = 50
#: Fields of the largest farm (ten thousand passes), built but not written by anything else.
LARGEST = 2000
ENGINES = ("ironcalc", "libreoffice", "gnumeric")


def child(*arguments: str) -> Figures:
    """Run one measurement in a process of its own."""
    done = subprocess.run([sys.executable, "-m", "tests.bench.one_build", *arguments], check=True,
                          capture_output=True, text=True)
    found: Figures = json.loads(done.stdout)
    print(arguments[0], found, flush=True)
    return found


def processor_seconds(command: Sequence[str]) -> float:
    """Return the processor time of a command and its children."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, capture_output=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def builds(sizes: Sequence[int], room: Path) -> list[Figures]:
    """Build farms of several sizes, each beside bare openpyxl writing the same cells, and read them back."""
    found = []
    for size in sizes:
        folder = room / str(size)
        folder.mkdir()
        row = {"fields": float(size), **child("build", str(folder), str(size))}
        row |= {f"openpyxl_{key}": value for key, value in child("openpyxl", str(folder)).items()}
        row |= child("read", str(folder))
        if size <= RECALCULATED:
            row |= recalculation(folder / "built.xlsx")
        found.append(row)
    return found


def recalculation(workbook: Path) -> Figures:
    """Return the processor seconds each engine needs to load, recalculate and give every cell of a workbook.
    """
    code = ("import sys; from pathlib import Path; from workbook_builder.engines import engine_named; "
            "engine_named(sys.argv[1]).recalculate(Path(sys.argv[2]))")
    found = {engine: processor_seconds([sys.executable, "-c", code, engine, str(workbook)])
             for engine in ENGINES}
    print(found, flush=True)
    return found


def help_ratio() -> tuple[float, float]:
    """Return the processor seconds of showing help and of importing typer, best of several."""
    shown = min(processor_seconds([sys.executable, "-m", "workbook_builder", "--help"]) for _ in range(7))
    bare = min(processor_seconds([sys.executable, "-c", "import typer"]) for _ in range(7))
    return shown, bare


def opening(workbook: Path, room: Path) -> tuple[float, float, float]:
    """Return the processor seconds LibreOffice needs to open a workbook as it is installed,
    to recalculate it whole as well, and to open one of plain values.
    """
    from workbook_builder.engines.libreoffice_engine import _ALWAYS_CALCULATE
    from workbook_builder.finish.package import pack
    from workbook_builder.finish.parts import read_parts

    parts = read_parts(workbook)
    plain = {name: re.sub(rb"<f>[^<]*</f>", b"", data) if name.startswith("xl/worksheets/") else data
             for name, data in parts.items()}
    (room / "plain.xlsx").write_bytes(pack(plain))
    commands = []
    for name, settings in (("installed", None), ("always", _ALWAYS_CALCULATE)):
        profile = room / name
        (profile / "user").mkdir(parents=True)
        if settings is not None:
            (profile / "user" / "registrymodifications.xcu").write_text(settings, "utf-8")
        commands.append(["soffice", f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to",
                         "csv", "--outdir", str(room)])
        processor_seconds([*commands[-1], str(room / "plain.xlsx")])  # the first start makes the profile
    installed, always = (processor_seconds([*command, str(workbook)]) for command in commands)
    return installed, always, processor_seconds([*commands[0], str(room / "plain.xlsx")])


def main() -> None:
    """Run the benchmarks and write their part of the page."""
    sizes = tuple(int(size) for size in sys.argv[1:]) or SIZES
    started, load = time.monotonic(), os.getloadavg()[0]
    with tempfile.TemporaryDirectory() as folder:
        room = Path(folder)
        with ThreadPoolExecutor(1) as beside:
            # A quarter of an hour, and processor time is what counts: it runs on a processor of its own
            # beside the others.
            slowest = beside.submit(child, "only", str(room), str(LARGEST)) if sizes == SIZES else None
            rows = builds(sizes, room)
            largest = slowest.result() if slowest else None
        opened = opening(room / "200" / "built.xlsx", room) if 200 in sizes else None
        text = page(rows, largest, help_ratio(), opened, load)
    PAGE.write_text(with_new_figures(PAGE.read_text("utf-8"), text), "utf-8")
    print(f"{PAGE} after {(time.monotonic() - started) / 60:.0f} min")


if __name__ == "__main__":
    main()
