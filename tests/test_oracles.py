"""Every published figure the package computes, one test a row."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from oracles import LEFT_OUT, all_rows, usable_rows
from oracles.page import PAGE, page
from oracles.registry import ENTRIES, Entry, answered
from oracles.rows import Row

PACKAGE = Path(__file__).parents[1]
USABLE = usable_rows()


@pytest.mark.parametrize(("row", "entry"),
                         [pytest.param(row, entry, id=f"{row.id}-{row.grade}") for row, entry in USABLE])
def test_published_figure(row: Row, entry: Entry) -> None:
    """The package computes the published figure within the stated tolerance."""
    found = answered(row, entry)

    differing = {key: (found.get(key), wanted) for key, wanted in row.expected.items() if key not in found
                 or not row.holds(key, found[key])}
    assert not differing, f"{row.topic}: computed against published {differing}; {row.source} ({row.grade})"


def test_enough_rows_are_run() -> None:
    """At least 250 published rows are run, and every registered function answers one."""
    answered = {id(entry) for _, entry in USABLE}

    assert len(USABLE) >= 250
    assert [entry.computes for entry in ENTRIES if id(entry) not in answered] == []


def test_a_check_is_left_out_only_with_its_part_of_the_package() -> None:
    """Every module of checks is loaded, but for one whose part of the package is not there."""
    there = {name: part for name, part in LEFT_OUT.items()
             if PACKAGE.joinpath(*part.split(".")).with_suffix(".py").exists()}

    assert there == {}


def test_rows_are_told_apart() -> None:
    """No two published rows share an id, and each names its source and grade."""
    rows = all_rows()

    assert len({row.id for row in rows}) == len(rows)
    assert all(row.source and row.grade for row in rows)


#: Words of a source that nobody can open again, or that is a firm, the press or hearsay.
VAGUE = re.compile(r"not kept|not "
                   r"shown|withheld|omitted|second.hand|\bpress\b|\bblog|exercise|teaching|study "
                   r"(sheet|card)|supplier|Wikipedia|not read|no source", re.IGNORECASE)


def test_found_figures_name_a_source_to_open() -> None:
    """A figure graded as found was read in a source that is named: a rule, an extension text,
    a paper or a manual.
    """
    vague = [(row.id, row.source) for row in all_rows() if row.grade.startswith("found")
             and VAGUE.search(row.source)]

    assert vague == []


def test_docs_page_is_the_one_generated() -> None:
    """The docs page lists exactly what is run, with its result.

    Write it with ``python -m tests.oracles.page``.
    """
    assert PAGE.read_text("utf-8") == page()
