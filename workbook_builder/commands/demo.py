"""``demo``: the invented farm as inputs, workbook and JSON, to look at and to start from."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from workbook_builder.commands.exits import Misused, in_plain_words


@in_plain_words
def demo(
    folder: Annotated[Path, typer.Argument(help="Folder to write to; made when it is not there.")] = Path("out_demo"),
    units: Annotated[str, typer.Option("--units", metavar="us|metric", help="Which of the two invented farms.")] = "us",
    replace: Annotated[bool, typer.Option("--replace", help="Write over an earlier demo in the folder.")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but errors.")] = False,
) -> None:
    """Write an invented farm and the workbook built from it.

    The folder gets the inputs as CSV files and as an input book, the finished workbook,
    the plan as JSON and the season as a calendar.
    Farm, fields, products, prices and label figures are invented.

    \b
    Examples:
      workbook-builder demo
      workbook-builder demo somewhere/else --units metric
    """
    from workbook_builder.commands.demo_files import WORKBOOK, demo_files
    from workbook_builder.commands.messages import result

    if units not in ("us", "metric"):
        raise Misused(f"There are no units called {units}. Use us or metric.")
    files = demo_files(units)
    _refuse_taken(folder, list(files), replace)
    for name, data in files.items():
        _write(folder / name, data)
    if not quiet:
        result(f"Wrote {len(files)} files to {folder}. Open {folder / WORKBOOK} in a spreadsheet program.")


def _refuse_taken(folder: Path, names: list[str], replace: bool) -> None:
    from workbook_builder.finish import AlreadyThere

    if folder.exists() and not folder.is_dir():
        raise Misused(f"{folder} is a file. Give the name of a folder.")
    taken = [name for name in names if (folder / name).exists()]
    if taken and not replace:
        raise AlreadyThere(folder / taken[0])


def _write(path: Path, data: bytes) -> None:
    from workbook_builder.finish import CannotWrite, write_atomically

    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as cause:
        raise CannotWrite(path, cause) from cause
    if path.is_file() and path.read_bytes() == data:
        return
    kept = write_atomically(path, data, replace=True)
    if kept is not None:
        kept.unlink()  # an earlier demo is nobody's work
