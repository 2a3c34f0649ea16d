"""Gnumeric: an engine known for careful numerics, run through its converter."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from workbook_builder.engines.base import Cells, Edit, EngineFailed, EngineMissing
from workbook_builder.engines.edits import apply_edits
from workbook_builder.engines.program import run_program
from workbook_builder.engines.raw_values import read_raw_values

#: Plain English formats and no contact with a desktop's settings.
_SETTINGS = {"GSETTINGS_BACKEND": "memory", "LC_ALL": "C.UTF-8"}


@dataclass(frozen=True)
class GnumericEngine:
    """Calculate with Gnumeric's converter.

    Parameters
    ----------
    seconds : float
        Time limit for one workbook.
    """

    seconds: float = 300
    name: str = "Gnumeric"

    def available(self) -> str | None:
        """Return None when the program is installed, or else how to get it."""
        found = shutil.which("ssconvert")
        return None if found else "the program ssconvert (Gnumeric) is not installed or not on the search path"

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
            return read_raw_values(calculated)
