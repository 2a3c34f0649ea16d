"""``check``: problems in the data and points to fix of the plan, no workbook written."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from workbook_builder.commands.exits import DONE, PROBLEMS, in_plain_words
from workbook_builder.commands.findings import finding_lines, summary_line
from workbook_builder.commands.json_files import STANDARD_OUTPUT, refuse_strange, write_json
from workbook_builder.commands.messages import print_problems, result


@in_plain_words
def check(
    source: Annotated[Path, typer.Argument(metavar="SOURCE",
                                           help="Input workbook, folder of CSV files, or a workbook built "
                                                "earlier.", show_default=False)],
    json: Annotated[Path | None, typer.Option("--json", metavar="PATH",
                                              help="Write every plan table as JSON; - for stdout.")] = None,
    show_all: Annotated[bool,
                        typer.Option("--all", help="Show every finding, however many are alike.")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but errors.")] = False,
) -> None:
    """Look for problems in the data and for findings in the plan.

    Problems are what is wrong with the data; they name file, sheet, row and column, and
    any error among them means exit code 1.  Findings are what the plan says about a
    sound plan: Not allowed, Not entered, Review.  No workbook is written.

    \b
    Examples:
      workbook-builder check my-farm/
      workbook-builder check farm.xlsx --json plan.json
    """
    from workbook_builder.build import read_and_check, with_defaults
    from workbook_builder.check import errors_in
    from workbook_builder.export.json_text import plan_as_json
    from workbook_builder.planning import make_plan

    refuse_strange(json)
    inputs, problems = read_and_check(source)
    errors = errors_in(problems)
    print_problems(errors if quiet else problems)
    plan = None if errors else make_plan(with_defaults(inputs))
    if json is not None:
        write_json(json, plan_as_json(plan, problems))
    if plan is not None and not quiet and str(json) != STANDARD_OUTPUT:
        result(summary_line(plan))
        for line in finding_lines(plan, sys.stdout, show_all):
            result(line)
    raise typer.Exit(PROBLEMS if errors else DONE)
