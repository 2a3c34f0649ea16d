"""The story of a build: read, check, plan, place, lay out, finish."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from workbook_builder.check import Problem, ProblemsFound, check_inputs, errors_in
from workbook_builder.inputs import Inputs
from workbook_builder.place import Placement
from workbook_builder.planning.plan import Plan, make_plan
from workbook_builder.read import read_source
from workbook_builder.reference_data import adding_steps
from workbook_builder.tables import TABLES, TYPED_TABLES

#: Pinned into the file's properties so that the same inputs give the same bytes.
MOMENT = dt.datetime(2026, 1, 1)


@dataclass(frozen=True)
class Built:
    """A finished workbook.

    Attributes
    ----------
    data : bytes
        The file.
    plan : Plan
    placement : Placement
    problems : tuple of Problem
        Warnings; errors raise instead.
    """

    data: bytes
    plan: Plan
    placement: Placement
    problems: tuple[Problem, ...]


def read_and_check(source: Path) -> tuple[Inputs, list[Problem]]:
    """Read a source and check it; problems come back, they are not raised."""
    inputs, problems = read_source(source, TYPED_TABLES, other_tables=TABLES)
    if not inputs.tables and errors_in(problems):
        # Nothing could be opened, so there is nothing to check.
        return inputs, problems
    inputs, found = check_inputs(with_defaults(inputs), TYPED_TABLES)
    return inputs, problems + found


def with_defaults(inputs: Inputs) -> Inputs:
    """Return the inputs with the shipped adding steps where none were given."""
    if inputs.rows("adding_steps"):
        return inputs
    return Inputs({**inputs.tables, "adding_steps": adding_steps()}, inputs.extras, inputs.origin)


def build_source(source: Path) -> Built:
    """Build a workbook from a source.

    Raises
    ------
    ProblemsFound
        When the inputs have errors; nothing is built.
    """
    inputs, problems = read_and_check(source)
    if errors_in(problems):
        raise ProblemsFound(problems)
    return build_inputs(inputs, problems)


def build_inputs(inputs: Inputs, problems: Sequence[Problem] = ()) -> Built:
    """Build a workbook from checked inputs."""
    from workbook_builder.finish import finish
    from workbook_builder.layout import lay_out

    plan = make_plan(with_defaults(inputs))
    placement = Placement(TABLES, plan.room)
    book, values = lay_out(plan, placement)
    raw = io.BytesIO()
    book.save(raw)
    return Built(finish(raw.getvalue(), values, MOMENT), plan, placement, tuple(problems))
