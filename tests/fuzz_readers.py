"""Throw bytes at the readers, led by the branches they reach:
``python tests/fuzz_readers.py -max_total_time=120``.

Needs `atheris` (``pip install atheris``), which is no dependency of the package and no part of the usual
tests.
Options are those of libFuzzer.  An input that breaks a reader is written to a file named ``crash-...``;
make it a case of `bad_files`.
"""

from __future__ import annotations

import importlib
import sys
import tempfile
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent)]
KINDS = ("a table", "a sheet", "the strings", "the book", "a whole file")


class Target:
    """Reads what the fuzzer makes up, each time from the same place.

    Parameters
    ----------
    room : Path
        An empty folder.
    """

    def __init__(self, room: Path) -> None:
        bad = importlib.import_module("bad_files")
        self.build: Any = importlib.import_module("workbook_builder.build")
        self.packed, self.parts = bad.packed, bad.sound_parts()
        self.places = {1: bad.SHEET, 2: "xl/sharedStrings.xml", 3: "xl/workbook.xml"}
        self.folder: Path = bad.csv_file(b"")(room)
        self.book = room / "book.xlsx"

    def __call__(self, data: bytes) -> None:
        """Read and check one input; anything but problems is a find."""
        if not data:
            return
        kind, rest = data[0] % len(KINDS), data[1:]
        if kind == 0:
            (self.folder / "fields.csv").write_bytes(rest)
            self.build.read_and_check(self.folder)
            return
        self.book.write_bytes(rest if kind == 4 else self.packed({**self.parts, self.places[kind]: rest}))
        self.build.read_and_check(self.book)


def seeds(folder: Path, target: Target) -> None:
    """Write sound inputs of every kind to begin with."""
    sheet = importlib.import_module("bad_files").fields_markup(tail='<mergeCells><mergeCell '
                                                                    'ref="A9:B9"/></mergeCells>').encode()
    table = b"field,area,crop,planting_date,notes\nBench,80.5,sunflower,2026-05-20,wet\nCreek,120,fallow,,\n"
    strings = (b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>a</t></si'
               b'></sst>')
    contents = (table, sheet, strings, target.parts["xl/workbook.xml"], target.packed(target.parts))
    for kind, content in enumerate(contents):
        (folder / f"seed-{kind}").write_bytes(bytes([kind]) + content)


def main() -> None:
    """Run until stopped, or for as long as libFuzzer's options say."""
    atheris: Any = importlib.import_module("atheris")
    with atheris.instrument_imports(include=["workbook_builder.read", "workbook_builder.check"]):
        importlib.import_module("workbook_builder.build")
    with tempfile.TemporaryDirectory() as name:
        room, first = Path(name, "room"), Path(name, "first")
        room.mkdir()
        first.mkdir()
        target = Target(room)
        seeds(first, target)
        atheris.Setup([sys.argv[0], *sys.argv[1:], "-timeout=10", str(first)], target)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
