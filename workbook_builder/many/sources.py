"""Which sources a command line names: single ones, or folders that hold one per client."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from workbook_builder.finish.write import is_kept_copy
from workbook_builder.read.source import BOOK_ENDINGS, has_tables

#: The workbook over all clients; where a folder of built workbooks is a source, it is none.
SUMMARY = "summary-of-clients.xlsx"


@dataclass(frozen=True)
class Client:
    """One source among many."""

    name: str  # Name of its workbook, without the ending
    source: Path


def is_folder_of_sources(path: Path) -> bool:
    """Return whether a path is a folder whose entries are sources, not one source itself."""
    return path.is_dir() and not has_tables(path) and bool(_entries(path))


def clients_in(paths: Sequence[Path]) -> list[Client]:
    """Return every source named, folders of sources opened, each with a name of its own.

    Two sources of one name (``smith`` and ``smith.xlsx``) get the second name's kind or a
    number behind it, so that no client's workbook hides another's.
    """
    sources: list[Path] = []
    for path in paths:
        sources += _entries(path) if is_folder_of_sources(path) else [path]
    # A client may be called like the summary, which then keeps its name.
    clients, seen = [], Counter({Path(SUMMARY).stem.casefold(): 1})
    for source in dict.fromkeys(sources):
        name = source.stem if source.suffix.lower() in BOOK_ENDINGS else source.resolve().name
        seen[name.casefold()] += 1
        number = seen[name.casefold()]
        clients.append(Client(name if number == 1 else f"{name}-{number}", source))
    return clients


def _entries(folder: Path) -> list[Path]:
    """Return the sources directly inside a folder, by name.

    Hidden files, lock files, a summary of ours and workbooks kept from before are none.
    """
    found = [entry for entry in sorted(folder.iterdir()) if not entry.name.startswith((".", "~$"))]
    return [entry for entry in found if (entry.is_dir() and has_tables(entry)) or (
            entry.suffix.lower() in BOOK_ENDINGS and entry.name != SUMMARY and not is_kept_copy(entry))]
