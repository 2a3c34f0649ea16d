"""Gnumeric: an engine known for careful numerics, run through its converter."""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from workbook_builder.engines.base import Cells, Edit, EngineFailed, EngineMissing, Value, read_raw_values
from workbook_builder.engines.edits import apply_edits
from workbook_builder.engines.program import run_program

#: Plain English formats and no contact with a desktop's settings.
_SETTINGS = {"GSETTINGS_BACKEND": "memory", "LC_ALL": "C.UTF-8"}
#: A number in a text as builds with extended precision join it on: right to 19 digits, all of them shown.
_ALL_DIGITS = re.compile(r"\d+\.\d{15,}")


def shortened(value: Value) -> Value:
    """Return a text with its numbers told to 15 digits, as every other program joins them to a text.

    Other values as they are.
    """
    return _ALL_DIGITS.sub(lambda found: f"{float(found[0]):.15g}", value) if type(value) is str else value


@dataclass(frozen=True)
class GnumericEngine:
    """Calculate with Gnumeric's converter."""

    seconds: float = 300  # Time limit for one workbook
    name: str = "Gnumeric"

    def available(self) -> str | None:
        """Return None when the program is installed, or else how to get it."""
        found = shutil.which("ssconvert")
        return (None if found else "the program ssconvert (Gnumeric) is not installed or not on the "
                                   "search path")

    def recalculate(self, path: Path, edits: Sequence[Edit] = ()) -> Cells:
        """Return every non-blank cell after `edits` and a forced calculation."""
        program = shutil.which("ssconvert")
        if program is None:
            raise EngineMissing(self.name, str(self.available()))
        with tempfile.TemporaryDirectory(prefix="workbook_") as folder:
            book, calculated = Path(folder, "before.xlsx"), Path(folder, "after.xlsx")
            apply_edits(path, edits, book)
            # Without --recalc the converter believes the cached values.
            command = [program, "--recalc", "--export-type=Gnumeric_Excel:xlsx2", str(book), str(calculated)]
            printed = run_program(self.name, path, command, self.seconds, _SETTINGS)
            if not calculated.exists():
                raise EngineFailed(self.name, path, printed or "no file came out")
            return {title: {place: shortened(value) for place, value in cells.items()}
                    for title, cells in read_raw_values(calculated).items()}
