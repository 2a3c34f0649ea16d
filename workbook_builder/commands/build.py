"""``build``: one workbook from one source, or a folder of workbooks from many."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from workbook_builder.commands.exits import Misused, in_plain_words, need_folder_of
from workbook_builder.commands.findings import summary_line
from workbook_builder.commands.json_files import (
    STANDARD_OUTPUT,
    file_outputs,
    refuse_one_place,
    refuse_strange,
    tables_of,
    write_streams,
)
from workbook_builder.commands.messages import print_problems, result, say
from workbook_builder.commands.progress import progress_shown
from workbook_builder.commands.themes import chosen_theme

if TYPE_CHECKING:
    from workbook_builder.build import Built

WORKBOOK_ENDING = ".xlsx"


@in_plain_words
def build(
    sources: Annotated[list[Path],
                       typer.Argument(metavar="SOURCE",
                                      help="Input workbook, folder of CSV files, or an earlier workbook.",
                                      show_default=False)],
    out: Annotated[Path, typer.Option("--out", "-o", metavar="OUT",
                                      help="Where the workbook goes, for instance farm-2026.xlsx.",
                                      show_default=False)],
    json: Annotated[Path | None,
                    typer.Option("--json", metavar="PATH",
                                 help="Write every plan table as JSON too; - for stdout.")] = None,
    ics: Annotated[Path | None,
                   typer.Option("--ics", metavar="PATH",
                                help="Write the season calendar for a phone or an office too.")] = None,
    tables: Annotated[Path | None,
                      typer.Option("--tables", metavar="FOLDER",
                                   help="Write every result table as CSV into a folder too.")] = None,
    theme: Annotated[Path | None, typer.Option("--theme", metavar="FILE",
                                               help="Theme file: name, colours, logo, footer.")] = None,
    asked: Annotated[str, typer.Option("--with", metavar="TABS",
                                       help="Show these tabs whole though nothing is typed for them: water,"
                                            "products.")] = "",
    replace: Annotated[bool, typer.Option(
        "--replace",
        help="Replace an existing workbook; the old one is kept beside it.")] = False,
    jobs: Annotated[int | None,
                    typer.Option("--jobs", "-j", metavar="N", min=1,
                                 help="Clients built at a time; one per processor when left out.")] = None,
    scheduler: Annotated[str, typer.Option("--scheduler", metavar="ADDRESS",
                                           help="Build many clients on a Dask cluster (extra: dask).")] = "",
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but errors.")] = False,
) -> None:
    """Build a workbook that keeps calculating.

    The workbook appears under its name only when it is whole.  Problems in the data are
    listed with their places; an error among them means exit code 1 and no file.

    Several sources, or a folder of sources, are built into a folder, with a summary over
    all clients.  One that fails never stops the others, and a second run passes over
    those whose source has not changed.

    \b
    Examples:
      workbook-builder build my-farm/ -o farm-2026.xlsx
      workbook-builder build farm-2026.xlsx -o farm-2026.xlsx --replace
      workbook-builder build my-farm/ -o farm-2026.xlsx --json plan.json --ics season.ics
      workbook-builder build clients/ -o workbooks --jobs 2
    """
    from workbook_builder.commands.build_many import build_many
    from workbook_builder.many import is_folder_of_sources

    if len(sources) > 1 or is_folder_of_sources(sources[0]):
        if tables is not None:
            raise Misused("--tables goes with one source. Build each client by itself for its tables.")
        if asked:
            raise Misused("--with goes with one source. Build each client by itself for its tabs.")
        build_many(sources, out, json, replace, quiet, jobs or 0, scheduler, theme, ics)
    else:
        # The titles of the tabs that a list names.
        from workbook_builder.features.tabs import TABS

        titles = {tab.title.casefold(): tab.title for tab in TABS}
        named = [word.strip().casefold() for word in asked.split(",") if word.strip()]
        for word in named:
            if word not in titles:
                raise Misused(f"There is no tab {word!r}. Tabs are {', '.join(tab.title for tab in TABS)}.")
        build_one(sources[0], out, json, replace, quiet, theme, ics, tables, [titles[word] for word in named])


def build_one(
    source: Path, out: Path, json: Path | None, replace: bool, quiet: bool, theme: Path | None = None,
    ics: Path | None = None,
    tables: Path | None = None, asked: Collection[str] = (),
) -> None:
    """Build one workbook and say what came of it."""
    from workbook_builder.build import build_source
    from workbook_builder.export.ics import following
    from workbook_builder.export.json_text import plan_as_json
    from workbook_builder.finish import Output, write_together

    target = target_file(source, out)
    refuse_one_place(target, json, ics, tables)
    refuse_taken(target, replace)
    refuse_strange(json, ics, tables)
    look = chosen_theme(theme)
    with progress_shown(quiet):
        built = build_source(source, look, asked)
    said = [] if quiet else kept_lines(source, built)
    if not quiet:
        print_problems(built.problems)
    plan_text = (json, plan_as_json(built.plan, built.problems) if json is not None else "")
    texts = [plan_text, (ics, following(built.plan, ics) if ics is not None else ""),
             *tables_of(tables, built.plan)]
    kept = write_together([Output(target, built.data, replace, keep=True), *file_outputs(texts)])[0]
    write_streams(texts)
    if quiet:
        return
    for line in said:
        say(line)
    if kept is not None:
        say(f"The workbook that was there is kept as {kept}.")
    (say if str(json) == STANDARD_OUTPUT else result)(f"Wrote {target}. {summary_line(built.plan)}.")


def kept_lines(source: Path, built: Built) -> list[str]:
    """Return what became of what stood in the source, for an earlier workbook or one with things of the
    user's own.
    """
    from workbook_builder.commands.earlier import Earlier
    from workbook_builder.kept import what_was_kept

    earlier = Earlier(source)
    before = earlier.figures()
    if before is None and not built.plan.inputs.extras:
        return earlier.format_line()
    return [*earlier.format_line(), *what_was_kept(built, before or {}).lines(),
            *earlier.typed_on_results(built)]


def target_file(source: Path, out: Path) -> Path:
    """Return the file to write; for a folder, a file in it named after the source.

    Raises
    ------
    Misused
        The name is not that of a workbook, or its folder is missing.
    """
    target = (out / f"{source.stem if source.is_file() else source.resolve().name}{WORKBOOK_ENDING}"
              if out.is_dir() else out)
    if target.suffix.lower() != WORKBOOK_ENDING:
        raise Misused(f"{out} is not the name of a workbook. Let it end in {WORKBOOK_ENDING}, for instance "
                      f"{out.with_suffix(WORKBOOK_ENDING)}.")
    need_folder_of(target)
    return target


def refuse_taken(target: Path, replace: bool) -> None:
    """Refuse early, before any work, when the target is there and may not be replaced."""
    from workbook_builder.finish import AlreadyThere

    if target.exists() and not replace:
        raise AlreadyThere(target)
