"""Have one small farm saved by other programs and libraries, for the tests:
``python -m tests.write_by_others``.

Needs whatever is to write: Node with exceljs and xlsx (``NODE_PATH`` says where), R with openxlsx,
LibreOffice, Gnumeric, Calligra Sheets.  What is not there leaves its file as it is.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from openpyxl import load_workbook
from openpyxl.chart import BarChart, Reference
from test_read_builders import farm, write_book

from workbook_builder.finish.order import as_usual
from workbook_builder.finish.package import pack
from workbook_builder.finish.parts import read_parts

FOLDER = Path(__file__).parent / "written_by_others"
#: The book that all of them read and save; columns of one sheet are grouped, and an own sheet holds a chart.
GIVEN = "given.xlsx"
EXCELJS = ("const b=new (require('exceljs').Workbook)();b.xlsx.readFile(process.argv[1]).then(()"
           "=>b.xlsx.writeFile(process.argv[2]))")
SHEETJS = ("const x=require('xlsx');x.writeFile(x.readFile(process.argv[1],{cellStyles:true}),"
           "process.argv[2],{cellStyles:true})")
OPENXLSX = "a<-commandArgs(TRUE);library(openxlsx);saveWorkbook(loadWorkbook(a[1]),a[2],overwrite=TRUE)"
#: Name of the file -> program and its arguments; the given book and the file to write are put in.
WRITERS = {
    "exceljs": ("node", "-e", EXCELJS, "{given}", "{made}"),
    "sheetjs": ("node", "-e", SHEETJS, "{given}", "{made}"),
    "openxlsx": ("Rscript", "-e", OPENXLSX, "{given}", "{made}"),
    "gnumeric": ("ssconvert", "{given}", "{made}"),
    "libreoffice": ("soffice", "-env:UserInstallation=file://{room}/profile", "--headless", "--convert-to",
                    "xlsx:Calc MS Excel 2007 XML", "--outdir", "{room}", "{given}"),
    "libreoffice_ods": ("soffice", "-env:UserInstallation=file://{room}/profile", "--headless",
                        "--convert-to", "ods", "--outdir", "{room}", "{given}"),
    # It opens .xlsx and saves .ods alone.
    "calligra_ods": ("calligraconverter", "--batch", "{given}", "{made}"),
}


def given(path: Path) -> Path:
    """Write the book that the others save again."""
    write_book(path, farm())
    book = load_workbook(path)
    book["Fields"].column_dimensions.group("C", "D", outline_level=1)
    own = book.create_sheet("My chart")
    for row in (("week", "litres"), (1, 20), (2, 35)):
        own.append(row)
    chart = BarChart()
    chart.add_data(Reference(own, min_col=2, min_row=1, max_row=3), titles_from_data=True)
    own.add_chart(chart, "D2")
    book.save(path)
    path.write_bytes(pack(as_usual(read_parts(path))))
    return path


def main() -> None:
    """Write every file whose writer is there."""
    FOLDER.mkdir(exist_ok=True)
    source = given(FOLDER / GIVEN)
    for name, (program, *arguments) in WRITERS.items():
        if not shutil.which(program):
            print(f"{name}: {program} is not installed")
            continue
        with tempfile.TemporaryDirectory() as room:
            made = FOLDER / (f"{name}.ods" if name.endswith("_ods") else f"{name}.xlsx")
            done = subprocess.run([program,
                                   *(part.format(given=source, made=made, room=room) if "{" in part
                                     and part.startswith(("{", "-env")) else part for part in arguments)],
                                  capture_output=True, text=True, check=False,
                                  env={**os.environ, "QT_QPA_PLATFORM": "offscreen"})
            left = Path(room) / f"given{made.suffix}"
            if left.exists():
                shutil.copy(left, made)
            print(f"{name}: {'written' if done.returncode == 0 else done.stderr[-300:]}")


if __name__ == "__main__":
    main()
