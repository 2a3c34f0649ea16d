"""``roll``: next season's workbook from this season's, past use included."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from workbook_builder.commands.exits import in_plain_words


@in_plain_words
def roll(
    source: Annotated[Path, typer.Argument(metavar="SOURCE", help="This season's workbook, input book or folder of CSV files.", show_default=False)],
    out: Annotated[Path, typer.Option("--out", "-o", metavar="OUT", help="Next season's workbook, for instance farm-2027.xlsx.", show_default=False)],
    logged_only: Annotated[bool, typer.Option("--logged-only", help="Count only passes logged as sprayed, not every planned one.")] = False,
    replace: Annotated[bool, typer.Option("--replace", help="Replace an existing workbook; the old one is kept beside it.")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but errors.")] = False,
) -> None:
    """Roll a season over into the next.

    This season's herbicide groups become past use, next crops become crops, the passes of
    each crop move to the fields that grow it next, and the log starts empty.

    \b
    Examples:
      workbook-builder roll farm-2026.xlsx -o farm-2027.xlsx
      workbook-builder roll farm-2026.xlsx -o farm-2027.xlsx --logged-only
    """
    from workbook_builder.build import build_inputs, checked, read_and_check
    from workbook_builder.check import ProblemsFound, errors_in
    from workbook_builder.commands.build import refuse_taken, target_file
    from workbook_builder.commands.findings import summary_line
    from workbook_builder.commands.messages import print_problems, result
    from workbook_builder.commands.progress import progress_shown
    from workbook_builder.finish import write_atomically
    from workbook_builder.roll_over import roll_over

    target = target_file(source, out)
    refuse_taken(target, replace)
    inputs, problems = read_and_check(source)
    if errors_in(problems):
        raise ProblemsFound(problems)
    following, found = checked(roll_over(inputs, logged_only), [])
    if errors_in(found):
        raise ProblemsFound(found)
    with progress_shown(quiet):
        built = build_inputs(following, found)
    write_atomically(target, built.data, replace)
    if not quiet:
        print_problems(found)
        result(f"Wrote {target}. {summary_line(built.plan)}.")
