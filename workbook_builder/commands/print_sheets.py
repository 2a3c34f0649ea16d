"""``print``: mix cards, pick list, posting notices, spot sheets and cover note, on paper."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from workbook_builder.commands.exits import Misused, in_plain_words
from workbook_builder.commands.json_files import (
    STANDARD_OUTPUT,
    as_json,
    file_outputs,
    refuse_strange,
    write_streams,
)
from workbook_builder.commands.messages import counted, print_problems, result, say
from workbook_builder.commands.progress import progress_shown
from workbook_builder.commands.themes import chosen_theme

if TYPE_CHECKING:
    from workbook_builder.check import Problem
    from workbook_builder.finish import Output
    from workbook_builder.planning import Plan
    from workbook_builder.printing import Choice
    from workbook_builder.theme import Theme


@dataclass(frozen=True)
class Printed:
    """What is to be printed."""

    contents: Mapping[Path, bytes]  # The pages by their files
    unprinted: tuple[str, ...]  # Passes whose loads cannot be worked out, so that they have no mix card
    older: tuple[Path, ...]  # Sheets of an earlier print that this one did not replace
    problems: tuple[Problem, ...]  # Warnings about the inputs

    @property
    def files(self) -> tuple[Path, ...]:
        """The files, in the order they are made."""
        return tuple(self.contents)


@in_plain_words
def print_sheets(
    source: Annotated[Path, typer.Argument(metavar="WORKBOOK",
                                           help="Workbook, input workbook or folder of CSV files.",
                                           show_default=False)],
    out: Annotated[Path | None,
                   typer.Option("--out", "-o", metavar="FOLDER",
                                help="Folder for the sheets; beside the workbook when left out.")] = None,
    pass_name: Annotated[str, typer.Option("--pass", metavar="NAME", help="Only this pass.",
                                           show_default=False)] = "",
    field: Annotated[str, typer.Option("--field", metavar="NAME", help="Only this field.",
                                       show_default=False)] = "",
    load: Annotated[int | None,
                    typer.Option("--load", metavar="N", min=1, help="Only this load of each pass.")] = None,
    first_day: Annotated[str,
                         typer.Option("--from", metavar="DATE",
                                      help="Only passes planned from this day on (2026-05-01).",
                                      show_default=False)] = "",
    last_day: Annotated[str, typer.Option("--to", metavar="DATE", help="Only passes planned until this day.",
                                          show_default=False)] = "",
    even: Annotated[bool, typer.Option("--even",
                                       help="Even loads in place of full ones and a last one.")] = False,
    jar: Annotated[bool, typer.Option("--jar", help="The jar test of each mix on its card.")] = False,
    code: Annotated[str, typer.Option("--check", metavar="CODE",
                                      help="Say whether a printed sheet is still right.",
                                      show_default=False)] = "",
    pdf: Annotated[bool, typer.Option(
        "--pdf",
        help="Write PDF beside the HTML; needs Chromium or LibreOffice.")] = False,
    theme: Annotated[Path | None, typer.Option("--theme", metavar="FILE",
                                               help="Theme file: name, colours, logo, footer.")] = None,
    json: Annotated[Path | None, typer.Option("--json", metavar="PATH",
                                              help="Write what was printed as JSON; - for stdout.")] = None,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but errors.")] = False,
) -> None:
    """Print mix cards, spot sheets, pick lists and posting notices.

    One mix card a recipe: what goes into a full load and a last one, in order, and every load
    to tick off.  The sheets are HTML pages that need no other file; sheets printed before are
    written over, and a cover note goes on top.  With --from or --to the pick list is one for the
    whole range of dates, otherwise one a pass.  Each card carries a code; --check says whether
    the plan has changed since, and exits with 1 when it has.

    \b
    Examples:
      workbook-builder print farm-2026.xlsx -o sheets
      workbook-builder print farm-2026.xlsx --pass "Early burndown" --field "Creek 80" --pdf
      workbook-builder print farm-2026.xlsx --from 2026-05-01 --to 2026-05-07
      workbook-builder print farm-2026.xlsx --check ZBTX-SC2X1
    """
    from workbook_builder.finish import write_together
    from workbook_builder.printing import Choice, NoPdfMaker, NothingToPrint

    folder = out or source.parent / f"{source.stem}-sheets"
    printed_at = datetime.now().strftime("%Y-%m-%d %H:%M")
    start, end = _day("--from", first_day), _day("--to", last_day)
    if start and end and start > end:
        raise Misused(f"The range ends before it starts. Write --from {end} --to {start}.")
    choice = Choice(pass_name, field, load, start, end, even=even, jar=jar, printed=printed_at)
    if code:
        check_code(source, choice, code)
        return
    look = chosen_theme(theme)
    refuse_strange(json)
    if folder.exists() and not folder.is_dir():
        raise Misused(f"{folder} is a file. Give the name of a folder with -o.")
    try:
        with progress_shown(quiet):
            printed = made_sheets(source, folder, choice, look, pdf)
    except (NoPdfMaker, NothingToPrint) as refused:
        raise Misused.of(refused) from refused
    texts = [(json, as_json(told(printed, folder)))]
    write_together([*outputs_of(printed), *file_outputs(texts)])
    write_streams(texts)
    if quiet:
        return
    print_problems(printed.problems)
    for name in printed.unprinted:
        say(f"No mix card for {name}: its loads cannot be worked out. See the tab Label check.")
    for path in printed.older:
        say(f"{path} is from an earlier print and does not follow this plan: throw it away.")
    names = ", ".join(path.name for path in printed.files)
    (say if str(json) == STANDARD_OUTPUT
     else result)(f"Wrote {counted(len(printed.files), 'file')} to {folder}: {names}.")


def check_code(source: Path, choice: Choice, typed: str) -> None:
    """Say whether the plan is still as on the sheet with a code that was typed or scanned.

    Raises
    ------
    Misused
        There is no code in what was typed.
    ProblemsFound
        The inputs have errors.
    typer.Exit
        With 1: the plan has changed since, or has no such sheet.
    """
    from workbook_builder.printing.codes import code_in
    from workbook_builder.printing.sheets import titles

    code = code_in(typed)
    if code is None:
        raise Misused(f"{typed} holds no code. A code is printed at the top of each sheet and reads like "
                      f"ZBTX-SC2X1.")
    now = {each.sheet: (each, title) for each, title in titles(planned(source)[0], choice)}
    each, title = now.get(code.sheet, (None, ""))
    if each == code:
        result(f"{code}: {title}. The plan still says what stands on this sheet.")
        return
    result(f"{code}: {title}. The plan has changed since this sheet was printed: print it again. Its code is "
           f"now {each}." if each else
           f"{code}: the plan has no such sheet now. Fields or passes on it have changed, or it was printed "
           f"from another plan.")
    raise typer.Exit(1)


def planned(source: Path) -> tuple[Plan, list[Problem]]:
    """Return the plan of a source and its warnings.

    Raises
    ------
    ProblemsFound
        The inputs have errors.
    """
    from workbook_builder.build import read_and_check, with_defaults
    from workbook_builder.check import ProblemsFound, errors_in
    from workbook_builder.planning import make_plan

    inputs, problems = read_and_check(source)
    if errors_in(problems):
        raise ProblemsFound(problems)
    return make_plan(with_defaults(inputs)), problems


def _day(option: str, text: str) -> date | None:
    try:
        return date.fromisoformat(text.strip()) if text else None
    except ValueError:
        raise Misused(f"{option} {text} is not a date. Write year, month and day, for instance {option} "
                      f"2026-05-01.") from None


def outputs_of(printed: Printed) -> list[Output]:
    """Return the pages as files to write; an older print of ours is not worth keeping."""
    from workbook_builder.finish import Output

    return [Output(path, data, make_folder=True) for path, data in printed.contents.items()]


def print_source(source: Path, folder: Path, choice: Choice | None = None, theme: Theme | None = None,
                 pdf: bool = False) -> Printed:
    """Print the sheets of a source into a folder, as :func:`made_sheets` makes them: all of them or none."""
    from workbook_builder.finish import write_together

    printed = made_sheets(source, folder, choice, theme, pdf)
    write_together(outputs_of(printed))
    return printed


def made_sheets(source: Path, folder: Path, choice: Choice | None = None, theme: Theme | None = None,
                pdf: bool = False) -> Printed:
    """Make the sheets of a source, to be written into a folder.

    Parameters
    ----------
    source : Path
        Workbook, input workbook or folder of CSV files.
    folder : Path
        Where they will go.
    choice : Choice, optional
        Which passes; all when left out.
    theme : Theme, optional
    pdf : bool
        Write PDF beside the HTML.

    Raises
    ------
    ProblemsFound
        When the inputs have errors.
    NothingToPrint
        When the choice fits no pass.
    NoPdfMaker
        When PDF was asked for and no program makes it.
    """
    from concurrent.futures import Future, ThreadPoolExecutor
    from contextlib import ExitStack

    from workbook_builder.printing import AT_ONCE, DOCUMENTS, EARLIER, ON_SCREEN, Choice, documents, pdf_maker
    from workbook_builder.printing.spot_sheets import spot_rows
    from workbook_builder.steps import part, tell
    from workbook_builder.theme import DEFAULT_THEME

    # The browser starts while the plan is made, and prints a page while the next one is made.
    with ExitStack() as stack:
        pdf_of = stack.enter_context(pdf_maker()) if pdf else None
        pool = stack.enter_context(ThreadPoolExecutor(AT_ONCE))
        tell("Reading", 0)
        (plan, problems), choice = planned(source), choice or Choice()
        pdfs: dict[str, Future[bytes]] = {}

        def ready(name: str, text: str) -> None:
            if pdf_of and name not in ON_SCREEN:
                pdfs[name] = pool.submit(pdf_of, text)

        with part(0.5, 1):
            made = documents(plan, choice, theme or DEFAULT_THEME, ready)
        contents = {folder / f"{name}.html": text.encode("utf-8") for name, text in made.items()}
        contents |= {folder / f"{name}.pdf": page.result() for name, page in pdfs.items()}
    passes, spots = plan.tables["pass_volumes"], spot_rows(plan, choice)
    unprinted = [f"{passes[row]['pass']} on {passes[row]['field']}" for row in choice.rows(plan)
                 if passes[row]["loads"] == "" and row not in spots]
    older = [path for name in (*DOCUMENTS, *EARLIER) for ending in ("html", "pdf")
             if (path := folder / f"{name}.{ending}").is_file() and path not in contents]
    return Printed(contents, tuple(unprinted), tuple(older), tuple(problems))


def told(printed: Printed, folder: Path) -> dict[str, object]:
    """Return what was printed, plain enough for JSON."""
    from workbook_builder.export.json_text import plain_problem

    return {
        "folder": str(folder), "files": [path.name for path in printed.files],
        "unprinted": list(printed.unprinted),
        "older": [path.name for path in printed.older],
        "problems": [plain_problem(problem) for problem in printed.problems],
    }
