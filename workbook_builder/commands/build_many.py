"""Building many clients: a folder of workbooks, a summary over them, a progress bar."""

from __future__ import annotations

import hashlib
import sys
import time
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from workbook_builder.commands.exits import PROBLEMS, Misused, Stopped, need_folder_of
from workbook_builder.commands.json_files import STANDARD_OUTPUT, as_json, file_outputs
from workbook_builder.commands.messages import counted, open_counts, result, say, typed
from workbook_builder.commands.progress import on_terminal
from workbook_builder.commands.themes import chosen_theme

if TYPE_CHECKING:
    from workbook_builder.many import Outcome, Task

#: Lines said about one client that failed before the rest is only counted.
SHOWN_REASONS = 6
FILE_ENDINGS = (".xlsx", ".json", ".ics")


def build_many(
    sources: Sequence[Path], out: Path, json: Path | None, replace: bool, quiet: bool, jobs: int,
    scheduler: str,
    theme: Path | None = None, ics: Path | None = None,
) -> None:
    """Build every client, then the summary; exit code 1 when any client failed."""
    from workbook_builder.many import BUILT, FAILED, SUMMARY, UP_TO_DATE, Task, clients_in

    clients, look = clients_in(sources), chosen_theme(theme)
    names = ", ".join(client.source.name for client in clients[:3]) + (", ..." if len(clients) > 3 else "")
    # Make the folders to write to, once all of them can be.
    folders = [folder for folder in (out, json, ics) if folder is not None]
    who = f"These are {len(clients)} sources ({names}): they"
    for folder in folders:
        if folder.exists() and not folder.is_dir():
            raise Misused(f"{folder} is a file. {who} need a folder to write to.")
        if str(folder) == STANDARD_OUTPUT:
            raise Misused(f"{who} need a folder for their plans, not stdout.")
        if folder.suffix.lower() in FILE_ENDINGS:
            raise Misused(f"{folder} names one file. {who} need a folder to write to, for instance "
                          f"{folder.with_suffix('')}. Or give one source alone.")
        need_folder_of(folder)
    for folder in folders:
        try:
            folder.mkdir(exist_ok=True)
        except OSError as error:
            message = f"The folder {folder} cannot be made: {error.strerror}. Give another name."
            raise Misused(message) from error
    room, plans, calendars = out.resolve(), json.resolve() if json else None, ics.resolve() if ics else None
    tasks = [
        Task(
            client.name, client.source.resolve(), room / f"{client.name}.xlsx", plans / f"{client.name}.json"
            if plans else None, replace, look,
            calendars / f"{client.name}.ics" if calendars else None,
        )
        for client in clients
    ]
    outcomes = _run(tasks, jobs, scheduler, quiet)
    by_name = sorted(outcomes, key=lambda outcome: outcome.task.name.casefold())
    _write_summary(out / SUMMARY, by_name, (json / SUMMARY).with_suffix(".json")
                   if json is not None else None)
    failed = [outcome for outcome in by_name if outcome.state == FAILED]
    _tell_failures(failed)
    if not quiet:
        for outcome in by_name:
            result(_line(outcome))
        counts = [(state, sum(outcome.state == state for outcome in outcomes))
                  for state in (BUILT, UP_TO_DATE, FAILED)]
        result(f"{counted(len(outcomes), 'client')}: "
               f"{', '.join(f'{count} {state}' for state, count in counts)}. Summary in {out / SUMMARY}.")
    if failed:
        raise typer.Exit(PROBLEMS)


def _run(tasks: Sequence[Task], jobs: int, scheduler: str, quiet: bool) -> list[Outcome]:
    from workbook_builder.many.runners import ClusterMissing, run_here, run_on_cluster, usual_jobs

    work: Iterable[Outcome] = (run_on_cluster(tasks, scheduler) if scheduler
                               else run_here(tasks, jobs or usual_jobs()))
    started = time.time()
    try:
        if quiet or not on_terminal():
            return list(work)
        with typer.progressbar(work, length=len(tasks), label="Building", file=sys.stderr) as bar:
            return list(bar)
    except KeyboardInterrupt:
        say(f"Stopped. {built_since(tasks, started)} of {len(tasks)} clients built, each whole; the others "
            f"were not touched, and there is no new summary.")
        raise Stopped from None
    except ClusterMissing as missing:
        raise Misused.of(missing) from missing


def built_since(tasks: Sequence[Task], moment: float) -> int:
    """Return how many clients have a workbook that was built since a moment: its record is written with it.
    """
    from workbook_builder.many.ledger import record_path

    paths = [record_path(task.workbook) for task in tasks]
    return sum(path.exists() and path.stat().st_mtime >= moment for path in paths)


def _write_summary(path: Path, outcomes: Sequence[Outcome], json: Path | None) -> None:
    """Write the summary, as JSON too where asked for.

    One that somebody changed is kept beside the new one.
    """
    from workbook_builder.finish import Output, write_together
    from workbook_builder.many.ledger import read_record, record
    from workbook_builder.many.summary import summary_workbook

    data = summary_workbook(outcomes)
    ours = path.exists() and read_record(path).get("source") == hashlib.sha256(path.read_bytes()).hexdigest()
    note = record(path, hashlib.sha256(data).hexdigest(), {})
    clients = [
        {"client": each.task.name, "source": str(each.task.source), "workbook": str(each.task.workbook),
         "state": each.state,
         "messages": list(each.messages),
         **{key: value for key, value in each.facts.items() if not isinstance(value, list)}}
        for each in outcomes
    ]
    write_together([Output(path, data, keep=not ours), note,
                    *file_outputs([(json, as_json({"clients": clients}))])])


def _tell_failures(failed: Sequence[Outcome]) -> None:
    for outcome in failed:
        say(f"{outcome.task.name} failed ({outcome.task.source}):")
        for message in outcome.messages[:SHOWN_REASONS]:
            say(f"  {message}")
        if len(outcome.messages) > SHOWN_REASONS:
            say(f"  and {len(outcome.messages) - SHOWN_REASONS} more; workbook-builder check "
                f"{typed(outcome.task.source)} shows them")


def _line(outcome: Outcome) -> str:
    from workbook_builder.many import BUILT

    line = f"{outcome.task.name}: {outcome.state}"
    if outcome.state == BUILT and outcome.messages:
        line += f" with {counted(len(outcome.messages), 'warning')}"
    return f"{line}; {open_counts(outcome.facts)}" if outcome.facts else line
