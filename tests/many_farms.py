"""A long run over random farms: ``python -m tests.many_farms --farms 10000``.

The first farm of each unit system in a batch is built for itself; those after it are typed over it in
the open workbook where they have room, which recalculates every formula cell just the same in a fraction of
the time.
"""

from __future__ import annotations

import argparse
import os
import platform
import re
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from farms_strategy import faults_of_a_farm
from fast_farms import OpenBooks
from live_book import where
from random_farms import random_farm

PAGE = Path(__file__).parents[1] / "docs" / "many-farms.md"
BATCH = 200
AGAIN = "## Tried again"


def run_batch(first_seed: int) -> tuple[int, int, int, list[str]]:
    """Check a batch of farms; return farms, books, cells compared and faults."""
    farms, cells, faults, books = 0, 0, [], OpenBooks()
    for seed in range(first_seed, first_seed + BATCH):
        inputs = random_farm(seed)
        if inputs is None:
            continue
        book = books.holding(inputs)
        farms += 1
        cells += book.formula_cells
        faults += [f"seed {seed}: {where(book.built, each)}" for each in book.differences()[:3]]
    return farms, books.built, cells, faults


def tried_again(page: str) -> str:
    """Build the farms again that a page says differed, with the code of today,
    and return the page with what came out.
    """
    body, _, _ = page.partition(AGAIN)
    lines = [AGAIN, "", "Each is built for itself, with the formulas and functions of today.", ""]
    for seed in dict.fromkeys(map(int, re.findall(r"^- seed (\d+):", body, re.MULTILINE))):
        inputs = random_farm(seed)
        found = ["the farm is no longer valid"] if inputs is None else faults_of_a_farm(inputs)
        lines.append(f"- farm {seed}: {'; '.join(found[:3]) or 'agrees'}")
    return body.rstrip("\n") + "\n\n" + "\n".join(lines) + "\n"


def results(farms: int, first_seed: int, jobs: int,
            minutes: float) -> Iterator[tuple[int, int, int, list[str]]]:
    """Yield the result of each batch until enough farms are checked or the time is up."""
    seeds = range(first_seed, first_seed + 2 * farms, BATCH)
    done, end = 0, time.monotonic() + 60 * minutes
    with ProcessPoolExecutor(jobs) as pool:
        for start in range(0, len(seeds), jobs):
            for result in pool.map(run_batch, seeds[start : start + jobs]):
                done += result[0]
                yield result
            if done >= farms or time.monotonic() > end:
                return


def main() -> int:
    """Run, print and, when asked, write the docs page."""
    parser = argparse.ArgumentParser(description="Check random farms against IronCalc, every formula cell.")
    parser.add_argument("--farms", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1_000_000)
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--minutes", type=float, default=24 * 60, help="start no further farms after so long")
    parser.add_argument("--write", action="store_true", help="write docs/many-farms.md")
    parser.add_argument("--again", action="store_true",
                        help="only try the farms again that differed in the run on the page")
    asked = parser.parse_args()
    if asked.again:
        PAGE.write_text(tried_again(PAGE.read_text("utf-8")), "utf-8")
        return 0
    started, totals, faults = time.monotonic(), [0, 0, 0], []
    for result in results(asked.farms, asked.seed, asked.jobs, asked.minutes):
        totals = [total + part for total, part in zip(totals, result[:3], strict=True)]
        faults += result[3]
        for fault in result[3]:
            print(fault, flush=True)
        print(f"{totals[0]:,} farms, {len(faults)} faults", flush=True)
    text = report(totals, faults, time.monotonic() - started, asked.jobs, asked.seed)
    print(text)
    if asked.write:
        PAGE.write_text(text, "utf-8")
    return 1 if faults else 0


def report(totals: list[int], faults: list[str], seconds: float, jobs: int, seed: int) -> str:
    """Return the docs page of a run."""
    farms, books, cells = totals
    listed = "\n".join(f"- {fault}" for fault in faults)
    differed = f"\n## What differed\n\n{listed}\n" if faults else ""
    return f"""# Long run over random farms

`python -m tests.many_farms --farms 10000 --write` makes random valid farms from the declarations,
builds workbooks for some and types the others into those.
Every formula cell of every farm is recalculated by IronCalc and compared with the Python plan.

| what | last run |
|---|---|
| farms | {farms:,} |
| workbooks built | {books:,} |
| formula cells compared | {cells:,} |
| farms that differ | {len({fault.split(":")[0] for fault in faults})} |
| first seed | {seed} |
| time | {seconds / 60:.0f} min with {jobs} processes, Python {platform.python_version()} |
{differed}"""


if __name__ == "__main__":
    sys.exit(main())
