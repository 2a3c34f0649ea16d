"""Break the method one place at a time and see whether the comparison notices:
``python -m tests.mutants --write``.

Every formula column gets one mutant, written into an open workbook; every planning
function that holds arithmetic, a comparison or a number gets one too.  A mutant is caught
when Python and the engine no longer agree on some cell of the demo farms or of random ones,
or when a published figure no longer comes out.
"""

from __future__ import annotations

import argparse
import re
import signal
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from functools import lru_cache
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import agreement
import pytest
from closings import EQUIVALENT, worked_examples
from conftest import shipped_inputs
from farms_strategy import EVERY_TAB, build_small
from fast_farms import FRESH, RETYPED, OpenBooks, farm
from hand_farms import edited_book
from live_book import LiveBook
from mutations import Mutant, all_mutants, formula_mutants, function_mutants, one_in
from oracles import usable_rows
from test_edits import farms as edited_farms

from workbook_builder.core.inputs import Inputs
from workbook_builder.engines import read_formulas
from workbook_builder.engines.compare import compare_cells
from workbook_builder.engines.ironcalc_engine import all_cells, row_and_column
from workbook_builder.export.json_text import plan_as_json
from workbook_builder.planning import make_plan
from workbook_builder.verify import plan_cells

PAGE = Path(__file__).parents[1] / "docs" / "mutants.md"
SURVIVORS = "## Survivors\n"
CAUGHT_SINCE = (
    "## Caught since that run", "",
    "Tried again with `python -m tests.mutants --again`: farms made by hand or a worked example show them; "
    "`tests/test_hand_farms.py` holds what its farm shows.",
)
KINDS = {"formula": formula_mutants, "function": function_mutants}
SPARE = 3
LONGEST = 30


class TooLong(Exception):
    """A mutant did not come to an end."""


def usual_books(farms: int = len(FRESH)) -> list[LiveBook]:
    """Return the metric demo farm, fields of the large one,
    the farm made by hand and the farms built in every run, each open in the engine.
    """
    builds = [build_small(inputs, SPARE, EVERY_TAB) for inputs in edited_farms().values()]
    builds += [build_small(inputs, SPARE, EVERY_TAB) for inputs in map(farm, FRESH[:farms])
               if inputs is not None]
    return [edited_book(), *map(LiveBook, builds)]


def retyped_farms(most: int) -> list[tuple[LiveBook, Inputs]]:
    """Return the farms that every run types over one another, each with the open workbook that holds it:
    random ones, and those made to try one feature.
    """
    return [*((book, book.inputs) for seeds in RETYPED
              for _, book in OpenBooks().each(seeds[: most // len(RETYPED)])), *made_farms()]


def made_farms() -> list[tuple[LiveBook, Inputs]]:
    """Run the tests that make such farms and return what they typed into the workbooks they keep open."""
    files = [path for path in sorted(Path(__file__).parent.glob("test_*.py"))
             if "from agreement import" in path.read_text("utf-8")]
    assert pytest.main(["-q", "-p", "no:cacheprovider", *map(str, files)]) == pytest.ExitCode.OK
    return [(agreement.open_book(inputs.system), inputs) for inputs in agreement.SEEN]


class Bench:
    """Workbooks open in the engine, with what the engine shows for them.

    Parameters
    ----------
    books : list of LiveBook
        Tried first.
    retyped : list of (LiveBook, Inputs)
        Farms to be typed into open workbooks, for what no book of the first list shows.
    """

    def __init__(self, books: list[LiveBook], retyped: Sequence[tuple[LiveBook, Inputs]] = ()) -> None:
        self.books, self.retyped = books, retyped
        for book in self.books:
            assert book.differences() == []
        self.expected = [plan_cells(book.plan(), book.built.placement) for book in self.books]
        self.shown = [all_cells(book.model, book.titles) for book in self.books]
        self.told = _told()

    def caught(self, mutant: Mutant) -> bool:
        """Return whether a worked example, the comparison or a published figure shows a mutant."""
        return (self.caught_formula(mutant) if mutant.function is None else _worked_example_fails(mutant)
                or self.caught_function(mutant))

    def caught_formula(self, mutant: Mutant) -> bool:
        """Write a mutant into each workbook in turn until the engine shows something else."""
        return (any(self._differs(at, mutant) for at in range(len(self.books)))
                or self._differs_retyped(mutant))

    def _differs(self, at: int, mutant: Mutant) -> bool:
        book = self.books[at]
        with mutated(book, mutant):
            book.model.evaluate()
            return bool(compare_cells(self.expected[at], all_cells(book.model, book.titles), book.allowed))

    def _differs_retyped(self, mutant: Mutant) -> bool:
        with ExitStack() as put_back:
            broken: set[int] = set()
            for book, inputs in self.retyped:
                if id(book) not in broken:
                    put_back.enter_context(mutated(book, mutant))
                    broken.add(id(book))
                if not book.refill(inputs) or book.differences():
                    return True
        return False

    def caught_function(self, mutant: Mutant) -> bool:
        """Plan each farm with a broken function until Python says something else than the engine."""
        with mutant.in_place():
            for book, shown in zip(self.books, self.shown, strict=True):
                if _plans_otherwise(book, shown):
                    return True
            if _published_figure_missed() or _told() != self.told:
                return True
        return any(self._plans_retyped_otherwise(book, inputs, mutant) for book, inputs in self.retyped)

    def _plans_retyped_otherwise(self, book: LiveBook, inputs: Inputs, mutant: Mutant) -> bool:
        # The engine was seen to agree with the whole function on this farm.
        typed, book.inputs = book.inputs, inputs
        try:
            whole = plan_cells(book.plan(), book.built.placement)
            with mutant.in_place():
                return _plans_otherwise(book, whole)
        finally:
            book.inputs = typed

    def intact(self) -> bool:
        """Return whether every workbook was put back as it was."""
        return all(book.differences() == [] for book in (*self.books, *(book for book, _ in self.retyped)))


def _told() -> str:
    """Return the JSON of the large demo farm, whose kept file every run compares.

    How it failed where it does.
    """
    try:
        with time_limit(LONGEST):
            return plan_as_json(make_plan(shipped_inputs("demo")[0]))
    except Exception as failed:
        return repr(failed)


def _plans_otherwise(book: LiveBook, shown: Mapping[str, Mapping[str, object]]) -> bool:
    """Return whether the plan of the book's inputs differs from what is shown, or comes to no end."""
    try:
        with time_limit(LONGEST):
            return bool(compare_cells(plan_cells(book.plan(), book.built.placement), shown, book.allowed))
    except Exception:
        return True


@contextmanager
def mutated(book: LiveBook, mutant: Mutant) -> Iterator[None]:
    """Hold a mutant in the formulas of an open workbook, and put them back."""
    spot, formulas = book.built.placement.spots[mutant.table], _formulas_of(book)
    cells = [spot.cell(mutant.key, index) for index in range(1 if spot.table.is_form else spot.rows)]
    sheet = spot.sheet_of(mutant.key)
    texts = {cell: formulas[sheet][cell] for cell in cells if cell in formulas[sheet]}
    changed = {cell: mutant.changed(text) for cell, text in texts.items()}
    _type(book, sheet, {cell: text for cell, text in changed.items() if text != texts[cell]})
    try:
        yield
    finally:
        _type(book, sheet, texts)


@lru_cache(64)
def _formulas_of(book: LiveBook) -> dict[str, dict[str, str]]:
    return read_formulas(book.built.data)


def _type(book: LiveBook, sheet: str, formulas: Mapping[str, str]) -> None:
    at = book.titles.index(sheet)
    for cell, text in formulas.items():
        book.model.set_user_input(at, *row_and_column(cell), "=" + text.lstrip("=").replace("_xlfn.", ""))


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
        except Exception:  # a broken function may also stop working at all
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
    parser = argparse.ArgumentParser(description="Break formulas and functions one at a time; print what "
                                                 "nobody notices.")
    parser.add_argument("--farms", type=int, default=len(FRESH),
                        help="how many of the farms that are built in every run")
    parser.add_argument("--retyped", type=int, default=sum(map(len, RETYPED)),
                        help="how many of the farms that are typed over one another")
    parser.add_argument("--every", type=int, default=1, help="take about one mutant in n, chosen by name")
    parser.add_argument("--kind", choices=KINDS,
                        help="try this kind alone; the page keeps what it says of the other")
    parser.add_argument("--write", action="store_true", help="write docs/mutants.md")
    parser.add_argument("--again", action="store_true",
                        help="try only the survivors of docs/mutants.md, on the farms made by hand, and say "
                             "there which are caught now")
    asked = parser.parse_args()
    if asked.again:
        PAGE.write_text(tried_again(PAGE.read_text("utf-8"), Bench([edited_book()], made_farms())), "utf-8")
        return 0
    started, bench = time.monotonic(), Bench(usual_books(asked.farms), retyped_farms(asked.retyped))
    tried: dict[str, list[tuple[Mutant, bool]]] = {kind: [] for kind in KINDS if asked.kind in (None, kind)}
    for kind in tried:
        for mutant in one_in(KINDS[kind](), asked.every):
            tried[kind].append((mutant, bench.caught(mutant)))
            if not tried[kind][-1][1]:
                print(f"survived: {kind} {mutant}", flush=True)
    text = report(tried, bench.intact(), time.monotonic() - started, len(bench.books),
                  len(bench.retyped), asked.every)
    if asked.kind:
        text = beside(text, PAGE.read_text("utf-8"), asked.kind)
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
        (closed if caught else left).append(f"- {'function' if mutant.function else 'formula'} {mutant}"
                                            if mutant and caught else line)
    assert bench.intact()
    if not any(line.startswith("- ") for line in left):
        left = ["None."]
    return "\n".join([before + SURVIVORS, *left, *(["", *CAUGHT_SINCE, "", *closed] if closed else []), ""])


def beside(page: str, earlier: str, kind: str) -> str:
    """Return an earlier page with the row and the survivors of one kind as a new run has them."""
    row = re.compile(rf"^\| {kind} \|.*$", re.MULTILINE)
    head, _, rest = row.sub(next(row.finditer(page))[0], earlier).partition(SURVIVORS)
    listed, more, after = rest.partition("\n## ")
    found = page.partition(SURVIVORS)[2].partition("\n## ")[0].splitlines()
    kept = [line for line in listed.splitlines() if line.startswith("- ")
            and not line.startswith(f"- {kind} ")]
    return "\n".join([f"{head}{SURVIVORS}",
                      *([*kept, *(line for line in found if line.startswith(f"- {kind} "))] or ["None."]),
                      more + after])


def which(every: int) -> str:
    """Say which of all mutants were tried."""
    counts = f"{len(list(formula_mutants())):,} columns and {len(list(function_mutants())):,} functions"
    return (f"all {counts} were tried" if every == 1
            else f"of {counts} about one in {every} was tried, chosen by name (`--every {every}`)")


def report(tried: dict[str, list[tuple[Mutant, bool]]], intact: bool, seconds: float, books: int,
           retyped: int, every: int) -> str:
    """Return the docs page of a run."""
    lines = [f"| {kind} | {len(each)} | {sum(caught for _, caught in each)} | "
             f"{sum(not caught for _, caught in each)} |" for kind, each in tried.items()]
    left = [(f"- {kind} {mutant}", EQUIVALENT.get(str(mutant))) for kind, each in tried.items()
            for mutant, caught in each if not caught]
    open_ones, alike = ([line for line, why in left if not why],
                        [f"{line}: {why}" for line, why in left if why])
    return "\n".join([
        "# Mutants", "", "Written by `python -m tests.mutants --write`.",
        f"One place of the method is broken at a time: an operator, a function name or a number in a formula "
        f"column, and an operator in a function of a feature; {which(every)}.",
        f"Caught means that Python and IronCalc no longer agree on some cell of the farms that every run of "
        f"the tests looks at ({books} workbooks: the metric demo farm, fields of the large one, one made by "
        f"hand with edits typed into it, and random ones; and {retyped} farms, random or made to try one "
        f"feature, typed into open workbooks), that a published figure no longer comes out, that the kept "
        f"JSON of the large demo farm changes, or that a worked example kept for the function fails.",
        "Functions that write formulas when the program starts are left whole: what they write is broken "
        "among the formulas.",
        "Adding nought is left whole: it turns text into a number, and taking nought away does the same.",
        f"All workbooks were put back and agreed again at the end: {'yes' if intact else 'NO'}.",
        f"The run took {seconds / 60:.0f} min.", "",
        "| kind | mutants | caught | survived |", "|---|---|---|---|", *lines, "", SURVIVORS,
        *(open_ones or ["None."]), "",
        *(["## No input tells them apart", "", *alike, ""] if alike else []),
    ])


if __name__ == "__main__":
    sys.exit(main())
