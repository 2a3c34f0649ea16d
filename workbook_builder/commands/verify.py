"""``verify``: an engine recalculates a workbook and every formula cell is compared."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from workbook_builder.commands.exits import PROBLEMS, Misused, in_plain_words
from workbook_builder.commands.json_files import STANDARD_OUTPUT, as_json, refuse_strange, write_json
from workbook_builder.commands.messages import counted, result, say, typed
from workbook_builder.commands.progress import progress_shown

if TYPE_CHECKING:
    from workbook_builder.engines import Difference, Engine
    from workbook_builder.verify import Verdict

SHOWN_DIFFERENCES = 20


def engine_names() -> list[str]:
    """Return what a shell may offer behind ``--engine``."""
    from workbook_builder.engines import ENGINE_NAMES

    return [*ENGINE_NAMES, "all"]


@in_plain_words
def verify(
    workbook: Annotated[Path, typer.Argument(metavar="WORKBOOK", help="A workbook this program built.",
                                             show_default=False)],
    engine: Annotated[
        str, typer.Option("--engine", metavar="NAME",
                          help="IronCalc, LibreOffice or Gnumeric; all for every one installed.",
                          autocompletion=engine_names)
    ] = "IronCalc",
    json: Annotated[Path | None, typer.Option("--json", metavar="PATH",
                                              help="Write what was found as JSON; - for stdout.")] = None,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but errors.")] = False,
) -> None:
    """Recalculate a workbook and compare every formula cell.

    Three values meet in each cell: the one stored in the file, the one a spreadsheet
    engine works out from the formula, and the one Python plans from the inputs in the
    file.  Exit code 1 when any two differ.

    \b
    Examples:
      workbook-builder verify farm-2026.xlsx
      workbook-builder verify farm-2026.xlsx --engine LibreOffice
      workbook-builder verify farm-2026.xlsx --engine all --json verified.json
    """
    engines = _engines(engine)
    if workbook.is_dir():
        raise Misused(f"{workbook} is a folder. Give a workbook that was built, for instance "
                      f"{workbook / 'farm-2026.xlsx'}.")
    refuse_strange(json)
    verdicts = _verdicts(workbook, engines, quiet)
    if json is not None:
        write_json(json, as_json(told(workbook, verdicts)))
    for verdict in verdicts:
        if verdict.agrees and not quiet and str(json) != STANDARD_OUTPUT:
            result(f"{verdict.engine}: all {verdict.cells:,} formula cells agree with their stored values "
                   f"and with the plan")
        _print_differences("stored values", verdict.engine, verdict.cached)
        _print_differences("the plan", verdict.engine, verdict.planned)

    if any(verdict.reshaped for verdict in verdicts):
        say(f"{workbook} holds other formulas than this version writes for its inputs, so it cannot be "
            f"compared with the plan.")
        say(f"  Build it again, then verify it: workbook-builder build {typed(workbook)} -o "
            f"{typed(workbook)} --replace")
    if not all(verdict.agrees for verdict in verdicts):
        raise typer.Exit(PROBLEMS)


def _verdicts(workbook: Path, engines: list[Engine], quiet: bool) -> list[Verdict]:
    from workbook_builder.build import read_and_check
    from workbook_builder.check import ProblemsFound, errors_in
    from workbook_builder.steps import part, tell
    from workbook_builder.verify import NothingToVerify, verify_workbook

    verdicts = []
    with progress_shown(quiet):
        tell("Reading", 0)
        inputs, problems = read_and_check(workbook)
        if errors_in(problems):
            raise ProblemsFound(errors_in(problems))
        for number, engine in enumerate(engines):
            with part(0.1 + 0.9 * number / len(engines), 0.1 + 0.9 * (number + 1) / len(engines)):
                try:
                    verdicts.append(verify_workbook(workbook, inputs, engine))
                except NothingToVerify:
                    built = workbook.with_name(f"{workbook.stem}-plan{workbook.suffix}")
                    raise Misused(f"{workbook} holds no formulas. Build it first: workbook-builder build "
                                  f"{typed(workbook)} -o {typed(built)}") from None
    return verdicts


def told(workbook: Path, verdicts: list[Verdict]) -> dict[str, object]:
    """Return what was found, plain enough for JSON."""
    def rows(differences: list[Difference]) -> list[dict[str, object]]:
        return [{"sheet": each.sheet, "cell": each.reference, "expected": plain(each.expected),
                 "found": plain(each.actual)} for each in differences]

    def plain(value: object) -> object:
        return value if value is None or isinstance(value, (bool, int, float, str)) else str(value)

    engines = [
        {"engine": verdict.engine, "formula_cells": verdict.cells, "agrees": verdict.agrees,
         "other_formulas": verdict.reshaped,
         "differ_from_stored": rows(verdict.cached), "differ_from_plan": rows(verdict.planned)}
        for verdict in verdicts
    ]
    return {"workbook": str(workbook), "agrees": all(verdict.agrees for verdict in verdicts),
            "engines": engines}


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
    if not differences:
        return
    verb = "differs" if len(differences) == 1 else "differ"
    say(f"{engine}: {counted(len(differences), 'formula cell')} {verb} from {what}")
    for difference in differences[:SHOWN_DIFFERENCES]:
        say(f"  {difference}")
    if len(differences) > SHOWN_DIFFERENCES:
        say(f"  and {len(differences) - SHOWN_DIFFERENCES} more")
