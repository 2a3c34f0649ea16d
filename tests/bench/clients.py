"""Many clients in one run: ``python -m tests.bench.clients [CLIENTS [FEW]]`` rewrites their part of ``docs/benchmarks.md``.

A client is the smallest farm there can be, each with another area.  The program itself is
run, as a person would run it: a few clients with one job and again with two, then all in one run.
Clock time depends on what else the machine does; processor time and the ratio of the two say how much that was.
"""

from __future__ import annotations

import csv
import os
import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

PAGE = Path("docs/benchmarks.md")
HEADING = "## Many clients"
CLIENTS, FEW = 1000, 40


@dataclass(frozen=True)
class Run:
    """One run of the program over some clients.

    Attributes
    ----------
    clients, jobs : int
    clock, processor : float
        [seconds]
    """

    clients: int
    jobs: int
    clock: float
    processor: float


def write_clients(folder: Path, count: int) -> None:
    """Write the inputs of that many clients, a folder of CSV files each."""
    sys.path.insert(0, str(Path(__file__).parents[1]))
    from small_farm import small_farm

    for number in range(count):
        farm = small_farm(farm={"farm": f"Invented client {number}"}, fields={"area": 40.0 + number % 400})
        room = folder / f"client-{number:04}"
        room.mkdir(parents=True)
        for table, rows in farm.tables.items():
            with (room / f"{table}.csv").open("w", newline="", encoding="utf-8") as stream:
                writer = csv.DictWriter(stream, [key for key, value in rows[0].items() if value not in (None, "")], extrasaction="ignore")
                writer.writeheader()
                writer.writerows(rows)


def build(sources: Path, target: Path, jobs: int) -> Run:
    """Build all clients of a folder and return how long it took; every client must have a workbook."""
    count = sum(1 for _ in sources.iterdir())
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    command = [sys.executable, "-m", "workbook_builder", "build", str(sources), "-o", str(target), "--jobs", str(jobs), "--quiet"]
    subprocess.run(command, check=True, capture_output=True)
    clock, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    assert len(list(target.glob("client-*.xlsx"))) == count
    return Run(count, jobs, clock, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)


def section(few: list[Run], all_of_them: Run, load: float) -> str:
    """Return the part of the page."""
    one, two = few
    lines = [
        HEADING, "",
        f"Written by `python -m tests.bench.clients`; a client is one field with one pass, and others kept the machine busy too (load {load:.1f} on {os.cpu_count()} processors).", "",
        "| clients | jobs | clock s | processor s | processors in use | processor s a client |", "|---|---|---|---|---|---|",
    ]
    lines += [
        f"| {run.clients:,} | {run.jobs} | {run.clock:.0f} | {run.processor:.0f} | {run.processor / run.clock:.2f} | {run.processor / run.clients:.2f} |"
        for run in (one, two, all_of_them)
    ]
    lines += ["", f"Two jobs are {one.clock / two.clock:.2f} times as fast as one by the clock and need {two.processor / one.processor:.2f} times the processor time.",
              f"{all_of_them.clients:,} clients took {all_of_them.clock / 60:.0f} minutes in one run, and every one had its workbook."]
    return "\n".join(lines) + "\n"


def main() -> None:
    """Measure, and put the figures into the page."""
    count, few = ([int(each) for each in sys.argv[1:]] + [CLIENTS, FEW][len(sys.argv) - 1 :])[:2]
    load = os.getloadavg()[0]
    with tempfile.TemporaryDirectory() as folder:
        room = Path(folder)
        write_clients(room / "few", few)
        pair = [build(room / "few", room / f"few-{jobs}", jobs) for jobs in (1, 2)]
        print(pair, flush=True)
        write_clients(room / "all", count)
        whole = build(room / "all", room / "all-2", 2)
        print(whole, flush=True)
    head = PAGE.read_text("utf-8").partition(HEADING)[0]
    PAGE.write_text(head + section(pair, whole, load), "utf-8")
    print(PAGE)


if __name__ == "__main__":
    main()
