"""What can be wrong with the data, where it is, and what would be right.

A problem is data: a code, a place and two sentences.  Problems are collected and shown
together, so that one run tells a person everything there is to fix.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

from workbook_builder.check.problem_codes import PROBLEM_CODES

Severity = Literal["error", "warning"]
ERROR: Severity = "error"
WARNING: Severity = "warning"

#: How alike two names must be before one is offered for the other.
LIKENESS = 0.6


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong, or doubtful, in the data.

    Parameters
    ----------
    code : str
        One of `PROBLEM_CODES`.
    message : str
        What is wrong, as one sentence without its full stop.
    file, sheet, column : str
        Where; blank when the problem has no such place.  The column is named the way its
        header reads in the file.
    row : int, optional
        Row of the sheet, or line of the file, counted from 1.
    severity : str
        ``error`` stops the build, ``warning`` does not.
    fix : str
        What would be right, as one sentence without its full stop.

    Raises
    ------
    ValueError
        For a code that is not declared.
    """

    code: str
    message: str
    file: str = ""
    sheet: str = ""
    row: int | None = None
    column: str = ""
    severity: Severity = ERROR
    fix: str = ""

    def __post_init__(self) -> None:
        if self.code not in PROBLEM_CODES:
            raise ValueError(f"problem code {self.code!r} is not declared in PROBLEM_CODES")

    @property
    def place(self) -> str:
        """Return where the problem is: file, sheet, row and column, as far as known."""
        parts = [
            self.file,
            f"sheet {self.sheet}" if self.sheet else "",
            f"row {self.row}" if self.row is not None else "",
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
