"""``verify``: an engine recalculates a workbook and every formula cell is compared."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from workbook_builder.commands.exits import PROBLEMS, Misused, in_plain_words

if TYPE_CHECKING:
    from workbook_builder.engines import Difference, Engine

SHOWN_DIFFERENCES = 20


@in_plain_words
def verify(
    workbook: Annotated[Path, typer.Argument(help="A workbook this program built.", show_default=False)],
    engine: Annotated[str, typer.Option("--engine", metavar="NAME", help="IronCalc, LibreOffice or Gnumeric; all for every one installed.")] = "IronCalc",
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but errors.")] = False,
) -> None:
    """Recalculate a workbook with a spreadsheet engine and compare every formula cell.

    Three values meet in each cell: the one stored in the file, the one the engine works
    out from the formula, and the one Python plans from the inputs in the file.  Exit
    code 1 when any two differ.

    \b
    Examples:
      workbook-builder verify farm-2026.xlsx
      workbook-builder verify farm-2026.xlsx --engine LibreOffice
    """
    from workbook_builder.build import read_and_check
    from workbook_builder.check import ProblemsFound, errors_in
    from workbook_builder.commands.messages import result
    from workbook_builder.verify import verify_workbook

    engines = _engines(engine)
    if workbook.is_dir():
        raise Misused(f"{workbook} is a folder of inputs. Give a workbook that was built from it.")
    inputs, problems = read_and_check(workbook)
    if errors_in(problems):
        raise ProblemsFound(errors_in(problems))
    agree = True
    for each in engines:
        verdict = verify_workbook(workbook, inputs, each)
        agree = agree and verdict.agrees
        if verdict.agrees and not quiet:
            result(f"{verdict.engine}: all {verdict.cells:,} formula cells agree with their stored values and with the plan")
        _print_differences("stored values", verdict.engine, verdict.cached)
        _print_differences("the plan", verdict.engine, verdict.planned)
    if not agree:
        raise typer.Exit(PROBLEMS)


def _engines(name: str) -> list[Engine]:
    from workbook_builder.engines import ENGINE_NAMES, EngineMissing, all_engines, engine_named

    if name.lower() == "all":
        return [each for each in all_engines() if each.available() is None]
    try:
        chosen = engine_named(name)
    except KeyError:
        raise Misused(f"There is no engine called {name}. Use {', '.join(ENGINE_NAMES)} or all.") from None
    reason = chosen.available()
    if reason is not None:
        raise EngineMissing(chosen.name, reason)
    return [chosen]


def _print_differences(what: str, engine: str, differences: list[Difference]) -> None:
    from workbook_builder.commands.messages import counted, say

    if not differences:
        return
    say(f"{engine}: {counted(len(differences), 'formula cell')} differ from {what}")
    for difference in differences[:SHOWN_DIFFERENCES]:
        say(f"  {difference}")
    if len(differences) > SHOWN_DIFFERENCES:
        say(f"  and {len(differences) - SHOWN_DIFFERENCES} more")
