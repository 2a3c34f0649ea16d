"""The work done for one client; the same function runs here and on a cluster."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from workbook_builder.finish import AlreadyThere, Output, write_together
from workbook_builder.interruption import raise_if_asked
from workbook_builder.many.ledger import facts_of, fingerprint, read_record, record
from workbook_builder.theme import DEFAULT_THEME, Theme

BUILT = "built"
UP_TO_DATE = "up to date"
FAILED = "failed"


@dataclass(frozen=True)
class Task:
    """One client to build."""

    name: str
    #: What to read and what to write
    source: Path
    workbook: Path
    json: Path | None = None  # Where the plan goes as JSON
    replace: bool = False  # Whether an existing workbook may be replaced when its source has changed
    theme: Theme = DEFAULT_THEME  # Name, colours and logo
    ics: Path | None = None  # Where the calendar goes


@dataclass(frozen=True)
class Outcome:
    """What came of one client."""

    task: Task
    state: str  # `BUILT`, `UP_TO_DATE` or `FAILED`
    messages: tuple[str, ...] = ()  # Problems, or why it failed
    # What the summary shows: figures, points to fix and orders
    facts: dict[str, Any] = field(default_factory=dict)


def build_client(task: Task) -> Outcome:
    """Build one client's workbook unless it is up to date; whatever goes wrong comes back as an outcome."""
    # A pool hands its processes one client ahead, which a run that was stopped must not begin.
    raise_if_asked()
    try:
        mark = fingerprint(task.source, task.theme) if task.source.exists() else ""
        last = read_record(task.workbook)
        there = task.workbook.exists()
        complete = there and all(path is None or path.exists() for path in (task.json, task.ics))
        if complete and mark and last.get("source") == mark:
            return Outcome(task, UP_TO_DATE, (), last.get("facts", {}))
        if there and not task.replace and last.get("source") != mark:
            raise AlreadyThere(task.workbook)
        from workbook_builder.build import build_source
        from workbook_builder.export.ics import following
        from workbook_builder.export.json_text import plan_as_json

        built = build_source(task.source, task.theme)
        facts = facts_of(built.plan)
        outputs = [Output(task.workbook, built.data, replace=there, keep=True)]
        if task.json is not None:
            outputs.append(Output(task.json, plan_as_json(built.plan, built.problems).encode()))
        if task.ics is not None:
            outputs.append(Output(task.ics, following(built.plan, task.ics).encode()))
        write_together([*outputs, record(task.workbook, mark, facts)])
        return Outcome(task, BUILT, tuple(str(problem) for problem in built.problems), facts)
    except Exception as failure:  # one client's trouble never stops the others, but the user may
        raise_if_asked()
        return Outcome(task, FAILED, tuple(_reasons(failure)))


def _reasons(failure: Exception) -> list[str]:
    from workbook_builder.check.problems import ProblemsFound

    if isinstance(failure, ProblemsFound):
        return [str(problem) for problem in failure.problems]
    if isinstance(failure, AlreadyThere):
        return [f"{failure.path} is there and its source has changed; add --replace (the old file is kept "
                f"beside it)."]
    return [f"{type(failure).__name__}: {' '.join(str(failure).split())[:300]}"]
