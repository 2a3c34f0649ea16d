"""Many clients in one run: ``python -m tests.bench.clients [CLIENTS [FEW]]`` rewrites their part of
``docs/benchmarks.md``.

A client is the smallest farm there can be, each with another area.  The program itself is
run, as a person would run it: a few clients with one job and again with two, then all in one run.
Clock time depends on what else the machine does; processor time and the ratio of the two say how much that
was.
``BENCH_MINUTES=25`` stops the last run after so many minutes and writes how far it came.
"""

from __future__ import annotations

import csv
import os
import signal
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
                writer = csv.DictWriter(stream,
                                        [key for key, value in rows[0].items() if value not in (None, "")],
                                        extrasaction="ignore")
                writer.writeheader()
                writer.writerows(rows)


def build(sources: Path, target: Path, jobs: int, minutes: float = 0.0) -> Run:
    """Build the clients of a folder and return how long it took; every client must have a workbook.

    With `minutes`, the run is stopped after so long, and the clients done by then are counted.
    """
    start = time.perf_counter()
    command = [sys.executable, "-m", "workbook_builder", "build", str(sources), "-o", str(target), "--jobs",
               str(jobs), "--quiet"]
    program = subprocess.Popen(command, start_new_session=True)
    spent = 0.0
    while program.poll() is None:
        time.sleep(0.2)
        spent = max(spent, processor_seconds(program.pid))
        if minutes and time.perf_counter() - start > 60 * minutes:
            os.killpg(program.pid, signal.SIGTERM)
            program.wait()
            return Run(len(list(target.glob("client-*.xlsx"))), jobs, time.perf_counter() - start, spent)
    assert program.returncode == 0
    assert len(list(target.glob("client-*.xlsx"))) == sum(1 for _ in sources.iterdir())
    return Run(sum(1 for _ in sources.iterdir()), jobs, time.perf_counter() - start, spent)


def processor_seconds(session: int) -> float:
    """Return the processor time of all processes of a session, as the kernel counts it."""
    ticks = 0
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            parts = path.read_text("ascii", "replace").rpartition(")")[2].split()
        except OSError:
            continue  # the process ended meanwhile
        ticks += int(parts[11]) + int(parts[12]) if int(parts[3]) == session else 0
    return ticks / os.sysconf("SC_CLK_TCK")


def section(few: list[Run], all_of_them: Run, wanted: int, load: float) -> str:
    """Return the part of the page."""
    one, two = few
    others = "others kept the machine busy too" if load > 1 else "nothing else ran"
    lines = [
        HEADING, "",
        f"Measured with `nice -n 10 python -m tests.bench.clients`; a client is one field with one pass, and "
        f"{others} (load {load:.1f} on {os.cpu_count()} processors).", "",
        "| clients | jobs | clock s | processor s | processors in use | processor s a client |",
        "|---|---|---|---|---|---|",
    ]
    lines += [
        f"| {run.clients:,} | {run.jobs} | {run.clock:.0f} | {run.processor:.0f} | "
        f"{run.processor / run.clock:.2f} | {run.processor / run.clients:.2f} |"
        for run in (one, two, all_of_them)
    ]
    lines += ["", f"Two jobs were {one.clock / two.clock:.2f} times as fast as one by the clock and needed "
                  f"{two.processor / one.processor:.2f} times the processor time; "
              f"on two processors of their own they would be {2 * one.processor / two.processor:.2f} times "
              f"as fast (worked out from processor time, not measured)."]
    if all_of_them.clients == wanted:
        lines.append(f"{wanted:,} clients took {all_of_them.clock / 60:.0f} minutes in one run, and every "
                     f"one had its workbook.")
    else:
        lines.append(f"Of {wanted:,} clients in one run {all_of_them.clients:,} were done when it was "
                     f"stopped after {all_of_them.clock / 60:.0f} minutes; "
                     f"at this processor time all would take "
                     f"{wanted * all_of_them.processor / all_of_them.clients / 120:.0f} minutes on two "
                     f"processors of their own (worked out, not measured).")
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
        whole = build(room / "all", room / "all-2", 2, float(os.environ.get("BENCH_MINUTES", 0)))
        print(whole, flush=True)
    head = PAGE.read_text("utf-8").partition(HEADING)[0]
    PAGE.write_text(head + section(pair, whole, count, load), "utf-8")
    print(PAGE)


if __name__ == "__main__":
    main()
