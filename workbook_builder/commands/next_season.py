"""``next-season``: next season's workbook from this season's, past use included."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from workbook_builder.commands.exits import in_plain_words
from workbook_builder.commands.findings import summary_line
from workbook_builder.commands.json_files import (
    STANDARD_OUTPUT,
    file_outputs,
    refuse_one_place,
    refuse_strange,
    write_streams,
)
from workbook_builder.commands.messages import print_problems, result, say
from workbook_builder.commands.progress import progress_shown
from workbook_builder.commands.themes import chosen_theme


@in_plain_words
def next_season(
    source: Annotated[Path, typer.Argument(metavar="SOURCE",
                                           help="This season's workbook, input workbook or folder of CSV "
                                                "files.", show_default=False)],
    out: Annotated[Path, typer.Option("--out", "-o", metavar="OUT",
                                      help="Next season's workbook, for instance farm-2027.xlsx.",
                                      show_default=False)],
    logged_only: Annotated[bool, typer.Option(
        "--logged-only",
        help="Count only passes logged as sprayed, not every planned one.")] = False,
    json: Annotated[Path | None,
                    typer.Option("--json", metavar="PATH",
                                 help="Write next season's plan as JSON too; - for stdout.")] = None,
    theme: Annotated[Path | None, typer.Option("--theme", metavar="FILE",
                                               help="Theme file: name, colours, logo, footer.")] = None,
    replace: Annotated[bool, typer.Option(
        "--replace",
        help="Replace an existing workbook; the old one is kept beside it.")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but errors.")] = False,
) -> None:
    """Make next season's workbook from this season's.

    This season's groups become past use, next crops become crops, the passes of
    each crop move to the fields that grow it next, and the log starts empty.

    \b
    Examples:
      workbook-builder next-season farm-2026.xlsx -o farm-2027.xlsx
      workbook-builder next-season farm-2026.xlsx -o farm-2027.xlsx --logged-only
    """
    from workbook_builder.build import build_inputs, checked, read_and_check
    from workbook_builder.check import ProblemsFound, errors_in
    from workbook_builder.commands.build import refuse_taken, target_file
    from workbook_builder.export.json_text import plan_as_json
    from workbook_builder.finish import Output, write_together
    from workbook_builder.roll_over import roll_over

    target = target_file(source, out)
    refuse_one_place(target, json)
    refuse_taken(target, replace)
    refuse_strange(json)
    look = chosen_theme(theme)
    inputs, problems = read_and_check(source)
    if errors_in(problems):
        raise ProblemsFound(problems)
    following, found = checked(roll_over(inputs, logged_only), [])
    if errors_in(found):
        raise ProblemsFound(found)
    with progress_shown(quiet):
        built = build_inputs(following, found, theme=look)
    texts = [(json, plan_as_json(built.plan, found) if json is not None else "")]
    kept = write_together([Output(target, built.data, replace, keep=True), *file_outputs(texts)])[0]
    write_streams(texts)
    if not quiet:
        # What was doubtful in the source is carried into the next season.
        print_problems([*problems, *(problem for problem in found if problem not in problems)])
        if kept is not None:
            say(f"The workbook that was there is kept as {kept}.")
        (say if str(json) == STANDARD_OUTPUT else result)(f"Wrote {target}. {summary_line(built.plan)}.")
