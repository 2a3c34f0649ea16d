"""``demo``: the invented farm as inputs, workbook and JSON, to look at and to start from."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from workbook_builder.commands.exits import Misused, in_plain_words
from workbook_builder.commands.messages import result
from workbook_builder.commands.progress import progress_shown
from workbook_builder.commands.taught import unit_systems


@in_plain_words
def demo(
    folder: Annotated[Path, typer.Argument(
        metavar="FOLDER",
        help="Folder to write to; made when it is not there.")] = Path("out_demo"),
    units: Annotated[str, typer.Option("--units", metavar="us|metric",
                                       help="Which of the two invented farms.",
                                       autocompletion=unit_systems)] = "us",
    replace: Annotated[bool,
                       typer.Option("--replace", help="Write over an earlier demo in the folder.")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but errors.")] = False,
) -> None:
    """Write an invented farm and the workbook built from it.

    The folder gets the inputs as CSV files and as an input workbook, the finished workbook,
    the plan as JSON, the season as a calendar, and the simulated log of a spot pass to map.
    Farm, fields, products, prices and label figures are invented.

    \b
    Examples:
      workbook-builder demo
      workbook-builder demo somewhere/else --units metric
    """
    from workbook_builder.commands.demo_files import WORKBOOK, demo_files, demo_names
    from workbook_builder.finish import Output, write_together

    if units not in ("us", "metric"):
        raise Misused(f"There are no units called {units}. Use us or metric.")
    names = demo_names(units)
    if folder.exists() and not folder.is_dir():
        raise Misused(f"{folder} is a file. Give the name of a folder.")
    taken = [name for name in names if (folder / name).exists()]
    if taken and not replace:
        raise Misused(f"{folder} holds {taken[0]} already. Choose another folder, or add --replace (the demo "
                      f"that is there is written over).")
    with progress_shown(quiet):
        files = demo_files(units)
    changed = {path: data for name, data in files.items()
               if not ((path := folder / name).is_file() and path.read_bytes() == data)}
    # An earlier demo is nobody's work, so it is not kept.
    write_together([Output(path, data, make_folder=True) for path, data in changed.items()])
    if not quiet:
        result(f"Wrote {len(files)} files to {folder}. Open {folder / WORKBOOK} in a spreadsheet program.")
