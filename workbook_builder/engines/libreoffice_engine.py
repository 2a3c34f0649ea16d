"""LibreOffice: the engine behind most free spreadsheet programs."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from workbook_builder.engines.base import Cells, Edit, EngineFailed, EngineMissing, read_raw_values
from workbook_builder.engines.edits import edited_parts
from workbook_builder.engines.program import run_program
from workbook_builder.finish.order import without_repeats
from workbook_builder.finish.package import pack
from workbook_builder.finish.parts import read_parts

#: Without this setting LibreOffice believes the cached values and calculates nothing.
_ALWAYS_CALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop>
</item>
</oor:items>
"""


@dataclass(frozen=True)
class LibreOfficeEngine:
    """Calculate in a LibreOffice of its own, so that several can run side by side."""

    seconds: float = 300  # Time limit for one workbook
    name: str = "LibreOffice"

    def available(self) -> str | None:
        """Return None when the program is installed, or else how to get it."""
        return None if _program() else "the program soffice is not installed or not on the search path"

    def recalculate(self, path: Path, edits: Sequence[Edit] = ()) -> Cells:
        """Return every non-blank cell after `edits` and a forced calculation."""
        program = _program()
        if program is None:
            raise EngineMissing(self.name, str(self.available()))
        with tempfile.TemporaryDirectory(prefix="workbook_", ignore_cleanup_errors=True) as folder:
            book = Path(folder, "before", "book.xlsx")
            calculated = Path(folder, "after", "book.xlsx")
            profile = Path(folder, "profile")
            for made in (book.parent, calculated.parent, profile / "user"):
                made.mkdir(parents=True)
            (profile / "user" / "registrymodifications.xcu").write_text(_ALWAYS_CALCULATE, encoding="utf-8")
            # Rows repeated on paper take most of the time to open, and no value follows from them.
            book.write_bytes(pack(without_repeats(edited_parts(read_parts(path), edits)), level=1))
            asked = ["--headless", "--norestore", "--nolockcheck", "--convert-to",
                     "xlsx:Calc MS Excel 2007 XML", "--outdir", str(calculated.parent)]
            printed = run_program(self.name, path, [program, f"-env:UserInstallation={profile.as_uri()}",
                                                    *asked, str(book)], self.seconds, {})
            if not calculated.exists():
                raise EngineFailed(self.name, path, printed or "no file came out")
            return read_raw_values(calculated)


def _program() -> str | None:
    """Return where the program is."""
    return shutil.which("soffice") or shutil.which("libreoffice")
