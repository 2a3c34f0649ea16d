"""The docs page of the published checks, written from the rows themselves.

Run ``python -m tests.oracles.page`` to write it.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from oracles import all_rows, usable_rows
from oracles.registry import answered
from oracles.rows import Row

PAGE = Path(__file__).parents[2] / "docs" / "oracles.md"
INTRODUCTION = """# Published checks

This page is generated from the check values in `tests/published`
(`python -m tests.oracles.page`); a test fails when it is out of date.
Every row below is run as one test against the package's own functions.
The grade says how sure the published figure is: *found* was read in the named source,
*found-inputs* uses a source's inputs, *computed* and *derived* were worked out from a stated formula,
*from memory* still wants its source opened.
"""


def page() -> str:
    """Return the whole page."""
    usable = usable_rows()
    grades, run = Counter(row.grade for row, _ in usable), Counter(row.file for row, _ in usable)
    counts = ", ".join(f"{number} {grade}" for grade, number in sorted(grades.items()))
    lines = [
        INTRODUCTION,
        f"{len(usable)} checks run ({counts}); all agree within the stated tolerance.",
        f"{len(all_rows()) - len(usable)} more rows are kept beside them and not run, because they state a "
        f"label figure, a rule or a survey result that the package does not compute.",
        "",
        "| list | rows | run |", "|---|---|---|",
        *(f"| {name.replace('_', ' ')} | {count} | {run[name]} |"
          for name, count in Counter(row.file for row in all_rows()).items()),
    ]
    for topic in dict.fromkeys(row.file for row, _ in usable):
        lines += ["", f"## {topic.replace('_', ' ').capitalize()}", "",
                  "| check | what | given | published | tolerance | computed by | grade | source | result |",
                  "|---|---|---|---|---|---|---|---|---|"]
        lines += [_line(row, entry.computes, answered(row, entry)) for row, entry in usable
                  if row.file == topic]
    return "\n".join(lines) + "\n"


def _line(row: Row, computed_by: str, found: object) -> str:
    agrees = all(row.holds(key, found[key]) for key in row.expected)  # type: ignore[index]
    kind, size = row.tolerance
    cells = (
        row.id, row.topic, _text(row.given), _text(row.expected), "exact" if (kind, size) == ("rel", 1e-9)
        else f"{kind} {size:g}",
        computed_by, row.grade, row.source, "agrees" if agrees else "differs",
    )
    return "| " + " | ".join(cell.replace("|", "/") for cell in cells) + " |"


def _text(values: object) -> str:
    return "; ".join(f"{key} {_plain(value)}" for key, value in values.items())  # type: ignore[attr-defined]


def _plain(value: object) -> str:
    if isinstance(value, tuple):
        return ", ".join(map(_plain, value))
    return f"{value:.12g}" if isinstance(value, float) else str(value)


if __name__ == "__main__":
    PAGE.write_text(page(), "utf-8")
