"""Writing plans as JSON files, calendars and CSV tables."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from workbook_builder.commands.exits import Misused, need_folder_of
from workbook_builder.commands.messages import result

if TYPE_CHECKING:
    from workbook_builder.finish import Output
    from workbook_builder.planning import Plan

STANDARD_OUTPUT = "-"


def refuse_strange(json: Path | None, ics: Path | None = None, tables: Path | None = None) -> None:
    """Refuse to write JSON or a calendar over a file that holds something else,
    or tables among files of another kind.

    Raises
    ------
    Misused
        JSON or calendar is a folder or the tables are none, their folder is missing,
        or something of another kind stands there.
    """
    for path, example, kind, opening in ((json, "plan.json", "JSON", b"{"),
                                         (ics, "season.ics", "a calendar", b"BEGIN:VCALENDAR")):
        if path is None or (path is json and str(path) == STANDARD_OUTPUT):
            continue
        if path.is_dir():
            raise Misused(f"{path} is a folder. Give the name of a file, for instance {path / example}.")
        need_folder_of(path)
        if path.is_file():
            with path.open("rb") as file:
                start = file.read(64).lstrip()
            if start and not start.startswith(opening):
                raise Misused(f"{path} holds something that is not {kind} and is left alone. Give another "
                              f"name.")
    if tables is not None:
        if tables.exists() and not tables.is_dir():
            raise Misused(f"{tables} is not a folder. Give the name of a folder for the tables, for instance "
                          f"tables.")
        need_folder_of(tables)
        strange = (sorted(path.name for path in tables.iterdir() if path.suffix != ".csv")
                   if tables.is_dir() else [])
        if strange:
            raise Misused(f"{tables} holds something else than tables ({strange[0]}) and is left alone. Give "
                          f"another name.")


def refuse_one_place(*paths: Path | None) -> None:
    """Refuse outputs of which two would be one file; stdout is none.

    Raises
    ------
    SameFile
        Naming the place.
    """
    from workbook_builder.finish import refuse_same

    refuse_same(path for path in paths if path is not None and str(path) != STANDARD_OUTPUT)


def file_outputs(texts: Iterable[tuple[Path | None, str]]) -> list[Output]:
    """Return the files among texts and where they go: not stdout, a pipe or a device."""
    from workbook_builder.finish import Output

    return [Output(path, text.encode(), make_folder=True) for path, text in texts if path is not None
            and not is_stream(path)]


def is_stream(path: Path) -> bool:
    """Return whether a path is stdout, a pipe or a device: its reader wants the text,
    not another file in its place.
    """
    return str(path) == STANDARD_OUTPUT or (path.exists() and not path.is_file() and not path.is_dir())


def write_streams(texts: Iterable[tuple[Path | None, str]]) -> None:
    """Write those texts that go to stdout, a pipe or a device."""
    for path, text in texts:
        if path is not None and str(path) == STANDARD_OUTPUT:
            result(text.rstrip("\n"))
        elif path is not None and is_stream(path):
            path.write_text(text, "utf-8")


def write_json(path: Path, text: str) -> None:
    """Write JSON to a file, or to stdout for ``-``."""
    from workbook_builder.finish import write_together

    write_together(file_outputs([(path, text)]))
    write_streams([(path, text)])


def tables_of(folder: Path | None, plan: Plan) -> list[tuple[Path | None, str]]:
    """Return every result table of a plan as a CSV file named after its key."""
    from workbook_builder.frames import as_csv

    return ([(folder / f"{key}.csv", as_csv(found)) for key, found in plan.frames().items()]
            if folder is not None else [])


def as_json(content: dict[str, object]) -> str:
    """Return what a command found as JSON, for other programs."""
    import json

    return json.dumps(content, ensure_ascii=False, indent=1) + "\n"
