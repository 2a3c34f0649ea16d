"""All benchmarks in one run, written to ``docs/benchmarks.md``: ``python -m tests.bench [FIELDS ...]``.

Ratios compare processor time in the same run, so they hold on a slow or busy machine too.
"""

from __future__ import annotations

import json
import math
import os
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

SIZES = (20, 50, 100, 200, 500)
PAGE = Path("docs/benchmarks.md")
CLIENTS = 1000
#: What the design asks for.
WANTED = {"build": 3.0, "memory": 2.0, "help": 1.5, "open": 3.0}

Figures = dict[str, float]


def child(*arguments: str) -> Figures:
    """Run one measurement in a process of its own."""
    done = subprocess.run([sys.executable, "-m", "tests.bench.one_build", *arguments], check=True, capture_output=True, text=True)
    found: Figures = json.loads(done.stdout)
    return found


def processor_seconds(command: Sequence[str], **options: object) -> float:
    """Return the processor time of a command and its children."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, capture_output=True, **options)  # type: ignore[call-overload]
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def builds(sizes: Sequence[int], room: Path) -> list[Figures]:
    """Build farms of several sizes, each beside bare openpyxl writing the same cells."""
    found = []
    for size in sizes:
        folder = room / str(size)
        folder.mkdir()
        built, bare = child(str(size), str(folder)), child("bare", str(folder))
        found.append({**built, "fields": size, "bare_seconds": bare["seconds"], "bare_memory": bare["memory"]})
        print(found[-1], flush=True)
    return found


def exponent(rows: Sequence[Figures]) -> float:
    """Return b of seconds = a x rows^b, by least squares on logarithms."""
    points = [(math.log(row["rows"]), math.log(row["seconds"])) for row in rows]
    middle_x, middle_y = (sum(point[n] for point in points) / len(points) for n in (0, 1))
    return sum((x - middle_x) * (y - middle_y) for x, y in points) / sum((x - middle_x) ** 2 for x, _ in points)


def help_ratio() -> tuple[float, float]:
    """Return the processor seconds of showing help and of importing typer, best of several."""
    shown = min(processor_seconds([sys.executable, "-m", "workbook_builder", "--help"]) for _ in range(7))
    bare = min(processor_seconds([sys.executable, "-c", "import typer"]) for _ in range(7))
    return shown, bare


def opening(workbook: Path, room: Path) -> tuple[float, float]:
    """Return the processor seconds LibreOffice needs to open, recalculate and export a workbook, and one of plain values."""
    from workbook_builder.engines.libreoffice_engine import _ALWAYS_CALCULATE
    from workbook_builder.finish.package import pack
    from workbook_builder.finish.parts import read_parts

    parts = read_parts(workbook)
    plain = {name: re.sub(rb"<f>[^<]*</f>", b"", data) if name.startswith("xl/worksheets/") else data for name, data in parts.items()}
    (room / "plain.xlsx").write_bytes(pack(plain))
    profile = room / "profile"
    (profile / "user").mkdir(parents=True)
    (profile / "user" / "registrymodifications.xcu").write_text(_ALWAYS_CALCULATE, "utf-8")
    command = ["soffice", f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to", "csv", "--outdir", str(room)]
    processor_seconds([*command, str(room / "plain.xlsx")])  # the first start makes the profile
    return processor_seconds([*command, str(workbook)]), processor_seconds([*command, str(room / "plain.xlsx")])


def clients(room: Path, count: int) -> tuple[float, float, float]:
    """Return seconds for 100 small clients with one job and with two, and for `count` in one run."""
    from workbook_builder.many import Task
    from workbook_builder.many.runners import run_here

    source = Path("workbook_builder/data/demo_metric").resolve()

    def run(number: int, jobs: int) -> float:
        folder = room / f"clients{number}-{jobs}"
        folder.mkdir()
        tasks = [Task(f"client-{n}", source, folder / f"client-{n}.xlsx") for n in range(number)]
        start = time.perf_counter()
        states = {outcome.state for outcome in run_here(tasks, jobs)}
        assert states == {"built"}, states
        taken = time.perf_counter() - start
        shutil.rmtree(folder)
        return taken

    return run(20, 1), run(20, 2), run(count, 2) if count else 0.0


def verdict(ratio: float, wanted: float) -> str:
    """Say whether a ratio is within what was asked for."""
    return f"{ratio:.2f} ({'within' if ratio <= wanted else 'over'} {wanted:g})"


def page(rows: Sequence[Figures], helped: tuple[float, float], opened: tuple[float, float], many: tuple[float, float, float], count: int) -> str:
    """Return the page."""
    from workbook_builder import __version__

    lines = [
        "# Benchmarks", "",
        f"Written by `python -m tests.bench` with version {__version__} on {os.cpu_count()} processors, Python {sys.version.split()[0]}.",
        "Seconds are processor time, memory is the peak of a process of its own; ratios are taken within one run.", "",
        "## Building", "",
        "Five passes a field, mixes of four products; bare openpyxl writes the same cells without styles, drop-downs or stored values.", "",
        "| fields | pass rows | cells | file MB | build s | bare s | ratio | build MB | bare MB | ratio | ms a pass row |", "|---|" + "---|" * 10,
    ]
    for row in rows:
        lines.append(
            f"| {row['fields']:.0f} | {row['rows']:.0f} | {row['cells']:,.0f} | {row['size']:.1f} | {row['seconds']:.1f} | {row['bare_seconds']:.1f} | "
            f"{verdict(row['seconds'] / row['bare_seconds'], WANTED['build'])} | {row['memory']:.0f} | {row['bare_memory']:.0f} | "
            f"{verdict(row['memory'] / row['bare_memory'], WANTED['memory'])} | {1000 * row['seconds'] / row['rows']:.0f} |"
        )
    lines += ["", f"Time grows as rows to the power {exponent(rows):.2f}.", "", "## Starting", "",
              f"`workbook-builder --help` takes {helped[0]:.3f} s and `python -c 'import typer'` {helped[1]:.3f} s: ratio {verdict(helped[0] / helped[1], WANTED['help'])}.",
              "", "## Opening", ""]
    if opened[1]:
        lines.append(f"LibreOffice opens, recalculates and exports the 200-field workbook in {opened[0]:.1f} s of processor time, and a file of the same "
                     f"cells as plain values in {opened[1]:.1f} s: ratio {verdict(opened[0] / opened[1], WANTED['open'])}.")
    lines += ["", "## Many clients", "", f"20 small clients take {many[0]:.0f} s with one job and {many[1]:.0f} s with two (clock time): {many[0] / many[1]:.2f} times as fast."]
    if count:
        lines.append(f"{count:,} small clients take {many[2] / 60:.0f} minutes in one run with two jobs, {many[2] / count:.2f} s each.")
    return "\n".join(lines) + "\n"


def main() -> None:
    """Run all benchmarks and write the page."""
    sizes = tuple(int(size) for size in sys.argv[1:]) or SIZES
    count = int(os.environ.get("BENCH_CLIENTS", CLIENTS))
    with tempfile.TemporaryDirectory() as folder:
        room = Path(folder)
        rows = builds(sizes, room)
        opened = opening(room / "200" / "built.xlsx", room) if 200 in sizes else (0.0, 0.0)
        PAGE.write_text(page(rows, help_ratio(), opened, clients(room, count), count), "utf-8")
    print(PAGE)


if __name__ == "__main__":
    main()
