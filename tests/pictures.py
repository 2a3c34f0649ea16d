"""Pictures of the main sheets of a workbook, drawn by LibreOffice: ``python -m tests.pictures``.

Development only: pictures differ from machine to machine (fonts), so no test compares them.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Collection
from pathlib import Path

from workbook_builder.features.tabs import TABS

#: Tab -> picture name; one that is not there is passed over.
SHEETS = {tab.title: tab.title.lower().replace(" ", "_") for tab in TABS}
DOTS_PER_INCH = 120
MARGIN = 18  # points kept around the content


def to_pdf(workbook: Path, folder: Path) -> Path:
    """Print a workbook to PDF with LibreOffice under a profile of its own."""
    profile = f"-env:UserInstallation={(folder / 'profile').resolve().as_uri()}"
    command = ["soffice", profile, "--headless", "--convert-to", "pdf", "--outdir", str(folder),
               str(workbook)]
    subprocess.run(command, check=True, capture_output=True, timeout=300,
                   env={**os.environ, "HOME": str(folder)})
    pdf = folder / f"{workbook.stem}.pdf"
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True,
                          text=True).stdout
    if narrow := [line for line in text.splitlines() if "###" in line]:
        raise SystemExit(f"a number is wider than its column: {narrow}")
    return pdf


def first_pages(pdf: Path) -> dict[str, int]:
    """Return sheet title -> number of its first page, read from the page footers."""
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True,
                          text=True).stdout
    pages: dict[str, int] = {}
    for number, page in enumerate(text.split("\f"), 1):
        lines = [line.strip() for line in page.splitlines() if line.strip()]
        footer = lines[-1] if lines else ""
        title = footer.partition("The label is the law")[0].strip()
        if title:
            pages.setdefault(title, number)
    return pages


def cut(pdf: Path, page: str) -> list[str]:
    """Return the options that cut a page to what stands on it, footer left out."""
    text = subprocess.run(["pdftotext", "-f", page, "-l", page, "-bbox", str(pdf), "-"], check=True,
                          capture_output=True, text=True).stdout
    height = float(re.search(r'<page width="[0-9.]+" height="([0-9.]+)"', text)[1])  # type: ignore[index]
    boxes = [[float(edge) for edge in box]
             for box in re.findall(r'<word xMin="([0-9.]+)" yMin="([0-9.]+)" xMax="([0-9.]+)" '
                                   r'yMax="([0-9.]+)"', text)]
    inside = [box for box in boxes if box[3] < 0.93 * height]
    left, top = min(box[0] for box in inside) - MARGIN, min(box[1] for box in inside) - MARGIN
    right, bottom = max(box[2] for box in inside) + MARGIN, max(box[3] for box in inside) + MARGIN
    edges = {"-x": max(0, left), "-y": max(0, top), "-W": right - left, "-H": bottom - top}
    return [part for option, points in edges.items()
            for part in (option, str(int(points * DOTS_PER_INCH / 72)))]


def smaller(picture: Path) -> Path:
    """Give a picture a palette of 128 colours, a third of the size, where Pillow is there."""
    try:
        from PIL import Image
    except ImportError:
        return picture
    with Image.open(picture) as image:
        image.convert("RGB").quantize(128, Image.Quantize.FASTOCTREE,
                                      dither=Image.Dither.NONE).save(picture, optimize=True)
    return picture


def draw(workbook: Path, target: Path, names: Collection[str] = ()) -> list[Path]:
    """Draw the first page of each main sheet, or of those named, into a folder and return the pictures."""
    target.mkdir(parents=True, exist_ok=True)
    made = []
    with tempfile.TemporaryDirectory() as room:
        pdf = to_pdf(workbook, Path(room))
        pages = first_pages(pdf)
        for title, name in SHEETS.items():
            if title in pages and (not names or name in names):
                page = str(pages[title])
                command = ["pdftoppm", "-r", str(DOTS_PER_INCH), "-f", page, "-l", page, *cut(pdf, page),
                           "-png", "-singlefile", str(pdf), str(target / name)]
                subprocess.run(command, check=True, capture_output=True)
                made.append(smaller(target / f"{name}.png"))
    return made


def main() -> None:
    """Draw ``out_demo/demo_farm.xlsx``, or the workbook and folder given."""
    workbook = Path(sys.argv[1]) if len(sys.argv) > 1 else Path("out_demo/demo_farm.xlsx")
    target = Path(sys.argv[2]) if len(sys.argv) > 2 else workbook.parent / "pictures"
    for picture in draw(workbook, target):
        print(picture)


if __name__ == "__main__":
    main()
