"""Building many clients: a folder of workbooks, a summary over them, a progress bar."""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from workbook_builder.commands.exits import PROBLEMS, Misused

if TYPE_CHECKING:
    from workbook_builder.many import Outcome, Task

SUMMARY = "summary-of-clients.xlsx"
#: Lines said about one client that failed before the rest is only counted.
SHOWN_REASONS = 6


def build_many(
    sources: Sequence[Path], out: Path, json: Path | None, replace: bool, quiet: bool, jobs: int, scheduler: str,
    theme: Path | None = None, ics: Path | None = None,
) -> None:
    """Build every client, then the summary; exit code 1 when any client failed."""
    from workbook_builder.commands.messages import counted, result
    from workbook_builder.many import BUILT, FAILED, UP_TO_DATE

    tasks = _tasks(sources, out, json, replace, theme, ics)
    outcomes = _run(tasks, jobs, scheduler, quiet)
    _write_summary(out / SUMMARY, outcomes)
    by_name = sorted(outcomes, key=lambda outcome: outcome.task.name.casefold())
    failed = [outcome for outcome in by_name if outcome.state == FAILED]
    _tell_failures(failed)
    if not quiet:
        for outcome in by_name:
            result(_line(outcome))
        counts = [(state, sum(outcome.state == state for outcome in outcomes)) for state in (BUILT, UP_TO_DATE, FAILED)]
        result(f"{counted(len(outcomes), 'client')}: {', '.join(f'{count} {state}' for state, count in counts)}. Summary in {out / SUMMARY}.")
    if failed:
        raise typer.Exit(PROBLEMS)


def _tasks(sources: Sequence[Path], out: Path, json: Path | None, replace: bool, theme: Path | None, ics: Path | None) -> list[Task]:
    from workbook_builder.commands.themes import chosen_theme
    from workbook_builder.many import Task, clients_in

    for folder in (out, json, ics):
        if folder is None:
            continue
        if folder.exists() and not folder.is_dir():
            raise Misused(f"{folder} is a file. Several sources need a folder to write to.")
        if folder.suffix.lower() in (".xlsx", ".json", ".ics"):
            raise Misused(f"{folder} names one file. Several sources need a folder to write to, for instance {folder.with_suffix('')}.")
        if not folder.parent.is_dir():
            raise Misused(f"The folder {folder.parent} does not exist. Make it first, or give another name.")
        folder.mkdir(exist_ok=True)
    look = chosen_theme(theme)
    room, plans, calendars = out.resolve(), json.resolve() if json else None, ics.resolve() if ics else None
    return [
        Task(
            client.name, client.source.resolve(), room / f"{client.name}.xlsx", plans / f"{client.name}.json" if plans else None, replace, look,
            calendars / f"{client.name}.ics" if calendars else None,
        )
        for client in clients_in(sources)
    ]


def _run(tasks: Sequence[Task], jobs: int, scheduler: str, quiet: bool) -> list[Outcome]:
    from workbook_builder.many.runners import ClusterMissing, run_here, run_on_cluster, usual_jobs

    work: Iterable[Outcome] = run_on_cluster(tasks, scheduler) if scheduler else run_here(tasks, jobs or usual_jobs())
    try:
        if quiet or not sys.stderr.isatty():
            return list(work)
        with typer.progressbar(work, length=len(tasks), label="Building", file=sys.stderr) as bar:
            return list(bar)
    except ClusterMissing as missing:
        text = str(missing)
        raise Misused(f"{text[:1].upper()}{text[1:]}.") from missing


def _write_summary(path: Path, outcomes: Sequence[Outcome]) -> None:
    """Write the summary; one that somebody changed is kept beside the new one."""
    from workbook_builder.finish import write_atomically
    from workbook_builder.many.ledger import read_record, write_record
    from workbook_builder.many.summary import summary_workbook

    data = summary_workbook(outcomes)
    ours = path.exists() and read_record(path).get("source") == hashlib.sha256(path.read_bytes()).hexdigest()
    kept = write_atomically(path, data, replace=True)
    if ours and kept is not None:
        kept.unlink()
    write_record(path, hashlib.sha256(data).hexdigest(), {})


def _tell_failures(failed: Sequence[Outcome]) -> None:
    from workbook_builder.commands.messages import say

    for outcome in failed:
        say(f"{outcome.task.name} failed ({outcome.task.source}):")
        for message in outcome.messages[:SHOWN_REASONS]:
            say(f"  {message}")
        if len(outcome.messages) > SHOWN_REASONS:
            say(f"  and {len(outcome.messages) - SHOWN_REASONS} more; workbook-builder check {outcome.task.source} shows them")


def _line(outcome: Outcome) -> str:
    from workbook_builder.commands.messages import open_counts

    line = f"{outcome.task.name}: {outcome.state}"
    return f"{line}; {open_counts(outcome.facts)}" if outcome.facts else line
