"""What is arithmetic of the trade is worked out twice, by functions that know nothing of each other."""

from __future__ import annotations

import inspect
import re

from workbook_builder.core.columns import Column, Table
from workbook_builder.features import TABLES

#: Functions that work something out; the others fetch, count, sum, choose and word.
WORKING_OUT = re.compile(r"\b(EXP|LN|LOG10|SQRT|POWER|ROUNDUP|ROUNDDOWN|CEILING|FLOOR|PRODUCT|SUMPRODUCT|COS|"
                         r"SIN|ACOS|ASIN|PI|RADIANS|DEGREES|[A-Z.]*(?:NORM|BETA|GAMMA|BINOM)[A"
                         r"-Z.]*|IRR|NPV|PMT)\(")
#: Quantities whose sums and differences are counting.
COUNTED = ("count", "text", "name", "long_text")
#: What is told rows, criteria or texts, and no quantities.
PLACES = ("INDEX(", "MATCH(", "COUNTIFS(", "COUNTIF(", "MAXIFS(", "MINIFS(", "SUMIFS(", "SUMIF(", "YEAR(",
          "MONTH(", "DAY(", "RIGHT(")
#: Formulas that look like arithmetic and are none.
COUNTING = {
    "farm_checks.status": "counts rows that hold several things at once",
    "farm_checks.finding": "names that count",
}
#: Tables that still await their twins.
UNFINISHED = {"glance"}
#: Counts cells that show something, in the one way that every program reads alike.
FILLED = re.compile(r'SUMPRODUCT\(\(\{[^{}]+\}<>""\)\*(?:1|\(\{[^{}]+\}<>""\))\)')
#: A number put into words is rounded for the eye; of several, one is named and the rest are counted.
WORDED = re.compile(r"ROUND\(ROUND\((?:100\*)?(\{[^{}]+\}),6\),\d\)|(?<=&)\([^&]*-1\)(?=&)")


def is_worked_out(column: Column) -> bool:
    """Tell whether a formula holds arithmetic, apart from row and slot numbers."""
    signs = "*/^" if column.quantity in COUNTED else "-+*/^"
    return column.quantity != "index" and any(_has_arithmetic(text, signs) for text in column.formulas)


def _has_arithmetic(text: str, signs: str) -> bool:
    bare = WORDED.sub("x", FILLED.sub("x", re.sub(r'"[^"]*"', '""', text)))
    return bool(WORKING_OUT.search(bare) or re.search(rf"[\w)}}]\s*[{re.escape(signs)}]\s*[\w({{]",
                                                      without_places(bare)))


def without_places(text: str) -> str:
    """Return a formula without the rows and keys that INDEX, MATCH and SUMIF are told,
    which are no quantities.
    """
    out, depth, skip = "", 0, []
    for part in re.findall(r"\w+\(|[()]|[^\w()]+|\w+", text):
        if part.endswith("("):
            depth += 1
            if part in PLACES:
                skip.append(depth)
        if not skip:
            out += part
        if part == ")":
            if skip and skip[-1] == depth:
                skip.pop()
                out += "x"
            depth -= 1
    return out


def has_second_witness(table: Table, column: Column) -> bool:
    """Tell whether a function of Python's own gives a column."""
    if column.twin:
        return True
    return table.whole is not None and (not table.gives or column.key in table.gives.split())


def test_what_is_worked_out_has_a_twin() -> None:
    """Every formula with arithmetic has a function beside it; fetching, counting and wording need none."""
    worked = [(table, column) for table in TABLES for column in table.columns if column.formula
              and is_worked_out(column)]

    assert len(worked) > 500
    alone = {f"{table.key}.{column.key}" for table, column in worked if not has_second_witness(table, column)}
    assert {name for name in alone - COUNTING.keys() if name.partition(".")[0] not in UNFINISHED} == set()
    assert {name.partition(".")[0] for name in alone - COUNTING.keys()} == UNFINISHED


def test_twins_do_not_read_formulas() -> None:
    """A twin takes the cells it names and nothing of the formula."""
    twins = [column.twin for table in TABLES for column in table.columns if column.twin]

    assert len(twins) > 5
    assert [twin for twin in twins if inspect.isfunction(twin)
            and "formula" in inspect.getsource(twin).split("twin=")[-1].split(",")[0]] == []
