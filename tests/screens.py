"""Pictures of the main sheets as a laptop and a phone show them: ``python -m tests.screens``.

A copy of the workbook is set to a paper as large as the screen, at full size and without
margins, and printed by LibreOffice; the first page is then what the screen shows first.
Development only, like :mod:`tests.pictures`; Pillow makes the files small where it is there,
and the font package fonts-crosextra-carlito shows the letters that Calibri has.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from tests.pictures import SHEETS, draw, smaller, to_pdf
from workbook_builder.finish.package import pack
from workbook_builder.finish.parts import read_parts

#: Pictures shown in the documents, drawn from paper.
PAPER = ("season", "mix_sheet", "label_check")
#: Printed documents whose first page is shown.
PRINTED = {"mix-cards": "printed_mix_sheet", "spot-sheets": "spot_log", "pick-list": "pick_list"}
PRINTED_DOTS = 80


@dataclass(frozen=True)
class Screen:
    """A screen: its name, its size [pixels] and the zoom a program opens a sheet at there [percent]."""

    name: str
    width: int
    height: int
    zoom: int


#: What is left of 1366 x 768 below a program's ribbon, and of 390 x 844 in a phone's preview.
SCREENS = (Screen("laptop", 1366, 600, 100), Screen("phone", 390, 760, 60))
LAST_CELL = "$Z$60"


def on_screen(parts: dict[str, bytes], screen: Screen) -> dict[str, bytes]:
    """Return a workbook's parts with the shown sheets set to a page as large as the screen and the others
    hidden.
    """
    changed = dict(parts)
    book = parts["xl/workbook.xml"].decode("utf-8")
    titles = re.findall(r'<sheet [^>]*name="([^"]+)"', book)
    names = "".join(
        f'<definedName name="_xlnm.Print_Area" localSheetId="{number}">\'{title}\'!$A$1:{LAST_CELL}'
        f'</definedName>'
        for number, title in enumerate(titles) if title in SHEETS
    )
    book = re.sub(r'<definedName name="_xlnm\.Print_(?:Area|Titles)"[^>]*>[^<]*</definedName>', "", book)
    book = book.replace("</definedNames>", f"{names}</definedNames>")
    book = re.sub(r'(<sheet [^>]*name="([^"]+)"[^>]*state=")visible"',
                  lambda found: f'{found[1]}{"visible" if found[2] in SHEETS else "hidden"}"', book)
    changed["xl/workbook.xml"] = book.encode("utf-8")
    for number, title in enumerate(titles, 1):
        name = f"xl/worksheets/sheet{number}.xml"
        if title in SHEETS:
            changed[name] = _page(parts[name].decode("utf-8"), screen).encode("utf-8")
    return changed


def _page(sheet: str, screen: Screen) -> str:
    """Return a sheet's part with a page as large as the screen."""
    millimetres = [f"{pixels * 25.4 / 96:.1f}mm" for pixels in (screen.width, screen.height)]
    zoom = screen.zoom * int((re.search(r'zoomScale="(\d+)"', sheet) or ["", "100"])[1]) // 100
    page = (
        '<printOptions headings="1"/><pageMargins left="0" right="0" top="0" bottom="0" header="0" '
        'footer="0"/>'
        f'<pageSetup paperWidth="{millimetres[0]}" paperHeight="{millimetres[1]}" scale="{zoom}" '
        f'orientation="portrait"/>'
    )
    sheet = re.sub(r"<headerFooter.*?</headerFooter>|<printOptions[^>]*/>|<pageSetup [^>]*/>", "", sheet)
    sheet = re.sub(r"<pageMargins[^>]*/>", page, sheet)
    return sheet.replace('fitToPage="1"', 'fitToPage="0"')


def shown_pages(pdf: Path) -> dict[str, int]:
    """Return title -> number of the page that shows its upper left corner; tabs print in their order."""
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True,
                          text=True).stdout
    corners = []
    for number, page in enumerate(text.split("\f"), 1):
        lines = [line.split() for line in page.splitlines() if line.strip()]
        if len(lines) > 1 and lines[0][0] in ("A", "B") and lines[1][0] == "1":
            corners.append(number)
    return dict(zip(SHEETS, corners, strict=True))


def draw_screens(workbook: Path, target: Path) -> list[Path]:
    """Draw the main sheets at the width of each screen into a folder and return the pictures."""
    made = []
    for screen in SCREENS:
        with tempfile.TemporaryDirectory() as folder:
            copy = Path(folder) / "screen.xlsx"
            copy.write_bytes(pack(on_screen(read_parts(workbook), screen)))
            pdf = to_pdf(copy, Path(folder))
            for title, page in shown_pages(pdf).items():
                picture = target / f"{SHEETS[title]}_{screen.name}"
                command = ["pdftoppm", "-r", "96", "-f", str(page), "-l", str(page), "-png", "-singlefile",
                           str(pdf), str(picture)]
                subprocess.run(command, check=True, capture_output=True)
                made.append(smaller(picture.with_suffix(".png")))
    return made


def draw_printed(workbook: Path, target: Path) -> list[Path]:
    """Draw the first page of some printed documents into a folder and return the pictures."""
    from workbook_builder.commands.print_sheets import print_source

    made = []
    with tempfile.TemporaryDirectory() as folder:
        print_source(workbook, Path(folder), pdf=True)
        for document, name in PRINTED.items():
            command = ["pdftoppm", "-r", str(PRINTED_DOTS), "-f", "1", "-l", "1", "-png", "-singlefile",
                       f"{folder}/{document}.pdf", str(target / name)]
            subprocess.run(command, check=True, capture_output=True)
            made.append(smaller(target / f"{name}.png"))
    return made


def main() -> None:
    """Draw ``out_demo/demo_farm.xlsx`` into ``docs/pictures``, or the workbook and folder given."""
    workbook = Path(sys.argv[1]) if len(sys.argv) > 1 else Path("out_demo/demo_farm.xlsx")
    target = Path(sys.argv[2]) if len(sys.argv) > 2 else Path("docs/pictures")
    for picture in (*draw(workbook, target, PAPER), *draw_screens(workbook, target),
                    *draw_printed(workbook, target)):
        print(picture)


if __name__ == "__main__":
    main()
