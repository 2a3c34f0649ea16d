"""What can be wrong with the data, where it is, and what would be right.

A problem is data: a code, a place and two sentences.  Problems are collected and shown
together, so that one run tells a person everything there is to fix.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from functools import cached_property
from pathlib import Path
from typing import Literal, TypedDict

from workbook_builder.check.problem_codes import PROBLEM_CODES
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs, Row

Severity = Literal["error", "warning"]
ERROR: Severity = "error"
WARNING: Severity = "warning"

#: How alike two names must be before one is offered for the other.
LIKENESS = 0.6


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong, or doubtful, in the data.

    Raises
    ------
    ValueError
        For a code that is not declared.
    """

    code: str  # One of `PROBLEM_CODES`
    message: str  # What is wrong, as one sentence without its full stop
    #: Where; blank when the problem has no such place.  The column is named the way its header reads in the
    #: file.
    file: str = ""
    sheet: str = ""
    row: int | None = None  # Row of the sheet, or line of the file, counted from 1
    column: str = ""
    severity: Severity = ERROR  # `error` stops the build, `warning` does not
    fix: str = ""  # What would be right, as one sentence without its full stop

    def __post_init__(self) -> None:
        if self.code not in PROBLEM_CODES:
            raise ValueError(f"problem code {self.code!r} is not declared in PROBLEM_CODES")

    @property
    def place(self) -> str:
        """Return where the problem is: file, sheet, row and column, as far as known."""
        parts = [
            self.file, f"sheet {self.sheet}" if self.sheet else "", f"row {self.row}"
            if self.row is not None else "",
            f"column {self.column}" if self.column else "",
        ]
        return ", ".join(part for part in parts if part)

    @property
    def is_error(self) -> bool:
        """Whether the problem stops the build."""
        return self.severity == ERROR

    def __str__(self) -> str:
        lead = f"{self.place}: " if self.place else ""
        mark = "" if self.is_error else "warning: "
        stop = "" if self.fix.endswith(("?", "...")) else "."
        fix = f" {self.fix}{stop}" if self.fix else ""
        return f"{lead}{mark}{self.message}.{fix}"


class ProblemsFound(ValueError):
    """The data has problems that stop the build.

    Parameters
    ----------
    problems : iterable of Problem
        Everything found, warnings included; kept as the attribute `problems`.
    """

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: list[Problem] = list(problems)
        super().__init__(self.problems)

    def __str__(self) -> str:
        count = len(self.problems)
        heading = f"{count} problem{'' if count == 1 else 's'} in the data"
        return "\n".join([heading, *(str(problem) for problem in self.problems)])


def errors_in(problems: Iterable[Problem]) -> list[Problem]:
    """Return the problems that stop the build."""
    return [problem for problem in problems if problem.is_error]


def nearest(name: str, known: Iterable[str], likeness: float = LIKENESS) -> str:
    """Return the known name most like `name`, whatever the case, or blank when none is."""
    by_lower: dict[str, str] = {}
    for candidate in known:
        by_lower.setdefault(candidate.casefold(), candidate)
    close = get_close_matches(name.casefold(), list(by_lower), n=1, cutoff=likeness)
    return by_lower[close[0]] if close else ""


def suggestion(name: str, known: Sequence[str]) -> str:
    """Return a sentence offering the nearest known name, or listing a few known ones.

    Examples
    --------
    >>> suggestion("feild", ["field", "crop"])
    "Did you mean 'field'?"
    """
    close = nearest(name, known)
    if close:
        return f"Did you mean {close!r}?"
    if not known:
        return ""
    shown = ", ".join(known[:12])
    return f"Use one of: {shown}{', ...' if len(known) > 12 else ''}"


@dataclass(frozen=True)
class Place:
    """Where a table was read."""

    #: File name and sheet title; the sheet is blank for a CSV file
    file: str = ""
    sheet: str = ""
    rows: tuple[int, ...] = ()  # Row of the sheet, or line of the file, for each row of the table
    headers: Mapping[str, str] = field(default_factory=dict)  # Column key -> header as it reads in the file
    # For a form with one line per cell: column key -> row of the sheet
    label_rows: Mapping[str, int] = field(default_factory=dict)
    missing: bool = False  # The table is not there, and that has been said already


class PlacedRows(list[Row]):
    """The rows of a table, with the place they were read from.

    A list in every other way: two lists with equal rows are equal wherever they came from.
    """

    def __init__(self, rows: Iterable[Row] = (), place: Place | None = None) -> None:
        super().__init__(rows)
        self.place = place or Place()


class Where(TypedDict, total=False):
    """The place fields of a problem."""

    file: str
    sheet: str
    row: int | None
    column: str


def place_of(inputs: Inputs, table: Table) -> Place:
    """Return where a table was read; for inputs made in memory, the table itself."""
    rows = inputs.rows(table.key)
    if isinstance(rows, PlacedRows):
        return rows.place
    return Place(Path(inputs.origin).name, table.sheet_title, tuple(range(1, len(rows) + 1)))


def where(inputs: Inputs, table: Table, at: int | None = None, key: str = "") -> Where:
    """Return the place fields of a problem with one cell.

    Parameters
    ----------
    inputs : Inputs
    table : Table
    at : int, optional
        Row of the table, counted from 1.
    key : str
        Column key.
    """
    place = place_of(inputs, table)
    row = None
    if at is not None:
        row = place.rows[at - 1] if at <= len(place.rows) else at
        row = place.label_rows.get(key, row)
    declared = table.by_key[key].header if key in table.by_key else key
    return {"file": place.file, "sheet": place.sheet, "row": row, "column": place.headers.get(key, declared)}


@dataclass(frozen=True)
class Line:
    """A filled row of a table that is checked."""

    inputs: Inputs
    table: Table
    at: int  # Place of the row, counted from 1
    row: Row

    def wrong(self, code: str, key: str, message: str, fix: str = "") -> Problem:
        """Return what stops the build about one cell of the row, named by its column key."""
        return Problem(code, message, **where(self.inputs, self.table, self.at, key), fix=fix)

    def doubt(self, code: str, key: str, message: str, fix: str = "") -> Problem:
        """Return a warning about one cell of the row, named by its column key."""
        return replace(self.wrong(code, key, message, fix), severity=WARNING)


@dataclass(frozen=True)
class Shelf:
    """The inputs of a farm, and the tables among them that are checked."""

    inputs: Inputs
    tables: Mapping[str, Table]

    def rows(self, *keys: str) -> Iterator[Line]:
        """Yield the filled rows of tables, those that are among them."""
        for key in keys:
            for at, row in self.inputs.filled(key) if key in self.tables else ():
                yield Line(self.inputs, self.tables[key], at, row)

    def product(self, name: object) -> Row:
        """Return the row of a product, blank when there is none."""
        return self._products.get(folded(name), {})

    @cached_property
    def _products(self) -> dict[str, Row]:
        return {folded(row.get("product")): row for _, row in self.inputs.filled("products")}


def folded(name: object) -> str:
    """Return a name as it is compared: no case, single spaces."""
    return " ".join(str(name).split()).casefold()
