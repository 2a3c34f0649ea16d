"""Break the method one place at a time and see whether the comparison notices: ``python -m tests.mutants --write``.

Every formula column gets one mutant, written into an open workbook; every planning
function that holds arithmetic, a comparison or a number gets one too.  A mutant is caught
when Python and the engine no longer agree on some cell of the demo farms or of random farms,
or when a published figure no longer comes out.
"""

from __future__ import annotations

import argparse
import re
import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from closings import EQUIVALENT, worked_examples
from conftest import built_from
from farms_strategy import build_small
from hand_farms import edited_book
from live_book import LiveBook
from mutations import Mutant, all_mutants, formula_mutants, function_mutants, one_in
from oracles import usable_rows
from random_farms import random_farm

from workbook_builder.engines import read_formulas
from workbook_builder.engines.compare import compare_cells
from workbook_builder.engines.ironcalc_engine import _all_cells, _row_and_column
from workbook_builder.verify import plan_cells

PAGE = Path(__file__).parents[1] / "docs" / "mutants.md"
SURVIVORS = "## Survivors\n"
CAUGHT_SINCE = (
    "## Caught since that run", "",
    "Tried again with `python -m tests.mutants --again`: the farm made by hand or a worked example shows them; `tests/test_hand_farms.py` holds that.",
)
SEEDS = range(60)
#: Most rows of an ordinary table: few in one farm, more in the next.
LARGEST = (2, 3, 5, 7)
SPARE = 3
LONGEST = 30


class TooLong(Exception):
    """A mutant did not come to an end."""


def usual_books(farms: int) -> list[LiveBook]:
    """Return the demo farms, the farm made by hand and so many random ones, each open in the engine."""
    builds = [build_small(built_from(name).plan.inputs, SPARE) for name in ("demo", "demo_metric")]
    builds += [build_small(inputs, SPARE) for inputs in (random_farm(seed, LARGEST[seed % 4]) for seed in SEEDS[:farms]) if inputs is not None]
    return [edited_book(), *map(LiveBook, builds)]


class Bench:
    """Workbooks open in the engine, with what the engine shows for them.

    Parameters
    ----------
    books : list of LiveBook
    """

    def __init__(self, books: list[LiveBook]) -> None:
        self.books = books
        for book in self.books:
            assert book.differences() == []
        self.expected = [plan_cells(book.plan(), book.built.placement) for book in self.books]
        self.shown = [_all_cells(book.model, book.titles) for book in self.books]
        self.formulas = [read_formulas(book.built.data) for book in self.books]

    def caught(self, mutant: Mutant) -> bool:
        """Return whether a worked example, the comparison or a published figure shows a mutant."""
        return self.caught_formula(mutant) if mutant.function is None else _worked_example_fails(mutant) or self.caught_function(mutant)

    def caught_formula(self, mutant: Mutant) -> bool:
        """Write a mutant into each workbook in turn until the engine shows something else."""
        return any(self._differs(at, mutant) for at in range(len(self.books)))

    def _differs(self, at: int, mutant: Mutant) -> bool:
        book, spot = self.books[at], self.books[at].built.placement.spots[mutant.table]
        cells = [spot.cell(mutant.key, index) for index in range(1 if spot.table.is_form else spot.rows)]
        texts = {cell: self.formulas[at][spot.sheet][cell] for cell in cells if cell in self.formulas[at][spot.sheet]}
        changed = {cell: mutant.changed(text) for cell, text in texts.items()}
        sheet = book.titles.index(spot.sheet)
        self._type(book, sheet, {cell: text for cell, text in changed.items() if text != texts[cell]})
        book.model.evaluate()
        found = compare_cells(self.expected[at], _all_cells(book.model, book.titles), book.allowed)
        self._type(book, sheet, texts)
        return bool(found)

    def _type(self, book: LiveBook, sheet: int, formulas: dict[str, str]) -> None:
        for cell, text in formulas.items():
            book.model.set_user_input(sheet, *_row_and_column(cell), "=" + text.lstrip("=").replace("_xlfn.", ""))

    def caught_function(self, mutant: Mutant) -> bool:
        """Plan each farm with a broken function until Python says something else than the engine."""
        with mutant.in_place():
            for book, shown in zip(self.books, self.shown, strict=True):
                try:
                    with time_limit(LONGEST):
                        if compare_cells(plan_cells(book.plan(), book.built.placement), shown, book.allowed):
                            return True
                except Exception:
                    return True
            return _published_figure_missed()

    def intact(self) -> bool:
        """Return whether every workbook was put back as it was."""
        return all(book.differences() == [] for book in self.books)


def _published_figure_missed() -> bool:
    """Return whether some published figure no longer comes out."""
    with time_limit(LONGEST):
        for row, entry in usable_rows():
            try:
                found = entry.answer(row.given, row.expected)
            except Exception:
                return True
            if any(key not in found or not row.holds(key, found[key]) for key in row.expected):
                return True
    return False


def _worked_example_fails(mutant: Mutant) -> bool:
    """Return whether the worked example kept for a function fails when it is broken."""
    example = worked_examples().get(mutant.name)
    if example is None:
        return False
    example()
    with mutant.in_place():
        try:
            example()
        except AssertionError:
            return True
    return False


@contextmanager
def time_limit(seconds: int) -> Iterator[None]:
    """Stop what works longer; time spent waiting for a busy machine does not count."""

    def stop(*_: object) -> None:
        raise TooLong

    before = signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


def main() -> int:
    """Try all mutants, print the survivors and, when asked, write the docs page."""
    parser = argparse.ArgumentParser(description="Break formulas and functions one at a time; print what nobody notices.")
    parser.add_argument("--farms", type=int, default=len(SEEDS))
    parser.add_argument("--every", type=int, default=1, help="take about one mutant in n, chosen by name")
    parser.add_argument("--write", action="store_true", help="write docs/mutants.md")
    parser.add_argument("--again", action="store_true", help="try only the survivors of docs/mutants.md, on the farm made by hand, and say there which are caught now")
    asked = parser.parse_args()
    if asked.again:
        PAGE.write_text(tried_again(PAGE.read_text("utf-8"), Bench([edited_book()])), "utf-8")
        return 0
    started, bench = time.monotonic(), Bench(usual_books(asked.farms))
    tried: dict[str, list[tuple[Mutant, bool]]] = {"formula": [], "function": []}
    for kind, mutants in (("function", function_mutants()), ("formula", formula_mutants())):
        for mutant in one_in(mutants, asked.every):
            tried[kind].append((mutant, bench.caught(mutant)))
            if not tried[kind][-1][1]:
                print(f"survived: {kind} {mutant}", flush=True)
    text = report(tried, bench.intact(), time.monotonic() - started, len(bench.books), asked.every)
    print(text)
    if asked.write:
        PAGE.write_text(text, "utf-8")
    return 0


def tried_again(page: str, bench: Bench) -> str:
    """Return the page of an earlier run with its survivors that are caught by now in a list of their own."""
    before, _, rest = page.partition(SURVIVORS)
    left, closed = [], []
    for line in rest.splitlines():
        found = re.match(r"- (?:formula|function) ([^:]+):", line)
        mutant = next((each for each in all_mutants() if found and each.name == found[1]), None)
        caught = mutant is not None and bench.caught(mutant)
        (closed if caught else left).append(f"- {'function' if mutant.function else 'formula'} {mutant}" if mutant and caught else line)
    assert bench.intact()
    if not any(line.startswith("- ") for line in left):
        left = ["None."]
    return "\n".join([before + SURVIVORS, *left, *(["", *CAUGHT_SINCE, "", *closed] if closed else []), ""])


def which(every: int) -> str:
    """Say which of all mutants were tried."""
    counts = f"{len(list(formula_mutants())):,} columns and {len(list(function_mutants())):,} functions"
    return f"all {counts} were tried" if every == 1 else f"of {counts} about one in {every} was tried, chosen by name (`--every {every}`)"


def report(tried: dict[str, list[tuple[Mutant, bool]]], intact: bool, seconds: float, books: int, every: int) -> str:
    """Return the docs page of a run."""
    lines = [f"| {kind} | {len(each)} | {sum(caught for _, caught in each)} | {sum(not caught for _, caught in each)} |" for kind, each in tried.items()]
    left = [(f"- {kind} {mutant}", EQUIVALENT.get(str(mutant))) for kind, each in tried.items() for mutant, caught in each if not caught]
    open_ones, alike = [line for line, why in left if not why], [f"{line}: {why}" for line, why in left if why]
    return "\n".join([
        "# Mutants", "", "Written by `python -m tests.mutants --write`.",
        f"One place of the method is broken at a time: an operator, a function name or a number in a formula column, and an operator in a planning function; {which(every)}.",
        f"Caught means that Python and IronCalc no longer agree on some cell of {books} farms (the two demo farms, one made by hand with edits typed into it, and random ones), that a published figure no longer comes out, or that a worked example kept for the function fails.",
        "Adding nought is left whole: it turns text into a number, and taking nought away does the same.",
        f"All workbooks were put back and agreed again at the end: {'yes' if intact else 'NO'}.", f"The run took {seconds / 60:.0f} min.", "",
        "| kind | mutants | caught | survived |", "|---|---|---|---|", *lines, "", SURVIVORS, *(open_ones or ["None."]), "",
        *(["## No input tells them apart", "", *alike, ""] if alike else []),
    ])


if __name__ == "__main__":
    sys.exit(main())
