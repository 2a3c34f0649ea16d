"""Pictures of the main sheets of a workbook, drawn by LibreOffice: ``python -m tests.pictures``.

Development only: pictures differ from machine to machine (fonts), so no test compares them.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

#: Sheet title -> picture name; a sheet that is not there is passed over.
SHEETS = {
    "At a glance": "glance",
    "Open points": "open_points",
    "Load sheet": "load_sheet",
    "Passes": "passes",
    "Volumes": "volumes",
    "Amounts": "amounts",
    "Order of adding": "adding_order",
    "Mode rotation": "mode_rotation",
    "Intervals": "intervals",
    "Plant-back checks": "plant_back",
    "Cost by pass": "cost_by_pass",
    "Spot volumes": "spot_volumes",
    "Spot against broadcast": "spot_against_broadcast",
}
DOTS_PER_INCH = 80


def to_pdf(workbook: Path, folder: Path) -> Path:
    """Print a workbook to PDF with LibreOffice under a profile of its own."""
    profile = f"-env:UserInstallation={(folder / 'profile').resolve().as_uri()}"
    command = ["soffice", profile, "--headless", "--convert-to", "pdf", "--outdir", str(folder), str(workbook)]
    subprocess.run(command, check=True, capture_output=True, timeout=300, env={**os.environ, "HOME": str(folder)})
    return folder / f"{workbook.stem}.pdf"


def first_pages(pdf: Path) -> dict[str, int]:
    """Return sheet title -> number of its first page, read from the page footers."""
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True).stdout
    pages: dict[str, int] = {}
    for number, page in enumerate(text.split("\f"), 1):
        lines = [line.strip() for line in page.splitlines() if line.strip()]
        footer = lines[-1] if lines else ""
        title = footer.partition("The label is the law")[0].strip()
        if title:
            pages.setdefault(title, number)
    return pages


def draw(workbook: Path, target: Path) -> list[Path]:
    """Draw the first page of each main sheet into a folder and return the pictures."""
    target.mkdir(parents=True, exist_ok=True)
    made = []
    with tempfile.TemporaryDirectory() as room:
        pdf = to_pdf(workbook, Path(room))
        pages = first_pages(pdf)
        for title, name in SHEETS.items():
            if title in pages:
                page = str(pages[title])
                command = ["pdftoppm", "-r", str(DOTS_PER_INCH), "-f", page, "-l", page, "-png", "-singlefile", str(pdf), str(target / name)]
                subprocess.run(command, check=True, capture_output=True)
                made.append(target / f"{name}.png")
    return made


def main() -> None:
    """Draw ``out_demo/demo_farm.xlsx``, or the workbook and folder given."""
    workbook = Path(sys.argv[1]) if len(sys.argv) > 1 else Path("out_demo/demo_farm.xlsx")
    target = Path(sys.argv[2]) if len(sys.argv) > 2 else workbook.parent / "pictures"
    for picture in draw(workbook, target):
        print(picture)


if __name__ == "__main__":
    main()
