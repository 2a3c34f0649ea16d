"""Logs as files, each mapped by itself: here, in several processes, or on a cluster."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from workbook_builder.check.problems import Problem
from workbook_builder.maps.analysis import beside_one_another, passes_of
from workbook_builder.maps.logs import read_log
from workbook_builder.maps.passes import Analysis, Farm, FieldPass
from workbook_builder.read.text_files import BadFile


@dataclass(frozen=True)
class LogTask:
    """Logs to be mapped together."""

    logs: tuple[tuple[Path, bool], ...]  # Each with whether it is an earlier one
    farm: Farm
    headers: Mapping[str, tuple[str, str]]  # From :func:`workbook_builder.maps.headers.header_table`
    system: str  # Unit system
    boom: float | None  # Width for rows without one [m]


@dataclass(frozen=True)
class LogOutcome:
    """What came of a task: passes and doubts, or why it was refused."""

    task: LogTask
    made: tuple[FieldPass, ...] = ()
    problems: tuple[Problem, ...] = ()
    refused: Problem | None = None


def map_task(task: LogTask) -> LogOutcome:
    """Read the logs of a task and map them; the same function runs here and on a cluster."""
    farm = task.farm
    try:
        logs = ((read_log(path, task.headers, task.system, farm.zone, task.boom), old)
                for path, old in task.logs)
        made, problems = passes_of(logs, farm)
    except BadFile as refused:
        return LogOutcome(task, refused=refused.problem)
    return LogOutcome(task, tuple(made), tuple(problems))


def lost_task(task: LogTask) -> LogOutcome:
    """Return the outcome of a task whose process was ended."""
    name = ", ".join(path.name for path, _ in task.logs)
    return LogOutcome(task, refused=Problem("map-file",
                                            "the process that read the log was ended, perhaps for want of "
                                            "memory", name, fix="Split the log"))


Runner = Callable[[Sequence[LogTask]], Iterable[LogOutcome]]


def analysed_files(task: LogTask, run: Runner) -> tuple[Analysis, list[Problem]]:
    """Map many logs, holding no more than a few at a time.

    Parameters
    ----------
    task : LogTask
        With all logs.
    run : callable
        Turns tasks into outcomes, in any order.

    Returns
    -------
    (analysis, refused)
        What logs could not be used.

    Notes
    -----
    Each log is mapped by itself, and only those of one pass and field once more together.
    """
    alone = _in_order(run([replace(task, logs=(log,)) for log in task.logs]), task)
    groups = _sharing(alone)
    again = [replace(task, logs=tuple(log for outcome in group for log in outcome.task.logs))
             for group in groups if len(group) > 1]
    together = _in_order(run(again), task) if again else []
    outcomes = [*(group[0] for group in groups if len(group) == 1), *together]
    doubts = [problem for outcome in _in_order(outcomes, task) for problem in outcome.problems]
    analysis = beside_one_another((made for outcome in outcomes for made in outcome.made), doubts)
    return analysis, [outcome.refused for outcome in outcomes if outcome.refused is not None]


def _in_order(outcomes: Iterable[LogOutcome], task: LogTask) -> list[LogOutcome]:
    places = {log: at for at, log in reversed(list(enumerate(task.logs)))}
    return sorted(outcomes, key=lambda outcome: places[outcome.task.logs[0]])


def _sharing(outcomes: Sequence[LogOutcome]) -> list[list[LogOutcome]]:
    """Return outcomes in groups that share a pass and field, directly or through others."""
    groups: list[tuple[set[tuple[str, ...]], list[LogOutcome]]] = []
    for outcome in outcomes:
        keys = {made.key for made in outcome.made}
        members = [outcome]
        for group in [each for each in groups if each[0] & keys]:
            groups.remove(group)
            keys |= group[0]
            members = [*group[1], *members]
        groups.append((keys, members))
    return [members for _, members in groups]
